//! What a section through the axis shows besides the cut face: edges behind the cutting plane, the blank.

use crate::geometry::{Edge, Point};
use crate::section::Section;
use crate::tolerance::{SAME_LENGTH, STEPPED, TANGENT};
use crate::wheel::{Blank, Mount, SideName, Wheel};

/// Circles seen as straight lines inside the recesses and the bore: (r, z) of each sharp corner that no material hides from the axis, the
/// widest first. Of lines nearer than `clear` mm to each other only the widest is kept.
pub(super) fn circles_behind(section: &Section, clear: f64) -> Vec<Point> {
    let edges = section.contour().edges();
    let n = edges.len();
    let mut seen: Vec<Point> = (0..n)
        .filter(|&i| is_sharp(&edges[(i + n - 1) % n], &edges[i]))
        .map(|i| edges[i].start())
        .filter(|p| edges.iter().all(|e| !hides(e, *p)))
        .collect();
    seen.sort_by(|a, b| b.x.total_cmp(&a.x));
    let mut kept: Vec<Point> = Vec::new();
    for p in seen {
        if kept.iter().all(|k| (k.y - p.y).abs() >= clear) {
            kept.push(p);
        }
    }
    kept
}

fn is_sharp(before: &Edge, after: &Edge) -> bool {
    match (before.direction(1.0), after.direction(0.0)) {
        (Some(a), Some(b)) => a.cross(b).atan2(a.dot(b)).abs() > TANGENT,
        _ => true,
    }
}

/// Whether an edge of the section comes nearer to the axis than `p` at the height of `p`.
fn hides(edge: &Edge, p: Point) -> bool {
    let (low, high) = (edge.bounds().min, edge.bounds().max);
    if low.y > p.y || high.y < p.y || low.x >= p.x - SAME_LENGTH {
        return false;
    }
    let samples = 64;
    let nearest = match edge {
        Edge::Line(l) if l.start.y == l.end.y => l.start.x.min(l.end.x),
        Edge::Line(l) => l.start.lerp(l.end, (p.y - l.start.y) / (l.end.y - l.start.y)).x,
        // an arc is short: its points within a sixty-fourth of it are near enough to tell
        Edge::Arc(_) => {
            let near = |q: &Point| (q.y - p.y).abs() <= edge.length() / f64::from(samples);
            let points = (0..=samples).map(|i| edge.at(f64::from(i) / f64::from(samples)));
            points.filter(near).map(|q| q.x).fold(f64::MAX, f64::min)
        }
    };
    nearest < p.x - SAME_LENGTH.max(STEPPED * edge.length())
}

/// The part of a side's datum plane, in (r, z), from which a taper takes the rim back; `None` where it takes back less than `clear` mm.
pub(super) fn datum_plane(wheel: &Wheel, side: SideName, clear: f64) -> Option<(Point, Point)> {
    let taper = wheel.side(side).taper?;
    let (from, outside) = ((taper.from_diameter / 2.0).max(wheel.bore_radius()), wheel.outside_radius());
    let z = if side == SideName::A { 0.0 } else { wheel.thickness };
    let taken = wheel.side(side).nominal_depth(outside);
    (taken >= clear && from < outside).then_some((Point::new(from, z), Point::new(outside, z)))
}

/// The outlines of the flanges where they bear on the sides, in (r, z), drawn this deep, mm; none where the order does not give the flange. Where
/// they reach less than `clear` mm beyond the bore, their outside alone.
pub(super) fn flange_lines(wheel: &Wheel, section: &Section, mount: &Mount, deep: f64, clear: f64) -> Vec<(Point, Point)> {
    let Some(outer) = mount.flange_diameter.map(|d| d / 2.0).filter(|r| *r < wheel.outside_radius()) else {
        return Vec::new();
    };
    let inner = mount.flange_bearing_width.map_or(wheel.bore_radius(), |w| (outer - w).max(wheel.bore_radius()));
    if inner >= outer {
        return Vec::new();
    }
    let lines = |side: SideName| {
        let depth = section.profile(side).depth_at((inner + outer) / 2.0);
        let (seat, out) = if side == SideName::A { (depth, -deep) } else { (wheel.thickness - depth, deep) };
        let far = [Point::new(inner, seat + out), Point::new(outer, seat + out)];
        [(Point::new(inner, seat), far[0]), (far[0], far[1]), (far[1], Point::new(outer, seat))]
    };
    let shown = if outer - inner < clear { 2.. } else { 0.. };
    SideName::BOTH.into_iter().flat_map(|side| lines(side)[shown.clone()].to_vec()).collect()
}

/// The lines of the blank's half-section that stand clear of the altered wheel's own outline by `clear` mm, in (r, z); where the order does not
/// give a size of the blank, that of the wheel stands for it. The blank's surplus thickness is shown in equal parts on both sides.
pub(super) fn blank_lines(wheel: &Wheel, blank: &Blank, clear: f64) -> Vec<(Point, Point)> {
    let outside = blank.outside_diameter.unwrap_or(wheel.outside_diameter) / 2.0;
    let bore = blank.bore.unwrap_or(wheel.bore) / 2.0;
    let thickness = blank.thickness.unwrap_or(wheel.thickness);
    let surplus = (thickness - wheel.thickness) / 2.0;
    let (low, high) = (-surplus, wheel.thickness + surplus);
    let mut lines = Vec::new();
    let removed = |extra: f64| extra >= clear;
    let (top, bottom) = (removed(outside - wheel.outside_radius()), removed(wheel.bore_radius() - bore));
    let sides = removed(surplus);
    let (r_in, r_out) =
        (if bottom { bore } else { wheel.bore_radius() }, if top { outside } else { wheel.outside_radius() });
    let (z_in, z_out) = if sides { (low, high) } else { (0.0, wheel.thickness) };
    if top {
        lines.push((Point::new(outside, z_in), Point::new(outside, z_out)));
    }
    if bottom {
        lines.push((Point::new(bore, z_in), Point::new(bore, z_out)));
    }
    for z in [z_in, z_out] {
        if sides {
            lines.push((Point::new(r_in, z), Point::new(r_out, z)));
            continue;
        }
        if top {
            lines.push((Point::new(wheel.outside_radius(), z), Point::new(outside, z)));
        }
        if bottom {
            lines.push((Point::new(bore, z), Point::new(wheel.bore_radius(), z)));
        }
    }
    lines
}

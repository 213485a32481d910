//! What is seen from outside a side: circles and groove outlines, exact, in the plane of the side.
//!
//! Everything is given in the wheel's x and y (angle 0 along +x, counter-clockwise as seen from outside side A), also for side B; [`SideView::seen`]
//! turns an edge into what an observer outside the side sees: unchanged for side A, mirrored left to right for side B.

use crate::geometry::{Edge, Point, Turn, roots};
use crate::groove::{FaceGroove, SideGroove, plan};
use crate::section::{Feature, Profile, Section};
use crate::tolerance::{ROUNDED, SAME_LENGTH, TANGENT};
use crate::wheel::{FaceBottom, SideName, Wheel};
use std::f64::consts::{PI, TAU};

/// Chords of the round bottom of a notch.
const NOTCH_CHORDS: i32 = 12;
/// Steps of the scan for places where a wall of a groove meets the surface, per span of the profile.
const SCAN_STEPS: usize = 8;

/// One side as seen from outside.
#[derive(Debug, Clone, PartialEq)]
pub struct SideView {
    /// Which side.
    pub side: SideName,
    /// Circles about the axis, from the outside in.
    pub circles: Vec<SideCircle>,
    /// Its grooves; `None` where it has none.
    pub grooves: Option<SideGrooveView>,
    /// Where the grooves of the face open at this side's rim; `None` where the face has none.
    pub notches: Option<Notches>,
}

/// The ends of the face's grooves as they notch the outside diameter at one side.
#[derive(Debug, Clone, PartialEq)]
pub struct Notches {
    /// Edges of one notch in the frame of its place (u outwards along x), from one rim point round to the other.
    pub edges: Vec<Edge>,
    /// Half of the angle it takes out of the outside diameter, radians.
    pub half_angle: f64,
    /// Direction of each notch cut, radians.
    pub directions: Vec<f64>,
}

/// A circle about the axis at which the surface has an edge or changes its form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideCircle {
    /// Its radius, mm.
    pub radius: f64,
    /// The feature outside of it.
    pub feature: Feature,
    /// Turn of the surface there, radians; 0 where two forms run into each other smoothly.
    pub turn: f64,
    /// Whether the surface has an edge there.
    pub sharp: bool,
    /// Depth below the side's datum plane of the deeper surface that meets there, mm; a groove that is deeper interrupts the circle.
    pub depth: f64,
    /// Whether grooves of this side interrupt it.
    pub grooved: bool,
}

/// The grooves of one side as seen from outside.
#[derive(Debug, Clone, PartialEq)]
pub struct SideGrooveView {
    /// What is seen of the edges of one groove, in the frame of its centre line (u along x outwards).
    pub edges: Vec<Edge>,
    /// The tip of a vee bottom, in the same frame.
    pub tip: Option<Edge>,
    /// Direction of the frame at each place cut, radians.
    pub directions: Vec<f64>,
    /// Radius of the inner end, mm.
    pub inner_radius: f64,
    /// Radius at which they end, or of the outside diameter, mm.
    pub outer_radius: f64,
    /// Whether they end short of the outside diameter.
    pub ended: bool,
    /// The groove itself.
    pub groove: SideGroove,
}

impl SideView {
    /// What is seen from outside a side of a wheel.
    pub fn of(wheel: &Wheel, section: &Section, side: SideName) -> SideView {
        let grooves = SideGrooveView::of(wheel, section, side);
        let circles = circles(wheel, section.profile(side), grooves.as_ref());
        SideView { side, circles, grooves, notches: Notches::of(wheel, side) }
    }

    /// An edge given in the wheel's x and y, as seen from outside this side.
    pub fn seen(&self, edge: &Edge) -> Edge {
        match self.side {
            SideName::A => *edge,
            SideName::B => edge.mirrored_x(),
        }
    }
}

/// The circles of a side: every corner of its profile, from the outside in, each radius once.
fn circles(wheel: &Wheel, profile: &Profile, grooves: Option<&SideGrooveView>) -> Vec<SideCircle> {
    let edges = profile.edges();
    let corner = |i: usize| {
        let (edge, feature) = edges[i];
        let turn = i.checked_sub(1).map_or(PI, |b| turn(&edges[b].0, &edge));
        SideCircle {
            radius: edge.start().x,
            feature,
            turn,
            sharp: turn > TANGENT,
            depth: edge.start().y,
            grooved: false,
        }
    };
    let rim = SideCircle {
        radius: wheel.outside_radius(),
        feature: Feature::OutsideDiameter,
        turn: PI,
        sharp: true,
        depth: f64::INFINITY,
        grooved: false,
    };
    let mut found: Vec<SideCircle> = vec![rim];
    for circle in (0..edges.len()).rev().map(corner) {
        match found.last_mut() {
            // a wall's foot and head are one circle: sharp if either is, as deep as its foot
            Some(last) if (last.radius - circle.radius).abs() <= SAME_LENGTH => {
                last.sharp |= circle.sharp;
                last.turn = last.turn.max(circle.turn);
                last.depth = last.depth.max(circle.depth);
            }
            _ => found.push(circle),
        }
    }
    for circle in &mut found {
        circle.grooved = grooves.is_some_and(|g| g.interrupts(circle));
    }
    found
}

/// Angle between the directions in which one edge ends and the next begins, radians.
fn turn(before: &Edge, after: &Edge) -> f64 {
    match (before.direction(1.0), after.direction(0.0)) {
        (Some(a), Some(b)) => a.cross(b).atan2(a.dot(b)).abs(),
        _ => PI,
    }
}

impl SideGrooveView {
    fn of(wheel: &Wheel, section: &Section, side: SideName) -> Option<SideGrooveView> {
        let ordered = wheel.side(side).grooves.as_ref()?;
        let groove = SideGroove::of(wheel, side)?;
        let profile = section.profile(side);
        Some(SideGrooveView {
            edges: seen_edges(&groove, profile),
            tip: tip(&groove, profile),
            directions: ordered.pattern.cut().map(|k| plan::direction(ordered, k)).collect(),
            inner_radius: ordered.inner_diameter / 2.0,
            outer_radius: groove.outer_u.map_or(wheel.outside_radius(), |u| u.hypot(groove.offset)),
            ended: groove.outer_u.is_some(),
            groove,
        })
    }

    /// Whether the grooves cut through a circle.
    fn interrupts(&self, circle: &SideCircle) -> bool {
        let r = circle.radius;
        if r <= self.inner_radius || r >= self.outer_radius {
            return false;
        }
        let u = ((r - self.groove.offset) * (r + self.groove.offset)).max(0.0).sqrt();
        self.groove.depth(u, self.groove.offset) > circle.depth
    }

    /// The angles of the circle of radius r inside a groove, radians from the frame's direction; `None` where the circle misses it.
    pub fn angles(&self, r: f64) -> Option<(f64, f64)> {
        self.groove.angles(r)[0]
    }

    /// The arcs of a circle of radius r about the axis that lie between the grooves at the given directions; the whole circle is `None`.
    pub fn between(&self, r: f64, directions: &[f64]) -> Option<Vec<Edge>> {
        arcs_between(r, self.angles(r)?, directions)
    }
}

impl Notches {
    fn of(wheel: &Wheel, side: SideName) -> Option<Notches> {
        let ordered = wheel.face.as_ref()?;
        let groove = FaceGroove::of(wheel)?;
        let half_angle = groove.half_angle(groove.outside_radius)?;
        let z = if side == SideName::A { 0.0 } else { wheel.thickness };
        let turn = ordered.twist(z, groove.outside_radius);
        let directions = ordered.pattern.cut().map(|k| ordered.pattern.angle_deg(k).to_radians() + turn).collect();
        Some(Notches { edges: notch(&groove, half_angle), half_angle, directions })
    }

    /// The arcs of the outside diameter between the notches at the given directions.
    pub fn between(&self, r: f64, directions: &[f64]) -> Option<Vec<Edge>> {
        arcs_between(r, (-self.half_angle, self.half_angle), directions)
    }
}

/// The edges of a notch: walls and a flat bottom, or a round one (an ellipse where the groove is helical, drawn as chords).
fn notch(groove: &FaceGroove, half_angle: f64) -> Vec<Edge> {
    let (low, high) =
        (Point::polar(groove.outside_radius, -half_angle), Point::polar(groove.outside_radius, half_angle));
    let foot = match groove.bottom {
        FaceBottom::Flat => groove.floor_u,
        FaceBottom::Round => groove.floor_u + groove.half_across,
    };
    let (left, right) = (Point::new(foot.min(low.x), low.y), Point::new(foot.min(high.x), high.y));
    let mut edges = Vec::new();
    let mut add = |a: Point, b: Point| {
        if a != b {
            edges.push(Edge::line(a, b));
        }
    };
    add(low, left);
    if groove.bottom == FaceBottom::Flat {
        add(left, right);
    } else {
        let at = |i: i32| {
            let v = left.y + (right.y - left.y) * f64::from(i) / f64::from(NOTCH_CHORDS);
            Point::new(groove.floor_at(v).unwrap_or(foot), v)
        };
        (0..NOTCH_CHORDS).for_each(|i| add(at(i), at(i + 1)));
    }
    add(right, high);
    edges
}

/// The arcs of a circle that lie outside an interval of angle about each of the given directions; the whole circle is `None`.
fn arcs_between(r: f64, (low, high): (f64, f64), directions: &[f64]) -> Option<Vec<Edge>> {
    let mut starts: Vec<f64> = directions.iter().map(|d| d.rem_euclid(TAU)).collect();
    starts.sort_by(f64::total_cmp);
    let first = *starts.first()?;
    let next = starts.iter().skip(1).copied().chain([first + TAU]);
    let arcs = starts.iter().zip(next).filter_map(|(&a, b)| {
        let (from, to) = (a + high, b + low);
        (to > from).then(|| arc(r, from, to)).flatten()
    });
    Some(arcs.collect())
}

/// The arc of the circle of radius r about the axis between two directions.
fn arc(r: f64, from: f64, to: f64) -> Option<Edge> {
    Edge::arc(Point::polar(r, from), Point::polar(r, to), Point::ORIGIN, r, Turn::Left).ok()
}

/// The parts of one groove's outline that are edges of the surface: where the groove is deeper than the surface beside it. The rim itself is no
/// edge of the groove.
fn seen_edges(groove: &SideGroove, profile: &Profile) -> Vec<Edge> {
    let Ok(outline) = plan::outline(groove) else { return Vec::new() };
    let at_rim = |e: &Edge| matches!(e, Edge::Arc(a) if a.centre() == Point::ORIGIN && groove.outer_u.is_none());
    outline.edges().iter().filter(|e| !at_rim(e)).flat_map(|e| seen_parts(e, groove, profile)).collect()
}

/// The parts of an edge of the outline over which the groove is deeper than the surface.
fn seen_parts(edge: &Edge, groove: &SideGroove, profile: &Profile) -> Vec<Edge> {
    // a run-out's inner end is where depth and surface meet: an edge, though neither is deeper
    let slack = SAME_LENGTH;
    let clear = |t: f64| {
        let p = edge.at(t);
        groove.depth(p.x, p.y) - profile.depth_at(p.length()) + slack
    };
    let mut breaks = vec![0.0];
    let mut inside: Vec<f64> = profile.spans().iter().filter_map(|s| reaches(edge, s.inner)).flatten().collect();
    inside.sort_by(f64::total_cmp);
    breaks.extend(inside.into_iter().filter(|t| *t > 0.0 && *t < 1.0));
    breaks.push(1.0);
    let mut cuts = Vec::new();
    for pair in breaks.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let margin = (b - a) * ROUNDED;
        cuts.push(a);
        cuts.extend(roots::scan(a + margin, b - margin, SCAN_STEPS, clear));
    }
    cuts.push(1.0);
    let mut parts: Vec<(f64, f64)> = Vec::new();
    for pair in cuts.windows(2).filter(|p| p[1] > p[0] && clear((p[0] + p[1]) / 2.0) > 0.0) {
        match parts.last_mut() {
            Some(last) if last.1 == pair[0] => last.1 = pair[1],
            _ => parts.push((pair[0], pair[1])),
        }
    }
    parts.into_iter().filter_map(|(a, b)| edge.part(a, b)).collect()
}

/// Shares of an edge's length at which it meets the circle of radius r about the axis; arcs are left whole, they are as short as a groove is wide.
fn reaches(edge: &Edge, r: f64) -> Option<Vec<f64>> {
    let Edge::Line(l) = edge else { return None };
    let (d, m) = (l.end - l.start, l.start);
    let (a, b, c) = (d.dot(d), m.dot(d), m.dot(m) - r * r);
    let root = (b * b - a * c).max(0.0).sqrt();
    (b * b > a * c).then(|| vec![(-b - root) / a, (-b + root) / a])
}

/// The tip line of a vee bottom, where it is seen.
fn tip(groove: &SideGroove, profile: &Profile) -> Option<Edge> {
    let crate::wheel::Bottom::Vee { .. } = groove.bottom else { return None };
    let v = groove.offset;
    let outer = groove.outer_u.unwrap_or(((groove.outside_radius - v) * (groove.outside_radius + v)).max(0.0).sqrt());
    let line = Edge::line(Point::new(groove.inner_u, v), Point::new(outer, v));
    seen_parts(&line, groove, profile).into_iter().max_by(|a, b| a.length().total_cmp(&b.length()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wheel::{Bottom, Corner, InnerEnd, Pattern, RecessStep, Side, SideGrooves};

    fn wheel() -> Wheel {
        let pattern = Pattern { places: 5, start_deg: 10.0, omit: vec![2] };
        let grooves = SideGrooves {
            pattern,
            width: 6.0,
            depth: 4.0,
            bottom: Bottom::Flat,
            inner_diameter: 180.0,
            inner_end: InnerEnd::Round,
            outer_diameter: None,
            skew_deg: 20.0,
        };
        let side = Side {
            recess: vec![RecessStep { diameter: 200.0, depth: 10.0, fillet_radius: 3.0 }],
            taper: None,
            corner: Some(Corner::Chamfer { run: 3.0, angle_deg: 45.0 }),
            grooves: Some(grooves),
        };
        Wheel {
            outside_diameter: 400.0,
            thickness: 50.0,
            bore: 80.0,
            bore_chamfer: 1.0,
            side_a: side.clone(),
            side_b: side,
            face: None,
        }
    }

    fn view(side: SideName) -> SideView {
        let wheel = wheel();
        SideView::of(&wheel, &Section::of(&wheel).unwrap(), side)
    }

    #[test]
    fn circles_fall_from_the_outside_in_and_name_what_they_bound() {
        let radii: Vec<(f64, bool)> = view(SideName::A).circles.iter().map(|c| (c.radius, c.sharp)).collect();
        let expected = [(200.0, true), (197.0, true), (100.0, true), (97.0, false), (41.0, true), (40.0, true)];
        assert_eq!(radii.len(), expected.len(), "{radii:?}");
        for (got, want) in radii.iter().zip(expected) {
            assert!((got.0 - want.0).abs() < 1e-9 && got.1 == want.1, "{got:?} {want:?}");
        }
    }

    #[test]
    fn grooves_begin_at_the_wall_of_a_deeper_recess_and_end_on_the_outside_diameter() {
        let grooves = view(SideName::A).grooves.unwrap();
        assert_eq!(grooves.directions.len(), 4);
        let ends: Vec<f64> = grooves.edges.iter().flat_map(|e| [e.start().length(), e.end().length()]).collect();
        let (low, high) = ends.iter().fold((f64::MAX, 0.0_f64), |(l, h), &r| (l.min(r), h.max(r)));
        // the recess is 10 deep, the grooves 4: inside Ø200 there is nothing to cut
        assert!((low - 100.0).abs() < 1e-6, "{low}");
        assert!((high - 200.0).abs() < 1e-9, "{high}");
        assert_eq!(grooves.edges.len(), 2);
    }

    #[test]
    fn side_b_is_seen_mirrored() {
        let (a, b) = (view(SideName::A), view(SideName::B));
        let edge = a.grooves.as_ref().unwrap().edges[0].rotated(0.3);
        for t in [0.0, 0.5, 1.0] {
            let (p, q) = (a.seen(&edge).at(t), b.seen(&edge).at(t));
            assert!((p.x + q.x).abs() < 1e-12 && (p.y - q.y).abs() < 1e-12);
        }
    }

    #[test]
    fn arcs_between_grooves_leave_out_just_the_grooves() {
        let grooves = view(SideName::A).grooves.unwrap();
        let r = 197.0;
        let arcs = grooves.between(r, &grooves.directions).unwrap();
        assert_eq!(arcs.len(), 4);
        let length: f64 = arcs.iter().map(Edge::length).sum();
        let (low, high) = grooves.angles(r).unwrap();
        assert!((length - r * (TAU - 4.0 * (high - low))).abs() < 1e-9);
    }
}

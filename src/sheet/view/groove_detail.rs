//! A detail of one groove cut across: its width above, its depth beside, the shape of its bottom called out.
//!
//! x runs across the groove, y upwards out of the wheel; y = 0 is the surface at the groove's centre line.

use super::canvas::Canvas;
use super::clip::Disc;
use super::{Context, DetailOf, Scale, View, ViewError, ViewKind, hatch};
use crate::drawing::{Item, LineRole};
use crate::geometry::{Edge, Point, Turn};
use crate::sheet::dimension::{Band, BandSide, Called, Column, Label, Linear, SPARE};
use crate::size::{GrooveSet, GrooveSize, SideName, Size, Subject};
use crate::wheel::{Bottom, FaceBottom, Wheel};

/// The depth's lettering ends this far above the circle, mm: below that of the width.
const BELOW_TOP: f64 = 6.0;

/// A groove cut across, on the part.
#[derive(Debug, Clone, Copy)]
struct Cross {
    width: f64,
    depth: f64,
    bottom: Bottom,
    /// Radius of the surface as cut; `None` is flat.
    surface_radius: Option<f64>,
}

impl Cross {
    fn of_side(wheel: &Wheel, side: SideName) -> Option<Cross> {
        let g = wheel.side(side).grooves.as_ref()?;
        Some(Cross { width: g.width, depth: g.depth, bottom: g.bottom, surface_radius: None })
    }

    /// Cut across the groove: a helix makes the surface flatter there (Euler: curvature times the cosine squared of the helix).
    fn of_face(wheel: &Wheel) -> Option<Cross> {
        let g = wheel.face.as_ref()?;
        let bottom = match g.bottom {
            FaceBottom::Flat => Bottom::Flat,
            FaceBottom::Round => Bottom::Round,
        };
        let cos = g.helix_deg.to_radians().cos();
        let surface_radius = Some(wheel.outside_radius() / (cos * cos));
        Some(Cross { width: g.width, depth: g.depth, bottom, surface_radius })
    }

    /// Radius of the detail's circle on the part, about the middle of the depth.
    fn radius(&self) -> f64 {
        (1.5 * self.width).max(0.5 * self.depth + 0.45 * self.width.max(self.depth))
    }

    fn disc(&self) -> Disc {
        Disc { centre: Point::new(0.0, -self.depth / 2.0), radius: self.radius() }
    }

    /// Height of the surface at x.
    fn surface(&self, x: f64) -> f64 {
        self.surface_radius.map_or(0.0, |r| ((r - x) * (r + x)).max(0.0).sqrt() - r)
    }

    /// Height where walls end and the bottom begins; above the surface where there are no walls.
    fn shoulder(&self) -> f64 {
        let half = self.width / 2.0;
        match self.bottom {
            Bottom::Flat => -self.depth,
            Bottom::Round => half - self.depth,
            Bottom::Vee { angle_deg } => half / (angle_deg / 2.0).to_radians().tan() - self.depth,
        }
    }

    /// Half of the opening at the surface.
    fn half_opening(&self) -> f64 {
        let half = self.width / 2.0;
        if self.shoulder() <= self.surface(half) {
            return half;
        }
        match self.bottom {
            Bottom::Flat => half,
            Bottom::Round => (self.depth * (self.width - self.depth)).max(0.0).sqrt(),
            Bottom::Vee { angle_deg } => self.depth * (angle_deg / 2.0).to_radians().tan(),
        }
    }

    /// Height of the groove's bottom at x; `None` outside it.
    fn floor(&self, x: f64) -> Option<f64> {
        let half = self.width / 2.0;
        (x.abs() < self.half_opening()).then(|| match self.bottom {
            Bottom::Flat => -self.depth,
            Bottom::Round => half - self.depth - ((half - x) * (half + x)).max(0.0).sqrt(),
            Bottom::Vee { angle_deg } => x.abs() / (angle_deg / 2.0).to_radians().tan() - self.depth,
        })
    }

    fn is_void(&self, p: Point) -> bool {
        p.y > self.surface(p.x) || self.floor(p.x).is_some_and(|y| p.y > y)
    }

    /// The groove's edges from left to right.
    fn edges(&self) -> Vec<Edge> {
        let (b, half) = (self.half_opening(), self.width / 2.0);
        let top = |x: f64| Point::new(x, self.surface(x));
        let walls = self.shoulder() < self.surface(half);
        let y = if walls { self.shoulder() } else { self.surface(b) };
        let (left, right) = (Point::new(-b, y), Point::new(b, y));
        let mut edges = Vec::new();
        if walls {
            edges.push(Edge::line(top(-b), left));
        }
        let tip = Point::new(0.0, -self.depth);
        match self.bottom {
            Bottom::Flat => edges.push(Edge::line(left, right)),
            Bottom::Vee { .. } => edges.extend([Edge::line(left, tip), Edge::line(tip, right)]),
            Bottom::Round => {
                let centre = Point::new(0.0, half - self.depth);
                edges.extend(Edge::arc(left, right, centre, half, Turn::Left).ok());
            }
        }
        if walls {
            edges.push(Edge::line(right, top(b)));
        }
        edges
    }

    /// The surface beside the groove, left and right, further than the detail shows.
    fn lands(&self) -> Vec<Edge> {
        let (b, far) = (self.half_opening(), 2.0 * self.radius());
        let land = |from: f64, to: f64| match self.surface_radius {
            Some(r) if far < r => {
                let at = |x: f64| Point::new(x, self.surface(x));
                let turn = if to > from { Turn::Right } else { Turn::Left };
                Edge::arc(at(from), at(to), Point::new(0.0, -r), r, turn).ok()
            }
            _ => Some(Edge::line(Point::new(from, self.surface(from)), Point::new(to, self.surface(from)))),
        };
        [land(-b, -far), land(b, far)].into_iter().flatten().collect()
    }
}

/// Diameter of the detail's circle of a side's grooves on the part, mm.
pub(super) fn side_size(wheel: &Wheel, side: SideName) -> f64 {
    Cross::of_side(wheel, side).map_or(1.0, |c| 2.0 * c.radius())
}

/// Diameter of the detail's circle of the face's grooves on the part, mm.
pub(super) fn face_size(wheel: &Wheel) -> f64 {
    Cross::of_face(wheel).map_or(1.0, |c| 2.0 * c.radius())
}

/// The detail of one set of grooves at one scale.
pub(super) fn build(letter: char, detail: DetailOf, scale: Scale, context: &Context) -> Result<View, ViewError> {
    let wheel = &context.job.wheel;
    let of = detail.side().map_or(GrooveSet::Face, GrooveSet::Side);
    let both = detail == DetailOf::BothGrooves;
    let style = context.style;
    let (cross, what) = match of {
        GrooveSet::Side(side) if both => (Cross::of_side(wheel, side), style.say("view.groove_both").to_owned()),
        GrooveSet::Side(side) => (Cross::of_side(wheel, side), style.of_side("view.groove_side", side)),
        GrooveSet::Face => (Cross::of_face(wheel), style.say("view.groove_face").to_owned()),
    };
    let id = format!("view-detail-{}", letter.to_ascii_lowercase());
    let title = style.put("view.detail", &[("letter", &letter.to_string()), ("what", &what)]);
    let mut canvas = Canvas::new(context, scale, id, title);
    canvas.both = both;
    let Some(cross) = cross else { return Err(canvas.geometry("there is no such groove")) };
    let kind = ViewKind::Detail { letter, of: detail };
    let mut detail = Detail { canvas, context, cross, of };
    detail.picture()?;
    detail.dimensions()?;
    let bounds = detail.disc().contour().map(|c| c.bounds()).ok_or(detail.canvas.geometry("the circle has no size"))?;
    let caption = format!("{letter} ({scale})");
    Ok(detail.canvas.finish(kind, &caption, &[&what], 0.0, bounds))
}

struct Detail<'a> {
    canvas: Canvas<'a>,
    context: &'a Context<'a>,
    cross: Cross,
    of: GrooveSet,
}

impl Detail<'_> {
    fn disc(&self) -> Disc {
        let on_part = self.cross.disc();
        Disc { centre: on_part.centre * self.canvas.factor, radius: on_part.radius * self.canvas.factor }
    }

    fn picture(&mut self) -> Result<(), ViewError> {
        let (s, cross, disc) = (self.canvas.factor, self.cross, self.disc());
        let rim = disc.contour().ok_or(self.canvas.geometry("the circle has no size"))?;
        let mut edges: Vec<Edge> = Vec::new();
        for edge in cross.edges().iter().chain(&cross.lands()) {
            edges.extend(disc.clip(&edge.scaled(s)));
        }
        let is_void = |p: Point| cross.is_void(p * (1.0 / s));
        let area = hatch::Area { contour: &rim, inner: &edges, is_void: &is_void, blank: &[] };
        let flank = cross.edges().into_iter().find(|e| matches!(cross.bottom, Bottom::Vee { .. }) && e.end().x == 0.0);
        let angle = hatch::direction_beside(flank.as_ref());
        self.canvas.put(Item::Hatch { lines: hatch::lines(&area, angle) });
        self.canvas.edges(edges, LineRole::Visible);
        self.canvas.contour(rim, LineRole::Fine);
        Ok(())
    }

    fn dimensions(&mut self) -> Result<(), ViewError> {
        let (s, cross) = (self.canvas.factor, self.cross);
        let disc = self.disc();
        let outline = disc.contour().map(|c| c.bounds()).ok_or(self.canvas.geometry("the circle has no size"))?;
        let half = cross.width / 2.0;
        let mut top = Band::new(BandSide::Top, outline);
        let mut right = Band::new(BandSide::Right, outline).within(f64::MIN, outline.max.y + BELOW_TOP);
        let width = [Point::new(-half, cross.surface(half)) * s, Point::new(half, cross.surface(half)) * s];
        self.linear(GrooveSize::Width, width, width[1].x - width[0].x).into_iter().for_each(|l| top.add(l));
        let across = if cross.bottom == Bottom::Flat { half } else { 0.0 };
        let chord = (disc.radius * disc.radius - disc.centre.y * disc.centre.y).max(0.0).sqrt();
        // a curved surface falls off: its height at the centre line is marked beside it
        let depth = [Point::new(across, -cross.depth) * s, Point::new(chord, 0.0)];
        self.linear(GrooveSize::Depth, depth, depth[1].y - depth[0].y).into_iter().for_each(|l| right.add(l));
        for band in [top, right] {
            let Some(filled) = band.fill() else { return Err(self.canvas.crowded("width and depth do not fit")) };
            self.canvas.put_band(filled);
        }
        let called = self.bottom_called().into_iter().collect();
        let column =
            Column { towards: -1.0, edge: outline.min.x, low: outline.min.y - SPARE, high: outline.max.y, called };
        let Some(groups) = column.fill() else { return Err(self.canvas.crowded("the bottom's value does not fit")) };
        self.canvas.put_groups(groups);
        Ok(())
    }

    fn linear(&mut self, what: GrooveSize, ends: [Point; 2], on_paper: f64) -> Option<Linear> {
        let requirement = self.canvas.requirement(Size::Groove(self.of, what))?;
        Some(self.canvas.linear(requirement, ends, on_paper / self.canvas.factor))
    }

    /// The radius of a round bottom for reference, or the angle of a vee.
    fn bottom_called(&mut self) -> Option<Called> {
        let (s, cross, style) = (self.canvas.factor, self.cross, self.context.style);
        match cross.bottom {
            Bottom::Flat => None,
            Bottom::Round if self.context.references => {
                let size = Size::Groove(self.of, GrooveSize::BottomRadius);
                let radius = size.value(self.context.job)?;
                let arc = cross.edges().into_iter().find_map(|e| if let Edge::Arc(a) = e { Some(a) } else { None })?;
                let label = Label::reference_length("", "R", radius, style);
                let group = self.canvas.note_reference(size, radius, arc.radius(), &label);
                let target = arc.at(0.25) * s;
                Some(Called { group, subject: Subject::Reference(size), target, rise: 0.0, label, second: None, stacked: false })
            }
            Bottom::Round => None,
            Bottom::Vee { .. } => {
                let requirement = self.canvas.requirement(Size::Groove(self.of, GrooveSize::VeeAngle))?;
                let flanks = cross.edges();
                let flank = flanks.iter().find(|e| e.end().x == 0.0)?;
                let direction = flank.direction(0.0)?;
                let measured = 2.0 * direction.x.abs().atan2(direction.y.abs()).to_degrees();
                let label = self.canvas.label(requirement);
                Some(self.canvas.called(requirement, flank.at(0.5) * s, measured, label))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shallow_round_groove_has_no_walls_and_opens_as_wide_as_its_circle_is_there() {
        let cross = Cross { width: 4.0, depth: 1.0, bottom: Bottom::Round, surface_radius: None };
        // a circle of radius 2, 1 mm of it below the surface: half chord √(2² − 1²)
        assert!((cross.half_opening() - 3.0_f64.sqrt()).abs() < 1e-12);
        assert_eq!(cross.edges().len(), 1);
    }

    #[test]
    fn edges_run_from_surface_to_surface_through_the_deepest_point() {
        let bottoms = [Bottom::Flat, Bottom::Round, Bottom::Vee { angle_deg: 60.0 }];
        for bottom in bottoms {
            for surface_radius in [None, Some(300.0)] {
                let cross = Cross { width: 3.0, depth: 5.0, bottom, surface_radius };
                let edges = cross.edges();
                let lowest = edges.iter().map(|e| e.bounds().min.y).fold(0.0, f64::min);
                assert!((lowest + 5.0).abs() < 1e-12, "{bottom:?} {lowest}");
                for pair in edges.windows(2) {
                    assert_eq!(pair[0].end(), pair[1].start());
                }
                assert!(cross.is_void(Point::new(0.0, -4.9)) && !cross.is_void(Point::new(0.0, -5.1)));
            }
        }
    }
}

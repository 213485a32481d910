//! The sizes that measured points come to: lines and circles through those of each feature, and what lies between them.

use super::Off;
use super::shapes::{BestLine, best_radius};
use crate::geometry::{Edge, Point};
use crate::section::{Feature, Section};
use crate::shop::inspection::items::{Extent, Item, items};
use crate::shop::inspection::verdict::{Judged, judged};
use crate::size::{SideName, Size};
use crate::wheel::Job;

/// Share of an edge at each end whose points are left out: they may lie round the corner.
const END: f64 = 0.08;
/// The most that is left out, mm.
const MOST_END: f64 = 2.0;
/// Least turn of the points on a circle that shows its radius, radians.
const LEAST_TURN: f64 = 0.35;

/// The sizes beside the ordered ones, and those that the points do not show.
pub(super) fn sizes(job: &Job, section: &Section, offs: &[Off], axis: bool) -> (Vec<Judged>, Vec<String>) {
    let shapes = Shapes { job, section, offs, axis };
    let (mut found, mut lacking) = (Vec::new(), Vec::new());
    for item in items(job, Extent::Whole(1)).into_iter().filter(|i| is_of_section(i.requirement.size)) {
        match shapes.measure(&item) {
            Some(value) => found.push(judged(item, Some(value))),
            None => lacking.push(format!("{} {}", item.number, item.label)),
        }
    }
    lacking.dedup();
    (found, lacking)
}

/// What a section can show at all.
fn is_of_section(size: Size) -> bool {
    !matches!(size, Size::Groove(..) | Size::Parallelism | Size::HubThickness | Size::RimThickness)
}

struct Shapes<'a> {
    job: &'a Job,
    section: &'a Section,
    offs: &'a [Off],
    axis: bool,
}

impl Shapes<'_> {
    fn measure(&self, item: &Item) -> Option<f64> {
        let wheel = &self.job.wheel;
        match item.requirement.size {
            Size::OutsideDiameter => self.diameter(Feature::OutsideDiameter),
            Size::Bore => self.diameter(Feature::Bore),
            Size::RecessDiameter(side, i) => self.diameter(Feature::RecessWall(side, i)),
            Size::Thickness => self.thickness(),
            Size::RecessDepth(side, i) => {
                let floor = self.line(Feature::RecessFloor(side, i))?;
                self.depth(side, &floor, floor.middle.x)
            }
            Size::RecessFillet(side, i) => self.radius(Feature::RecessFillet(side, i)),
            Size::CornerRadius(side) => self.radius(Feature::Corner(side)),
            Size::CornerAngle(side) => {
                let (edge, flank) = (self.line(Feature::Corner(side))?, self.plane(side)?);
                Some(between(edge.direction, flank.direction))
            }
            Size::CornerChamfer(side) => {
                let (edge, rim) = (self.line(Feature::Corner(side))?, self.line(Feature::OutsideDiameter)?);
                let foot = edge.meets(&self.flank(side)?)?;
                Some(rim.r_at(foot.y) - foot.x)
            }
            Size::BoreChamfer => {
                let both = SideName::BOTH.into_iter().find_map(|side| Some((side, self.line(Feature::BoreChamfer(side))?)));
                let ((side, edge), bore) = (both?, self.line(Feature::Bore)?);
                let foot = edge.meets(&self.plane(side)?)?;
                Some(foot.x - bore.r_at(foot.y))
            }
            Size::TaperAngle(side) => {
                Some(between(self.line(Feature::Taper(side))?.direction, self.plane(side)?.direction))
            }
            Size::TaperDepth(side) => self.taper_depth(side, wheel.side(side).taper?.to_diameter),
            Size::TaperStart(side) => self.taper_depth(side, wheel.side(side).taper?.from_diameter),
            Size::RunoutFace => self.runout(&[Feature::OutsideDiameter]),
            Size::RunoutSide => {
                let side = if item.place.ends_with('A') { SideName::A } else { SideName::B };
                self.runout(&[Feature::Flat(side)])
            }
            _ => None,
        }
    }

    /// Points of a feature, those near the ends of its edges left out.
    fn points(&self, feature: Feature) -> Vec<Point> {
        let edges = self.section.contour().edges();
        let inside = |o: &&Off| {
            let edge = &edges[o.edge];
            let guard = (END * edge.length()).min(MOST_END);
            let foot = edge.nearest(o.at);
            foot.distance(edge.start()) > guard && foot.distance(edge.end()) > guard
        };
        self.offs.iter().filter(|o| o.feature == feature).filter(inside).map(|o| o.at).collect()
    }

    fn line(&self, feature: Feature) -> Option<BestLine> {
        BestLine::of(&self.points(feature))
    }

    /// The plane of a side as measured on its flat; where the points show none, that of the fitted section.
    fn plane(&self, side: SideName) -> Option<BestLine> {
        let z = if side == SideName::A { 0.0 } else { self.job.wheel.thickness };
        let fitted = || BestLine { middle: Point::new(0.0, z), direction: Point::new(1.0, 0.0) };
        Some(self.line(Feature::Flat(side)).unwrap_or_else(fitted))
    }

    /// What meets the corner of a side: its flat, its taper, or what lies behind that.
    fn flank(&self, side: SideName) -> Option<BestLine> {
        let rim = self.job.wheel.outside_radius();
        let near = [Feature::Flat(side), Feature::Taper(side), Feature::TaperFlat(side)].map(|f| self.line(f));
        let gap = |line: &BestLine| (rim - line.middle.x).abs();
        near.into_iter().flatten().min_by(|a, b| gap(a).total_cmp(&gap(b)))
    }

    /// Depth of a line below the plane of a side at a radius.
    fn depth(&self, side: SideName, line: &BestLine, r: f64) -> Option<f64> {
        let below = line.z_at(r) - self.plane(side)?.z_at(r);
        Some(if side == SideName::A { below } else { -below })
    }

    fn taper_depth(&self, side: SideName, diameter: f64) -> Option<f64> {
        let wheel = &self.job.wheel;
        let r = (diameter / 2.0).clamp(wheel.bore_radius(), wheel.outside_radius());
        self.depth(side, &self.line(Feature::Taper(side))?, r)
    }

    fn thickness(&self) -> Option<f64> {
        let [a, b] = [self.line(Feature::Flat(SideName::A))?, self.line(Feature::Flat(SideName::B))?];
        let r = (a.middle.x + b.middle.x) / 2.0;
        Some(b.z_at(r) - a.z_at(r))
    }

    /// Twice the radius of a wall; only where r counts from the axis.
    fn diameter(&self, feature: Feature) -> Option<f64> {
        let points = self.points(feature);
        let mean = points.iter().map(|p| p.x).sum::<f64>() / points.len() as f64;
        (self.axis && !points.is_empty()).then_some(2.0 * mean)
    }

    fn radius(&self, feature: Feature) -> Option<f64> {
        let arcs = self.section.edges().filter(|(_, f)| *f == feature);
        let arc = arcs.filter_map(|(e, _)| if let Edge::Arc(arc) = e { Some(*arc) } else { None }).next()?;
        best_radius(&self.points(feature), arc.centre(), arc.radius(), LEAST_TURN)
    }

    /// How far the mean deviations of several sections round the wheel lie apart; `None` of a single one.
    fn runout(&self, features: &[Feature]) -> Option<f64> {
        let count = self.offs.iter().map(|o| o.section + 1).max().unwrap_or(0);
        let mean = |section: usize| {
            let of = self.offs.iter().filter(|o| o.section == section && features.contains(&o.feature));
            let (n, sum) = of.fold((0_u32, 0.0), |(n, sum), o| (n + 1, sum + o.deviation));
            (n > 0).then(|| sum / f64::from(n))
        };
        let means: Vec<f64> = (0..count).filter_map(mean).collect();
        let low = means.iter().copied().fold(f64::INFINITY, f64::min);
        let high = means.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (means.len() > 1).then_some(high - low)
    }
}

/// The acute angle between two directions, degrees.
fn between(a: Point, b: Point) -> f64 {
    a.cross(b).abs().atan2(a.dot(b).abs()).to_degrees()
}

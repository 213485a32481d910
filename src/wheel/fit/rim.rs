//! Whether the corners fit on their sides and on the rim.

use super::Check;
use crate::geometry::{Arc, Point, round_end};
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Corner, Side, SideName};

/// Whether a chamfer of this radial run and axial rise begins on the side line and cuts away what lies beyond its beginning.
fn chamfer_fits(line: &[Point], run: f64, rise: f64) -> bool {
    let (first, rim) = (line[0], line[line.len() - 1]);
    let start = rim.x - run;
    if start < first.x - SAME_LENGTH {
        return false;
    }
    let piece = line.windows(2).find(|w| start <= w[1].x).unwrap_or(&line[..2]);
    let from = piece[0].lerp(piece[1], ((start - piece[0].x) / (piece[1].x - piece[0].x)).clamp(0.0, 1.0));
    let end = Point::new(rim.x, rim.y + rise);
    line.iter().filter(|p| p.x > start).all(|p| p.y <= from.lerp(end, (p.x - start) / run).y + SAME_LENGTH)
}

impl Check<'_> {
    /// The nominal side line from the outermost recess (or the bore) to the outside diameter: x is the radius, y the depth below the datum
    /// plane, mm.
    fn side_line(&self, side: &Side) -> Vec<Point> {
        let (bore, outside) = (self.wheel.bore_radius(), self.wheel.outside_radius());
        let start = side.recess.first().map_or(bore, |s| s.diameter / 2.0);
        let mut radii: Vec<f64> =
            side.taper.iter().flat_map(|t| [t.from_diameter / 2.0, t.to_diameter / 2.0]).collect();
        radii.retain(|&k| k > start + SAME_LENGTH && k < outside - SAME_LENGTH);
        radii.extend([start, outside]);
        radii.sort_by(f64::total_cmp);
        radii.into_iter().map(|r| Point::new(r, side.nominal_depth(r))).collect()
    }

    /// The arc of a corner radius; `None` where it does not fit on the side.
    fn corner_arc(&self, side: &Side, radius: f64) -> Option<Arc> {
        let line = self.side_line(side);
        let rim = *line.last()?;
        let below = Point::new(rim.x, rim.y + 4.0 * (self.wheel.thickness + radius));
        round_end(&line, below, radius).ok().map(|(_, arc)| arc)
    }

    /// Notes a corner larger than its side.
    pub(super) fn corner(&mut self, name: SideName) {
        let side = self.wheel.side(name);
        let Some(corner) = side.corner else { return };
        let (key, size, fits) = match corner {
            Corner::Radius(radius) => ("radius", radius, self.corner_arc(side, radius).is_some()),
            Corner::Chamfer { run, angle_deg } => {
                let rise = run * angle_deg.to_radians().tan();
                ("chamfer", run, chamfer_fits(&self.side_line(side), run, rise))
            }
        };
        if fits {
            return;
        }
        let inner = match side.recess.first() {
            Some(step) => format!("the recess {}", self.show(step.diameter)),
            None => format!("the bore {}", self.show(self.wheel.bore)),
        };
        let message = format!(
            "the corner {key} {} of side {} does not fit on the side between {inner} and the outside diameter {}",
            self.show(size),
            name.letter(),
            self.show(self.wheel.outside_diameter)
        );
        let hint = match (side.taper.is_some(), side.recess.is_empty()) {
            (true, _) => "make the corner smaller, or change the taper",
            (false, false) => "make the corner or the recess smaller",
            (false, true) => "make the corner smaller",
        };
        self.add(format!("/wheel/{}/corner/{key}", name.key()), message, hint);
    }

    /// Depth of a side at the outside diameter with its corner, and at radius r where the corner has begun (`None` where it has not).
    pub(super) fn corner_depth(&self, name: SideName, r: f64) -> Option<f64> {
        let side = self.wheel.side(name);
        let (outside, begin) = (self.wheel.outside_radius(), self.corner_begin(name)?);
        if r <= begin + SAME_LENGTH {
            return None;
        }
        match side.corner? {
            Corner::Radius(radius) => {
                let arc = self.corner_arc(side, radius)?;
                let across = (r.min(outside) - arc.centre().x).abs().min(radius);
                Some(arc.centre().y - ((radius - across) * (radius + across)).sqrt())
            }
            Corner::Chamfer { run, angle_deg } => {
                let (top, end) = (side.nominal_depth(begin), side.nominal_depth(outside));
                let share = ((r - begin) / run).clamp(0.0, 1.0);
                Some(top + share * (end + run * angle_deg.to_radians().tan() - top))
            }
        }
    }

    /// Radius at which a side's corner begins.
    pub(super) fn corner_begin(&self, name: SideName) -> Option<f64> {
        let side = self.wheel.side(name);
        match side.corner? {
            Corner::Radius(radius) => self.corner_arc(side, radius).map(|arc| arc.start().x),
            Corner::Chamfer { run, .. } => Some(self.wheel.outside_radius() - run),
        }
    }

    /// Whether the corners leave the rim between them, else a problem is noted; corners that just meet make a full round rim, which can be ground.
    pub(super) fn rim(&mut self) -> bool {
        let outside = self.wheel.outside_radius();
        let taken = SideName::BOTH.map(|name| {
            let nominal = self.wheel.side(name).nominal_depth(outside);
            self.corner_depth(name, outside).map_or(0.0, |d| d - nominal)
        });
        let nominal = SideName::BOTH.map(|name| self.wheel.side(name).nominal_depth(outside));
        let rim = self.wheel.thickness - nominal[0] - nominal[1];
        // tapers that leave no rim at all are for `sides_meet` to report
        if taken[0] + taken[1] <= rim + SAME_LENGTH || rim <= SAME_LENGTH {
            return true;
        }
        let (a, b, t) = (self.show(taken[0]), self.show(taken[1]), self.show(rim));
        let field = if taken[0] >= taken[1] { "/wheel/side_a/corner" } else { "/wheel/side_b/corner" };
        let only = |side: &str, takes: &str| {
            format!("the corner of side {side} takes {takes} along the axis, but the rim is {t} thick")
        };
        let message = if taken[1] <= 0.0 {
            only("A", &a)
        } else if taken[0] <= 0.0 {
            only("B", &b)
        } else {
            format!("the corners of side A ({a} along the axis) and side B ({b}) meet: the rim is {t} thick")
        };
        self.add(field, message, "make the corners together no larger than the rim");
        false
    }
}

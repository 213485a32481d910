//! Whether the features of a wheel can exist together. What cannot is refused with the two features and the numbers named.

mod grooves;

use super::model::{Corner, Side, SideName, Wheel};
use super::{Blank, Job};
use crate::geometry::{Point, round_end};
use crate::order::Problem;
use crate::quantity::{LengthUnit, trimmed};
use crate::tolerance::SAME_LENGTH;

/// A length as shown to the person who typed it: in the file's unit, with the digits that matter.
pub(super) fn show(mm: f64, unit: LengthUnit) -> String {
    let decimals = if unit == LengthUnit::Inch { 4 } else { 3 };
    format!("{} {}", trimmed(mm / unit.mm(), decimals), unit.symbol())
}

/// All problems of fit of one wheel.
pub(super) fn problems(wheel: &Wheel, unit: LengthUnit) -> Vec<Problem> {
    let mut check = Check { wheel, unit, found: Vec::new() };
    if wheel.bore >= wheel.outside_diameter {
        let (h, d) = (check.show(wheel.bore), check.show(wheel.outside_diameter));
        let message = format!("the bore {h} is not smaller than the outside diameter {d}");
        check.add("/wheel/bore", message, "give a bore below the outside diameter");
        return check.found;
    }
    for name in SideName::BOTH {
        check.taper(name);
        check.recess(name);
    }
    if check.found.is_empty() {
        check.sides_meet();
    }
    if check.found.is_empty() {
        check.corners();
        check.bore_chamfer();
        check.grooves();
    }
    check.found
}

/// Problems between the blank's own sizes.
pub(super) fn blank_problems(job: &Job) -> Vec<Problem> {
    let Some(Blank { outside_diameter: Some(d), bore: Some(h), .. }) = &job.blank else { return Vec::new() };
    if h < d {
        return Vec::new();
    }
    let message = format!(
        "the blank's bore {} is not smaller than its outside diameter {}",
        show(*h, job.units),
        show(*d, job.units)
    );
    vec![Problem::new("/blank/bore", message, "give the blank's bore below its outside diameter")]
}

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

struct Check<'a> {
    wheel: &'a Wheel,
    unit: LengthUnit,
    found: Vec<Problem>,
}

impl Check<'_> {
    fn show(&self, mm: f64) -> String {
        show(mm, self.unit)
    }

    fn add(&mut self, field: impl Into<String>, message: impl Into<String>, hint: impl Into<String>) {
        self.found.push(Problem::new(field, message, hint));
    }

    fn taper(&mut self, name: SideName) {
        let Some(taper) = self.wheel.side(name).taper else { return };
        let at = format!("/wheel/{}/taper", name.key());
        let (inner, outer) = taper.sloped();
        if inner >= self.wheel.outside_radius() - SAME_LENGTH || outer <= self.wheel.bore_radius() + SAME_LENGTH {
            let message = format!(
                "the taper of side {} runs from {} to {} and misses the side, which lies between the bore {} and the \
                 outside diameter {}",
                name.letter(),
                self.show(taper.from_diameter),
                self.show(taper.to_diameter),
                self.show(self.wheel.bore),
                self.show(self.wheel.outside_diameter)
            );
            self.add(format!("{at}/from_diameter"), message, "give diameters on the side");
        }
        if let Some(step) = self.wheel.side(name).recess.first().filter(|s| s.diameter / 2.0 > inner + SAME_LENGTH) {
            let message = format!(
                "the taper of side {} slopes from diameter {} to {} and crosses its recess of diameter {}",
                name.letter(),
                self.show(2.0 * inner),
                self.show(2.0 * outer),
                self.show(step.diameter)
            );
            let hint = format!("let the taper end at or outside {}", self.show(step.diameter));
            self.add(
                format!(
                    "{at}/{}",
                    if taper.from_diameter < taper.to_diameter { "from_diameter" } else { "to_diameter" }
                ),
                message,
                hint,
            );
        }
    }

    fn recess(&mut self, name: SideName) {
        let side = self.wheel.side(name);
        let mut outer = ("the outside diameter".to_owned(), self.wheel.outside_diameter);
        let wall = side.recess.first().map_or(0.0, |s| side.nominal_depth(s.diameter / 2.0));
        let mut upper = ("the side".to_owned(), wall);
        for (i, step) in side.recess.iter().enumerate() {
            let at = format!("/wheel/{}/recess/{i}", name.key());
            let me = format!("recess step {} of side {}", i + 1, name.letter());
            if step.diameter >= outer.1 - SAME_LENGTH {
                let message = format!(
                    "{me} has diameter {}, not smaller than {} {}",
                    self.show(step.diameter),
                    outer.0,
                    self.show(outer.1)
                );
                self.add(format!("{at}/diameter"), message, "list the steps from the outermost in: diameters fall");
            }
            if step.diameter <= self.wheel.bore + SAME_LENGTH {
                let (p, h) = (self.show(step.diameter), self.show(self.wheel.bore));
                let message = format!("{me} has diameter {p}, not larger than the bore {h}");
                self.add(format!("{at}/diameter"), message, "give a recess diameter above the bore");
            }
            if step.depth <= upper.1 + SAME_LENGTH {
                let message = format!(
                    "{me} is {} deep, not deeper than {} at {}",
                    self.show(step.depth),
                    upper.0,
                    self.show(upper.1)
                );
                self.add(format!("{at}/depth"), message, "list the steps from the outermost in: depths grow");
            }
            if step.depth >= self.wheel.thickness - SAME_LENGTH {
                let (f, t) = (self.show(step.depth), self.show(self.wheel.thickness));
                let message = format!("{me} is {f} deep, but the wheel is only {t} thick");
                self.add(format!("{at}/depth"), message, "give a depth below the thickness");
            }
            self.fillet(name, i, upper.1);
            outer = (format!("step {}, which has", i + 1), step.diameter);
            upper = (format!("step {}", i + 1), step.depth);
        }
    }

    fn fillet(&mut self, name: SideName, i: usize, upper: f64) {
        let side = self.wheel.side(name);
        let step = side.recess[i];
        let inner = side.recess.get(i + 1).map_or(self.wheel.bore, |s| s.diameter);
        let (wall, floor) = (step.depth - upper, (step.diameter - inner) / 2.0);
        let field = format!("/wheel/{}/recess/{i}/fillet_radius", name.key());
        let me = format!(
            "the fillet radius {} of recess step {} of side {}",
            self.show(step.fillet_radius),
            i + 1,
            name.letter()
        );
        if wall > 0.0 && step.fillet_radius > wall + SAME_LENGTH {
            let wall = self.show(wall);
            self.add(
                field.clone(),
                format!("{me} is larger than its wall, {wall} high"),
                format!("give at most {wall}"),
            );
        }
        if floor > 0.0 && step.fillet_radius > floor + SAME_LENGTH {
            let floor = self.show(floor);
            self.add(field, format!("{me} is larger than its floor, {floor} wide"), format!("give at most {floor}"));
        }
    }

    /// Depth below a side's datum plane just inside and just outside radius r, fillets and corners left aside, and the feature that makes it.
    fn depths(&self, name: SideName, r: f64) -> [(f64, String); 2] {
        let side = self.wheel.side(name);
        let at = |inside: bool| {
            let covers = |d: f64| if inside { r <= d / 2.0 + SAME_LENGTH } else { r < d / 2.0 - SAME_LENGTH };
            let step = side.recess.iter().enumerate().rev().find(|(_, s)| covers(s.diameter));
            match step {
                Some((i, s)) => (s.depth, format!("recess step {} of side {}", i + 1, name.letter())),
                None if side.taper.is_some() => (side.nominal_depth(r), format!("the taper of side {}", name.letter())),
                None => (0.0, format!("side {}", name.letter())),
            }
        };
        [at(true), at(false)]
    }

    fn radii(&self) -> Vec<f64> {
        let mut radii = vec![self.wheel.bore_radius(), self.wheel.outside_radius()];
        for name in SideName::BOTH {
            let side = self.wheel.side(name);
            radii.extend(side.recess.iter().map(|s| s.diameter / 2.0));
            radii.extend(side.taper.iter().flat_map(|t| [t.from_diameter / 2.0, t.to_diameter / 2.0]));
        }
        radii.retain(|r| (self.wheel.bore_radius()..=self.wheel.outside_radius()).contains(r));
        radii.sort_by(f64::total_cmp);
        radii
    }

    fn sides_meet(&mut self) {
        for r in self.radii() {
            let (a, b) = (self.depths(SideName::A, r), self.depths(SideName::B, r));
            for ((deep_a, what_a), (deep_b, what_b)) in a.iter().zip(&b) {
                if deep_a + deep_b < self.wheel.thickness - SAME_LENGTH {
                    continue;
                }
                let message = format!(
                    "{what_a} ({} deep) and {what_b} ({} deep) meet at diameter {}: the wheel is {} thick",
                    self.show(*deep_a),
                    self.show(*deep_b),
                    self.show(2.0 * r),
                    self.show(self.wheel.thickness)
                );
                let field = if *deep_a > 0.0 { "/wheel/side_a" } else { "/wheel/side_b" };
                self.add(field, message, "make the depths together smaller than the thickness");
                return;
            }
        }
    }

    /// The nominal side line from the outermost recess (or the bore) to the outside diameter, in (r, depth).
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

    /// Axial extent of a side's corner at the outside diameter; notes a corner larger than its side.
    fn corner(&mut self, name: SideName) -> f64 {
        let side = self.wheel.side(name);
        let Some(corner) = side.corner else { return 0.0 };
        let line = self.side_line(side);
        let rim = Point::new(self.wheel.outside_radius(), side.nominal_depth(self.wheel.outside_radius()));
        let (key, size, axial) = match corner {
            Corner::Radius(radius) => {
                let below = Point::new(rim.x, rim.y + 2.0 * self.wheel.thickness);
                let fits = round_end(&line, below, radius).ok();
                ("radius", radius, fits.map(|(_, arc)| arc.end().y - rim.y))
            }
            Corner::Chamfer { run, angle_deg } => {
                let rise = run * angle_deg.to_radians().tan();
                ("chamfer", run, chamfer_fits(&line, run, rise).then_some(rise))
            }
        };
        axial.unwrap_or_else(|| {
            let message = format!(
                "the corner {key} {} of side {} does not fit on the side, which lies between diameters {} and {}",
                self.show(size),
                name.letter(),
                self.show(2.0 * line[0].x),
                self.show(2.0 * rim.x)
            );
            let hint = "make the corner smaller, or move the recess or taper inwards";
            self.add(format!("/wheel/{}/corner/{key}", name.key()), message, hint);
            0.0
        })
    }

    fn corners(&mut self) {
        let (a, b) = (self.corner(SideName::A), self.corner(SideName::B));
        let outside = self.wheel.outside_radius();
        let rim =
            self.wheel.thickness - self.wheel.side_a.nominal_depth(outside) - self.wheel.side_b.nominal_depth(outside);
        if a + b > rim + SAME_LENGTH {
            let message = format!(
                "the corner of side A ({} along the axis) and that of side B ({}) meet: the rim is {} thick",
                self.show(a),
                self.show(b),
                self.show(rim)
            );
            let field = if a >= b { "/wheel/side_a/corner" } else { "/wheel/side_b/corner" };
            self.add(field, message, "make the corners together no larger than the rim");
        }
    }

    fn bore_chamfer(&mut self) {
        let c = self.wheel.bore_chamfer;
        if c <= 0.0 {
            return;
        }
        let (bore, outside) = (self.wheel.bore_radius(), self.wheel.outside_radius());
        let mut left = self.wheel.thickness;
        for name in SideName::BOTH {
            let side = self.wheel.side(name);
            let (end, depth, what) = match side.recess.last() {
                Some(s) => (s.diameter / 2.0 - s.fillet_radius, s.depth, "the recess floor"),
                None => {
                    let kinks = side.taper.iter().flat_map(|t| [t.from_diameter / 2.0, t.to_diameter / 2.0]);
                    let end = kinks.filter(|&k| k > bore + SAME_LENGTH && k < outside).fold(outside, f64::min);
                    (end, side.nominal_depth(bore), "the side")
                }
            };
            left -= depth;
            if c > end - bore + SAME_LENGTH {
                let (c, has) = (self.show(c), self.show(end - bore));
                let message =
                    format!("the bore chamfer {c} is larger than {what} at side {}, {has} wide", name.letter());
                self.add("/wheel/bore_chamfer", message, format!("give at most {has}"));
            }
        }
        if 2.0 * c > left + SAME_LENGTH {
            let (c, left) = (self.show(c), self.show(left));
            let message = format!("the bore chamfers, {c} at both ends, meet: the wheel is {left} thick at the bore");
            self.add("/wheel/bore_chamfer", message, "give at most half of that thickness");
        }
    }
}

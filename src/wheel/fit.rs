//! Whether the features of a wheel can exist together. What cannot is refused with the two features and the numbers named.

mod grooves;
mod meeting;
mod rim;

use super::model::{Side, Wheel};
use crate::json::Problem;
use crate::quantity::{LengthUnit, Written};
use crate::size::SideName;
use crate::tolerance::SAME_LENGTH;

/// A length as shown to the person who typed it: in the file's unit, with the digits that matter.
pub(super) fn show(mm: f64, unit: LengthUnit) -> String {
    Written::plain_in(unit).measured(mm)
}

/// All problems of fit of one wheel.
pub(super) fn problems(wheel: &Wheel, unit: LengthUnit) -> Vec<Problem> {
    let mut check = Check { wheel, unit, found: Vec::new() };
    if wheel.bore >= wheel.outside_diameter - SAME_LENGTH {
        let (h, d) = (check.show(wheel.bore), check.show(wheel.outside_diameter));
        let message = format!("the bore {h} is not smaller than the outside diameter {d}");
        check.add("/wheel/bore", message, "give a bore below the outside diameter");
        return check.found;
    }
    let sides_sound = SideName::BOTH.map(|name| check.side(name));
    if sides_sound == [true, true] {
        if check.rim() {
            check.sides_meet();
        }
        check.bore_chamfer();
    }
    check.grooves();
    check.found
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

    /// Whether taper, recess and corner of one side are possible by themselves.
    fn side(&mut self, name: SideName) -> bool {
        let before = self.found.len();
        self.recess(name);
        self.taper(name, self.found.len() == before);
        if self.found.len() == before {
            self.corner(name);
        }
        self.found.len() == before
    }

    fn taper(&mut self, name: SideName, recess_sound: bool) {
        let Some(taper) = self.wheel.side(name).taper else { return };
        let at = format!("/wheel/{}/taper", name.key());
        let (inner, outer) = taper.sloped();
        let (from, to) = (self.show(taper.from_diameter), self.show(taper.to_diameter));
        let letter = name.letter();
        if inner >= self.wheel.outside_radius() - SAME_LENGTH || outer <= self.wheel.bore_radius() + SAME_LENGTH {
            let (h, d) = (self.show(self.wheel.bore), self.show(self.wheel.outside_diameter));
            let message = format!(
                "the taper of side {letter} runs from {from} to {to} and misses the side between the bore {h} and the outside diameter {d}"
            );
            self.add(format!("{at}/from_diameter"), message, "give diameters on the side");
        } else if let Some(step) =
            self.wheel.side(name).recess.first().filter(|s| recess_sound && s.diameter / 2.0 > inner + SAME_LENGTH)
        {
            let p = self.show(step.diameter);
            let message =
                format!("the taper of side {letter}, from {from} to {to}, crosses the recess of diameter {p}");
            let key = if taper.from_diameter < taper.to_diameter { "from_diameter" } else { "to_diameter" };
            self.add(format!("{at}/{key}"), message, format!("let the taper end at {p} or outside of it"));
        }
        if taper.depth >= self.wheel.thickness - SAME_LENGTH {
            let (depth, t) = (self.show(taper.depth), self.show(self.wheel.thickness));
            let message = format!("the taper of side {letter} is {depth} deep, but the wheel is {t} thick");
            self.add(at, message, "give less depth or angle");
        }
    }

    fn recess(&mut self, name: SideName) {
        for i in 0..self.wheel.side(name).recess.len() {
            self.step_diameter(name, i);
            self.step_depth(name, i);
            self.fillet(name, i);
        }
    }

    fn step_diameter(&mut self, name: SideName, i: usize) {
        let side = self.wheel.side(name);
        let (me, diameter) = (step_name(side, name, i), side.recess[i].diameter);
        let field = format!("/wheel/{}/recess/{i}/diameter", name.key());
        let p = self.show(diameter);
        let d = self.wheel.outside_diameter;
        if i > 0 && diameter >= side.recess[i - 1].diameter - SAME_LENGTH {
            let message = format!(
                "{me} has diameter {p}, not smaller than step {i} with {}",
                self.show(side.recess[i - 1].diameter)
            );
            self.add(field.clone(), message, "list the steps from the outermost in, so that diameters fall");
        } else if diameter >= d - SAME_LENGTH {
            let message = format!("{me} has diameter {p}, not smaller than the outside diameter {}", self.show(d));
            self.add(field.clone(), message, "give a diameter below the outside diameter");
        }
        if diameter <= self.wheel.bore + SAME_LENGTH {
            let message = format!("{me} has diameter {p}, not larger than the bore {}", self.show(self.wheel.bore));
            self.add(field, message, "give a diameter above the bore");
        }
    }

    fn step_depth(&mut self, name: SideName, i: usize) {
        let side = self.wheel.side(name);
        let (me, depth) = (step_name(side, name, i), side.recess[i].depth);
        let field = format!("/wheel/{}/recess/{i}/depth", name.key());
        let (f, upper) = (self.show(depth), upper_depth(side, i));
        if depth >= self.wheel.thickness - SAME_LENGTH {
            let message = format!("{me} is {f} deep, but the wheel is {} thick", self.show(self.wheel.thickness));
            self.add(field, message, "give a depth below the thickness");
        } else if depth <= upper + SAME_LENGTH {
            let (upper, hint) = (self.show(upper), "list the steps from the outermost in, so that depths grow");
            let (other, hint) = match i {
                0 => (format!("the taper there with {upper}"), "give more depth, measured from the datum plane"),
                _ => (format!("step {i} with {upper}"), hint),
            };
            self.add(field, format!("{me} is {f} deep, not deeper than {other}"), hint);
        }
    }

    fn fillet(&mut self, name: SideName, i: usize) {
        let side = self.wheel.side(name);
        let step = side.recess[i];
        let inner = side.recess.get(i + 1).map_or(self.wheel.bore, |s| s.diameter);
        let (wall, floor) = (step.depth - upper_depth(side, i), (step.diameter - inner) / 2.0);
        let field = format!("/wheel/{}/recess/{i}/fillet_radius", name.key());
        let me = format!("the fillet radius {} of {}", self.show(step.fillet_radius), step_name(side, name, i));
        // walls and floors that cannot be are reported as such
        let too_large = |has: f64| has > SAME_LENGTH && step.fillet_radius > has + SAME_LENGTH;
        if too_large(wall) {
            let has = self.show(wall);
            self.add(field.clone(), format!("{me} is larger than its wall, {has} high"), format!("give at most {has}"));
        }
        if too_large(floor) {
            let has = self.show(floor);
            self.add(field, format!("{me} is larger than its floor, {has} wide"), format!("give at most {has}"));
        }
    }
}

/// How messages name a step: by its number only where there are several.
fn step_name(side: &Side, name: SideName, i: usize) -> String {
    match side.recess.len() {
        1 => format!("the recess of side {}", name.letter()),
        _ => format!("recess step {} of side {}", i + 1, name.letter()),
    }
}

/// Depth from which the wall of step i goes down: that of the step outside it, or of the side line.
fn upper_depth(side: &Side, i: usize) -> f64 {
    match i {
        0 => side.nominal_depth(side.recess[0].diameter / 2.0),
        _ => side.recess[i - 1].depth,
    }
}

//! What each operation takes off a stock wheel, in the order the operations are done.

use super::operation::Operation;
use crate::properties;
use crate::section::{Section, SectionError};
use crate::wheel::{Side, SideName, Wheel};
use serde::Serialize;
use std::f64::consts::FRAC_PI_4;

/// Sizes of a straight stock wheel, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BlankSize {
    /// Outside diameter.
    pub outside_diameter: f64,
    /// Thickness.
    pub thickness: f64,
    /// Bore.
    pub bore: f64,
}

impl BlankSize {
    /// Volume, mm³: π/4·(D² − H²)·T.
    pub fn volume(&self) -> f64 {
        FRAC_PI_4 * (self.outside_diameter + self.bore) * (self.outside_diameter - self.bore) * self.thickness
    }
}

/// What one operation takes off.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Removal {
    /// The operation.
    pub operation: Operation,
    /// Volume taken off, mm³, above 0.
    pub volume: f64,
}

/// What is taken off a stock wheel of this size to make the wheel, by operation; operations that take nothing off are left out. A blank that is
/// smaller than the wheel (within the order's tolerance) loses nothing there.
///
/// # Errors
/// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
pub fn removed(wheel: &Wheel, from: BlankSize) -> Result<Vec<Removal>, SectionError> {
    Ok(Finishing::of(wheel)?.from(from))
}

/// What a wheel loses whatever stock wheel it is made of: everything after bore, thickness and outside diameter. It holds the grooves' volume,
/// which is long to work out, so that many stock wheels can be looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct Finishing {
    turned: BlankSize,
    after: Vec<Removal>,
}

impl Finishing {
    /// Of a wheel.
    ///
    /// # Errors
    /// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
    pub fn of(wheel: &Wheel) -> Result<Finishing, SectionError> {
        let Wheel { outside_diameter, thickness, bore, .. } = *wheel;
        let turned = BlankSize { outside_diameter, thickness, bore };
        let mut so_far =
            Wheel { side_a: Side::default(), side_b: Side::default(), bore_chamfer: 0.0, face: None, ..wheel.clone() };
        let mut left = turned.volume();
        let mut after = Vec::new();
        for operation in Operation::ALL {
            if apply(operation, wheel, &mut so_far) {
                down_to(&mut left, volume(&so_far)?, operation, &mut after);
            }
        }
        Ok(Finishing { turned, after })
    }

    /// What is taken off a stock wheel of this size, as [`removed`].
    pub fn from(&self, from: BlankSize) -> Vec<Removal> {
        let turned = &self.turned;
        let mut size = BlankSize {
            outside_diameter: from.outside_diameter.max(turned.outside_diameter),
            thickness: from.thickness.max(turned.thickness),
            bore: from.bore.min(turned.bore),
        };
        let mut list = Vec::new();
        let mut left = size.volume();
        size.bore = turned.bore;
        down_to(&mut left, size.volume(), Operation::Bore, &mut list);
        size.thickness = turned.thickness;
        down_to(&mut left, size.volume(), Operation::Thickness, &mut list);
        size.outside_diameter = turned.outside_diameter;
        down_to(&mut left, size.volume(), Operation::OutsideDiameter, &mut list);
        list.extend_from_slice(&self.after);
        list
    }

    /// All that is taken off a stock wheel of this size, mm³.
    pub fn volume_from(&self, from: BlankSize) -> f64 {
        self.from(from).iter().map(|r| r.volume).sum()
    }
}

/// Adds what an operation takes off where it leaves less than before.
fn down_to(left: &mut f64, volume: f64, operation: Operation, list: &mut Vec<Removal>) {
    if volume < *left {
        list.push(Removal { operation, volume: *left - volume });
        *left = volume;
    }
}

/// Gives the unfinished wheel what an operation makes; whether the finished wheel has it at all.
fn apply(operation: Operation, wheel: &Wheel, so_far: &mut Wheel) -> bool {
    match operation {
        Operation::Recess(s) if !wheel.side(s).recess.is_empty() => {
            side(so_far, s).recess.clone_from(&wheel.side(s).recess);
        }
        Operation::Taper(s) if wheel.side(s).taper.is_some() => side(so_far, s).taper = wheel.side(s).taper,
        Operation::Corner(s) if wheel.side(s).corner.is_some() => side(so_far, s).corner = wheel.side(s).corner,
        Operation::BoreChamfer if wheel.bore_chamfer > 0.0 => so_far.bore_chamfer = wheel.bore_chamfer,
        Operation::Grooves(s) if wheel.side(s).grooves.is_some() => {
            side(so_far, s).grooves.clone_from(&wheel.side(s).grooves);
        }
        Operation::FaceGrooves if wheel.face.is_some() => so_far.face.clone_from(&wheel.face),
        _ => return false,
    }
    true
}

fn side(wheel: &mut Wheel, name: SideName) -> &mut Side {
    match name {
        SideName::A => &mut wheel.side_a,
        SideName::B => &mut wheel.side_b,
    }
}

fn volume(wheel: &Wheel) -> Result<f64, SectionError> {
    let section = Section::of(wheel)?;
    let grooved = wheel.face.is_some() || SideName::BOTH.iter().any(|s| wheel.side(*s).grooves.is_some());
    if grooved {
        return Ok(properties::of_section(wheel, &section, None).wheel.volume);
    }
    Ok(section.revolved().volume)
}

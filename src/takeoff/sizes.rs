//! Sizes as drawn become sizes as a shop writes them.

use super::recognise::Shape;
use crate::quantity::{LengthUnit, trimmed};
use crate::size::SideName;
use crate::tolerance::{DRAWN_DEGREES, DRAWN_EXACT};
use crate::wheel::{Corner, Side, Wheel};

/// The shop sizes that sizes are rounded to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Snap {
    /// The unit sizes are written in.
    pub unit: LengthUnit,
    /// Sizes become multiples of this, mm; `None` leaves them as drawn.
    pub step: Option<f64>,
    /// Only where they are off by at most this, mm.
    pub within: f64,
}

/// One size.
#[derive(Debug, Clone, PartialEq)]
pub struct Rounded {
    /// What it is called.
    pub name: String,
    /// As drawn, mm, or degrees.
    pub drawn: f64,
    /// As it stands in the order, mm, or degrees.
    pub size: f64,
    /// Whether it is an angle.
    pub is_angle: bool,
    /// Whether it should be a multiple of the step and is not.
    pub is_odd: bool,
}

impl Rounded {
    /// What is to be minded about it.
    pub(super) fn remark(&self) -> Option<String> {
        self.is_odd
            .then(|| format!("{}: {} mm is near no shop size; it stays as drawn", self.name, trimmed(self.drawn, 4)))
    }
}

/// Decimals that plain numbers of a unit have at most.
fn decimals(unit: LengthUnit) -> usize {
    match unit {
        LengthUnit::Inch => 4,
        LengthUnit::Millimetre => 3,
    }
}

/// Decimals kept of a size that is no plain number: far finer than any drawing.
const AS_DRAWN: usize = 10;

impl Snap {
    /// A length in the unit, as the order writes it.
    pub fn written(&self, mm: f64) -> f64 {
        trimmed(mm / self.unit.mm(), AS_DRAWN).parse().unwrap_or(mm / self.unit.mm())
    }

    /// A length as [`rounded`] leaves it, mm.
    pub(super) fn tidy(&self, mm: f64) -> f64 {
        self.length(mm).0
    }

    /// A length, mm: a multiple of the step where it is near one, else the plain number it is, else as drawn; and whether it is near no step.
    fn length(&self, drawn: f64) -> (f64, bool) {
        let plain = self.plain(drawn);
        let Some(step) = self.step else { return (plain, false) };
        let near = (drawn / step).round() * step;
        if (near - drawn).abs() <= self.within && near > 0.0 {
            return (self.unit.to_mm(self.written(near)), false);
        }
        (plain, true)
    }

    fn plain(&self, drawn: f64) -> f64 {
        let value = drawn / self.unit.mm();
        let with = |decimals: usize| trimmed(value, decimals).parse::<f64>().unwrap_or(value);
        let candidates =
            (0..=decimals(self.unit)).map(with).chain([(value * FINEST_FRACTION).round() / FINEST_FRACTION]);
        let mut near = candidates.map(|v| self.unit.to_mm(v)).filter(|mm| (mm - drawn).abs() <= DRAWN_EXACT);
        near.next().unwrap_or_else(|| self.unit.to_mm(self.written(drawn)))
    }
}

/// The finest binary fraction that sizes are written in.
const FINEST_FRACTION: f64 = 128.0;

/// Angles of chamfers are multiples of this where they are that near, degrees.
const ANGLE_STEP: f64 = 0.5;
/// How near, degrees.
const ANGLE_NEAR: f64 = 0.05;

struct Rounder<'a> {
    snap: &'a Snap,
    list: Vec<Rounded>,
}

impl Rounder<'_> {
    fn length(&mut self, name: String, drawn: f64) -> f64 {
        let (size, is_odd) = self.snap.length(drawn);
        self.list.push(Rounded { name, drawn, size, is_angle: false, is_odd });
        size
    }

    fn angle(&mut self, name: String, drawn: f64) -> f64 {
        let near = (drawn / ANGLE_STEP).round() * ANGLE_STEP;
        let within = if self.snap.step.is_some() { ANGLE_NEAR } else { DRAWN_DEGREES };
        let size = if (near - drawn).abs() <= within { near } else { drawn };
        self.list.push(Rounded { name, drawn, size, is_angle: true, is_odd: false });
        size
    }

    fn side(&mut self, name: SideName, drawn: &Side) -> Side {
        let on = |what: &str| format!("{what}, side {}", name.letter());
        let mut side = drawn.clone();
        for (i, step) in side.recess.iter_mut().enumerate() {
            let of = |what: &str| on(&format!("recess {} {what}", i + 1));
            step.diameter = self.length(of("diameter"), step.diameter);
            step.depth = self.length(of("depth"), step.depth);
            if step.fillet_radius > 0.0 {
                step.fillet_radius = self.length(of("fillet radius"), step.fillet_radius);
            }
        }
        if let Some(taper) = &mut side.taper {
            taper.from_diameter = self.length(on("taper from diameter"), taper.from_diameter);
            taper.to_diameter = self.length(on("taper to diameter"), taper.to_diameter);
            taper.depth = self.length(on("taper depth"), taper.depth);
        }
        side.corner = side.corner.map(|corner| match corner {
            Corner::Radius(r) => Corner::Radius(self.length(on("corner radius"), r)),
            Corner::Chamfer { run, angle_deg } => Corner::Chamfer {
                run: self.length(on("corner chamfer"), run),
                angle_deg: self.angle(on("angle of the corner chamfer"), angle_deg),
            },
        });
        side
    }
}

/// The wheel with its sizes rounded, and every size.
pub(super) fn rounded(shape: &Shape, snap: &Snap) -> (Wheel, Vec<Rounded>) {
    let mut rounder = Rounder { snap, list: Vec::new() };
    let mut length = |name: &str, drawn| rounder.length(name.to_owned(), drawn);
    let outside_diameter = length("outside diameter", shape.outside_diameter);
    let thickness = length("thickness", shape.thickness);
    let bore = length("bore", shape.bore);
    let drawn_chamfer = shape.chamfers.into_iter().fold(0.0, f64::max);
    let bore_chamfer = if drawn_chamfer > 0.0 { length("bore chamfer", drawn_chamfer) } else { 0.0 };
    let [a, b] = &shape.sides;
    let (side_a, side_b) = (rounder.side(SideName::A, a), rounder.side(SideName::B, b));
    (Wheel { outside_diameter, thickness, bore, bore_chamfer, side_a, side_b, face: None }, rounder.list)
}

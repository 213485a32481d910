//! Sizes that an order leaves open: `"?"`, `"? 0.06 in"`, or a feature that lacks one. The geometry goes by the proposal until somebody decides.
//!
//! What is proposed comes from the order itself where it says something (the shop's disc, the machine's travel, the bolts), else from common practice
//! of the trade; no source names these figures, and the question says which it is.

use crate::order::Order;
use crate::quantity::{Length, LengthUnit, Written};
use serde::{Serialize, Serializer};

/// A size that is not decided.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenSize {
    /// The order's field, as a JSON pointer.
    pub field: String,
    /// What the geometry goes by, in its [`Self::unit`]; `None` where it does without.
    pub value: Option<f64>,
    /// Why that, where it is the usual value; `None` where the order itself proposes it.
    pub why: Option<String>,
}

impl OpenSize {
    /// `mm`, `°`, or nothing for a count.
    pub fn unit(&self) -> &'static str {
        match self.field.rsplit('/').next() {
            Some("count") => "",
            Some(key) if key.ends_with("_deg") => "°",
            _ => "mm",
        }
    }

    /// Its value in words, lengths as `written` has them; `None` where it has none.
    pub fn shown(&self, written: &Written) -> Option<String> {
        let value = self.value?;
        Some(match self.unit() {
            "mm" => written.measured(value),
            "°" => written.angle(value),
            _ => written.plain(value, 0),
        })
    }
}

/// As its field: the value stands in the wheel.
impl Serialize for OpenSize {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&self.field)
    }
}

/// What stands behind a question mark: empty where nothing is proposed. `None` where there is no question mark.
pub(super) fn behind_mark(text: &str) -> Option<&str> {
    text.trim().strip_prefix('?').map(str::trim)
}

/// What stands behind the question mark of an open length: empty where nothing is proposed. `None` for a length that is decided.
pub(super) fn proposal(length: &Length) -> Option<&str> {
    match length {
        Length::Typed(text) => behind_mark(text),
        Length::Bare(_) => None,
    }
}

/// What the order says that proposals go by; lengths in mm. Sizes of the wheel are added as they are read.
#[derive(Debug, Default)]
pub(super) struct Known {
    inches: bool,
    /// Outside diameter, thickness and bore.
    pub(super) body: [f64; 3],
    travel_on_diameter: Option<f64>,
    disc_diameter: Option<f64>,
    disc_width: Option<f64>,
    bolt_reach: Option<f64>,
    /// Diameter and depth of the last recess step of the side that is being read.
    pub(super) step: Option<[f64; 2]>,
    /// Diameter of its outermost step.
    pub(super) recess: Option<f64>,
}

/// How much of a crankshaft grinder's wheel is used, on the radius: inches and the round figure in mm (common practice).
const USED: [f64; 2] = [4.0, 100.0];
/// Usual sizes in inches and, as a round figure, in mm (common practice).
const GROOVE_WIDTH: [f64; 2] = [0.06, 1.5];
const GROOVE_DEPTH: [f64; 2] = [0.125, 3.0];
const BEHIND_RECESS: [f64; 2] = [1.0, 25.0];
const DISC: [f64; 2] = [6.0, 150.0];
const FILLET: [f64; 2] = [0.125, 3.0];
const CORNER_RADIUS: [f64; 2] = [0.15, 4.0];
const CORNER_CHAMFER: [f64; 2] = [0.1, 2.5];
const BORE_CHAMFER: [f64; 2] = [0.03, 0.8];
const TAPER_DEPTH: [f64; 2] = [0.06, 1.5];
/// Usual pitches, degrees, the finest first.
const PITCHES: [f64; 14] = [2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5, 9.0, 10.0, 12.0, 15.0, 30.0, 45.0, 90.0];

const PRACTICE: &str = "common practice";

impl Known {
    pub(super) fn of(order: &Order) -> Known {
        let mm = |length: Option<&Length>| length.and_then(|l| l.mm(order.units).ok()).filter(|mm| *mm > 0.0);
        let (machine, mount, tooling) = (order.machine.as_ref(), order.mount.as_ref(), order.tooling.as_ref());
        let travel = mm(machine.and_then(|m| m.usable_travel.as_ref()));
        let on_radius = machine.and_then(|m| m.travel_on).map(|on| on == crate::order::TravelOn::Radius);
        let bolt = mm(mount.and_then(|m| m.bolt_length.as_ref()));
        let stack = mm(mount.and_then(|m| m.bolt_stack.as_ref()));
        Known {
            inches: order.units == LengthUnit::Inch,
            travel_on_diameter: travel.zip(on_radius).map(|(travel, on_radius)| if on_radius { 2.0 * travel } else { travel }),
            disc_diameter: mm(tooling.and_then(|t| t.groove_cutter_diameter.as_ref())),
            disc_width: mm(tooling.and_then(|t| t.groove_cutter_width.as_ref())),
            bolt_reach: bolt.zip(stack).map(|(bolt, stack)| bolt - stack),
            ..Known::default()
        }
    }

    fn round(&self, [inches, mm]: [f64; 2]) -> f64 {
        if self.inches { LengthUnit::Inch.to_mm(inches) } else { mm }
    }

    /// The usual value of a field of the wheel, mm, and why; `None` where there is none: without an outside diameter, a thickness and a bore there is no wheel.
    pub(super) fn usual(&self, field: &str) -> Option<(f64, String)> {
        let mut keys = field.rsplit('/').filter(|key| key.parse::<usize>().is_err());
        let (key, of) = (keys.next()?, keys.next()?);
        let thickness = self.body[1];
        let practice = |size: [f64; 2], most: f64| Some((self.round(size).min(most), PRACTICE.to_owned()));
        match (of, key) {
            ("wheel", "bore_chamfer") => practice(BORE_CHAMFER, thickness / 8.0),
            ("corner", "radius") => practice(CORNER_RADIUS, thickness / 8.0),
            ("corner", "chamfer") => practice(CORNER_CHAMFER, thickness / 8.0),
            ("recess", "diameter") => Some(self.recess_diameter()),
            ("recess", "depth") => Some(self.recess_depth()),
            ("recess", "fillet_radius") => practice(FILLET, self.step.map_or(thickness, |[_, depth]| depth) / 2.0),
            ("taper", "from_diameter") => Some(self.used_ring()),
            ("taper", "to_diameter") => Some((self.body[0], "out to the outside diameter".to_owned())),
            ("taper", "depth") => practice(TAPER_DEPTH, thickness / 16.0),
            ("grooves", "width") => match self.disc_width {
                Some(width) => Some((width, "the width of the slitting disc".to_owned())),
                None => practice(GROOVE_WIDTH, f64::INFINITY),
            },
            ("grooves", "depth") => practice(GROOVE_DEPTH, thickness / 4.0),
            ("grooves", "inner_diameter") => Some(self.used_ring()),
            ("grooves", "cutter_diameter") => match self.disc_diameter {
                Some(disc) => Some((disc, "the slitting disc".to_owned())),
                None => practice(DISC, f64::INFINITY),
            },
            _ => None,
        }
    }

    /// Where the wheel is used up, but outside of a recess: there grooves and tapers begin.
    fn used_ring(&self) -> (f64, String) {
        let [outside, _, bore] = self.body;
        let inner = self.recess.unwrap_or(bore);
        let (worn, why) = self.worn();
        let clear = if self.recess.is_some() { inner + self.round(BEHIND_RECESS) } else { inner };
        match (worn >= clear, clear < outside && self.recess.is_some()) {
            (true, _) => (worn, why),
            (false, true) => (clear, "clear of the recess".to_owned()),
            (false, false) => ((inner + outside) / 2.0, "half way out".to_owned()),
        }
    }

    /// The diameter at which the machine, or a usual one, has used the wheel up.
    fn worn(&self) -> (f64, String) {
        match self.travel_on_diameter {
            Some(travel) => (self.body[0] - travel, "where the machine's travel ends".to_owned()),
            None => {
                let used = self.round(USED);
                let shown = if self.inches { "4 in" } else { "100 mm" };
                (self.body[0] - 2.0 * used, format!("about {shown} of the radius are used, {PRACTICE}"))
            }
        }
    }

    fn recess_diameter(&self) -> (f64, String) {
        let [outside, _, bore] = self.body;
        if let Some([before, _]) = self.step {
            return ((before + bore) / 2.0, "half way in from the step before".to_owned());
        }
        let (worn, why) = self.worn();
        let room = self.round(BEHIND_RECESS);
        if worn > bore + room { (worn, why) } else { ((bore + outside) / 2.0, "half way out".to_owned()) }
    }

    fn recess_depth(&self) -> (f64, String) {
        let thickness = self.body[1];
        if let Some([_, before]) = self.step {
            return (before + thickness / 16.0, "a little deeper than the step before".to_owned());
        }
        match self.bolt_reach.map(|reach| thickness - reach) {
            Some(depth) if depth > thickness / 16.0 && depth < thickness / 2.0 => (depth, "what the bolts need".to_owned()),
            _ => (thickness / 4.0, "a quarter of the thickness, without a source".to_owned()),
        }
    }

    /// The usual pitch of grooves of this width that begin at this diameter, degrees: at least as much land as groove.
    pub(super) fn pitch(&self, inner_diameter: f64, width: f64) -> (f64, String) {
        let land = |pitch: f64| std::f64::consts::PI * inner_diameter * pitch / 360.0 - width;
        let found = PITCHES.into_iter().find(|pitch| land(*pitch) >= width);
        match found {
            Some(pitch) if pitch == PITCHES[0] => (pitch, PRACTICE.to_owned()),
            found => (found.unwrap_or(PITCHES[13]), "at least as much land as groove where the grooves begin".to_owned()),
        }
    }
}

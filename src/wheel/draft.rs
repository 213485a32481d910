//! Sizes that an order leaves open: `"?"`, `"? 0.06 in"`, or a feature that lacks one. The geometry goes by the proposal until somebody decides.
//!
//! What is proposed comes from the order itself where it says something (the shop's disc, the machine's travel, the bolts), else from the usual sizes
//! of the shop's file; the question says which it is.

use crate::order::Order;
use crate::quantity::{Length, LengthUnit, Twin, Written};
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

/// A usual size of the shop's, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Usual<T> {
    /// The size.
    pub value: T,
    /// Who says so, as a question says it.
    pub why: String,
}

/// What the shop proposes for sizes that an order leaves open and says nothing of.
#[derive(Debug, Clone, PartialEq)]
pub struct UsualSizes {
    /// How much of a crankshaft grinder's wheel is used, on the radius.
    pub used: Usual<Twin>,
    /// Width of grooves.
    pub groove_width: Usual<Twin>,
    /// Depth of grooves.
    pub groove_depth: Usual<Twin>,
    /// How far outside of a recess grooves and tapers begin, on the diameter.
    pub outside_recess: Usual<Twin>,
    /// Diameter of the disc that leaves a run-out.
    pub disc_diameter: Usual<Twin>,
    /// Fillet radius of a recess.
    pub recess_fillet: Usual<Twin>,
    /// Depth of a recess as a share of the thickness.
    pub recess_depth_share: Usual<f64>,
    /// Corner radius.
    pub corner_radius: Usual<Twin>,
    /// Corner chamfer.
    pub corner_chamfer: Usual<Twin>,
    /// Chamfer of the bore.
    pub bore_chamfer: Usual<Twin>,
    /// Depth of a taper.
    pub taper_depth: Usual<Twin>,
    /// Pitches of grooves, degrees, the finest first.
    pub pitches: Usual<Vec<f64>>,
}

/// What the order says that proposals go by; lengths in mm. Sizes of the wheel are added as they are read.
#[derive(Debug)]
pub(super) struct Known<'a> {
    usual: &'a UsualSizes,
    unit: LengthUnit,
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

impl<'a> Known<'a> {
    pub(super) fn of(order: &Order, usual: &'a UsualSizes) -> Known<'a> {
        let mm = |length: Option<&Length>| length.and_then(|l| l.mm(order.units).ok()).filter(|mm| *mm > 0.0);
        let (machine, mount, tooling) = (order.machine.as_ref(), order.mount.as_ref(), order.tooling.as_ref());
        let travel = mm(machine.and_then(|m| m.usable_travel.as_ref()));
        let on_radius = machine.and_then(|m| m.travel_on).map(|on| on == crate::order::TravelOn::Radius);
        let bolt = mm(mount.and_then(|m| m.bolt_length.as_ref()));
        let stack = mm(mount.and_then(|m| m.bolt_stack.as_ref()));
        Known {
            usual,
            unit: order.units,
            body: [0.0; 3],
            travel_on_diameter: travel.zip(on_radius).map(|(travel, on_radius)| if on_radius { 2.0 * travel } else { travel }),
            disc_diameter: mm(tooling.and_then(|t| t.groove_cutter_diameter.as_ref())),
            disc_width: mm(tooling.and_then(|t| t.groove_cutter_width.as_ref())),
            bolt_reach: bolt.zip(stack).map(|(bolt, stack)| bolt - stack),
            step: None,
            recess: None,
        }
    }

    fn figure(&self, usual: &Usual<Twin>) -> f64 {
        usual.value.of(self.unit)
    }

    /// The usual value of a field of the wheel, mm, and why; `None` where there is none: without an outside diameter, a thickness and a bore there is no wheel.
    pub(super) fn usual(&self, field: &str) -> Option<(f64, String)> {
        let mut keys = field.rsplit('/').filter(|key| key.parse::<usize>().is_err());
        let (key, of) = (keys.next()?, keys.next()?);
        let thickness = self.body[1];
        let usual = self.usual;
        let at_most = |size: &Usual<Twin>, most: f64| Some((self.figure(size).min(most), size.why.clone()));
        match (of, key) {
            ("wheel", "bore_chamfer") => at_most(&usual.bore_chamfer, thickness / 8.0),
            ("corner", "radius") => at_most(&usual.corner_radius, thickness / 8.0),
            ("corner", "chamfer") => at_most(&usual.corner_chamfer, thickness / 8.0),
            ("recess", "diameter") => Some(self.recess_diameter()),
            ("recess", "depth") => Some(self.recess_depth()),
            ("recess", "fillet_radius") => at_most(&usual.recess_fillet, self.step.map_or(thickness, |[_, depth]| depth) / 2.0),
            ("taper", "from_diameter") => Some(self.used_ring()),
            ("taper", "to_diameter") => Some((self.body[0], "out to the outside diameter".to_owned())),
            ("taper", "depth") => at_most(&usual.taper_depth, thickness / 16.0),
            ("grooves", "width") => match self.disc_width {
                Some(width) => Some((width, "the width of the slitting disc".to_owned())),
                None => at_most(&usual.groove_width, f64::INFINITY),
            },
            ("grooves", "depth") => at_most(&usual.groove_depth, thickness / 4.0),
            ("grooves", "inner_diameter") => Some(self.used_ring()),
            ("grooves", "cutter_diameter") => match self.disc_diameter {
                Some(disc) => Some((disc, "the slitting disc".to_owned())),
                None => at_most(&usual.disc_diameter, f64::INFINITY),
            },
            _ => None,
        }
    }

    /// Where the wheel is used up, but outside of a recess: there grooves and tapers begin.
    fn used_ring(&self) -> (f64, String) {
        let [outside, _, bore] = self.body;
        let inner = self.recess.unwrap_or(bore);
        let (worn, why) = self.worn();
        let clear = if self.recess.is_some() { inner + self.figure(&self.usual.outside_recess) } else { inner };
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
                let used = self.figure(&self.usual.used);
                let shown = Written::plain_in(self.unit).measured(used);
                (self.body[0] - 2.0 * used, format!("about {shown} of the radius are used, {}", self.usual.used.why))
            }
        }
    }

    fn recess_diameter(&self) -> (f64, String) {
        let [outside, _, bore] = self.body;
        if let Some([before, _]) = self.step {
            return ((before + bore) / 2.0, "half way in from the step before".to_owned());
        }
        let (worn, why) = self.worn();
        let room = self.figure(&self.usual.outside_recess);
        if worn > bore + room { (worn, why) } else { ((bore + outside) / 2.0, "half way out".to_owned()) }
    }

    fn recess_depth(&self) -> (f64, String) {
        let thickness = self.body[1];
        if let Some([_, before]) = self.step {
            return (before + thickness / 16.0, "a little deeper than the step before".to_owned());
        }
        match self.bolt_reach.map(|reach| thickness - reach) {
            Some(depth) if depth > thickness / 16.0 && depth < thickness / 2.0 => (depth, "what the bolts need".to_owned()),
            _ => {
                let share = &self.usual.recess_depth_share;
                (thickness * share.value, share.why.clone())
            }
        }
    }

    /// The usual pitch of grooves of this width that begin at this diameter, degrees: at least as much land as groove.
    pub(super) fn pitch(&self, inner_diameter: f64, width: f64) -> (f64, String) {
        let land = |pitch: f64| std::f64::consts::PI * inner_diameter * pitch / 360.0 - width;
        let Usual { value: pitches, why } = &self.usual.pitches;
        let found = pitches.iter().position(|pitch| land(*pitch) >= width);
        match found.and_then(|i| Some((i, *pitches.get(i)?))) {
            Some((0, finest)) => (finest, why.clone()),
            found => {
                let pitch = found.map(|(_, pitch)| pitch).or(pitches.last().copied()).unwrap_or(WIDEST_PITCH);
                (pitch, "at least as much land as groove where the grooves begin".to_owned())
            }
        }
    }
}

/// Two grooves: wider apart none can be.
const WIDEST_PITCH: f64 = 180.0;

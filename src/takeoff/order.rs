//! What was read, as an order file.

use super::sizes::Snap;
use super::{GroovePlan, TakenOff};
use crate::size::SideName;
use crate::wheel::{Corner, Side};
use serde_json::{Map, Value, json};

/// What an order needs besides the wheel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// Order number.
    pub number: String,
    /// Revision.
    pub revision: String,
    /// A note on where it comes from.
    pub note: String,
}

/// The order, its lengths plain numbers of its unit; grooves with the depth, mm, that the plan cannot say.
pub fn order(taken: &TakenOff, snap: &Snap, head: &Head, grooves: &[(SideName, GroovePlan, f64)]) -> Value {
    let wheel = &taken.wheel;
    let length = |mm: f64| number(snap.written(mm));
    let mut shape = Map::new();
    shape.insert("outside_diameter".into(), length(wheel.outside_diameter));
    shape.insert("thickness".into(), length(wheel.thickness));
    shape.insert("bore".into(), length(wheel.bore));
    if wheel.bore_chamfer > 0.0 {
        shape.insert("bore_chamfer".into(), length(wheel.bore_chamfer));
    }
    for name in SideName::BOTH {
        let mut side = side(wheel.side(name), snap);
        for (_, plan, depth) in grooves.iter().filter(|(of, ..)| *of == name) {
            side.insert("grooves".into(), plan.written(snap, *depth));
        }
        if !side.is_empty() {
            shape.insert(name.key().into(), Value::Object(side));
        }
    }
    json!({
        "order": { "number": head.number, "revision": head.revision, "notes": [head.note] },
        "units": snap.unit.symbol(),
        "wheel": shape,
    })
}

/// Whole numbers without a point, as a person writes them.
pub(super) fn number(value: f64) -> Value {
    if value.fract() == 0.0 { Value::from(value as i64) } else { Value::from(value) }
}

fn side(side: &Side, snap: &Snap) -> Map<String, Value> {
    let length = |mm: f64| number(snap.written(mm));
    let mut out = Map::new();
    let steps = side.recess.iter().map(|s| {
        let mut step = Map::new();
        step.insert("diameter".into(), length(s.diameter));
        step.insert("depth".into(), length(s.depth));
        if s.fillet_radius > 0.0 {
            step.insert("fillet_radius".into(), length(s.fillet_radius));
        }
        Value::Object(step)
    });
    let steps: Vec<Value> = steps.collect();
    if !steps.is_empty() {
        out.insert("recess".into(), Value::from(steps));
    }
    if let Some(t) = &side.taper {
        let taper = json!({
            "from_diameter": length(t.from_diameter), "to_diameter": length(t.to_diameter), "depth": length(t.depth),
        });
        out.insert("taper".into(), taper);
    }
    match side.corner {
        Some(Corner::Radius(r)) => {
            out.insert("corner".into(), json!({ "radius": length(r) }));
        }
        Some(Corner::Chamfer { run, angle_deg }) => {
            out.insert("corner".into(), json!({ "chamfer": length(run), "angle_deg": number(angle_deg) }));
        }
        None => {}
    }
    out
}

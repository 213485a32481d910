//! Orders that differ in what a bench asks for.

use serde_json::{Value, json};

/// A 660 mm wheel with round-bottom grooves on both tapered sides and a stepped recess in each.
#[derive(Debug, Clone, Copy)]
pub struct Wheel {
    /// Number of the order; also moves its thickness by so many micrometres, so that no two are alike.
    pub number: u32,
    /// Grooves of either side.
    pub grooves: u32,
    /// Steps in the recess of either side.
    pub steps: u32,
    /// Notes on the drawing.
    pub notes: u32,
}

impl Default for Wheel {
    fn default() -> Wheel {
        Wheel { number: 1, grooves: 180, steps: 1, notes: 1 }
    }
}

impl Wheel {
    /// The order file.
    pub fn order(&self) -> Vec<u8> {
        let side = self.side();
        let note = |n| format!("Note {n}: deburr both edges of every groove by hand, no burrs left");
        let order = json!({
            "order": {"number": format!("B{}", self.number), "revision": "A", "date": "2026-03-02", "customer": "Harrow & Pell",
                "item": "Wheel", "quantity": 2, "notes": (1..=self.notes).map(note).collect::<Vec<_>>()},
            "units": "mm",
            "blank": {"marking": "A 54 K 6 V", "density": "2.15 g/cm3", "max_operating_speed": "33 m/s"},
            "machine": {"spindle_rpm": 900},
            "wheel": {"outside_diameter": 660, "thickness": 60.0 + f64::from(self.number) / 1000.0, "bore": 203.2,
                "side_a": side, "side_b": side},
        });
        order.to_string().into_bytes()
    }

    fn side(&self) -> Value {
        // the steps share a depth of 8 mm between diameters 420 and 240
        let step = |i: u32| {
            let share = f64::from(i) / f64::from(self.steps);
            json!({"diameter": 420.0 - 180.0 * share, "depth": 8.0 * (share + 1.0 / f64::from(self.steps))})
        };
        // so many grooves need a width that leaves a land
        let width = match self.grooves {
            ..=400 => 1.5,
            401..=4000 => 0.3,
            _ => 0.02,
        };
        json!({
            "recess": (0..self.steps).map(step).collect::<Vec<_>>(),
            "taper": {"from_diameter": 450, "to_diameter": 660, "depth": 1.5},
            "grooves": {"count": self.grooves, "width": width, "depth": 3, "bottom": "round", "inner_diameter": 430},
        })
    }
}

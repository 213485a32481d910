//! Bytes that choose an order. Most orders can be made; some cannot, and some touch what they should not by a hair or exactly.

use arbitrary::Unstructured;
use serde_json::{Value, json};

/// The order these bytes choose; when they run out, the first choice of each is taken.
pub fn order(data: &[u8]) -> Value {
    let mut chooser = Chooser { bytes: Unstructured::new(data), inch: false };
    chooser.inch = chooser.one_in(3);
    chooser.order()
}

struct Chooser<'a> {
    bytes: Unstructured<'a>,
    inch: bool,
}

/// Shares of a room in which a feature lies; the ends are meant.
const SHARES: [f64; 12] = [0.5, 0.0, 1.0, 0.25, 0.75, 0.1, 0.9, 0.02, 0.98, 1.001, 0.999, 0.333];

impl Chooser<'_> {
    fn byte(&mut self) -> u8 {
        self.bytes.arbitrary().unwrap_or(0)
    }

    fn one_in(&mut self, n: u8) -> bool {
        self.byte() % n == n - 1
    }

    fn of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[usize::from(self.byte()) % choices.len()]
    }

    /// Between two limits, at one of the shares or anywhere.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = match self.byte() {
            b if b < 128 => f64::from(b) / 127.0,
            b => SHARES[usize::from(b) % SHARES.len()],
        };
        low + (high - low) * share
    }

    /// A length of so many mm as a shop would write it, or with every digit.
    fn len(&mut self, mm: f64) -> Value {
        let (value, steps) = if self.inch { (mm / 25.4, 1000.0) } else { (mm, 100.0) };
        match self.byte() % 16 {
            15 => json!(value),
            14 => json!(format!("{} mm", (mm * 10.0).round() / 10.0)),
            13 => json!(format!("{}/64 in", (mm / 25.4 * 64.0).round())),
            _ => json!((value * steps).round() / steps),
        }
    }

    fn order(&mut self) -> Value {
        let d = self.of(&[400.0, 50.0, 150.0, 254.0, 508.0, 660.4, 762.0, 914.4, 1200.0]);
        let t = self.between(0.01, 0.3) * d;
        let h = self.between(0.05, 0.8) * d;
        let mut wheel = json!({"outside_diameter": self.len(d), "thickness": self.len(t), "bore": self.len(h)});
        if self.one_in(4) {
            let chamfer = self.between(0.0, 0.1) * t;
            wheel["bore_chamfer"] = self.len(chamfer);
        }
        for key in ["side_a", "side_b"] {
            if !self.one_in(4) {
                wheel[key] = self.side(d, t, h);
            }
        }
        if self.one_in(4) {
            wheel["face"] = json!({"grooves": self.face(d)});
        }
        let mut order = json!({
            "order": {"number": "F1", "revision": "A", "date": "2026-03-02", "quantity": 2, "customer": "Harrow & Pell", "item": "Wheel"},
            "units": if self.inch { "in" } else { "mm" },
            "wheel": wheel
        });
        self.parts(&mut order, d, t, h);
        order
    }

    fn side(&mut self, d: f64, t: f64, h: f64) -> Value {
        let mut side = json!({});
        if self.one_in(2) {
            side["recess"] = self.recess(d, t, h);
        }
        if self.one_in(3) {
            let (a, b) = (self.between(h, d), self.between(h, d));
            let depth = self.between(0.0, 0.1) * t;
            side["taper"] = json!({"from_diameter": self.len(a), "to_diameter": self.len(b)});
            match self.one_in(3) {
                true => side["taper"]["angle_deg"] = json!(self.of(&[0.5, 1.0, 3.0])),
                false => side["taper"]["depth"] = self.len(depth),
            }
        }
        if self.one_in(2) {
            let size = self.between(0.0, 0.3) * t.min(d / 10.0);
            side["corner"] = match self.byte() % 3 {
                0 => json!({"radius": self.len(size)}),
                1 => json!({"chamfer": self.len(size)}),
                _ => json!({"chamfer": self.len(size), "angle_deg": self.of(&[30.0, 45.0, 60.0, 15.0])}),
            };
        }
        if self.one_in(2) {
            side["grooves"] = self.grooves(d, t, h);
        }
        side
    }

    fn recess(&mut self, d: f64, t: f64, h: f64) -> Value {
        let (mut p, mut depth) = (self.between(h, d), 0.0);
        let steps = 1 + self.byte() % 4;
        let mut list = Vec::new();
        for _ in 0..steps {
            let rise = self.between(0.0, 0.15) * t;
            depth += rise;
            let mut step = json!({"diameter": self.len(p), "depth": self.len(depth)});
            if self.one_in(2) {
                let fillet = self.between(0.0, 1.0) * rise;
                step["fillet_radius"] = self.len(fillet);
            }
            list.push(step);
            p = h + (p - h) * self.between(0.3, 1.0);
        }
        json!(list)
    }

    fn grooves(&mut self, d: f64, t: f64, h: f64) -> Value {
        let count = self.of(&[60, 1, 2, 4, 18, 36, 90, 120, 180, 360, 720, 3600]);
        let inner = self.between(h, d);
        let room = std::f64::consts::PI * inner / f64::from(count);
        let width = self.between(0.0, 1.0) * room.min(12.0);
        let depth = self.between(0.0, 0.4) * t;
        let mut g = json!({"width": self.len(width), "depth": self.len(depth), "inner_diameter": self.len(inner)});
        match self.one_in(3) {
            true => g["pitch_deg"] = json!(360.0 / f64::from(count)),
            false => g["count"] = json!(count),
        }
        g["bottom"] = json!(self.of(&["flat", "round", "vee"]));
        if g["bottom"] == "vee" {
            g["vee_angle_deg"] = json!(self.of(&[60.0, 90.0, 120.0]));
        }
        g["inner_end"] = json!(self.of(&["square", "round", "runout"]));
        if g["inner_end"] == "runout" {
            let cutter = self.between(0.01, 0.5) * d;
            g["cutter_diameter"] = self.len(cutter);
        }
        if self.one_in(3) {
            let outer = self.between(inner, d);
            g["outer_diameter"] = self.len(outer);
        }
        if self.one_in(3) {
            g["skew_deg"] = json!((self.between(-45.0, 45.0) * 2.0).round() / 2.0);
        }
        self.places(&mut g, count);
        g
    }

    fn places(&mut self, g: &mut Value, count: i32) {
        if self.one_in(3) {
            g["start_deg"] = json!(self.between(0.0, 360.0).floor());
        }
        if self.one_in(4) {
            let left_out: Vec<u8> = (0..self.byte() % 4).map(|_| 1 + self.byte() % count.clamp(1, 200) as u8).collect();
            g["omit"] = json!(left_out);
        }
    }

    fn face(&mut self, d: f64) -> Value {
        let count = self.of(&[12, 1, 2, 36, 90, 180, 360]);
        let width = self.between(0.0, 0.9) * (std::f64::consts::PI * d / f64::from(count)).min(12.0);
        let depth = self.between(0.0, 0.05) * d;
        let mut g = json!({"count": count, "width": self.len(width), "depth": self.len(depth)});
        g["bottom"] = json!(self.of(&["flat", "round"]));
        if self.one_in(3) {
            g["helix_deg"] = json!(self.of(&[-15.0, 10.0, 25.0, 45.0]));
        }
        self.places(&mut g, count);
        g
    }

    fn parts(&mut self, order: &mut Value, d: f64, t: f64, h: f64) {
        if self.one_in(2) {
            let (d, t, h) = (self.between(d, 1.1 * d), self.between(t, 1.3 * t), self.between(0.5 * h, h));
            order["blank"] = json!({"outside_diameter": self.len(d), "thickness": self.len(t), "bore": self.len(h),
                "marking": "A 54 K 6 V", "density": "2.15 g/cm3", "max_operating_speed": "33 m/s"});
        }
        if self.one_in(2) {
            order["machine"] = json!({"spindle_rpm": self.of(&[950, 1, 60, 20000]), "usable_travel": self.len(d / 6.0), "travel_on": "radius"});
        }
        if self.one_in(2) {
            order["mount"] = json!({"flange_diameter": self.len(d * 0.45), "flange_bearing_width": self.len(d * 0.05),
                "bolt_length": self.len(t * 1.5), "bolt_stack": self.len(t * 0.6)});
        }
        if self.one_in(2) {
            order["tolerances"] = json!({"outside_diameter": "+0/-0.06", "thickness": 0.01, "bore": "+0.005/+0.001",
                "recess_depth": {"upper": 0.02, "lower": -0.01}, "groove_width": 0.005, "runout_side": 0.002, "parallelism": 0.003});
        }
        order["drawing"] = json!({"dual_units": self.one_in(3), "projection": self.of(&["first", "third"]), "style": self.of(&["iso", "us"])});
        if self.one_in(2) {
            order["drawing"]["sheet"] = json!(self.of(&["A4", "A3", "A2", "A", "B", "C"]));
        }
    }
}

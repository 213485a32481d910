//! Random valid orders from a seed: every feature of the order format, alone and together, in inches and millimetres.

use serde_json::{Value, json};

/// A small generator of our own (splitmix64), so that a seed means the same orders on every machine for ever.
pub struct Chance(u64);

impl Chance {
    pub fn new(seed: u64) -> Chance {
        Chance(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0xD1B5_4A32_D192_ED03)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly in [0, 1).
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly between two limits.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// True with this probability.
    pub fn is(&mut self, probability: f64) -> bool {
        self.share() < probability
    }

    /// One of these.
    pub fn of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[(self.next() % choices.len() as u64) as usize]
    }
}

/// The order of a seed: valid by construction.
pub fn order(seed: u64) -> Value {
    let mut c = Chance::new(seed);
    let inch = c.is(0.4);
    let mut maker = Maker { inch, c };
    maker.order(seed)
}

struct Maker {
    inch: bool,
    c: Chance,
}

impl Maker {
    /// A length in mm as the order writes it: thousandths of an inch, hundredths of a millimetre, rounded down.
    fn len(&self, mm: f64) -> f64 {
        if self.inch { (mm / 25.4 * 1000.0).floor() / 1000.0 } else { (mm * 100.0).floor() / 100.0 }
    }

    fn order(&mut self, seed: u64) -> Value {
        let d = self.c.of(&[50.0, 150.0, 250.0, 400.0, 508.0, 610.0, 660.4, 762.0, 915.0, 1200.0])
            * self.c.between(0.9, 1.0);
        let t = d * self.c.between(0.05, 0.2);
        let h = d * self.c.between(0.15, 0.45);
        let mut wheel = json!({"outside_diameter": self.len(d), "thickness": self.len(t), "bore": self.len(h)});
        if self.c.is(0.3) {
            wheel["bore_chamfer"] = json!(self.len(t * 0.02));
        }
        for key in ["side_a", "side_b"] {
            if self.c.is(0.75) {
                wheel[key] = self.side(d, t, h);
            }
        }
        if self.c.is(0.25) {
            wheel["face"] = json!({"grooves": self.face(d)});
        }
        let mut order = json!({
            "order": {"number": format!("R{seed}"), "revision": self.c.of(&["A", "B", "C1"]), "date": "2026-03-02",
                "customer": self.c.of(&["Kestrel Bay Journal Works", "Harrow & Pell", "Óðinn Slípun hf.", "Мастерская «Волна»"]),
                "item": format!("Random wheel {seed}")},
            "units": if self.inch { "in" } else { "mm" },
            "wheel": wheel
        });
        self.parts(&mut order, d, t, h);
        order
    }

    fn side(&mut self, d: f64, t: f64, h: f64) -> Value {
        let mut side = json!({});
        let span = d - h;
        // from the bore outwards: recess, then taper, then corner
        let recess = h + span * self.c.between(0.25, 0.5);
        let taper = h + span * self.c.between(0.55, 0.7);
        if self.c.is(0.5) {
            side["recess"] = self.recess(recess, t, h);
        }
        if self.c.is(0.35) {
            let (to, depth) = (d * self.c.of(&[1.0, 0.97]), t * self.c.between(0.01, 0.05));
            let (a, b, depth) = (self.len(taper), self.len(to), self.len(depth));
            side["taper"] = if self.c.is(0.8) {
                json!({"from_diameter": a, "to_diameter": b, "depth": depth})
            } else {
                json!({"from_diameter": a, "to_diameter": b, "angle_deg": 0.5})
            };
        }
        if self.c.is(0.5) {
            let share = self.c.between(0.02, 0.12);
            let size = self.len((t * share).min(d * 0.012));
            side["corner"] = match self.c.of(&[0, 1, 2]) {
                0 => json!({"chamfer": size}),
                1 => json!({"chamfer": size, "angle_deg": self.c.of(&[30.0, 45.0, 60.0])}),
                _ => json!({"radius": size}),
            };
        }
        if self.c.is(0.6) {
            side["grooves"] = self.grooves(d, t, recess);
        }
        side
    }

    fn recess(&mut self, outermost: f64, t: f64, h: f64) -> Value {
        let steps = self.c.of(&[1, 1, 2, 3]);
        let (mut p, mut depth) = (outermost, t * 0.06);
        let mut list = Vec::new();
        for _ in 0..steps {
            let rise = t * self.c.between(0.03, 0.08);
            depth += rise;
            let mut step = json!({"diameter": self.len(p), "depth": self.len(depth)});
            let next = h + (p - h) * self.c.between(0.6, 0.75);
            if self.c.is(0.5) {
                step["fillet_radius"] = json!(self.len(rise.min((p - next) / 2.0) * 0.6));
            }
            list.push(step);
            p = next;
        }
        json!(list)
    }

    fn grooves(&mut self, d: f64, t: f64, recess: f64) -> Value {
        let count = self.c.of(&[1u32, 4, 18, 36, 60, 90, 120, 180, 360]);
        let inner = recess * self.c.between(0.95, 1.1);
        let room = if count == 1 { inner } else { inner * (std::f64::consts::PI / f64::from(count)).sin() };
        let width = (room * self.c.between(0.3, 0.7)).clamp(0.3, 6.0).min(room * 0.9);
        let depth = t * self.c.between(0.03, 0.1);
        let mut g = json!({"width": self.len(width), "depth": self.len(depth), "inner_diameter": self.len(inner)});
        if self.c.is(0.5) {
            g["count"] = json!(count);
        } else {
            g["pitch_deg"] = json!(360.0 / f64::from(count));
        }
        match self.c.of(&[0, 0, 1, 2]) {
            1 => g["bottom"] = json!("round"),
            2 => {
                g["bottom"] = json!("vee");
                g["vee_angle_deg"] = json!(self.c.of(&[60.0, 90.0]));
            }
            _ => {}
        }
        match self.c.of(&[0, 0, 1, 2]) {
            1 => g["inner_end"] = json!("round"),
            2 => {
                g["inner_end"] = json!("runout");
                g["cutter_diameter"] = json!(self.len((d * 0.1).max(4.0 * depth)));
            }
            _ => {}
        }
        if self.c.is(0.2) {
            g["outer_diameter"] = json!(self.len(inner + (d - inner) * 0.8));
        }
        if self.c.is(0.25) {
            g["skew_deg"] = json!((self.c.between(-20.0, 20.0) * 10.0).round() / 10.0);
        }
        if self.c.is(0.4) {
            g["start_deg"] = json!((self.c.between(0.0, 10.0) * 10.0).round() / 10.0);
        }
        if count > 4 && self.c.is(0.15) {
            g["omit"] = json!([2, 3]);
        }
        g
    }

    fn face(&mut self, d: f64) -> Value {
        let count = self.c.of(&[12u32, 36, 72, 90]);
        let width = (d * std::f64::consts::PI / f64::from(count) * 0.2).min(5.0);
        let mut g = json!({"count": count, "width": self.len(width), "depth": self.len(d * 0.008)});
        if self.c.is(0.4) {
            g["bottom"] = json!("round");
        }
        if self.c.is(0.2) {
            g["helix_deg"] = json!(self.c.of(&[-15.0, 10.0, 25.0]));
        }
        g
    }

    fn parts(&mut self, order: &mut Value, d: f64, t: f64, h: f64) {
        if self.c.is(0.7) {
            order["blank"] = json!({"outside_diameter": self.len(d * 1.02), "thickness": self.len(t * 1.1), "bore": self.len(h * 0.95),
                "marking": "A 54 K 6 V", "density": "2.15 g/cm3", "max_operating_speed": "33 m/s"});
        }
        if self.c.is(0.5) {
            order["tolerances"] = json!({"outside_diameter": "+0/-0.06", "thickness": 0.01, "bore": "+0.005/+0.001",
                "recess_depth": {"upper": 0.02, "lower": -0.01}, "groove_width": 0.005});
        }
        order["drawing"] = json!({"dual_units": self.c.is(0.3), "projection": self.c.of(&["first", "third"])});
        if self.c.is(0.4) {
            order["drawing"]["sheet"] = json!(self.c.of(&["A3", "A2", "B", "C"]));
        }
    }
}

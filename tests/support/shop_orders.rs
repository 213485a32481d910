//! Random valid orders in the sizes a shop writes: 1/64 to 1/8 in as decimals and as fractions, thousandths, 0.05 to 1 mm; a tolerance of any form on
//! any characteristic; any sheet, style and projection method.

use super::random_orders::Chance;
use serde_json::{Value, json};

/// The order of a seed.
pub fn order(seed: u64) -> Value {
    let mut c = Chance::new(seed ^ 0x5709_0FF5);
    let inch = c.is(0.6);
    let mut shop = Shop { inch, c };
    shop.order(seed)
}

struct Shop {
    inch: bool,
    c: Chance,
}

/// Steps an inch size is rounded down to, in sixty-fourths; 0 for thousandths.
const INCH_STEPS: [u32; 6] = [1, 2, 4, 8, 0, 8];
/// Steps a millimetre size is rounded down to.
const MM_STEPS: [f64; 5] = [0.05, 0.1, 0.25, 0.5, 1.0];

impl Shop {
    /// A size of about so many mm as a shop writes it; never more, and one step at least.
    fn size(&mut self, mm: f64) -> Value {
        if !self.inch {
            let step = self.c.of(&MM_STEPS);
            let steps = (mm / step).floor();
            return if steps < 1.0 { json!(round(mm.max(0.05), 2)) } else { json!(round(steps * step, 2)) };
        }
        let inches = mm / 25.4;
        match self.c.of(&INCH_STEPS) {
            0 => json!(round((inches * 1000.0).floor().max(1.0) / 1000.0, 3)),
            step => {
                let parts = (inches * 64.0 / f64::from(step)).floor() as u32 * step;
                match parts {
                    0 => json!(round((inches * 1000.0).floor().max(1.0) / 1000.0, 3)),
                    _ if self.c.is(0.4) => json!(fraction(parts)),
                    _ => json!(f64::from(parts) / 64.0),
                }
            }
        }
    }

    /// The same number in mm, as it is read again.
    fn mm(value: &Value, inch: bool) -> f64 {
        let unit = if inch { 25.4 } else { 1.0 };
        match value.as_str() {
            None => value.as_f64().unwrap() * unit,
            Some(text) => {
                let text = text.trim_end_matches(" in");
                let (whole, part) =
                    text.split_once('-').unwrap_or(if text.contains('/') { ("0", text) } else { (text, "0/1") });
                let (n, d) = part.split_once('/').unwrap();
                25.4 * (whole.parse::<f64>().unwrap() + n.parse::<f64>().unwrap() / d.parse::<f64>().unwrap())
            }
        }
    }

    /// A size of at least one bound and below another, with its mm; the nearer the bounds, the finer.
    fn between(&mut self, low: f64, high: f64) -> (Value, f64) {
        for _ in 0..20 {
            let wished = self.c.between(low, high);
            let value = self.size(wished);
            let mm = Shop::mm(&value, self.inch);
            if mm > low && mm < high {
                return (value, mm);
            }
        }
        let middle = (low + high) / 2.0;
        let own = if self.inch { round(middle / 25.4, 4) } else { round(middle, 3) };
        (json!(own), if self.inch { own * 25.4 } else { own })
    }

    fn order(&mut self, seed: u64) -> Value {
        let usual = self.c.of(&[100.0, 150.0, 205.0, 305.0, 405.0, 508.0, 610.0, 662.0, 762.0, 915.0, 1067.0]);
        let (d, d_mm) = self.between(usual * 0.9, usual);
        let (t, t_mm) = self.between(d_mm * 0.04, d_mm * 0.18);
        let (h, h_mm) = self.between(d_mm * 0.12, d_mm * 0.45);
        let mut wheel = json!({"outside_diameter": d, "thickness": t, "bore": h});
        if self.c.is(0.3) {
            wheel["bore_chamfer"] = self.between(t_mm * 0.01, t_mm * 0.03).0;
        }
        for key in ["side_a", "side_b"] {
            if self.c.is(0.7) {
                wheel[key] = self.side(d_mm, t_mm, h_mm);
            }
        }
        if self.c.is(0.25) {
            let count = self.c.of(&[12u32, 24, 36, 60, 90]);
            let land = d_mm * 3.0 / f64::from(count);
            let mut g = json!({"count": count, "width": self.between(land * 0.1, land * 0.3).0,
                "depth": self.between(d_mm * 0.006, d_mm * 0.012).0});
            if self.c.is(0.3) {
                g["helix_deg"] = json!(self.c.of(&[-30.0, -15.0, 10.0, 20.0]));
            }
            if self.c.is(0.4) {
                g["start_deg"] = json!(self.c.of(&[1.0, 2.5, 5.0]));
            }
            if self.c.is(0.3) {
                g["bottom"] = json!("round");
            }
            wheel["face"] = json!({"grooves": g});
        }
        let mut order = json!({
            "order": {"number": format!("S{seed}"), "revision": "A", "date": "2026-03-02", "customer": "Kestrel Bay Journal Works",
                "item": "Main-journal wheel"},
            "units": if self.inch { "in" } else { "mm" },
            "wheel": wheel,
        });
        if self.c.is(0.5) {
            order["blank"] = json!({"marking": "A 54 K 6 V", "density": "2.15 g/cm3", "max_operating_speed": "33 m/s"});
            for (key, mm) in [("outside_diameter", d_mm * 1.02), ("thickness", t_mm * 1.05)] {
                order["blank"][key] = self.between(mm, mm * 1.02).0;
            }
        }
        order["tolerances"] = self.tolerances();
        order["drawing"] = json!({"dual_units": self.c.is(0.35), "projection": self.c.of(&["first", "third"]),
            "style": self.c.of(&["iso", "us"])});
        if self.c.is(0.6) {
            order["drawing"]["sheet"] = json!(self.c.of(&["A4", "A3", "A2", "A", "B", "C"]));
        }
        order
    }

    fn side(&mut self, d: f64, t: f64, h: f64) -> Value {
        let mut side = json!({});
        let span = d - h;
        let mut outermost = h + span * 0.25;
        if self.c.is(0.55) {
            let (mut list, mut p, mut depth) = (Vec::new(), h + span * self.c.between(0.3, 0.5), t * 0.02);
            outermost = p;
            for _ in 0..self.c.of(&[1, 1, 2, 3]) {
                let (own, own_mm) = self.between(h + (p - h) * 0.85, p);
                let (deep, deep_mm) = self.between(depth + t * 0.01, depth + t * 0.09);
                let mut step = json!({"diameter": own, "depth": deep});
                let next = h + (own_mm - h) * self.c.between(0.7, 0.95);
                let fillet = (deep_mm - depth).min((own_mm - next) / 2.0) * 0.8;
                if self.c.is(0.5) && fillet > 0.2 {
                    step["fillet_radius"] = self.between(fillet * 0.3, fillet).0;
                }
                list.push(step);
                (p, depth) = (next, deep_mm);
            }
            side["recess"] = json!(list);
        }
        let inner = outermost + span * 0.03;
        // a corner must fit on the flat that a taper leaves at the rim, where it leaves one
        let mut flat = f64::INFINITY;
        if self.c.is(0.35) {
            let (from, from_mm) = self.between(inner, inner + span * 0.1);
            let least = if self.c.is(0.5) { d * 0.97 } else { from_mm + span * 0.1 };
            let (to, to_mm) = self.between(least, d);
            flat = (d - to_mm) / 2.0;
            side["taper"] = json!({"from_diameter": from, "to_diameter": to});
            match self.c.is(0.4) {
                true => side["taper"]["angle_deg"] = json!(self.c.of(&[0.25, 0.5, 1.0])),
                false => side["taper"]["depth"] = self.between(t * 0.005, t * 0.05).0,
            }
        }
        let most = (t * 0.1).min(d * 0.012).min(flat * 0.9);
        if self.c.is(0.55) && most > 0.2 {
            let size = self.between(most * 0.2, most).0;
            side["corner"] = match self.c.of(&[0, 1, 2]) {
                0 => json!({"chamfer": size}),
                1 => json!({"chamfer": size, "angle_deg": self.c.of(&[30.0, 60.0])}),
                _ => json!({"radius": size}),
            };
        }
        if self.c.is(0.6) {
            side["grooves"] = self.grooves(d, t, inner);
        }
        side
    }

    fn grooves(&mut self, d: f64, t: f64, inner: f64) -> Value {
        let count = self.c.of(&[1u32, 2, 4, 12, 24, 48, 60, 90, 120, 180]);
        let (start, start_mm) = self.between(inner, inner + (d - inner) * 0.3);
        let room = if count < 3 { start_mm * 0.3 } else { start_mm * (std::f64::consts::PI / f64::from(count)).sin() };
        let most = (room * 0.7).min(8.0);
        let (depth, depth_mm) = self.between(t * 0.02, t * 0.09);
        let mut g =
            json!({"count": count, "width": self.between(most * 0.4, most).0, "depth": depth, "inner_diameter": start});
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
                let least = (4.0 * depth_mm).max(d * 0.05);
                g["inner_end"] = json!("runout");
                g["cutter_diameter"] = self.between(least, least * 1.3).0;
            }
            _ => {}
        }
        if self.c.is(0.2) {
            g["outer_diameter"] = self.between(start_mm + (d - start_mm) * 0.6, start_mm + (d - start_mm) * 0.9).0;
        }
        if self.c.is(0.2) {
            g["skew_deg"] = json!(self.c.of(&[-15.0, -7.5, 5.0, 10.0]));
        }
        if self.c.is(0.4) {
            g["start_deg"] = json!(self.c.of(&[0.5, 1.0, 7.5, 45.0]));
        }
        if count > 10 && self.c.is(0.2) {
            g["omit"] = json!([1, 2, 7]);
        }
        g
    }

    /// Tolerances of every form on some characteristics.
    fn tolerances(&mut self) -> Value {
        let mut all = json!({});
        for key in [
            "outside_diameter",
            "thickness",
            "bore",
            "recess_diameter",
            "recess_depth",
            "groove_width",
            "groove_depth",
            "groove_pitch_deg",
            "runout_face",
            "runout_side",
            "parallelism",
        ] {
            if !self.c.is(0.4) {
                continue;
            }
            let fine = if self.inch {
                self.c.of(&[0.001, 0.002, 0.005, 0.0005, 0.01, 0.06])
            } else {
                self.c.of(&[0.02, 0.05, 0.1, 0.5, 1.0])
            };
            let one_sided = !matches!(key, "runout_face" | "runout_side" | "parallelism");
            all[key] = match self.c.of(&[0, 1, 2, 3]) {
                1 if one_sided => json!(format!("+0/-{fine}")),
                2 if one_sided => json!(format!("+{fine}/0")),
                3 if one_sided => json!({"upper": fine, "lower": -fine / 2.0}),
                _ => json!(fine),
            };
        }
        if self.c.is(0.2) {
            all["general"] = if self.inch { json!(0.01) } else { json!(0.2) };
        }
        all
    }
}

fn round(value: f64, decimals: i32) -> f64 {
    (value * 10f64.powi(decimals)).round() / 10f64.powi(decimals)
}

/// `13-17/32 in` of so many sixty-fourths.
fn fraction(sixty_fourths: u32) -> String {
    let (whole, mut part, mut of) = (sixty_fourths / 64, sixty_fourths % 64, 64);
    while part % 2 == 0 && of > 1 {
        (part, of) = (part / 2, of / 2);
    }
    match (whole, of) {
        (_, 1) => format!("{} in", whole + part),
        (0, _) => format!("{part}/{of} in"),
        _ => format!("{whole}-{part}/{of} in"),
    }
}

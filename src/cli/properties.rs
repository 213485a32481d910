//! `properties`: the numbers of a wheel.

use super::table::aligned;
use super::{Desk, Done, Failure, Outcome};
use crate::properties::{self, GrooveNumbers, Properties};
use crate::quantity::{LengthUnit, MM_PER_INCH, fixed};
use crate::wheel::Job;
use serde_json::{Map, Value};
use std::path::PathBuf;

/// Arguments of `properties`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft properties demo-data/1042.json\n  wheeldraft properties 1042.json --format json | jq .wheel.mass\n\n\
    JSON is always in mm, mm², mm³, kg, kg·m², g·mm and degrees; masses are null where the order gives no density."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
}

/// Prints the numbers.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let job = desk.job(&args.order)?;
    let numbers = properties::of(&job).map_err(|e| Failure::new(format!("the wheel has no section: {e}"), ""))?;
    if desk.is_json() {
        desk.print_json(&json(&job, &numbers))?;
    } else {
        desk.print(&text(&job, &numbers))?;
        if job.density().is_none() {
            desk.remark("No density: give the blank's `density`, or its `weight` with all its sizes, to get masses.");
        }
    }
    Ok(Outcome::Made)
}

/// `format` and `fingerprint` first, then the keys of the order format's results.
fn json(job: &Job, numbers: &Properties) -> Value {
    let mut out = Map::new();
    out.insert("format".into(), Value::from(1));
    out.insert("fingerprint".into(), Value::from(job.fingerprint().full()));
    // the numbers are a struct of finite numbers, which always serialise
    if let Ok(Value::Object(keys)) = serde_json::to_value(numbers) {
        out.extend(keys);
    }
    Value::Object(out)
}

/// Units of a table of numbers: metric, with inches and pounds beside them where the order is in inches.
struct Table {
    inches: bool,
    rows: Vec<Vec<String>>,
}

/// Pounds in a kilogram: 1 lb = 0.45359237 kg exactly.
const POUNDS: f64 = 1.0 / 0.453_592_37;

fn text(job: &Job, numbers: &Properties) -> String {
    let mut table = Table { inches: job.units == LengthUnit::Inch, rows: Vec::new() };
    table.head(&format!("Order {} · fingerprint {}", job.file_stem(), job.fingerprint().short()));
    table.head("");
    table.solid(numbers);
    let sets = [("side A", numbers.grooves.side_a), ("side B", numbers.grooves.side_b), ("face", numbers.grooves.face)];
    for (name, set) in sets {
        if let Some(set) = set {
            table.grooves(name, &set);
        }
    }
    aligned_with_heads(&table.rows)
}

/// Headings stand alone and must not widen the first column.
fn aligned_with_heads(rows: &[Vec<String>]) -> String {
    let body: Vec<Vec<String>> = rows.iter().filter(|r| r.len() > 1).cloned().collect();
    let lines = aligned(&body);
    let mut lines = lines.lines();
    let line = |r: &Vec<String>| if r.len() > 1 { lines.next().unwrap_or_default().to_owned() } else { r[0].clone() };
    rows.iter().map(line).map(|l| l + "\n").collect()
}

/// Digits before the point in groups of three, parted by blanks (ISO 80000-1), where there are five or more.
fn grouped(number: &str) -> String {
    let end = number.find('.').unwrap_or(number.len());
    let start = number.len() - number.trim_start_matches('-').len();
    let digits = &number[start..end];
    if digits.len() < 5 {
        return number.to_owned();
    }
    let mut out = number[..start].to_owned();
    for (i, d) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(d);
    }
    out + &number[end..]
}

impl Table {
    fn head(&mut self, text: &str) {
        self.rows.push(vec![text.to_owned()]);
    }

    /// A value in mm to the `power`, and in inches to that power where the order is in inches.
    fn row(&mut self, label: &str, value: f64, power: i32) {
        let sign = ["", "", "²", "³", "⁴", "⁵"][usize::try_from(power).unwrap_or(0).min(5)];
        let decimals = [3, 3, 3, 1, 0, 0][usize::try_from(power).unwrap_or(0).min(5)];
        let mut row = vec![format!("  {label}"), grouped(&fixed(value, decimals)), format!("mm{sign}")];
        if self.inches {
            let decimals = if power > 1 { 3 } else { 4 };
            row.extend([grouped(&fixed(value / MM_PER_INCH.powi(power), decimals)), format!("in{sign}")]);
        }
        self.rows.push(row);
    }

    fn plain(&mut self, label: &str, value: String, unit: &str) {
        self.rows.push(vec![format!("  {label}"), value, unit.to_owned()]);
    }

    fn solid(&mut self, n: &Properties) {
        self.head("Half-section without grooves");
        self.row("area", n.section.area, 2);
        self.row("centroid from the axis", n.section.centroid_r, 1);
        self.row("centroid from side A", n.section.centroid_z, 1);
        self.head("Wheel without grooves");
        self.row("volume", n.plain.volume, 3);
        self.row("centroid from side A", n.plain.centroid_z, 1);
        self.head("Wheel as ordered");
        self.row("volume", n.wheel.volume, 3);
        self.row("volume of the grooves", n.wheel.groove_volume, 3);
        self.row("centroid from side A", n.wheel.centroid_z, 1);
        self.row("static moment", n.wheel.static_moment, 4);
        self.row("moment about the axis", n.wheel.polar_moment, 5);
        self.row("moment about a diameter", n.wheel.transverse_moment, 5);
        self.masses(n);
    }

    fn masses(&mut self, n: &Properties) {
        let none = || "no density".to_owned();
        let show = |value: Option<f64>, decimals| value.map_or_else(none, |v| fixed(v, decimals));
        let mut mass = vec!["  mass".to_owned(), show(n.wheel.mass, 3), "kg".to_owned()];
        if let (true, Some(kg)) = (self.inches, n.wheel.mass) {
            mass.extend([fixed(kg * POUNDS, 2), "lb".to_owned()]);
        }
        self.rows.push(mass);
        self.plain("inertia about the axis", show(n.wheel.polar_inertia, 5), "kg·m²");
        self.plain("inertia about a diameter", show(n.wheel.transverse_inertia, 5), "kg·m²");
        self.plain("unbalance", show(n.wheel.unbalance, 1), "g·mm");
        if let Some(heavy) = n.wheel.static_moment_deg {
            self.plain("direction of the heavy side", fixed(heavy, 2), "°");
        }
    }

    fn grooves(&mut self, place: &str, g: &GrooveNumbers) {
        self.head(&format!("Grooves of {place}"));
        self.plain("count", g.count.to_string(), "");
        self.plain("pitch", fixed(g.pitch_deg, 4), "°");
        self.row("volume of one", g.volume_each, 3);
        self.row("land at the outside diameter", g.land_outer, 1);
        self.row("land at the inner end", g.land_inner, 1);
        self.plain("ungrooved share", fixed(100.0 * g.land_share, 2), "%");
        if let Some(merge) = g.merge_diameter {
            self.row("neighbours merge inside Ø", merge, 1);
        }
    }
}

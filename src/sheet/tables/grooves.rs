//! The groove table: a column for each grooved side and for the face.

use super::SMALL;
use super::dimensions::tolerance;
use crate::properties::{GrooveNumbers, Properties};
use crate::quantity::fixed;
use crate::sheet::table::{Column, Table};
use crate::sheet::view::Style;
use crate::wheel::{
    Bottom, Characteristic, FaceBottom, FaceGrooves, InnerEnd, Job, Pattern, Requirement, SideGrooves, SideName,
};

/// A set of grooves: its heading, the beginning of its requirements' ids, its rows.
type Set = (String, String, Vec<(&'static str, String)>);

/// The table; `None` where nothing is grooved. Before each value that is inspected stands its number and its letter.
pub fn grooves(job: &Job, numbers: &Properties, requirements: &[Requirement], style: &Style) -> Option<Table> {
    let wheel = &job.wheel;
    let mut sets: Vec<Set> = Vec::new();
    for (name, numbers) in [(SideName::A, numbers.grooves.side_a), (SideName::B, numbers.grooves.side_b)] {
        if let Some(g) = &wheel.side(name).grooves {
            let key = format!("{}.grooves", name.key());
            sets.push((format!("Side {}", name.letter()), key, side(job, g, numbers, style)));
        }
    }
    if let Some(g) = &wheel.face {
        sets.push(("Face".to_owned(), "face.grooves".to_owned(), face(job, g, numbers.grooves.face, style)));
    }
    if sets.is_empty() {
        return None;
    }
    // rows in the order in which the first set that has them names them
    let mut labels: Vec<&str> = Vec::new();
    for label in sets.iter().flat_map(|(_, _, rows)| rows.iter().map(|(l, _)| *l)) {
        if !labels.contains(&label) {
            labels.push(label);
        }
    }
    labels.sort_by_key(|l| ROWS.iter().position(|r| r == l));
    let mut columns = vec![Column::left("", 46.0)];
    columns.extend(sets.iter().flat_map(|(head, ..)| [Column::centred("No.", 14.0), Column::centred(head, 42.0)]));
    let value = |rows: &[(&str, String)], label: &str| {
        rows.iter().find(|(l, _)| *l == label).map_or("–".to_owned(), |(_, v)| v.clone())
    };
    let rows = labels
        .iter()
        .map(|label| {
            let mut row = vec![(*label).to_owned()];
            let cells = |(_, key, rows): &Set| [inspected(requirements, key, label), value(rows, label)];
            row.extend(sets.iter().flat_map(cells));
            row
        })
        .collect();
    let title = format!("Grooves, in {} – intentional, not damage", super::dimensions::unit_name(style.unit));
    Some(Table { id: "table-grooves".to_owned(), title, columns, rows, size: SMALL })
}

/// Number and letter of the requirement that a row shows; empty where it is not inspected.
fn inspected(requirements: &[Requirement], key: &str, label: &str) -> String {
    let field = match label {
        "Number" => "count",
        "Pitch" => "pitch_deg",
        "First groove at" => "start_deg",
        "Width" => "width",
        "Depth" => "depth",
        "Bottom" => "vee_angle_deg",
        "Inner end" => "cutter_diameter",
        "Inner diameter" => "inner_diameter",
        "Outer end" => "outer_diameter",
        "Skew" => "skew_deg",
        "Helix" => "helix_deg",
        _ => return String::new(),
    };
    let id = format!("{key}.{field}");
    let found = requirements.iter().find(|r| r.id == id);
    found.map_or(String::new(), |r| format!("{} {}", r.number, r.letter))
}

const ROWS: [&str; 14] = [
    "Number",
    "Pitch",
    "First groove at",
    "Left out",
    "Width",
    "Depth",
    "Bottom",
    "Inner end",
    "Inner diameter",
    "Outer end",
    "Skew",
    "Helix",
    "Land outside",
    "Land inside",
];

fn pattern(rows: &mut Vec<(&'static str, String)>, job: &Job, pattern: &Pattern, style: &Style) {
    rows.push(("Number", pattern.count().to_string()));
    let pitch = style.angle(pattern.pitch_deg());
    let deviation = job.tolerances.get(Characteristic::GroovePitchDeg);
    rows.push(("Pitch", deviation.map_or(pitch.clone(), |d| format!("{pitch} {}", tolerance(d, style, true)))));
    rows.push(("First groove at", style.angle(pattern.start_deg)));
    if !pattern.omit.is_empty() {
        rows.push(("Left out", omitted(&pattern.omit)));
    }
}

/// `No. 3, 7–9`.
fn omitted(omit: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &k in omit {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == k => *last = k,
            _ => runs.push((k, k)),
        }
    }
    let shown = runs.iter().map(|&(a, b)| if a == b { a.to_string() } else { format!("{a}–{b}") });
    format!("No. {}", shown.collect::<Vec<_>>().join(", "))
}

/// A length with its tolerance and, where both units are printed, the other unit.
fn length(job: &Job, mm: f64, what: Option<Characteristic>, style: &Style, sign: &str) -> String {
    let mut text = format!("{sign}{}", style.length(mm));
    if style.dual_units {
        text.push_str(&format!(" [{sign}{}]", style.other_length(mm)));
    }
    if let Some(d) = what.and_then(|w| job.tolerances.get(w)) {
        text.push_str(&format!(" {}", style.deviation(d, style.unit, false)));
    }
    text
}

fn lands(rows: &mut Vec<(&'static str, String)>, numbers: Option<GrooveNumbers>, style: &Style) {
    let Some(n) = numbers else { return };
    let decimals = if style.unit == crate::quantity::LengthUnit::Inch { 3 } else { 2 };
    let land = |mm: f64| {
        let mark = |text: String| {
            if style.dimensioning == crate::order::DrawingStyle::Iso { text.replace('.', ",") } else { text }
        };
        format!("({})", mark(fixed(mm / style.unit.mm(), decimals)))
    };
    rows.push(("Land outside", land(n.land_outer)));
    rows.push(("Land inside", land(n.land_inner)));
}

fn side(job: &Job, g: &SideGrooves, numbers: Option<GrooveNumbers>, style: &Style) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    pattern(&mut rows, job, &g.pattern, style);
    rows.push(("Width", length(job, g.width, Some(Characteristic::GrooveWidth), style, "")));
    rows.push(("Depth", length(job, g.depth, Some(Characteristic::GrooveDepth), style, "")));
    let bottom = match g.bottom {
        Bottom::Flat => "flat".to_owned(),
        Bottom::Round => format!("round R{}", style.length(g.width / 2.0)),
        Bottom::Vee { angle_deg } => format!("vee {}", style.angle(angle_deg)),
    };
    rows.push(("Bottom", bottom));
    let end = match g.inner_end {
        InnerEnd::Square => "square".to_owned(),
        InnerEnd::Round => "round".to_owned(),
        InnerEnd::Runout { cutter_diameter } => format!("run-out, cutter Ø{}", style.length(cutter_diameter)),
    };
    rows.push(("Inner end", end));
    rows.push(("Inner diameter", length(job, g.inner_diameter, None, style, "Ø")));
    let outer = g.outer_diameter.map_or("through the OD".to_owned(), |d| length(job, d, None, style, "Ø"));
    rows.push(("Outer end", outer));
    if g.skew_deg != 0.0 {
        rows.push(("Skew", style.angle(g.skew_deg)));
    }
    lands(&mut rows, numbers, style);
    rows
}

fn face(job: &Job, g: &FaceGrooves, numbers: Option<GrooveNumbers>, style: &Style) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    pattern(&mut rows, job, &g.pattern, style);
    rows.push(("Width", length(job, g.width, Some(Characteristic::GrooveWidth), style, "")));
    rows.push(("Depth", length(job, g.depth, Some(Characteristic::GrooveDepth), style, "")));
    let bottom = match g.bottom {
        FaceBottom::Flat => "flat".to_owned(),
        FaceBottom::Round => format!("round R{}", style.length(g.width / 2.0)),
    };
    rows.push(("Bottom", bottom));
    if g.helix_deg != 0.0 {
        rows.push(("Helix", style.angle(g.helix_deg)));
    }
    lands(&mut rows, numbers, style);
    rows
}

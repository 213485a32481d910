//! The groove table: a column for each grooved side and for the face.

use super::SMALL;
use super::dimensions::tolerance;
use crate::sheet::table::{Column, Table};
use crate::sheet::view::Style;
use crate::size::{GrooveSet, GrooveSize, Size};
use crate::wheel::{Bottom, Characteristic, FaceBottom, FaceGrooves, InnerEnd, Job, Pattern, Requirement, SideGrooves};

/// A row of one set: the key of its label, the size whose number and letter stand before the value, the value.
type Row = (&'static str, Option<GrooveSize>, String);

/// The table; `None` where nothing is grooved. Before each value that is inspected stands its number and its letter.
pub fn grooves(job: &Job, requirements: &[Requirement], style: &Style) -> Option<Table> {
    let sets: Vec<(GrooveSet, Vec<Row>)> =
        GrooveSet::ALL.into_iter().filter_map(|set| Some((set, rows(job, set, style)?))).collect();
    if sets.is_empty() {
        return None;
    }
    let named = |label: &&str| sets.iter().any(|(_, rows)| rows.iter().any(|(l, ..)| l == label));
    let mut columns = vec![Column::left("", 46.0)];
    for (set, _) in &sets {
        let head = match set {
            GrooveSet::Side(name) => style.of_side("sheet.side", *name),
            GrooveSet::Face => style.say("sheet.face").to_owned(),
        };
        columns.extend([Column::centred(style.say("sheet.number"), 14.0), Column::centred(&head, 42.0)]);
    }
    let cells = |(set, rows): &(GrooveSet, Vec<Row>), label: &str| {
        let found = rows.iter().find(|(l, ..)| *l == label);
        let mut value = found.map_or("–".to_owned(), |(.., value)| value.clone());
        let inspected = found.and_then(|(_, groove, _)| Some(Size::Groove(*set, (*groove)?)));
        if inspected.is_some_and(|size| size.is_open(job)) {
            value += " ?";
        }
        let required = requirements.iter().find(|r| Some(r.size) == inspected);
        [required.map_or(String::new(), |r| format!("{} {}", r.number, r.letter)), value]
    };
    let rows = ROWS.into_iter().filter(named).map(|label| {
        let rest = sets.iter().flat_map(|set| cells(set, label));
        std::iter::once(style.say(label).to_owned()).chain(rest).collect()
    });
    let title = style.put("sheet.grooves", &[("unit", super::dimensions::unit_name(style.unit, style))]);
    Some(Table { id: super::GROOVES.to_owned(), title, columns, rows: rows.collect(), size: SMALL })
}

const ROWS: [&str; 14] = [
    "sheet.row.number",
    "sheet.row.pitch",
    "sheet.row.first",
    "sheet.row.omitted",
    "sheet.row.width",
    "sheet.row.depth",
    "sheet.row.bottom",
    "sheet.row.inner_end",
    "sheet.row.inner_diameter",
    "sheet.row.outer_end",
    "sheet.row.skew",
    "sheet.row.helix",
    "sheet.row.land_outside",
    "sheet.row.land_inside",
];

/// The rows of one set; `None` where the wheel has none.
fn rows(job: &Job, set: GrooveSet, style: &Style) -> Option<Vec<Row>> {
    let mut rows = Vec::new();
    pattern(&mut rows, job, job.wheel.pattern(set)?, style);
    match set {
        GrooveSet::Side(name) => side(&mut rows, job, job.wheel.side(name).grooves.as_ref()?, style),
        GrooveSet::Face => face(&mut rows, job, job.wheel.face.as_ref()?, style),
    }
    lands(&mut rows, job, set, style);
    Some(rows)
}

fn pattern(rows: &mut Vec<Row>, job: &Job, pattern: &Pattern, style: &Style) {
    rows.push(("sheet.row.number", Some(GrooveSize::Count), pattern.count().to_string()));
    let pitch = style.angle(pattern.pitch_deg());
    let deviation = job.tolerances.get(Characteristic::GroovePitchDeg);
    let pitch = deviation.map_or(pitch.clone(), |d| format!("{pitch} {}", tolerance(d, style, true)));
    rows.push(("sheet.row.pitch", Some(GrooveSize::Pitch), pitch));
    rows.push(("sheet.row.first", Some(GrooveSize::Start), style.angle(pattern.start_deg)));
    if !pattern.omit.is_empty() {
        rows.push(("sheet.row.omitted", None, omitted(&pattern.omit, style)));
    }
}

/// `No. 3, 7–9`.
fn omitted(omit: &[u32], style: &Style) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &k in omit {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == k => *last = k,
            _ => runs.push((k, k)),
        }
    }
    let shown = runs.iter().map(|&(a, b)| if a == b { a.to_string() } else { format!("{a}–{b}") });
    style.put("sheet.places", &[("list", &shown.collect::<Vec<_>>().join(", "))])
}

/// A length with its tolerance and, where both units are printed, the other unit.
fn length(job: &Job, mm: f64, what: Option<Characteristic>, style: &Style, sign: &str) -> String {
    let size = match what {
        Some(Characteristic::GrooveDepth) => GrooveSize::Depth,
        _ => GrooveSize::Width,
    };
    let deviation = what.and_then(|w| job.tolerances.get(w));
    let of = Requirement::alone(Size::Groove(GrooveSet::Face, size), mm, deviation);
    let mut text = format!("{sign}{}", style.written().pair(&of, style.unit).0);
    if style.dual_units {
        text.push_str(&format!(" [{sign}{}]", style.other_length(mm)));
    }
    if let Some(tolerance) = style.tolerance(&of, style.unit) {
        text.push_str(&format!(" {tolerance}"));
    }
    text
}

fn lands(rows: &mut Vec<Row>, job: &Job, set: GrooveSet, style: &Style) {
    for (label, land) in [("sheet.row.land_outside", GrooveSize::LandOuter), ("sheet.row.land_inside", GrooveSize::LandInner)] {
        if let Some(mm) = Size::Groove(set, land).value(job) {
            let (value, decimals) = style.unit.calculated(mm);
            rows.push((label, Some(land), format!("({})", style.exact(value, decimals))));
        }
    }
}

fn width_and_depth(rows: &mut Vec<Row>, job: &Job, [width, depth]: [f64; 2], style: &Style) {
    for (label, size, mm, tolerance) in [
        ("sheet.row.width", GrooveSize::Width, width, Characteristic::GrooveWidth),
        ("sheet.row.depth", GrooveSize::Depth, depth, Characteristic::GrooveDepth),
    ] {
        rows.push((label, Some(size), length(job, mm, Some(tolerance), style, "")));
    }
}

fn side(rows: &mut Vec<Row>, job: &Job, g: &SideGrooves, style: &Style) {
    width_and_depth(rows, job, [g.width, g.depth], style);
    let bottom = match g.bottom {
        Bottom::Flat => style.say("sheet.flat").to_owned(),
        Bottom::Round => style.put("sheet.round_bottom", &[("radius", &style.length(g.width / 2.0))]),
        Bottom::Vee { angle_deg } => style.put("sheet.vee", &[("angle", &style.angle(angle_deg))]),
    };
    rows.push(("sheet.row.bottom", Some(GrooveSize::VeeAngle), bottom));
    let end = match g.inner_end {
        InnerEnd::Square => style.say("sheet.square").to_owned(),
        InnerEnd::Round => style.say("sheet.round").to_owned(),
        InnerEnd::Runout { cutter_diameter } => {
            style.put("sheet.runout", &[("diameter", &style.length(cutter_diameter))])
        }
    };
    rows.push(("sheet.row.inner_end", Some(GrooveSize::Cutter), end));
    rows.push(("sheet.row.inner_diameter", Some(GrooveSize::InnerDiameter), length(job, g.inner_diameter, None, style, "Ø")));
    let outer = g.outer_diameter.map_or_else(|| style.say("sheet.through").to_owned(), |d| length(job, d, None, style, "Ø"));
    rows.push(("sheet.row.outer_end", Some(GrooveSize::OuterDiameter), outer));
    if g.skew_deg != 0.0 {
        rows.push(("sheet.row.skew", Some(GrooveSize::Skew), style.angle(g.skew_deg)));
    }
}

fn face(rows: &mut Vec<Row>, job: &Job, g: &FaceGrooves, style: &Style) {
    width_and_depth(rows, job, [g.width, g.depth], style);
    let bottom = match g.bottom {
        FaceBottom::Flat => style.say("sheet.flat").to_owned(),
        FaceBottom::Round => style.put("sheet.round_bottom", &[("radius", &style.length(g.width / 2.0))]),
    };
    rows.push(("sheet.row.bottom", None, bottom));
    if g.helix_deg != 0.0 {
        rows.push(("sheet.row.helix", Some(GrooveSize::Helix), style.angle(g.helix_deg)));
    }
}

//! `grooves --sweep`: counts of grooves in a table, those that meet all limits first.

use super::grooves_asked::{Args, Place, SweepArgs};
use super::table::aligned;
use super::{Desk, Done, Failure, Outcome, paper};
use crate::drawing::{About, Drawing};
use crate::properties::planner::{Against, Choice, Grooves, Question, counts, sweep};
use crate::quantity::{LengthUnit, fixed, trimmed};
use crate::report::counts::{GroovePlace, choice, question};
use crate::report::{self, Planned};
use crate::rules::ShopRules;
use crate::sheet::sheets_of;
use crate::sheet::view::Style;
use crate::wheel::{Job, SideName};
use serde_json::{Value, json};

impl Place {
    fn is(self, place: GroovePlace) -> bool {
        match self {
            Place::A => place == GroovePlace::Side(SideName::A),
            Place::B => place == GroovePlace::Side(SideName::B),
            Place::Face => place == GroovePlace::Face,
        }
    }
}

/// Tables the counts.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let shop = desk.rules()?;
    let s = &args.sweep;
    if s.from > s.to {
        let message = format!("the least count {} is above the greatest {}", s.from, s.to);
        return Err(Failure::new(message, "give --from at most as large as --to"));
    }
    positive("--index-step", s.index_step)?;
    for &f in &s.natural_frequency {
        positive("--natural-frequency", Some(f))?;
    }
    let job = args.order.as_ref().map(|file| desk.job(file)).transpose()?;
    let question = match &job {
        Some(job) => of_order(s, job, &shop)?,
        None => of_sizes(args)?,
    };
    let limits = shop.groove_limits();
    let tried = counts(s.from..=s.to);
    let choices = sweep(&question, &limits, &tried);
    let left_out: Vec<u32> = (s.from..=s.to).filter(|n| !tried.contains(n)).collect();
    let unit = job.as_ref().map_or(LengthUnit::Millimetre, |j| j.units);
    if let Some(file) = &s.output {
        let about = about(job.as_ref(), &question);
        let planned = Planned { choices: &choices, limits: &limits, natural: &question.natural, about: &about, unit };
        paper::write(file, &sheets(job.as_ref(), &planned)?, desk)?;
    }
    if desk.is_json() {
        let list: Vec<Value> = choices.iter().map(choice).collect();
        let left_out = json!({ "counts": left_out, "why": NOT_ROUND });
        desk.print_json(&json!({ "format": 1, "choices": list, "left_out": left_out }))?;
    } else {
        desk.print(&(text(&choices, unit) + &not_tried(&left_out)))?;
    }
    Ok(Outcome::Made)
}

/// Why a long sweep leaves counts out.
const NOT_ROUND: &str = "their pitch has more than two decimals";

/// Which counts a sweep leaves out, and why; nothing where it has them all.
fn not_tried(left_out: &[u32]) -> String {
    const NAMED: usize = 4;
    let Some(last) = left_out.last() else { return String::new() };
    let first: Vec<String> = left_out.iter().take(NAMED).map(u32::to_string).collect();
    format!(
        "Left out: {} counts, since {NOT_ROUND} ({} … {last}). A range of 40 or fewer, by --from and --to, has every count.\n",
        left_out.len(),
        first.join(", ")
    )
}

/// Which grooves were planned, in a sentence.
fn about(job: Option<&Job>, question: &Question) -> String {
    let which = match question.grooves {
        Grooves::Ring { outside_diameter, inner_diameter, width, .. } => {
            let mm = |v: f64| Style::usual().length(v);
            format!("Grooves {} mm wide from Ø{} to Ø{} mm", mm(width), mm(inner_diameter), mm(outside_diameter))
        }
        Grooves::Side(_, side) => format!("Grooves of side {} as ordered, their count alone changed", side.letter()),
        Grooves::Face(_) => "Grooves of the face as ordered, their count alone changed".to_owned(),
    };
    job.map_or(format!("{which}."), |j| format!("{which}; fingerprint {}.", j.fingerprint().short()))
}

/// The planner on paper.
fn sheets(job: Option<&Job>, planned: &Planned) -> Result<Vec<Drawing>, Failure> {
    let of = job.map_or(String::new(), |j| format!(", order {}", j.file_stem()));
    let subject = "Groove planner";
    let about = job.map_or_else(|| About { subject: subject.to_owned(), ..About::default() }, |j| j.about(subject));
    let style = job.map_or_else(Style::usual, Style::of);
    sheets_of(&report::planner(&format!("Groove planner{of}"), planned), &style, &about)
        .map_err(|e| Failure::new(format!("the sheet cannot be made: {e}"), "sweep fewer counts"))
}

pub(super) fn positive(name: &str, value: Option<f64>) -> Result<(), Failure> {
    match value {
        Some(v) if !(v.is_finite() && v > 0.0) => {
            Err(Failure::new(format!("{name} must be above 0, not {v}"), "give a number above 0"))
        }
        _ => Ok(()),
    }
}

fn of_sizes(args: &Args) -> Result<Question<'_>, Failure> {
    let (Some(outside_diameter), Some(inner_diameter), Some(width)) =
        (args.outside_diameter, args.inner_diameter, args.width)
    else {
        return Err(Failure::new("a size is missing", "give --outside-diameter, --inner-diameter and --width"));
    };
    let s = &args.sweep;
    Ok(Question {
        grooves: Grooves::Ring { outside_diameter, inner_diameter, width, depth: s.depth },
        volume_each: None,
        wall: None,
        rpm: s.rpm,
        natural: s.natural_frequency.clone(),
        index_step: s.index_step,
        pitch_tolerance: None,
    })
}

/// What the command line says goes before what the order says.
fn of_order<'a>(s: &SweepArgs, job: &'a Job, shop: &ShopRules) -> Result<Question<'a>, Failure> {
    let wanted = GroovePlace::ALL.into_iter().filter(|place| s.side.is_none_or(|side| side.is(*place)));
    let Some(asked) = wanted.filter_map(|place| question(job, shop, place)).next() else {
        return Err(Failure::new("the order has no such grooves", "name grooves the order has: --side a, b or face"));
    };
    Ok(Question {
        rpm: s.rpm.or(asked.rpm),
        natural: if s.natural_frequency.is_empty() { asked.natural } else { s.natural_frequency.clone() },
        index_step: s.index_step.or(asked.index_step),
        ..asked
    })
}

fn text(choices: &[Choice], unit: LengthUnit) -> String {
    let length = |mm: f64| {
        let (value, decimals) = unit.calculated(mm);
        fixed(value, decimals)
    };
    let known = |f: &dyn Fn(&Choice) -> bool| choices.iter().any(f);
    let (coolant, wall) = (known(&|c| c.coolant.is_some()), known(&|c| c.wall.is_some()));
    let (frequency, index) = (known(&|c| c.frequency.is_some()), known(&|c| c.index_error.is_some()));
    let symbol = unit.symbol();
    let mut rows = vec![vec![
        "count".to_owned(),
        "pitch °".into(),
        format!("land out {symbol}"),
        format!("land in {symbol}"),
        "land %".into(),
    ]];
    let mut column = |on: bool, name: String| {
        if on {
            rows[0].push(name);
        }
    };
    column(coolant, "coolant cm³/rev".into());
    column(wall, format!("wall {symbol}"));
    column(frequency, "Hz".into());
    column(index, "index err °".into());
    rows[0].push("against it".into());
    for c in choices {
        let mut row = vec![
            c.count.to_string(),
            trimmed(c.pitch_deg, 4),
            length(c.lands.outer),
            length(c.lands.inner),
            fixed(100.0 * c.lands.share, 1),
        ];
        let show = |v: Option<f64>, f: &dyn Fn(f64) -> String| v.map_or(String::from("–"), f);
        let mut cell = |on: bool, text: String| {
            if on {
                row.push(text);
            }
        };
        cell(coolant, show(c.coolant, &|v| fixed(v / 1000.0, 1)));
        cell(wall, show(c.wall, &length));
        cell(frequency, show(c.frequency, &|v| fixed(v, 0)));
        cell(index, show(c.index_error, &|v| trimmed(v, 4)));
        row.push(against(&c.against));
        rows.push(row);
    }
    let met = choices.iter().filter(|c| c.against.is_empty()).count();
    aligned(&rows) + &format!("\n{met} of {} counts meet all limits; they stand first.\n", choices.len())
}

fn against(list: &[Against]) -> String {
    if list.is_empty() { "–".into() } else { list.iter().map(|a| a.word()).collect::<Vec<_>>().join(", ") }
}

//! `compare`: what changed between two states of an order.

use super::palette::Palette;
use super::table::aligned_after;
use super::{Desk, Done, Outcome, paper};
use crate::rules::Finding;
use crate::shop::compare::{self, Comparison};
use serde_json::{Map, Value};
use std::path::PathBuf;

/// Arguments of `compare`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft compare 1042-A.json 1042-B.json\n  wheeldraft compare 1042-A.json 1042-B.json -o difference.svg\n\n\
    Without a difference it says so. The picture lays both half-sections over each other and enlarges small differences."
)]
pub struct Args {
    /// The earlier order file; `-` reads standard input.
    old: PathBuf,
    /// The later order file.
    new: PathBuf,
    /// The picture: FILE's ending picks svg, pdf or png.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// Prints the differences, and writes the picture where one is asked for.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let rules = desk.rules()?;
    let (old, new) = (desk.dossier(&args.old, &rules)?, desk.dossier(&args.new, &rules)?);
    let comparison = compare::compare(&old, &new);
    if let Some(file) = &args.output {
        paper::write(file, &compare::picture(&old, &new, &comparison), desk)?;
    }
    if desk.is_json() {
        desk.print_json(&json(&comparison))?;
    } else {
        desk.print(&text(&comparison, desk.palette()))?;
    }
    Ok(Outcome::Made)
}

fn json(comparison: &Comparison) -> Value {
    let mut out = Map::new();
    out.insert("format".into(), Value::from(1));
    // a Comparison holds texts and finite numbers, which always serialise
    if let Ok(Value::Object(members)) = serde_json::to_value(comparison) {
        out.extend(members);
    }
    Value::Object(out)
}

fn text(c: &Comparison, palette: Palette) -> String {
    let state = |s: &compare::State| {
        format!(
            "{} · fingerprint {} · verdict {}",
            s.order,
            s.fingerprint.get(..8).unwrap_or_default(),
            s.verdict.word()
        )
    };
    let mut out = format!("old  {}\nnew  {}\n", state(&c.old), state(&c.new));
    if c.old.fingerprint == c.new.fingerprint {
        out += &palette.good("\nNo difference: both files say the same.\n");
        return out;
    }
    let pairs = |rows: Vec<[&str; 2]>| {
        let rows: Vec<Vec<String>> = rows.into_iter().map(|r| r.map(|cell| format!("  {cell}")).to_vec()).collect();
        aligned_after(&rows, |_| true)
    };
    out += &palette.strong("\nChanged\n");
    out += &pairs(c.changes.iter().map(|c| [c.label.as_str(), c.text.as_str()]).collect());
    out += &palette.strong("\nCalculated\n");
    out += &pairs(c.reckoned.iter().map(|r| [r.label.as_str(), r.text.as_str()]).collect());
    for (heading, findings) in [("Findings that appeared", &c.appeared), ("Findings that went", &c.went)] {
        if !findings.is_empty() {
            out += &palette.strong(&format!("\n{heading}\n"));
            out.extend(findings.iter().map(finding));
        }
    }
    out
}

fn finding(f: &Finding) -> String {
    format!("  {} {} {}: {}\n", f.severity.word(), f.id, f.feature, f.message)
}

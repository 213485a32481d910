//! `check`: every rule on one order, or the text of one rule.

use super::palette::Palette;
use super::answered;
use super::{Desk, Done, Failure, Outcome};
use crate::order::Answer;
use crate::quantity::{LengthUnit, trimmed};
use crate::report::answer;
use crate::report::letter;
use crate::rules::{self, Addressee, Answered, Finding, Ground, Limit, Rule, Said, Severity, ShopRules, Verdict};
use crate::wheel::Job;
use serde_json::{Value, json};
use std::path::PathBuf;

/// Arguments of `check`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    wheeldraft check 1042.json\n  \
    wheeldraft check 1042.json --format json | jq '.findings[] | select(.severity == \"ask\")'\n  \
    wheeldraft check 1042.json --shop-rules our-rules.json\n  \
    wheeldraft check 1042.json --questions customer > letter.txt\n  \
    wheeldraft check 1042.json --answer \"flange-third=12 in\" --by \"R. Adeyemi\" --date 2026-03-03\n  \
    wheeldraft check --explain flange-third\n\n\
    --answer writes what was agreed into the order's answers, with the question as it was asked: it is asked again where its values change. A question is \
    named by its id, with its field behind it where several have that id (\"groove-land wheel.side_a.grooves=…\").\n\n\
    Exit 1: a rule stops the order.")]
pub struct Args {
    /// The order file; `-` reads standard input.
    #[arg(required_unless_present_any = ["explain", "list"])]
    order: Option<PathBuf>,
    /// Print a rule's text: what it checks, its limits and their sources.
    #[arg(long, value_name = "ID", conflicts_with_all = ["order", "list"])]
    explain: Option<String>,
    /// Print the open questions to the customer, or to the shop, as a letter.
    #[arg(long, value_name = "TO", value_enum, conflicts_with_all = ["explain", "list"])]
    questions: Option<To>,
    /// Write the answer to a question into the order; may be repeated.
    #[arg(long, value_name = "QUESTION=ANSWER", requires_all = ["by", "date"], conflicts_with_all = ["explain", "list", "questions"])]
    answer: Vec<String>,
    /// Who answered.
    #[arg(long, value_name = "NAME", requires = "answer")]
    by: Option<String>,
    /// The day of the answer.
    #[arg(long, value_name = "YYYY-MM-DD", requires = "answer")]
    date: Option<String>,
    /// List the rules.
    #[arg(long, conflicts_with = "order")]
    list: bool,
}

/// Who is asked.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
enum To {
    /// The customer.
    Customer,
    /// The shop itself.
    Shop,
}

/// Checks, or explains.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let shop = desk.rules()?;
    if let Some(id) = &args.explain {
        return explain(id, &shop, desk);
    }
    let Some(order) = args.order.as_ref().filter(|_| !args.list) else { return list(desk) };
    if !args.answer.is_empty() {
        answered::run(order, &args.answer, [args.by.as_deref(), args.date.as_deref()], &shop, desk)?;
    }
    let dossier = desk.dossier(order, &shop)?;
    let outcome = &dossier.outcome;
    if let Some(to) = args.questions {
        let to = match to {
            To::Customer => Addressee::Customer,
            To::Shop => Addressee::Shop,
        };
        desk.print_text(&letter::questions(&dossier, to))?;
    } else if desk.is_json() {
        desk.print_json(&answer::findings(&dossier))?;
    } else {
        desk.print(&as_text(&dossier.job, outcome, desk.palette()))?;
    }
    Ok(if outcome.verdict == Verdict::Stop { Outcome::Stopped } else { Outcome::Made })
}

fn as_text(job: &Job, outcome: &rules::Outcome, paint: Palette) -> String {
    let mut out =
        paint.strong(&format!("Order {} · fingerprint {}", job.file_stem(), job.fingerprint().short())) + "\n";
    if job.is_draft() {
        out += &format!("{}\n", paint.caution("DRAFT: sizes marked ? are open; nothing is approved or cut before they are decided."));
    }
    let lists: [(&str, Vec<&Finding>); 4] = [
        ("Stops the order", outcome.of(Severity::Stop).collect()),
        ("To ask the customer", outcome.questions(Addressee::Customer).collect()),
        ("To settle in the shop", outcome.questions(Addressee::Shop).collect()),
        ("To know", outcome.of(Severity::Note).collect()),
    ];
    for (heading, found) in lists {
        if !found.is_empty() {
            out += &format!("\n{}\n", paint.strong(heading));
            out.extend(found.into_iter().map(|f| finding(f, job.units, paint)));
        }
    }
    if !outcome.answered.is_empty() {
        out += &format!("\n{}\n", paint.strong("Agreed"));
        out.extend(outcome.answered.iter().map(|a| agreed(a, paint)));
    }
    if !outcome.idle_answers.is_empty() {
        out += &format!("\n{}\n", paint.strong("Answers to nothing that is asked"));
        out.extend(outcome.idle_answers.iter().map(|a| format!("  {}: {}\n", a.question, a.answer)));
    }
    if !outcome.outdated_answers.is_empty() {
        out += &format!("\n{}\n", paint.strong("Answered for other values, so asked again"));
        out.extend(outcome.outdated_answers.iter().map(|a| format!("  {}: {} ({}, {})\n", a.question, a.answer, a.by, a.date)));
    }
    if !outcome.not_evaluated.is_empty() {
        out += &format!("\n{}\n", paint.strong("Not evaluated"));
        out.extend(outcome.not_evaluated.iter().map(|n| format!("  {}: {}\n", n.rule, n.why)));
    }
    if !outcome.switched_off.is_empty() {
        out += &format!("\n{}\n", paint.strong("Switched off by the shop"));
        out.extend(outcome.switched_off.iter().map(|o| format!("  {}: {}\n", o.rule, o.why)));
    }
    out += &format!("\n{}\n", verdict(outcome, paint));
    out
}

fn agreed(settled: &Answered, paint: Palette) -> String {
    let Answer { answer, by, date, .. } = &settled.answer;
    let asked = format!("  {}  {}\n", paint.faint(settled.finding.id), settled.finding.message);
    asked + &format!("      {}\n", paint.good(&format!("→ {answer} ({by}, {date})")))
}

fn finding(f: &Finding, units: LengthUnit, paint: Palette) -> String {
    let id = match f.severity {
        Severity::Stop => paint.bad(f.id),
        Severity::Ask => paint.caution(f.id),
        Severity::Note => paint.faint(f.id),
    };
    let mut out = format!("  {id}  {}\n", f.message);
    if f.severity == Severity::Note {
        return out;
    }
    let mut facts: Vec<String> = Vec::new();
    if let Some(measured) = f.measured {
        facts.push(format!("measured {}", amount(measured, &f.unit, units)));
    }
    if let Some(limit) = f.limit {
        facts.push(format!("limit {}", amount(limit, &f.unit, units)));
    }
    facts.push(f.said_by());
    facts.push(f.feature.clone());
    out += &format!("      {}\n", paint.faint(&facts.join(" · ")));
    out += &format!("      {}\n", paint.good(&format!("→ {}", f.hint)));
    out
}

/// A value with its unit; lengths in inches as well where the order is in inches.
fn amount(value: f64, unit: &str, units: LengthUnit) -> String {
    let plain = format!("{} {unit}", trimmed(value, 3));
    if unit == "mm" && units == LengthUnit::Inch {
        return format!("{plain} ({} in)", trimmed(value / units.mm(), 4));
    }
    plain.trim_end().to_owned()
}

fn verdict(outcome: &rules::Outcome, paint: Palette) -> String {
    let count = |severity| outcome.of(severity).count();
    let plural = |n: usize, one: &str, many: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {many}") };
    let met: std::collections::BTreeSet<&str> = outcome.met.iter().map(|m| m.rule).collect();
    let rest = format!("{} met.", plural(met.len(), "rule", "rules"));
    let questions = count(Severity::Ask);
    let ours = outcome.questions(Addressee::Shop).count();
    let theirs = outcome.questions(Addressee::Customer).count();
    match outcome.verdict {
        Verdict::Stop => {
            let stops = plural(count(Severity::Stop), "finding stops", "findings stop");
            paint.bad(&format!("STOP: {stops} this order; {}; {rest}", plural(questions, "question", "questions")))
        }
        Verdict::Ask => {
            let theirs = plural(theirs, "question to the customer", "questions to the customer");
            paint.caution(&format!("ASK: {theirs}, {} to the shop; {rest}", plural(ours, "question", "questions")))
        }
        Verdict::Clear => paint.good(&format!("CLEAR: nothing stops this order and nothing is open; {rest}")),
    }
}

fn unknown(id: &str) -> Failure {
    let near =
        rules::all().map(|r| r.id).max_by(|a, b| strsim::jaro_winkler(id, a).total_cmp(&strsim::jaro_winkler(id, b)));
    let hint = format!("did you mean `{}`? `wheeldraft check --list` lists all", near.unwrap_or_default());
    Failure::new(format!("there is no rule {}", crate::quantity::quoted(id)), hint)
}

fn explain(id: &str, shop: &ShopRules, desk: &Desk) -> Done {
    let rule = rules::find(id).ok_or_else(|| unknown(id))?;
    if desk.is_json() {
        desk.print_json(&rule_json(rule, shop))?;
    } else {
        desk.print(&rule_text(rule, shop, desk.palette()))?;
    }
    Ok(Outcome::Made)
}

fn rule_text(rule: &Rule, shop: &ShopRules, paint: Palette) -> String {
    let mut out = format!("{}  {}\n\n{}\n\n", paint.strong(rule.id), rule.title, rule.text);
    out += &format!("At its heaviest: {}\nWhat to do: {}\n", rule.heaviest.word(), rule.hint);
    if let Some(off) = shop.switched_off().iter().find(|o| o.rule == rule.id) {
        out += &format!("{}\n", paint.caution(&format!("Switched off by the shop: {}", off.why)));
    }
    let Ground::Limits(keys) = rule.ground else {
        let said = Said::by_geometry();
        return out
            + &format!(
                "\nIts limits follow from the order's own geometry.\n      kind: {} · how read: {} · covers: {}\n",
                said.kind.word(),
                said.basis.meaning(),
                EVERY_WHEEL
            );
    };
    out += &format!("\nLimits ({})\n", shop.name());
    out.extend(keys.iter().map(|&key| limit_text(key.name(), shop.limit(key), paint)));
    out
}

/// What a rule of plain geometry covers.
const EVERY_WHEEL: &str = "every type and bond";

fn limit_text(name: &str, limit: &Limit, paint: Palette) -> String {
    let or = |text: &str, none: &str| if text.is_empty() { none.to_owned() } else { text.to_owned() };
    let shown = limit.shown();
    let value = if shown.is_empty() { String::new() } else { format!(" {shown}") };
    format!(
        "  {}{value}\n      source: {}\n      section: {}\n      edition: {}\n      kind: {} · how read: {}: {}\n      covers: {}\n      \
         checked by: {}\n",
        paint.strong(name),
        limit.source,
        or(&limit.section, "not said"),
        or(&limit.edition, "not said"),
        limit.kind.word(),
        limit.basis.word(),
        limit.basis.meaning(),
        or(&limit.covers, "not said"),
        or(&limit.checked_by, "nobody yet")
    )
}

fn rule_json(rule: &Rule, shop: &ShopRules) -> Value {
    let keys = match rule.ground {
        Ground::Limits(keys) => keys,
        Ground::Geometry => &[],
    };
    let limits: Vec<Value> = keys
        .iter()
        .map(|&key| {
            let l = shop.limit(key);
            json!({ "name": key.name(), "value": l.shown(), "source": l.source, "section": l.section, "edition": l.edition,
                "kind": l.kind, "basis": l.basis, "covers": l.covers, "checked_by": l.checked_by })
        })
        .collect();
    json!({ "format": 1, "id": rule.id, "title": rule.title, "text": rule.text, "hint": rule.hint,
        "heaviest": rule.heaviest, "limits": limits })
}

fn list(desk: &Desk) -> Done {
    if desk.is_json() {
        let list: Vec<Value> =
            rules::all().map(|r| json!({ "id": r.id, "title": r.title, "heaviest": r.heaviest })).collect();
        desk.print_json(&json!({ "format": 1, "rules": list }))?;
        return Ok(Outcome::Made);
    }
    let width = rules::all().map(|r| r.id.len()).max().unwrap_or(0);
    let lines = rules::all().map(|r| format!("{:width$}  {:4}  {}\n", r.id, r.heaviest.word(), r.title));
    desk.print(&lines.collect::<String>())?;
    Ok(Outcome::Made)
}

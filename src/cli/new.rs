//! `new`: a starting order to fill in, or an order that repeats an earlier one.

use super::failure::shown;
use super::{Desk, Done, Failure, Outcome, files, founding, premises};
use crate::book::Kind;
use crate::dossier::Dossier;
use crate::json::{self, Edit, Problem, Problems};
use crate::order::{self, TEMPLATES, Template};
use crate::profile;
use crate::quantity::quoted;
use crate::repeat::{self, Repeated, Wanted};
use crate::rules::ShopRules;
use serde_json::json;
use std::path::{Path, PathBuf};

/// Arguments of `new`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  wheeldraft new --list\n  wheeldraft new --shop shop --name \"Tern & Anvil Wheel Works\"\n  wheeldraft new straight --machine \"example grinder\" -o shop/orders/1043.json\n  wheeldraft new recessed-grooved-both-sides -o 1042.json\n  \
    wheeldraft new shop/our-usual-wheel.json -o 1043.json\n  \
    wheeldraft new 1042.json --number 2010 --date 2027-03-01 --set wheel.thickness=2.5 --set \"wheel.side_a.grooves.width=0.06 in\" -o 2010.json\n\n\
    With --number an order file is repeated: sizes and agreements are taken over; date, due date, the customer's order number, stock, lot and expiry of \
    the blank, notes with a date and answers that no longer apply are not; `based_on` names the earlier order. --set takes any field by its path, entries of \
    a list by their number from 0 (wheel.side_a.recess.0.depth=12 mm); PATH= takes the field away. What comes of it is an order without errors, or nothing is \
    written.")]
pub struct Args {
    /// Name of a template, or an order file to start from or to repeat.
    #[arg(default_value = "straight")]
    template: String,
    /// The card of the shop's folder with this name fills machine, mount and tooling.
    #[arg(long, value_name = "CARD")]
    machine: Option<String>,
    /// The name of the shop, for the folder that --shop makes.
    #[arg(long, value_name = "NAME", requires = "shop", conflicts_with_all = ["list", "number", "machine"])]
    name: Option<String>,
    /// The file to write, which must not exist yet; stdout if absent.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Show the templates and stop.
    #[arg(long)]
    list: bool,
    /// Number of the new order.
    #[arg(long, value_name = "N", conflicts_with = "list")]
    number: Option<String>,
    /// Its revision.
    #[arg(long, value_name = "R", requires = "number", default_value = "A")]
    revision: String,
    /// Its date; none if absent.
    #[arg(long, value_name = "YYYY-MM-DD", requires = "number")]
    date: Option<String>,
    /// A field and its value, with a unit where it has one; may be repeated.
    #[arg(long, value_name = "PATH=VALUE", requires = "number")]
    set: Vec<String>,
}

/// Prints or writes the order.
pub fn run(args: &Args, desk: &Desk) -> Done {
    if args.list {
        return list(desk);
    }
    if let Some(folder) = desk.shop().filter(|folder| !folder.join(profile::NAME).exists()) {
        return founding::run(folder, args.name.as_deref(), desk);
    }
    if args.name.is_some() {
        return Err(Failure::new("this shop's folder has been made already", "change `name` in its shop.json"));
    }
    let template = TEMPLATES.iter().find(|t| t.name == args.template);
    match &args.number {
        Some(number) => numbered(args, number, template, desk),
        None => starting(args, template, desk),
    }
}

/// A template, or an order file, as it stands.
fn starting(args: &Args, template: Option<&Template>, desk: &Desk) -> Done {
    let text = match template {
        Some(template) => template.text.to_owned(),
        None => String::from_utf8_lossy(&desk.job_and_bytes(source(&args.template)?)?.1).into_owned(),
    };
    let text = with_card(args, text, desk)?;
    hand_out(args, &text, &[], desk)?;
    let file = args.output.as_deref().map_or("ORDER.json".to_owned(), shown);
    if template.is_none() {
        desk.remark("It is a copy, with number, date and lot of the earlier order: to repeat that order give --number.");
    }
    desk.remark(&format!(
        "Fill in the order's head and sizes, remove the parts that do not apply, then: wheeldraft check {file}\n\
         Lengths: 26 is in the file's `units`; \"2-1/2 in\" and \"63.5 mm\" carry their own. `wheeldraft schema` describes every field."
    ));
    Ok(Outcome::Made)
}

/// An order with a number of its own.
fn numbered(args: &Args, number: &str, template: Option<&Template>, desk: &Desk) -> Done {
    let mut all = card(args, template, desk)?;
    all.extend(settings(&args.set)?);
    let settings = all;
    let shop = desk.rules()?;
    let wanted =
        Wanted { number, revision: &args.revision, date: args.date.as_deref(), settings: &settings, shop: &shop };
    let refused = |problems: Problems| refusal(&args.template, &settings, problems);
    let made = match template {
        Some(template) => repeat::started(template.text, &wanted).map_err(refused)?,
        None => {
            let shop = desk.rules()?;
            let (job, bytes) = desk.job_and_bytes(source(&args.template)?)?;
            let old = Dossier::of(job, &shop).map_err(|e| Failure::new(format!("the wheel has no section: {e}"), ""))?;
            repeat::repeat(&old, &String::from_utf8_lossy(&bytes), &wanted).map_err(refused)?
        }
    };
    hand_out(args, &made.text, &made.left_out, desk)?;
    if args.output.is_some() {
        desk.enter(|| Ok(vec![premises::event(Kind::Taken, &made.job, None)?]))?;
    }
    told(args, &made, template.is_none(), desk);
    Ok(Outcome::Made)
}

fn told(args: &Args, made: &Repeated, repeats: bool, desk: &Desk) {
    if !made.left_out.is_empty() {
        desk.remark(&format!("Not taken over: {}.", made.left_out.join("; ")));
    }
    let file = args.output.as_deref().map_or("ORDER.json".to_owned(), shown);
    let compare = if repeats { format!("wheeldraft compare {} {file}", args.template) } else { format!("wheeldraft check {file}") };
    desk.remark(&format!("Order {}. Next: {compare}", made.job.file_stem()));
}

/// An order's text with the machine card filled in.
fn with_card(args: &Args, text: String, desk: &Desk) -> Result<String, Failure> {
    let edits = card(args, TEMPLATES.iter().find(|t| t.name == args.template), desk)?;
    if edits.is_empty() {
        return Ok(text);
    }
    let text = json::edited(&text, &edits).map_err(|p| Failure::new(p.message, p.hint))?;
    let file = format!("{}, with the card filled in", args.template);
    desk.rules()?.open(text.as_bytes()).map_err(|problems| Failure::Order { file, problems })?;
    Ok(text)
}

/// What the card named sets in the order; nothing where none is named.
fn card(args: &Args, template: Option<&Template>, desk: &Desk) -> Result<Vec<Edit>, Failure> {
    let Some(name) = &args.machine else { return Ok(Vec::new()) };
    let Some(shop) = desk.premises()? else {
        return Err(Failure::new("--machine: no shop's folder is in use", "give --shop DIR"));
    };
    let cards = shop.cards()?;
    let Some(card) = cards.iter().find(|card| card.name == *name) else {
        let names = cards.iter().map(|card| quoted(&card.name)).collect::<Vec<_>>().join(", ");
        let hint = if names.is_empty() { "the shop has no cards yet".to_owned() } else { format!("give one of {names}") };
        return Err(Failure::new(format!("--machine: there is no card {}", quoted(name)), hint));
    };
    let units = match template {
        Some(template) => ShopRules::built_in().open(template.text.as_bytes()).map(|job| job.units).unwrap_or(card.units),
        None => desk.job(source(&args.template)?)?.units,
    };
    Ok(card.edits(units))
}

/// Writes the order, or prints it.
fn hand_out(args: &Args, text: &str, left_out: &[String], desk: &Desk) -> Result<(), Failure> {
    let Some(file) = &args.output else { return desk.print(text) };
    files::write_new(file, text.as_bytes())?;
    if desk.is_json() {
        desk.print_json(&json!({ "format": 1, "files": [shown(file)], "not_taken_over": left_out }))?;
    }
    Ok(())
}

/// Every `--set`, or what is wrong with them, all at once.
fn settings(typed: &[String]) -> Result<Vec<Edit>, Failure> {
    let (sound, wrong): (Vec<_>, Vec<_>) = typed.iter().map(|one| order::setting(one)).partition(Result::is_ok);
    let wrong: Vec<Problem> = wrong.into_iter().filter_map(Result::err).collect();
    if wrong.is_empty() { Ok(sound.into_iter().flatten().collect()) } else { Err(unset(&wrong)) }
}

/// Fields that cannot be set, by their paths as typed.
fn unset(problems: &[Problem]) -> Failure {
    let path = |p: &Problem| p.field.trim_start_matches('/').replace('/', ".");
    let lines: Vec<String> = problems.iter().map(|p| format!("--set {}: {}", path(p), p.message)).collect();
    let hints: Vec<&str> = problems.iter().map(|p| p.hint.as_str()).filter(|hint| !hint.is_empty()).collect();
    Failure::new(lines.join("\n"), hints.join("\n    "))
}

/// What is wrong with the order that would have come of it: by the path of `--set` where that is the cause.
fn refusal(source: &str, settings: &[Edit], problems: Problems) -> Failure {
    let is_set = |p: &Problem| settings.iter().any(|s| p.field.starts_with(&s.field) || s.field.starts_with(&p.field));
    if problems.iter().all(|p| is_set(&p.problem)) {
        return unset(&problems.iter().map(|p| p.problem.clone()).collect::<Vec<_>>());
    }
    Failure::Order { file: format!("{source}, as it would become"), problems }
}

fn list(desk: &Desk) -> Done {
    if desk.is_json() {
        let all: Vec<_> = TEMPLATES.iter().map(|t| json!({ "name": t.name, "about": t.about })).collect();
        desk.print_json(&json!({ "format": 1, "templates": all }))?;
    } else {
        let width = TEMPLATES.iter().map(|t| t.name.len()).max().unwrap_or(0);
        let lines: String = TEMPLATES.iter().map(|t| format!("{:width$}  {}\n", t.name, t.about)).collect();
        desk.print(&lines)?;
    }
    Ok(Outcome::Made)
}

/// The order file of this path.
fn source(name: &str) -> Result<&Path, Failure> {
    let path = Path::new(name);
    if name == "-" || path.exists() {
        return Ok(path);
    }
    let names: Vec<&'static str> = TEMPLATES.iter().map(|t| t.name).collect();
    let hint = match json::nearest(name, &names) {
        Some(near) => format!("did you mean {near}? All: {}", names.join(", ")),
        None => format!("give one of {}, or an order file of your own", names.join(", ")),
    };
    Err(Failure::new(format!("there is no template {}", quoted(name)), hint))
}

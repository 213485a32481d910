//! `new`: a starting order to fill in.

use super::failure::shown;
use super::{Desk, Done, Failure, Outcome, files};
use crate::json;
use crate::order::TEMPLATES;
use serde_json::json;
use std::path::{Path, PathBuf};

/// Arguments of `new`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft new --list\n  wheeldraft new recessed-grooved-both-sides -o 1042.json\n  \
    wheeldraft new shop/our-usual-wheel.json -o 1043.json"
)]
pub struct Args {
    /// Name of a template, or an order file of the shop's own to start from.
    #[arg(default_value = "straight")]
    template: String,
    /// The file to write, which must not exist yet; stdout if absent.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Show the templates and stop.
    #[arg(long)]
    list: bool,
}

/// Prints or writes the starting order.
pub fn run(args: &Args, desk: &Desk) -> Done {
    if args.list {
        return list(desk);
    }
    let text = text(&args.template, desk)?;
    match &args.output {
        None => desk.print(&text)?,
        Some(file) => {
            files::write_new(file, text.as_bytes())?;
            if desk.is_json() {
                desk.print_json(&json!({ "format": 1, "files": [shown(file)] }))?;
            }
        }
    }
    let file = args.output.as_deref().map_or("ORDER.json".to_owned(), shown);
    desk.remark(&format!(
        "Fill in the order's head and sizes, remove the parts that do not apply, then: wheeldraft check {file}\n\
         Lengths: 26 is in the file's `units`; \"2-1/2 in\" and \"63.5 mm\" carry their own. `wheeldraft schema` describes every field."
    ));
    Ok(Outcome::Made)
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

/// The template of this name, or the order file of this path.
fn text(name: &str, desk: &Desk) -> Result<String, Failure> {
    if let Some(template) = TEMPLATES.iter().find(|t| t.name == name) {
        return Ok(template.text.to_owned());
    }
    let path = Path::new(name);
    if name == "-" || path.exists() {
        let (_, bytes) = desk.job_and_bytes(path)?;
        return Ok(String::from_utf8_lossy(&bytes).into_owned());
    }
    let names: Vec<&'static str> = TEMPLATES.iter().map(|t| t.name).collect();
    let hint = match json::nearest(name, &names) {
        Some(near) => format!("did you mean {near}? All: {}", names.join(", ")),
        None => format!("give one of {}, or an order file of your own", names.join(", ")),
    };
    Err(Failure::new(format!("there is no template {}", crate::quantity::quoted(name)), hint))
}

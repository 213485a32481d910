//! `check --answer`: what was agreed is written into the order, with the question as it was asked.

use super::failure::shown;
use super::{Desk, Failure, files};
use crate::json::{Edit, edited};
use crate::order::Answer;
use crate::rules::{Finding, SIZE_OPEN, Severity, ShopRules};
use std::path::Path;

/// Writes the answers; each must be to one question that is open.
///
/// # Errors
/// Where one answers nothing that is asked, or the order cannot be written.
pub fn run(order: &Path, typed: &[String], said: [Option<&str>; 2], shop: &ShopRules, desk: &Desk) -> Result<(), Failure> {
    if order.as_os_str() == "-" {
        return Err(Failure::new("--answer writes into the order's file", "name a file"));
    }
    let dossier = desk.dossier(order, shop)?;
    let open: Vec<&Finding> = dossier.outcome.of(Severity::Ask).filter(|f| f.id != SIZE_OPEN).collect();
    let text = String::from_utf8_lossy(&desk.job_and_bytes(order)?.1).into_owned();
    let [by, date] = said.map(|text| text.unwrap_or_default().trim().to_owned());
    let mut edits = Vec::new();
    for typed in typed {
        let Some((question, answer)) = typed.split_once('=').map(|(q, a)| (q.trim(), a.trim())) else {
            return Err(Failure::new(format!("--answer {typed}: there is no `=`"), "write QUESTION=ANSWER"));
        };
        let asked = named(question, &open)?;
        let made = Answer {
            question: question.to_owned(),
            answer: answer.to_owned(),
            by: by.clone(),
            date: date.clone(),
            asked: Some(asked.message.clone()),
        };
        // texts always serialise
        let value = serde_json::to_string(&made).unwrap_or_default();
        edits.push(Edit::set(format!("/answers/{}", dossier.job.answers.len() + edits.len()), value));
    }
    let text = edited(&text, &edits).map_err(|p| Failure::new(p.message, p.hint))?;
    dossier.shop.open(text.as_bytes()).map_err(|problems| {
        let file = format!("{}, as it would become", shown(order));
        Failure::Order { file, problems }
    })?;
    files::write(order, text.as_bytes())?;
    desk.remark(&format!("{}: {} written down", shown(order), if edits.len() == 1 { "1 answer".to_owned() } else { format!("{} answers", edits.len()) }));
    Ok(())
}

/// The one question that is meant.
fn named<'f>(question: &str, open: &[&'f Finding]) -> Result<&'f Finding, Failure> {
    let plain = |field: &str| field.replace('/', ".").trim_matches('.').to_owned();
    let mut words = question.split_whitespace();
    let (id, field) = (words.next().unwrap_or_default(), words.next().map(plain));
    let meant = |f: &&&Finding| f.id == id && field.as_ref().is_none_or(|field| *field == plain(&f.feature));
    let found: Vec<&&Finding> = open.iter().filter(meant).collect();
    let listed = |all: &[&&Finding]| all.iter().map(|f| format!("{} {}", f.id, plain(&f.feature))).collect::<Vec<_>>().join(", ");
    match found.as_slice() {
        [one] => Ok(one),
        [] => {
            let all: Vec<&&Finding> = open.iter().collect();
            let hint = if all.is_empty() { "no question is open".to_owned() } else { format!("open are: {}", listed(&all)) };
            Err(Failure::new(format!("--answer: nothing is asked by the name {}", crate::quantity::quoted(question)), hint))
        }
        several => Err(Failure::new(format!("--answer: {} questions have the name {id}", several.len()), format!("name one: {}", listed(several)))),
    }
}

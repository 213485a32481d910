//! The answer to an order as typed: what is wrong with it, or what the rules say and one drawing.

use super::burden;
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::export::svg;
use crate::front::Shop;
use crate::json::Located;
use crate::order::SheetSize;
use crate::pack::machine::{self, MachineError, Wishes};
use crate::pack::{machine_wishes, papers};
use crate::report::answer;
use crate::section::Section;
use crate::rules::ShopRules;
use crate::sheet::template::Template;
use crate::sheet::{self, Look, SheetError};
use crate::shop::approval::Record;
use crate::state::Approved;
use crate::wheel::{Job, SideName};
use serde_json::{Value, json};
use std::borrow::Cow;

/// Which drawing is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// A sheet of the approval drawing, counted from 1; the last where there are not so many.
    Sheet(usize),
    /// A sheet of the calculation.
    Calculation(usize),
    /// A sheet of the programs, written for the controls that ship with the program.
    Program(usize),
    /// One view alone.
    Alone(Look),
}

impl What {
    /// The view of a name in the address that is drawn at once.
    pub fn view(name: &str) -> Option<Look> {
        match What::named(name, 1)? {
            What::Alone(look) => Some(look),
            What::Sheet(_) | What::Calculation(_) | What::Program(_) => None,
        }
    }

    /// The paper that the order names for it; a program's sheet has its own.
    fn paper_of(self, job: &Job) -> Option<SheetSize> {
        job.sheets.size.filter(|_| !matches!(self, What::Program(_)))
    }

    /// The drawing of a name in the address.
    pub fn named(name: &str, number: usize) -> Option<What> {
        Some(match name {
            "sheet" => What::Sheet(number.max(1)),
            "calculation" => What::Calculation(number.max(1)),
            "program" => What::Program(number.max(1)),
            "section" => What::Alone(Look::Section),
            "side-a" => What::Alone(Look::Side(SideName::A)),
            "side-b" => What::Alone(Look::Side(SideName::B)),
            "face" => What::Alone(Look::Face),
            "pictorial" => What::Alone(Look::Pictorial),
            _ => return None,
        })
    }
}

/// An order that the page works on.
///
/// # Errors
/// Everything wrong with it, as the answer.
pub fn opened(order: &[u8], rules: &ShopRules) -> Result<Job, Value> {
    let job = rules.open(order).map_err(|problems| answer::problems(&problems))?;
    let large = burden::too_much(&job);
    if large.is_empty() {
        return Ok(job);
    }
    let places = crate::order::read(order).places;
    let located: Vec<Located> = large.into_iter().map(|p| places.locate(p)).collect();
    Err(answer::problems(&located))
}

/// `problems`, or `fingerprint`, `verdict`, `findings` … with `name`, `sheets`, `svg`, `grips` and `remarks`; `failure` in place of a drawing that
/// cannot be made. `record` is the text of the order's approvals.
pub fn drawn(order: &[u8], what: What, shop: &Shop, record: Option<&str>) -> Value {
    with_findings(order, shop, record, |dossier| {
        if let What::Alone(look) = what {
            let (shown, grips) = looked_at_with_grips(&dossier.job, &dossier.section, look)?;
            return Ok(json!({ "sheet": 1, "sheets": 1, "svg": svg::fontless(&shown), "grips": grips, "remarks": [] }));
        }
        let (drawings, number) = drawings(dossier, what, shop)?;
        let (remarks, count) = (sheet::remarks(&drawings, what.paper_of(&dossier.job)), drawings.len());
        let number = number.min(count);
        let shown = drawings.get(number.wrapping_sub(1)).ok_or("there is no sheet")?;
        Ok(json!({ "sheet": number, "sheets": count, "svg": svg::fontless(shown), "remarks": remarks }))
    })
}

/// The same with `svgs`, all sheets of it, to be printed.
pub fn all_drawn(order: &[u8], what: What, shop: &Shop, record: Option<&str>) -> Value {
    with_findings(order, shop, record, |dossier| {
        let drawings = drawings(dossier, what, shop)?.0;
        let texts: Vec<String> = drawings.iter().map(svg::fontless).collect();
        Ok(json!({ "svgs": texts, "remarks": sheet::remarks(&drawings, what.paper_of(&dossier.job)) }))
    })
}

/// One view alone, while somebody types: no numbers, no rules. `problems`, or `name` and `svg`; `failure` in place of a drawing that cannot be made.
pub fn at_once(order: &[u8], look: Look, shop: &Shop) -> Value {
    let job = match opened(order, &shop.rules) {
        Ok(job) => job,
        Err(problems) => return problems,
    };
    let section = Section::of(&job.wheel).map_err(|e| e.to_string());
    match section.and_then(|section| looked_at_with_grips(&job, &section, look)) {
        Ok((drawing, grips)) => json!({ "format": 1, "name": job.file_stem(), "svg": svg::fontless(&drawing), "grips": grips }),
        Err(failure) => json!({ "format": 1, "failure": failure }),
    }
}

/// What the rules say of an order, and what is made of it.
fn with_findings(
    order: &[u8],
    shop: &Shop,
    record: Option<&str>,
    make: impl FnOnce(&Dossier) -> Result<Value, String>,
) -> Value {
    let job = match opened(order, &shop.rules) {
        Ok(job) => job,
        Err(problems) => return problems,
    };
    let approved = approved(record, &job, &shop.rules);
    let dossier = match Dossier::of(job, &shop.rules) {
        Ok(dossier) => dossier.with(approved.clone().unwrap_or_else(Approved::Not)),
        Err(why) => return json!({ "format": 1, "failure": format!("the wheel has no section: {why}") }),
    };
    let job = &dossier.job;
    let mut reply = answer::findings(&dossier);
    reply["name"] = json!(job.file_stem());
    reply["units"] = json!(job.units.symbol());
    reply["mm_per_unit"] = json!(job.units.mm());
    let made = make(&dossier).unwrap_or_else(|failure| json!({ "failure": failure }));
    if let (Some(reply), Value::Object(made)) = (reply.as_object_mut(), made) {
        reply.extend(made);
    }
    reply["approval"] = told_approval(&dossier.approved);
    if let Some(named) = foreign_title_block(job) {
        let remark =
            format!("the page reads no files: instead of the title block {named} the sheet shows the built-in one");
        reply["remarks"].as_array_mut().into_iter().for_each(|all| all.push(json!(remark)));
    }
    reply
}

/// What the record of an order's approvals says of it as it is now.
///
/// # Errors
/// Where the text is no record, in words.
pub fn approved(record: Option<&str>, job: &Job, rules: &ShopRules) -> Result<Approved, String> {
    record.map_or(Ok(Approved::missing()), |text| Record::read(text).map(|found| found.now(job, rules)).map_err(|e| e.to_string()))
}

/// `{"by", "date"}`, or `{"why"}` it is not approved.
fn told_approval(approved: &Approved) -> Value {
    match approved {
        Approved::By { name, date, .. } => json!({ "by": name, "date": date }),
        Approved::Not(why) => json!({ "why": why }),
    }
}

/// The title block of an order; in place of a file, which the page does not read, the plain one.
pub fn title_block<'s>(job: &Job, shop: &'s Shop) -> Cow<'s, Template> {
    let plain = foreign_title_block(job).and_then(|_| Template::plain().ok());
    plain.map_or_else(|| shop.title_block_of(job), Cow::Owned)
}

/// The drawings asked for, and which of them.
fn drawings(dossier: &Dossier, what: What, shop: &Shop) -> Result<(Vec<Drawing>, usize), String> {
    let title_block = title_block(&dossier.job, shop);
    Ok(match what {
        What::Sheet(n) => (papers::approval(dossier, &title_block).map_err(|e| in_words(&e))?, n),
        What::Calculation(n) => (papers::calculation(dossier, &title_block).map_err(|e| in_words(&e))?, n),
        What::Program(n) => (programs(dossier)?, n),
        What::Alone(look) => (vec![looked_at(&dossier.job, &dossier.section, look)?], 1),
    })
}

/// The sheets of the programs, one after another.
fn programs(dossier: &Dossier) -> Result<Vec<Drawing>, String> {
    if let Some(why) = dossier.withheld() {
        return Err(format!("{why}: there are no programs"));
    }
    let in_words = |e: MachineError| [e.to_string(), e.hint().to_owned()].join("; ").trim_end_matches("; ").to_owned();
    let wishes = Wishes { programs: true, ..machine_wishes(dossier, dossier.approved.is_given()) };
    let made = machine::files(&dossier.job, &wishes).map_err(in_words)?;
    let sheets: Result<Vec<Vec<Drawing>>, MachineError> =
        made.courses.iter().map(|course| machine::course_sheets(dossier, course, 0.0)).collect();
    Ok(sheets.map_err(in_words)?.concat())
}

/// The title block that the order names, where it is a file of the shop's own.
pub fn foreign_title_block(job: &Job) -> Option<String> {
    job.sheets.title_block.as_deref().filter(|name| Template::built_in(name).is_none()).map(crate::quantity::quoted)
}

fn in_words(error: &SheetError) -> String {
    format!("the drawing cannot be made: {error}")
}

/// One view.
///
/// # Errors
/// Where it cannot be drawn, in words.
pub fn looked_at(job: &Job, section: &Section, look: Look) -> Result<Drawing, String> {
    looked_at_with_grips(job, section, look).map(|(drawing, _)| drawing)
}

/// One view, and where sizes can be taken hold of on it: `{"field", "x", "y", "dx", "dy", "mm"}`, mm of paper from its upper left corner, and how the
/// place moves on paper for each mm of the size.
fn looked_at_with_grips(job: &Job, section: &Section, look: Look) -> Result<(Drawing, Vec<Value>), String> {
    if look == Look::Face && job.wheel.face.is_none() {
        return Err("the face has no grooves: there is nothing to see on it".to_owned());
    }
    let (drawing, grips) = sheet::alone_with_grips(job, section, look).map_err(|e| in_words(&e))?;
    let height = drawing.height;
    let told = |g: sheet::Grip| {
        json!({ "field": g.size.pointer(), "x": g.at.x, "y": height - g.at.y, "dx": g.along.x, "dy": -g.along.y, "mm": g.value })
    };
    Ok((drawing, grips.into_iter().map(told).collect()))
}

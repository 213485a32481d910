//! The answer to an order as typed: what is wrong with it, or what the rules say and one drawing.

use super::burden;
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::export::svg;
use crate::front::Shop;
use crate::json::Located;
use crate::pack::papers;
use crate::report::answer;
use crate::sheet::{self, Look, SheetError};
use crate::wheel::{self, Job, SideName};
use serde_json::{Value, json};

/// Which drawing is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// A sheet of the approval drawing, counted from 1; the last where there are not so many.
    Sheet(usize),
    /// A sheet of the calculation.
    Calculation(usize),
    /// One view alone.
    Alone(Look),
}

impl What {
    /// The drawing of a name in the address.
    pub fn named(name: &str, number: usize) -> Option<What> {
        Some(match name {
            "sheet" => What::Sheet(number.max(1)),
            "calculation" => What::Calculation(number.max(1)),
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
pub fn opened(order: &[u8]) -> Result<Job, Value> {
    let job = wheel::open(order).map_err(|problems| answer::problems(&problems))?;
    let large = burden::too_much(&job);
    if large.is_empty() {
        return Ok(job);
    }
    let places = crate::order::read(order).places;
    let located: Vec<Located> = large.into_iter().map(|p| places.locate(p)).collect();
    Err(answer::problems(&located))
}

/// `problems`, or `fingerprint`, `verdict`, `findings` … with `name`, `sheets`, `svg` and `remarks`; `failure` in place of a drawing that cannot
/// be made.
pub fn drawn(order: &[u8], what: What, shop: &Shop) -> Value {
    let job = match opened(order) {
        Ok(job) => job,
        Err(problems) => return problems,
    };
    let dossier = match Dossier::of(job, &shop.rules) {
        Ok(dossier) => dossier,
        Err(why) => return json!({ "format": 1, "failure": format!("the wheel has no section: {why}") }),
    };
    let job = &dossier.job;
    let mut reply = answer::findings(&dossier);
    reply["name"] = json!(job.file_stem());
    reply["units"] = json!(job.units.symbol());
    reply["mm_per_unit"] = json!(job.units.mm());
    let made = match what {
        What::Sheet(n) => Made::nth(papers::approval(&dossier, &shop.title_block), n),
        What::Calculation(n) => Made::nth(papers::calculation(&dossier, &shop.title_block), n),
        What::Alone(look) => looked_at(&dossier, look),
    };
    let made = made.and_then(|made| made.written()).unwrap_or_else(|failure| json!({ "failure": failure }));
    if let (Some(reply), Value::Object(made)) = (reply.as_object_mut(), made) {
        reply.extend(made);
    }
    if let Some(named) = foreign_title_block(job) {
        let remark =
            format!("the page reads no files: instead of the title block {named} the sheet shows the built-in one");
        reply["remarks"].as_array_mut().into_iter().for_each(|all| all.push(json!(remark)));
    }
    reply
}

/// The title block that the order names, where it is a file of the shop's own.
pub fn foreign_title_block(job: &Job) -> Option<String> {
    job.sheets.title_block.as_deref().filter(|name| *name != "plain").map(crate::quantity::quoted)
}

/// One drawing of several.
struct Made {
    drawing: Drawing,
    number: usize,
    count: usize,
    remarks: Vec<String>,
}

impl Made {
    fn written(&self) -> Result<Value, String> {
        let text = svg::svg(&self.drawing).map_err(|e| e.to_string())?;
        Ok(json!({ "sheet": self.number, "sheets": self.count, "svg": text, "remarks": self.remarks }))
    }

    /// Number n of these, or the last.
    fn nth(drawings: Result<Vec<Drawing>, SheetError>, n: usize) -> Result<Made, String> {
        let mut drawings = drawings.map_err(|e| in_words(&e))?;
        let remarks = sheet::remarks(&drawings);
        let count = drawings.len();
        let number = n.min(count);
        if number == 0 {
            return Err("there is no sheet".to_owned());
        }
        Ok(Made { drawing: drawings.swap_remove(number - 1), number, count, remarks })
    }
}

fn in_words(error: &SheetError) -> String {
    format!("the drawing cannot be made: {error}")
}

fn looked_at(dossier: &Dossier, look: Look) -> Result<Made, String> {
    if look == Look::Face && dossier.job.wheel.face.is_none() {
        return Err("the face has no grooves: there is nothing to see on it".to_owned());
    }
    let drawing = sheet::alone(dossier, look).map_err(|e| in_words(&e))?;
    Ok(Made { drawing, number: 1, count: 1, remarks: Vec::new() })
}

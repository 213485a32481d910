//! The grade guide: which abrasive, grit and bond suit which work. Common practice, kept in a file a shop can edit.

use crate::order::Work;
use crate::properties::mark::{Bond, Mark};
use schemars::JsonSchema;
use serde::Deserialize;
use std::sync::OnceLock;

/// The guide that ships with the program.
pub const BUILT_IN_GUIDE: &str = include_str!("../../templates/grade-guide.json");

/// A grade guide.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GradeGuide {
    /// Version of this format: 1.
    format: u32,
    /// What the guide is called.
    name: String,
    /// What it is about.
    #[serde(default)]
    about: String,
    /// How well it is founded.
    basis: String,
    /// Who says so.
    source: String,
    /// Who has checked it.
    #[serde(default)]
    checked_by: String,
    /// Which wheels suit which work.
    rows: Vec<GuideRow>,
}

#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct GuideRow {
    /// What the row is called.
    name: String,
    /// Which work it is for.
    work: WorkPart,
    /// Which wheel it names.
    wheel: WheelPart,
    /// Why that one.
    why: String,
    /// What is told besides, whatever the mark says.
    #[serde(default)]
    advice: String,
}

/// Which work a row is for; what is left out fits any.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
struct WorkPart {
    material: Vec<String>,
    #[schemars(with = "[f64; 2]")]
    hardness_hrc: Option<[f64; 2]>,
    operation: Vec<crate::order::OperationKind>,
}

/// Which wheel it names.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
struct WheelPart {
    abrasive: Vec<String>,
    #[schemars(with = "[u32; 2]")]
    grit: Option<[u32; 2]>,
    bond: Vec<String>,
}

/// What the guide says of one wheel and its work.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Advice {
    /// Rows that fit the work.
    pub rows: usize,
    /// What to ask about the wheel.
    pub questions: Vec<GuideQuestion>,
    /// What is told besides; empty where there is nothing.
    pub advice: String,
}

/// One question to the customer.
#[derive(Debug, Clone, PartialEq)]
pub struct GuideQuestion {
    /// The question.
    pub question: String,
    /// What the wheel has and what the guide names, in `unit`.
    pub numbers: Option<(f64, f64)>,
    /// Unit of both.
    pub unit: &'static str,
    /// What to do.
    pub hint: String,
}

impl GradeGuide {
    /// The guide that ships with the program.
    ///
    /// # Panics
    /// Never in a program whose tests have passed: they read the embedded file.
    pub fn built_in() -> &'static GradeGuide {
        static GUIDE: OnceLock<GradeGuide> = OnceLock::new();
        GUIDE.get_or_init(|| match GradeGuide::read(BUILT_IN_GUIDE) {
            Ok(guide) => guide,
            Err(why) => panic!("the embedded grade-guide.json is broken: {why}"),
        })
    }

    /// The guide in a text.
    ///
    /// # Errors
    /// What is wrong with it, with line and column.
    pub fn read(text: &str) -> Result<GradeGuide, String> {
        let guide: GradeGuide = serde_json::from_str(text).map_err(|e| e.to_string())?;
        match guide.fault() {
            Some(why) => Err(why),
            None => Ok(guide),
        }
    }

    /// What its schema cannot say and is wrong with it.
    pub(super) fn fault(&self) -> Option<String> {
        let backwards = self.rows.iter().find(|r| {
            r.work.hardness_hrc.is_some_and(|[from, to]| from > to) || r.wheel.grit.is_some_and(|[from, to]| from > to)
        });
        match backwards {
            _ if self.format != 1 => {
                Some(String::from("the format of the grade guide is not known; write \"format\": 1"))
            }
            Some(row) => Some(format!("a range of the row `{}` runs backwards", row.name)),
            None => None,
        }
    }

    /// What the guide says. Of several rows that fit, those that say most of the work count, and of these the one that asks least: a value
    /// on the border of two rows may follow either.
    pub fn advise(&self, work: &Work, mark: &Mark) -> Advice {
        let fitting: Vec<&GuideRow> = self.rows.iter().filter(|r| r.work.fits(work)).collect();
        let most = fitting.iter().map(|r| r.work.particular(work)).max();
        let counted = fitting.iter().filter(|r| Some(r.work.particular(work)) == most);
        let best = counted.map(|r| (r.questions(mark), r.advice.clone())).min_by_key(|(questions, _)| questions.len());
        let (questions, advice) = best.unwrap_or_default();
        Advice { rows: fitting.len(), questions, advice }
    }
}

impl WorkPart {
    fn fits(&self, work: &Work) -> bool {
        let material = self.material.is_empty() || self.material_word(work) > 0;
        let hardness = match (self.hardness_hrc, work.hardness_hrc) {
            (None, _) => true,
            (Some([from, to]), Some(h)) => (from..=to).contains(&h),
            (Some(_), None) => false,
        };
        let operation = self.operation.is_empty() || work.operation.is_some_and(|o| self.operation.contains(&o));
        material && hardness && operation
    }

    /// Length of the longest word of the row found in the order's material.
    fn material_word(&self, work: &Work) -> usize {
        let material = work.material.as_deref().unwrap_or_default().to_lowercase();
        self.material.iter().filter(|w| material.contains(&w.to_lowercase())).map(|w| w.len()).max().unwrap_or(0)
    }

    /// How much of the work the row speaks of.
    fn particular(&self, work: &Work) -> (bool, bool) {
        (!self.operation.is_empty(), self.hardness_hrc.is_some() && work.hardness_hrc.is_some())
    }
}

impl GuideRow {
    fn questions(&self, mark: &Mark) -> Vec<GuideQuestion> {
        let mut questions = Vec::new();
        let mut ask = |has: String, wants: String, numbers: Option<(f64, f64)>, unit: &'static str| {
            questions.push(GuideQuestion {
                question: format!("Is {has} meant for this work? The guide names {wants}: {}.", self.why),
                numbers,
                unit,
                hint: format!("Confirm the mark, or choose a blank the guide names ({}).", self.name),
            });
        };
        let abrasive = mark.abrasive.to_string();
        if !self.wheel.abrasive.is_empty() && !self.wheel.abrasive.contains(&abrasive) {
            ask(format!("abrasive {abrasive}"), self.wheel.abrasive.join(" or "), None, "");
        }
        if let Some([from, to]) = self.wheel.grit.filter(|[from, to]| !(*from..=*to).contains(&mark.grit)) {
            let nearest = if mark.grit < from { from } else { to };
            let wants = if from == to { format!("grit {from}") } else { format!("grit {from} to {to}") };
            ask(format!("grit {}", mark.grit), wants, Some((f64::from(mark.grit), f64::from(nearest))), "grit");
        }
        let bond = letter(mark.bond);
        if !self.wheel.bond.is_empty() && !self.wheel.bond.iter().any(|b| b == bond) {
            ask(format!("bond {bond}"), self.wheel.bond.join(" or "), None, "");
        }
        questions
    }
}

fn letter(bond: Bond) -> &'static str {
    match bond {
        Bond::Vitrified => "V",
        Bond::Silicate => "S",
        Bond::Shellac => "E",
        Bond::Rubber { reinforced: false } => "R",
        Bond::Rubber { reinforced: true } => "RF",
        Bond::Resinoid { reinforced: false } => "B",
        Bond::Resinoid { reinforced: true } => "BF",
        Bond::Oxychloride => "O",
        Bond::Magnesia => "Mg",
        Bond::Plastic => "P",
    }
}

//! The shop's rates, a JSON file: what an hour costs where, how long each operation takes, what is put on top.

use crate::json::{self, Form, Problem, Problems};
use crate::money::Money;
use crate::shop::operation::Operation;
use crate::shop::traveller::Template;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Deserialize;
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The rates that ship with the program, invented; the pattern of a shop's own.
#[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
pub const BUILT_IN: &str = include_str!("../../templates/rates.json");

/// The file as written.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Written {
    /// Version of this format: 1.
    format: u32,
    /// What these rates are called.
    name: String,
    /// What the file is about.
    #[serde(default)]
    #[allow(dead_code, reason = "a remark for those who read the file")]
    about: String,
    /// The currency, as text: every amount of the file is in it.
    currency: String,
    /// Prices for one wheel are rounded to multiples of this, once.
    round_to: String,
    /// What one hour costs at each place of work.
    hourly: Vec<WrittenPlace>,
    /// How long each operation of the traveller takes.
    operations: Vec<WrittenOperation>,
    /// What is put on the blank.
    blank: WrittenBlank,
    /// Put on all costs, a share.
    overhead_share: f64,
    /// Put on that, a share.
    margin_share: f64,
    /// Least price of an order.
    least_price: String,
    /// Quantities a price is named for, beside the one ordered.
    quantity_steps: Vec<u32>,
    /// When it is delivered.
    delivery: Delivery,
    /// Days a quotation is valid for.
    valid_days: u32,
    /// Sentences at the end of the customer's sheet, in the customer's language where the shop has several rates files.
    #[serde(default)]
    terms: Vec<String>,
}

/// A place of work as written.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenPlace {
    /// What it is called.
    place: String,
    /// What one hour costs there.
    hour: String,
}

/// One operation as written.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenOperation {
    /// Its name in the traveller; the title of one of the shop's own.
    operation: String,
    /// Where it is done: a name of `hourly`.
    at: String,
    /// Minutes to set up, once an order.
    setup_min: f64,
    /// Minutes for every wheel besides what follows from its geometry.
    each_min: f64,
    /// Turning: volume taken off in a minute, cm³.
    #[serde(default)]
    #[schemars(with = "f64")]
    removal_cm3_per_min: Option<f64>,
    /// Turning and slotting: feed along the path, mm in a minute.
    #[serde(default)]
    #[schemars(with = "f64")]
    feed_mm_per_min: Option<f64>,
    /// Turning: passes along the finished path.
    #[serde(default)]
    #[schemars(with = "u32")]
    finishing_passes: Option<u32>,
    /// Slotting: depth of one pass, mm.
    #[serde(default)]
    #[schemars(with = "f64")]
    depth_per_pass_mm: Option<f64>,
    /// Slotting: speed back, mm in a minute.
    #[serde(default)]
    #[schemars(with = "f64")]
    return_mm_per_min: Option<f64>,
    /// Slotting: way the disc runs on at both ends of a groove together, mm.
    #[serde(default)]
    #[schemars(with = "f64")]
    overrun_mm: Option<f64>,
    /// Slotting: seconds to index to the next groove.
    #[serde(default)]
    #[schemars(with = "f64")]
    index_s: Option<f64>,
}

/// What is put on the blank, as written.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenBlank {
    /// Wheels spoiled for each good one, a share: blank and work of them are lost.
    spoiled_share: f64,
    /// Put on the blank's cost, a share.
    markup_share: f64,
    /// What it costs to be rid of one kilogram cut away.
    disposal_per_kg: String,
}

/// When it is delivered.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Delivery {
    /// Working days before the first hour of work.
    pub days: u32,
    /// Working days more where the blanks are not in stock.
    pub days_to_buy: u32,
    /// Hours of work on one order in a day.
    pub hours_per_day: f64,
}

/// How long an operation takes and what its hour costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Rate {
    /// Where it is done.
    pub at: String,
    /// What one hour costs there.
    pub hourly: Money,
    /// Minutes to set up, once an order.
    pub setup_min: f64,
    /// Minutes for every wheel besides the work.
    pub each_min: f64,
    /// What follows from the geometry.
    pub work: Work,
}

/// The work of an operation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Work {
    /// Nothing that follows from the geometry.
    Bench,
    /// Volume over removal rate and path over feed.
    Turning {
        /// mm³ in a minute.
        removal: f64,
        /// mm in a minute.
        feed: f64,
        /// Passes along the finished path.
        passes: u32,
    },
    /// Passes × length, there and back, and the time to index.
    Slotting {
        /// mm.
        depth_per_pass: f64,
        /// mm in a minute.
        feed: f64,
        /// mm in a minute.
        back: f64,
        /// mm.
        overrun: f64,
        /// Minutes.
        index: f64,
    },
}

/// A shop's rates.
#[derive(Debug, Clone, PartialEq)]
pub struct Rates {
    /// What they are called.
    pub name: String,
    /// The currency.
    pub currency: String,
    /// Prices for one wheel are multiples of this.
    pub round_to: Money,
    /// By operation, or by the title of one of the shop's own.
    pub operations: BTreeMap<String, Rate>,
    /// Wheels spoiled for each good one, a share.
    pub spoiled_share: f64,
    /// Put on the blank's cost, a share.
    pub markup_share: f64,
    /// What it costs to be rid of one kilogram cut away.
    pub disposal_per_kg: Money,
    /// Put on all costs, a share.
    pub overhead_share: f64,
    /// Put on that, a share.
    pub margin_share: f64,
    /// Least price of an order.
    pub least_price: Money,
    /// Quantities a price is named for.
    pub quantity_steps: Vec<u32>,
    /// When it is delivered.
    pub delivery: Delivery,
    /// Days a quotation is valid for.
    pub valid_days: u32,
    /// Sentences at the end of the customer's sheet.
    pub terms: Vec<String>,
}

fn form() -> &'static Form {
    static SCHEMA: LazyLock<Value> =
        LazyLock::new(|| SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Written>().to_value());
    static FORM: LazyLock<Form> = LazyLock::new(|| Form {
        thing: "a file of rates",
        start: "start with a copy of templates/rates.json",
        remarks: "remove it; remarks go into `about`",
        open: "",
        whole: "the file itself, beside `hourly`",
        schema: &SCHEMA,
        other_names: &[],
    });
    &FORM
}

/// The name rates and travellers know an entry by.
pub fn key(operation: Option<Operation>, title: &str) -> &str {
    operation.map_or(title, |o| o.key())
}

impl Rates {
    /// Reads a file of rates for a traveller's operations.
    ///
    /// # Errors
    /// Everything wrong with it, with its place: unknown fields, amounts that are no plain numbers, times and shares out of range, an operation of
    /// the traveller that has no rate or several.
    pub fn read(bytes: &[u8], traveller: &Template) -> Result<Rates, Problems> {
        let read = json::read::<Written>(bytes, form());
        let mut problems = read.problems;
        match read.content {
            Some(written) if problems.is_empty() => {
                let mut reader = Reader { problems: Vec::new() };
                let rates = reader.rates(&written, traveller);
                if reader.problems.is_empty() {
                    return Ok(rates);
                }
                problems.extend(read.places.locate_all(reader.problems));
                Err(Problems::of(problems))
            }
            _ => Err(Problems::of(problems)),
        }
    }
}

struct Reader {
    problems: Vec<Problem>,
}

impl Reader {
    fn problem(&mut self, field: impl Into<String>, message: impl Into<String>, hint: impl Into<String>) {
        self.problems.push(Problem::new(field, message, hint));
    }

    fn money(&mut self, field: &str, text: &str) -> Money {
        Money::parse(text).unwrap_or_else(|e| {
            self.problem(field, e.message, "write an amount in quotes, with a point: \"48.50\"");
            Money::ZERO
        })
    }

    /// A number of at least 0; above 0 where a division needs it.
    fn number(&mut self, field: &str, value: f64, most: f64, above: bool) -> f64 {
        let is_good = value.is_finite() && value <= most && (value > 0.0 || (value == 0.0 && !above));
        if !is_good {
            let from = if above { "above 0" } else { "from 0" };
            self.problem(field, "the number is out of range", format!("give a number {from} up to {most}"));
        }
        value
    }

    fn rates(&mut self, w: &Written, traveller: &Template) -> Rates {
        if w.format != 1 {
            self.problem("/format", "the format of this file is not known", "write \"format\": 1");
        }
        let steps = &w.quantity_steps;
        if steps.contains(&0) || !steps.is_sorted_by(|a, b| a < b) {
            self.problem("/quantity_steps", "the quantities do not rise from 1", "write them rising: [1, 2, 5, 10]");
        }
        let share = |r: &mut Reader, field: &str, value| r.number(field, value, MOST_SHARE, false);
        self.number("/delivery/hours_per_day", w.delivery.hours_per_day, 24.0, true);
        let mut hourly = BTreeMap::new();
        for (i, place) in w.hourly.iter().enumerate() {
            hourly.insert(place.place.as_str(), self.money(&format!("/hourly/{i}/hour"), &place.hour));
        }
        Rates {
            name: w.name.clone(),
            currency: w.currency.clone(),
            round_to: self.money("/round_to", &w.round_to),
            operations: self.operations(w, &hourly, traveller),
            spoiled_share: share(self, "/blank/spoiled_share", w.blank.spoiled_share),
            markup_share: share(self, "/blank/markup_share", w.blank.markup_share),
            disposal_per_kg: self.money("/blank/disposal_per_kg", &w.blank.disposal_per_kg),
            overhead_share: share(self, "/overhead_share", w.overhead_share),
            margin_share: share(self, "/margin_share", w.margin_share),
            least_price: self.money("/least_price", &w.least_price),
            quantity_steps: steps.clone(),
            delivery: w.delivery,
            valid_days: w.valid_days,
            terms: w.terms.clone(),
        }
    }

    fn operations(
        &mut self,
        w: &Written,
        hourly: &BTreeMap<&str, Money>,
        traveller: &Template,
    ) -> BTreeMap<String, Rate> {
        let mut rates = BTreeMap::new();
        for (i, o) in w.operations.iter().enumerate() {
            let field = format!("/operations/{i}");
            let known = traveller.entries.iter().find(|e| key(e.operation, &e.title) == o.operation);
            let Some(entry) = known else {
                let hint = "use the names of the traveller's operations, or the title of one of its own";
                self.problem(format!("{field}/operation"), "the traveller has no such operation", hint);
                continue;
            };
            let Some(&rate) = hourly.get(o.at.as_str()) else {
                let places = hourly.keys().copied().collect::<Vec<_>>().join(", ");
                self.problem(format!("{field}/at"), "`hourly` has no such place", format!("known there: {places}"));
                continue;
            };
            let rate = Rate {
                at: o.at.clone(),
                hourly: rate,
                setup_min: self.number(&format!("{field}/setup_min"), o.setup_min, MOST_MINUTES, false),
                each_min: self.number(&format!("{field}/each_min"), o.each_min, MOST_MINUTES, false),
                work: self.work(&field, entry.operation, o),
            };
            if rates.insert(o.operation.clone(), rate).is_some() {
                self.problem(format!("{field}/operation"), "the operation stands twice", "keep one of them");
            }
        }
        let missing = traveller.entries.iter().map(|e| key(e.operation, &e.title)).filter(|k| !rates.contains_key(*k));
        let missing: Vec<&str> = missing.collect();
        if !missing.is_empty() && self.problems.is_empty() {
            let message = format!("operations of the traveller have no rate: {}", missing.join(", "));
            self.problem("/operations", message, "give each an entry, also one that costs nothing");
        }
        rates
    }

    fn work(&mut self, field: &str, operation: Option<Operation>, o: &WrittenOperation) -> Work {
        let mut need = |name: &str, value: Option<f64>, above: bool| {
            let field = format!("{field}/{name}");
            match value {
                Some(value) => self.number(&field, value, MOST_SPEED, above),
                None => {
                    self.problem(field, format!("`{name}` is missing"), "this operation needs it for its time");
                    1.0
                }
            }
        };
        match operation {
            Some(Operation::Grooves(_) | Operation::FaceGrooves) => Work::Slotting {
                depth_per_pass: need("depth_per_pass_mm", o.depth_per_pass_mm, true),
                feed: need("feed_mm_per_min", o.feed_mm_per_min, true),
                back: need("return_mm_per_min", o.return_mm_per_min, true),
                overrun: need("overrun_mm", o.overrun_mm, false),
                index: need("index_s", o.index_s, false) / 60.0,
            },
            Some(operation) if operation.is_cutting() => Work::Turning {
                removal: 1000.0 * need("removal_cm3_per_min", o.removal_cm3_per_min, true),
                feed: need("feed_mm_per_min", o.feed_mm_per_min, true),
                passes: o.finishing_passes.unwrap_or(1),
            },
            _ => Work::Bench,
        }
    }
}

/// Longest time of one operation, min: a week.
const MOST_MINUTES: f64 = 10_080.0;

/// Greatest share put on something.
const MOST_SHARE: f64 = 10.0;

/// Greatest speed or rate of work, in its own unit.
const MOST_SPEED: f64 = 1e6;

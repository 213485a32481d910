//! Machine cards: what is known of a customer's machine, to be filled into an order.

use super::unknown_format;
use crate::json::{self, Edit, Form, Problem, Problems};
use crate::order::{Machine, Mount, Tooling};
use crate::quantity::{Length, LengthUnit, quoted};
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::sync::LazyLock;

/// The file of cards as written.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Written {
    /// Version of this format: 1.
    format: u32,
    /// What the file is about.
    #[serde(default)]
    #[allow(dead_code, reason = "a remark for those who read the file")]
    about: String,
    /// The cards.
    machines: Vec<Card>,
}

/// What is known of one machine.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Card {
    /// What the machine is called: `machine.name` of its orders.
    pub name: String,
    /// Whose it is.
    #[serde(default)]
    #[schemars(with = "String")]
    pub customer: Option<String>,
    /// Unit of every bare number of the card that is a length.
    pub units: LengthUnit,
    /// Spindle and travel.
    #[serde(default)]
    pub machine: Machine,
    /// Flanges and bolts.
    #[serde(default)]
    pub mount: Mount,
    /// The tools that are used for its wheels, the dividing head among them.
    #[serde(default)]
    pub tooling: Tooling,
}

fn form() -> &'static Form {
    static SCHEMA: LazyLock<Value> =
        LazyLock::new(|| SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Written>().to_value());
    static FORM: LazyLock<Form> = LazyLock::new(|| Form {
        thing: "a file of machine cards",
        start: "start with a copy of templates/machines.json",
        remarks: "remove it; remarks go into `about`",
        whole: "the file itself, beside `machines`",
        schema: &SCHEMA,
        open: "",
        other_names: &[("spindle_rpm", &["rpm", "speed", "spindle_speed"])],
    });
    &FORM
}

/// Reads a file of machine cards.
///
/// # Errors
/// Everything wrong with it, with its place; also a name that two cards have, or lengths that are none.
pub fn read_cards(bytes: &[u8]) -> Result<Vec<Card>, Problems> {
    let read = json::read::<Written>(bytes, form());
    let Some(written) = read.content.filter(|_| read.problems.is_empty()) else {
        return Err(Problems::of(read.problems));
    };
    let mut problems: Vec<Problem> = unknown_format(written.format).into_iter().collect();
    for (i, card) in written.machines.iter().enumerate() {
        let field = format!("/machines/{i}/name");
        if card.name.trim().is_empty() {
            problems.push(Problem::new(&*field, "the card has no name", "name the machine as its orders do"));
        }
        if written.machines[..i].iter().any(|earlier| earlier.name == card.name) {
            problems.push(Problem::new(&*field, format!("two cards are named {}", quoted(&card.name)), "give each its own name"));
        }
        problems.extend(card.clone().lengths().into_iter().filter_map(|(part, length)| {
            let wrong = length.as_ref()?.mm(card.units).err()?;
            Some(Problem::new(format!("/machines/{i}/{part}"), wrong.message, wrong.hint))
        }));
    }
    if problems.is_empty() { Ok(written.machines) } else { Err(read.places.locate_all(problems)) }
}

impl Card {
    /// Every length of the card, with the field it stands in.
    fn lengths(&mut self) -> [(&'static str, &mut Option<Length>); 10] {
        let Card { machine, mount, tooling, .. } = self;
        [
            ("machine/usable_travel", &mut machine.usable_travel),
            ("mount/flange_diameter", &mut mount.flange_diameter),
            ("mount/flange_bearing_width", &mut mount.flange_bearing_width),
            ("mount/bolt_length", &mut mount.bolt_length),
            ("mount/bolt_stack", &mut mount.bolt_stack),
            ("tooling/groove_cutter_diameter", &mut tooling.groove_cutter_diameter),
            ("tooling/groove_cutter_width", &mut tooling.groove_cutter_width),
            ("tooling/profile_nose_radius", &mut tooling.profile_nose_radius),
            ("tooling/profile_allowance", &mut tooling.profile_allowance),
            ("tooling/side_dress_lead", &mut tooling.side_dress_lead),
        ]
    }

    /// What the card sets in an order whose bare numbers are in `units`; lengths of another unit carry it.
    pub fn edits(&self, units: LengthUnit) -> Vec<Edit> {
        let mut card = self.clone();
        for (_, length) in card.lengths() {
            if let Some(Length::Bare(value)) = length
                && self.units != units
            {
                *length = Some(Length::Typed(format!("{value} {}", self.units.symbol())));
            }
        }
        card.machine.name = Some(card.name.clone());
        let parts = [("machine", members(&card.machine)), ("mount", members(&card.mount)), ("tooling", members(&card.tooling))];
        let set = |part: &str, all: Vec<(String, Value)>| {
            let edits = all.into_iter().map(|(field, value)| Edit::set(format!("/{part}/{field}"), value.to_string()));
            edits.collect::<Vec<_>>()
        };
        parts.into_iter().flat_map(|(part, all)| set(part, all)).collect()
    }
}

/// The fields that say something.
fn members(part: &impl Serialize) -> Vec<(String, Value)> {
    // texts, numbers and lists always serialise
    match serde_json::to_value(part) {
        Ok(Value::Object(members)) => members.into_iter().collect(),
        _ => Vec::new(),
    }
}

//! What changed between two states of an order, in the trade's words and numbers, and as one picture.

mod picture;
mod words;

pub use picture::picture;
pub use words::{Kind, label};

use crate::dossier::Dossier;
use crate::properties;
use crate::quantity::{LengthUnit, fixed};
use crate::rules::{Finding, Verdict};
use crate::shop::speed::marked_rpm;
use crate::shop::written::{volume, volume_unit, volume_value};
use crate::tolerance::READ_BACK;
use crate::wheel::Job;
use serde::Serialize;
use serde_json::{Map, Value};

/// One field that changed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Change {
    /// The field of the resolved order, as a JSON pointer.
    pub field: String,
    /// The same in words.
    pub label: String,
    /// Its value before; null where it was not given.
    pub old: Value,
    /// Its value after; null where it is not given any more.
    pub new: Value,
    /// Both in words, with units.
    pub text: String,
}

impl Change {
    /// In one line: what, its value before and after.
    pub fn line(&self) -> String {
        format!("{}: {}", self.label, self.text)
    }
}

/// One reckoned number, before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reckoned {
    /// What it is.
    pub label: String,
    /// Before; null where it could not be reckoned.
    pub old: Option<f64>,
    /// After.
    pub new: Option<f64>,
    /// Unit of both.
    pub unit: String,
    /// Both in words.
    pub text: String,
}

impl Reckoned {
    /// Whether the two differ in the digits shown; the last bits of an unbalance of 0 are no change.
    fn has_changed(&self) -> bool {
        self.text.split_once(" → ").is_none_or(|(old, rest)| {
            let new = rest.split(" (").next().unwrap_or_default();
            old != new
        })
    }
}

/// Which state of which order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct State {
    /// Number and revision.
    pub order: String,
    /// Its fingerprint.
    pub fingerprint: String,
    /// What the rules say of it.
    pub verdict: Verdict,
}

/// The differences.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// Before.
    pub old: State,
    /// After.
    pub new: State,
    /// Fields that changed, in the order of the file format.
    pub changes: Vec<Change>,
    /// Volume and mass, and the other reckoned numbers that changed.
    pub reckoned: Vec<Reckoned>,
    /// Findings that were not there before.
    pub appeared: Vec<Finding>,
    /// Findings that are not there any more.
    pub went: Vec<Finding>,
}

/// Compares two states of an order; words are in the unit of the new one.
pub fn compare(old: &Dossier, new: &Dossier) -> Comparison {
    let (before, after) = (&old.outcome, &new.outcome);
    let state = |d: &Dossier| State {
        order: d.job.file_stem(),
        fingerprint: d.job.fingerprint().full().to_owned(),
        verdict: d.outcome.verdict,
    };
    Comparison {
        old: state(old),
        new: state(new),
        changes: changes(&old.job, &new.job),
        reckoned: reckoned(old, new),
        appeared: lacking(&before.findings, &after.findings),
        went: lacking(&after.findings, &before.findings),
    }
}

/// Findings of one state that the other has not. The same rule about the same feature, as heavy as before, is the same finding, whatever its
/// numbers; a rule that speaks twice of a feature is matched as often as it speaks.
fn lacking(from: &[Finding], of: &[Finding]) -> Vec<Finding> {
    let mut left: Vec<&Finding> = from.iter().collect();
    let same = |a: &Finding, b: &Finding| a.id == b.id && a.feature == b.feature && a.severity == b.severity;
    let new = of.iter().filter(|f| match left.iter().position(|g| same(f, g)) {
        Some(at) => {
            left.swap_remove(at);
            false
        }
        None => true,
    });
    new.cloned().collect()
}

/// The fields that differ.
pub fn changes(old: &Job, new: &Job) -> Vec<Change> {
    // a Job holds finite numbers, texts and lists only, which always serialise
    let value = |job: &Job| serde_json::to_value(job).unwrap_or_default();
    between(&value(old), &value(new), new.units)
}

/// The fields that differ between two resolved orders as values; words are in this unit.
pub fn between(old: &Value, new: &Value, unit: LengthUnit) -> Vec<Change> {
    let (before, after) = (fields(old), fields(new));
    let mut order: Vec<&String> = after.iter().map(|(f, _)| f).collect();
    // what is gone stands where it stood
    for (i, (field, _)) in before.iter().enumerate().filter(|(_, (f, _))| get(&after, f).is_none()) {
        let previous = before[..i].iter().rev().find_map(|(f, _)| order.iter().position(|o| *o == f));
        order.insert(previous.map_or(0, |p| p + 1), field);
    }
    let pairs = order.into_iter().map(|f| (f, get(&before, f), get(&after, f)));
    pairs.filter(|(_, a, b)| !is_same(*a, *b)).map(|(f, a, b)| change(f, a, b, unit)).collect()
}

/// Whether two values are the same; a number that went through a file may come back with another last bit.
fn is_same(a: Option<&Value>, b: Option<&Value>) -> bool {
    match (a.and_then(Value::as_f64), b.and_then(Value::as_f64)) {
        (Some(a), Some(b)) => (a - b).abs() <= READ_BACK * a.abs().max(b.abs()),
        _ => a == b,
    }
}

fn get<'a>(fields: &'a [(String, Value)], field: &str) -> Option<&'a Value> {
    fields.iter().find(|(f, _)| f == field).map(|(_, v)| v)
}

fn change(field: &str, old: Option<&Value>, new: Option<&Value>, unit: LengthUnit) -> Change {
    let kind = Kind::of(field);
    let show = |value: Option<&Value>| match value {
        None => "–".to_owned(),
        Some(Value::Number(n)) => kind.show(n.as_f64().unwrap_or(f64::NAN), unit),
        Some(Value::String(text)) => text.clone(),
        Some(other) => other.to_string(),
    };
    let mut text = format!("{} → {}", show(old), show(new));
    if let (Some(a), Some(b)) = (old.and_then(Value::as_f64), new.and_then(Value::as_f64)) {
        text += &format!(" ({})", kind.show_difference(b - a, unit));
    }
    let value = |v: Option<&Value>| v.cloned().unwrap_or(Value::Null);
    Change { field: field.to_owned(), label: label(field), old: value(old), new: value(new), text }
}

/// Every field of a resolved order that holds something, by JSON pointer.
fn fields(order: &Value) -> Vec<(String, Value)> {
    let mut whole = order.clone();
    // tolerances are kept as pairs of name and deviation
    let pairs = order["tolerances"]["entries"].as_array().into_iter().flatten();
    let named = pairs.filter_map(|pair| Some((pair[0].as_str()?.to_owned(), pair[1].clone())));
    let named: Map<String, Value> = named.collect();
    // a damaged approval record may hold anything
    if let Some(members) = whole.as_object_mut() {
        members.insert("tolerances".to_owned(), Value::Object(named));
    }
    let mut list = Vec::new();
    flatten(String::new(), &whole, &mut list);
    list
}

fn flatten(pointer: String, value: &Value, into: &mut Vec<(String, Value)>) {
    let named = ["/bottom", "/inner_end"].iter().any(|end| pointer.ends_with(end));
    match value {
        Value::Null => {}
        Value::Object(_) if named => into.push((pointer, Value::String(shape(value)))),
        Value::Object(members) => {
            for (key, member) in members {
                flatten(format!("{pointer}/{key}"), member, into);
            }
        }
        Value::Array(items) if items.is_empty() => {}
        // numbers of grooves left out read better in one line
        Value::Array(items) if items.iter().all(Value::is_u64) => {
            let numbers: Vec<String> = items.iter().map(Value::to_string).collect();
            into.push((pointer, Value::String(numbers.join(", "))));
        }
        Value::Array(items) => {
            for (i, item) in items.iter().enumerate() {
                flatten(format!("{pointer}/{i}"), item, into);
            }
        }
        plain => into.push((pointer, plain.clone())),
    }
}

/// A bottom or an inner end that has a size: `vee, angle 90°`.
fn shape(value: &Value) -> String {
    let Value::Object(members) = value else { return String::new() };
    let words = members.iter().map(|(name, sizes)| {
        let sizes = sizes.as_object().into_iter().flatten();
        let sizes = sizes.map(|(k, v)| {
            format!(", {} {}", label(k), Kind::of(k).show(v.as_f64().unwrap_or(f64::NAN), LengthUnit::Millimetre))
        });
        format!("{name}{}", sizes.collect::<String>())
    });
    words.collect()
}

/// Reckoned numbers: volume and mass always, the others where they changed.
fn reckoned(old: &Dossier, new: &Dossier) -> Vec<Reckoned> {
    let (before, after) = (old.as_ordered(), new.as_ordered());
    let unit = new.job.units;
    let mut list = vec![Reckoned {
        label: "volume".to_owned(),
        old: Some(before.wheel.volume),
        new: Some(after.wheel.volume),
        unit: "mm³".to_owned(),
        text: {
            let by = after.wheel.volume - before.wheel.volume;
            let sign = if volume_value(by, unit) < 0.0 { '−' } else { '+' };
            format!(
                "{} → {} ({sign}{})",
                volume(before.wheel.volume, unit),
                volume(after.wheel.volume, unit),
                volume(by.abs(), unit)
            )
        },
    }];
    list.push(plain("mass", before.wheel.mass, after.wheel.mass, "kg", 3));
    let land = |set: Option<properties::GrooveNumbers>| set.map(|s| 100.0 * s.land_share);
    let thinnest = |d: &Dossier| properties::wall_left(&d.job.wheel, &d.section).map(|w| w.thickness / unit.mm());
    let taken = |n: &properties::Properties| Some(volume_value(n.wheel.groove_volume, unit));
    let others = [
        plain("grooves removed", taken(&before), taken(&after), volume_unit(unit), 2),
        plain("inertia about the axis", before.wheel.polar_inertia, after.wheel.polar_inertia, "kg·m²", 5),
        plain("unbalance", before.wheel.unbalance, after.wheel.unbalance, "g·mm", 1),
        plain("land of side A", land(before.grooves.side_a), land(after.grooves.side_a), "%", 2),
        plain("land of side B", land(before.grooves.side_b), land(after.grooves.side_b), "%", 2),
        plain("land of the face", land(before.grooves.face), land(after.grooves.face), "%", 2),
        plain("least wall under the grooves", thinnest(old), thinnest(new), unit.symbol(), 3),
        plain("marked rotation", rpm(&old.job), rpm(&new.job), "1/min", 0),
    ];
    list.extend(others.into_iter().filter(Reckoned::has_changed));
    list
}

fn rpm(job: &Job) -> Option<f64> {
    marked_rpm(job).map(f64::from)
}

fn plain(label: &str, old: Option<f64>, new: Option<f64>, unit: &str, decimals: usize) -> Reckoned {
    let show = |v: Option<f64>| v.map_or("not known".to_owned(), |v| format!("{} {unit}", fixed(v, decimals)));
    let mut text = format!("{} → {}", show(old), show(new));
    if let (Some(a), Some(b)) = (old, new) {
        let sign = if b < a { '−' } else { '+' };
        text += &format!(" ({sign}{} {unit})", fixed((b - a).abs(), decimals));
    }
    Reckoned { label: label.to_owned(), old, new, unit: unit.to_owned(), text }
}

//! From the file as written to the limits in force: what the schema cannot say is checked here.

use super::ShopRules;
use super::written::{Written, WrittenGeneral, WrittenLimit, WrittenRow, form};
use crate::json::{self, Places, Problem, Problems, Reading, nearest};
use crate::tolerance::SAME_SHARE;
use crate::quantity::{Length, LengthUnit, Twin, parse_length, quoted, trimmed};
use crate::rules::finding::SwitchedOff;
use crate::rules::guide::GradeGuide;
use crate::rules::limits::{Bracket, Brackets, Kind, Limit, LimitKey, LimitValue, Limits};
use crate::wheel::{Deviation, GeneralKind, GeneralTolerances};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The rules of a file, laid over those it leaves out.
pub(super) fn read(base: Option<&ShopRules>, text: &str) -> Result<ShopRules, Problems> {
    // the embedded file, which every run reads, is in order: the schema is gone through where it should not be, to say what is wrong
    let embedded = base.is_none().then(|| serde_json::from_str::<Written>(text).ok()).flatten();
    let reading = match embedded {
        Some(written) => Reading { content: Some(written), problems: Vec::new(), broken: Vec::new(), places: Places::default() },
        None => json::read::<Written>(text.as_bytes(), form()),
    };
    let mut problems = reading.problems;
    let Some(written) = reading.content else { return Err(Problems::of(problems)) };
    let mut reader = Reader { broken: &reading.broken, problems: Vec::new() };
    let rules = reader.file(base, written);
    problems.extend(reading.places.locate_all(reader.problems));
    match rules.filter(|_| problems.is_empty()) {
        Some(rules) => {
            let hash = Sha256::digest(text).iter().map(|b| format!("{b:02x}")).collect();
            Ok(ShopRules { text: text.into(), hash, ..rules })
        }
        None => Err(Problems::of(problems)),
    }
}

/// Keeps what is wrong with the file, fields that hold stand-ins apart: what is wrong with them is told already.
struct Reader<'a> {
    broken: &'a [String],
    problems: Vec<Problem>,
}

impl Reader<'_> {
    fn problem(&mut self, field: &str, message: impl Into<String>, hint: impl Into<String>) {
        if !json::is_touched(field, self.broken) {
            self.problems.push(Problem::new(field, message, hint));
        }
    }

    fn file(&mut self, base: Option<&ShopRules>, written: Written) -> Option<ShopRules> {
        if written.format != 1 {
            self.problem("/format", "the format of this file is not known", "write \"format\": 1");
        }
        self.switched_off(&written.switched_off);
        if let Some(why) = written.grade_guide.as_ref().and_then(GradeGuide::fault) {
            self.problem("/grade_guide", why, "write it as the built-in grade-guide.json is written");
        }
        let general = written.general_tolerances.map(|g| Arc::new(self.general(g)));
        let sources = self.limits(base, written.limits.0);
        let limits = Limits::of(&sources)?;
        let balance_k = self.between(&limits)?;
        Some(ShopRules {
            name: written.name,
            text: "".into(),
            hash: String::new(),
            sources,
            limits,
            balance_k,
            switched_off: written.switched_off,
            guide: written.grade_guide.unwrap_or_else(|| GradeGuide::built_in().clone()),
            general: general.or_else(|| base?.general.clone()),
        })
    }

    /// One for each of [`LimitKey::ALL`], in that order; fewer where the file is broken.
    fn limits(&mut self, base: Option<&ShopRules>, mut written: BTreeMap<String, WrittenLimit>) -> Vec<Limit> {
        let mut read = Vec::with_capacity(LimitKey::ALL.len());
        for &key in LimitKey::ALL {
            let field = format!("/limits/{}", key.name());
            match (written.remove(key.name()), base) {
                (Some(limit), _) => read.push(self.limit(&field, key, limit)),
                (None, Some(base)) => read.push(base.limit(key).clone()),
                (None, None) => self.problem(&field, "this limit is missing", "give it"),
            }
        }
        read
    }

    fn limit(&mut self, field: &str, key: LimitKey, written: WrittenLimit) -> Limit {
        if written.source.trim().is_empty() {
            let hint = "say who says so, or \"our own practice\"";
            self.problem(&format!("{field}/source"), "the source is empty", hint);
        }
        Limit {
            value: self.value(&format!("{field}/value"), key, &written.unit, &written.value),
            unit: written.unit,
            source: written.source,
            section: written.section,
            edition: written.edition,
            kind: written.kind,
            basis: written.basis,
            covers: written.covers,
            checked_by: written.checked_by,
        }
    }

    fn value(&mut self, field: &str, key: LimitKey, unit: &str, value: &Value) -> LimitValue {
        let before = self.problems.len();
        let read = match key.kind() {
            Kind::Number(low, high) => plain(value).filter(|x| self.inside(field, *x, low, high, "")).map(LimitValue::Number),
            Kind::Length(low, high) => self
                .scale(field, unit)
                .and_then(|u| length(value, u))
                .filter(|mm| self.inside(field, *mm, low, high, " mm"))
                .map(LimitValue::Number),
            Kind::Twin(low, high) => self.twin(field, value, low, high).map(LimitValue::Twin),
            Kind::Numbers => rising(value).map(LimitValue::Numbers),
            Kind::Range => range(value, 1.0).map(|(low, high)| LimitValue::Range(low, high)),
            Kind::Windows => self.scale(field, unit).and_then(|u| {
                let list: Option<Vec<_>> = value.as_array()?.iter().map(|w| range(w, u.mm())).collect();
                list.map(LimitValue::Ranges)
            }),
            Kind::Brackets => self.scale(field, unit).and_then(|u| brackets(value, u.mm()).map(LimitValue::Brackets)),
            Kind::Table => table(value).map(LimitValue::Table),
            Kind::Name => value.as_str().map(|s| LimitValue::Name(s.to_owned())),
            Kind::Nothing => value.is_null().then_some(LimitValue::Nothing),
        };
        read.unwrap_or_else(|| {
            // what is particular has been said already
            if self.problems.len() == before {
                self.problem(field, format!("the value of {} cannot be read", key.name()), wanted(key.kind()));
            }
            LimitValue::Nothing
        })
    }

    /// The unit of a length, from the limit's `unit`.
    fn scale(&mut self, field: &str, unit: &str) -> Option<LengthUnit> {
        match unit {
            "mm" => Some(LengthUnit::Millimetre),
            "in" => Some(LengthUnit::Inch),
            _ => {
                let at = field.replace("/value", "/unit");
                self.problem(&at, format!("{} is no unit of length", quoted(unit)), "write \"mm\" or \"in\"");
                None
            }
        }
    }

    fn inside(&mut self, field: &str, x: f64, low: f64, high: f64, unit: &str) -> bool {
        let is_inside = (low..=high).contains(&x);
        if !is_inside {
            let message = format!("{}{unit} makes no sense here", trimmed(x, 6));
            self.problem(field, message, format!("give {}{unit} to {}{unit}", trimmed(low, 3), trimmed(high, 3)));
        }
        is_inside
    }

    /// The figures for both kinds of orders, which are about the same size.
    fn twin(&mut self, field: &str, value: &Value, low: f64, high: f64) -> Option<Twin> {
        let (inch, mm) = (LengthUnit::Inch.to_mm(value["in"].as_f64()?), value["mm"].as_f64()?);
        let is_inside = self.inside(&format!("{field}/in"), inch, low, high, " mm")
            & self.inside(&format!("{field}/mm"), mm, low, high, " mm");
        if is_inside && (inch > mm * MOST_APART || mm > inch * MOST_APART) {
            let inch = trimmed(value["in"].as_f64()?, 4);
            let message = format!("{inch} in and {} mm are not about the same size", trimmed(mm, 3));
            self.problem(field, message, "give the inch figure under `in` and the round figure near it under `mm`");
            return None;
        }
        is_inside.then_some(Twin { inch, mm })
    }

    fn switched_off(&mut self, list: &[SwitchedOff]) {
        let ids: Vec<&'static str> = crate::rules::all().map(|r| r.id).collect();
        for (i, SwitchedOff { rule, why }) in list.iter().enumerate() {
            let field = format!("/switched_off/{i}");
            if !ids.contains(&rule.as_str()) {
                let message = format!("there is no rule {}", quoted(rule));
                let hint = match nearest(rule, &ids) {
                    Some(best) => format!("did you mean `{best}`?"),
                    None => "give the id of a rule, as a check names it".to_owned(),
                };
                self.problem(&format!("{field}/rule"), message, hint);
            } else if why.trim().is_empty() {
                self.problem(&format!("{field}/why"), "no reason is given", "say why the shop does without this rule");
            } else if list[..i].iter().any(|o| o.rule == *rule) {
                let message = format!("{rule} is switched off twice");
                self.problem(&format!("{field}/rule"), message, "remove one of the two");
            }
        }
    }

    fn general(&mut self, g: WrittenGeneral) -> GeneralTolerances {
        let at = "/general_tolerances";
        let tables = [
            (GeneralKind::OutsideDiameter, &g.outside_diameter),
            (GeneralKind::Thickness, &g.thickness),
            (GeneralKind::RecessDiameter, &g.recess_diameter),
            (GeneralKind::RecessDepth, &g.recess_depth),
            (GeneralKind::GrooveWidth, &g.groove_width),
            (GeneralKind::GrooveDepth, &g.groove_depth),
            (GeneralKind::Other, &g.other),
        ];
        let mut rows = BTreeMap::new();
        for (kind, table) in tables {
            rows.insert(kind, self.table(&format!("{at}/{}", kind.key()), table, g.unit));
        }
        if g.source.trim().is_empty() && rows.values().any(|table| !table.is_empty()) {
            let hint = "say who says so, or \"our own practice\"";
            self.problem(&format!("{at}/source"), "the source is empty", hint);
        }
        let mut founded: Vec<String> = [g.edition.as_str(), g.basis.word()].map(str::to_owned).to_vec();
        if !g.checked_by.is_empty() {
            founded.push(format!("checked by {}", g.checked_by));
        }
        founded.retain(|text| !text.trim().is_empty());
        let founded = founded.join(", ");
        GeneralTolerances::new(format!("{} ({founded})", g.source), rows)
    }

    fn table(&mut self, field: &str, table: &[WrittenRow], unit: LengthUnit) -> Vec<(f64, Deviation)> {
        let mut rows: Vec<(f64, Deviation)> = Vec::new();
        for (i, row) in table.iter().enumerate() {
            let mut mm = |key: &str, length: &Length, low: f64, high: f64| {
                let field = format!("{field}/{i}/{key}");
                match length.mm(unit) {
                    Ok(mm) => self.inside(&field, mm, low, high, " mm").then_some(mm),
                    Err(e) => {
                        self.problem(&field, e.message, e.hint);
                        None
                    }
                }
            };
            let up_to = mm("up_to", &row.up_to, LEAST_SIZE, GREATEST_SIZE);
            let plus = mm("plus", &row.plus, 0.0, GREATEST_DEVIATION);
            let minus = mm("minus", &row.minus, 0.0, GREATEST_DEVIATION);
            let (Some(up_to), Some(upper), Some(minus)) = (up_to, plus, minus) else { continue };
            if rows.last().is_some_and(|(before, _)| *before >= up_to) {
                let message = "this size is not above that of the row before";
                self.problem(&format!("{field}/{i}/up_to"), message, "write the rows rising");
            }
            if upper + minus <= 0.0 {
                let message = "a tolerance of no width cannot be met";
                self.problem(&format!("{field}/{i}"), message, "give `plus`, `minus`, or both above 0");
            }
            rows.push((up_to, Deviation { upper, lower: -minus }));
        }
        rows
    }

    /// What limits ask of each other: k of the shop's use, where nothing is wrong with it.
    fn between(&mut self, limits: &Limits) -> Option<f64> {
        use LimitKey as K;
        let l = limits;
        for (low, high, [least, most]) in [
            (K::TwoRecessLeastShare, K::TwoRecessCautionShare, [l.two_recess_least_share, l.two_recess_caution_share]),
            (K::GrooveWallLeastShare, K::GrooveWallAskShare, [l.groove_wall_least_share, l.groove_wall_ask_share]),
            (K::BoreShareOther, K::BoreShareCylindrical, [l.bore_share_other, l.bore_share_cylindrical]),
            (K::SpeedTestFactorTo, K::SpeedTestFactorFastTo, [l.speed_test_factor_to, l.speed_test_factor_fast_to]),
        ] {
            if least > most {
                let message = format!("{} is above {}", low.name(), high.name());
                self.problem(&format!("/limits/{}/value", low.name()), message, "give it at most the same value");
            }
        }
        let divides = |pitch: &f64| *pitch > 0.0 && *pitch <= 180.0 && (360.0 / pitch - (360.0 / pitch).round()).abs() < SAME_SHARE;
        if let Some(pitch) = l.usual_pitches.iter().find(|pitch| !divides(pitch)) {
            let message = format!("a pitch of {}° does not divide the circle", trimmed(*pitch, 4));
            let field = format!("/limits/{}/value", K::UsualPitches.name());
            self.problem(&field, message, "give pitches up to 180° that divide 360°");
        }
        let (word, table) = (&limits.unbalance_use, &limits.unbalance_k);
        let k = table.iter().find(|(name, _)| name == word).map(|(_, k)| *k);
        if k.is_none() {
            let names: Vec<&str> = table.iter().map(|(name, _)| name.as_str()).collect();
            let message = format!("{} is not among the names of {}", quoted(word), K::UnbalanceK.name());
            let hint = format!("known there: {}", names.join(", "));
            self.problem(&format!("/limits/{}/value", K::UnbalanceUse.name()), message, hint);
        }
        k
    }
}

/// How many times larger one figure of a twin may be than the other.
const MOST_APART: f64 = 1.25;
/// Smallest and largest size of a general tolerance's table, mm.
const LEAST_SIZE: f64 = 0.001;
const GREATEST_SIZE: f64 = 10_000.0;
/// Greatest deviation that can be meant, mm.
const GREATEST_DEVIATION: f64 = 100.0;

/// A number, or a fraction; that has no unit, so reading it as a length in mm gives its plain value.
fn plain(value: &Value) -> Option<f64> {
    length(value, LengthUnit::Millimetre)
}

fn length(value: &Value, unit: LengthUnit) -> Option<f64> {
    match value {
        Value::Number(n) => Some(n.as_f64()? * unit.mm()),
        Value::String(text) => parse_length(text, unit).ok(),
        _ => None,
    }
}
fn rising(value: &Value) -> Option<Vec<f64>> {
    let list: Vec<f64> = value.as_array()?.iter().map(Value::as_f64).collect::<Option<_>>()?;
    (!list.is_empty() && list.windows(2).all(|w| w[0] < w[1])).then_some(list)
}

fn range(value: &Value, scale: f64) -> Option<(f64, f64)> {
    match value.as_array()?.as_slice() {
        [low, high] => Some((low.as_f64()? * scale, high.as_f64()? * scale)).filter(|(l, h)| l <= h),
        _ => None,
    }
}

fn brackets(value: &Value, scale: f64) -> Option<Brackets> {
    let (last, list) = value.as_array()?.split_last()?;
    let limit = |entry: &Value| entry.get("value")?.as_f64().map(|x| x * scale).filter(|x| *x > 0.0);
    let end = |entry: &Value| match (entry.get("up_to"), entry.get("below")) {
        (Some(size), None) => Some((size.as_f64()? * scale, true)),
        (None, Some(size)) => Some((size.as_f64()? * scale, false)),
        _ => None,
    };
    let bracket = |entry: &Value| {
        let (to, includes_end) = end(entry)?;
        Some(Bracket { to, includes_end, value: limit(entry)? })
    };
    let up_to: Vec<Bracket> = list.iter().map(bracket).collect::<Option<_>>()?;
    // only the last may be without a size: nothing rises beyond it
    let is_open = last.get("up_to").is_none() && last.get("below").is_none();
    let is_rising = up_to.is_sorted_by(|a, b| a.to < b.to);
    Some(Brackets { up_to, beyond: limit(last)? }).filter(|_| is_open && is_rising)
}

fn table(value: &Value) -> Option<Vec<(String, f64)>> {
    let map = value.as_object()?;
    let list: Option<Vec<_>> = map.iter().map(|(k, v)| Some((k.clone(), v.as_f64()?))).collect();
    list.filter(|l| !l.is_empty() && l.iter().all(|(_, v)| *v > 0.0))
}

/// What a kind of value looks like.
fn wanted(kind: Kind) -> &'static str {
    match kind {
        Kind::Number(..) => "give a number, or a fraction such as \"1/3\"",
        Kind::Length(..) => "give a length in the limit's unit",
        Kind::Twin(..) => "give {\"in\": 0.06, \"mm\": 1.5}: the figure for orders in inches and the round one near it in mm",
        Kind::Numbers => "give a list of rising numbers such as [16, 20, 25]",
        Kind::Range => "give two numbers, the lower first, such as [2.35, 13.7]",
        Kind::Windows => "give ranges such as [[0.13, 0.16], [0.23, 0.27]]",
        Kind::Brackets => {
            "give {\"up_to\": size, \"value\": limit} with rising sizes, the last without up_to (\"below\" where the size itself is out)"
        }
        Kind::Table => "give numbers above 0 by name, such as {\"cylindrical\": 0.25}",
        Kind::Name => "give one of the names of the table",
        Kind::Nothing => "write null: this rule needs a source only",
    }
}


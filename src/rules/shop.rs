//! The shop's file of limits: read, checked, and laid over the built-in one.

use super::finding::{Authority, Basis, SwitchedOff};
use super::guide::GradeGuide;
use super::limits::{Bracket, Kind, Limit, LimitKey, LimitValue};
use crate::json::{Places, Problem, Problems, read_json};
use crate::properties::balance::BalanceScope;
use crate::properties::density::Structures;
use crate::properties::planner;
use crate::properties::recess::Guide;
use crate::quantity::{LengthUnit, parse_length, quoted, trimmed};
use crate::tolerance::SAME_LENGTH;
use serde_json::{Map, Value};
use sha2::{Digest, Sha256};
use std::sync::{Arc, OnceLock};

/// The limits that ship with the program, also the template of a shop's own file.
pub const BUILT_IN: &str = include_str!("../../templates/shop-rules.json");

/// The limits in force, and the rules a shop has switched off.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopRules {
    name: String,
    /// The file as read.
    text: Arc<str>,
    /// Its SHA-256.
    hash: String,
    /// One for each of [`LimitKey::ALL`], in that order.
    limits: Vec<Limit>,
    switched_off: Vec<SwitchedOff>,
    guide: GradeGuide,
}

impl ShopRules {
    /// The limits that ship with the program.
    ///
    /// # Panics
    /// Never in a program whose tests have passed: they read the embedded file.
    pub fn built_in() -> ShopRules {
        static RULES: OnceLock<ShopRules> = OnceLock::new();
        let read = || match read_over(None, BUILT_IN) {
            Ok(rules) => rules,
            Err(problems) => panic!("the embedded shop-rules.json is broken: {problems:?}"),
        };
        RULES.get_or_init(read).clone()
    }

    /// A shop's own file. What it leaves out stays as built in.
    ///
    /// # Errors
    /// Every problem of the file at once, each with its place.
    pub fn read(text: &str) -> Result<ShopRules, Problems> {
        read_over(Some(&ShopRules::built_in()), text)
    }

    /// What the file calls itself.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The file as read: a pack carries a copy.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// SHA-256 of the file, 64 hexadecimal digits.
    pub fn hash(&self) -> &str {
        &self.hash
    }

    /// The rules the shop has switched off.
    pub fn switched_off(&self) -> &[SwitchedOff] {
        &self.switched_off
    }

    /// Which wheels suit which work.
    pub fn guide(&self) -> &GradeGuide {
        &self.guide
    }

    /// A limit with its source.
    pub fn limit(&self, key: LimitKey) -> &Limit {
        &self.limits[key as usize]
    }

    /// The value of a limit that is one range, from and to.
    pub fn span(&self, key: LimitKey) -> (f64, f64) {
        self.range(key)
    }

    /// k of the permissible unbalance for this shop's use, √g.
    pub fn balance_k(&self) -> Option<f64> {
        let wanted = self.word(LimitKey::UnbalanceUse);
        self.table(LimitKey::UnbalanceK).iter().find(|(name, _)| name == wanted).map(|(_, k)| *k)
    }

    /// Speed of the speed test over a marked speed in m/s; `None` where no published factor reaches so far.
    pub fn test_factor(&self, marked: f64) -> Option<f64> {
        let up_to = |key: LimitKey| super::context::no_more(marked, self.number(key));
        if up_to(LimitKey::SpeedTestFactorTo) {
            Some(self.number(LimitKey::SpeedTestFactor))
        } else {
            up_to(LimitKey::SpeedTestFactorFastTo).then(|| self.number(LimitKey::SpeedTestFactorFast))
        }
    }

    /// What the permitted unbalance goes by.
    pub fn balance_scope(&self) -> BalanceScope {
        BalanceScope {
            k: self.balance_k().unwrap_or(f64::NAN),
            least_diameter: self.number(LimitKey::UnbalanceDiameter),
            least_speed: self.number(LimitKey::UnbalanceSpeed),
        }
    }

    /// Least diameter of a recess that a flange of this diameter enters, mm.
    pub fn flange_clearance(&self, flange: f64) -> f64 {
        self.number(LimitKey::RecessFlangeFactor) * flange + self.number(LimitKey::RecessFlangeAllowance)
    }

    /// The value of a limit that is a length, mm; not a number where the limit is none.
    pub fn length(&self, key: LimitKey) -> f64 {
        if matches!(key.kind(), Kind::Length(..)) { self.number(key) } else { f64::NAN }
    }

    /// The value of a limit that is a plain number; not a number where the limit is none.
    pub fn share(&self, key: LimitKey) -> f64 {
        if matches!(key.kind(), Kind::Number(..)) { self.number(key) } else { f64::NAN }
    }

    /// The value of a limit that is one number, lengths in mm.
    pub(crate) fn number(&self, key: LimitKey) -> f64 {
        match &self.limit(key).value {
            LimitValue::Number(x) => *x,
            // reading has made sure of the kind
            _ => f64::NAN,
        }
    }

    /// The value of a limit that is a list of numbers.
    pub(crate) fn numbers(&self, key: LimitKey) -> &[f64] {
        match &self.limit(key).value {
            LimitValue::Numbers(list) => list,
            _ => &[],
        }
    }

    /// The value of a limit that is ranges, lengths in mm.
    pub(crate) fn ranges(&self, key: LimitKey) -> &[(f64, f64)] {
        match &self.limit(key).value {
            LimitValue::Ranges(list) => list,
            _ => &[],
        }
    }

    /// The value of a limit that is one range.
    pub(crate) fn range(&self, key: LimitKey) -> (f64, f64) {
        self.ranges(key).first().copied().unwrap_or((f64::NAN, f64::NAN))
    }

    /// The value of a limit by size, mm, and up to which size it holds.
    pub(crate) fn bracket(&self, key: LimitKey, size: f64) -> f64 {
        let LimitValue::Brackets(list) = &self.limit(key).value else { return f64::NAN };
        let fits = |b: &&Bracket| match b.includes_end {
            true => size <= b.to + SAME_LENGTH,
            false => size < b.to - SAME_LENGTH,
        };
        list.iter().find(fits).or(list.last()).map_or(f64::NAN, |b| b.value)
    }

    /// The value of a limit that is numbers by name.
    pub(crate) fn table(&self, key: LimitKey) -> &[(String, f64)] {
        match &self.limit(key).value {
            LimitValue::Table(list) => list,
            _ => &[],
        }
    }

    /// What the estimate of a density goes by.
    pub fn structures(&self) -> Structures {
        let table = self.table(LimitKey::StructureDensity);
        let mut known: Vec<(f64, f64)> = table.iter().filter_map(|(n, d)| Some((n.parse().ok()?, *d))).collect();
        known.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (fall, at_zero) = self.range(LimitKey::GrainShare);
        Structures { known, grain_share: (at_zero, fall) }
    }

    /// What the proposal of a recess goes by; round sizes in the order's unit.
    pub fn recess_guide(&self, unit: LengthUnit) -> Guide {
        use LimitKey as K;
        let (diameter, depth) = if unit == LengthUnit::Inch {
            (K::RecessDiameterStepInch, K::RecessDepthStepInch)
        } else {
            (K::RecessDiameterStepMm, K::RecessDepthStepMm)
        };
        Guide {
            flange_factor: self.number(K::RecessFlangeFactor),
            flange_allowance: self.number(K::RecessFlangeAllowance),
            fillet_factor: self.number(K::FlatFilletFactor),
            one_side_share: self.number(K::RecessThicknessShare),
            two_sides_share: self.number(K::TwoRecessLeastShare),
            caution_share: self.number(K::TwoRecessCautionShare),
            diameter_step: self.number(diameter),
            depth_step: self.number(depth),
        }
    }

    /// What counts of grooves are held against.
    pub fn groove_limits(&self) -> planner::Limits {
        planner::Limits {
            land_least: self.number(LimitKey::LandLeast),
            land_ratio: self.number(LimitKey::LandAskRatio),
            share_least: self.number(LimitKey::LandShareLeast),
            frequency_margin: self.number(LimitKey::ExcitationMargin),
        }
    }

    /// The value of a limit that is a name.
    pub(crate) fn word(&self, key: LimitKey) -> &str {
        match &self.limit(key).value {
            LimitValue::Name(name) => name,
            _ => "",
        }
    }
}

fn read_over(base: Option<&ShopRules>, text: &str) -> Result<ShopRules, Problems> {
    if !text.trim_start_matches('\u{FEFF}').trim_start().starts_with('{') {
        let message = "the file is no list of limits";
        let hint = "write one object { … }, as the built-in shop-rules.json is written";
        return Err(Places::default().locate_all(vec![Problem::new("", message, hint)]));
    }
    let (value, places) = read_json(text)?;
    let mut reader = Reader { problems: Vec::new() };
    let mut rules = reader.file(base, &value);
    rules.text = text.into();
    rules.hash = Sha256::digest(text).iter().map(|b| format!("{b:02x}")).collect();
    if reader.problems.is_empty() { Ok(rules) } else { Err(places.locate_all(reader.problems)) }
}

/// Reads the file and keeps what is wrong with it.
struct Reader {
    problems: Vec<Problem>,
}

const FIELDS: [&str; 6] = ["format", "name", "about", "switched_off", "limits", "grade_guide"];
const LIMIT_FIELDS: [&str; 10] =
    ["value", "unit", "source", "section", "edition", "kind", "basis", "covers", "checked_by", "about"];

impl Reader {
    fn problem(&mut self, field: &str, message: impl Into<String>, hint: impl Into<String>) {
        self.problems.push(Problem::new(field, message, hint));
    }

    fn object<'v>(&mut self, field: &str, value: &'v Value, known: &[&str]) -> Option<&'v Map<String, Value>> {
        let Some(map) = value.as_object() else {
            self.problem(field, "an object is needed here", "write { … }");
            return None;
        };
        for key in map.keys().filter(|k| !known.contains(&k.as_str())) {
            let message = format!("there is no field {}", quoted(key));
            self.problem(&format!("{field}/{key}"), message, suggestion(key, known));
        }
        Some(map)
    }

    fn file(&mut self, base: Option<&ShopRules>, value: &Value) -> ShopRules {
        let empty = Map::new();
        let map = self.object("", value, &FIELDS).unwrap_or(&empty);
        if map.get("format").and_then(Value::as_f64) != Some(1.0) {
            self.problem("/format", "the format of this file is not known", "write \"format\": 1");
        }
        let name = self.text("", map, "name", "the shop's name for these rules");
        let names: Vec<&str> = LimitKey::ALL.iter().map(|k| k.name()).collect();
        let limits = match map.get("limits") {
            Some(limits) => self.object("/limits", limits, &names).unwrap_or(&empty),
            None => &empty,
        };
        let mut read: Vec<Limit> = Vec::with_capacity(LimitKey::ALL.len());
        for &key in LimitKey::ALL {
            let field = format!("/limits/{}", key.name());
            let limit = match limits.get(key.name()) {
                Some(value) => self.limit(&field, key, value),
                None => base.map(|b| b.limit(key).clone()),
            };
            let limit = limit.unwrap_or_else(|| {
                if self.problems.is_empty() {
                    self.problem(&field, "this limit is missing", "give it");
                }
                nothing()
            });
            read.push(limit);
        }
        let switched_off = self.switched_off(map.get("switched_off"));
        let guide = map.get("grade_guide").map_or_else(|| GradeGuide::built_in().clone(), |v| self.guide(v));
        let rules = ShopRules { name, text: "".into(), hash: String::new(), limits: read, switched_off, guide };
        self.between(&rules);
        rules
    }

    fn text(&mut self, at: &str, map: &Map<String, Value>, key: &str, what: &str) -> String {
        match map.get(key) {
            Some(Value::String(text)) => text.clone(),
            Some(_) => {
                self.problem(
                    &format!("{at}/{key}"),
                    format!("`{key}` must be text"),
                    format!("write {what} in quotes"),
                );
                String::new()
            }
            None => {
                self.problem(&format!("{at}/{key}"), format!("`{key}` is missing"), format!("give {what}"));
                String::new()
            }
        }
    }

    fn limit(&mut self, field: &str, key: LimitKey, value: &Value) -> Option<Limit> {
        let map = self.object(field, value, &LIMIT_FIELDS)?;
        let before = self.problems.len();
        let unit = self.text(field, map, "unit", "the unit, or \"\" where there is none");
        let basis = self.text(field, map, "basis", "how well it is founded");
        let found = self.word(&format!("{field}/basis"), &basis, before, &Basis::ALL.map(|b| (b.word(), b)));
        // a shop's own limit may leave these out: what a shop sets itself is its practice
        let mut optional = |key: &str, what: &str| match map.contains_key(key) {
            true => self.text(field, map, key, what),
            false => String::new(),
        };
        let [section, covers] =
            [("section", "where in the source"), ("covers", "wheel types and bonds")].map(|(k, w)| optional(k, w));
        let kind = optional("kind", "what kind of source it is");
        let kind = if map.contains_key("kind") { kind } else { Authority::Practice.word().to_owned() };
        let kind = self.word(&format!("{field}/kind"), &kind, before, &Authority::ALL.map(|a| (a.word(), a)));
        let source = self.text(field, map, "source", "who says so");
        if source.trim().is_empty() && self.problems.len() == before {
            self.problem(&format!("{field}/source"), "the source is empty", "say who says so, or \"our own practice\"");
        }
        let limit = Limit {
            value: self.value(&format!("{field}/value"), key, &unit, map.get("value").unwrap_or(&Value::Null)),
            source,
            section,
            edition: self.text(field, map, "edition", "the edition, or \"\""),
            kind: kind.unwrap_or(Authority::Practice),
            covers,
            checked_by: self.text(field, map, "checked_by", "who has checked it, or \"\""),
            basis: found.unwrap_or(Basis::Memory),
            unit,
        };
        (self.problems.len() == before).then_some(limit)
    }

    /// The value of a word, which is a problem where there is no such word and none was found before.
    fn word<T: Copy>(&mut self, field: &str, word: &str, before: usize, known: &[(&str, T)]) -> Option<T> {
        let found = known.iter().find(|(w, _)| *w == word).map(|(_, value)| *value);
        if found.is_none() && self.problems.len() == before {
            let what = field.rsplit('/').next().unwrap_or_default();
            let words: Vec<&str> = known.iter().map(|(w, _)| *w).collect();
            self.problem(field, format!("{} is no {what}", quoted(word)), suggestion(word, &words));
        }
        found
    }

    fn value(&mut self, field: &str, key: LimitKey, unit: &str, value: &Value) -> LimitValue {
        let before = self.problems.len();
        let read = match key.kind() {
            Kind::Number(low, high) => self.number(field, value, low, high),
            Kind::Length(low, high) => self.scale(field, unit).and_then(|u| self.length(field, value, u, low, high)),
            Kind::Numbers => rising(value).map(LimitValue::Numbers),
            Kind::Range => range(value, 1.0).map(|r| LimitValue::Ranges(vec![r])),
            Kind::Windows => self.scale(field, unit).and_then(|u| {
                let list: Option<Vec<_>> = value.as_array()?.iter().map(|w| range(w, u.mm())).collect();
                list.map(LimitValue::Ranges)
            }),
            Kind::Brackets => self.scale(field, unit).and_then(|u| brackets(value, u.mm())),
            Kind::Table => table(value).map(LimitValue::Table),
            Kind::NameIn(_) => value.as_str().map(|s| LimitValue::Name(s.to_owned())),
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

    fn number(&mut self, field: &str, value: &Value, low: f64, high: f64) -> Option<LimitValue> {
        let x = match value {
            Value::Number(n) => n.as_f64()?,
            // a fraction has no unit, so reading it as a length in mm gives its plain value
            Value::String(text) => parse_length(text, LengthUnit::Millimetre).ok()?,
            _ => return None,
        };
        self.inside(field, x, low, high, "").then_some(LimitValue::Number(x))
    }

    fn length(&mut self, field: &str, value: &Value, unit: LengthUnit, low: f64, high: f64) -> Option<LimitValue> {
        let mm = match value {
            Value::Number(n) => n.as_f64()? * unit.mm(),
            Value::String(text) => parse_length(text, unit).ok()?,
            _ => return None,
        };
        self.inside(field, mm, low, high, " mm").then_some(LimitValue::Number(mm))
    }

    fn inside(&mut self, field: &str, x: f64, low: f64, high: f64, unit: &str) -> bool {
        let is_inside = (low..=high).contains(&x);
        if !is_inside {
            let message = format!("{}{unit} makes no sense here", trimmed(x, 6));
            self.problem(field, message, format!("give {}{unit} to {}{unit}", trimmed(low, 3), trimmed(high, 3)));
        }
        is_inside
    }

    fn switched_off(&mut self, value: Option<&Value>) -> Vec<SwitchedOff> {
        let Some(value) = value else { return Vec::new() };
        let Some(list) = value.as_array() else {
            self.problem("/switched_off", "a list is needed here", "write [ {\"rule\": …, \"why\": …} ]");
            return Vec::new();
        };
        let ids: Vec<&str> = super::all().map(|r| r.id).collect();
        let mut off: Vec<SwitchedOff> = Vec::new();
        for (i, entry) in list.iter().enumerate() {
            let field = format!("/switched_off/{i}");
            let Some(map) = self.object(&field, entry, &["rule", "why"]) else { continue };
            let rule = self.text(&field, map, "rule", "the rule's id");
            let why = self.text(&field, map, "why", "why the shop does without it");
            if !ids.contains(&rule.as_str()) {
                let message = format!("there is no rule {}", quoted(&rule));
                self.problem(&format!("{field}/rule"), message, suggestion(&rule, &ids));
            } else if why.trim().is_empty() {
                self.problem(&format!("{field}/why"), "no reason is given", "say why the shop does without this rule");
            } else if off.iter().any(|o| o.rule == rule) {
                self.problem(
                    &format!("{field}/rule"),
                    format!("{rule} is switched off twice"),
                    "remove one of the two",
                );
            } else {
                off.push(SwitchedOff { rule, why });
            }
        }
        off
    }

    fn guide(&mut self, value: &Value) -> GradeGuide {
        GradeGuide::of(value.clone()).unwrap_or_else(|why| {
            self.problem("/grade_guide", why, "write it as the built-in grade-guide.json is written");
            GradeGuide::built_in().clone()
        })
    }

    /// What limits ask of each other.
    fn between(&mut self, rules: &ShopRules) {
        if !self.problems.is_empty() {
            return;
        }
        for &key in LimitKey::ALL {
            let Kind::NameIn(table) = key.kind() else { continue };
            let names: Vec<&str> = rules.table(table).iter().map(|(n, _)| n.as_str()).collect();
            let word = rules.word(key);
            if !names.contains(&word) {
                let message = format!("{} is not among the names of {}", quoted(word), table.name());
                self.problem(&format!("/limits/{}/value", key.name()), message, suggestion(word, &names));
            }
        }
        use LimitKey as K;
        for (low, high) in [
            (K::TwoRecessLeastShare, K::TwoRecessCautionShare),
            (K::GrooveWallLeastShare, K::GrooveWallAskShare),
            (K::BoreShareOther, K::BoreShareCylindrical),
            (K::SpeedTestFactorTo, K::SpeedTestFactorFastTo),
        ] {
            if rules.number(low) > rules.number(high) {
                let message = format!("{} is above {}", low.name(), high.name());
                self.problem(&format!("/limits/{}/value", low.name()), message, "give it at most the same value");
            }
        }
    }
}

/// A place holder where a limit is broken; such a file is never used.
fn nothing() -> Limit {
    Limit {
        value: LimitValue::Nothing,
        unit: String::new(),
        source: String::new(),
        section: String::new(),
        edition: String::new(),
        kind: Authority::Practice,
        basis: Basis::Memory,
        covers: String::new(),
        checked_by: String::new(),
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

fn brackets(value: &Value, scale: f64) -> Option<LimitValue> {
    let list = value.as_array()?;
    let mut out: Vec<Bracket> = Vec::new();
    for entry in list {
        let map = entry.as_object()?;
        let value = map.get("value")?.as_f64()? * scale;
        let (to, includes_end) = match (map.get("up_to"), map.get("below")) {
            (Some(size), None) => (size.as_f64()? * scale, true),
            (None, Some(size)) => (size.as_f64()? * scale, false),
            // only the last may be without: nothing rises beyond it
            (None, None) => (f64::INFINITY, true),
            (Some(_), Some(_)) => return None,
        };
        if out.last().is_some_and(|before| before.to >= to) || value <= 0.0 {
            return None;
        }
        out.push(Bracket { to, includes_end, value });
    }
    (out.last()?.to == f64::INFINITY).then_some(LimitValue::Brackets(out))
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
        Kind::Numbers => "give a list of rising numbers such as [16, 20, 25]",
        Kind::Range => "give two numbers, the lower first, such as [2.35, 13.7]",
        Kind::Windows => "give ranges such as [[0.13, 0.16], [0.23, 0.27]]",
        Kind::Brackets => {
            "give {\"up_to\": size, \"value\": limit} with rising sizes, the last without up_to (\"below\" where the size itself is out)"
        }
        Kind::Table => "give numbers above 0 by name, such as {\"cylindrical\": 0.25}",
        Kind::NameIn(_) => "give one of the names of the table",
        Kind::Nothing => "write null: this rule needs a source only",
    }
}

/// The known word nearest to one that is not, or all of them where they are few.
fn suggestion(word: &str, known: &[&str]) -> String {
    let near = |k: &&&str| strsim::jaro_winkler(word, k);
    match known.iter().max_by(|a, b| near(a).total_cmp(&near(b))) {
        Some(best) if strsim::jaro_winkler(word, best) >= 0.84 => format!("did you mean `{best}`?"),
        _ if known.len() <= 8 => format!("known here: {}", known.join(", ")),
        _ => String::from("see the built-in shop-rules.json for the names"),
    }
}

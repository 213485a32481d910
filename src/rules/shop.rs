//! The shop's file of limits: read, checked, and laid over the built-in one.

use super::finding::{Authority, Basis, SwitchedOff};
use super::guide::GradeGuide;
use super::limits::{Bracket, Brackets, Kind, Limit, LimitKey, LimitValue, Limits};
use crate::json::{Places, Problem, Problems, read_json};
use crate::properties::balance::BalanceScope;
use crate::properties::density::Structures;
use crate::properties::planner;
use crate::properties::recess::Guide;
use crate::quantity::{LengthUnit, parse_length, quoted, trimmed};
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
    sources: Vec<Limit>,
    limits: Limits,
    /// k of the permissible unbalance for this shop's use, √g.
    balance_k: f64,
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
        &self.sources[key as usize]
    }

    /// The values in force.
    pub fn limits(&self) -> &Limits {
        &self.limits
    }

    /// k of the permissible unbalance for this shop's use, √g.
    pub fn balance_k(&self) -> f64 {
        self.balance_k
    }

    /// Speed of the speed test over a marked speed in m/s; `None` where no published factor reaches so far.
    pub fn test_factor(&self, marked: f64) -> Option<f64> {
        let (limits, no_more) = (&self.limits, super::context::no_more);
        if no_more(marked, limits.speed_test_factor_to) {
            Some(limits.speed_test_factor)
        } else {
            no_more(marked, limits.speed_test_factor_fast_to).then_some(limits.speed_test_factor_fast)
        }
    }

    /// What the permitted unbalance goes by.
    pub fn balance_scope(&self) -> BalanceScope {
        BalanceScope {
            k: self.balance_k,
            least_diameter: self.limits.unbalance_least_diameter,
            least_speed: self.limits.unbalance_least_speed,
        }
    }

    /// Least diameter of a recess that a flange of this diameter enters, mm.
    pub fn flange_clearance(&self, flange: f64) -> f64 {
        self.limits.recess_flange_factor * flange + self.limits.recess_flange_allowance
    }

    /// What the estimate of a density goes by.
    pub fn structures(&self) -> Structures {
        let table = &self.limits.structure_density;
        let mut known: Vec<(f64, f64)> = table.iter().filter_map(|(n, d)| Some((n.parse().ok()?, *d))).collect();
        known.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (fall, at_zero) = self.limits.grain_share;
        Structures { known, grain_share: (at_zero, fall) }
    }

    /// What the proposal of a recess goes by; round sizes in the order's unit.
    pub fn recess_guide(&self, unit: LengthUnit) -> Guide {
        let limits = &self.limits;
        let (diameter_step, depth_step) = match unit {
            LengthUnit::Inch => (limits.recess_diameter_step_inch, limits.recess_depth_step_inch),
            LengthUnit::Millimetre => (limits.recess_diameter_step_mm, limits.recess_depth_step_mm),
        };
        Guide {
            flange_factor: self.limits.recess_flange_factor,
            flange_allowance: self.limits.recess_flange_allowance,
            fillet_factor: self.limits.flat_fillet_factor,
            one_side_share: self.limits.recess_thickness_share,
            two_sides_share: self.limits.two_recess_least_share,
            caution_share: self.limits.two_recess_caution_share,
            diameter_step,
            depth_step,
        }
    }

    /// What counts of grooves are held against.
    pub fn groove_limits(&self) -> planner::Limits {
        planner::Limits {
            land_least: self.limits.land_least,
            land_ratio: self.limits.land_ask_ratio,
            share_least: self.limits.land_share_least,
            frequency_margin: self.limits.excitation_margin,
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
    let rules = reader.file(base, &value);
    match rules.filter(|_| reader.problems.is_empty()) {
        Some(rules) => {
            let hash = Sha256::digest(text).iter().map(|b| format!("{b:02x}")).collect();
            Ok(ShopRules { text: text.into(), hash, ..rules })
        }
        None => Err(places.locate_all(reader.problems)),
    }
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

    fn file(&mut self, base: Option<&ShopRules>, value: &Value) -> Option<ShopRules> {
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
            if limit.is_none() && self.problems.is_empty() {
                self.problem(&field, "this limit is missing", "give it");
            }
            read.extend(limit);
        }
        let switched_off = self.switched_off(map.get("switched_off"));
        let guide = map.get("grade_guide").map_or_else(|| GradeGuide::built_in().clone(), |v| self.guide(v));
        if !self.problems.is_empty() {
            return None;
        }
        let limits = Limits::of(&read)?;
        let balance_k = self.between(&limits)?;
        let sources = read;
        Some(ShopRules { name, text: "".into(), hash: String::new(), sources, limits, balance_k, switched_off, guide })
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

    /// What limits ask of each other: k of the shop's use, where nothing is wrong with it.
    fn between(&mut self, limits: &Limits) -> Option<f64> {
        use LimitKey as K;
        for (low, high, is_fine) in [
            (
                K::TwoRecessLeastShare,
                K::TwoRecessCautionShare,
                limits.two_recess_least_share <= limits.two_recess_caution_share,
            ),
            (
                K::GrooveWallLeastShare,
                K::GrooveWallAskShare,
                limits.groove_wall_least_share <= limits.groove_wall_ask_share,
            ),
            (K::BoreShareOther, K::BoreShareCylindrical, limits.bore_share_other <= limits.bore_share_cylindrical),
            (K::SpeedTestFactorTo, K::SpeedTestFactorFastTo, limits.speed_test_factor_to <= limits.speed_test_factor_fast_to),
        ] {
            if !is_fine {
                let message = format!("{} is above {}", low.name(), high.name());
                self.problem(&format!("/limits/{}/value", low.name()), message, "give it at most the same value");
            }
        }
        let (word, table) = (&limits.unbalance_use, &limits.unbalance_k);
        let k = table.iter().find(|(name, _)| name == word).map(|(_, k)| *k);
        if k.is_none() {
            let names: Vec<&str> = table.iter().map(|(name, _)| name.as_str()).collect();
            let message = format!("{} is not among the names of {}", quoted(word), K::UnbalanceK.name());
            self.problem(&format!("/limits/{}/value", K::UnbalanceUse.name()), message, suggestion(word, &names));
        }
        k
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

/// The known word nearest to one that is not, or all of them where they are few.
fn suggestion(word: &str, known: &[&str]) -> String {
    let near = |k: &&&str| strsim::jaro_winkler(word, k);
    match known.iter().max_by(|a, b| near(a).total_cmp(&near(b))) {
        Some(best) if strsim::jaro_winkler(word, best) >= 0.84 => format!("did you mean `{best}`?"),
        _ if known.len() <= 8 => format!("known here: {}", known.join(", ")),
        _ => String::from("see the built-in shop-rules.json for the names"),
    }
}

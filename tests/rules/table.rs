//! Every case of every rule.

use super::{case_file, cases, change, sound};
use crate::support::job;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use wheeldraft::rules::{self, Finding, Outcome, Severity, ShopRules, Verdict};

/// What one rule said, in a word, and the numbers it said it with.
fn said(outcome: &Outcome, id: &str) -> (String, Option<f64>, Option<f64>) {
    let own: Vec<&Finding> = outcome.findings.iter().filter(|f| f.id == id).collect();
    if let Some(worst) = own.iter().max_by_key(|f| f.severity) {
        return (worst.severity.word().into(), worst.measured, worst.limit);
    }
    if outcome.not_evaluated.iter().any(|n| n.rule == id) {
        return ("not_evaluated".into(), None, None);
    }
    // of several that are met, the one nearest to its limit
    let near = |m: &&rules::Met| m.measured.zip(m.limit).map_or(f64::INFINITY, |(a, b)| (a - b).abs());
    let met = outcome.met.iter().filter(|m| m.rule == id).min_by(|a, b| near(a).total_cmp(&near(b)));
    if let Some(met) = met {
        return ("met".into(), met.measured, met.limit);
    }
    let absent = outcome.not_applicable.iter().any(|n| n.rule == id);
    (if absent { "not_applicable" } else { "nothing" }.into(), None, None)
}

fn near(got: Option<f64>, want: &Value) -> bool {
    // values that the case could only round are given with four decimals
    let Some(want) = want.as_f64() else { return true };
    got.is_some_and(|got| (got - want).abs() <= 1e-9 * want.abs().max(1.0) || (got - want).abs() <= 5e-5 && want != 0.0)
}

fn rule_files() -> BTreeMap<String, Value> {
    let mut files = BTreeMap::new();
    for entry in std::fs::read_dir(cases()).unwrap() {
        let name = entry.unwrap().path().file_stem().unwrap().to_string_lossy().into_owned();
        let file = case_file(&name);
        if file.get("rule").is_some() {
            assert_eq!(file["rule"], name.as_str());
            files.insert(name, file);
        }
    }
    files
}

/// A case with the order it makes of the sound one.
struct Case {
    rule: String,
    case: Value,
    order: Value,
}

fn all_cases() -> Vec<Case> {
    let base = sound();
    let mut found = Vec::new();
    for (rule, file) in rule_files() {
        for case in file["cases"].as_array().unwrap() {
            let mut order = base.clone();
            // whole objects first, so that a later pointer may change them
            let mut changes: Vec<(&String, &Value)> = case["change"].as_object().unwrap().iter().collect();
            changes.sort_by_key(|(pointer, value)| (value.is_null(), pointer.matches('/').count()));
            changes.into_iter().for_each(|(pointer, value)| change(&mut order, pointer, value));
            found.push(Case { rule: rule.clone(), case: case.clone(), order });
        }
    }
    found
}

/// Where a rule says something else than its case expects.
fn fault(case: &Case, outcome: &Outcome) -> Option<String> {
    let (rule, want) = (&case.rule, &case.case);
    let (word, measured, limit) = said(outcome, rule);
    let messages: Vec<_> =
        outcome.findings.iter().filter(|f| f.id == *rule).map(|f| format!("{} {}", f.message, f.hint)).collect();
    let told =
        want["says"].as_array().into_iter().flatten().all(|part| messages.concat().contains(part.as_str().unwrap()));
    let places = (outcome.findings.iter().filter(|f| f.id == *rule).map(|f| &f.feature))
        .chain(outcome.met.iter().filter(|m| m.rule == rule).map(|m| &m.feature));
    let placed = want["at"].as_str().is_none_or(|at| places.into_iter().any(|place| place == at));
    let as_wanted = placed && word == want["expect"].as_str().unwrap();
    if as_wanted && near(measured, &want["measured"]) && near(limit, &want["limit"]) && told {
        return None;
    }
    Some(format!(
        "{rule}, {}: {word} {measured:?} {limit:?}, wanted {} {} {} {} {}\n    {messages:?}",
        want["name"], want["expect"], want["measured"], want["limit"], want["says"], want["at"]
    ))
}

#[test]
fn every_case_of_every_rule() {
    let shop = ShopRules::built_in();
    let cases = all_cases();
    assert!(cases.len() > 300, "only {} cases were found", cases.len());
    let mut faults = Vec::new();
    for case in &cases {
        let outcome = rules::check(&job(&case.order), &shop);
        faults.extend(fault(case, &outcome));
        speaks_well(&outcome);
    }
    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
}

/// Rules that hold no number of an order against a limit, and why there is no just inside, on and just outside.
const WITHOUT_LIMIT: &[(&str, &str)] = &[
    ("after-altering", "a reminder for every wheel"),
    ("blotter-cover", "a size to send along; an order says nothing of blotters"),
    ("burst-factor", "the maker's burst tests are not part of an order"),
    ("conformity-claim", "asks by the words of the marking"),
    ("density-estimate", "says where the density comes from"),
    ("groove-direction", "compares signs of skews"),
    ("groove-pitch", "names the usual pitch; another one is nothing to refuse"),
    ("grooves-stated", "a reminder wherever there are grooves"),
    ("guard", "a reminder for every wheel; an order says nothing of the guard"),
    ("heavy-point", "a reminder for every wheel"),
    ("label", "lists what is missing"),
    ("marked-rpm", "a number to be marked"),
    ("old-marking", "a reminder where the diameter changes"),
    ("restriction-carried", "compares days; the cases lie on the day and the day before"),
    ("run-in", "a reminder for every wheel"),
    ("set-mark", "a reminder where there are several wheels"),
    ("shape-consent", "asks whether the shape changes at all"),
    ("storage", "speaks by the bond"),
    ("test-hold", "holds the shop's own limit against the published one: `shop_file` moves it"),
    ("test-record", "a reminder for every wheel"),
    ("preferred-speed", "a speed is in the list or not; the cases lie on one and just beside it"),
    ("side-grinding", "asks by the operation"),
    ("size-open", "a size is decided or not; its value is no limit"),
    ("speed-test", "a number to be tested at; the cases lie on both sides of where the factor changes"),
];

/// Rules whose findings do not carry the limit they turn on: their cases are named for the side of it they lie on.
const BY_NAME: &[&str] = &[
    "balance-limit",
    "fillet-window",
    "groove-excitation",
    "specification-mark",
    "speed-stripe",
    "stress-raise",
    "wheel-choice",
];

/// Rules that hold a computed number against a limit, so that no order lies on it: `shop_file` moves the limit to the number instead.
const ON_IT_BY_THE_SHOP: &[&str] = &["stress-range"];

/// Rules that are about every wheel and need nothing an order may leave out, so that there is none they do not apply to.
const ABOUT_EVERY_WHEEL: &[&str] = &[
    "after-altering",
    "bore-share",
    "bore-spindle",
    "guard",
    "heavy-point",
    "label",
    "run-in",
    "size-open",
    "test-hold",
    "test-record",
    "thickness-variation",
];

/// How far from a limit a case may lie and still be just beside it, as a share of the limit.
const JUST_BESIDE: f64 = 0.05;

/// What the cases of a rule say just below a limit, on it, and just above it.
#[derive(Default)]
struct AroundLimit {
    below: BTreeSet<String>,
    on: BTreeSet<String>,
    above: BTreeSet<String>,
    elsewhere: bool,
}

impl AroundLimit {
    fn add(&mut self, rule: &str, outcome: &Outcome) {
        let silent = outcome.not_applicable.iter().chain(&outcome.not_evaluated);
        self.elsewhere |= silent.into_iter().any(|n| n.rule == rule);
        let (word, Some(measured), Some(limit)) = said(outcome, rule) else { return };
        let (off, scale) = (measured - limit, limit.abs().max(1.0));
        if off.abs() <= 1e-9 * scale {
            self.on.insert(word);
        } else if off.abs() <= JUST_BESIDE * scale {
            if off < 0.0 { &mut self.below } else { &mut self.above }.insert(word);
        }
    }

    /// Whether crossing the limit changes what the rule says, and the limit itself was tried.
    fn is_complete(&self, on_it_elsewhere: bool) -> bool {
        (on_it_elsewhere || !self.on.is_empty()) && self.below.iter().any(|b| self.above.iter().any(|a| a != b))
    }
}

/// Every rule has a case just inside, on and just outside a limit, and one it does not apply to or lacks what it needs; by the numbers themselves.
#[test]
fn every_rule_is_tried_on_both_sides_of_its_limit_on_it_and_where_it_does_not_apply() {
    let shop = ShopRules::built_in();
    let mut around: BTreeMap<String, AroundLimit> = BTreeMap::new();
    for case in all_cases() {
        around.entry(case.rule.clone()).or_default().add(&case.rule, &rules::check(&job(&case.order), &shop));
    }
    let files = rule_files();
    let mut lacking = Vec::new();
    for rule in rules::all() {
        let (id, tried) = (rule.id, &around[rule.id]);
        let named = |word: &str| {
            files[id]["cases"].as_array().unwrap().iter().any(|c| c["name"].as_str().unwrap().contains(word))
        };
        if WITHOUT_LIMIT.iter().any(|(r, _)| *r == id) {
        } else if BY_NAME.contains(&id) {
            let words = ["just inside", "on the limit", "just outside"];
            lacking.extend(words.into_iter().filter(|w| !named(w)).map(|w| format!("{id}: {w}")));
        } else if !tried.is_complete(ON_IT_BY_THE_SHOP.contains(&id)) {
            lacking.push(format!("{id}: below {:?}, on {:?}, above {:?}", tried.below, tried.on, tried.above));
        }
        if !tried.elsewhere && !ABOUT_EVERY_WHEEL.contains(&id) {
            lacking.push(format!("{id}: where it does not apply"));
        }
    }
    let hint = "A rule that cannot have such a case stands in one of the lists of this file.";
    assert!(lacking.is_empty(), "\n{}\n{hint}\n", lacking.join("\n"));
}

#[test]
fn every_rule_has_its_cases() {
    let files = rule_files();
    let ids: BTreeSet<&str> = rules::all().map(|r| r.id).collect();
    assert_eq!(ids.len(), rules::all().count(), "two rules have one id");
    assert_eq!(files.keys().map(String::as_str).collect::<BTreeSet<_>>(), ids);
    for listed in WITHOUT_LIMIT.iter().map(|(id, _)| id).chain(BY_NAME).chain(ABOUT_EVERY_WHEEL) {
        assert!(ids.contains(listed), "{listed} is no rule any more");
    }
    for (rule, file) in &files {
        let expects = |word: &str| file["cases"].as_array().unwrap().iter().any(|c| c["expect"] == word);
        let heaviest = rules::find(rule).unwrap().heaviest.word();
        // no order has burst tests, and none can shorten the shop's own test
        let is_never_given = ["burst-factor", "test-hold"].contains(&rule.as_str());
        assert!(is_never_given || expects(heaviest), "{rule}: no case of {heaviest}");
    }
}

#[test]
fn the_sound_order_is_clear() {
    let outcome = rules::check(&job(&sound()), &ShopRules::built_in());
    let open: Vec<_> = outcome.findings.iter().filter(|f| f.severity > Severity::Note).collect();
    assert!(open.is_empty(), "{open:#?}");
    assert_eq!(outcome.verdict, Verdict::Clear);
    // what is left open is only what an order cannot say
    let left: Vec<_> = outcome.not_evaluated.iter().map(|n| n.rule).collect();
    assert_eq!(left, [""; 0]);
}

#[test]
fn the_barest_order_is_asked_about() {
    let bare = serde_json::json!({"order": {"number": "1", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 400, "thickness": 20, "bore": 127}});
    let outcome = rules::check(&job(&bare), &ShopRules::built_in());
    speaks_well(&outcome);
    assert_eq!(outcome.verdict, Verdict::Ask);
    // flange, the bore's fit, bolts, travel and the two halves of the speed: one question each, in the words of the customer
    let fields: Vec<&str> = outcome.of(Severity::Ask).map(|f| f.feature.as_str()).collect();
    assert_eq!(
        fields,
        [
            "/blank/max_operating_speed",
            "/machine/spindle_rpm",
            "/mount/flange_diameter",
            "/tolerances/bore",
            "/mount/bolt_length",
            "/machine/usable_travel"
        ]
    );
}

/// Every rule has said something, and its findings are worded, placed, founded and ordered.
#[track_caller]
fn speaks_well(outcome: &Outcome) {
    let mut spoken: BTreeSet<&str> = outcome.findings.iter().map(|f| f.id).collect();
    spoken.extend(outcome.met.iter().map(|m| m.rule));
    spoken.extend(outcome.not_evaluated.iter().chain(&outcome.not_applicable).map(|n| n.rule));
    assert_eq!(spoken.len(), rules::all().count());
    assert!(outcome.not_evaluated.iter().all(|n| n.why != "the rule gave no answer"));
    for f in &outcome.findings {
        let end = if f.severity == Severity::Ask { '?' } else { '.' };
        assert!(f.message.contains(end) && f.message.ends_with(['.', '?']), "{}: {}", f.id, f.message);
        assert!(f.feature.starts_with('/') && !f.hint.is_empty() && !f.source.is_empty(), "{f:?}");
        assert!(f.measured.is_none_or(f64::is_finite) && f.limit.is_none_or(f64::is_finite), "{f:?}");
        assert!(f.severity <= rules::find(f.id).unwrap().heaviest, "{f:?}");
    }
    let rising = outcome.findings.windows(2).all(|w| w[0].severity >= w[1].severity);
    assert!(rising, "the heaviest findings come first");
}

/// The example of the order format: every rule it meets, and the questions it leaves.
#[test]
fn the_format_s_own_example_has_no_stops() {
    let order: Value = serde_json::from_str(include_str!("../cases/rules/example-in-inches.json")).unwrap();
    let outcome = rules::check(&job(&order["order"]), &ShopRules::built_in());
    let open: Vec<_> = outcome.findings.iter().filter(|f| f.severity > Severity::Note).map(|f| f.id).collect();
    // it names no agreement of the maker, whose bore it opens and whose sides it recesses
    assert_eq!(open, ["shape-consent", "stress-raise"]);
    assert!(outcome.of(Severity::Ask).all(|f| f.to == Some(rules::Addressee::Shop)));
    assert_eq!(outcome.verdict, Verdict::Ask);
}

/// Every question a rule asks the customer has its text in every language, and the numbers that text names.
#[test]
fn every_question_to_the_customer_has_its_text() {
    let shop = ShopRules::built_in();
    let texts = wheeldraft::language::Language::De.texts();
    let mut lacking = BTreeSet::new();
    for case in all_cases() {
        let outcome = rules::check(&job(&case.order), &shop);
        for f in outcome.questions(rules::Addressee::Customer).filter(|f| f.id != "size-open") {
            let field = f.feature.rsplit('/').next().unwrap();
            let text = texts.get(&format!("question.{}.{field}", f.id)).or(texts.get(&format!("question.{}", f.id)));
            let named = |name: &str, value: Option<f64>| text.is_some_and(|t| t.contains(name)) && value.is_none();
            if text.is_none() || named("{measured}", f.measured) || named("{limit}", f.limit) {
                lacking.insert(format!("{} at {}: {}", f.id, f.feature, f.message));
            }
        }
    }
    assert!(lacking.is_empty(), "{lacking:#?}");
}

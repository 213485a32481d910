//! The shop's own file of limits.

use super::{change, sound};
use crate::support::job;
use serde_json::{Value, json};
use wheeldraft::rules::{self, BUILT_IN, LimitKey, ShopRules, Verdict};

/// A file of this shop with these limits.
fn file(limits: Value) -> String {
    json!({ "format": 1, "name": "a shop", "limits": limits }).to_string()
}

fn limit(value: Value, unit: &str) -> Value {
    json!({ "value": value, "unit": unit, "source": "our own practice", "edition": "", "basis": "practice", "checked_by": "T. Okafor" })
}

/// The fields of everything wrong with a file.
#[track_caller]
fn faults(text: &str) -> Vec<String> {
    ShopRules::read(text).expect_err("a broken file").into_iter().map(|l| l.problem.field).collect()
}

#[test]
fn the_built_in_file_reads_as_its_own_copy() {
    assert_eq!(ShopRules::read(BUILT_IN).unwrap(), ShopRules::built_in());
}

#[test]
fn every_limit_has_a_source_and_nobody_has_checked_it_yet() {
    let shop = ShopRules::built_in();
    for &key in LimitKey::ALL {
        let limit = shop.limit(key);
        for said in [&limit.source, &limit.section, &limit.edition, &limit.covers] {
            assert!(!said.trim().is_empty(), "{}", key.name());
        }
        assert_eq!(limit.checked_by, "", "{}: only a person fills this in", key.name());
    }
}

#[test]
fn a_limit_of_the_shop_decides_and_is_named() {
    let shop = ShopRules::read(&file(json!({ "flange_share": limit(json!("11/20"), "of D") }))).unwrap();
    let outcome = rules::check(&job(&sound()), &shop);
    let stop = outcome.findings.iter().find(|f| f.id == "flange-third").unwrap();
    assert_eq!((stop.measured, stop.source.as_str()), (Some(300.0), "our own practice"));
    assert!((stop.limit.unwrap() - 330.0).abs() < 1e-9);
    assert_eq!(outcome.verdict, Verdict::Stop);
    // what the file leaves out stays
    assert!((rules::check(&job(&sound()), &ShopRules::built_in()).verdict) == Verdict::Clear);
}

/// A stress is computed, so no order lies on a limit of it: the limits are put just below, on and just above the stress.
#[test]
fn a_stress_on_its_limit_meets_it() {
    let ruled = |range: [f64; 2]| {
        let shop = ShopRules::read(&file(json!({ "tensile_strength": limit(json!(range), "MPa") }))).unwrap();
        let outcome = rules::check(&job(&sound()), &shop);
        let word = outcome.findings.iter().find(|f| f.id == "stress-range").map(|f| f.severity.word());
        let met = outcome.met.iter().find(|m| m.rule == "stress-range");
        (word, met.and_then(|m| m.measured))
    };
    let stress = ruled([1000.0, 2000.0]).1.unwrap();
    let (under, over) = (stress * (1.0 - 1e-6), stress * (1.0 + 1e-6));
    for (range, word) in [
        ([over, 2.0 * stress], None),
        ([stress, 2.0 * stress], None),
        ([under, over], Some("note")),
        ([under, stress], Some("note")),
        ([under * 0.5, under], Some("ask")),
    ] {
        assert_eq!(ruled(range).0, word, "{range:?}");
    }
}

/// The time at test speed is the shop's own; it is held against the published one, and is never nothing.
#[test]
fn a_short_speed_test_is_asked_about() {
    let ruled = |minutes: Value| {
        let shop = ShopRules::read(&file(json!({ "speed_test_minutes": limit(minutes, "min") }))).unwrap();
        rules::check(&job(&sound()), &shop).findings.into_iter().find(|f| f.id == "test-hold")
    };
    let short = ruled(json!(0.499)).unwrap();
    assert_eq!((short.severity.word(), short.limit), ("ask", Some(30.0)));
    assert!(ruled(json!(0.5)).is_none() && ruled(json!(3)).is_none());
    assert_eq!(
        faults(&file(json!({ "speed_test_minutes": limit(json!(0), "min") }))),
        ["/limits/speed_test_minutes/value"]
    );
}

/// What only recommends or advises asks, even where a rule would stop by it.
#[test]
fn a_recommendation_never_stops() {
    let spoken = |kind: &str| {
        let mut own = limit(json!("11/20"), "of D");
        own["kind"] = json!(kind);
        let shop = ShopRules::read(&file(json!({ "flange_share": own }))).unwrap();
        let found = rules::check(&job(&sound()), &shop).findings.into_iter().find(|f| f.id == "flange-third").unwrap();
        assert_eq!(found.kind.word(), kind);
        (found.severity.word(), found.message.ends_with('?'))
    };
    for kind in ["law", "standard", "practice", "inference", "calculation"] {
        assert_eq!(spoken(kind), ("stop", false), "{kind}");
    }
    for kind in ["recommendation", "advice"] {
        assert_eq!(spoken(kind), ("ask", true), "{kind}");
    }
    // a limit of the shop's that does not say is its practice
    let shop = ShopRules::read(&file(json!({ "flange_share": limit(json!("1/3"), "of D") }))).unwrap();
    assert_eq!(shop.limit(LimitKey::FlangeShare).kind.word(), "practice");
    // and no rule that stops stands on less in the file that ships
    let built_in = ShopRules::built_in();
    for rule in rules::all().filter(|r| r.heaviest == rules::Severity::Stop) {
        let rules::Ground::Limits(keys) = rule.ground else { continue };
        assert!(built_in.limit(keys[0]).kind.may_stop(), "{}", rule.id);
    }
}

#[test]
fn lengths_may_be_in_inches() {
    let shop = ShopRules::read(&file(json!({ "wide_without_recess": limit(json!("1-1/2"), "in") }))).unwrap();
    let mut order = sound();
    change(&mut order, "/wheel/side_a/recess", &Value::Null);
    change(&mut order, "/wheel/thickness", &json!(38.2));
    let asked = |order: &Value| rules::check(&job(order), &shop).findings.iter().any(|f| f.id == "wide-without-recess");
    assert!(asked(&order));
    change(&mut order, "/wheel/thickness", &json!(38.1));
    assert!(!asked(&order));
}

#[test]
fn a_rule_switched_off_is_silent_and_reported() {
    let mut order = sound();
    change(&mut order, "/mount/flange_diameter", &json!(250));
    change(&mut order, "/wheel/side_a/recess", &Value::Null);
    change(&mut order, "/wheel/bore", &json!(280));
    let stops = |shop: &ShopRules| rules::check(&job(&order), shop).findings.iter().any(|f| f.id == "flange-seat");
    assert!(stops(&ShopRules::built_in()));
    let text =
        json!({ "format": 1, "name": "a shop", "switched_off": [{"rule": "flange-seat", "why": "we use hubs"}] });
    let shop = ShopRules::read(&text.to_string()).unwrap();
    assert!(!stops(&shop));
    let outcome = rules::check(&job(&order), &shop);
    assert_eq!(
        (outcome.switched_off[0].rule.as_str(), outcome.switched_off[0].why.as_str()),
        ("flange-seat", "we use hubs")
    );
    assert!(outcome.met.iter().all(|m| m.rule != "flange-seat"));
}

#[test]
fn everything_wrong_is_named_at_once_with_its_place() {
    let text = r#"{
  "format": 2,
  "name": 5,
  "limits": {
    "flange_shar": {},
    "flange_share": {"value": "a third", "unit": "", "source": "", "edition": "", "basis": "hearsay", "checked_by": ""},
    "thin_wheel": {"value": [{"up_to": 12, "value": 0.25}, {"up_to": 6, "value": 0.2}], "unit": "in", "source": "s", "edition": "", "basis": "read", "checked_by": ""},
    "lifting_mass": {"value": -3, "unit": "kg", "source": "s", "edition": "", "basis": "read", "checked_by": ""},
    "land_least": {"value": 1, "unit": "yd", "source": "s", "edition": "", "basis": "read", "checked_by": ""}
  },
  "switched_off": [{"rule": "flange-thrid", "why": "x"}, {"rule": "guard", "why": " "}],
  "limit": 3
}"#;
    let problems = ShopRules::read(text).expect_err("a broken file");
    let fields: Vec<&str> = problems.iter().map(|l| l.problem.field.as_str()).collect();
    for field in [
        "/format",
        "/name",
        "/limits/flange_shar",
        "/limits/flange_share/value",
        "/limits/flange_share/basis",
        "/limits/thin_wheel/value",
        "/limits/lifting_mass/value",
        "/limits/land_least/unit",
        "/switched_off/0/rule",
        "/switched_off/1/why",
        "/limit",
    ] {
        assert!(fields.contains(&field), "{field} is not among {fields:?}");
    }
    let shar = problems.iter().find(|l| l.problem.field == "/limits/flange_shar").unwrap();
    assert_eq!((shar.place.line, shar.problem.hint.as_str()), (5, "did you mean `flange_share`?"));
    assert!(problems.iter().all(|l| !l.problem.message.is_empty() && l.place.line > 0));
}

#[test]
fn broken_files_are_refused() {
    assert_eq!(faults(""), [""]);
    assert_eq!(faults("[]"), [""]);
    assert_eq!(faults("{}"), ["/format", "/name"]);
    assert!(!faults("{\"format\": 1, \"name\": \"x\", \"name\": \"y\"}").is_empty(), "a field given twice");
    let crossed = file(json!({ "two_recess_least_share": limit(json!("2/3"), "") }));
    assert_eq!(faults(&crossed), ["/limits/two_recess_least_share/value"]);
    let no_such_use = file(json!({ "unbalance_use": limit(json!("rough grinding"), "") }));
    assert_eq!(faults(&no_such_use), ["/limits/unbalance_use/value"]);
    let guide = json!({ "format": 1, "name": "a shop", "grade_guide": {"format": 1} }).to_string();
    assert_eq!(faults(&guide), ["name", "basis", "source", "rows"].map(|key| format!("/grade_guide/{key}")));
    for value in [json!(null), json!([]), json!({}), json!(true), json!("1e400"), json!(1e300)] {
        assert!(!faults(&file(json!({ "flange_share": limit(value, "") }))).is_empty());
    }
}

#[test]
fn a_guide_of_the_shop_replaces_the_built_in_one() {
    let guide = json!({ "format": 1, "name": "ours", "basis": "practice", "source": "our own", "rows": [
        {"name": "all", "work": {"material": ["steel"]}, "wheel": {"grit": [80, 80]}, "why": "we like it"}] });
    let shop = ShopRules::read(&json!({ "format": 1, "name": "a shop", "grade_guide": guide }).to_string()).unwrap();
    let outcome = rules::check(&job(&sound()), &shop);
    let asked = outcome.findings.iter().find(|f| f.id == "wheel-choice").unwrap();
    assert_eq!((asked.measured, asked.limit), (Some(60.0), Some(80.0)));
}

/// A limit is shown in the unit of its file: inches as inches.
#[test]
fn a_limit_is_shown_in_its_own_unit() {
    let shop = ShopRules::built_in();
    assert_eq!(shop.limit(LimitKey::WideWithoutRecess).shown(), "1 in");
    assert_eq!(shop.limit(LimitKey::RecessDepthStepMm).shown(), "1 mm");
    assert!(
        shop.limit(LimitKey::ThinWheel).shown().starts_with("0.1875 up to 6, "),
        "{}",
        shop.limit(LimitKey::ThinWheel).shown()
    );
}

/// What is wrong with a value, and what would be right, for the only fault of a file.
#[track_caller]
fn only_fault(text: &str) -> (String, String) {
    let problems = ShopRules::read(text).expect_err("a broken file");
    assert_eq!(problems.len(), 1, "{problems:?}");
    let problem = problems[0].problem.clone();
    (problem.field, problem.hint)
}

#[test]
fn every_kind_of_value_is_refused_with_what_would_be_right() {
    let fault = |key: &str, value: Value, unit: &str| only_fault(&file(json!({ key: limit(value, unit) })));
    for (key, unit, right, wrong) in [
        ("flange_share", "", "give a number", json!(["a third", [1], null])),
        ("wide_without_recess", "in", "give a length", json!(["wide", [1], null])),
        ("preferred_speeds", "m/s", "rising numbers", json!([[], [20, 20], [25, 20], ["a"], 20])),
        ("tensile_strength", "MPa", "the lower first", json!([[3, 2], [1], [1, 2, 3], ["a", 2], 5])),
        ("fillet_windows", "in", "give ranges", json!([[[0.2, 0.1]], [[0.1]], 0.1])),
        (
            "thin_wheel",
            "in",
            "the last without up_to",
            json!([
                [{"value": 0.2}, {"value": 0.5}],
                [{"up_to": 6, "value": 0.2}],
                [{"up_to": 6, "value": 0.2}, {"up_to": 6, "value": 0.3}, {"value": 0.5}],
                [{"up_to": 7, "value": 0.2}, {"up_to": 6, "value": 0.3}, {"value": 0.5}],
                [{"up_to": 6, "value": 0}, {"value": 0.5}],
                [{"up_to": 6, "value": -0.1}, {"value": 0.5}],
                []
            ]),
        ),
        (
            "unbalance_k",
            "√g",
            "give numbers above 0 by name",
            json!([{}, {"cylindrical": 0}, {"cylindrical": 0.3, "x": -1}, 3]),
        ),
    ] {
        for value in wrong.as_array().unwrap() {
            let (field, hint) = fault(key, value.clone(), unit);
            assert!(field.starts_with(&format!("/limits/{key}/value")), "{field}");
            // what the schema asks for is told as of any file
            let general = [
                "put it in brackets: [ … ]",
                "give a number without quotes",
                "give a list",
                "give 2",
                "give an object",
            ];
            assert!(hint.contains(right) || general.iter().any(|g| hint.contains(g)), "{key} {value}: {hint}");
        }
    }
    // just what is asked for is taken
    for (key, value, unit) in [
        ("preferred_speeds", json!([20]), "m/s"),
        ("tensile_strength", json!([2, 2]), "MPa"),
        ("thin_wheel", json!([{"value": 0.5}]), "in"),
        ("unbalance_k", json!({"cylindrical": 0.001}), "√g"),
        ("two_recess_least_share", json!("1/2"), ""),
    ] {
        assert!(ShopRules::read(&file(json!({ key: limit(value, unit) }))).is_ok(), "{key}");
    }
}

#[test]
fn values_are_read_in_their_units() {
    let text = file(json!({
        "fillet_windows": limit(json!([[0.1, 0.2]]), "in"), "tensile_strength": limit(json!([2, 12]), "MPa"),
        "thin_wheel": limit(json!([{"up_to": 10, "value": 0.5}, {"value": 1}]), "in"), "flange_share": limit(json!("2/5"), "")
    }));
    let shop = ShopRules::read(&text).unwrap();
    assert_eq!(shop.name(), "a shop");
    let limits = shop.limits();
    assert_eq!((limits.tensile_strength, limits.flange_share), ((2.0, 12.0), 0.4));
    assert!((limits.wide_without_recess - 25.4).abs() < 1e-12);
    let (windows, sizes) = (&limits.fillet_windows, &limits.thin_wheel);
    assert!((windows[0].0 - 2.54).abs() < 1e-12 && (windows[0].1 - 5.08).abs() < 1e-12);
    assert!((sizes.up_to[0].to - 254.0).abs() < 1e-9 && (sizes.up_to[0].value - 12.7).abs() < 1e-12);
    // the size itself still belongs to `up_to`, and what is larger than all has the last
    assert_eq!([254.0, 254.1].map(|size| sizes.at(size)), [sizes.up_to[0].value, 25.4]);
}

#[test]
fn words_that_are_not_known_are_answered_with_those_that_are() {
    let with = |source: &str, basis: &str| {
        let value =
            json!({ "value": 0.4, "unit": "", "source": source, "edition": "", "basis": basis, "checked_by": "" });
        only_fault(&file(json!({ "flange_share": value })))
    };
    assert_eq!(with(" ", "practice").0, "/limits/flange_share/source");
    // few words are listed, a near one is named, and of many that are not near none is
    let all = "\"read\", \"digest\", \"memory\", \"practice\", \"calc\" or \"inference\"";
    assert_eq!(with("s", "xyz").1, format!("give {all}"));
    assert_eq!(with("s", "practise").1, format!("did you mean \"practice\"? Known are {all}"));
    let off = |rules: &[&str]| {
        let list: Vec<Value> = rules.iter().map(|r| json!({"rule": r, "why": "we use hubs"})).collect();
        json!({ "format": 1, "name": "a shop", "switched_off": list }).to_string()
    };
    assert_eq!(
        only_fault(&off(&["flange-thrid"])),
        ("/switched_off/0/rule".into(), "did you mean `flange-third`?".into())
    );
    let far = only_fault(&off(&["qqq"])).1;
    assert_eq!(far, "give the id of a rule, as a check names it");
    // two rules may be switched off, one of them not twice
    assert_eq!(ShopRules::read(&off(&["guard", "label"])).unwrap().switched_off().len(), 2);
    assert_eq!(only_fault(&off(&["guard", "label", "guard"])).0, "/switched_off/2/rule");
}

/// A shop that goes only to nine tenths of the marked speed, and one that lets a taper begin 10 mm under the flange.
#[test]
fn factors_of_the_shop_decide() {
    let found = |limits: Value, id: &str, changes: &[(&str, Value)]| {
        let mut order = sound();
        changes.iter().for_each(|(pointer, value)| change(&mut order, pointer, value));
        let outcome = rules::check(&job(&order), &ShopRules::read(&file(limits)).unwrap());
        let stop = outcome.findings.iter().find(|f| f.id == id).map(|f| f.limit.unwrap());
        (stop, outcome.met.iter().find(|m| m.rule == id).map(|m| m.limit.unwrap()))
    };
    // 600 mm at 1000 rpm is 31.416 m/s; marked 35 m/s
    let share = |x: f64| json!({ "speed_share": limit(json!(x), "") });
    assert_eq!(found(share(0.9), "speed-limit", &[]), (None, Some(31.5)));
    assert_eq!(found(share(0.8), "speed-limit", &[]), (Some(28.0), None));
    // 2° of Ø400 less the groove of 1.5 mm leave a land of 5.481 mm: more than three of it, less than four
    let ratio = |x: f64| json!({ "land_ask_ratio": limit(json!(x), "") });
    assert_eq!(found(ratio(3.0), "groove-land", &[]), (None, Some(4.5)));
    assert_eq!(found(ratio(4.0), "groove-land", &[]), (Some(6.0), None));
    let taper = |d: f64| [("/wheel/side_b", json!({"taper": {"from_diameter": d, "to_diameter": 600, "depth": 2}}))];
    let under = json!({ "taper_under_flange": limit(json!(10), "mm") });
    assert_eq!(found(under.clone(), "taper-under-flange", &taper(280.0)), (None, Some(280.0)));
    assert_eq!(found(under, "taper-under-flange", &taper(279.9)), (Some(280.0), None));
}

/// The question that a draft puts for its bore chamfer, in a file's unit.
fn asked_chamfer(shop: &ShopRules, units: &str) -> String {
    let order = json!({
        "order": {"number": "7", "revision": "A"}, "units": units,
        "wheel": {"outside_diameter": "20 in", "thickness": "2 in", "bore": "8 in", "bore_chamfer": "?"}
    });
    let job = shop.open(order.to_string().as_bytes()).unwrap();
    let outcome = rules::check(&job, shop);
    outcome.findings.into_iter().find(|f| f.id == "size-open").unwrap().message
}

#[test]
fn sizes_left_open_count_as_is_usual_in_the_shop() {
    let chamfer = |value: Value| {
        let own = json!({ "value": value, "unit": "", "source": "our grinders ask for it", "edition": "", "basis": "practice", "checked_by": "" });
        ShopRules::read(&file(json!({ "usual_bore_chamfer": own })))
    };
    let built_in = ShopRules::built_in();
    assert!(
        asked_chamfer(&built_in, "in").ends_with("Usual is 0.03 in: common practice."),
        "{}",
        asked_chamfer(&built_in, "in")
    );
    assert!(asked_chamfer(&built_in, "mm").ends_with("Usual is 0.8 mm: common practice."));
    let shop = chamfer(json!({ "in": 0.05, "mm": 1.2 })).unwrap();
    assert!(asked_chamfer(&shop, "in").ends_with("Usual is 0.05 in: our grinders ask for it."));
    assert!(asked_chamfer(&shop, "mm").ends_with("Usual is 1.2 mm: our grinders ask for it."));
    // slips of the unit, sizes no chamfer has, and half of a twin
    let told = |value: Value| {
        let first = chamfer(value).unwrap_err().into_iter().next().unwrap().problem;
        (first.field, first.message)
    };
    assert_eq!(told(json!({ "in": 1.2, "mm": 1.2 })).1, "1.2 in and 1.2 mm are not about the same size");
    assert_eq!(told(json!({ "in": 40, "mm": 1000 })).0, "/limits/usual_bore_chamfer/value/in");
    assert_eq!(told(json!({ "in": 0.05 })).0, "/limits/usual_bore_chamfer/value/mm");
    let pitches = |list: Value| ShopRules::read(&file(json!({ "usual_pitches": limit(list, "°") })));
    assert!(pitches(json!([3, 4.5, 20])).is_ok());
    let uneven = pitches(json!([3, 7])).unwrap_err();
    assert_eq!(uneven[0].problem.message, "a pitch of 7° does not divide the circle");
}

/// General tolerances: the row whose size is reached, the order's own before the shop's, never the bore.
#[test]
fn general_tolerances_of_the_shop_hold_by_size() {
    use wheeldraft::dossier::Dossier;
    use wheeldraft::size::Size;
    use wheeldraft::wheel::LimitsBy;
    let file = |rows: Value| {
        let general = json!({ "unit": "mm", "source": "our own practice", "edition": "2026", "basis": "practice", "checked_by": "T. Okafor", "outside_diameter": rows,
            "thickness": [{"up_to": 300, "plus": "0.01 in", "minus": 0}] });
        json!({ "format": 1, "name": "a shop", "general_tolerances": general }).to_string()
    };
    let shop =
        ShopRules::read(&file(json!([{"up_to": 599, "plus": 9, "minus": 9}, {"up_to": 600, "plus": 1, "minus": 2}])))
            .unwrap();
    let mut order = sound();
    order.as_object_mut().unwrap().remove("tolerances");
    let general = |order: &Value, size: Size| {
        let dossier = Dossier::of(job(order), &shop).unwrap();
        let found = dossier.job.requirements().into_iter().find(|r| r.size == size).unwrap();
        found.general.map(|(d, by)| (d.lower, d.upper, by))
    };
    assert_eq!(general(&order, Size::OutsideDiameter), Some((-2.0, 1.0, LimitsBy::Shop)));
    let (lower, upper, _) = general(&order, Size::Thickness).unwrap();
    assert!(lower == 0.0 && (upper - 0.254).abs() < 1e-12);
    assert_eq!(general(&order, Size::Bore), None);
    order["tolerances"] = json!({ "general": 0.3, "thickness": 0.1 });
    assert_eq!(general(&order, Size::OutsideDiameter), Some((-0.3, 0.3, LimitsBy::General)));
    assert_eq!(general(&order, Size::Thickness), None);
    // what is signed is the order: the shop's tables are no part of its fingerprint, their file's hash stands in the approval
    let dossier = Dossier::of(job(&order), &shop).unwrap();
    assert_eq!(dossier.job.fingerprint(), job(&order).fingerprint());
    assert_eq!(
        only_fault(&file(json!([{"up_to": 5, "plus": 1, "minus": 1}, {"up_to": 5, "plus": 1, "minus": 1}]))).0,
        "/general_tolerances/outside_diameter/1/up_to"
    );
    assert_eq!(
        only_fault(&file(json!([{"up_to": 5, "plus": 0, "minus": 0}]))).0,
        "/general_tolerances/outside_diameter/0"
    );
    assert_eq!(
        only_fault(&file(json!([{"up_to": 5, "plus": -1, "minus": 1}]))).0,
        "/general_tolerances/outside_diameter/0/plus"
    );
}

#[test]
fn a_file_longer_than_any_shop_has_is_refused() {
    let long = format!("{}{}", file(json!({})), " ".repeat(wheeldraft::json::LONGEST_FILE));
    let (field, _) = only_fault(&long);
    assert_eq!(field, "");
    let problems = ShopRules::read(&long).unwrap_err();
    assert!(problems[0].problem.message.contains("MB"), "{problems}");
}

//! `grooves --least-land` and what a sweep leaves out.

use super::run;
use serde_json::Value;

const SIZES: [&str; 6] = ["--outside-diameter", "400mm", "--inner-diameter", "200mm", "--width", "3mm"];

fn asked(more: &[&str]) -> super::Run {
    run(&[&["grooves"], &SIZES[..], more].concat())
}

fn json(more: &[&str]) -> Value {
    let run = asked(&[more, &["--format", "json"]].concat());
    serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{e}: {}{}", run.out, run.err))
}

/// By hand: at Ø200 a groove takes an arc of 2·100·asin(1.5/100) = 3.000113 mm; 628.3185/(3.000113 + 8) = 57.1.
#[test]
fn the_most_grooves_that_leave_the_land_where_they_begin() {
    let told = json(&["--least-land", "8mm", "--depth", "5mm", "--rpm", "1500"]);
    let most = &told["most"];
    assert_eq!((&told["at_diameter_mm"], &most["count"]), (&200.0.into(), &57.into()));
    let land = |n: &Value| n["land_at_mm"].as_f64().unwrap();
    let by_hand = |n: f64| 200.0 * (std::f64::consts::PI / n - (1.5_f64 / 100.0).asin());
    assert!((land(most) - by_hand(57.0)).abs() < 1e-9 && land(most) >= 8.0 && by_hand(58.0) < 8.0);
    // 36 000 hundredths of a degree: 50 and 60 divide it, nothing between
    let [below, above] = [&told["divides_well_below"], &told["divides_well_above"]];
    assert_eq!((&below["count"], &below["leaves_least_land"]), (&50.into(), &true.into()));
    assert_eq!((&above["count"], &above["leaves_least_land"]), (&60.into(), &false.into()));
    assert!((land(above) - by_hand(60.0)).abs() < 1e-9);
    // 180 such grooves carry 270 005.063 mm³ (trade facts), 57 of them their share; 57 · 1500 / 60 Hz
    assert!((most["coolant_mm3_per_revolution"].as_f64().unwrap() - 270_005.063 / 180.0 * 57.0).abs() < 1e-3);
    assert_eq!(most["frequency_hz"], 1425.0);
    let text = asked(&["--least-land", "8mm", "--depth", "5mm", "--rpm", "1500"]);
    assert_eq!(text.code, 0);
    for words in ["At most 57 grooves", "1425 Hz", "85.5 cm³", "leaves the land"] {
        assert!(text.out.contains(words), "{words}: {}", text.out);
    }
}

#[test]
fn the_land_may_be_asked_for_at_another_diameter() {
    // at Ø400: 1256.637/(3.000028 + 8) = 114.2
    assert_eq!(json(&["--least-land", "8mm", "--at", "400mm"])["most"]["count"], 114);
    let wrong = asked(&["--least-land", "8mm", "--at", "150mm"]);
    assert!(wrong.code == 2 && wrong.err.contains("do not reach there"), "{}", wrong.err);
}

#[test]
fn no_groove_at_all_is_exit_1() {
    let none = asked(&["--least-land", "2m"]);
    assert!(none.code == 1 && none.out.contains("Not even one groove"), "{}", none.out);
    let both = asked(&["--least-land", "8mm", "--count", "90"]);
    assert_eq!(both.code, 2);
}

#[test]
fn depth_and_speed_count_for_a_single_answer_too() {
    let told = json(&["--count", "180", "--depth", "5mm", "--rpm", "1500"]);
    assert!((told["coolant_mm3_per_revolution"].as_f64().unwrap() - 270_005.063).abs() < 1e-3);
    assert_eq!(told["frequency_hz"], 4500.0);
    assert!(json(&["--count", "180"])["frequency_hz"].is_null());
    assert_eq!(asked(&["--count", "180", "--rpm", "0"]).code, 2);
}

#[test]
fn a_sweep_says_which_counts_it_leaves_out_and_why() {
    let told = json(&["--sweep", "--from", "24", "--to", "360"]);
    let left: Vec<u64> = told["left_out"]["counts"].as_array().unwrap().iter().map(|n| n.as_u64().unwrap()).collect();
    assert_eq!(left.len() + told["choices"].as_array().unwrap().len(), 337);
    assert!(left.contains(&26) && !left.contains(&180) && left.iter().all(|n| 36_000 % n != 0));
    let text = asked(&["--sweep", "--from", "24", "--to", "360"]).out;
    assert!(text.contains("their pitch has more than two decimals (26, 27, 28, 29 …"), "{text}");
    assert!(json(&["--sweep", "--from", "100", "--to", "120"])["left_out"]["counts"].as_array().unwrap().is_empty());
}

/// The recess stays inside of the grooves that are ordered; where the flange needs more, it says so.
#[test]
fn a_recess_takes_the_ordered_grooves_into_account() {
    let recess = |inner: f64| {
        let text =
            std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases/rules/sound.json")).unwrap();
        let mut order: Value = serde_json::from_str::<Value>(&text).unwrap()["order"].clone();
        order["wheel"]["side_a"]["recess"] = Value::Array(Vec::new());
        order["wheel"]["side_a"]["grooves"]["inner_diameter"] = inner.into();
        let told = |more: &[&str]| super::run_with(&order.to_string(), &[&["recess", "-"], more].concat()).out;
        (serde_json::from_str::<Value>(&told(&["--format", "json"])).unwrap(), told(&[]))
    };
    let diameter = |told: &Value| told["proposal"]["diameter_mm"].as_f64().unwrap();
    // worn out at Ø400; the flanges need less than Ø300
    let (wide, _) = recess(450.0);
    assert!((diameter(&wide) - 400.0).abs() < 1e-9, "{wide:#}");
    let (narrow, text) = recess(333.0);
    assert!(diameter(&narrow) <= 333.0 && diameter(&narrow) > 320.0, "{narrow:#}");
    assert_eq!(narrow["bounds"]["grooves_begin_mm"], 333.0);
    assert!(text.contains("ordered grooves begin at"), "{text}");
    let (inside, text) = recess(210.0);
    assert!((diameter(&inside) - 400.0).abs() < 1e-9 && text.contains("begin them farther out"), "{inside:#}\n{text}");
}

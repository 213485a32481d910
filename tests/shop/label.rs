//! `label`: what stands on it, and that nothing is promised which the blank does not say.

use super::{case, crankshaft, put, run, wheeldraft};
use serde_json::{Value, json};
use std::fs;
use tempfile::TempDir;
use wheeldraft::shop::label::content;
use wheeldraft::wheel::designation;

/// The label of an order as SVG text.
fn label(order: &Value, more: &[&str]) -> (i32, String) {
    let folder = TempDir::new().unwrap();
    let file = put(folder.path(), "order.json", order);
    let target = folder.path().join("label.svg");
    let ran = run(wheeldraft().arg("label").arg(&file).arg("-o").arg(&target).args(["--wheel", "1"]).args(more));
    (ran.code, fs::read_to_string(&target).unwrap_or_else(|_| panic!("{}", ran.err)))
}

fn small(order: &Value) -> Value {
    let mut whole = json!({
        "order": {"number": "77", "revision": "A"}, "units": "mm", "wheel": {"outside_diameter": 350, "thickness": 40, "bore": 127},
        "blank": {"marking": "A 60 L 5 V", "max_operating_speed": "35 m/s"}
    });
    for (key, value) in order.as_object().unwrap() {
        whole[key] = value.clone();
    }
    whole
}

#[test]
fn everything_a_label_must_say() {
    let (code, svg) = label(&crankshaft(), &["--altered-by", "Tern & Anvil Wheel Works"]);
    assert_eq!(code, 0);
    for words in [
        "26 × 2 × 8 in (660.4 × 50.8 × 203.2 mm)",
        "Specification: A 54 K 6 V",
        // 60000·33/(π·660.4) = 954.35, rounded down
        "33 m/s = 954 1/min",
        "GROOVES INTENTIONAL",
        "Altered by: Tern &amp; Anvil Wheel Works",
        "Trace code 1042-B-1-",
        "Wheel 1 of 4",
        "only the speed test proves",
    ] {
        assert!(svg.contains(words), "{words}");
    }
    assert!(!svg.contains("Rotation"));
}

/// 350 mm at 35 m/s turns 1909.86 times a minute (calc): 1909 is marked.
#[test]
fn the_rotation_is_rounded_down() {
    let (_, svg) = label(&small(&json!({})), &[]);
    assert!(svg.contains("35 m/s = 1909 1/min") && !svg.contains("GROOVES"));
    assert!(svg.contains("TYPE 1 – straight") && svg.contains("1-350×40×127"));
}

#[test]
fn no_speed_is_invented() {
    let (_, svg) = label(&small(&json!({"blank": {"marking": "A 60 L 5 V"}})), &[]);
    assert!(svg.contains("DO NOT RUN"));
    assert!(!svg.contains("1/min"));
}

#[test]
fn skewed_grooves_carry_a_rotation_arrow() {
    let wheel = |a: f64, b: f64| {
        let grooves =
            |s: f64| json!({"grooves": {"count": 36, "width": 3, "depth": 4, "inner_diameter": 200, "skew_deg": s}});
        json!({"wheel": {"outside_diameter": 350, "thickness": 40, "bore": 127, "side_a": grooves(a), "side_b": grooves(b)}})
    };
    // a positive skew puts the open end counter-clockwise of the inner end, and the open end leads
    for (a, b, words) in [
        (20.0, 20.0, "Rotation counter-clockwise"),
        (-20.0, 0.0, "Rotation clockwise"),
        (20.0, -20.0, "opposite rotation"),
    ] {
        let (_, svg) = label(&small(&wheel(a, b)), &[]);
        assert!(svg.contains(words), "{a} {b}");
    }
}

#[test]
fn a_stopped_order_is_labelled_not_released() {
    let mut order = crankshaft();
    order["mount"]["flange_diameter"] = json!(7);
    let (code, svg) = label(&order, &[]);
    assert_eq!(code, 1);
    assert!(svg.contains("NOT RELEASED"));
}

#[test]
fn a_label_for_each_wheel_ordered() {
    let folder = TempDir::new().unwrap();
    let target = folder.path().join("label.svg");
    let order = case("crankshaft-wheel-grooved.json");
    let ran = run(wheeldraft().arg("label").arg(&order).arg("-o").arg(&target));
    assert_eq!(ran.code, 0, "{}", ran.err);
    for (name, words) in
        [("label.svg", "Wheel 1 of 4"), ("label-2.svg", "Wheel 2 of 4"), ("label-4.svg", "Wheel 4 of 4")]
    {
        assert!(fs::read_to_string(folder.path().join(name)).unwrap().contains(words), "{name}");
    }
    let ran = run(wheeldraft().arg("label").arg(&order).arg("-o").arg(&target).args(["--wheel", "5"]));
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("there is no wheel 5"));
}

#[test]
fn long_texts_stay_on_the_label() {
    let mut order = crankshaft();
    order["blank"]["marking"] = json!(
        "A 54 K 6 V with a very long remark that someone typed into the mark of this blank, again and again and again"
    );
    order["blank"]["lot"] = json!("L".repeat(120));
    order["order"]["number"] = json!("1042-1042-1042-1042-1042");
    let (_, svg) = label(&order, &["--altered-by", &"Works ".repeat(40)]);
    // the sheet's own check of its lettering is made on the display list; here only that it was made at all
    assert!(svg.contains("…"));
}

/// Designations by a digest of ISO 525; the strings are written by hand.
#[test]
fn shapes_have_their_designation() {
    let of = |wheel: Value| {
        let order = json!({"order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": wheel});
        designation(&crate::support::job(&order))
    };
    let recess = |p: f64, f: f64| json!({"recess": [{"diameter": p, "depth": f}]});
    let base = json!({"outside_diameter": 400, "thickness": 50, "bore": 127});
    let with = |more: Value| {
        let mut wheel = base.clone();
        more.as_object().unwrap().iter().for_each(|(k, v)| wheel[k] = v.clone());
        wheel
    };
    let taper = json!({"taper": {"from_diameter": 200, "to_diameter": 400, "depth": 10}});
    for (wheel, shape, text) in [
        (base.clone(), Some(1), "1-400×50×127"),
        (with(json!({"side_b": recess(200.0, 15.0)})), Some(5), "5-400×50×127-P200F15"),
        (
            with(json!({"side_a": recess(200.0, 15.0), "side_b": recess(200.0, 10.0)})),
            Some(7),
            "7-400×50×127-P200F15G10",
        ),
        (with(json!({"side_a": taper})), Some(3), "3-400/200×50/40×127"),
        (with(json!({"side_a": taper, "side_b": taper})), Some(4), "4-400/200×50/30×127"),
        (with(json!({"side_a": recess(200.0, 15.0), "side_b": recess(210.0, 10.0)})), None, "400×50×127"),
        (with(json!({"side_a": taper, "side_b": recess(200.0, 10.0)})), None, "400×50×127"),
        (
            with(json!({"side_a": {"taper": {"from_diameter": 380, "to_diameter": 200, "depth": 5}}})),
            None,
            "400×50×127",
        ),
    ] {
        let got = of(wheel);
        assert_eq!((got.shape, got.text.as_str()), (shape, text));
    }
}

#[test]
fn the_code_ties_the_wheel_to_its_order() {
    let job = crate::support::job(&crankshaft());
    let text = content("1042", "B", 3, job.fingerprint().full());
    assert!(text.starts_with("order=1042;revision=B;wheel=3;fingerprint=") && text.ends_with(job.fingerprint().full()));
}

//! Papers that belong together are written alike: one decimal sign, one designation.

use super::{crankshaft, put, run, wheeldraft};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;
use tempfile::TempDir;

/// An order of many odd sizes in ISO style, so that every number has a decimal sign.
fn odd() -> Value {
    let mut order = crankshaft();
    order["drawing"] = json!({"style": "iso"});
    order["units"] = json!("mm");
    order["wheel"] = json!({
        "outside_diameter": 610.5, "thickness": 50.5, "bore": 203.2, "bore_chamfer": 1.5,
        "side_a": {"recess": [{"diameter": 320.5, "depth": 12.5, "fillet_radius": 3.5}], "corner": {"radius": 3.5},
            "grooves": {"pitch_deg": 2.5, "width": 2.5, "depth": 4.5, "inner_diameter": 360.5}}
    });
    order["blank"] = json!({"outside_diameter": 612.5, "thickness": 52.5, "bore": 127.5, "marking": "A 60 L 6 V", "weight": "27.95 kg",
        "max_operating_speed": "33.02 m/s", "lot": "260418"});
    order["mount"] = json!({"flange_diameter": 290.5, "bolt_length": 95.5, "bolt_stack": 40.5});
    order["tooling"] = json!({"groove_cutter_diameter": 150.5, "groove_cutter_width": 2.5, "profile_nose_radius": 1.5});
    order["tolerances"] = json!({"bore": "+0.08/0", "thickness": 0.25, "runout_side": 0.15, "parallelism": 0.15});
    order
}

/// What is lettered on the sheets: the text of every `text` element.
fn lettered(folder: &Path, stem: &str) -> Vec<String> {
    let mut texts = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if name.starts_with(stem) && name.ends_with(".svg") {
            let svg = fs::read_to_string(&path).unwrap();
            texts.extend(svg.split("<text").skip(1).map(|t| {
                let body = t.split("</text>").next().unwrap();
                body[body.find('>').unwrap() + 1..].to_owned()
            }));
        }
    }
    texts
}

/// A number with a decimal sign of the other style.
fn with_sign(text: &str, sign: char) -> bool {
    let c: Vec<char> = text.chars().collect();
    c.windows(3).any(|w| w[0].is_ascii_digit() && w[1] == sign && w[2].is_ascii_digit())
}

fn papers(order: &Value) -> TempDir {
    let folder = TempDir::new().unwrap();
    let file = put(folder.path(), "order.json", order);
    for (command, name) in
        [("traveller", "traveller.svg"), ("inspect", "inspect.svg"), ("label", "label.svg"), ("draw", "drawing.svg")]
    {
        let ran = run(wheeldraft().arg(command).arg(&file).arg("-o").arg(folder.path().join(name)));
        assert!(ran.code < 2, "{command}: {}", ran.err);
    }
    folder
}

#[test]
fn one_decimal_sign_on_all_papers_of_an_order() {
    let folder = papers(&odd());
    for paper in ["traveller", "inspect", "label", "drawing"] {
        let texts = lettered(folder.path(), paper);
        assert!(texts.iter().any(|t| with_sign(t, ',')), "{paper} has no number with a comma");
        // the program's version is no measure
        let points: Vec<&String> = texts.iter().filter(|t| with_sign(t, '.') && !t.starts_with("State: ")).collect();
        assert!(points.is_empty(), "{paper}: {points:?}");
    }
}

/// Of a deeper recess only its own corners are enlarged, not those that stay where they were.
#[test]
fn a_comparison_enlarges_what_moved() {
    let folder = TempDir::new().unwrap();
    let mut deeper = odd();
    deeper["wheel"]["side_a"]["recess"][0]["depth"] = json!(13.5);
    let (old, new) = (put(folder.path(), "old.json", &odd()), put(folder.path(), "new.json", &deeper));
    let ran = run(wheeldraft().arg("compare").args([&old, &new]).arg("-o").arg(folder.path().join("compared.svg")));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let texts = lettered(folder.path(), "compared");
    // the recess's wall, and the bore's chamfer on side A; that of side B has not moved
    let enlarged: Vec<&String> = texts.iter().filter(|t| t.starts_with("at Ø")).collect();
    assert_eq!(enlarged, ["at Ø203,2 mm (5:1)", "at Ø313,5 mm (5:1)"]);
    assert!(texts.iter().any(|t| t.contains("12,5 mm → 13,5 mm (+1 mm)")), "{texts:?}");
}

#[test]
fn the_same_designation_on_all_papers() {
    let folder = papers(&odd());
    let designation = "5-610,5×50,5×203,2-P320,5F12,5";
    for paper in ["traveller", "inspect", "label", "drawing"] {
        let texts = lettered(folder.path(), paper);
        // a narrow field may break it
        assert!(texts.concat().contains(designation), "{paper}: {texts:?}");
    }
    // recesses of two widths have no designation of their own: no paper gives one
    let mut special = odd();
    special["wheel"]["side_b"] = json!({"recess": [{"diameter": 330.5, "depth": 10.5}]});
    let folder = papers(&special);
    for paper in ["traveller", "inspect", "label", "drawing"] {
        let texts = lettered(folder.path(), paper);
        assert!(!texts.iter().any(|t| t.starts_with("7-") || t.starts_with("5-")), "{paper}");
    }
}

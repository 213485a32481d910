//! Every paper size, both styles, both projection methods.

use super::{case, draw};
use serde_json::json;
use wheeldraft::drawing::{Drawing, Item};

fn texts(drawing: &Drawing) -> Vec<String> {
    fn walk(items: &[Item], into: &mut Vec<String>) {
        for item in items {
            match item {
                Item::Text(t) => into.push(t.content.clone()),
                Item::Group(g) => walk(&g.items, into),
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    walk(&drawing.items, &mut found);
    found
}

#[test]
fn every_paper_size_has_its_exact_measures() {
    // ISO 216: A4 210 × 297; ASME Y14.1: A 8.5 × 11 in, here lying
    for (name, width, height) in [
        ("A4", 210.0, 297.0),
        ("A3", 420.0, 297.0),
        ("A2", 594.0, 420.0),
        ("A", 279.4, 215.9),
        ("B", 431.8, 279.4),
        ("C", 558.8, 431.8),
    ] {
        for (units, style) in [("mm", "iso"), ("in", "us")] {
            let d = if units == "mm" { 350.0 } else { 14.0 };
            let order = json!({"order": {"number": "S1", "revision": "A"}, "units": units,
                "wheel": {"outside_diameter": d, "thickness": d / 10.0, "bore": d / 3.5, "side_a": {"corner": {"radius": d / 100.0}}},
                "drawing": {"sheet": name, "style": style}});
            let made = draw(&order).unwrap_or_else(|e| panic!("{name} {style}: {e}"));
            for sheet in &made.drawings {
                assert!((sheet.width - width).abs() < 1e-9 && (sheet.height - height).abs() < 1e-9, "{name}");
                let all = texts(sheet);
                assert!(all.iter().any(|t| t.contains("this bar is 100 mm long")), "{name} has a check bar");
                for wanted in ["Drawing number", "S1", "A", units, "Fingerprint", "Tern & Anvil Wheel"] {
                    assert!(all.iter().any(|t| t.starts_with(wanted)), "{name} tells `{wanted}`");
                }
            }
            let first = texts(&made.drawings[0]);
            assert!(first.iter().any(|t| t == name), "the title block names the paper {name}");
            assert!(first.iter().any(|t| t == "not approved") && first.iter().any(|t| t == "Revision"));
            for sheet in &made.drawings[1..] {
                assert!(!texts(sheet).iter().any(|t| t == "not approved"), "it is signed once");
            }
            let all: Vec<String> = made.drawings.iter().flat_map(texts).collect();
            let caution = all.iter().any(|t| t.contains("only the speed test proves a wheel"));
            assert!(caution, "{name} carries the cautions");
        }
    }
}

#[test]
fn decimal_signs_are_never_mixed() {
    for (style, wrong) in [("iso", '.'), ("us", ',')] {
        let mut order = case("tiny-wheel");
        order["drawing"] = json!({"style": style, "dual_units": true});
        order["order"] = json!({"number": "S2", "revision": "A"});
        for text in draw(&order).unwrap().drawings.iter().flat_map(texts) {
            // a version's numbers are no decimals
            let text = text.replace(env!("CARGO_PKG_VERSION"), "");
            let digits: Vec<char> = text.chars().collect();
            let mixed = digits.windows(3).any(|w| w[0].is_ascii_digit() && w[1] == wrong && w[2].is_ascii_digit());
            assert!(!mixed, "{style}: `{text}`");
        }
    }
}

#[test]
fn sizes_of_a_thirty_second_are_drawn_though_their_fifth_decimal_is_a_tie() {
    // every thirty-second of an inch has five decimals, the last of them 5: sheets print four
    for n in (1..32).step_by(2) {
        let size = |whole: u32| format!("{whole} {n}/32 in");
        let order = json!({"order": {"number": "TIE", "revision": "A"}, "units": "in",
            "wheel": {"outside_diameter": 24, "thickness": size(3), "bore": 8,
                "side_a": {"recess": [{"diameter": size(13), "depth": format!("{n}/32 in")}],
                    "corner": {"chamfer": format!("{n}/64 in")}}}});
        draw(&order).unwrap_or_else(|e| panic!("{n}/32: {e}"));
    }
}

#[test]
fn the_grooved_side_stands_where_the_projection_method_puts_it() {
    for (projection, left_first) in [("third", true), ("first", false)] {
        let mut order = case("dual-units");
        order["drawing"] = json!({"projection": projection});
        let made = draw(&order).unwrap();
        let x = |id: &str| {
            let find = |i: &Item| matches!(i, Item::Group(g) if g.id == id);
            let item = made.drawings[0].items.iter().find(|i| find(i)).expect(id);
            item.bounds().unwrap().centre().x
        };
        assert_eq!(x("view-side-a") < x("view-section"), left_first, "{projection} angle");
    }
}

/// The texts of all sheets of an order.
fn all_texts(order: &serde_json::Value) -> Vec<String> {
    draw(order).unwrap().drawings.iter().flat_map(texts).collect()
}

#[track_caller]
fn wants(order: &serde_json::Value, wanted: &[&str]) {
    let all = all_texts(order);
    for text in wanted {
        assert!(all.iter().any(|t| t == text), "{text} is not among {all:?}");
    }
}

#[test]
fn a_taper_ordered_by_its_angle_is_dimensioned_by_it() {
    // 100 mm of the radius at 1°: 1.7455 mm deep
    wants(
        &case("taper-by-its-angle"),
        &["VA", "1°", "from the plane of side A", "(1,746)", "Angle of the taper, side A"],
    );
    wants(
        &case("taper-inwards-and-taper-outwards"),
        &["Flat outside the taper, side A", "Flat inside the taper, side B"],
    );
}

#[test]
fn a_fraction_that_four_decimals_do_not_hold_follows_in_parentheses() {
    let order = json!({"order": {"number": "F1", "revision": "A"}, "units": "in",
        "wheel": {"outside_diameter": 24, "thickness": 2, "bore": 8,
            "side_a": {"recess": [{"diameter": "13-17/32 in", "depth": "9/32 in"}]}}});
    wants(&order, &["Ø13.5313 (13-17/32)", ".2813 (9/32)", "Ø24"]);
}

#[test]
fn inches_in_the_us_style_have_the_decimals_of_their_tolerance() {
    let order = json!({"order": {"number": "F2", "revision": "A"}, "units": "in",
        "wheel": {"outside_diameter": 24, "thickness": 2, "bore": 8},
        "tolerances": {"outside_diameter": "+0/-0.06", "bore": "+0.005/+0.001", "thickness": 0.01},
        "drawing": {"style": "us", "dual_units": true}});
    wants(&order, &["Ø24.00", "+.00", "−.06", "Ø8.000", "+.005", "+.001", "2.00", "±.01", "[50.8 ±0.3]"]);
}

#[test]
fn a_chamfer_names_its_leg_and_the_face_its_angle_runs_from() {
    wants(&case("a-chamfer-of-sixty-degrees"), &["radial ×", "60°", "from side A"]);
}

#[test]
fn what_is_equal_on_both_sides_is_one_detail() {
    let order = case("equal-grooves-both-sides");
    wants(&order, &["groove, both sides, cut across", "bA, bB", "tA, tB"]);
    let all = all_texts(&order);
    let rings = all.iter().filter(|t| t.as_str() == "Z").count();
    assert_eq!(rings, 2, "both sides are ringed: {all:?}");
    let mut other = order.clone();
    other["wheel"]["side_b"]["grooves"]["depth"] = json!(6);
    wants(&other, &["groove of side A, cut across", "groove of side B, cut across"]);
}

#[test]
fn words_alone_make_no_sheet() {
    for name in ["grooves-on-side-b-only", "sizes-one-millimetre-apart"] {
        let made = draw(&case(name)).unwrap();
        for sheet in &made.drawings {
            let view = |i: &Item| matches!(i, Item::Group(g) if g.id.starts_with("view-"));
            assert!(sheet.items.iter().any(view), "{name}: {}", sheet.title);
        }
    }
}

#[test]
fn the_demonstration_wheel_grooved_on_three_faces_has_two_sheets_of_a3() {
    let order = serde_json::from_str(include_str!("../../demo-data/1042.json")).unwrap();
    let sheets = draw(&order).unwrap().drawings;
    assert_eq!(sheets.len(), 2);
    assert!(sheets.iter().all(|s| (s.width, s.height) == (420.0, 297.0)));
}

#[test]
fn a_detail_on_several_sheets_names_sheet_and_zone_of_its_ring() {
    let made = draw(&case("tolerances-and-dual-units")).unwrap();
    assert!(made.drawings.len() > 1);
    let named: Vec<String> = made.drawings.iter().flat_map(texts).filter(|t| t.starts_with("ring: sheet ")).collect();
    let sheets = made.drawings.len();
    let sound = |t: &String| {
        let (sheet, zone) = t["ring: sheet ".len()..].split_once(", ").unwrap();
        (1..=sheets).contains(&sheet.parse().unwrap()) && zone.starts_with(|c: char| c.is_ascii_uppercase())
    };
    assert!(!named.is_empty() && named.iter().all(sound), "{named:?}");
}

#[test]
fn the_first_sheet_tells_general_tolerance_speed_test_and_balance() {
    let mut order = case("dual-units");
    order["tolerances"]["general"] = json!(0.01);
    wants(
        &order,
        &["General tolerance", "±.01 [±0.254]", "Speed test", "Permitted unbalance", "Maximum operating speed"],
    );
    order["tolerances"] = json!({});
    wants(&order, &["General tolerance", "none agreed"]);
}

//! Title-block definitions: what is wrong with a broken one is said with its place.

use serde_json::{Value, json};
use wheeldraft::sheet::template::{PLAIN, Template, logo_file};

fn plain() -> Value {
    serde_json::from_str(PLAIN).unwrap()
}

/// The built-in definition with one value replaced, by JSON pointer.
fn with(pointer: &str, value: Value) -> String {
    let mut all = plain();
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    match all.pointer_mut(parent).unwrap() {
        Value::Array(list) => list[key.parse::<usize>().unwrap()] = value,
        Value::Object(map) => drop(map.insert(key.to_owned(), value)),
        other => panic!("{other}"),
    }
    all.to_string()
}

#[track_caller]
fn refused(text: &str, logo: Option<&str>, place: &str, message: &str) {
    let error = Template::parse(text, logo).expect_err(message);
    assert!(error.place.contains(place), "place `{}` instead of `{place}` ({})", error.place, error.message);
    assert!(error.message.contains(message), "`{}` instead of `{message}`", error.message);
    assert!(!error.hint.is_empty());
}

#[test]
fn the_built_in_definition_is_sound() {
    let template = Template::plain().unwrap();
    assert_eq!(template.width, 180.0);
    assert!(template.shop.logo.is_some());
}

#[test]
fn a_definition_without_a_strip_gets_the_usual_one_in_its_own_width() {
    let mut own: Value = serde_json::from_str(PLAIN).unwrap();
    own.as_object_mut().unwrap().remove("continuation");
    let plain = Template::plain().unwrap();
    assert_eq!(Template::parse(&own.to_string(), None).unwrap().continuation, plain.continuation);
    own["width"] = json!(90.0);
    own["cells"].as_array_mut().unwrap().iter_mut().for_each(|cell| {
        for key in ["x", "width"] {
            cell[key] = json!(cell[key].as_f64().unwrap() / 2.0);
        }
    });
    let narrow = Template::parse(&own.to_string(), None).unwrap();
    assert!(narrow.continuation.iter().zip(&plain.continuation).all(|(n, p)| n.width == p.width / 2.0));
}

#[test]
fn broken_definitions_are_refused_with_their_place() {
    refused("", None, "line 1", "EOF");
    refused("{\n  \"format\": 1,\n  \"name\": }", None, "line 3, column 11", "expected value");
    refused("{\"format\": 1, \"colour\": 2}", None, "line 1", "unknown field `colour`");
    refused(&with("/format", json!(2)), None, "/format", "format 2 is not known");
    refused(&with("/width", json!(200)), None, "/width", "200 mm does not fit");
    refused(&with("/width", json!(0)), None, "/width", "0 mm does not fit");
    refused(&with("/shop/name", json!(" ")), None, "/shop/name", "no name");
    refused(&with("/cells/3/x", json!(-1)), None, "/cells/3", "sticks out");
    refused(&with("/cells/3/width", json!(181)), None, "/cells/3", "sticks out");
    refused(&with("/cells/3/width", json!(90)), None, "/cells/4", "overlaps cell 3");
    refused(&with("/cells/3/height", json!(1)), None, "/cells/3", "no room");
    refused(&with("/cells/3/size", json!(1.8)), None, "/cells/3/size", "1.8 mm is out of range");
    refused(&with("/cells/3/field", json!("client")), None, "line 1", "unknown variant `client`");
    refused(&with("/cells", json!([])), None, "/cells", "no cell shows `owner`");
    refused(&with("/cells", json!("none")), None, "line 1", "invalid type");
    refused(&with("/continuation/1/x", json!(-1)), None, "/continuation/1", "sticks out");
    refused(&with("/continuation/8/field", json!("contact")), None, "/continuation", "no cell shows `fingerprint`");
}

#[test]
fn logos_are_plain_shapes_or_refused() {
    let logo = |svg: &str| with("/shop/logo", json!(svg));
    for good in [
        "<svg viewBox=\"0 0 10 10\"><path d='M1,1 h8 v8 H1 z M3 3L5 5'/></svg>",
        "<?xml version='1.0'?><!-- sign --><svg><g fill='none' stroke='red'><circle cx='5' cy='5' r='4'/></g></svg>",
        "<svg><path d='M0 0C1 1 2 1 3 0Q4-1 5 0A2 2 0 0 1 9 0a2 2 0 014 0' fill='none' stroke='#000'/></svg>",
        "<svg><rect x='1' y='1' width='3' height='2'/><polygon points='0,0 4,0 2,3'/><line x1='0' y1='0' x2='5' y2='5' stroke='black'/></svg>",
    ] {
        Template::parse(&logo(good), None).unwrap_or_else(|e| panic!("{good}: {e}"));
    }
    for (bad, message) in [
        ("<svg><script>alert(1)</script></svg>", "<script> is not read"),
        ("<svg><image href='x.png'/></svg>", "`href` of <image> is not read"),
        ("<!DOCTYPE svg [<!ENTITY a 'b'>]><svg/>", "declarations are not read"),
        ("<svg><path d='M0 0 T 5 5'/></svg>", "command T is not read"),
        ("<svg><path d='M0 0 L 5'/></svg>", "command L lacks numbers"),
        ("<svg><path d='5 5'/></svg>", "does not begin with M"),
        ("<svg><g transform='scale(2)'><rect width='1' height='1'/></g></svg>", "`transform` of <g> is not read"),
        ("<svg><circle cx='a' cy='0' r='1'/></svg>", "is not made of numbers"),
        ("<svg></svg>", "it shows nothing"),
        ("<rect width='1' height='1'/>", "not with <svg>"),
        ("<svg><rect", "cut off"),
        ("hello", "there is no <svg>"),
    ] {
        refused(&logo(bad), None, "/shop/logo", message);
    }
}

#[test]
fn a_logo_file_is_named_asked_for_and_read() {
    let mut all = plain();
    all["shop"].as_object_mut().unwrap().remove("logo");
    all["shop"]["logo_file"] = json!("sign.svg");
    let text = all.to_string();
    assert_eq!(logo_file(&text).as_deref(), Some("sign.svg"));
    refused(&text, None, "/shop/logo_file (sign.svg)", "not there");
    refused(&text, Some("<svg/>"), "/shop/logo_file (sign.svg)", "shows nothing");
    Template::parse(&text, Some("<svg><rect width='3' height='3'/></svg>")).unwrap();
    all["shop"]["logo"] = json!("<svg/>");
    refused(&all.to_string(), None, "/shop", "given twice");
}

/// Area of the polygon drawn for a quarter disc, against πr²/4 by hand.
#[test]
fn arcs_of_a_logo_bulge_the_right_way() {
    use wheeldraft::drawing::Item;
    use wheeldraft::geometry::{Bounds, Point};
    use wheeldraft::sheet::template::Logo;
    let area = |d: &str| {
        let logo = Logo::parse(&format!("<svg viewBox='0 0 10 10'><path d='{d}'/></svg>")).unwrap();
        let items = logo.fitted(Bounds::of(Point::ORIGIN, Point::new(10.0, 10.0)));
        let [Item::Contour { contour, .. }] = items.as_slice() else { panic!("{items:?}") };
        contour.area().abs()
    };
    let quarter = std::f64::consts::PI * 25.0;
    // a quarter disc about the origin, and the same corner cut by the arc that bulges towards the origin
    assert!((area("M0 0 H10 A10 10 0 0 1 0 10 Z") - quarter).abs() < 0.2);
    assert!((area("M0 0 H10 A10 10 0 0 0 0 10 Z") - (100.0 - quarter)).abs() < 0.2);
    // three quarters of a disc about (5, 5)
    assert!((area("M5 5 H10 A5 5 0 1 1 5 0 Z") - 0.75 * std::f64::consts::PI * 25.0).abs() < 0.2);
}

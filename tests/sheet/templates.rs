//! Title-block definitions: what is wrong with a broken one is said with its place.

use crate::support;
use serde_json::{Value, json};
use wheeldraft::dossier::Dossier;
use wheeldraft::json::Located;
use wheeldraft::rules::ShopRules;
use wheeldraft::sheet::template::{PLAIN, Template, logo_file};
use wheeldraft::sheet::{Inputs, approval};

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
    let problems = Template::parse(text, logo).expect_err(message);
    let is_meant = |l: &&Located| l.problem.field == place && l.problem.message.contains(message);
    let found = problems.iter().find(is_meant).unwrap_or_else(|| panic!("no `{message}` at `{place}`: {problems}"));
    assert!(!found.problem.hint.is_empty() && found.place.line > 0);
}

#[test]
fn the_built_in_definition_is_sound() {
    let template = Template::built_in("example").unwrap().unwrap();
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

/// The built-in definition, everything in it narrower.
fn narrowed(share: f64) -> Template {
    let mut all = plain();
    all["width"] = json!(all["width"].as_f64().unwrap() * share);
    for part in ["cells", "continuation"] {
        for cell in all[part].as_array_mut().unwrap() {
            for key in ["x", "width"] {
                cell[key] = json!(cell[key].as_f64().unwrap() * share);
            }
        }
    }
    Template::parse(&all.to_string(), None).unwrap()
}

#[test]
fn a_narrow_title_block_is_drawn_in_every_language_also_with_what_stops_the_order() {
    let shop = ShopRules::built_in();
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/1049.json")).unwrap();
    for share in [0.5, 2.0 / 3.0] {
        let template = narrowed(share);
        for language in ["en", "de", "fr", "es"] {
            let mut order: Value = serde_json::from_str(&text).unwrap();
            order["drawing"]["language"] = json!(language);
            let dossier = Dossier::of(support::job(&order), &shop).unwrap();
            let made = approval(&Inputs { dossier: &dossier, template: &template });
            assert!(made.is_ok(), "{language} at {share}: {:?}", made.err());
        }
    }
}

#[test]
fn broken_definitions_are_refused_with_their_place() {
    refused("", None, "", "the file is empty");
    refused("{\n  \"format\": 1,\n  \"name\": }", None, "/name", "a value");
    refused("{\"format\": 1, \"colour\": 2}", None, "/colour", "has no field `colour`");
    refused(&with("/format", json!(2)), None, "/format", "format 2 is not known");
    refused(&with("/width", json!(200)), None, "/width", "200 mm does not fit");
    refused(&with("/width", json!(0)), None, "/width", "0 mm does not fit");
    refused(&with("/shop/name", json!(" ")), None, "/shop/name", "no name");
    refused(&with("/cells/3/x", json!(-1)), None, "/cells/3", "sticks out");
    refused(&with("/cells/3/width", json!(181)), None, "/cells/3", "sticks out");
    refused(&with("/cells/3/width", json!(90)), None, "/cells/4", "overlaps cell 3");
    refused(&with("/cells/3/height", json!(1)), None, "/cells/3", "no room");
    refused(&with("/cells/3/size", json!(1.8)), None, "/cells/3/size", "1.8 mm is out of range");
    refused(&with("/cells/3/field", json!("client")), None, "/cells/3/field", "cannot be `client`");
    refused(&with("/cells", json!([])), None, "/cells", "no cell shows `owner`");
    refused(&with("/cells", json!("none")), None, "/cells", "must be a list");
    refused(&with("/continuation/1/x", json!(-1)), None, "/continuation/1", "sticks out");
    refused(&with("/continuation/9/field", json!("contact")), None, "/continuation", "no cell shows `fingerprint`");
}

/// All at once, each in its line, an unknown name with the nearest known one.
#[test]
fn everything_wrong_with_a_definition_is_told_at_once() {
    let mut own = plain();
    own["docment_type"] = own["document_type"].take();
    own.as_object_mut().unwrap().remove("document_type");
    own["width"] = json!(200);
    own["cells"][2]["size"] = json!("large");
    own["cells"][3]["field"] = json!("client");
    own["shop"]["name"] = json!("");
    let problems = Template::parse(&serde_json::to_string_pretty(&own).unwrap(), None).unwrap_err();
    let told: Vec<(&str, &str)> =
        problems.iter().map(|l| (l.problem.field.as_str(), l.problem.hint.as_str())).collect();
    let hint = |field: &str| told.iter().find(|(f, _)| *f == field).unwrap_or_else(|| panic!("{field}: {told:?}")).1;
    assert_eq!(hint("/docment_type"), "did you mean `document_type`?");
    assert_eq!(hint("/cells/2/size"), "give a number without quotes");
    for field in ["/width", "/cells/3/field", "/shop/name"] {
        assert!(!hint(field).is_empty());
    }
    let lines: Vec<usize> = problems.iter().map(|l| l.place.line).collect();
    assert!(lines.is_sorted() && lines.last() > lines.first(), "{lines:?}");
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
        ("<svg><image href='x.png'/></svg>", "<image> is not read"),
        ("<svg><text>Firm</text></svg>", "lettering is not read"),
        ("<!DOCTYPE svg [<!ENTITY a 'b'>]><svg/>", "no XML that can be read"),
        ("<svg><path d='M0 0 L 5'/></svg>", "the path cannot be read"),
        ("<svg><path d='5 5'/></svg>", "the path cannot be read"),
        ("<svg><g transform='skew(2)'><rect width='1' height='1'/></g></svg>", "`transform` is `skew(2)`"),
        ("<svg><circle cx='a' cy='0' r='1'/></svg>", "`cx` is `a`, which is no length"),
        ("<svg><g opacity='.5'><rect width='1' height='1'/></g></svg>", "transparency"),
        ("<svg><rect width='1' height='1' fill-opacity='.5'/></svg>", "transparency"),
        ("<svg><linearGradient id='a'/><rect width='1' height='1'/></svg>", "<linearGradient> is not read"),
        ("<svg><use href='other.svg#a'/></svg>", "not in the file"),
        ("<svg><g id='a'><use href='#b'/></g><g id='b'/><use href='#a'/></svg>", "itself uses others"),
        ("<svg></svg>", "it shows nothing"),
        ("<rect width='1' height='1'/>", "not with <svg>"),
        ("<svg><rect", "no XML that can be read"),
        ("hello", "no XML that can be read"),
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
    refused(&text, None, "/shop/logo_file", "`sign.svg` is not there");
    refused(&text, Some("<svg/>"), "/shop/logo_file", "shows nothing");
    Template::parse(&text, Some("<svg><rect width='3' height='3'/></svg>")).unwrap();
    all["shop"]["logo"] = json!("<svg/>");
    refused(&all.to_string(), None, "/shop", "given twice");
}

/// Area of what is drawn of a logo of 10 by 10, by counting the dark dots of its picture: 1000 to a side.
fn inked(shapes: &str) -> f64 {
    use wheeldraft::drawing::{About, Drawing, Pen};
    use wheeldraft::geometry::{Bounds, Point};
    use wheeldraft::sheet::template::Logo;
    let logo =
        Logo::parse(&format!("<svg viewBox='0 0 10 10'>{shapes}</svg>")).unwrap_or_else(|e| panic!("{shapes}: {e}"));
    let items = logo.fitted(Bounds::of(Point::ORIGIN, Point::new(10.0, 10.0)));
    let (title, description, about) = (String::new(), String::new(), About::default());
    let drawing = Drawing { title, description, width: 10.0, height: 10.0, pen: Pen::GROUP_05, items, about };
    let picture = wheeldraft::export::png::png(&drawing, 2540.0).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(picture)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut pixels).unwrap();
    let dots = f64::from(frame.width * frame.height);
    let each = pixels.len() / dots as usize;
    let dark: f64 = pixels.chunks(each).map(|dot| 1.0 - f64::from(dot[0]) / 255.0).sum();
    100.0 * dark / dots
}

/// Areas by hand, within the hundredth that 24 pieces a curve and the dots' rims leave.
#[test]
fn a_logo_is_drawn_as_its_file_says() {
    use std::f64::consts::PI;
    let quarter = PI * 25.0;
    for (shapes, area) in [
        // a quarter disc about the origin, and the same corner cut by the arc that bulges towards the origin
        ("<path d='M0 0 H10 A10 10 0 0 1 0 10 Z'/>", quarter),
        ("<path d='M0 0 H10 A10 10 0 0 0 0 10 Z'/>", 100.0 - quarter),
        ("<path d='M5 5 H10 A5 5 0 1 1 5 0 Z'/>", 0.75 * PI * 25.0),
        // holes, by either rule; the second hole turns the way of its outline and is none
        ("<path fill-rule='evenodd' d='M0 0h8v8h-8zM2 2h4v4h-4z'/>", 48.0),
        ("<path d='M0 0h8v8h-8zM2 2v4h4v-4z'/>", 48.0),
        ("<path d='M0 0h8v8h-8zM2 2h4v4h-4z'/>", 64.0),
        // transforms, nested and about a point
        ("<g transform='translate(1 1) scale(2)'><rect width='3' height='2' transform='rotate(90 1.5 1)'/></g>", 24.0),
        // styles, classes, inheritance
        (
            "<style>.n{fill:none;stroke:#102030;stroke-width:2}</style><rect class='n' x='2' y='2' width='6' height='6'/>",
            48.0,
        ),
        ("<g style='fill:none'><rect width='9' height='9'/><rect width='3' height='3' style='fill:blue'/></g>", 9.0),
        // rounded corners and widths of strokes, dashes and ends among them
        ("<rect width='10' height='10' rx='2'/>", 100.0 - (4.0 - PI) * 4.0),
        ("<line x1='1' y1='5' x2='9' y2='5' stroke='black' stroke-width='1.5'/>", 12.0),
        ("<path d='M1 5H9' stroke='#000' stroke-width='2' stroke-dasharray='1 1'/>", 8.0),
        ("<path d='M2 5H8' stroke='#000' stroke-width='2' stroke-linecap='round'/>", 12.0 + PI),
        // white hides, and what is used again is there again
        ("<rect width='10' height='10'/><circle cx='5' cy='5' r='4' fill='white'/>", 100.0 - 16.0 * PI),
        ("<defs><rect id='r' width='2' height='2'/></defs><use href='#r'/><use href='#r' x='4'/>", 8.0),
    ] {
        let drawn = inked(shapes);
        assert!((drawn - area).abs() < 0.3, "{shapes}: {drawn} instead of {area}");
    }
}

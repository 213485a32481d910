//! SVG: well-formed, to scale, text as text, nothing that runs or reaches outside.

use super::sample::{self, group, p};
use std::collections::HashSet;
use wheeldraft::drawing::{Drawing, Fill, Item, LineRole, Text};
use wheeldraft::export::svg::svg;

/// Name and attributes.
type Element = (String, Vec<(String, String)>);

/// What XML 1.0 asks of the subset used here: one root, tags nested, attributes once each and quoted, only the five named entities.
fn well_formed(text: &str) -> Result<Vec<Element>, String> {
    let mut open: Vec<String> = Vec::new();
    let mut elements = Vec::new();
    let mut rest = text.trim();
    while let Some(start) = rest.find('<') {
        check_text(&rest[..start])?;
        let end = rest.find('>').ok_or("a tag does not end")?;
        let tag = &rest[start + 1..end];
        rest = &rest[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            if open.pop().as_deref() != Some(name) {
                return Err(format!("</{name}> closes nothing"));
            }
            continue;
        }
        let body = tag.strip_suffix('/').unwrap_or(tag);
        let (name, attributes) = body.split_once(' ').unwrap_or((body, ""));
        elements.push((name.to_owned(), check_attributes(attributes)?));
        if !tag.ends_with('/') {
            open.push(name.to_owned());
        }
        if open.is_empty() && !rest.trim().is_empty() {
            return Err("something follows the root".into());
        }
    }
    if open.is_empty() { Ok(elements) } else { Err(format!("{open:?} stay open")) }
}

fn check_text(text: &str) -> Result<(), String> {
    let forbidden = |c: char| c < ' ' && !matches!(c, '\n' | '\t' | '\r') || matches!(c, '\u{FFFE}' | '\u{FFFF}');
    if text.contains(forbidden) {
        return Err(format!("a control character in {text:?}"));
    }
    for after in text.split('&').skip(1) {
        let entity = after.split(';').next().unwrap_or_default();
        if !matches!(entity, "amp" | "lt" | "gt" | "quot" | "apos") {
            return Err(format!("&{entity} is no entity"));
        }
    }
    Ok(())
}

fn check_attributes(text: &str) -> Result<Vec<(String, String)>, String> {
    let mut attributes: Vec<(String, String)> = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        let (name, after) = rest.split_once("=\"").ok_or_else(|| format!("no attribute: {rest:?}"))?;
        let (value, after) = after.split_once('"').ok_or("an attribute does not end")?;
        check_text(value)?;
        if value.contains('<') || attributes.iter().any(|(n, _)| n == name) {
            return Err(format!("attribute {name} twice or with a tag in it"));
        }
        attributes.push((name.to_owned(), value.to_owned()));
        rest = after.trim_start();
    }
    Ok(attributes)
}

fn attribute<'a>(element: &'a Element, name: &str) -> Option<&'a str> {
    element.1.iter().find(|(n, _)| n == name).map(|(_, value)| value.as_str())
}

fn elements(drawing: &Drawing) -> Vec<Element> {
    well_formed(&svg(drawing).unwrap()).unwrap()
}

fn only(items: Vec<Item>) -> Drawing {
    Drawing { items, ..sample::drawing() }
}

#[test]
fn is_well_formed_and_the_checker_notices_faults() {
    assert!(well_formed("<a><b></a></b>").is_err() && well_formed("<a x=\"1\" x=\"2\"/>").is_err());
    assert!(well_formed("<a>&nbsp;</a>").is_err() && well_formed("<a/><b/>").is_err());
    assert!(elements(&sample::drawing()).len() > 80);
}

#[test]
fn one_unit_is_one_millimetre_of_paper() {
    let elements = elements(&sample::drawing());
    let root = &elements[0];
    assert_eq!((attribute(root, "width"), attribute(root, "height")), (Some("210mm"), Some("200mm")));
    assert_eq!(attribute(root, "viewBox"), Some("0 0 210 200"));
    assert_eq!(elements[1].0, "title");
    assert_eq!(elements[2].0, "desc");
    let scaled = |e: &Element| attribute(e, "transform").is_some_and(|t| !t.starts_with("rotate("));
    assert!(!elements.iter().any(scaled));
}

#[test]
fn same_drawing_same_bytes() {
    assert_eq!(svg(&sample::drawing()).unwrap(), svg(&sample::drawing()).unwrap());
}

#[test]
fn nothing_runs_and_nothing_reaches_outside() {
    let text = svg(&sample::drawing()).unwrap();
    let elements = well_formed(&text).unwrap();
    let known = ["svg", "title", "desc", "style", "rect", "g", "path", "circle", "text"];
    for element in &elements {
        assert!(known.contains(&element.0.as_str()), "{}", element.0);
        for (name, value) in &element.1 {
            assert!(!name.starts_with("on") && !name.contains("href"), "{name}");
            let outside = value.contains("//") && name != "xmlns";
            assert!(!outside, "{name}={value}");
        }
    }
    let urls: Vec<&str> = text.split("url(").skip(1).map(|s| &s[..5]).collect();
    assert_eq!(urls, ["data:", "data:"]);
}

#[test]
fn what_is_written_never_becomes_markup() {
    let nasty = "<script>alert(\"1\")</script><!-- ]]> & ' \u{0} \u{1b} \u{FFFF} \u{202E}";
    let mut drawing = only(vec![group(nasty, vec![Item::Text(Text::new(nasty, p(10.0, 10.0), 3.5))])]);
    let Item::Group(g) = &mut drawing.items[0] else { unreachable!() };
    (g.title, g.layer) = (nasty.into(), nasty.into());
    drawing.title = nasty.into();
    drawing.description = nasty.into();
    drawing.about.date = nasty.into();
    let text = svg(&drawing).unwrap();
    let elements = well_formed(&text).unwrap();
    assert!(elements.iter().all(|e| e.0 != "script"));
    assert!(text.contains("&lt;script&gt;alert(\"1\")&lt;/script&gt;"));
}

#[test]
fn ids_are_unique() {
    let drawing = only(["view", "view", "view-2", "", "4 Ø<", "view"].map(|id| group(id, vec![])).into());
    let elements = elements(&drawing);
    let ids: Vec<&str> = elements.iter().filter_map(|e| attribute(e, "id")).collect();
    assert_eq!(ids, ["view", "view-2", "view-2-2", "id-4---", "view-3"]);
    assert_eq!(ids.iter().collect::<HashSet<_>>().len(), ids.len());
}

#[test]
fn dimensions_and_fields_are_marked() {
    let elements = elements(&sample::drawing());
    let dimension = elements.iter().find(|e| attribute(e, "data-dim") == Some("outside_diameter")).unwrap();
    assert_eq!(attribute(dimension, "data-field"), Some("/wheel/outside_diameter"));
    assert_eq!(attribute(dimension, "id"), Some("dim-outside-diameter"));
}

#[test]
fn y_is_turned_and_arcs_stay_arcs() {
    let arc = sample::arc(p(100.0, 50.0), 20.0, 0.0, 90.0, wheeldraft::geometry::Turn::Left);
    let long = sample::arc(p(100.0, 50.0), 20.0, 0.0, 300.0, wheeldraft::geometry::Turn::Left);
    let circle = Item::Circle { centre: p(7.0, 9.0), radius: 3.0, role: LineRole::Visible, fill: Fill::None };
    let role = LineRole::Visible;
    let elements = elements(&only(vec![Item::Arc { arc, role }, circle, Item::Arc { arc: long, role }]));
    let paths: Vec<&str> = elements.iter().filter_map(|e| attribute(e, "d")).collect();
    // counter-clockwise on paper: falling y, sweep flag 0; more than half a turn in two steps
    assert_eq!(paths[0], "M120 150A20 20 0 0 0 100 130");
    assert_eq!(paths[1].matches('A').count(), 2);
    let circle = elements.iter().find(|e| e.0 == "circle").unwrap();
    assert_eq!((attribute(circle, "cx"), attribute(circle, "cy")), (Some("7"), Some("191")));
}

#[test]
fn a_run_of_like_lines_is_one_path() {
    let line = |y: f64, role| Item::Line { from: p(0.0, y), to: p(50.0, y), role };
    let (fine, visible, axis) = (LineRole::Fine, LineRole::Visible, LineRole::Axis);
    let items = vec![
        line(1.0, fine),
        line(2.0, fine),
        line(3.0, visible),
        line(4.0, axis),
        line(5.0, axis),
        Item::Line { from: p(0.0, 6.0), to: p(90.0, 6.0), role: axis },
    ];
    let elements = elements(&only(items));
    let starts: Vec<usize> =
        elements.iter().filter_map(|e| attribute(e, "d")).map(|d| d.matches('M').count()).collect();
    // the last has dashes of its own length
    assert_eq!(starts, [2, 1, 2, 1]);
}

#[test]
fn lines_have_the_widths_of_their_group() {
    for role in sample::ROLES {
        let elements = elements(&only(vec![Item::Line { from: p(0.0, 0.0), to: p(100.0, 0.0), role }]));
        let line = elements.iter().find(|e| e.0 == "path").unwrap();
        let width = attribute(line, "stroke-width").map_or(0.25, |w| w.parse().unwrap());
        assert_eq!(width, sample::drawing().pen.width(role), "{role:?}");
    }
}

#[test]
fn chain_lines_end_on_a_long_dash() {
    for length in [31.7, 100.0, 263.4] {
        for role in [LineRole::Axis, LineRole::Blank, LineRole::CuttingPlane, LineRole::Hidden] {
            let elements = elements(&only(vec![Item::Line { from: p(0.0, 5.0), to: p(length, 5.0), role }]));
            let line = elements.iter().find(|e| e.0 == "path").unwrap();
            let dashes = attribute(line, "stroke-dasharray").unwrap().split(' ').map(|d| d.parse::<f64>().unwrap());
            let dashes: Vec<f64> = dashes.collect();
            let period: f64 = dashes.iter().sum();
            let repeats = ((length - dashes[0]) / period).round();
            // the printed dashes have four decimals
            assert!((repeats * period + dashes[0] - length).abs() < 0.01, "{role:?} {length}: {dashes:?}");
            assert!(attribute(line, "stroke-dashoffset").is_none());
        }
    }
}

#[test]
fn text_is_found_as_written_and_its_letters_are_embedded() {
    use base64::Engine as _;
    let text = svg(&sample::drawing()).unwrap();
    for content in ["Круг шлифовальный 25А F60", "Τροχός λείανσης Ω μ", "研磨 lacks two", "  two  blanks  "]
    {
        assert!(text.contains(&format!(">{content}</text>")), "{content}");
    }
    let plain = text.split("base64,").nth(1).unwrap().split(')').next().unwrap();
    let font = base64::engine::general_purpose::STANDARD.decode(plain).unwrap();
    let face = ttf_parser::Face::parse(&font, 0).unwrap();
    for c in sample::TEXTS.concat().chars() {
        assert!(face.glyph_index(c).is_some_and(|g| g.0 != 0), "{c}");
    }
}

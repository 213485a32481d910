//! Where section and side views lie on finished sheets, measured from their centre lines and edges: always in projection.

use super::{case, cases, draw};
use serde_json::{Value, json};
use wheeldraft::drawing::{Drawing, Group, Item, LineRole};
use wheeldraft::geometry::Bounds;

/// How far two axes may lie apart, mm.
const IN_LINE: f64 = 0.1;

fn group<'a>(sheet: &'a Drawing, id: &str) -> Option<&'a Group> {
    sheet.items.iter().find_map(|i| if let Item::Group(g) = i { (g.id == id).then_some(g) } else { None })
}

/// Height of the level centre line, and the box around the visible edges.
fn lying(view: &Group) -> (f64, Bounds) {
    let level = |i: &Item| match i {
        Item::Line { from, to, role: LineRole::Axis } if from.y == to.y => Some(from.y),
        _ => None,
    };
    let visible = |i: &&Item| match i {
        Item::Line { role, .. } | Item::Arc { role, .. } | Item::Circle { role, .. } => *role == LineRole::Visible,
        Item::Contour { role, .. } => *role == Some(LineRole::Visible),
        _ => false,
    };
    let edges = view.items.iter().filter(visible).filter_map(Item::bounds);
    (view.items.iter().find_map(level).expect("a centre line"), edges.reduce(Bounds::union).expect("edges"))
}

/// What is wrong on a sheet: a side without a section, views off one axis, of several scales or in the wrong order, which is from left to right in
/// the third angle.
fn wrong(sheet: &Drawing, third: bool) -> Option<String> {
    let placed: Vec<(&str, f64, Bounds)> = ["view-side-a", "view-section", "view-section-plain", "view-side-b"]
        .into_iter()
        .filter_map(|id| group(sheet, id).map(|g| (id, lying(g))))
        .map(|(id, (axis, part))| (id, axis, part))
        .collect();
    let sections = placed.iter().filter(|(id, ..)| id.starts_with("view-section")).count();
    if sections > 1 || (sections == 0 && !placed.is_empty()) {
        return Some(format!("{sections} sections"));
    }
    for (i, (right, axis, part)) in placed.iter().enumerate() {
        for (left, other, there) in &placed[..i] {
            let ordered = (there.centre().x < part.centre().x) == third;
            let alike = (there.height() - part.height()).abs() < IN_LINE;
            if (axis - other).abs() > IN_LINE || !ordered || !alike {
                return Some(format!("{left} at {there:?} and {right} at {part:?}"));
            }
        }
    }
    None
}

/// How many sheets show a side.
fn sheets_of_sides(sheets: &[Drawing]) -> usize {
    let shows = |d: &&Drawing| ["view-side-a", "view-side-b"].iter().any(|id| group(d, id).is_some());
    sheets.iter().filter(shows).count()
}

#[test]
fn side_views_stand_in_projection_with_a_section() {
    for (name, order) in cases() {
        let narrow = matches!(order["drawing"]["sheet"].as_str(), Some("A4" | "A"));
        let mut order: Value = order;
        for projection in ["first", "third"] {
            order["drawing"]["projection"] = json!(projection);
            let made = draw(&order).unwrap_or_else(|e| panic!("{name}: {e}"));
            assert!(narrow || sheets_of_sides(&made.drawings) <= 1, "{name}, {projection} angle: the sides are parted");
            for (i, sheet) in made.drawings.iter().enumerate() {
                if let Some(fault) = wrong(sheet, projection == "third") {
                    panic!("{name}, {projection} angle, sheet {}: {fault}", i + 1);
                }
            }
        }
    }
}

#[test]
fn a_side_without_grooves_gets_no_view_and_the_section_names_both_sides() {
    let made = draw(&case("cut-on-side-b-only")).unwrap();
    assert!(made.drawings.iter().all(|d| group(d, "view-side-a").is_none() && group(d, "view-side-b").is_none()));
    let section = made.drawings.iter().find_map(|d| group(d, "view-section")).unwrap();
    let mut texts = Vec::new();
    collect(section, &mut texts);
    for wanted in ["side A", "side B"] {
        assert!(texts.iter().any(|t| t == wanted), "{wanted} among {texts:?}");
    }
    assert!(texts.iter().any(|t| t.starts_with("Section (")), "no letters without a cutting plane: {texts:?}");
}

fn collect(group: &Group, into: &mut Vec<String>) {
    for item in &group.items {
        match item {
            Item::Text(t) => into.push(t.content.clone()),
            Item::Group(g) => collect(g, into),
            _ => {}
        }
    }
}

/// The edges of the section's two halves that no outline has: walls and floors of grooves, as their level of the axis' height above and below.
fn floors(order: &Value) -> (usize, usize, Vec<String>) {
    let made = draw(order).unwrap();
    let section = made.drawings.iter().find_map(|d| group(d, "view-section")).unwrap();
    let (axis, _) = lying(section);
    let mut texts = Vec::new();
    collect(section, &mut texts);
    // circles behind the plane reach from one half to the other
    let level = |i: &Item| match i {
        Item::Line { from, to, role: LineRole::Visible } if (from.y > axis) == (to.y > axis) => Some(from.y > axis),
        Item::Arc { arc, role: LineRole::Visible } => Some(arc.centre().y > axis),
        _ => None,
    };
    let upper: Vec<bool> = section.items.iter().filter_map(level).collect();
    (upper.iter().filter(|u| **u).count(), upper.iter().filter(|u| !**u).count(), texts)
}

#[test]
fn the_section_is_cut_from_the_real_grooves() {
    let turned = |texts: &[String]| texts.join(" ").contains("turned into the plane");
    // one groove at 0° lies square to the upright plane: it is turned up once
    let (upper, lower, texts) = floors(&case("a-single-groove"));
    assert!(upper > 0 && lower == 0 && turned(&texts), "{upper} {lower} {texts:?}");
    for name in ["seven-grooves", "no-groove-at-the-cutting-plane"] {
        let (upper, lower, texts) = floors(&case(name));
        assert!(upper > 0 && upper == lower && turned(&texts), "{name}: {upper} {lower} {texts:?}");
    }
    // grooves of 24 at 0°: 6 steps of 15° stand upright
    let mut order = case("seven-grooves");
    order["wheel"]["side_a"]["grooves"]["count"] = json!(24);
    let (upper, lower, texts) = floors(&order);
    assert!(upper > 0 && upper == lower && !turned(&texts), "{upper} {lower} {texts:?}");
    order["wheel"]["side_a"]["grooves"]["omit"] = json!([7]);
    let (upper, lower, texts) = floors(&order);
    assert!(upper == 0 && lower > 0 && !turned(&texts), "{upper} {lower} {texts:?}");
    order["wheel"]["side_a"]["grooves"]["omit"] = json!([7, 19]);
    let (upper, lower, texts) = floors(&order);
    assert!((upper, lower) == (0, 0) && texts.join(" ").contains("no groove of side A lies in the plane"), "{texts:?}");
}

#[test]
fn face_grooves_stand_in_the_section() {
    let (upper, lower, _) = floors(&case("straight-face-grooves"));
    assert!(upper > 0 && lower > 0, "{upper} {lower}");
}

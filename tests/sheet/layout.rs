//! What makes a sheet easy to read: short leaders, views in company, tables of the contract where the first sheet says they are.

use super::{case, cases, draw};
use serde_json::Value;
use wheeldraft::drawing::{Drawing, Group, Item, LineRole, measure};

/// All groups of a sheet, those within others too.
fn groups(sheet: &Drawing) -> Vec<&Group> {
    fn within<'a>(items: &'a [Item], found: &mut Vec<&'a Group>) {
        for item in items {
            if let Item::Group(group) = item {
                found.push(group);
                within(&group.items, found);
            }
        }
    }
    let mut found = Vec::new();
    within(&sheet.items, &mut found);
    found
}

/// Length of a group's own thin lines, and of its widest text, mm.
fn lines_and_text(group: &Group) -> (f64, f64) {
    let length = |item: &Item| match item {
        Item::Line { from, to, role: LineRole::Dimension } => from.distance(*to),
        _ => 0.0,
    };
    let wide = |item: &Item| if let Item::Text(text) = item { measure::advance(text) } else { 0.0 };
    (group.items.iter().map(length).sum(), group.items.iter().map(wide).sum())
}

/// Length that a leader to groove 1 may have besides the shoulder under its text, mm.
const SHORT: f64 = 24.0;

#[test]
fn the_leader_of_groove_1_does_not_go_round_the_wheel() {
    let mut seen = 0;
    for (name, order) in cases() {
        let made = draw(&order).unwrap();
        for group in made.drawings.iter().flat_map(groups).filter(|g| g.id.ends_with("-groove-1")) {
            let (lines, text) = lines_and_text(group);
            assert!(lines <= text + SHORT, "{name}, {}: lines of {lines} mm for a text of {text} mm", group.id);
            seen += 1;
        }
    }
    assert!(seen > 10, "{seen} leaders");
}

#[test]
fn a_view_that_needs_a_second_sheet_gets_the_picture_beside_it() {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/1044.json")).unwrap();
    let order: Value = serde_json::from_str(&text).unwrap();
    let made = draw(&order).unwrap();
    let views = |sheet: &Drawing| {
        groups(sheet)
            .iter()
            .filter(|g| g.id.starts_with("view-") && g.subject.is_none())
            .map(|g| g.id.clone())
            .collect::<Vec<_>>()
    };
    let second = views(&made.drawings[1]);
    assert!(
        second.iter().any(|id| id == "view-half-section") && second.iter().any(|id| id == "view-pictorial"),
        "{second:?}"
    );
}

#[test]
fn what_leaves_the_first_sheet_of_a_small_paper_is_named_there() {
    let made = draw(&case("everything-on-a4")).unwrap();
    let names: Vec<&str> = ["table-dimensions", "table-grooves", "table-properties"].to_vec();
    for name in names {
        let on = made.drawings.iter().position(|d| groups(d).iter().any(|g| g.id == name)).unwrap();
        assert!(on > 0, "{name} has room on the first sheet: another case must show this");
        let words = groups(&made.drawings[0]).into_iter().find(|g| g.id == format!("elsewhere-{name}")).unwrap();
        let Some(Item::Text(text)) = words.items.first() else { panic!("no words for {name}") };
        assert!(text.content.ends_with(&format!("sheet {}", on + 1)), "{}", text.content);
    }
}

#[test]
fn no_sheet_of_a_small_paper_carries_tables_alone() {
    let made = draw(&case("everything-on-a4")).unwrap();
    let bare = made.drawings.iter().position(|d| !groups(d).iter().any(|g| g.id.starts_with("view-")));
    assert_eq!(bare, None);
}

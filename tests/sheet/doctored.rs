//! Sheets with one fault put in: the check finds it. One test for each row of the acceptance table.

use super::{case, cases, draw};
use wheeldraft::drawing::{Drawing, Group, Item, LineRole, Text};
use wheeldraft::geometry::{Contour, Point};
use wheeldraft::sheet::Approval;
use wheeldraft::sheet::acceptance::Rule;
use wheeldraft::size::{SideName, Size, Subject};

fn made() -> Approval {
    draw(&case("three-step-recess-both-sides")).unwrap()
}

/// The texts of a group that stand directly in it.
fn texts(group: &mut Group) -> impl Iterator<Item = &mut Text> {
    group.items.iter_mut().filter_map(|i| if let Item::Text(t) = i { Some(t) } else { None })
}

/// The group of this id or dimension anywhere on the sheet.
fn find<'a>(items: &'a mut [Item], wanted: &dyn Fn(&Group) -> bool) -> Option<&'a mut Group> {
    for item in items {
        if let Item::Group(group) = item {
            if wanted(group) {
                return Some(group);
            }
            if let Some(found) = find(&mut group.items, wanted) {
                return Some(found);
            }
        }
    }
    None
}

/// Doctors the first sheet that has the group, checks, and wants a violation of the rule.
#[track_caller]
fn doctored(rule: Rule, wanted: impl Fn(&Group) -> bool, fault: impl Fn(&mut Group)) {
    let made = made();
    let mut sheets = made.drawings.clone();
    let group = sheets.iter_mut().find_map(|s| find(&mut s.items, &wanted)).expect("the group to doctor");
    fault(group);
    let found = made.check(&sheets);
    assert!(found.iter().any(|v| v.rule == rule), "no {rule:?} among {found:#?}");
}

fn id(id: &str) -> impl Fn(&Group) -> bool + '_ {
    move |g| g.id == id
}

fn dimension(size: Size) -> impl Fn(&Group) -> bool {
    move |g| g.subject == Some(Subject::Size(size))
}

fn first_text(group: &mut Group) -> &mut Text {
    fn walk(items: &mut [Item]) -> Option<&mut Text> {
        items.iter_mut().find_map(|i| match i {
            Item::Text(t) => Some(t),
            Item::Group(g) => walk(&mut g.items),
            _ => None,
        })
    }
    walk(&mut group.items).expect("a text")
}

fn moved(group: &mut Group, x: f64, y: f64) {
    *group = group.clone().moved(Point::new(x, y));
}

#[test]
fn text_near_a_text() {
    doctored(Rule::TextToText, id("cautions"), |g| {
        let mut copy = first_text(g).clone();
        // two lines of capitals of 2.5 mm with 0.9 mm between them
        copy.at = copy.at + Point::new(0.0, 2.5 + 0.9);
        copy.content = "HEM".to_owned();
        g.items.push(Item::Text(copy));
    });
}

#[test]
fn text_near_a_line() {
    doctored(Rule::TextToLine, id("table-dimensions"), |g| first_text(g).at.x -= 1.2);
}

#[test]
fn text_near_a_rule_of_the_title_block_or_of_a_block_on_it() {
    // each begins 1.5 mm right of its rule and, without a descender, about 1 mm above or below one
    for block in ["title-block", "approval", "table-dimensions", "table-properties"] {
        doctored(Rule::TextToLine, id(block), |g| first_text(g).at.x -= 1.2);
    }
    doctored(Rule::TextToLine, id("print-check"), |g| first_text(g).at.y += 0.5);
}

#[test]
fn a_rule_moved_to_a_text() {
    for block in ["title-block", "table-dimensions"] {
        doctored(Rule::TextToLine, id(block), |g| {
            let at = first_text(g).at;
            let rule = Item::Line {
                from: at - Point::new(1.0, 0.5),
                to: at + Point::new(5.0, -0.5),
                role: LineRole::TableNarrow,
            };
            g.items.push(rule);
        });
    }
}

#[test]
fn a_line_across_a_text() {
    doctored(Rule::TextToLine, id("cautions"), |g| {
        let at = first_text(g).at;
        g.items.push(Item::Line { from: at, to: at + Point::new(20.0, 1.0), role: LineRole::Fine });
    });
}

#[test]
fn crossing_dimension_lines() {
    doctored(Rule::Crossing, dimension(Size::OutsideDiameter), |g| {
        let b = Item::Group(g.clone()).bounds().unwrap();
        g.items.push(Item::Line {
            from: b.centre() - Point::new(200.0, 0.0),
            to: b.centre() + Point::new(200.0, 0.0),
            role: LineRole::Dimension,
        });
    });
}

#[test]
fn dimension_lines_too_near_to_each_other_or_to_the_part() {
    for (x, y) in [(-3.0, 0.0), (3.0, 0.0)] {
        let made = made();
        let mut hit = false;
        for name in [
            Size::OutsideDiameter,
            Size::Bore,
            Size::RecessDiameter(SideName::A, 0),
            Size::RecessDiameter(SideName::B, 0),
        ] {
            let mut sheets = made.drawings.clone();
            if let Some(group) = sheets.iter_mut().find_map(|s| find(&mut s.items, &dimension(name))) {
                moved(group, x, y);
                hit |= made.check(&sheets).iter().any(|v| v.rule == Rule::Lane);
            }
        }
        assert!(hit, "no dimension moved by {x} comes too near");
    }
}

#[test]
fn outside_the_frame() {
    doctored(Rule::OutsideFrame, id("cautions"), |g| moved(g, -400.0, 0.0));
    doctored(Rule::OutsideFrame, id("view-section"), |g| moved(g, 0.0, 150.0));
    doctored(Rule::OutsideFrame, id("title-block"), |g| moved(g, 3.0, 0.0));
    doctored(Rule::OutsideFrame, id("frame"), |g| moved(g, 30.0, 0.0));
}

#[test]
fn over_a_table_the_title_block_or_another_view() {
    let made = made();
    let bounds = |name: &str| {
        let mut sheets = made.drawings.clone();
        let group = sheets.iter_mut().find_map(|s| find(&mut s.items, &id(name))).expect(name);
        Item::Group(group.clone()).bounds().unwrap().centre()
    };
    for (what, over) in
        [("cautions", "title-block"), ("view-section", "table-dimensions"), ("print-check", "view-section")]
    {
        let from = if what == "cautions" { bounds("table-dimensions") } else { bounds(what) };
        let by = bounds(over) - from;
        doctored(Rule::Overlap, id(if what == "cautions" { "table-dimensions" } else { what }), |g| {
            moved(g, by.x, by.y)
        });
    }
}

#[test]
fn a_number_missing_or_drawn_twice() {
    doctored(Rule::NotOnce, dimension(Size::Bore), |g| *g = Group::new("nothing"));
    doctored(Rule::NotOnce, id("view-section"), |g| {
        let twin = find(&mut g.items, &dimension(Size::Thickness)).unwrap().clone();
        g.items.push(Item::Group(twin.moved(Point::new(0.0, 30.0))));
    });
    doctored(Rule::NotOnce, dimension(Size::Bore), |g| g.subject = Some(Subject::Size(Size::BoreChamfer)));
}

#[test]
fn a_number_that_is_not_what_is_drawn() {
    doctored(Rule::WrongValue, dimension(Size::OutsideDiameter), |g| {
        let texts: Vec<&mut Item> = g.items.iter_mut().filter(|i| matches!(i, Item::Text(_))).collect();
        for item in texts {
            if let Item::Text(t) = item {
                t.content = t.content.replace("610", "601");
            }
        }
    });
    // one arrowhead shifted along the axis by a tenth of a millimetre on paper
    doctored(Rule::WrongValue, dimension(Size::OutsideDiameter), |g| {
        let is_head = |i: &&mut Item| matches!(i, Item::Contour { contour, .. } if contour.edges().len() == 3);
        let head = g.items.iter_mut().find(is_head).expect("an arrowhead");
        *head = head.clone().moved(Point::new(0.0, 0.1));
    });
}

#[test]
fn a_reference_that_is_not_what_follows_from_the_ordered_sizes() {
    // 50 less 4 of the taper at the bore and 10 of the recess
    let made = draw(&case("taper-towards-the-bore")).unwrap();
    let reference = |g: &Group| g.subject == Some(Subject::Reference(Size::HubThickness));
    let found = |fault: &dyn Fn(&mut Group)| {
        let mut sheets = made.drawings.clone();
        let group = sheets.iter_mut().find_map(|s| find(&mut s.items, &reference)).expect("the thickness at the bore");
        fault(group);
        made.check(&sheets).iter().any(|v| v.rule == Rule::WrongValue)
    };
    assert!(!found(&|g| assert!(texts(g).any(|t| t.content == "(36)"))));
    assert!(found(&|g| texts(g).for_each(|t| t.content = t.content.replace("36", "40"))));
    let mut views = made.clone();
    let listed = views.views.iter_mut().flat_map(|v| &mut v.drawn);
    listed.filter(|d| d.subject == Subject::Reference(Size::HubThickness)).for_each(|d| d.measured = 40.0);
    assert!(views.check(&made.drawings).iter().any(|v| v.rule == Rule::WrongValue));
}

#[test]
fn a_leader_that_points_at_another_edge() {
    for name in [Size::RecessFillet(SideName::A, 0), Size::RecessFillet(SideName::B, 0)] {
        doctored(Rule::WrongValue, dimension(name), |g| moved(g, 0.5, 0.3));
    }
}

#[test]
fn an_edge_of_another_size_than_printed() {
    // one millimetre more of paper between any two turns of the profile
    doctored(Rule::WrongValue, id("view-half-section"), |g| {
        for item in &mut g.items {
            if let Item::Contour { contour, .. } = item {
                *contour = contour.scaled(1.01);
            }
        }
    });
}

#[test]
fn what_stands_in_no_group_is_checked_as_well() {
    let made = made();
    let mut sheets: Vec<Drawing> = made.drawings.clone();
    let at = Point::new(sheets[0].width - 100.0, 20.0);
    sheets[0].items.push(Item::Text(Text::new("stray", at, 3.5)));
    let count = |sheets: &[Drawing], rule: Rule| made.check(sheets).iter().filter(|v| v.rule == rule).count();
    assert!(count(&sheets, Rule::Overlap) > count(&made.drawings, Rule::Overlap));
    let mut sheets = made.drawings.clone();
    let corners = [Point::new(-5.0, -5.0), Point::new(1.0, -5.0), Point::new(0.0, 2.0)];
    let contour = Contour::polygon(&corners).unwrap();
    let fill = wheeldraft::drawing::Fill::Solid;
    sheets[0].items.push(Item::Contour { contour, role: None, fill });
    assert!(count(&sheets, Rule::OutsideFrame) > count(&made.drawings, Rule::OutsideFrame));
}

#[test]
fn a_side_view_off_its_place_in_projection() {
    let in_line = |made: &Approval| {
        let mut sheets = made.drawings.clone();
        let mut on = |name: &str| sheets.iter_mut().position(|s| find(&mut s.items, &id(name)).is_some());
        on("view-side-a").is_some() && on("view-side-a") == on("view-section")
    };
    let third = |(_, mut order): (String, serde_json::Value)| {
        order["drawing"]["projection"] = "third".into();
        draw(&order).ok()
    };
    let made = cases().into_iter().filter_map(third).find(in_line).expect("a side view beside the section");
    let found = |fault: &dyn Fn(&mut Group)| {
        let mut sheets = made.drawings.clone();
        let side = sheets.iter_mut().find_map(|s| find(&mut s.items, &id("view-side-a"))).expect("side A");
        fault(side);
        made.check(&sheets).iter().any(|v| v.rule == Rule::Projection)
    };
    assert!(!found(&|_| {}) && !found(&|g| moved(g, 0.0, 0.09)));
    assert!(found(&|g| moved(g, 0.0, 0.11)), "off the axis of the section");
    for x in [-700.0, 700.0] {
        let other = found(&|g| moved(g, x, 0.0));
        assert_eq!(other, x > 0.0, "third angle: left of the section it is right, right of it wrong");
    }
}

#[test]
fn a_side_view_that_no_arrow_names() {
    let mut order = case("inch-grooved-both-sides");
    order["drawing"]["sheet"] = "A3".into();
    let made = draw(&order).unwrap();
    let alone = |sheets: &[Drawing]| made.check(sheets).iter().any(|v| v.rule == Rule::Projection);
    let mut sheets = made.drawings.clone();
    assert!(sheets.len() > 1 && !alone(&sheets));
    for name in ["view-section-view-arrow-a", "view-section-view-arrow-b"] {
        let arrow = sheets.iter_mut().find_map(|s| find(&mut s.items, &id(name))).expect(name);
        arrow.items.retain(|i| matches!(i, Item::Text(_)));
    }
    assert!(alone(&sheets), "the arrows are gone");
}

#[test]
fn a_side_view_in_line_with_no_section() {
    let mut order = case("inch-grooved-both-sides");
    order["drawing"]["sheet"] = "A3".into();
    let made = draw(&order).unwrap();
    let wrong = |sheets: &[Drawing]| made.check(sheets).iter().any(|v| v.rule == Rule::Projection);
    let doctored = |fault: &dyn Fn(&mut Drawing)| {
        let mut sheets = made.drawings.clone();
        let sheet =
            sheets.iter_mut().find_map(|s| find(&mut s.items, &id("view-section-plain")).is_some().then_some(s));
        fault(sheet.expect("a section without sizes"));
        wrong(&sheets)
    };
    let plain = |s: &mut Drawing, fault: &dyn Fn(&mut Group)| {
        find(&mut s.items, &id("view-section-plain")).into_iter().for_each(fault)
    };
    assert!(!doctored(&|_| {}));
    assert!(
        doctored(&|s| s.items.retain(|i| !matches!(i, Item::Group(g) if g.id == "view-section-plain"))),
        "no section"
    );
    assert!(doctored(&|s| plain(s, &|g| moved(g, 0.0, 30.0))), "off the axis, though beside nothing");
    assert!(doctored(&|s| plain(s, &|g| moved(g, 400.0, 0.0))), "beyond the sides");
    let smaller = |item: &mut Item| {
        if let Item::Contour { contour, .. } = item {
            *contour = contour.scaled(0.5);
        }
    };
    assert!(doctored(&|s| plain(s, &|g| g.items.iter_mut().for_each(smaller))), "at another scale");
}

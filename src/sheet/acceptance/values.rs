//! Whether every required number is drawn exactly once, and whether what is printed is what is drawn; references are held to the same value as
//! everything else.
//!
//! Sizes are compared as numbers: a text is read back, and may be off by half of the last digit a sheet prints. Two roundings of one number that
//! lies between two digits (9/32 in = 0.28125) are then both right.

use super::collect::{Owning, Parts};
use super::held::Held;
use super::written::Written;
use super::{Expected, Rule, Violation};
use crate::geometry::{Edge, Point};
use crate::sheet::notes::NOT_PLACED;
use crate::sheet::view::{DrawnDimension, View};
use crate::size::{GrooveSize, Measure, Size, Subject};
use crate::wheel::Requirement;
use crate::tolerance::{ROUNDED, SAME_PLACE};

/// All violations over all sheets.
pub fn check(sheets: &[Parts], expected: &Expected) -> Vec<Violation> {
    let mut found = Vec::new();
    let mut add = |rule: Rule, what: String| found.push(Violation { rule, sheet: 0, at: Point::ORIGIN, what });
    let owners: Vec<&Owning> = sheets.iter().flat_map(|s| &s.owners).collect();
    for requirement in expected.requirements {
        let times = owners.iter().filter(|o| o.subject.shows(requirement.size)).count();
        if expected.unplaced.contains(&requirement.size) {
            if times > 0 || !tells(sheets, requirement) {
                add(Rule::NotOnce, format!("{} is neither drawn nor told of", requirement.label));
            }
            continue;
        }
        if times != 1 {
            add(
                Rule::NotOnce,
                format!("{} ({}) is drawn {times} times, not once", requirement.label, requirement.size),
            );
        }
        let listed = |d: &DrawnDimension| d.subject.shows(requirement.size);
        if !expected.views.iter().any(|v| v.drawn.iter().any(listed)) {
            add(Rule::NotOnce, format!("no view lists {}", requirement.size));
        }
    }
    for owner in owners {
        let Some(size) = owner.subject.size() else { continue };
        let required = expected.requirements.iter().any(|r| r.size == size);
        let value = match owner.subject {
            Subject::Size(_) | Subject::Both(_) if !required => None,
            _ => size.value(expected.job),
        };
        let Some(value) = value else {
            add(Rule::NotOnce, format!("`{}` is drawn but the wheel has no such size to show", owner.subject));
            continue;
        };
        if let Some((view, dimension)) = drawn(expected, owner.subject) {
            let held = Held { size, value, style: expected.style };
            let other = size.on_other_side().filter(|_| owner.subject == Subject::Both(size));
            if let Some(found) = other.and_then(|o| o.value(expected.job)).filter(|o| *o != value) {
                add(Rule::WrongValue, format!("{} is drawn as one, but side B has {found:.4}", owner.subject));
            }
            let requirement = expected.requirements.iter().find(|r| owner.subject.shows(r.size));
            let written = Written { held, requirement, sheets };
            written.wrong(owner, dimension).into_iter().for_each(|what| add(Rule::WrongValue, what));
            wrong(view, dimension, held, owner, sheets).into_iter().for_each(|what| add(Rule::WrongValue, what));
        }
    }
    found
}

/// Whether the sheets say that a size is not placed.
fn tells(sheets: &[Parts], requirement: &Requirement) -> bool {
    let words = |s: &Parts| {
        let told = s.texts.iter().filter(|t| s.tops[t.top].id.starts_with(NOT_PLACED));
        told.map(|t| t.content.as_str()).collect::<Vec<_>>().join(" ")
    };
    let all = sheets.iter().map(words).collect::<Vec<_>>().join(" ");
    all.contains(&requirement.label)
}

/// The dimension that a view lists for a subject.
fn drawn<'a>(expected: &Expected<'a>, subject: Subject) -> Option<(&'a View, &'a DrawnDimension)> {
    expected.views.iter().find_map(|v| Some((*v, v.drawn.iter().find(|d| d.subject == subject)?)))
}

fn wrong(view: &View, drawn: &DrawnDimension, held: Held, owner: &Owning, sheets: &[Parts]) -> Vec<String> {
    let mut found = Vec::new();
    let (name, value) = (owner.subject, held.value);
    if !held.is_drawn(drawn.measured) {
        found.push(format!("{name} is drawn as {:.4}, not as {value:.4}", drawn.measured));
    }
    let factor = view.scale.factor();
    if let ([tip], Some(sheet)) = (owner.tips.as_slice(), sheets.iter().find(|s| holds(s, owner))) {
        found.extend(wrong_at(*tip, owner, sheet, factor, held));
    }
    // two arrowheads that face a plain distance can be measured on the paper itself
    let straight = matches!(held.size.measure(), Measure::Diameter | Measure::Length | Measure::Chamfer) && !drawn.bent;
    if let ([a, b], true) = (owner.tips.as_slice(), straight) {
        let paper = value * factor;
        if (a.distance(*b) - paper).abs() > SAME_PLACE + ROUNDED * paper {
            found.push(format!("{name}: its arrows are {:.4} apart, not {value:.4}", a.distance(*b) / factor));
        }
    }
    found
}

/// Whether a dimension is one of a sheet's own.
fn holds(sheet: &Parts, owner: &Owning) -> bool {
    sheet.owners.iter().any(|o| std::ptr::eq(o, owner))
}

/// What is wrong with the edge of the part that a single arrow points at: a radius, a chamfer and a vee's flank are measured on the paper itself.
fn wrong_at(tip: Point, owner: &Owning, sheet: &Parts, factor: f64, held: Held) -> Option<String> {
    let measure = held.size.measure();
    let size = |edge: &Edge| {
        let along = edge.end() - edge.start();
        match (measure, edge) {
            (Measure::Radius, Edge::Arc(arc)) => Some(arc.radius() / factor),
            // radii run upwards on paper in every view of the section
            (Measure::Chamfer, Edge::Line(_)) => Some(along.y.abs() / factor),
            (Measure::Angle, Edge::Line(_)) => Some(2.0 * along.x.abs().atan2(along.y.abs()).to_degrees()),
            _ => None,
        }
    };
    let flank = matches!(held.size, Size::Groove(_, GrooveSize::VeeAngle));
    if !flank && !matches!(measure, Measure::Radius | Measure::Chamfer) {
        return None;
    }
    let own = sheet.edges.iter().filter(|(e, top)| *top == owner.top && e.distance(tip) < SAME_PLACE);
    let sizes: Vec<f64> = own.filter_map(|(e, _)| size(e)).collect();
    let close = |size: &f64| (size - held.value).abs() * factor.min(1.0) < SAME_PLACE + ROUNDED * held.value;
    if sizes.iter().any(close) {
        return None;
    }
    Some(match sizes.first() {
        Some(size) => format!("{} points at an edge of {size:.4}, not {:.4}", owner.subject, held.value),
        None => format!("{} points at no edge it could be the size of", owner.subject),
    })
}

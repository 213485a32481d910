//! Whether every required number is drawn exactly once, and whether what is printed is what is drawn.

use super::collect::{Owning, Parts};
use super::{Expected, Rule, Violation};
use crate::geometry::{Edge, Point};
use crate::sheet::view::{DrawnDimension, View};
use crate::wheel::{Measure, Requirement};

/// By how much a distance between arrow tips may differ from the size it stands for, mm on paper.
const DRAWN: f64 = 1e-6;
/// How near to an edge an arrow that points at it must end, mm on paper.
const ON_EDGE: f64 = 1e-6;

/// All violations over all sheets.
pub fn check(sheets: &[Parts], expected: &Expected) -> Vec<Violation> {
    let mut found = Vec::new();
    let mut add = |rule: Rule, what: String| found.push(Violation { rule, sheet: 0, at: Point::ORIGIN, what });
    let owners: Vec<&Owning> = sheets.iter().flat_map(|s| &s.owners).collect();
    let drawn: Vec<(&View, &DrawnDimension)> =
        expected.views.iter().flat_map(|v| v.drawn.iter().map(move |d| (*v, d))).collect();
    for requirement in expected.requirements {
        let times = owners.iter().filter(|o| o.dimension == requirement.id).count();
        if times != 1 {
            add(Rule::NotOnce, format!("{} ({}) is drawn {times} times, not once", requirement.label, requirement.id));
        }
        match drawn.iter().find(|(_, d)| d.characteristic == requirement.id) {
            None => add(Rule::NotOnce, format!("no view lists {}", requirement.id)),
            Some((view, dimension)) => {
                let owner = owners.iter().find(|o| o.dimension == requirement.id);
                for what in wrong(view, dimension, requirement, owner.copied(), sheets, expected) {
                    add(Rule::WrongValue, what);
                }
            }
        }
    }
    for owner in &owners {
        let plain = !owner.dimension.starts_with("mark:") && !owner.dimension.starts_with("reference:");
        if plain && !expected.requirements.iter().any(|r| r.id == owner.dimension) {
            add(Rule::NotOnce, format!("`{}` is drawn but required nowhere", owner.dimension));
        }
    }
    found
}

fn wrong(
    view: &View,
    drawn: &DrawnDimension,
    requirement: &Requirement,
    owner: Option<&Owning>,
    sheets: &[Parts],
    expected: &Expected,
) -> Vec<String> {
    let mut found = Vec::new();
    let style = expected.style;
    let number = |value: f64| match requirement.measure {
        Measure::Angle => style.angle(value),
        Measure::Count => style.plain(value, 0),
        _ => style.length(value),
    };
    if number(drawn.measured) != number(requirement.nominal) {
        let (got, want) = (number(drawn.measured), number(requirement.nominal));
        found.push(format!("{} is drawn as {got}, not as {want}", requirement.id));
    }
    if !numbers_in(&drawn.printed).contains(&number(requirement.nominal).trim_end_matches('°').to_owned()) {
        found.push(format!(
            "{} is printed as `{}`, which is not {}",
            requirement.id,
            drawn.printed,
            number(requirement.nominal)
        ));
    }
    let Some(owner) = owner else { return found };
    let own = |s: &&Parts, o: Option<usize>| o.is_some_and(|o| s.owners[o].dimension == owner.dimension);
    let mut texts = sheets.iter().flat_map(|s| s.texts.iter().filter(move |t| own(&s, t.owner)));
    if !texts.any(|t| says(&t.content, &drawn.printed)) {
        found.push(format!("{}: `{}` is not lettered in its group", requirement.id, drawn.printed));
    }
    if let ([tip], Some(sheet)) = (owner.tips.as_slice(), sheets.iter().find(|s| holds(s, owner))) {
        found.extend(wrong_at(*tip, owner, sheet, view.scale.factor(), requirement));
    }
    // two arrowheads that face a plain distance can be measured on the paper itself
    let straight = matches!(requirement.measure, Measure::Diameter | Measure::Length | Measure::Chamfer) && !drawn.bent;
    if let ([a, b], true) = (owner.tips.as_slice(), straight) {
        let paper = requirement.nominal * view.scale.factor();
        if (a.distance(*b) - paper).abs() > DRAWN + 1e-9 * paper {
            let got = style.length(a.distance(*b) / view.scale.factor());
            found.push(format!("{}: its arrows are {got} apart, not {}", requirement.id, number(requirement.nominal)));
        }
    }
    found
}

/// Whether a dimension is one of a sheet's own.
fn holds(sheet: &Parts, owner: &Owning) -> bool {
    sheet.owners.iter().any(|o| std::ptr::eq(o, owner))
}

/// What is wrong with the edge of the part that a single arrow points at: a radius, a chamfer and a vee's flank are measured on the paper itself.
fn wrong_at(tip: Point, owner: &Owning, sheet: &Parts, factor: f64, requirement: &Requirement) -> Option<String> {
    let size = |edge: &Edge| {
        let along = edge.end() - edge.start();
        match (requirement.measure, edge) {
            (Measure::Radius, Edge::Arc(arc)) => Some(arc.radius() / factor),
            // radii run upwards on paper in every view of the section
            (Measure::Chamfer, Edge::Line(_)) => Some(along.y.abs() / factor),
            (Measure::Angle, Edge::Line(_)) => Some(2.0 * along.x.abs().atan2(along.y.abs()).to_degrees()),
            _ => None,
        }
    };
    let flank = requirement.measure == Measure::Angle && requirement.id.ends_with(".vee_angle_deg");
    if !flank && !matches!(requirement.measure, Measure::Radius | Measure::Chamfer) {
        return None;
    }
    let own = sheet.edges.iter().filter(|(e, top)| *top == owner.top && e.distance(tip) < ON_EDGE);
    let sizes: Vec<f64> = own.filter_map(|(e, _)| size(e)).collect();
    let close = |size: &f64| (size - requirement.nominal).abs() * factor.min(1.0) < DRAWN + 1e-9 * requirement.nominal;
    if sizes.iter().any(close) {
        return None;
    }
    Some(match sizes.first() {
        Some(size) => format!("{} points at an edge of {size:.3}, not {:.3}", requirement.id, requirement.nominal),
        None => format!("{} points at no edge it could be the size of", requirement.id),
    })
}

/// Whether a text says a value, and not a longer number that begins or ends like it.
fn says(text: &str, value: &str) -> bool {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    text.match_indices(value).any(|(i, _)| {
        let (before, after) = (&text[..i], &text[i + value.len()..]);
        !digit(before.chars().next_back()) && !digit(after.chars().next())
    })
}

/// The numbers in a printed dimension, as typed and with their minus: `2× 1,5×45°` gives `2`, `1,5`, `45`.
fn numbers_in(text: &str) -> Vec<String> {
    let is_digit = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '−');
    text.split(|c: char| !is_digit(c)).filter(|t| !t.is_empty()).map(str::to_owned).collect()
}

//! Whether every required number is drawn exactly once, and whether what is printed is what is drawn; references are held to the same value as
//! everything else.
//!
//! Sizes are compared as numbers: a text is read back, and may be off by half of the last digit a sheet prints. Two roundings of one number that
//! lies between two digits (9/32 in = 0.28125) are then both right.

use super::collect::{Owning, Parts};
use super::written::Written;
use super::{Expected, Rule, Violation};
use crate::geometry::{Edge, Point};
use crate::quantity::LengthUnit;
use crate::sheet::notes::NOT_PLACED;
use crate::sheet::view::{DrawnDimension, Style, View};
use crate::size::{GrooveSize, Measure, Size, Subject};
use crate::wheel::Requirement;
use crate::tolerance::{LAST_DIGIT_DEGREES, LAST_DIGIT_INCH, LAST_DIGIT_MM, ROUNDED, SAME_DRAWN, SAME_PLACE, SAME_PRINTED};

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

/// What a dimension is held to.
#[derive(Clone, Copy)]
pub struct Held<'a> {
    size: Size,
    /// mm, degrees or a count.
    pub value: f64,
    style: &'a Style,
}

impl Held<'_> {
    /// Whether a number read from the sheet, in the unit it is printed in, is the value.
    pub fn is(&self, number: f64) -> bool {
        self.within(number, self.value)
    }

    /// Whether a number so read is another value of the same kind, such as a deviation.
    pub fn within(&self, number: f64, value: f64) -> bool {
        let (unit, last_digit) = match (self.size.measure(), self.style.unit) {
            (Measure::Angle, _) => (1.0, LAST_DIGIT_DEGREES),
            (Measure::Count, _) => (1.0, 0.0),
            (_, LengthUnit::Inch) => (LengthUnit::Inch.mm(), LAST_DIGIT_INCH),
            (_, LengthUnit::Millimetre) => (1.0, LAST_DIGIT_MM),
        };
        (number * unit - value).abs() <= (last_digit / 2.0 + SAME_PRINTED) * unit
    }

    fn is_drawn(&self, measured: f64) -> bool {
        (measured - self.value).abs() <= SAME_DRAWN * self.value.abs().max(1.0)
    }
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

/// Whether a text says a value, and not a longer number that begins or ends like it.
pub fn says(text: &str, value: &str) -> bool {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    text.match_indices(value).any(|(i, _)| {
        let (before, after) = (&text[..i], &text[i + value.len()..]);
        !digit(before.chars().next_back()) && !digit(after.chars().next())
    })
}

/// The numbers in a printed dimension, with their minus: `2× 1,5×45°` gives 2, 1.5 and 45.
pub fn numbers_in(text: &str) -> impl Iterator<Item = f64> + '_ {
    let is_digit = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '−');
    text.split(move |c: char| !is_digit(c)).filter_map(|t| t.replace(',', ".").replace('−', "-").parse().ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_between_two_last_digits_may_be_rounded_either_way() {
        let style = Style { unit: LengthUnit::Inch, ..Style::usual() };
        let held = Held { size: Size::Thickness, value: 0.28125 * 25.4, style: &style };
        assert!(held.is(0.2812) && held.is(0.2813) && !held.is(0.2811) && !held.is(0.2814));
        assert!(held.is_drawn(7.14375) && !held.is_drawn(7.1438));
    }

    #[test]
    fn numbers_are_read_as_they_are_printed() {
        assert_eq!(numbers_in("2× 1,5×45°").collect::<Vec<_>>(), [2.0, 1.5, 45.0]);
        assert_eq!(numbers_in("(−.125)").collect::<Vec<_>>(), [-0.125]);
    }
}

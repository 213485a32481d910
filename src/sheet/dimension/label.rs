//! The lettering of one dimension as a block: its letter, value, deviations, and the other unit in brackets.

use crate::drawing::{Item, Lettering, Text, measure};
use crate::geometry::Point;
use crate::quantity::LengthUnit;
use crate::sheet::view::Style;
use crate::wheel::{Measure, Requirement};

/// Share of the capital height that commas, brackets and descending letters reach below the baseline (DejaVu Sans: 0.18; measured).
const DESCENT: f64 = 0.2;
/// Share of the capital height that brackets reach above the capitals (DejaVu Sans: 0.04; measured).
const RISE: f64 = 0.06;
/// Clear height between the upper and the lower deviation, in capital heights: more than 1 mm of paper at 3.5 mm, below a comma.
const STACK_GAP: f64 = 0.5;
/// Gap between neighbouring parts, in capital heights.
const PART_GAP: f64 = 0.45;

#[derive(Debug, Clone, PartialEq)]
enum Part {
    Plain(String, Lettering),
    Stack(String, String),
}

/// A block of lettering on one baseline.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    parts: Vec<Part>,
    height: f64,
    /// Its value as printed, without deviation and other unit.
    pub printed: String,
    /// Its width, mm.
    pub width: f64,
    /// How far it reaches above the baseline, mm.
    pub above: f64,
    /// How far it reaches below the baseline, mm.
    pub below: f64,
}

impl Label {
    fn of_parts(parts: Vec<Part>, printed: String, height: f64) -> Label {
        let stacked = parts.iter().any(|p| matches!(p, Part::Stack(..)));
        let reach = if stacked { (1.0 + STACK_GAP) / 2.0 } else { 0.0 };
        let width = parts.iter().map(|p| p.width(height)).sum::<f64>()
            + PART_GAP * height * parts.len().saturating_sub(1) as f64;
        let above = height * (1.0 + RISE + reach);
        let below = height * (DESCENT + reach);
        Label { parts, height, printed, width, above, below }
    }

    /// A bare text.
    pub fn text(text: impl Into<String>, style: &Style) -> Label {
        let text = text.into();
        Label::of_parts(vec![Part::Plain(text.clone(), Lettering::Plain)], text, style.text)
    }

    /// A reference size: its letter where it has one, and the value in parentheses.
    pub fn reference(letter: &str, value: impl Into<String>, style: &Style) -> Label {
        let value = format!("({})", value.into());
        let mut parts = letter_part(letter);
        parts.push(Part::Plain(value.clone(), Lettering::Plain));
        Label::of_parts(parts, value, style.text)
    }

    /// A requirement with its letter, deviation and other unit.
    pub fn of(requirement: &Requirement, style: &Style) -> Label {
        Label::worded(requirement, style.nominal(requirement, style.unit), style)
    }

    /// A requirement whose value is written in words of its own, such as `1,5×30°`.
    pub fn worded(requirement: &Requirement, printed: String, style: &Style) -> Label {
        let mut parts = letter_part(&requirement.letter);
        parts.push(plain(printed.clone()));
        parts.extend(deviation_part(requirement, style.unit, style));
        if style.dual_units && !matches!(requirement.measure, Measure::Angle | Measure::Count) {
            let other = style.other_unit();
            let value = style.nominal(requirement, other);
            // the places are named once, before the first value
            let value = value.split_once("× ").map_or(value.as_str(), |(_, v)| v);
            match deviation_part(requirement, other, style) {
                None => parts.push(plain(format!("[{value}]"))),
                Some(Part::Plain(d, _)) => parts.push(plain(format!("[{value} {d}]"))),
                Some(stack) => parts.extend([plain(format!("[{value}")), stack, plain("]".to_owned())]),
            }
        }
        Label::of_parts(parts, printed, style.text)
    }

    /// The same with a plain word behind it, which is no part of its value.
    pub fn followed_by(self, word: impl Into<String>, style: &Style) -> Label {
        let mut parts = self.parts;
        parts.push(plain(word.into()));
        Label::of_parts(parts, self.printed, style.text)
    }

    /// Its texts, begun at `start` on the baseline and turned counter-clockwise, degrees (0 or 90).
    pub fn items(&self, start: Point, turned_deg: f64) -> Vec<Item> {
        let along = Point::polar(1.0, turned_deg.to_radians());
        // exact for the two directions in use
        let along = if turned_deg == 90.0 { Point::new(0.0, 1.0) } else { along };
        let up = along.left();
        let mut x = 0.0;
        let mut items = Vec::new();
        for part in &self.parts {
            let mut put = |content: &str, lettering: Lettering, rise: f64| {
                let text = Text::new(content, start + along * x + up * rise, self.height).turned(turned_deg);
                items.push(Item::Text(Text { lettering, ..text }));
            };
            match part {
                Part::Plain(content, lettering) => put(content, *lettering, 0.0),
                Part::Stack(upper, lower) => {
                    let step = self.height * (1.0 + STACK_GAP) / 2.0;
                    put(upper, Lettering::Plain, step);
                    put(lower, Lettering::Plain, -step);
                }
            }
            x += part.width(self.height) + PART_GAP * self.height;
        }
        items
    }
}

impl Part {
    fn width(&self, height: f64) -> f64 {
        let plain = |text: &str| measure::width(text, height, Lettering::Plain);
        match self {
            Part::Plain(text, lettering) => measure::width(text, height, *lettering),
            Part::Stack(upper, lower) => plain(upper).max(plain(lower)),
        }
    }
}

fn plain(text: String) -> Part {
    Part::Plain(text, Lettering::Plain)
}

fn letter_part(letter: &str) -> Vec<Part> {
    if letter.is_empty() { Vec::new() } else { vec![Part::Plain(letter.to_owned(), Lettering::Bold)] }
}

fn deviation_part(requirement: &Requirement, unit: LengthUnit, style: &Style) -> Option<Part> {
    let deviation = requirement.deviation?;
    let degrees = requirement.measure == Measure::Angle;
    let [upper, lower] = style.deviations(deviation, unit, degrees);
    let mark = if degrees { "°" } else { "" };
    Some(match upper.strip_prefix('+') {
        Some(size) if lower.strip_prefix('−') == Some(size) => plain(format!("±{size}{mark}")),
        _ => Part::Stack(format!("{upper}{mark}"), format!("{lower}{mark}")),
    })
}

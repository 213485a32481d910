//! The lettering of one dimension as a block: its letter, value and deviations; the other unit in brackets on a row of its own below.

use crate::drawing::{Item, Lettering, Text, measure};
use crate::geometry::Point;
use crate::quantity::LengthUnit;
use crate::sheet::view::Style;
use crate::size::Measure;
use crate::wheel::Requirement;

/// Share of the capital height that commas, brackets and descending letters reach below the baseline (DejaVu Sans: 0.18; measured).
const DESCENT: f64 = 0.2;
/// Share of the capital height that brackets reach above the capitals (DejaVu Sans: 0.04; measured).
const RISE: f64 = 0.06;
/// Clear height between the upper and the lower deviation, in capital heights: more than 1 mm of paper at 3.5 mm, below a comma.
const STACK_GAP: f64 = 0.5;
/// Gap between neighbouring parts, in capital heights.
const PART_GAP: f64 = 0.45;
/// Clear height between two rows, mm.
const ROW_GAP: f64 = 1.1;

#[derive(Debug, Clone, PartialEq)]
enum Part {
    Plain(String, Lettering),
    Stack(String, String),
}

/// Parts on one baseline.
#[derive(Debug, Clone, PartialEq)]
struct Row {
    parts: Vec<Part>,
    width: f64,
    above: f64,
    below: f64,
}

/// A block of lettering; its first row is the uppermost, its baseline that of the last.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    rows: Vec<Row>,
    height: f64,
    /// Its value as printed, without deviation and other unit.
    pub printed: String,
    /// Its width, mm.
    pub width: f64,
    /// How far it reaches above the baseline of its last row, mm.
    pub above: f64,
    /// How far it reaches below that baseline, mm.
    pub below: f64,
}

impl Row {
    fn new(parts: Vec<Part>, height: f64) -> Row {
        let stacked = parts.iter().any(|p| matches!(p, Part::Stack(..)));
        let reach = if stacked { (1.0 + STACK_GAP) / 2.0 } else { 0.0 };
        let gaps = PART_GAP * height * parts.len().saturating_sub(1) as f64;
        let width = parts.iter().map(|p| p.width(height)).sum::<f64>() + gaps;
        Row { parts, width, above: height * (1.0 + RISE + reach), below: height * (DESCENT + reach) }
    }
}

impl Label {
    fn of_rows(rows: Vec<Vec<Part>>, printed: String, height: f64) -> Label {
        let rows: Vec<Row> = rows.into_iter().map(|parts| Row::new(parts, height)).collect();
        let width = rows.iter().map(|r| r.width).fold(0.0, f64::max);
        let total: f64 = rows.iter().map(|r| r.above + r.below).sum::<f64>();
        let below = rows.last().map_or(0.0, |r| r.below);
        let above = total + ROW_GAP * rows.len().saturating_sub(1) as f64 - below;
        Label { rows, height, printed, width, above, below }
    }

    /// Height of the first row's baseline above that of the last one, mm.
    pub fn first_row(&self) -> f64 {
        self.rows.first().map_or(0.0, |row| self.above - row.above)
    }

    /// A bare text.
    pub fn text(text: impl Into<String>, style: &Style) -> Label {
        let text = text.into();
        Label::of_rows(vec![vec![plain(text.clone())]], text, style.text)
    }

    /// The letter of a detail.
    pub fn letter(letter: char, style: &Style) -> Label {
        let text = letter.to_string();
        Label::of_rows(vec![vec![plain(text.clone())]], text, style.letter)
    }

    /// A reference size: its letter where it has one, and the value in parentheses.
    pub fn reference(letter: &str, value: impl Into<String>, style: &Style) -> Label {
        let value = format!("({})", value.into());
        let mut parts = letter_part(letter);
        parts.push(plain(value.clone()));
        Label::of_rows(vec![parts], value, style.text)
    }

    /// A length for reference, in both units where both are printed; `sign` stands before the value, such as `R`.
    pub fn reference_length(letter: &str, sign: &str, mm: f64, style: &Style) -> Label {
        let mut label = Label::reference(letter, format!("{sign}{}", style.length(mm)), style);
        if style.dual_units {
            label = label.above_row(vec![plain(format!("[{}]", style.other_length(mm)))]);
        }
        label
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
        let label = Label::of_rows(vec![parts], printed, style.text);
        if style.dual_units && !matches!(requirement.measure(), Measure::Angle | Measure::Count) {
            return label.above_row(other_unit(requirement, style));
        }
        label
    }

    /// The letter alone: value and deviation stand in the table. A size without a letter keeps its value.
    pub fn lettered(requirement: &Requirement, style: &Style) -> Label {
        if requirement.letter.is_empty() {
            return Label::of(requirement, style);
        }
        let printed = requirement.letter.clone();
        Label::of_rows(vec![letter_part(&printed)], printed, style.text)
    }

    /// The same with one more row below.
    fn above_row(self, parts: Vec<Part>) -> Label {
        let mut rows: Vec<Vec<Part>> = self.rows.into_iter().map(|r| r.parts).collect();
        rows.push(parts);
        Label::of_rows(rows, self.printed, self.height)
    }

    /// The same with a plain word behind its first row, which is no part of its value.
    pub fn followed_by(self, word: impl Into<String>, style: &Style) -> Label {
        let mut rows: Vec<Vec<Part>> = self.rows.into_iter().map(|r| r.parts).collect();
        if let Some(first) = rows.first_mut() {
            first.push(plain(word.into()));
        }
        Label::of_rows(rows, self.printed, style.text)
    }

    /// Its texts, begun at `start` on the baseline of the last row and turned counter-clockwise, degrees (0 or 90); rows are centred.
    pub fn items(&self, start: Point, turned_deg: f64) -> Vec<Item> {
        let along = if turned_deg == 90.0 { Point::new(0.0, 1.0) } else { Point::new(1.0, 0.0) };
        let up = along.left();
        let mut items = Vec::new();
        let mut rise = 0.0;
        for (i, row) in self.rows.iter().enumerate().rev() {
            if i + 1 < self.rows.len() {
                rise += self.rows[i + 1].above + ROW_GAP + row.below;
            }
            let first = start + along * ((self.width - row.width) / 2.0) + up * rise;
            items.extend(self.row_items(row, first, along, turned_deg));
        }
        items
    }

    fn row_items(&self, row: &Row, start: Point, along: Point, turned_deg: f64) -> Vec<Item> {
        let up = along.left();
        let mut x = 0.0;
        let mut items = Vec::new();
        for part in &row.parts {
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

/// The value and its deviation in the other unit, in brackets; signs and places stand in the first row.
fn other_unit(requirement: &Requirement, style: &Style) -> Vec<Part> {
    let other = style.other_unit();
    let value = style.written().pair(requirement, other).0;
    match deviation_part(requirement, other, style) {
        None => vec![plain(format!("[{value}]"))],
        Some(Part::Plain(d, _)) => vec![plain(format!("[{value} {d}]"))],
        Some(stack) => vec![plain(format!("[{value}")), stack, plain("]".to_owned())],
    }
}

fn deviation_part(requirement: &Requirement, unit: LengthUnit, style: &Style) -> Option<Part> {
    let degrees = requirement.measure() == Measure::Angle;
    let [upper, lower] = style.written().pair(requirement, unit).1?;
    let mark = if degrees { "°" } else { "" };
    Some(match upper.strip_prefix('+') {
        Some(size) if lower.strip_prefix('−') == Some(size) => plain(format!("±{size}{mark}")),
        _ => Part::Stack(format!("{upper}{mark}"), format!("{lower}{mark}")),
    })
}

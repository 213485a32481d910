//! The groove planner as data: every count in a table, those that meet all limits first, and curves over the count.

use super::{Axis, Column, Content, Mark, Paper, Plot, Series, Table, Value};
use crate::properties::planner::{Choice, Limits};
use crate::quantity::LengthUnit;

/// What counts were tried for, besides the choices themselves.
#[derive(Debug, Clone, Copy)]
pub struct Planned<'a> {
    /// Every count, those that meet all limits first.
    pub choices: &'a [Choice],
    /// What they were held against.
    pub limits: &'a Limits,
    /// Natural frequencies of the machine, Hz.
    pub natural: &'a [f64],
    /// Which grooves of what, in a sentence.
    pub about: &'a str,
    /// Unit of lengths.
    pub unit: LengthUnit,
}

/// The paper of a sweep over counts.
pub fn planner(title: &str, planned: &Planned) -> Paper {
    let mut paper = Paper::new(title);
    let met = planned.choices.iter().filter(|c| c.against.is_empty()).count();
    let mut head = vec![planned.about.to_owned()];
    head.push(format!("{met} of {} counts meet all limits.", planned.choices.len()));
    paper.notes(title, head);
    paper.push("Counts, those that meet all limits first", Content::Table(planned.table()));
    paper.push("Land between two grooves", Content::Plot(planned.lands()));
    paper.push("Share of the ring that stays land", Content::Plot(planned.share()));
    for (title, plot) in [
        ("Coolant carried in one revolution", planned.coolant()),
        ("Groove frequency", planned.frequency()),
        ("Greatest error of the pitch by the indexing head", planned.index()),
    ] {
        if !plot.series[0].points.is_empty() {
            paper.push(title, Content::Plot(plot));
        }
    }
    paper
}

impl Planned<'_> {
    /// A length in the unit, and its decimals.
    fn length(&self, mm: f64) -> (f64, usize) {
        self.unit.calculated(mm)
    }

    fn table(&self) -> Table {
        let symbol = self.unit.symbol();
        let columns = [
            ("Count", ""),
            ("Pitch", "°"),
            ("Land outside", symbol),
            ("Land inside", symbol),
            ("Land", "%"),
            ("Coolant", "cm³"),
            ("Wall left", symbol),
            ("Frequency", "Hz"),
            ("Index error", "°"),
            ("Against it", ""),
        ];
        let lines = self.choices.iter().map(|c| self.line(c)).collect();
        let columns = columns.into_iter().map(|(label, unit)| Column::new(label, unit)).collect();
        Table { columns, lines, source: String::from("the grooves as given, their count alone changed") }
    }

    fn line(&self, c: &Choice) -> Vec<Value> {
        let length = |mm: f64| {
            let (value, decimals) = self.length(mm);
            Value::number(value, decimals)
        };
        let against: Vec<&str> = c.against.iter().map(|a| a.word()).collect();
        vec![
            Value::number(f64::from(c.count), 0),
            Value::number(c.pitch_deg, 3),
            length(c.lands.outer),
            length(c.lands.inner),
            Value::number(100.0 * c.lands.share, 1),
            Value::optional(c.coolant.map(|v| v / 1000.0), 1),
            c.wall.map_or(Value::Unknown, length),
            Value::optional(c.frequency, 0),
            Value::optional(c.index_error, 4),
            Value::text(if against.is_empty() { "–".to_owned() } else { against.join(", ") }),
        ]
    }

    /// A curve over rising counts.
    fn curve(&self, label: &str, y: impl Fn(&Choice) -> Option<f64>) -> Series {
        let mut points: Vec<(f64, f64)> =
            self.choices.iter().filter_map(|c| Some((f64::from(c.count), y(c)?))).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        Series { label: label.to_owned(), points }
    }

    fn plot(y: Axis, series: Vec<Series>, marks: Vec<Mark>, source: &str) -> Plot {
        Plot { x: Axis::new("grooves all round", "count"), y, series, marks, source: source.to_owned() }
    }

    fn lands(&self) -> Plot {
        let series = vec![
            self.curve("at the outside diameter", |c| Some(self.length(c.lands.outer).0)),
            self.curve("at the inner end", |c| Some(self.length(c.lands.inner).0)),
        ];
        let least = Mark { label: "least land".into(), on_y: true, at: self.length(self.limits.land_least).0 };
        Self::plot(Axis::new("land", self.unit.symbol()), series, vec![least], "arc between neighbouring walls")
    }

    fn share(&self) -> Plot {
        let series = vec![self.curve("land share", |c| Some(100.0 * c.lands.share))];
        let least = Mark { label: "least share".into(), on_y: true, at: 100.0 * self.limits.share_least };
        Self::plot(Axis::new("land share", "%"), series, vec![least], "ungrooved share of the ring, in plan")
    }

    fn coolant(&self) -> Plot {
        let series = vec![self.curve("coolant", |c| c.coolant.map(|v| v / 1000.0))];
        Self::plot(Axis::new("coolant", "cm³"), series, Vec::new(), "N × volume of one groove")
    }

    fn frequency(&self) -> Plot {
        let series = vec![self.curve("groove frequency", |c| c.frequency)];
        let top = series[0].points.last().map_or(0.0, |p| p.1);
        let near = self.natural.iter().filter(|f| **f <= 1.2 * top);
        let marks = near.map(|&at| Mark { label: "natural".into(), on_y: true, at }).collect();
        Self::plot(Axis::new("frequency", "Hz"), series, marks, "N·n/60")
    }

    fn index(&self) -> Plot {
        let series = vec![self.curve("error of the pitch", |c| c.index_error)];
        Self::plot(Axis::new("error", "°"), series, Vec::new(), "places rounded to the step of the indexing head")
    }
}

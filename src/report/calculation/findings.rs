//! What the rules said.

use super::Basis;
use crate::quantity::{LengthUnit, MM_PER_INCH};
use crate::report::{Column, Content, Paper, Table, Value};
use crate::rules::{Finding, Verdict};

impl Basis<'_> {
    pub(super) fn findings(&self, paper: &mut Paper) {
        let outcome = self.outcome;
        let verdict = match outcome.verdict {
            Verdict::Stop => "STOP: a rule stops this order. NOT RELEASED.",
            Verdict::Ask => "ASK: nothing stops this order, but the customer is to be asked.",
            Verdict::Clear => "CLEAR: nothing stops this order and nothing is open.",
        };
        paper.notes("Verdict", vec![verdict.to_owned()]);
        if !outcome.findings.is_empty() {
            paper.push("Findings", Content::Table(self.table()));
        }
        let told = |list: &[crate::rules::NotEvaluated]| -> Vec<String> {
            list.iter().map(|n| format!("{}: {}.", n.rule, n.why)).collect()
        };
        paper.notes("Not evaluated", told(&outcome.not_evaluated));
        let off = outcome.switched_off.iter().map(|o| format!("{}: {}", o.rule, o.why));
        paper.notes("Switched off by the shop", off.collect());
    }

    fn table(&self) -> Table {
        let columns = vec![
            Column::new("Weight", ""),
            Column::new("Rule", ""),
            Column::new("Finding", ""),
            Column::new("Measured", ""),
            Column::new("Limit", ""),
            Column::new("Unit", ""),
            Column::new("Source", ""),
            Column::new("Basis", ""),
        ];
        let lines = self.outcome.findings.iter().map(|f| self.line(f)).collect();
        Table { columns, lines, source: format!("limits: {}", self.shop.name()) }
    }

    fn line(&self, f: &Finding) -> Vec<Value> {
        let inches = f.unit == "mm" && self.job.units == LengthUnit::Inch;
        let (scale, decimals, unit) = if inches { (MM_PER_INCH, 4, "in") } else { (1.0, 3, f.unit.as_str()) };
        let number = |v: Option<f64>| Value::optional(v.map(|v| v / scale), decimals);
        let edition = if f.edition.is_empty() { String::new() } else { format!(", {}", f.edition) };
        vec![
            Value::text(f.severity.word()),
            Value::text(f.id),
            Value::text(&f.message),
            number(f.measured),
            number(f.limit),
            Value::text(unit),
            Value::text(format!("{}{edition}", f.source)),
            Value::text(f.basis.word()),
        ]
    }
}

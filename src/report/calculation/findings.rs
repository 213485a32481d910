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
            list.iter().map(|n| format!("{}: {}.", n.rule, self.written.sentence(&n.why))).collect()
        };
        paper.notes("Not evaluated", told(&outcome.not_evaluated));
        let off = outcome.switched_off.iter().map(|o| format!("{}: {}", o.rule, o.why));
        paper.notes("Switched off by the shop", off.collect());
    }

    fn table(&self) -> Table {
        let columns = vec![
            Column::new("Rule", ""),
            Column::new("Finding", ""),
            Column::new("Measured / limit", ""),
            Column::new("Source (basis)", ""),
        ];
        let lines = self.outcome.findings.iter().map(|f| self.line(f)).collect();
        Table { columns, lines, source: format!("limits: {}", self.shop.name()) }
    }

    fn line(&self, f: &Finding) -> Vec<Value> {
        vec![
            Value::text(format!("{} {}", f.severity.word(), f.id)),
            Value::text(self.written.sentence(&f.message)),
            Value::text(self.compared(f)),
            Value::text(f.said_by()),
        ]
    }

    /// What was measured and what it was held against: `5,389 / 13,7 MPa`; a dash where a finding measures nothing.
    fn compared(&self, f: &Finding) -> String {
        let inches = f.unit == "mm" && self.job.units == LengthUnit::Inch;
        let (scale, unit) = if inches { (MM_PER_INCH, "in") } else { (1.0, f.unit.as_str()) };
        let number = |v: f64| {
            let v = v / scale;
            // about five digits
            let decimals = (4.0 - v.abs().max(1.0).log10().floor()).clamp(0.0, 4.0) as usize;
            self.written.plain(v, decimals)
        };
        match (f.measured, f.limit) {
            (Some(measured), Some(limit)) => format!("{} / {} {unit}", number(measured), number(limit)),
            (Some(measured), None) => format!("{} {unit}", number(measured)),
            _ => "–".to_owned(),
        }
        .trim_end()
        .to_owned()
    }
}

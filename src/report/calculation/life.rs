//! Balance, wear and dressing.

use super::Basis;
use crate::properties::balance::{causes, correction, permissible_mass};
use crate::properties::dressing::saving;
use crate::properties::wear::{self, Wear};
use crate::quantity::fixed;
use crate::report::{Axis, Column, Content, Paper, Plot, Row, Series, Table, Value};
use crate::rules::LimitKey;
use crate::wheel::SideName;

/// Steps of the wear table.
const STEPS: usize = 8;

impl Basis<'_> {
    pub(super) fn balance(&self, paper: &mut Paper) {
        let (Some(mass), Some(density)) = (self.numbers.wheel.mass, self.density) else {
            let why = "Unbalance is not computed: it needs a density.";
            return paper.notes("Balance", vec![why.to_owned()]);
        };
        let radius = self.job.wheel.outside_radius();
        let mut rows = Vec::new();
        let mut unbalance = |label: String, value: f64, source: String| {
            rows.push(Row::new(label, Value::number(value, 0), "g·mm").symbol("U").source(source));
        };
        if let Some(k) = self.shop.balance_k() {
            let grams = permissible_mass(k, mass);
            let limit = self.shop.limit(LimitKey::UnbalanceK);
            let source =
                format!("k·√m = {} g at the periphery; {} ({})", fixed(grams, 1), limit.source, limit.basis.word());
            unbalance("Permissible".into(), grams * radius, source);
        }
        let omitted = self.numbers.wheel.unbalance.unwrap_or(0.0);
        unbalance("By omitted grooves".into(), omitted, "static moment × density".into());
        let lower = self.shop.length(LimitKey::SpindleLowerDeviation);
        for cause in causes(self.job, &self.section, density.value, lower) {
            unbalance(format!("At worst: {}", cause.what), cause.unbalance, cause.how.into());
        }
        paper.rows("Balance", rows);
        let Some(heavy) = self.numbers.wheel.static_moment_deg.filter(|_| omitted >= 1.0) else { return };
        let fix = correction(omitted, heavy, &self.job.wheel, self.job.mount.flange_diameter);
        let flange = fix.at_flange.map_or(String::new(), |g| format!(" or {} g at the flange's edge", fixed(g, 1)));
        let note = format!(
            "Heavy towards {}° (counter-clockwise from +x, seen from outside side A). Correct with {} g at the outside diameter{flange} at {}°.",
            fixed(fix.heavy_deg, 1),
            fixed(fix.at_outside, 1),
            fixed(fix.light_deg, 1)
        );
        paper.notes("Correction", vec![note]);
    }

    pub(super) fn wear(&self, paper: &mut Paper) {
        let Some(wear) = wear::of(self.job, self.density.map(|d| d.value), STEPS) else {
            let why = "Wear is not tabled: it needs the machine's travel or the flange diameter.";
            return paper.notes("Wear", vec![why.to_owned()]);
        };
        paper.push("Wear", Content::Table(self.wear_table(&wear)));
        if wear.stages.iter().any(|s| s.speed.is_some()) {
            paper.push("Speed through wear", Content::Plot(self.wear_plot(&wear)));
        }
        let told = wear.events.iter().map(|(d, event)| {
            let (value, decimals) = self.in_unit(*d);
            format!("At Ø{} {}: {}.", fixed(value, decimals), self.job.units.symbol(), event.words())
        });
        paper.notes("What happens as the wheel wears", told.collect());
    }

    fn wear_table(&self, wear: &Wear) -> Table {
        let unit = self.job.units.symbol();
        let mut columns = vec![
            Column::new("Outside diameter", unit),
            Column::new("Speed at the machine's rpm", "m/s"),
            Column::new("Rpm for the speed when new", "1/min"),
            Column::new("Mass", "kg"),
            Column::new("Energy", "J"),
            Column::new("Rim", unit),
        ];
        let grooved = SideName::BOTH.map(|s| self.job.wheel.side(s).grooves.is_some());
        for (name, _) in SideName::BOTH.into_iter().zip(grooved).filter(|(_, g)| *g) {
            columns.push(Column::new(format!("Land share {}", name.letter()), "%"));
            columns.push(Column::new(format!("Groove length {}", name.letter()), unit));
        }
        if self.job.wheel.face.is_some() {
            columns.push(Column::new("Face groove depth", unit));
        }
        let lines = wear.stages.iter().map(|s| {
            let mut line = vec![
                self.cell(s.diameter),
                Value::optional(s.speed, 2),
                Value::optional(s.rpm_constant_speed, 0),
                Value::optional(s.mass, 2),
                Value::optional(s.energy, 0),
                self.cell(s.rim),
            ];
            for (side, _) in s.sides.iter().zip(grooved).filter(|(_, g)| *g) {
                line.push(Value::optional(side.map(|(share, _)| 100.0 * share), 1));
                line.push(side.map_or(Value::Unknown, |(_, length)| self.cell(length)));
            }
            if self.job.wheel.face.is_some() {
                line.push(s.face_depth.map_or(Value::Unknown, |d| self.cell(d)));
            }
            line
        });
        Table {
            columns,
            lines: lines.collect(),
            source: String::from("the same wheel cut smaller, corners dressed again"),
        }
    }

    fn wear_plot(&self, wear: &Wear) -> Plot {
        // a plot runs to the right: from worn out to new
        let points = |y: &dyn Fn(&wear::WearStage) -> Option<f64>| -> Vec<(f64, f64)> {
            wear.stages.iter().rev().filter_map(|s| Some((self.in_unit(s.diameter).0, y(s)?))).collect()
        };
        Plot {
            x: Axis::new("outside diameter", self.job.units.symbol()),
            y: Axis::new("surface speed at the machine's rpm", "m/s"),
            series: vec![Series { label: String::from("surface speed"), points: points(&|s| s.speed) }],
            marks: Vec::new(),
            source: String::from("π·D·n"),
        }
    }

    pub(super) fn dressing(&self, paper: &mut Paper) {
        let job = self.job;
        let ordered = job.tooling.side_dress_lead;
        let lead = ordered.unwrap_or_else(|| self.shop.length(LimitKey::SideDressLead));
        let inner = job.mount.flange_diameter.map_or(job.wheel.bore, |f| self.shop.flange_clearance(f));
        let from = if job.mount.flange_diameter.is_some() { "the flange's clearance" } else { "the bore" };
        for name in SideName::BOTH {
            let Some(step) = job.wheel.side(name).recess.first() else { continue };
            let s = saving(job.wheel.outside_diameter, step.diameter, inner, lead, job.machine.spindle_rpm);
            let lead_from = if ordered.is_some() { "order" } else { "shop's file" };
            let mut rows = vec![self.length("Lead of the diamond per revolution", lead).source(lead_from)];
            for (label, d) in [("without the recess", s.without), ("with the recess", s.with)] {
                let from = if label.starts_with("without") {
                    format!("from {from} out")
                } else {
                    "from the recess out".into()
                };
                rows.push(Row::new(format!("Area {label}"), Value::number(d.area / 100.0, 0), "cm²").source(from));
                rows.push(
                    Row::new(format!("Diamond path {label}"), Value::number(d.path, 0), "m").source("area / lead"),
                );
                rows.push(Row::new(format!("Time {label}"), Value::optional(d.time, 0), "s").source("turns / n"));
            }
            rows.push(Row::new("Spared: area and diamond", Value::number(100.0 * s.area_share, 1), "%"));
            rows.push(Row::new("Spared: time", Value::number(100.0 * s.time_share, 1), "%"));
            paper.rows(format!("Dressing side {}", name.letter()), rows);
        }
    }
}

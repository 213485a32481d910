//! Balance, wear and dressing.

use super::Basis;
use crate::properties::balance::{self, causes, correction, permissible_mass};
use crate::properties::clamping::{Bolts, Clamping};
use crate::properties::dressing::{life_saving, saving};
use crate::properties::wear::{self, Wear};
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
        let grams = permissible_mass(self.shop.balance_k(), mass);
        let limit = self.shop.limit(LimitKey::UnbalanceK);
        let at = self.digits(grams, 1);
        let source = format!("k·√m = {at} g at the periphery; {} ({})", limit.source, limit.basis.word());
        unbalance("Permissible".into(), grams * radius, source);
        let omitted = self.numbers.wheel.unbalance.unwrap_or(0.0);
        unbalance("By omitted grooves".into(), omitted, "static moment × density".into());
        let lower = self.shop.limits().spindle_lower_deviation;
        for cause in causes(self.job, self.section, self.numbers.wheel.volume, density.value, lower) {
            unbalance(format!("At worst: {}", cause.what), cause.unbalance, cause.how.into());
        }
        rows.extend(self.unbalance_rows(mass, omitted));
        paper.rows("Balance", rows);
        let Some(heavy) = self.numbers.wheel.static_moment_deg.filter(|_| omitted >= 1.0) else { return };
        let fix = correction(omitted, heavy, &self.job.wheel, self.job.mount.flange_diameter);
        let flange =
            fix.at_flange.map_or(String::new(), |g| format!(" or {} g at the flange's edge", self.digits(g, 1)));
        let note = format!(
            "Heavy towards {}° (counter-clockwise from +x, seen from outside side A). Correct with {} g at the outside diameter{flange} at {}°.",
            self.digits(fix.heavy_deg, 1),
            self.digits(fix.at_outside, 1),
            self.digits(fix.light_deg, 1)
        );
        paper.notes("Correction", vec![note]);
    }

    /// The permitted unbalance, or that of omitted grooves where there is no limit, as a force and a grade at the spindle's speed.
    fn unbalance_rows(&self, mass: f64, omitted: f64) -> Vec<Row> {
        let Some(rpm) = self.job.machine.spindle_rpm else { return Vec::new() };
        let (what, value) = match self.outcome.permitted_unbalance.known() {
            Some(permitted) => ("The permitted one", *permitted),
            None => ("That of omitted grooves", omitted),
        };
        vec![
            Row::new(format!("{what}, as a force at the machine's rpm"), Value::number(balance::force(value, rpm), 1), "N")
                .symbol("F")
                .source("U·ω²"),
            Row::new(format!("{what}, as a grade"), Value::number(balance::grade(value, mass, rpm), 2), "mm/s")
                .symbol("G")
                .source("U·n/(9549·m), ISO 21940-11"),
        ]
    }

    /// What the hub's bolts press with, by the shop's figures; nothing where the order gives no bearing ring.
    pub(super) fn clamping(&self, paper: &mut Paper) {
        let (Some(flange), Some(width)) = (self.job.mount.flange_diameter, self.job.mount.flange_bearing_width) else { return };
        let bolts = Bolts {
            count: self.shop.limits().hub_bolts,
            diameter: self.shop.limits().hub_bolt_diameter,
            torque: self.shop.limits().bolt_torque,
            nut_factor: self.shop.limits().nut_factor,
        };
        let to = flange / 2.0;
        let from = (to - width).max(self.job.wheel.bore_radius() + self.job.wheel.bore_chamfer);
        if from >= to {
            return;
        }
        let clamping = Clamping::of(bolts, from, to, self.shop.limits().blotter_friction);
        let torque = self.shop.limit(LimitKey::BoltTorque);
        let given = format!(
            "{} bolts of {} mm at {} N·m, K {} (shop's file); torque: {} ({})",
            self.written.plain(bolts.count, 0),
            self.written.plain(bolts.diameter, 1),
            self.written.plain(bolts.torque, 1),
            self.written.plain(bolts.nut_factor, 2),
            torque.source,
            torque.basis.word()
        );
        let rim = clamping.at_rim(self.job.wheel.outside_radius());
        let rows = vec![
            Row::new("Clamping force", Value::number(clamping.force / 1000.0, 1), "kN").source(given),
            Row::new("Pressure on the bearing ring", Value::number(clamping.pressure, 2), "MPa").source("force / area of the ring"),
            Row::new("Torque held by friction", Value::number(clamping.held, 0), "N·m").source("both flanges, mean radius"),
            Row::new("Grinding force held at the outside diameter", Value::number(rim, 0), "N").source("torque / radius"),
        ];
        paper.rows("Clamping between the flanges", rows);
    }

    pub(super) fn wear(&self, paper: &mut Paper) {
        let Some(wear) = wear::of(self.job, self.density.map(|d| d.value), STEPS) else {
            let why = "Wear is not tabled: it needs the machine's travel or the flange diameter.";
            return paper.notes("Wear", vec![why.to_owned()]);
        };
        paper.push("Wear", Content::Table(self.wear_table(&wear)));
        paper.push("Through wear, in per cent of the new wheel", Content::Plot(self.wear_plot(&wear)));
        for name in SideName::BOTH.into_iter().filter(|s| self.job.wheel.side(*s).grooves.is_some()) {
            let title = format!("Grooves of side {} through wear", name.letter());
            paper.push(title, Content::Plot(self.groove_plot(&wear, name)));
        }
        let told = wear.events.iter().map(|(d, event)| {
            let (value, decimals) = self.in_unit(*d);
            format!("At Ø{} {}: {}.", self.digits(value, decimals), self.job.units.symbol(), event.words())
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

    /// One curve over the diameter; a plot runs to the right, from worn out to new.
    fn through_wear(&self, wear: &Wear, label: &str, y: &dyn Fn(&wear::WearStage) -> Option<f64>) -> Series {
        let at = |s: &wear::WearStage| Some((self.in_unit(s.diameter).0, y(s)?));
        Series { label: label.to_owned(), points: wear.stages.iter().rev().filter_map(at).collect() }
    }

    /// A plot over the diameter, in per cent; curves without a point are left out.
    fn per_cent(&self, series: Vec<Series>, source: &str) -> Plot {
        Plot {
            x: Axis::new("outside diameter", self.job.units.symbol()),
            y: Axis::new("share", "%"),
            series: series.into_iter().filter(|s| !s.points.is_empty()).collect(),
            marks: Vec::new(),
            source: source.to_owned(),
        }
    }

    fn wear_plot(&self, wear: &Wear) -> Plot {
        let new = wear.stages.first();
        let of_new = |label: &str, y: &dyn Fn(&wear::WearStage) -> Option<f64>| {
            self.through_wear(wear, label, &|s| Some(100.0 * y(s)? / new.and_then(y)?))
        };
        let series = vec![
            of_new("speed at a fixed rpm", &|s| Some(s.diameter)),
            of_new("rpm for constant speed", &|s| s.rpm_constant_speed),
            of_new("mass", &|s| s.mass),
        ];
        self.per_cent(series, "π·D·n; the wheel cut smaller")
    }

    fn groove_plot(&self, wear: &Wear, name: SideName) -> Plot {
        let i = usize::from(name == SideName::B);
        let new = wear.stages.first().and_then(|s| s.sides[i]).map_or(f64::NAN, |(_, length)| length);
        let series = vec![
            self.through_wear(wear, "land share", &|s| Some(100.0 * s.sides[i]?.0)),
            self.through_wear(wear, "groove length left, of the new one", &|s| Some(100.0 * s.sides[i]?.1 / new)),
        ];
        self.per_cent(series, "the grooves as ordered, the wheel cut smaller")
    }

    pub(super) fn dressing(&self, paper: &mut Paper) {
        let job = self.job;
        let ordered = job.tooling.side_dress_lead;
        let lead = ordered.unwrap_or_else(|| self.shop.limits().side_dress_lead);
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
            rows.extend(self.life_rows(step.diameter, inner, lead));
            paper.rows(format!("Dressing side {}", name.letter()), rows);
        }
    }

    /// What a recess spares at every side dressing of the wheel's life; nothing where the order does not say how far it is used.
    fn life_rows(&self, recess: f64, inner: f64, lead: f64) -> Vec<Row> {
        let job = self.job;
        let Some(travel) = job.machine.travel_on_diameter() else { return Vec::new() };
        let outer = job.wheel.outside_diameter;
        let between = self.shop.limits().wear_per_side_dressing;
        let life = life_saving(outer, outer - travel, between, recess, inner, lead, job.machine.spindle_rpm);
        let (each, decimals) = self.in_unit(between);
        let source = format!("one for each {} {} of radius (shop's file)", self.digits(each, decimals), job.units.symbol());
        vec![
            Row::new("Side dressings of its life", Value::number(f64::from(life.dressings), 0), "").source(source),
            Row::new("Diamond path spared over its life", Value::number(life.path, 0), "m").source("sum of all dressings"),
            Row::new("Time spared over its life", Value::optional(life.time.map(|t| t / 60.0), 1), "min").source("sum of all dressings"),
        ]
    }
}

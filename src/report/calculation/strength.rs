//! Speeds, energies and stress.

use super::Basis;
use crate::properties::speed::{self, angular, energy, marked_rpm, rpm_at, surface_speed};
use crate::properties::stress::{Load, Stresses, WheelDisc};
use crate::quantity::LengthUnit;
use crate::report::{Axis, Content, Mark, Paper, Plot, Row, Series, Value};
use crate::rules::LimitKey;

/// Metres per second in a foot per minute.
const M_S_PER_FT_MIN: f64 = 0.3048 / 60.0;

impl Basis<'_> {
    fn marked(&self) -> Option<f64> {
        self.job.blank.as_ref()?.max_operating_speed
    }

    fn test_speed(&self) -> Option<f64> {
        let marked = self.marked()?;
        Some(marked * self.shop.test_factor(marked)?)
    }

    /// A speed, with feet per minute behind it where the order is in inches.
    fn speed_rows(&self, label: &str, speed: Option<f64>, source: &str) -> Vec<Row> {
        let mut rows = vec![Row::new(label, Value::optional(speed, 2), "m/s").symbol("v").source(source)];
        if let (LengthUnit::Inch, Some(v)) = (self.job.units, speed) {
            rows.push(Row::new(label, Value::number(v / M_S_PER_FT_MIN, 0), "ft/min").symbol("v"));
        }
        rows
    }

    pub(super) fn speeds(&self, paper: &mut Paper) {
        let d = self.job.wheel.outside_diameter;
        let (marked, test, rpm) = (self.marked(), self.test_speed(), self.job.machine.spindle_rpm);
        let inertia = self.numbers.wheel.polar_inertia;
        let joules = |rpm: Option<f64>| Value::optional(rpm.zip(inertia).map(|(n, i)| energy(i, n)), 0);
        let mut rows = Vec::new();
        rows.extend(self.speed_rows("Surface speed at the machine's rpm", rpm.map(|n| surface_speed(d, n)), "π·D·n"));
        rows.push(Row::new("Machine", Value::optional(rpm, 0), "1/min").symbol("n").source("order"));
        rows.extend(self.speed_rows("Marked maximum speed", marked, "blank's marking"));
        let floor = marked.map(|v| f64::from(marked_rpm(d, v)));
        rows.push(Row::new("Rpm to mark, rounded down", Value::optional(floor, 0), "1/min").source("v/(π·D)"));
        rows.extend(self.speed_rows("Speed test", test, "factor of the shop's file × marked"));
        let test_rpm = test.map(|v| rpm_at(d, v));
        let least = test.map(|v| f64::from(speed::test_rpm(d, v)));
        rows.push(Row::new("Rpm of the speed test, rounded up", Value::optional(least, 0), "1/min").source("v/(π·D)"));
        rows.push(Row::new("Energy at the machine's rpm", joules(rpm), "J").symbol("E").source("½·I·ω²"));
        rows.push(Row::new("Energy at the speed test", joules(test_rpm), "J").symbol("E").source("½·I·ω²"));
        paper.rows("Speed", rows);
    }

    pub(super) fn stress(&self, paper: &mut Paper) {
        let (Some(marked), Some(density)) = (self.marked(), self.density) else {
            let why = "Stress is not computed: it needs the marked speed and a density.";
            return paper.notes("Stress", vec![why.to_owned()]);
        };
        let load = Load {
            density: density.value,
            poisson: self.shop.share(LimitKey::PoissonRatio),
            angular: angular(rpm_at(self.job.wheel.outside_diameter, marked)),
        };
        let working = match WheelDisc::of(&self.job.wheel, self.section).stresses(load) {
            Ok(stresses) => stresses,
            Err(e) => return paper.notes("Stress", vec![format!("Stress is not computed: {e}.")]),
        };
        paper.rows("Stress at the marked speed", self.stress_rows(&working));
        if let Some(factor) = self.shop.test_factor(marked) {
            let test = working.at_speed(factor);
            paper.rows("Stress at the speed test", self.stress_rows(&test));
            paper.push("Stress along the radius at the speed test", Content::Plot(self.stress_plot(&test)));
        }
        paper.notes("Stress: a guide", vec![self.stress_note()]);
    }

    fn stress_rows(&self, s: &Stresses) -> Vec<Row> {
        let mpa =
            |label: &str, value: f64, symbol: &str| Row::new(label, Value::number(value, 3), "MPa").symbol(symbol);
        let mut rows = vec![mpa("Hoop stress at the bore", s.bore_hoop(), "σθ")];
        if let Some(most) = s.greatest_hoop().filter(|p| p.hoop > s.bore_hoop() * (1.0 + 1e-9)) {
            let (at, decimals) = self.in_unit(most.r);
            let source = format!("at radius {} {}", self.digits(at, decimals), self.job.units.symbol());
            rows.push(mpa("Greatest hoop stress", most.hoop, "σθ").source(source));
        }
        if let Some(most) = s.greatest_radial() {
            let (at, decimals) = self.in_unit(most.r);
            let source = format!("at radius {} {}", self.digits(at, decimals), self.job.units.symbol());
            rows.push(mpa("Greatest radial stress", most.radial, "σr").source(source));
        }
        rows.push(mpa("Hoop stress at the outside diameter", s.rim_hoop(), "σθ"));
        rows
    }

    fn stress_plot(&self, s: &Stresses) -> Plot {
        let curve = |label: &str, y: &dyn Fn(&crate::properties::stress::StressAt) -> f64| Series {
            label: label.to_owned(),
            points: s.points.iter().map(|p| (self.in_unit(p.r).0, y(p))).collect(),
        };
        let (low, high) = self.shop.span(LimitKey::TensileStrength);
        let top = s.greatest();
        // a limit far above the curve would only flatten it
        let marks = [(low, "least strength of vitrified wheels"), (high, "greatest strength of vitrified wheels")]
            .into_iter()
            .filter(|(at, _)| *at <= 1.5 * top)
            .map(|(at, label)| Mark { label: label.to_owned(), on_y: true, at })
            .collect();
        Plot {
            x: Axis::new("radius", self.job.units.symbol()),
            y: Axis::new("stress", "MPa"),
            series: vec![curve("hoop", &|p| p.hoop), curve("radial", &|p| p.radial)],
            marks,
            source: String::from("finite elements along the radius, plane stress"),
        }
    }

    fn stress_note(&self) -> String {
        let (low, high) = self.shop.span(LimitKey::TensileStrength);
        format!(
            "Plane stress in a turning disc of varying thickness, ν = {}; layers cut by grooves carry their load but no hoop stress. Without \
             notches, clamping, heat and grinding forces. Vitrified wheels hold {} to {} MPa ({}, {}). No formula replaces the speed test.",
            self.written.plain(self.shop.share(LimitKey::PoissonRatio), 3),
            self.written.plain(low, 2),
            self.written.plain(high, 2),
            self.shop.limit(LimitKey::TensileStrength).source,
            self.shop.limit(LimitKey::TensileStrength).basis.word()
        )
    }
}

//! Speeds, energies and stress.

use super::Basis;
use crate::certainty::Certainty;
use crate::geometry::Point;
use crate::properties::speed::{self, energy, marked_rpm, rpm_at, surface_speed};
use crate::properties::strength::{self, Strength};
use crate::properties::stress::Field;
use crate::quantity::LengthUnit;
use crate::report::{Content, Contours, Paper, Row, Value};
use crate::rules::LimitKey;
use crate::section::Feature;

/// The greatest where only shares of it are known.
const PER_CENT: f64 = 100.0;
/// Metres per second in a foot per minute.
const M_S_PER_FT_MIN: f64 = 0.3048 / 60.0;

impl Basis<'_> {
    fn marked(&self) -> Option<f64> {
        self.job.marked_speed()
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
        let burst = |rpm: Option<f64>| {
            let wheel = &self.job.wheel;
            let third = |(m, n)| speed::third_energy(m, wheel.outside_radius(), wheel.bore_radius(), n);
            Value::optional(self.numbers.wheel.mass.zip(rpm).map(third), 0)
        };
        let source = "½·(m/3)·(ω·r)², a plain ring burst in three";
        rows.push(Row::new("Energy of a third flying off, machine's rpm", burst(rpm), "J").symbol("E").source(source));
        rows.push(Row::new("Energy of a third flying off, speed test", burst(test_rpm), "J").symbol("E").source(source));
        paper.rows("Speed", rows);
    }

    pub(super) fn stress(&self, paper: &mut Paper) {
        let strength = &self.outcome.strength;
        let field = match &strength.altered {
            Certainty::Known(field) => field,
            Certainty::Unknown(why) | Certainty::DoesNotApply(why) => {
                return paper.notes("Stress", vec![format!("Stress is not computed: {why}.")]);
            }
        };
        match (self.marked(), self.density) {
            (Some(marked), Some(_)) => {
                let mounted = strength::mounted(self.job, strength.question);
                paper.rows("Stress at the marked speed", self.stress_rows(field, &mounted, 1.0));
                if let Some(factor) = self.shop.test_factor(marked) {
                    paper.rows("Stress at the speed test", self.stress_rows(field, &mounted, factor * factor));
                }
            }
            _ => {
                let why = "Stress is not computed in MPa: that needs the marked speed and a density. The ratio below needs neither.";
                paper.notes("Stress", vec![why.to_owned()]);
            }
        }
        paper.rows("Strength against the blank", self.ratio_rows(strength));
        paper.push(
            "Tension over the half-section, in per cent of the greatest",
            Content::Contours(self.contours(field)),
        );
        paper.notes("Stress: a guide", vec![self.stress_note()]);
    }

    /// A length as the sheet writes it in a sentence, with its unit.
    fn said(&self, mm: f64) -> String {
        let (value, decimals) = self.in_unit(mm);
        format!("{} {}", self.digits(value, decimals), self.job.units.symbol())
    }

    fn place(&self, at: Point) -> String {
        format!("at radius {}, {} from side A", self.said(at.x), self.said(at.y))
    }

    /// Tensions of the wheel held by nothing and between its flanges, `scale` times what they are at the marked speed.
    fn stress_rows(&self, field: &Field, mounted: &Certainty<Field>, scale: f64) -> Vec<Row> {
        let mpa = |label: String, value: f64| Row::new(label, Value::number(value * scale, 3), "MPa").symbol("σ");
        let (most, at) = field.greatest();
        let mut rows = vec![mpa("Greatest tension".into(), most).source(self.place(at))];
        for peak in &field.peaks {
            let what = match peak.feature {
                Feature::Bore => "Tension at the bore".to_owned(),
                Feature::OutsideDiameter => "Tension at the outside diameter".to_owned(),
                Feature::RecessFillet(side, i) => {
                    format!("Tension in the fillet of step {}, side {}", i + 1, side.letter())
                }
                Feature::RecessFloor(side, i) => {
                    format!("Tension in the floor of step {}, side {}", i + 1, side.letter())
                }
                _ => continue,
            };
            rows.push(mpa(what, peak.tension).source(self.place(peak.at)));
        }
        let mounted = match mounted {
            Certainty::Known(held) => mpa("Greatest tension between the flanges".into(), held.greatest().0),
            Certainty::Unknown(why) | Certainty::DoesNotApply(why) => {
                Row::new("Greatest tension between the flanges", Value::Unknown, "MPa").symbol("σ").source(why)
            }
        };
        rows.push(mounted);
        rows
    }

    fn ratio_rows(&self, strength: &Strength) -> Vec<Row> {
        let mut rows = Vec::new();
        match strength.ratio() {
            Certainty::Known(ratio) => {
                let source = "greatest tension, altered over blank, at equal surface speed";
                rows.push(Row::new("Ratio", Value::number(ratio.value(), 3), "").source(source));
                let of_blank = self.job.blank.as_ref().and_then(|b| b.max_operating_speed);
                let equal = of_blank.map(|v| v * ratio.speed_share());
                let source = "the blank's marked speed / √ratio: a guide, no permission";
                rows.extend(self.speed_rows("Speed of equal tension", equal, source));
            }
            Certainty::Unknown(why) | Certainty::DoesNotApply(why) => {
                rows.push(Row::new("Ratio altered : blank", Value::Unknown, "").source(why));
            }
        }
        let least = self.shop.limits().groove_root_radius;
        for notch in strength::groove_notches(&self.job.wheel, least) {
            let source = format!(
                "depth {}, root radius {}; Peterson, single notch",
                self.said(notch.depth),
                self.said(notch.radius)
            );
            rows.push(
                Row::new(format!("Notch factor, {}", notch.what), Value::number(notch.factor, 2), "×").source(source),
            );
        }
        rows
    }

    /// Lines of equal tension in tenths of the greatest.
    fn contours(&self, field: &Field) -> Contours {
        let (most, at) = field.greatest();
        // without speed and density only shares mean anything
        let is_known = self.marked().is_some() && self.density.is_some();
        let (greatest, unit) = if is_known { (most, "MPa") } else { (PER_CENT, "%") };
        let levels = (0..TENTHS).map(|i| most * f64::from(TENTHS - i) / f64::from(TENTHS + 1));
        let levels: Vec<_> = levels.map(|level| (level * greatest / most, field.line_of(level))).collect();
        Contours {
            outline: self.section.contour().clone(),
            levels,
            stands_out: 3,
            greatest: (at, greatest),
            unit: unit.to_owned(),
            legend: format!(
                "Lines at every tenth of the greatest tension, from 90 % down; wide ones at 90, 60 and 30 %. The ring marks the greatest, {}. \
                 Radius to the right, side A below.",
                self.place(at)
            ),
            source: String::from("axisymmetric finite elements, the wheel held by nothing"),
        }
    }

    fn stress_note(&self) -> String {
        let range = self.shop.limit(LimitKey::TensileStrength);
        let (low, high) = self.shop.limits().tensile_strength;
        format!(
            "Axisymmetric finite elements of six nodes in the half-section, ν = {}; layers cut by grooves carry their load but no hoop stress; sharp \
             inner corners with a fillet of {}. Notches of grooves stand beside as a factor (Peterson's Stress Concentration Factors, by a digest): a \
             single notch, neighbours shield each other. Without clamping bolts, heat and grinding forces. One published range for vitrified wheels is {} to \
             {} MPa ({}, {}); it decides nothing. No formula replaces the speed test.",
            self.written.plain(self.shop.limits().poisson_ratio, 3),
            self.said(self.outcome.strength.question.least_fillet),
            self.written.plain(low, 2),
            self.written.plain(high, 2),
            range.source,
            range.basis.word()
        )
    }
}

/// Lines of equal tension: nine tenths and down.
const TENTHS: u32 = 9;

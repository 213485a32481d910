//! The calculation sheet as data: speeds, energies, stress, balance, wear, dressing and grooves of one order, the findings with their sources,
//! and what must be minded. The sheet draws it, other writers print it.

mod findings;
mod grooves;
mod life;
mod strength;

use super::cautions::sentences;
use super::{Paper, Row, Value};
use crate::dossier::Dossier;
use crate::properties::Properties;
use crate::properties::density::{Density, Origin};
use crate::rules::{Outcome, ShopRules};
use crate::section::Section;
use crate::wheel::{Job, Written};

/// What the parts of the sheet are made from.
struct Basis<'a> {
    job: &'a Job,
    shop: &'a ShopRules,
    outcome: &'a Outcome,
    section: &'a Section,
    density: Option<Density>,
    numbers: &'a Properties,
    /// How numbers inside sentences are written.
    written: Written,
}

/// The calculation sheet of an order.
pub fn calculation(dossier: &Dossier) -> Paper {
    let job = &dossier.job;
    let basis = Basis {
        job,
        shop: dossier.shop,
        outcome: &dossier.outcome,
        section: &dossier.section,
        density: dossier.density,
        numbers: &dossier.numbers,
        written: Written::of(job),
    };
    let mut paper = Paper::new(format!("Calculation sheet {}", job.file_stem()));
    basis.solid(&mut paper);
    basis.speeds(&mut paper);
    basis.stress(&mut paper);
    basis.balance(&mut paper);
    basis.clamping(&mut paper);
    basis.wear(&mut paper);
    basis.dressing(&mut paper);
    basis.grooves(&mut paper);
    basis.findings(&mut paper);
    paper.notes("Cautions", sentences(job).into_iter().map(str::to_owned).collect());
    paper
}

impl Basis<'_> {
    /// A length in the order's unit.
    fn length(&self, label: &str, mm: f64) -> Row {
        let (value, decimals) = self.in_unit(mm);
        Row::new(label, Value::number(value, decimals), self.job.units.symbol())
    }

    /// A number inside a sentence: exactly so many decimals, with the decimal sign of the order's papers.
    fn digits(&self, value: f64, decimals: usize) -> String {
        self.written.exact(value, decimals)
    }

    /// A length as a number in the order's unit, and its decimals.
    fn in_unit(&self, mm: f64) -> (f64, usize) {
        self.job.units.calculated(mm)
    }

    /// A length in the order's unit as a cell of a table.
    fn cell(&self, mm: f64) -> Value {
        let (value, decimals) = self.in_unit(mm);
        Value::number(value, decimals)
    }

    /// Whether masses are estimates, in words that follow a number.
    fn trust(&self) -> &'static str {
        match self.density.map(|d| d.origin) {
            Some(Origin::Given) => "density as ordered",
            Some(Origin::Weighed) => "density by the blank's weight",
            Some(Origin::Estimated) => "density ESTIMATED from the structure",
            None => "no density",
        }
    }

    fn solid(&self, paper: &mut Paper) {
        let n = &self.numbers.wheel;
        let density = self.density.map(|d| d.value / 1000.0);
        let rows = vec![
            Row::new("Volume", Value::number(n.volume / 1000.0, 1), "cm³").symbol("V"),
            Row::new("Density", Value::optional(density, 3), "g/cm³").symbol("ρ").source(self.trust()),
            Row::new("Mass", Value::optional(n.mass, 3), "kg").symbol("m").source("ρ·V"),
            Row::new("Inertia about the axis", Value::optional(n.polar_inertia, 5), "kg·m²").symbol("I"),
            self.length("Centroid from side A", n.centroid_z).symbol("z"),
        ];
        paper.rows("Wheel", rows);
    }
}

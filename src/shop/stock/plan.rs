//! The plan for many orders as tables and as a paper of the shop.

use super::assign::{Best, Plan};
use super::buy::{Purchase, purchases};
use super::list::StockWheel;
use crate::drawing::Drawing;
use crate::quantity::{LengthUnit, fixed};
use crate::report::{Column, Table, Value};
use crate::report::cautions::cautions;
use crate::shop::paper::{self, Align, Cell, Flow, Format, Grid, Head};
use crate::shop::removal::BlankSize;
use crate::shop::written::{bare_length, length, speed, volume_unit, volume_value};
use crate::wheel::Job;
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// A plan with the orders and the stock it is for.
#[derive(Debug, Clone, Copy)]
pub struct Planned<'a> {
    /// The orders, as they were given to `assign`.
    pub jobs: &'a [&'a Job],
    /// The stock list.
    pub stock: &'a [StockWheel],
    /// The plan.
    pub plan: &'a Plan,
    /// What it was to be best at.
    pub best: Best,
}

impl Planned<'_> {
    fn units(&self) -> LengthUnit {
        self.jobs.first().map_or(LengthUnit::Millimetre, |job| job.units)
    }

    /// A line for each sort of blank an order gets, and one for what it does not get.
    pub fn table(&self) -> Table {
        let volume = volume_unit(self.units());
        let columns = [
            ("order", ""),
            ("fingerprint", ""),
            ("ordered", ""),
            ("stock", ""),
            ("wheels", ""),
            ("size of the blank", self.units().symbol()),
            ("mark", ""),
            ("lot", ""),
            ("place", ""),
            ("removed each", volume),
            ("cost each", ""),
            ("to mind", ""),
        ];
        Table {
            columns: columns.map(|(label, unit)| Column::new(label, unit)).to_vec(),
            lines: (0..self.jobs.len()).flat_map(|order| self.lines_of(order)).collect(),
            source: String::new(),
        }
    }

    fn lines_of(&self, order: usize) -> Vec<Vec<Value>> {
        let shares = self.plan.shares.iter().filter(|s| s.order == order);
        let served = shares.map(|share| self.served(order, &self.stock[share.stock], share.wheels));
        let missing = self.plan.unserved.iter().filter(|u| u.order == order);
        let why = |any_suits| if any_suits { "used by other orders, or too few" } else { "nothing in the list suits" };
        served.chain(missing.map(|u| self.missing(order, u.wheels, why(u.any_suits)))).collect()
    }

    fn head_of(&self, order: usize) -> Vec<Value> {
        let job = self.jobs[order];
        let ordered = Value::number(f64::from(self.plan.asked[order].quantity), 0);
        vec![Value::text(job.file_stem()), Value::text(job.fingerprint().short()), ordered]
    }

    fn served(&self, order: usize, stock: &StockWheel, wheels: u32) -> Vec<Value> {
        let text = |t: &Option<String>| t.as_ref().map_or(Value::Unknown, Value::text);
        let removed = crate::shop::removal::removed(&self.jobs[order].wheel, stock.size);
        let removed = removed.ok().map(|list| list.iter().map(|r| r.volume).sum::<f64>());
        let mut line = self.head_of(order);
        line.extend([
            Value::text(&stock.id),
            Value::number(f64::from(wheels), 0),
            Value::text(self.size(&stock.size)),
            text(&stock.marking),
            text(&stock.lot),
            text(&stock.place),
            Value::optional(removed.map(|mm3| volume_value(mm3, self.units())), 1),
            stock.cost.map_or(Value::Unknown, |c| Value::text(c.printed())),
            Value::text(if self.plan.asked[order].marking.is_none() { "the order asks no mark" } else { "" }),
        ]);
        line
    }

    fn missing(&self, order: usize, wheels: u32, why: &str) -> Vec<Value> {
        let mut line = self.head_of(order);
        line.extend([Value::text("NONE"), Value::number(f64::from(wheels), 0)]);
        line.extend(std::iter::repeat_n(Value::Unknown, 6));
        line.push(Value::text(why));
        line
    }

    fn size(&self, size: &BlankSize) -> String {
        let show = |mm| bare_length(mm, self.units());
        format!("{} × {} × {}", show(size.outside_diameter), show(size.thickness), show(size.bore))
    }

    /// What is to be bought, a sentence each.
    pub fn to_buy(self) -> Vec<String> {
        purchases(self.plan).iter().map(|p| self.purchase(p)).collect()
    }

    fn purchase(&self, p: &Purchase) -> String {
        let show = |mm| length(mm, self.units());
        let mut text = format!(
            "{} × outside diameter from {}, thickness from {}, bore up to {}",
            p.wheels,
            show(p.least_outside_diameter),
            show(p.least_thickness),
            show(p.greatest_bore)
        );
        // writing to a text cannot fail
        let _ = match &p.marking {
            Some(mark) => write!(text, ", marked {mark}"),
            None => write!(text, ", mark to be asked"),
        };
        let _ = match p.least_speed {
            Some(v) => write!(text, ", marked for at least {}", speed(v)),
            None => write!(text, ", speed to be asked"),
        };
        let stems: Vec<String> = p.orders.iter().map(|&o| self.jobs[o].file_stem()).collect();
        text + &format!(" (for {})", stems.join(", "))
    }

    /// What it comes to, a sentence each.
    pub fn summary(&self) -> Vec<String> {
        let plan = self.plan;
        let ordered: u32 = plan.asked.iter().map(|a| a.quantity).sum();
        let made: u32 = plan.shares.iter().map(|s| s.wheels).sum();
        let whole = self.jobs.len() - plan.unserved.len();
        let removed = volume_value(plan.removed_volume, self.units());
        let mut lines = vec![format!(
            "{made} of {ordered} wheels, {whole} of {} orders whole; cost {}, cut away {} {}.",
            self.jobs.len(),
            plan.cost.printed(),
            fixed(removed, 0),
            volume_unit(self.units())
        )];
        lines.push(match (self.best, plan.is_proven) {
            (Best::Cost, _) => "No other way makes more wheels, or as many for less.".to_owned(),
            (Best::Scrap, _) => "No other way makes more wheels, or as many with less cut away.".to_owned(),
            (Best::Orders, true) => "No other way serves more orders whole.".to_owned(),
            (Best::Orders, false) => {
                "The best way found; it is not certain that no other serves more orders whole.".to_owned()
            }
        });
        if plan.without_cost > 0 {
            lines.push(format!(
                "The list names no cost for {} of the wheels: they are not in the sum.",
                plan.without_cost
            ));
        }
        lines
    }

    /// SHA-256 of the fingerprints of all orders, 64 hexadecimal digits.
    pub fn fingerprint(&self) -> String {
        let mut hash = Sha256::new();
        self.jobs.iter().for_each(|job| hash.update(job.fingerprint().full()));
        hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
    }

    /// The plan as a paper of the shop.
    pub fn sheets(&self) -> Vec<Drawing> {
        let Some(first) = self.jobs.first() else { return Vec::new() };
        let head = Head {
            stem: format!("{} orders", self.jobs.len()),
            fingerprint: self.fingerprint(),
            foot: cautions(first),
            ..Head::of(first, "Blanks for the orders")
        };
        let mut flow = Flow::new(head, Format::lying(first));
        self.summary().iter().for_each(|line| flow.paragraph(line));
        let shares = [2.2, 2.0, 1.4, 1.8, 1.4, 3.4, 2.8, 1.8, 1.8, 2.2, 2.0, 3.0];
        let table = self.table();
        let column = |(c, share): (&Column, f64)| paper::Column::new(c.heading(), share, Align::Left);
        let mut grid = Grid::new(table.columns.iter().zip(shares).map(column).collect());
        grid.rows = table.lines.iter().map(|l| l.iter().map(|v| Cell::new(v.printed())).collect()).collect();
        flow.grid(&grid);
        let buy = self.to_buy();
        if !buy.is_empty() {
            flow.heading("To buy");
            buy.iter().for_each(|line| flow.paragraph(line));
        }
        flow.finish()
    }
}

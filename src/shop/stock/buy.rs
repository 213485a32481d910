//! What to buy for the wheels no blank is left for.

use super::assign::Plan;
use super::choice::{Asked, same_mark};
use crate::tolerance::SAME_LENGTH;
use serde::Serialize;

/// Stock wheels of one sort that are missing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Purchase {
    /// How many.
    pub wheels: u32,
    /// Least outside diameter, mm.
    pub least_outside_diameter: f64,
    /// Least thickness, mm.
    pub least_thickness: f64,
    /// Greatest bore, mm.
    pub greatest_bore: f64,
    /// Specification mark; `None` where the order asks none.
    pub marking: Option<String>,
    /// Least marked maximum speed, m/s: what the order asks and what the wheel runs at.
    pub least_speed: Option<f64>,
    /// The orders they are for, from 0.
    pub orders: Vec<usize>,
}

impl Purchase {
    fn of(order: usize, wheels: u32, asked: &Asked) -> Purchase {
        let speeds = [asked.max_operating_speed, asked.running_speed];
        Purchase {
            wheels,
            least_outside_diameter: asked.least_outside_diameter,
            least_thickness: asked.least_thickness,
            greatest_bore: asked.greatest_bore,
            marking: asked.marking.clone(),
            least_speed: speeds.into_iter().flatten().max_by(f64::total_cmp),
            orders: vec![order],
        }
    }

    /// Whether the same stock wheel does for both.
    fn is_like(&self, other: &Purchase) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= SAME_LENGTH;
        let marks = match (&self.marking, &other.marking) {
            (Some(a), Some(b)) => same_mark(a, b),
            (a, b) => a == b,
        };
        marks
            && self.least_speed == other.least_speed
            && near(self.least_outside_diameter, other.least_outside_diameter)
            && near(self.least_thickness, other.least_thickness)
            && near(self.greatest_bore, other.greatest_bore)
    }
}

/// What is to be bought, orders that ask the same together.
pub fn purchases(plan: &Plan) -> Vec<Purchase> {
    let mut list: Vec<Purchase> = Vec::new();
    for unserved in &plan.unserved {
        let one = Purchase::of(unserved.order, unserved.wheels, &plan.asked[unserved.order]);
        match list.iter_mut().find(|p| p.is_like(&one)) {
            Some(known) => {
                known.wheels += one.wheels;
                known.orders.extend(one.orders);
            }
            None => list.push(one),
        }
    }
    list
}

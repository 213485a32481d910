//! What several topics need.

pub mod random_orders;

use serde_json::Value;
use wheeldraft::order::Order;
use wheeldraft::wheel::{Job, resolve};

/// The job of an order given as JSON; panics with the problems where it has any.
#[track_caller]
pub fn job(order: &Value) -> Job {
    let order: Order = serde_json::from_value(order.clone()).expect("an order");
    resolve(&order).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

//! What several topics need.

pub mod random_orders;
pub mod shop_orders;

use serde_json::Value;
use wheeldraft::order::Order;
use wheeldraft::rules::ShopRules;
use wheeldraft::wheel::{Job, resolve};

/// The job of an order given as JSON; panics with the problems where it has any.
#[track_caller]
pub fn job(order: &Value) -> Job {
    let order: Order = serde_json::from_value(order.clone()).expect("an order");
    resolve(&order, &ShopRules::built_in().usual_sizes()).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

/// Set to 1, expected texts and files are written anew instead of compared; `tests/README.md` says when that is right.
pub const UPDATE: &str = "UPDATE_EXPECTED";

/// Whether expected files are to be written anew.
pub fn updating() -> bool {
    std::env::var_os(UPDATE).is_some_and(|v| v == "1")
}

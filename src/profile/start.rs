//! The files a shop's folder begins with: copies of those that ship with the program, the shop's own from then on.

use super::NAME;
use crate::json::{Edit, Problem, edited};

/// Folders of a shop's folder: its orders, their packs, the records of its wheels.
pub const FOLDERS: [&str; 3] = [ORDERS, PACKS, "records"];
/// Where its orders lie.
pub const ORDERS: &str = "orders";
/// Where their packs go.
pub const PACKS: &str = "packs";

/// What a paper shows where the shop's name belongs and nobody has given one.
const NO_NAME: &str = "(the shop's name is missing in title-block.json)";

/// Names and texts of the files, for a shop of this name; empty where it is not said.
///
/// # Errors
/// Never for the title block that ships with the program, which is a JSON object.
pub fn start(name: &str, stock_columns: &[&str]) -> Result<Vec<(&'static str, String)>, Problem> {
    let title = if name.is_empty() { NO_NAME } else { name };
    let block = include_str!("../../templates/title-blocks/plain.json");
    let of_shop = [
        Edit::text("/name", "shop"),
        Edit::text("/shop/name", title),
        Edit::set("/shop/address", "[]"),
        Edit::remove("/shop/logo"),
    ];
    Ok(vec![
        (NAME, edited(include_str!("../../templates/shop.json"), &[Edit::text("/name", name)])?),
        ("shop-rules.json", include_str!("../../templates/shop-rules.json").to_owned()),
        ("title-block.json", edited(block, &of_shop)?),
        ("rates.json", include_str!("../../templates/rates.json").to_owned()),
        ("traveller.json", include_str!("../../templates/traveller.json").to_owned()),
        ("controls.json", include_str!("../../templates/control.json").to_owned()),
        ("machines.json", include_str!("../../templates/machines.json").to_owned()),
        ("stock.csv", format!("{}\n", stock_columns.join(","))),
    ])
}

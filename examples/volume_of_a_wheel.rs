//! Reads an order file and prints the numbers of its wheel: `cargo run --example volume_of_a_wheel -- demo-data/1042.json`.
//! Without a file it takes a small recessed and grooved wheel.

#![allow(clippy::print_stdout)]

use std::error::Error;
use std::path::Path;
use wheeldraft::properties;
use wheeldraft::rules::ShopRules;

const SMALL: &str = r#"{
  "order": {"number": "1", "revision": "A"}, "units": "mm",
  "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127,
    "side_b": {"recess": [{"diameter": 200, "depth": 15}],
      "grooves": {"pitch_deg": 2, "width": 3, "depth": 5, "inner_diameter": 220}}},
  "blank": {"density": "2.2 g/cm3"}
}"#;

fn main() -> Result<(), Box<dyn Error>> {
    println!("{}", told(std::env::args_os().nth(1).as_ref().map(Path::new))?);
    Ok(())
}

/// What it prints of the wheel in a file, or of the small one.
pub fn told(file: Option<&Path>) -> Result<String, Box<dyn Error>> {
    let bytes = match file {
        Some(path) => std::fs::read(path)?,
        None => SMALL.as_bytes().to_vec(),
    };
    let job = ShopRules::built_in().open(&bytes).map_err(|problems| format!("{problems:#?}"))?;
    Ok(serde_json::to_string_pretty(&properties::of(&job)?)?)
}

//! How the land between coolant grooves shrinks as their number grows, on a side from Ø220 to Ø400 with grooves 3 mm wide.

#![allow(clippy::print_stdout)]

use wheeldraft::properties::lands::Lands;

fn main() {
    print!("{}", told());
}

/// What it prints: a head, and a line for each count.
pub fn told() -> String {
    let (width, inner, outside) = (3.0, 220.0, 400.0);
    let head =
        format!("{:>6} {:>9} {:>12} {:>12} {:>14}\n", "count", "pitch °", "land Ø400", "land Ø220", "merge inside Ø");
    let line = |count: u32| {
        let lands = Lands::of_radial(outside, inner, width, count);
        format!(
            "{count:>6} {:>9.4} {:>12.4} {:>12.4} {:>14.3}\n",
            360.0 / f64::from(count),
            lands.outer,
            lands.inner,
            lands.merge_diameter.unwrap_or(0.0),
        )
    };
    head + &[60, 90, 120, 180, 200, 240].map(line).concat()
}

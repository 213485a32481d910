//! `grooves --least-land`: the most grooves that leave a land, and the counts either side of it that divide the circle well.

use super::grooves_asked::{Args, COOLANT, FREQUENCY, Sizes, both_units, coolant, hertz};
use super::table::aligned;
use super::{Desk, Done, Failure, Outcome};
use crate::properties::planner::{frequency, most_grooves, round_counts};
use crate::quantity::{fixed, trimmed};
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Pattern, land};
use serde_json::{Value, json};

/// What is asked.
struct Question<'a> {
    args: &'a Args,
    sizes: &'a Sizes,
    /// The least land, mm.
    land: f64,
    /// The diameter it is measured at, mm.
    at: f64,
}

/// Answers the question; exit 1 where not one groove leaves that land.
pub fn run(args: &Args, sizes: &Sizes, land: f64, desk: &Desk) -> Done {
    let at = args.at.unwrap_or(sizes.inner_diameter);
    if at < sizes.inner_diameter || at > sizes.outside_diameter {
        let (inner, outer) = (both_units(sizes.inner_diameter), both_units(sizes.outside_diameter));
        let message = format!("--at {}: the grooves do not reach there", both_units(at));
        return Err(Failure::new(message, format!("give a diameter from {inner} to {outer}")));
    }
    let question = Question { args, sizes, land, at };
    let most = most_grooves(at, sizes.width, land);
    if desk.is_json() {
        desk.print_json(&question.json(most))?;
    } else {
        desk.print(&question.text(most))?;
    }
    Ok(if most.is_some() { Outcome::Made } else { Outcome::Stopped })
}

impl Question<'_> {
    /// The land at the diameter asked about, mm.
    fn land(&self, count: u32) -> f64 {
        let pattern = Pattern { places: count, start_deg: 0.0, omit: Vec::new() };
        let half = self.sizes.width / 2.0;
        land(self.at / 2.0, &pattern, [-half, half])
    }

    fn leaves_it(&self, count: u32) -> bool {
        self.land(count) >= self.land - SAME_LENGTH
    }

    /// The most grooves, then those either side that divide the circle well, none twice.
    fn counts(&self, most: Option<u32>) -> Vec<u32> {
        let Some(most) = most else { return Vec::new() };
        let mut counts = vec![most];
        counts.extend(round_counts(most).into_iter().flatten().filter(|n| *n != most));
        counts
    }

    fn json(&self, most: Option<u32>) -> Value {
        let one = |n: u32| {
            let lands = self.sizes.lands(n);
            json!({
                "count": n, "pitch_deg": 360.0 / f64::from(n), "land_at_mm": self.land(n), "land_outer_mm": lands.outer,
                "land_inner_mm": lands.inner, "land_share": lands.share, "leaves_least_land": self.leaves_it(n),
                "coolant_mm3_per_revolution": self.args.sweep.depth.map(|depth| self.sizes.coolant(n, depth)),
                "frequency_hz": self.args.sweep.rpm.map(|rpm| frequency(n, rpm)),
            })
        };
        let [below, above] = most.map_or([None, None], round_counts);
        json!({
            "format": 1, "least_land_mm": self.land, "at_diameter_mm": self.at, "most": most.map(one),
            "divides_well_below": below.map(one), "divides_well_above": above.map(one),
        })
    }

    fn text(&self, most: Option<u32>) -> String {
        let asked = format!("a land of {} at Ø{}", both_units(self.land), both_units(self.at));
        let Some(most) = most else { return format!("Not even one groove leaves {asked}.\n") };
        let counts = self.counts(Some(most));
        let row = |label: &str, cell: &dyn Fn(u32) -> String| {
            std::iter::once(label.to_owned()).chain(counts.iter().map(|&n| cell(n))).collect::<Vec<_>>()
        };
        let lands = |n: u32| self.sizes.lands(n);
        let mut rows = vec![
            row("grooves", &|n| n.to_string()),
            row("pitch", &|n| format!("{}°", trimmed(360.0 / f64::from(n), 6))),
            row(&format!("land at Ø{}", both_units(self.at)), &|n| both_units(self.land(n))),
            row("land at the outside diameter", &|n| both_units(lands(n).outer)),
            row("ungrooved share of the ring", &|n| format!("{} %", fixed(100.0 * lands(n).share, 2))),
        ];
        if let Some(depth) = self.args.sweep.depth {
            rows.push(row(COOLANT, &|n| coolant(self.sizes.coolant(n, depth))));
        }
        if let Some(rpm) = self.args.sweep.rpm {
            rows.push(row(FREQUENCY, &|n| hertz(frequency(n, rpm))));
        }
        rows.push(row("leaves the land", &|n| if self.leaves_it(n) { "yes".to_owned() } else { "no".to_owned() }));
        let round = if counts.len() > 1 { "; the others divide the circle well" } else { "" };
        format!("At most {most} grooves leave {asked}{round}.\n\n{}", aligned(&rows))
    }
}

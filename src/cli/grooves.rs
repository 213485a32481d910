//! `grooves`: how many grooves, how far apart, and what land they leave, without an order.

pub use super::grooves_asked::Args;
use super::grooves_asked::{COOLANT, FREQUENCY, Sizes, both_units, coolant, hertz};
use super::table::aligned;
use super::{Desk, Done, Failure, Outcome, least_land, sweep};
use crate::properties::lands::Lands;
use crate::properties::planner::frequency;
use crate::quantity::{fixed, trimmed};
use crate::wheel::{count_of_pitch, nearest_counts};
use serde_json::{Value, json};

/// Answers the question.
pub fn run(args: &Args, desk: &Desk) -> Done {
    sweep::positive("--rpm", args.sweep.rpm)?;
    if args.order.is_none() {
        check(args, &args.sizes()?)?;
    }
    if args.sweep.sweep {
        return sweep::run(args, desk);
    }
    let sizes = args.sizes()?;
    if let Some(land) = args.least_land {
        return least_land::run(args, &sizes, land, desk);
    }
    let counts = match (args.count, args.pitch) {
        (Some(count), _) => vec![count],
        (None, Some(pitch)) => count_of_pitch(pitch).map_or_else(|| nearest_counts(pitch), |n| vec![n]),
        // clap asks for one of the two
        (None, None) => return Err(Failure::new("neither a pitch nor a count is given", "give --pitch or --count")),
    };
    let divides = args.count.is_some() || args.pitch.and_then(count_of_pitch).is_some();
    if desk.is_json() {
        desk.print_json(&answer(args, &sizes, if divides { counts.first().copied() } else { None }, &counts))?;
    } else {
        desk.print(&text(args, &sizes, divides, &counts))?;
    }
    Ok(if divides { Outcome::Made } else { Outcome::Stopped })
}

fn check(args: &Args, sizes: &Sizes) -> Result<(), Failure> {
    let shown = |mm: f64| both_units(mm);
    if sizes.inner_diameter >= sizes.outside_diameter {
        let (inner, outer) = (shown(sizes.inner_diameter), shown(sizes.outside_diameter));
        let message = format!("the inner diameter {inner} is not smaller than the outside diameter {outer}");
        return Err(Failure::new(message, "give an inner diameter below the outside diameter"));
    }
    if let (Some(count), Some(pitch)) = (args.count, args.pitch)
        && count_of_pitch(pitch) != Some(count)
    {
        let message = format!("{count} grooves and a pitch of {}° disagree", trimmed(pitch, 6));
        let own = trimmed(360.0 / f64::from(count), 6);
        return Err(Failure::new(message, format!("{count} grooves have a pitch of {own}°; keep one of the two")));
    }
    Ok(())
}

/// The keys of the command's JSON; lands are null where the pitch does not divide the circle.
fn answer(args: &Args, sizes: &Sizes, count: Option<u32>, nearest: &[u32]) -> Value {
    let lands = count.map(|n| sizes.lands(n));
    let (depth, rpm) = (args.sweep.depth, args.sweep.rpm);
    let offers: Vec<Value> = match count {
        Some(_) => Vec::new(),
        None => nearest.iter().map(|&n| json!({ "count": n, "pitch_deg": 360.0 / f64::from(n) })).collect(),
    };
    json!({
        "format": 1,
        "count": count,
        "pitch_deg": count.map_or(args.pitch, |n| Some(360.0 / f64::from(n))),
        "land_outer_mm": lands.map(|l| l.outer),
        "land_inner_mm": lands.map(|l| l.inner),
        "land_share": lands.map(|l| l.share),
        "merge_diameter_mm": lands.and_then(|l| l.merge_diameter),
        "coolant_mm3_per_revolution": count.zip(depth).map(|(n, depth)| sizes.coolant(n, depth)),
        "frequency_hz": count.zip(rpm).map(|(n, rpm)| frequency(n, rpm)),
        "nearest": offers,
    })
}

fn text(args: &Args, sizes: &Sizes, divides: bool, counts: &[u32]) -> String {
    let mut out = String::new();
    if let (false, Some(pitch)) = (divides, args.pitch) {
        out.push_str(&format!("A pitch of {}° does not divide the circle; nearest are:\n\n", trimmed(pitch, 6)));
    }
    let found: Vec<(u32, Lands)> = counts.iter().map(|&n| (n, sizes.lands(n))).collect();
    let row = |label: &str, cell: &dyn Fn(u32, &Lands) -> String| {
        let mut row = vec![label.to_owned()];
        row.extend(found.iter().map(|(n, l)| cell(*n, l)));
        row
    };
    let mut rows = vec![
        row("grooves", &|n, _| n.to_string()),
        row("pitch", &|n, _| format!("{}°", trimmed(360.0 / f64::from(n), 6))),
        row(&format!("land at Ø{}", both_units(sizes.outside_diameter)), &|_, l| both_units(l.outer)),
        row(&format!("land at Ø{}", both_units(sizes.inner_diameter)), &|_, l| both_units(l.inner)),
        row("ungrooved share of the ring", &|_, l| format!("{} %", fixed(100.0 * l.share, 2))),
        row("neighbours merge inside", &|_, l| {
            l.merge_diameter.map_or("–".to_owned(), |d| format!("Ø{}", both_units(d)))
        }),
    ];
    if let Some(depth) = args.sweep.depth {
        rows.push(row(COOLANT, &|n, _| coolant(sizes.coolant(n, depth))));
    }
    if let Some(rpm) = args.sweep.rpm {
        rows.push(row(FREQUENCY, &|n, _| hertz(frequency(n, rpm))));
    }
    out.push_str(&aligned(&rows));
    for (n, l) in &found {
        if l.outer <= 0.0 {
            out.push_str(&format!("\n{n} grooves leave no land even at the outside diameter.\n"));
        } else if l.inner <= 0.0 {
            out.push_str(&format!("\n{n} grooves run into each other before they reach the inner diameter.\n"));
        }
    }
    out
}


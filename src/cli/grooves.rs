//! `grooves`: how many grooves, how far apart, and what land they leave, without an order.

use super::sweep::{self, SweepArgs};
use super::table::aligned;
use super::{Desk, Done, Failure, Outcome, least_land};
use crate::properties::lands::{Lands, radial_plan_area};
use crate::properties::planner::frequency;
use crate::quantity::{LengthUnit, Written, fixed, parse_length, trimmed};
use crate::wheel::{MOST_PLACES, count_of_pitch, nearest_counts};
use serde_json::{Value, json};
use std::path::PathBuf;

/// Arguments of `grooves`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    wheeldraft grooves --outside-diameter 26in --inner-diameter 17in --width 0.06in --pitch 2\n  \
    wheeldraft grooves --outside-diameter 400mm --inner-diameter 200mm --width 3mm --count 180\n\n\
    A pitch that does not divide the circle gets the counts either side, and exit 1.\n\n  \
    wheeldraft grooves --outside-diameter 610mm --inner-diameter 400mm --width 1.5mm --least-land 8mm --depth 3mm --rpm 1000\n\n\
    The most grooves that leave that land, and the counts either side that divide the circle well; exit 1 where not one groove does.\n\n  \
    wheeldraft grooves --sweep --outside-diameter 400mm --inner-diameter 200mm --width 2mm --depth 5mm --rpm 1500\n  \
    wheeldraft grooves --sweep 1042.json --side b --from 90 --to 200 -o counts.pdf\n\n\
    A sweep tables counts against lands, coolant, wall, frequency and index; the counts that meet all limits come first.")]
pub struct Args {
    /// With --sweep: the order whose grooves are asked about, in place of the sizes; `-` reads standard input.
    #[arg(requires = "sweep", conflicts_with_all = ["outside_diameter", "inner_diameter", "width", "pitch", "count"])]
    pub(super) order: Option<PathBuf>,
    /// Outside diameter of the wheel, such as 26in, 660.4mm; a bare number is mm.
    #[arg(long, value_name = "LENGTH", value_parser = length, required_unless_present = "order")]
    pub(super) outside_diameter: Option<f64>,
    /// Diameter at which the grooves begin.
    #[arg(long, value_name = "LENGTH", value_parser = length, required_unless_present = "order")]
    pub(super) inner_diameter: Option<f64>,
    /// Width of the grooves.
    #[arg(long, value_name = "LENGTH", value_parser = length, required_unless_present = "order")]
    pub(super) width: Option<f64>,
    /// Angle from groove to groove, degrees.
    #[arg(long, value_name = "DEGREES", value_parser = pitch, required_unless_present_any = ["count", "sweep", "least_land"])]
    pitch: Option<f64>,
    /// How many grooves.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_PLACES)))]
    count: Option<u32>,
    /// Least land between two grooves: asks for the most grooves that leave it.
    #[arg(long, value_name = "LENGTH", value_parser = length, conflicts_with_all = ["pitch", "count", "sweep"])]
    pub(super) least_land: Option<f64>,
    /// Diameter at which the land is to be left; where the grooves begin, if absent.
    #[arg(long, value_name = "LENGTH", value_parser = length, requires = "least_land")]
    pub(super) at: Option<f64>,
    #[command(flatten)]
    pub(super) sweep: SweepArgs,
}

/// The sizes, once clap has made sure that they are given.
pub(super) struct Sizes {
    pub(super) outside_diameter: f64,
    pub(super) inner_diameter: f64,
    pub(super) width: f64,
}

impl Sizes {
    pub(super) fn lands(&self, count: u32) -> Lands {
        Lands::of_radial(self.outside_diameter, self.inner_diameter, self.width, count)
    }

    /// Coolant that so many grooves of this depth carry in one revolution, mm³.
    pub(super) fn coolant(&self, count: u32, depth: f64) -> f64 {
        f64::from(count) * depth * radial_plan_area(self.inner_diameter / 2.0, self.outside_diameter / 2.0, self.width)
    }
}

impl Args {
    fn sizes(&self) -> Result<Sizes, Failure> {
        match (self.outside_diameter, self.inner_diameter, self.width) {
            (Some(outside_diameter), Some(inner_diameter), Some(width)) => {
                Ok(Sizes { outside_diameter, inner_diameter, width })
            }
            _ => Err(Failure::new("a size is missing", "give --outside-diameter, --inner-diameter and --width")),
        }
    }
}

pub(super) fn length(text: &str) -> Result<f64, String> {
    let mm = parse_length(text, LengthUnit::Millimetre).map_err(|e| format!("{}; {}", e.message, e.hint))?;
    if mm > 0.0 && mm <= crate::tolerance::GREATEST_LENGTH {
        Ok(mm)
    } else {
        Err("give a length above 0, up to 10 m".into())
    }
}

fn pitch(text: &str) -> Result<f64, String> {
    let least = 360.0 / f64::from(MOST_PLACES);
    let value = text.trim().trim_end_matches(['°']).parse::<f64>().ok().filter(|p| (least..=360.0).contains(p));
    value.ok_or_else(|| format!("give an angle of {} to 360 degrees", trimmed(least, 3)))
}

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

pub(super) const COOLANT: &str = "coolant per revolution";
pub(super) const FREQUENCY: &str = "groove frequency";

pub(super) fn coolant(mm3: f64) -> String {
    format!("{} cm³", fixed(mm3 / 1000.0, 1))
}

pub(super) fn hertz(frequency: f64) -> String {
    format!("{} Hz", fixed(frequency, 0))
}

/// A length in both units: `25.4 mm (1 in)`.
pub(super) fn both_units(mm: f64) -> String {
    Written::plain_in(LengthUnit::Millimetre).both(mm)
}

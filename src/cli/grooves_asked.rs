//! What `grooves` is asked, and how its answers are written.

use super::Failure;
use crate::properties::lands::{Lands, radial_plan_area};
use crate::quantity::{LengthUnit, Written, fixed, parse_length, trimmed};
use crate::wheel::MOST_PLACES;
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
    pub(super) pitch: Option<f64>,
    /// How many grooves.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_PLACES)))]
    pub(super) count: Option<u32>,
    /// Least land between two grooves: asks for the most grooves that leave it.
    #[arg(long, value_name = "LENGTH", value_parser = length, conflicts_with_all = ["pitch", "count", "sweep"])]
    pub(super) least_land: Option<f64>,
    /// Diameter at which the land is to be left; where the grooves begin, if absent.
    #[arg(long, value_name = "LENGTH", value_parser = length, requires = "least_land")]
    pub(super) at: Option<f64>,
    #[command(flatten)]
    pub(super) sweep: SweepArgs,
}

impl Args {
    /// The sizes that are given.
    pub(super) fn sizes(&self) -> Result<Sizes, Failure> {
        match (self.outside_diameter, self.inner_diameter, self.width) {
            (Some(outside_diameter), Some(inner_diameter), Some(width)) => {
                Ok(Sizes { outside_diameter, inner_diameter, width })
            }
            _ => Err(Failure::new("a size is missing", "give --outside-diameter, --inner-diameter and --width")),
        }
    }
}

/// Arguments of a sweep.
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "Sweep")]
pub struct SweepArgs {
    /// Table many counts instead of answering for one.
    #[arg(long)]
    pub sweep: bool,
    /// Least count.
    #[arg(long, requires = "sweep", default_value_t = 24, value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_PLACES)))]
    pub(super) from: u32,
    /// Greatest count.
    #[arg(long, requires = "sweep", default_value_t = 360, value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_PLACES)))]
    pub(super) to: u32,
    /// Which grooves of the order: a, b or face; the first it has, if not said.
    #[arg(long, requires = "order", value_enum)]
    pub(super) side: Option<Place>,
    /// Depth of the grooves, for the coolant they carry.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    pub depth: Option<f64>,
    /// Spindle speed, for the groove frequency.
    #[arg(long, value_name = "N")]
    pub rpm: Option<f64>,
    /// A natural frequency of the machine to keep away from; may be repeated.
    #[arg(long, requires = "sweep", value_name = "HZ")]
    pub(super) natural_frequency: Vec<f64>,
    /// Smallest step of the indexing head, degrees.
    #[arg(long, requires = "sweep", value_name = "DEGREES", allow_negative_numbers = true)]
    pub(super) index_step: Option<f64>,
    /// Also a sheet with the table and plots over the count; the file's ending (svg, pdf or png) decides the format.
    #[arg(short, long, requires = "sweep", value_name = "FILE")]
    pub(super) output: Option<PathBuf>,
}

/// Where grooves are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Place {
    /// Side A.
    A,
    /// Side B.
    B,
    /// The face.
    Face,
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

//! What `inspect` is asked.

use crate::shop::inspection;
use std::path::PathBuf;

/// Arguments of `inspect`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft inspect 1042.json -o 1042-sheet.csv\n  wheeldraft inspect 1042.json -o 1042-sheet.pdf --sample 12\n  \
    wheeldraft inspect 1042.json --wheel 2 -o 1042-2.csv\n  \
    wheeldraft inspect 1042.json measured.csv -o certificate.pdf\n  \
    wheeldraft inspect 1042.json --profile points.csv --axis -o section.pdf\n  \
    wheeldraft inspect 1042.json measured.csv --profile points.csv --band 0.1mm -o certificate.pdf\n\n\
    The first wheel is measured whole. --wheel names a wheel by its number: for every one after the first the sheet is short, with what the traveller asks of \
    each wheel; its certificate names the wheel that was measured whole.\n\
    Without measurements: the sheet to fill in, as csv for a computer or pdf for the bench. With them: a verdict for each, as csv, or the \
    certificate as pdf. Numbers and letters are those of the drawing; lengths are in the order's unit, or carry their own (25.4 mm). \
    --profile takes points of the measured section, columns r (or diameter) and z in any order and from any datum, a unit in the heading (r [mm]); a column \
    section tells several round the wheel apart, which shows run-out. They are fitted to the ordered section by least squares: taper, radii, depths as measured beside \
    the ordered ones, the deviations as a plot, also on the certificate. --axis says that r counts from the wheel's axis: then diameters are judged too. \
    As csv: each point as fitted, with its deviation.\n\n\
    A certificate needs the customer's approval of exactly this order, limits for outside diameter, thickness, bore and recesses, every measurement within its limits, both ring tests clear, a balance reading, and a passed speed test at the rotation \
    the marked speed asks. Exit 1: a measurement or test fails or is missing, and no certificate is written; or a rule stops the order."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    pub(super) order: PathBuf,
    /// The filled-in sheet, csv.
    pub(super) measured: Option<PathBuf>,
    /// The file to write: its ending picks csv or pdf.
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: Option<PathBuf>,
    /// Points of the measured section, csv.
    #[arg(long, value_name = "POINTS.csv", conflicts_with = "wheel")]
    pub(super) profile: Option<PathBuf>,
    /// r of the points counts from the wheel's axis, z along it.
    #[arg(long, requires = "profile")]
    pub(super) axis: bool,
    /// How far a point may lie off the ordered section to either side, such as 0.1mm; no point is judged if absent.
    #[arg(long, value_name = "LENGTH", requires = "profile")]
    pub(super) band: Option<String>,
    /// The wheel a sheet is for, by its number; from the second on the sheet is the short one.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..), conflicts_with = "measured")]
    pub(super) wheel: Option<u32>,
    /// With --wheel: everything is measured on this wheel too.
    #[arg(long, requires = "wheel")]
    pub(super) whole: bool,
    /// Operations of the traveller, which say what every wheel is measured for, in place of the built-in ones.
    #[arg(long, value_name = "FILE")]
    pub(super) traveller: Option<PathBuf>,
    /// Grooves measured of each set; a filled-in sheet says it itself.
    #[arg(long, value_name = "N", default_value_t = inspection::USUAL_SAMPLE, value_parser = clap::value_parser!(u32).range(1..))]
    pub(super) sample: u32,
}

//! `takeoff`: an order from a drawn section.

use super::failure::shown;
use super::{Desk, Done, Failure, Outcome, files, outlet};
use crate::export::dxf::{ForeignDrawing, foreign};
use crate::export::svg;
use crate::geometry::Point;
use crate::quantity::{LengthUnit, parse_length, trimmed};
use crate::size::SideName;
use crate::takeoff::{self, Axis, AxisKind, Drawn, GroovePlan, Head, Role, Snap, TakenOff, Wishes};
use crate::tolerance::DRAWN_GAP;
use crate::rules::ShopRules;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Arguments of `takeoff`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft takeoff section.dxf -o 2001.json\n  wheeldraft takeoff section.dxf -o 2001.json --snap 1/64 --within 0.1mm --gap 0.3mm\n  \
    wheeldraft takeoff section.dxf -o 2001.json --grooves-a plan.dxf --depth-a 0.125in\n\n\
    Reads a half or whole section drawn as lines, arcs and polylines, anywhere on the drawing; hatching, dimensions, texts and hidden lines are left \
    aside. The axis is the centre line beside the section, or the line its halves mirror in; --axis names another. The side drawn left or below is \
    side A. Beside the order a picture is written, NAME-takeoff.svg, with what was recognised over what was read. Look at it before going on.\n\
    Exit 2: nothing that closes is the section of a wheel; it says why."
)]
pub struct Args {
    /// The drawing, a DXF file.
    drawing: PathBuf,
    /// The order file to write; it must not exist.
    #[arg(short, long, value_name = "ORDER.json")]
    output: Option<PathBuf>,
    /// Unit of the drawing, in or mm, where the file does not say.
    #[arg(long, value_name = "in|mm")]
    units: Option<String>,
    /// Round sizes to multiples of this: 1/64, 0.5mm.
    #[arg(long, value_name = "LENGTH")]
    snap: Option<String>,
    /// Only sizes that are this near to a multiple; 0.1 mm if absent.
    #[arg(long, value_name = "LENGTH", requires = "snap")]
    within: Option<String>,
    /// Ends nearer than this meet; 0.05 mm if absent.
    #[arg(long, value_name = "LENGTH")]
    gap: Option<String>,
    /// The axis, in the drawing's unit: x=0, y=120.5.
    #[arg(long, value_name = "x=…|y=…")]
    axis: Option<String>,
    /// The side drawn left or below is side B.
    #[arg(long)]
    flip: bool,
    /// Only these layers; may be given several times.
    #[arg(long, value_name = "NAME")]
    layer: Vec<String>,
    /// Plan of the grooves of side A, as seen from outside it.
    #[arg(long, value_name = "PLAN.dxf", requires = "depth_a")]
    grooves_a: Option<PathBuf>,
    /// Depth of the grooves of side A.
    #[arg(long, value_name = "LENGTH", requires = "grooves_a")]
    depth_a: Option<String>,
    /// Plan of the grooves of side B, as seen from outside it.
    #[arg(long, value_name = "PLAN.dxf", requires = "depth_b")]
    grooves_b: Option<PathBuf>,
    /// Depth of the grooves of side B.
    #[arg(long, value_name = "LENGTH", requires = "grooves_b")]
    depth_b: Option<String>,
    /// Number of the order; the drawing's name if absent.
    #[arg(long, value_name = "N")]
    number: Option<String>,
    /// Revision of the order.
    #[arg(long, value_name = "R", default_value = "A")]
    revision: String,
}

/// Reads the drawing, writes the order and the picture, tells what was read.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let sheet = sheet(&args.drawing, args, desk)?;
    let wishes = wishes(args, &sheet)?;
    let taken = takeoff::takeoff(&sheet.drawn, &wishes).map_err(|e| {
        Failure::new(
            format!("{}: {e}", shown(&args.drawing)),
            "--layer, --gap and --axis help; `wheeldraft help takeoff` says more",
        )
    })?;
    let grooves = grooves(args, &wishes, desk)?;
    let head = head(args);
    let order = takeoff::order(&taken, &wishes.snap, &head, &grooves);
    let text = format!("{order:#}\n");
    if let Err(problems) = ShopRules::built_in().open(text.as_bytes()) {
        return Err(Failure::Order { file: "the order that was read".to_owned(), problems });
    }
    if let Some(file) = &args.output {
        write(file, &text, &sheet, &taken, args, desk)?;
    }
    if desk.is_json() {
        desk.print_json(&as_json(&sheet, &taken, &grooves, &order))?;
    } else {
        desk.print(&told(&sheet, &taken, &grooves))?;
        if args.output.is_none() {
            desk.print(&text)?;
        }
    }
    taken.remarks.iter().for_each(|r| desk.remark(r));
    Ok(Outcome::Made)
}

/// A drawing in millimetres.
struct Sheet {
    drawn: Vec<Drawn>,
    unit: LengthUnit,
    unit_mm: f64,
    found: ForeignDrawing,
}

fn sheet(file: &Path, args: &Args, desk: &Desk) -> Result<Sheet, Failure> {
    let found =
        foreign(&desk.bytes(file)?).map_err(|e| Failure::new(format!("{}: {e}", shown(file)), "save it as DXF"))?;
    // release 12 knows no unit: a file of ours says it in its name
    let named = file.file_stem().is_some_and(|s| s.to_string_lossy().ends_with("_mm")).then_some(1.0);
    let asked = match args.units.as_deref() {
        None => None,
        Some("mm") => Some(1.0),
        Some("in") => Some(LengthUnit::Inch.mm()),
        Some(other) => return Err(Failure::new(format!("--units {other}: there is no such unit"), "write in or mm")),
    };
    let Some(unit_mm) = asked.or(found.unit_mm).or(named) else {
        return Err(Failure::new(format!("{} does not say its unit", shown(file)), "add --units in or --units mm"));
    };
    let unit = if (unit_mm - LengthUnit::Inch.mm()).abs() < 1.0 { LengthUnit::Inch } else { LengthUnit::Millimetre };
    let wanted = |layer: &str| args.layer.is_empty() || args.layer.iter().any(|l| l.eq_ignore_ascii_case(layer));
    let drawn = found.edges.iter().filter(|e| wanted(&e.layer)).map(|e| Drawn {
        layer: e.layer.clone(),
        edge: e.edge.scaled(unit_mm),
        role: Role::of(&e.layer, &e.line_type),
    });
    Ok(Sheet { drawn: drawn.collect(), unit, unit_mm, found })
}

fn length(option: &str, text: &Option<String>, unit: LengthUnit) -> Result<Option<f64>, Failure> {
    let Some(text) = text else { return Ok(None) };
    match parse_length(text, unit) {
        Ok(mm) if mm > 0.0 && mm.is_finite() => Ok(Some(mm)),
        Ok(_) => {
            Err(Failure::new(format!("{option} {text} is not above 0"), "give a length such as 1/64 in or 0.1 mm"))
        }
        Err(e) => Err(Failure::new(format!("{option}: {}", e.message), e.hint)),
    }
}

/// A size is a shop size where it is this near, mm, unless the person says otherwise.
const WITHIN: f64 = 0.1;

fn wishes(args: &Args, sheet: &Sheet) -> Result<Wishes, Failure> {
    let of = |option: &str, text: &Option<String>| length(option, text, sheet.unit);
    let step = of("--snap", &args.snap)?;
    let within = of("--within", &args.within)?.unwrap_or(WITHIN);
    let snap = Snap { unit: sheet.unit, step, within: if step.is_some() { within } else { 0.0 } };
    let axis = args.axis.as_ref().map(|text| axis(text, sheet.unit_mm)).transpose()?;
    Ok(Wishes { gap: of("--gap", &args.gap)?.unwrap_or(DRAWN_GAP), snap, axis, flip: args.flip })
}

fn axis(text: &str, unit_mm: f64) -> Result<Axis, Failure> {
    let read =
        text.split_once('=').and_then(|(name, at)| Some((name.trim(), at.trim().parse::<f64>().ok()? * unit_mm)));
    match read {
        Some(("x", at)) => Ok(Axis::new(Point::new(at, 0.0), Point::new(0.0, 1.0), AxisKind::Named)),
        Some(("y", at)) => Ok(Axis::new(Point::new(0.0, at), Point::new(1.0, 0.0), AxisKind::Named)),
        _ => Err(Failure::new(format!("--axis {text} names no axis"), "write x=0 or y=120.5, in the drawing's unit")),
    }
}

fn grooves(args: &Args, wishes: &Wishes, desk: &Desk) -> Result<Vec<(SideName, GroovePlan, f64)>, Failure> {
    let mut found = Vec::new();
    for (side, plan, option, depth) in [
        (SideName::A, &args.grooves_a, "--depth-a", &args.depth_a),
        (SideName::B, &args.grooves_b, "--depth-b", &args.depth_b),
    ] {
        let Some(file) = plan else { continue };
        let sheet = sheet(file, args, desk)?;
        let plan = takeoff::groove_plan(&sheet.drawn, side, wishes.gap).map_err(|e| {
            Failure::new(format!("{}: {e}", shown(file)), "draw the walls of the grooves as straight lines")
        })?;
        found.extend(length(option, depth, wishes.snap.unit)?.map(|depth| (side, plan, depth)));
    }
    Ok(found)
}

fn head(args: &Args) -> Head {
    let stem = args.drawing.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let safe = |c: char| if c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.') { c } else { '-' };
    let name: String = stem.chars().map(safe).take(MOST_OF_NAME).collect();
    let number = args.number.clone().unwrap_or(if name.is_empty() { "takeoff".to_owned() } else { name });
    let file = args.drawing.file_name().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    Head { number, revision: args.revision.clone(), note: format!("Sizes taken off the drawing {file}; check them.") }
}

/// Characters of a file's name that become an order's number.
const MOST_OF_NAME: usize = 24;

fn write(file: &Path, text: &str, sheet: &Sheet, taken: &TakenOff, args: &Args, desk: &Desk) -> Result<(), Failure> {
    if outlet::is_named(file) {
        return files::write_new(file, text.as_bytes());
    }
    let name = args.drawing.file_name().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let drawing = takeoff::picture(&sheet.drawn, taken, &name);
    let svg = svg::svg(&drawing).map_err(|e| Failure::new(format!("the picture cannot be made: {e}"), ""))?;
    let stem = file.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let picture = file.with_file_name(format!("{stem}-takeoff.svg"));
    files::write_new(file, text.as_bytes())?;
    files::write(&picture, svg.as_bytes())?;
    desk.remark(&files::written([&file.to_owned(), &picture]));
    Ok(())
}

fn told(sheet: &Sheet, taken: &TakenOff, grooves: &[(SideName, GroovePlan, f64)]) -> String {
    let mut out = String::new();
    for size in &taken.sizes {
        let unit = if size.is_angle { "°" } else { " mm" };
        out += &format!("{}: {}{unit}, drawn {}{unit}\n", size.name, trimmed(size.size, 6), trimmed(size.drawn, 6));
    }
    for (side, plan, _) in grooves {
        let skew =
            if plan.skew_deg == 0.0 { String::new() } else { format!(", skewed {}°", trimmed(plan.skew_deg, 4)) };
        out += &format!(
            "grooves, side {}: {} places, {} omitted, {} mm wide from diameter {} mm{skew}\n",
            side.letter(),
            plan.places,
            plan.omit.len(),
            trimmed(plan.width, 6),
            trimmed(plan.inner_diameter, 6)
        );
    }
    out += &format!("greatest distance from what is drawn: {} mm\n", trimmed(taken.deviation, 9));
    let aside = sheet.drawn.iter().filter(|d| d.role == Role::Aside).count();
    let kinds: Vec<String> = sheet.found.left_out.iter().map(|(kind, n)| format!("{n} {kind}")).collect();
    if aside > 0 || !kinds.is_empty() {
        let kinds = if kinds.is_empty() { String::new() } else { format!("; {}", kinds.join(", ")) };
        out += &format!("left aside: {aside} lines and arcs by layer or line type{kinds}\n");
    }
    out
}

fn as_json(sheet: &Sheet, taken: &TakenOff, grooves: &[(SideName, GroovePlan, f64)], order: &Value) -> Value {
    let size = |s: &takeoff::Rounded| json!({ "name": s.name, "drawn": s.drawn, "size": s.size, "unit": if s.is_angle { "deg" } else { "mm" } });
    let plan = |(side, p, depth): &(SideName, GroovePlan, f64)| {
        json!({
            "side": side.letter(), "count": p.places, "omit": p.omit, "width": p.width, "depth": depth, "inner_diameter": p.inner_diameter,
            "outer_diameter": p.outer_diameter, "inner_end": if p.is_round { "round" } else { "square" }, "skew_deg": p.skew_deg,
            "start_deg": p.start_deg,
        })
    };
    json!({
        "format": 1, "order": order, "sizes": taken.sizes.iter().map(size).collect::<Vec<_>>(), "deviation": taken.deviation,
        "grooves": grooves.iter().map(plan).collect::<Vec<_>>(), "remarks": taken.remarks, "left_out": sheet.found.left_out,
    })
}

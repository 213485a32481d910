//! `cut`: the machine files.

use super::packing::controls;
use super::{Desk, Done, Failure, Outcome, files, folder, premises};
use crate::book::{self, Event};
use crate::dossier::Dossier;
use crate::export::dxf::Flavour;
use crate::pack::machine::{self, MachineError, MachineFiles, Wishes};
use crate::quantity::parse_length;
use crate::rules::{Finding, Severity};
use crate::state::Approved;
use crate::wheel::Job;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Arguments of `cut`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft cut 1042.json -o machine/\n  wheeldraft cut 1042.json -o machine/ --dxf r12-joined --compensate \"0.8 mm\"\n  \
    wheeldraft cut 1042.json -o machine/ --unapproved\n\n\
    One DXF for each operation and side, in millimetres at 1:1, and an index table for each set of grooves. Every file is read back and compared \
    with the wheel before it is written. An order that a rule stops gets none. A file there that was edited since it was made is kept under a numbered \
    name.\n\n\
    Without a matching approval (`wheeldraft approve`) files are written only with --unapproved, and say so in their names.\n\
    Exit 1: a rule stops the order. Exit 2: there is no approval of exactly this order."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
    /// The folder to write to.
    #[arg(short, long, value_name = "DIR")]
    output: PathBuf,
    /// Kind of DXF: r12 has lines and arcs, r12-joined polylines with bulges, 2000 light polylines with bulges.
    #[arg(long, value_enum, default_value = "r12", value_name = "r12|r12-joined|2000", hide_possible_values = true)]
    dxf: Kind,
    /// The path of the centre of a diamond's nose of this radius instead of the finished profile, and passes of the order's groove cutter instead of
    /// the finished grooves; a bare number is in the order's unit.
    #[arg(long, value_name = "NOSE_RADIUS", allow_hyphen_values = true)]
    compensate: Option<String>,
    /// Clearance beyond the wheel at which groove passes begin and end; 2 mm unless given.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    over_run: Option<String>,
    /// Greatest depth of one pass; without it grooves are cut to depth at once and the profile in passes of 0.5 mm.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    depth_per_pass: Option<String>,
    /// Stone that roughing leaves on the profile for the last pass of a program, at most a pass deep; without it the order's `profile_allowance`, else
    /// 0.1 mm.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, requires = "nc")]
    allowance: Option<String>,
    /// Write also numerical control programs (ISO 6983): one for each set-up of the profile, roughed from the blank, and one for each set of grooves.
    /// Each was driven against the stone before it is written, and has a sheet for the setter (`…-tool-path.pdf` and `.svg`): the tool path over blank
    /// and finished contour, rapid moves dashed, numbered.
    #[arg(long)]
    nc: bool,
    /// The shop's file of controls: how its machines want their programs, repeated blocks among it, and ratio and plates of its dividing head for the
    /// index tables; `templates/control.json` is the pattern.
    #[arg(long, value_name = "FILE")]
    control: Option<PathBuf>,
    /// Write the files although the order is not approved; their names say so.
    #[arg(long)]
    unapproved: bool,
    /// The approval record, instead of ORDER.approval.json beside the order.
    #[arg(long, value_name = "FILE")]
    approval: Option<PathBuf>,
}

/// Kind of DXF.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Kind {
    R12,
    R12Joined,
    #[value(name = "2000")]
    R2000,
}

/// Writes the files.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let rules = desk.rules()?;
    let dossier = desk.dossier_by(&args.order, args.approval.as_deref(), &rules)?;
    let job = &dossier.job;
    let approved = match &dossier.approved {
        Approved::By { .. } => Ok(()),
        Approved::Not(why) => Err(format!("{}: {why}", job.file_stem())),
    };
    let mut wishes = wishes(args, job, approved.is_ok(), desk)?;
    wishes.state = dossier.state().lines();
    if is_stopped(&dossier, &wishes, desk) {
        desk.remark("The rules stop this order: no machine files. `wheeldraft check` says more.");
        return print(desk, job, "stop", approved.is_ok(), &MachineFiles::default()).map(|()| Outcome::Stopped);
    }
    if dossier.job.is_draft() {
        return Err(draft(&dossier));
    }
    match &approved {
        Err(why) if !args.unapproved => {
            let hint = "record the customer's approval with `wheeldraft approve`, or give --unapproved: every file then says so in its name";
            return Err(Failure::new(why.clone(), hint));
        }
        Err(why) => desk.remark(why),
        Ok(()) => {}
    }
    let refused = |e: MachineError| Failure::new(format!("no machine files of {}: {e}", job.file_stem()), e.hint());
    let mut made = machine::files(job, &wishes).map_err(refused)?;
    made.files.extend(machine::program_sheets(&dossier, &made.courses).map_err(refused)?);
    let paths: Vec<(PathBuf, &[u8])> =
        made.files.iter().map(|f| (args.output.join(&f.name), f.bytes.as_slice())).collect();
    folder::set_aside(&args.output, &made.files)?.iter().for_each(|kept| desk.remark(kept));
    files::write_all(&paths)?;
    made.remarks.iter().for_each(|remark| desk.remark(remark));
    let old = stale(&args.output, job, &made);
    if !old.is_empty() {
        desk.remark(&format!("From earlier runs, not written now, do not cut from them: {}", old.join(", ")));
    }
    desk.remark(&files::written(paths.iter().map(|(path, _)| path)));
    let files = made.files.iter().map(premises::of_file).collect();
    desk.enter(|| Ok(vec![Event { files, ..premises::event(book::Kind::Cut, job, None)? }]))?;
    print(desk, job, "made", approved.is_ok(), &made).map(|()| Outcome::Made)
}

/// Why a draft goes no further: its open sizes.
pub(super) fn draft(dossier: &Dossier) -> Failure {
    let open = dossier.open_sizes().join("; ");
    Failure::new(
        format!("{} is a draft: {open}", dossier.job.file_stem()),
        "write each size into the order in place of its question mark; `wheeldraft check` asks them",
    )
}

/// Whether a rule stops the order. A nose named on the command line is judged where its path is made: the order's own then stops nothing.
fn is_stopped(dossier: &Dossier, wishes: &Wishes, desk: &Desk) -> bool {
    let counts = |f: &&Finding| wishes.compensate.is_none() || f.id != "nose-radius";
    let stops: Vec<&Finding> = dossier.outcome.of(Severity::Stop).filter(counts).collect();
    stops.iter().for_each(|stop| desk.remark(&format!("stop: {}", stop.message)));
    !stops.is_empty()
}

fn wishes(args: &Args, job: &Job, approved: bool, desk: &Desk) -> Result<Wishes, Failure> {
    let length = |option: &str, text: &Option<String>, least: f64| {
        let Some(text) = text else { return Ok(None) };
        let read = parse_length(text, job.units).map_err(|e| Failure::new(format!("{option}: {e}"), e.hint.clone()))?;
        if read > least && read <= crate::tolerance::GREATEST_LENGTH || read == 0.0 && least < 0.0 {
            return Ok(Some(read));
        }
        Err(Failure::new(format!("{option}: `{text}` is no length for it"), "give a length above 0, such as 0.8 mm"))
    };
    Ok(Wishes {
        flavour: match args.dxf {
            Kind::R12 => Flavour::R12,
            Kind::R12Joined => Flavour::R12Joined,
            Kind::R2000 => Flavour::R2000,
        },
        // a nose of a micrometre or less is a slip of the pen: no path could be told from the shape itself
        compensate: length("--compensate", &args.compensate, crate::tolerance::LEAST_LENGTH)?,
        over_run: length("--over-run", &args.over_run, -f64::MIN_POSITIVE)?,
        depth_per_pass: length("--depth-per-pass", &args.depth_per_pass, 0.0)?,
        allowance: length("--allowance", &args.allowance, crate::tolerance::LEAST_LENGTH)?,
        programs: args.nc,
        approved,
        controls: Some(controls(args.control.as_ref(), desk)?),
        state: Vec::new(),
    })
}

/// Machine files of this order in the folder that this run did not write.
fn stale(folder: &Path, job: &Job, made: &MachineFiles) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let names = entries.filter_map(|e| e.ok()?.file_name().into_string().ok());
    let stem = job.file_stem();
    let ours = |name: &String| {
        let rest = name.strip_prefix(&stem).and_then(|rest| rest.strip_prefix('-'));
        let machine = name.ends_with("_mm.dxf") || name.ends_with(".nc") || name.ends_with(".csv") || name.contains("-tool-path");
        let kind = |rest: &str| ["profile", "grooves-", "index-"].iter().any(|k| rest.starts_with(k));
        let aside = folder::is_aside(name);
        machine && !aside && rest.is_some_and(kind) && !made.files.iter().any(|f| f.name == *name)
    };
    let mut found: Vec<String> = names.filter(ours).collect();
    found.sort();
    found
}

fn print(desk: &Desk, job: &Job, verdict: &str, approved: bool, made: &MachineFiles) -> Result<(), Failure> {
    if !desk.is_json() {
        return Ok(());
    }
    let files = made.files.iter().map(|f| json!({"name": f.name, "bytes": f.bytes.len(), "sha256": f.sha256()}));
    desk.print_json(&json!({
        "format": 1,
        "fingerprint": job.fingerprint().full(),
        "verdict": verdict,
        "approved": approved,
        "files": files.collect::<Vec<Value>>(),
        "remarks": made.remarks,
    }))
}

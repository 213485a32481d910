//! Machine files as bytes, each checked against the model before it is handed over: what is read back from the very bytes must be the wheel.

use super::{NamedFile, seal};
use crate::both::both;
use crate::cutting::check::{self, Made, Mismatch, Written};
use crate::cutting::control::{Control, Controls, DividingHead};
use crate::cutting::index::{self, IndexTable};
use crate::cutting::nose::{self, NosePath};
use crate::cutting::passes::{self, Cutter, Passes};
use crate::cutting::profile::{self, Profile};
use crate::cutting::program::{self, Roughing, Turned};
use crate::cutting::{CuttingError, Part, face, grooves};
use crate::course::{self, Course, Cuts};
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::export::{csv, pdf, svg};
use crate::export::dxf::{self, DxfError, Flavour, ReadError};
use crate::geometry::Edge;
use crate::json::Problems;
use crate::quantity::trimmed;
use crate::simulate::{self, Objection, Proved};
use crate::tolerance::SAME_WORD;
use crate::wheel::Job;

/// How machine files are wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Wishes {
    /// Kind of DXF.
    pub flavour: Flavour,
    /// Nose radius of the diamond whose path is wanted, and passes for the order's groove cutter, mm; `None` gives the finished shape itself.
    pub compensate: Option<f64>,
    /// Whether numerical control programs are wanted too.
    pub programs: bool,
    /// Whether the customer has approved exactly this order; else every file says so in its name.
    pub approved: bool,
    /// Clearance of groove passes beyond the wheel, mm.
    pub over_run: Option<f64>,
    /// Greatest depth of one pass, mm.
    pub depth_per_pass: Option<f64>,
    /// Stone left on the profile for the last pass, mm; `None` for the order's, or else a usual one.
    pub allowance: Option<f64>,
    /// What every file says of the state the order is in, a line each.
    pub state: Vec<String>,
    /// The shop's controls; `None` for the examples that ship with the program.
    pub controls: Option<Controls>,
}

/// The machine files of an order, and what their reader must be told.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MachineFiles {
    /// The files in the order the wheel is cut.
    pub files: Vec<NamedFile>,
    /// What the tools leave or cannot do, and the worst rounding of the indexing head.
    pub remarks: Vec<String>,
    /// The programs among the files, with what they were made for.
    pub courses: Vec<Course>,
}

impl MachineFiles {
    /// The files, and what the programs among them were made for, as the traveller names them.
    pub fn named(&self) -> (&[NamedFile], &[Course]) {
        (&self.files, &self.courses)
    }
}

/// Why there are no machine files.
#[derive(Debug, thiserror::Error)]
pub enum MachineError {
    /// No path could be made.
    #[error(transparent)]
    Cutting(#[from] CuttingError),
    /// The DXF could not be written.
    #[error(transparent)]
    Dxf(#[from] DxfError),
    /// What was written could not be read back.
    #[error("the file as written cannot be read back: {0}")]
    Unreadable(#[from] ReadError),
    /// What was written is not the model.
    #[error(transparent)]
    Mismatch(#[from] Mismatch),
    /// A program, driven against the stone, does not do what it should.
    #[error("the program of the {part}: {why}")]
    Objection {
        /// The part.
        part: Part,
        /// What it does.
        why: Objection,
    },
    /// The controls that ship with the program cannot be read.
    #[error("the file of controls: {0}")]
    Controls(#[from] Problems),
    /// A table could not be written.
    #[error(transparent)]
    Table(#[from] csv::CsvError),
    /// The sheet of a program could not be written.
    #[error("the sheet of a program cannot be made: {0}")]
    Sheet(String),
}

impl MachineError {
    /// What would be right; empty where there is no advice.
    pub fn hint(&self) -> &str {
        match self {
            MachineError::Cutting(CuttingError::Needs { hint, .. }) => hint,
            MachineError::Cutting(CuttingError::Nose { .. }) => {
                "name a nose that fits, or order a larger fillet_radius"
            }
            MachineError::Cutting(CuttingError::Offset { .. }) => {
                "try another nose radius, or cut the finished shape without --compensate"
            }
            MachineError::Cutting(CuttingError::Short { .. }) => "make the feature larger or leave it out",
            _ => "",
        }
    }
}

/// All machine files of an order: the profile, each part's grooves, each part's index table.
///
/// # Errors
/// Where a path cannot be made or a file, read back, is not the model; then there is no file at all.
pub fn files(job: &Job, wishes: &Wishes) -> Result<MachineFiles, MachineError> {
    // every file tells whether somebody has edited it since
    let state = wishes.state.iter().cloned().chain([seal::LINE.to_owned()]).collect();
    let wishes = &Wishes { state, ..wishes.clone() };
    let parts = Part::of(job);
    // the profile takes about as long as all grooves
    let (first, rest) = parts.split_at(1.min(parts.len()));
    let (rest, first) = both(|| of_parts(job, rest, wishes), || of_parts(job, first, wishes));
    let (mut made, rest) = (first?, rest?);
    made.files.extend(rest.files);
    made.remarks.extend(rest.remarks);
    made.courses.extend(rest.courses);
    Ok(made)
}

/// The machine files of some parts.
fn of_parts(job: &Job, parts: &[Part], wishes: &Wishes) -> Result<MachineFiles, MachineError> {
    let mut made = MachineFiles::default();
    for &part in parts {
        match part {
            Part::Profile => made.profile(job, wishes)?,
            Part::Grooves(_) | Part::FaceGrooves => made.grooves(job, part, wishes)?,
        }
        match part {
            _ if !wishes.programs => {}
            Part::Profile => made.profile_program(job, wishes)?,
            Part::Grooves(_) | Part::FaceGrooves => made.groove_program(job, part, wishes)?,
        }
    }
    Ok(made)
}

impl MachineFiles {
    fn add(&mut self, job: &Job, name: &str, ending: &str, bytes: Vec<u8>, wishes: &Wishes) {
        let approved = if wishes.approved { "" } else { "-UNAPPROVED" };
        let name = format!("{}-{name}{approved}{ending}", job.file_stem());
        self.files.push(NamedFile { name, bytes: seal::sealed(bytes) });
    }

    fn add_dxf(
        &mut self,
        job: &Job,
        name: &str,
        drawing: &Drawing,
        made: Made,
        wishes: &Wishes,
    ) -> Result<(), MachineError> {
        let mut drawing = drawing.clone();
        drawing.about.state.clone_from(&wishes.state);
        let bytes = dxf::machine(&drawing, wishes.flavour)?;
        verified(job, made, &bytes)?;
        self.add(job, name, "_mm.dxf", bytes, wishes);
        Ok(())
    }

    fn profile(&mut self, job: &Job, wishes: &Wishes) -> Result<(), MachineError> {
        let shape = Profile::of(&job.wheel)?;
        self.remarks.extend(shape.healed.iter().map(|h| h.comment()));
        let Some(radius) = wishes.compensate else {
            // in the plain flavour an outline would be the same lines and arcs once more
            let drawing = profile::nominal(job, &shape, wishes.flavour != Flavour::R12);
            return self.add_dxf(job, "profile", &drawing, Made::Profile(&shape), wishes);
        };
        let path = NosePath::fitting(&shape, radius, job.units)?;
        self.remarks.extend(path.said(job.units));
        let drawing = nose::compensated(job, &shape, &path)?;
        self.add_dxf(job, &nose_name(radius), &drawing, Made::Nose(&shape, &path), wishes)
    }

    /// The profile's programs, one for each set-up, for the radius asked for or else that of the order's diamond.
    fn profile_program(&mut self, job: &Job, wishes: &Wishes) -> Result<(), MachineError> {
        let Some(radius) = wishes.compensate.or(job.tooling.profile_nose_radius) else {
            return Err(MachineError::Cutting(CuttingError::Needs {
                message: String::from("a program for the profile needs the nose radius of the diamond"),
                hint: String::from("give the nose radius of the profiling tool in the order, or --compensate"),
            }));
        };
        let shape = Profile::of(&job.wheel)?;
        let path = NosePath::fitting(&shape, radius, job.units)?;
        if wishes.compensate.is_none() {
            self.remarks.extend(path.said(job.units));
        }
        let control = wishes.controls()?.turning;
        let roughing = Roughing::of(radius, wishes.depth_per_pass, wishes.allowance.or(job.tooling.profile_allowance))?;
        let turned = Turned { shape: &shape, nose: &path, roughing, control: &control };
        for set_up in program::set_ups(&control) {
            let draft = program::program(job, &turned, set_up, &wishes.state)?;
            self.remarks.extend(program::kept_at_flange(job, set_up)?);
            let proved = simulate::turning(job, draft, &control, (set_up, radius, roughing))
                .map_err(|why| MachineError::Objection { part: Part::Profile, why })?;
            let name = format!("{}-{}", nose_name(radius), set_up.word());
            self.add_program(job, &name, proved, (&control, Cuts::Profile(set_up, radius, roughing)), wishes);
        }
        Ok(())
    }

    fn add_program(&mut self, job: &Job, name: &str, proved: Proved, made: (&Control, Cuts), wishes: &Wishes) {
        self.add(job, name, "_mm.nc", proved.into_bytes(), wishes);
        if let Some(file) = self.files.last() {
            let (control, cuts) = (made.0.clone(), made.1);
            let text = String::from_utf8_lossy(&file.bytes).into_owned();
            self.courses.push(Course { file: file.name.clone(), sha256: file.sha256(), text, control, cuts });
        }
    }

    /// A part's groove program, for the order's disc.
    fn groove_program(&mut self, job: &Job, part: Part, wishes: &Wishes) -> Result<(), MachineError> {
        let Some(cutter) = Cutter::of(job, wishes.over_run, wishes.depth_per_pass) else {
            self.remarks.push(format!("No program for the {part}: the order does not give the width of the groove cutter."));
            return Ok(());
        };
        let Some(passes) = passes_of(job, part, &cutter)? else { return Ok(()) };
        if wishes.compensate.is_none() {
            self.remarks.extend(passes.remarks.clone());
        }
        let control = wishes.controls()?.grooving;
        if let Some(proved) = proved_grooves(job, part, (&cutter, &passes), (&control, &wishes.state))? {
            let cuts = Cuts::Grooves(part, cutter);
            self.add_program(job, &cutter_name(part, &cutter), proved, (&control, cuts), wishes);
        }
        Ok(())
    }

    fn grooves(&mut self, job: &Job, part: Part, wishes: &Wishes) -> Result<(), MachineError> {
        let cutter = wishes.compensate.and_then(|_| Cutter::of(job, wishes.over_run, wishes.depth_per_pass));
        let made = match cutter {
            Some(cutter) => passes_of(job, part, &cutter)?.map(|passes| (cutter, passes)),
            None => None,
        };
        match made {
            Some((cutter, passes)) => self.groove_passes(job, part, (&cutter, &passes), wishes)?,
            None => {
                if wishes.compensate.is_some() {
                    let none = "give the width of the groove cutter to get passes";
                    self.remarks
                        .push(format!("No groove cutter in the order: the {part} are written as ordered; {none}."));
                }
                self.nominal_grooves(job, part, wishes)?;
            }
        }
        if let Some(table) = table_of(job, part, &wishes.controls()?.head) {
            self.index(job, part, &table, wishes)?;
        }
        Ok(())
    }

    fn nominal_grooves(&mut self, job: &Job, part: Part, wishes: &Wishes) -> Result<(), MachineError> {
        let drawing = match part {
            Part::Profile => None,
            Part::Grooves(side) => grooves::nominal(job, side)?,
            Part::FaceGrooves => face::nominal(job)?,
        };
        match drawing {
            Some(drawing) => self.add_dxf(job, part.word(), &drawing, Made::Grooves(part), wishes),
            None => Ok(()),
        }
    }

    fn groove_passes(
        &mut self,
        job: &Job,
        part: Part,
        (cutter, passes): (&Cutter, &Passes),
        wishes: &Wishes,
    ) -> Result<(), MachineError> {
        self.remarks.extend(passes.remarks.clone());
        let drawing = match part {
            Part::Profile => None,
            Part::Grooves(side) => passes::side_drawing(job, side, cutter, passes)?,
            Part::FaceGrooves => passes::face_drawing(job, cutter, passes)?,
        };
        let Some(drawing) = drawing else { return Ok(()) };
        if cutter.diameter.is_some() {
            // the passes are driven as a program of them would be
            proved_grooves(job, part, (cutter, passes), (&Controls::built_in()?.grooving, &[]))?;
        }
        self.add_dxf(job, &cutter_name(part, cutter), &drawing, Made::Passes(part, passes), wishes)
    }

    fn index(&mut self, job: &Job, part: Part, table: &IndexTable, wishes: &Wishes) -> Result<(), MachineError> {
        if let Some(worst) = table.worst_error_deg.filter(|worst| *worst >= SAME_WORD) {
            let worst = crate::quantity::fixed(worst, 6);
            self.remarks
                .push(format!("Index table of the {part}: angles rounded to the head's step, {worst} deg at worst."));
        }
        let head: Vec<String> = wishes.state.iter().cloned().chain(table.about.clone()).collect();
        let bytes = csv::stated(&head, &table.head, table.rows.iter().cloned())?;
        let name = part.word().replace("grooves", "index");
        self.add(job, &name, ".csv", bytes, wishes);
        Ok(())
    }
}

/// The sheets of the programs among machine files, as svg and as pdf.
///
/// # Errors
/// Where a program cannot be read back or a sheet not be written.
pub fn program_sheets(dossier: &Dossier, courses: &[Course]) -> Result<Vec<NamedFile>, MachineError> {
    let (near, far) = courses.split_at(courses.len() / 2);
    let of = |courses: &[Course]| courses.iter().map(|course| sheet_files(dossier, course)).collect::<Result<Vec<_>, _>>();
    let (far, near) = both(|| of(far), || of(near));
    Ok(near?.into_iter().chain(far?).flatten().collect())
}

/// The sheets of one program.
fn sheet_files(dossier: &Dossier, course: &Course) -> Result<Vec<NamedFile>, MachineError> {
    let mut files = Vec::new();
    let sheets = course_sheets(dossier, course, course::ON_PAPER)?;
    let stem = course.file.trim_end_matches("_mm.nc");
    for (i, sheet) in sheets.iter().enumerate() {
        let name = if i == 0 { format!("{stem}-tool-path.svg") } else { format!("{stem}-tool-path-{}.svg", i + 1) };
        let text = svg::svg(sheet).map_err(|e| MachineError::Sheet(e.to_string()))?;
        let text = text.trim_end().to_owned() + &format!("\n<!-- {} -->\n", seal::LINE);
        files.push(NamedFile { name, bytes: seal::sealed(text.into_bytes()) });
    }
    let bytes = pdf::pdf(&sheets).map_err(|e| MachineError::Sheet(e.to_string()))?;
    files.push(NamedFile { name: format!("{stem}-tool-path.pdf"), bytes: seal::sealed(with_line(bytes)) });
    Ok(files)
}

/// A pdf with the line of its seal as a comment: before its last words, where no offset counts it (ISO 32000-1, 7.5.5).
fn with_line(mut pdf: Vec<u8>) -> Vec<u8> {
    const LAST: &[u8] = b"startxref";
    if let Some(at) = pdf.windows(LAST.len()).rposition(|w| w == LAST) {
        pdf.splice(at..at, format!("%{}\n", seal::LINE).into_bytes());
    }
    pdf
}

/// The sheets of one program, with passes no nearer to each other than `apart` on paper, mm.
///
/// # Errors
/// Where its text cannot be read back.
pub fn course_sheets(dossier: &Dossier, course: &Course, apart: f64) -> Result<Vec<Drawing>, MachineError> {
    let part = match course.cuts {
        Cuts::Profile(..) => Part::Profile,
        Cuts::Grooves(part, _) => part,
    };
    course::sheets(dossier, course, apart).map_err(|why| MachineError::Objection { part, why })
}

fn nose_name(radius: f64) -> String {
    format!("profile-nose-{}", trimmed(radius, 4))
}

fn cutter_name(part: Part, cutter: &Cutter) -> String {
    format!("{}-cutter-{}", part.word(), trimmed(cutter.width, 4))
}

impl Wishes {
    /// The shop's controls, or the examples that ship with the program.
    fn controls(&self) -> Result<Controls, Problems> {
        self.controls.clone().map_or_else(Controls::built_in, Ok)
    }
}

/// The program of a part's groove passes, once it has passed its simulation; `None` where this disc cannot make them.
fn proved_grooves(
    job: &Job,
    part: Part,
    tool: (&Cutter, &Passes),
    (control, state): (&Control, &[String]),
) -> Result<Option<Proved>, MachineError> {
    let objection = |why| MachineError::Objection { part, why };
    match part {
        Part::Profile => Ok(None),
        Part::Grooves(side) => program::side(job, side, tool, control, state)?
            .map(|draft| simulate::side(job, draft, control, (side, tool.0)).map_err(objection))
            .transpose(),
        Part::FaceGrooves => program::face(job, tool, control, state)?
            .map(|draft| simulate::face(job, draft, control, tool.0).map_err(objection))
            .transpose(),
    }
}

fn passes_of(job: &Job, part: Part, cutter: &Cutter) -> Result<Option<Passes>, CuttingError> {
    match part {
        Part::Profile => Ok(None),
        Part::Grooves(side) => passes::side(job, side, cutter),
        Part::FaceGrooves => passes::face(job, cutter),
    }
}

fn table_of(job: &Job, part: Part, head: &DividingHead) -> Option<IndexTable> {
    match part {
        Part::Profile => None,
        Part::Grooves(side) => index::side(job, side, head),
        Part::FaceGrooves => index::face(job, head),
    }
}

/// Reads the bytes back, compares them with the model, and drives the nose along a compensated path.
fn verified(job: &Job, made: Made, bytes: &[u8]) -> Result<(), MachineError> {
    let read = dxf::read_back(bytes)?;
    let written: Vec<Written> = read.entities.into_iter().map(|e| Written { layer: e.layer, edges: e.edges }).collect();
    check::against(job, made, &written)?;
    if let Made::Nose(_, path) = made {
        let edges: Vec<Edge> =
            written.iter().filter(|w| w.layer.starts_with("NOSE_")).flat_map(|w| w.edges.iter().copied()).collect();
        simulate::path(job, &edges, path.radius)
            .map_err(|why| MachineError::Objection { part: Part::Profile, why })?;
    }
    Ok(())
}

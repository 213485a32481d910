//! The papers of the shop as sheets; the commands for single papers and the pack make them here, so they agree byte for byte.

use super::NamedFile;
use crate::course::{Course, Cuts};
use crate::cutting::Part;
use crate::cutting::program::SetUp;
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::section::SectionError;
use crate::sheet::template::Template as TitleBlock;
use crate::sheet::{Figures, SheetError};
use crate::shop::operation::Operation;
use crate::shop::traveller::{self, Inputs, MachineFile, Template};
use crate::wheel::Job;
use crate::{report, sheet};

/// The approval drawing of an order.
///
/// # Errors
/// Where no arrangement keeps everything apart.
pub fn approval(dossier: &Dossier, title_block: &TitleBlock) -> Result<Vec<Drawing>, SheetError> {
    Ok(sheet::approval(&sheet::Inputs { dossier, template: title_block })?.drawings)
}

/// The calculation sheets of an order: the numbers behind the drawing, with plots, findings and their sources.
///
/// # Errors
/// Where a part is too large for the paper the order names.
pub fn calculation(dossier: &Dossier, title_block: &TitleBlock) -> Result<Vec<Drawing>, SheetError> {
    let paper = report::calculation(dossier);
    sheet::calculation(&Figures { dossier, paper: &paper, template: title_block })
}

/// The machine files of an order and what its programs were made for, or why it has none.
pub type Machine<'a> = Result<(&'a [NamedFile], &'a [Course]), &'a str>;

/// The traveller of an order with its machine files, or why it has none.
///
/// # Errors
/// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
pub fn traveller(dossier: &Dossier, template: &Template, machine: Machine) -> Result<Vec<Drawing>, SectionError> {
    let (files, courses) = machine.unwrap_or_default();
    let files: Vec<MachineFile> = files.iter().map(|f| machine_file(&dossier.job, f, courses)).collect();
    traveller::traveller(&Inputs { dossier, template, files: &files, no_files: machine.err().unwrap_or_default() })
}

/// A machine file with the operations it is for: a program knows them, of the others the name tells.
pub fn machine_file(job: &Job, file: &NamedFile, courses: &[Course]) -> MachineFile {
    let rest = file.name.strip_prefix(&job.file_stem()).unwrap_or(&file.name);
    let course = courses.iter().find(|course| course.file == file.name);
    let is_for = |o: Operation| match course.map(|course| course.cuts) {
        Some(Cuts::Profile(set_up, ..)) => is_turned_in(set_up, o),
        Some(Cuts::Grooves(part, _)) => part == cut_in(o),
        None => o.is_cutting() && is_named_for(rest, cut_in(o).word()),
    };
    MachineFile {
        name: file.name.clone(),
        sha256: file.sha256(),
        operations: Operation::ALL.into_iter().filter(|&o| is_for(o)).collect(),
    }
}

/// Whether a file whose name goes on so is for the part of this word, or tells the angles of its grooves.
fn is_named_for(rest: &str, word: &str) -> bool {
    let name = rest.trim_start_matches('-');
    name.starts_with(word) || name.strip_prefix("index-").is_some_and(|n| n.starts_with(word.trim_start_matches("grooves-")))
}

/// The part of the wheel that an operation cuts; one outline holds everything that is turned.
fn cut_in(operation: Operation) -> Part {
    match operation {
        Operation::Grooves(side) => Part::Grooves(side),
        Operation::FaceGrooves => Part::FaceGrooves,
        _ => Part::Profile,
    }
}

/// Whether an operation is done in a set-up: the thickness comes off both sides, and each side brings its end of the bore's chamfer.
fn is_turned_in(set_up: SetUp, operation: Operation) -> bool {
    match operation {
        Operation::Bore => set_up.bore,
        Operation::BoreChamfer => !set_up.stays,
        Operation::Thickness => true,
        Operation::OutsideDiameter => set_up.face,
        Operation::Recess(side) | Operation::Taper(side) | Operation::Corner(side) => side == set_up.side,
        _ => false,
    }
}

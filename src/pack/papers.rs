//! The papers of the shop as sheets; the commands for single papers and the pack make them here, so they agree byte for byte.

use super::NamedFile;
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::section::SectionError;
use crate::sheet::template::Template as TitleBlock;
use crate::sheet::{Figures, SheetError};
use crate::shop::operation::Operation;
use crate::shop::traveller::{self, Inputs, MachineFile, Template};
use crate::wheel::{Job, SideName};
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

/// The traveller of an order with its machine files, or why it has none.
///
/// # Errors
/// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
pub fn traveller(
    dossier: &Dossier,
    template: &Template,
    machine: Result<&[NamedFile], &str>,
) -> Result<Vec<Drawing>, SectionError> {
    let files: Vec<MachineFile> = machine.unwrap_or_default().iter().map(|f| machine_file(&dossier.job, f)).collect();
    traveller::traveller(&Inputs { dossier, template, files: &files, no_files: machine.err().unwrap_or_default() })
}

/// A machine file with the operations it is for, which its name says.
fn machine_file(job: &Job, file: &NamedFile) -> MachineFile {
    let stem = job.file_stem();
    let rest = file.name.strip_prefix(&stem).unwrap_or(&file.name);
    let for_it = |o: &Operation| match o {
        Operation::Grooves(SideName::A) => rest.contains("-side-a"),
        Operation::Grooves(SideName::B) => rest.contains("-side-b"),
        Operation::FaceGrooves => rest.contains("-face"),
        // one outline holds everything that is turned
        o if o.is_cutting() => rest.starts_with("-profile"),
        _ => false,
    };
    MachineFile {
        name: file.name.clone(),
        sha256: file.sha256(),
        operations: Operation::ALL.into_iter().filter(for_it).collect(),
    }
}

//! The papers of the shop as sheets; the commands for single papers and the pack make them here, so they agree byte for byte.

use super::NamedFile;
use super::standing::Standing;
use crate::drawing::Drawing;
use crate::rules::ShopRules;
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
/// Where the wheel has no section, or no arrangement keeps everything apart.
pub fn approval(job: &Job, standing: &Standing, title_block: &TitleBlock) -> Result<Vec<Drawing>, SheetError> {
    let (findings, switched_off) = (&standing.outcome.findings, &standing.outcome.switched_off);
    Ok(sheet::approval(&sheet::Inputs { job, findings, switched_off, template: title_block })?.drawings)
}

/// The calculation sheets of an order: the numbers behind the drawing, with plots, findings and their sources.
///
/// # Errors
/// Where the wheel has no section, or a part is too large for the paper the order names.
pub fn calculation(
    job: &Job,
    standing: &Standing,
    shop: &ShopRules,
    title_block: &TitleBlock,
) -> Result<Vec<Drawing>, SheetError> {
    let paper = report::calculation(job, shop, &standing.outcome)?;
    sheet::calculation(&Figures { job, paper: &paper, findings: &standing.outcome.findings, template: title_block })
}

/// The traveller of an order with its machine files, or why it has none.
///
/// # Errors
/// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
pub fn traveller(
    job: &Job,
    standing: &Standing,
    template: &Template,
    machine: Result<&[NamedFile], &str>,
) -> Result<Vec<Drawing>, SectionError> {
    let files: Vec<MachineFile> = machine.unwrap_or_default().iter().map(|f| machine_file(job, f)).collect();
    traveller::traveller(&Inputs {
        job,
        template,
        limits: standing.limits.clone(),
        files: &files,
        no_files: machine.err().unwrap_or_default(),
        bar: standing.bar(),
    })
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

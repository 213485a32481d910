//! The pack of an order: every paper and file the order allows, all of one fingerprint, with the list of them.

use super::machine::{self, MachineError, MachineFiles, Wishes};
use super::manifest::{ApprovedBy, Asked, Entry, FORMAT, Kind, Manifest, Withheld};
use super::{NamedFile, papers, solid};
use crate::both::both;
use crate::cutting::control::Controls;
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::export::dxf::Flavour;
use crate::order::SolidFormat;
use crate::export::{csv, pdf, svg};
use crate::rules::ShopRules;
use crate::section::SectionError;
use crate::sheet::SheetError;
use crate::sheet::template::{NO_SHOP, Template as TitleBlock};
use crate::shop::inspection::{self, Extent};
use crate::shop::label;
use crate::shop::traveller::Template as TravellerTemplate;
use crate::state::{Approved, version};
use crate::tolerance::MESH_DEVIATION;
use crate::wheel::Job;
use serde::Serialize;
use serde_json::{Map, Value};
use sha2::{Digest, Sha256};

/// What a pack is made from besides the order.
#[derive(Debug)]
pub struct Options<'a> {
    /// The order file as typed; the pack holds a copy.
    pub order: &'a [u8],
    /// The shop's limits.
    pub shop: &'a ShopRules,
    /// Title block of the drawing.
    pub title_block: &'a TitleBlock,
    /// Operations and texts of the traveller.
    pub traveller: &'a TravellerTemplate,
    /// The customer's approval.
    pub approved: Approved,
    /// Whether machine files are wanted without an approval; their names say so.
    pub unapproved: bool,
    /// Who altered the wheel, for the label; empty leaves a line.
    pub altered_by: String,
    /// Grooves measured of each set.
    pub groove_sample: u32,
    /// Solids besides those the order asks for.
    pub with: Vec<SolidFormat>,
    /// The controls that programs are wanted for; `None` wants none.
    pub programs: Option<&'a Controls>,
}

/// A finished pack.
#[derive(Debug, Clone, PartialEq)]
pub struct Pack {
    /// Every file, the manifest last.
    pub files: Vec<NamedFile>,
    /// The manifest.
    pub manifest: Manifest,
    /// What to tell the one who asked for it.
    pub remarks: Vec<String>,
}

/// Why there is no pack.
#[derive(Debug, thiserror::Error)]
pub enum PackError {
    /// The wheel has no section.
    #[error(transparent)]
    Section(#[from] SectionError),
    /// The drawing could not be laid out.
    #[error("the drawing cannot be made: {0}")]
    Sheet(#[from] SheetError),
    /// The machine files could not be made.
    #[error("no machine files: {0}")]
    Machine(#[from] MachineError),
    /// A file could not be written.
    #[error("{name} could not be made: {why}")]
    File {
        /// Its name.
        name: String,
        /// Why.
        why: String,
    },
}

impl PackError {
    /// What would be right; empty where there is no advice.
    pub fn hint(&self) -> &str {
        match self {
            PackError::Machine(e) => e.hint(),
            PackError::Sheet(_) => "choose a larger sheet, or leave `drawing.sheet` out",
            _ => "",
        }
    }
}

/// Hash of everything a pack is made from: the same recipe gives the same pack.
pub fn recipe(job: &Job, options: &Options) -> String {
    let mut hash = Sha256::new();
    let mut part = |bytes: &[u8]| {
        // the length keeps neighbours apart
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    };
    part(version().as_bytes());
    part(job.fingerprint().full().as_bytes());
    part(options.order);
    part(options.shop.text().as_bytes());
    part(options.title_block.text.as_bytes());
    part(options.title_block.logo_text.as_deref().unwrap_or_default().as_bytes());
    part(options.traveller.text.as_bytes());
    // its debug form shows every value, which is all that is asked of it here
    part(format!("{:?}", options.approved).as_bytes());
    part(options.programs.map_or("", |controls| &controls.text).as_bytes());
    part(format!("{} {} {}", options.unapproved, options.groove_sample, options.altered_by).as_bytes());
    part(format!("{:?}", options.with).as_bytes());
    hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
}

/// The machine files a pack holds: the finished shape in the flavour every control reads.
pub fn machine_wishes(dossier: &Dossier, approved: bool) -> Wishes {
    Wishes {
        flavour: Flavour::R12,
        compensate: None,
        programs: false,
        approved,
        over_run: None,
        depth_per_pass: None,
        allowance: None,
        controls: None,
        state: dossier.state().lines(),
    }
}

/// Makes the pack of an order.
///
/// # Errors
/// Where the drawing cannot be laid out, a machine file cannot be made or verified, or a file cannot be written; then there is no pack.
pub fn build(job: &Job, options: &Options) -> Result<Pack, PackError> {
    let nameless = (!options.title_block.shop.is_named()).then_some(NO_SHOP);
    let dossier = Dossier::of(job.clone(), options.shop)?.with(options.approved.clone()).held(nameless);
    let ((drawing, figures), (machine, others)) = both(
        || both(|| made(&dossier, options, Maker::drawing), || made(&dossier, options, Maker::figures)),
        || both(|| made(&dossier, options, Maker::machine), || made(&dossier, options, Maker::others)),
    );
    let mut maker = Maker::new(&dossier);
    maker.told(options);
    for part in [drawing, figures, machine, others] {
        maker.take(part?);
    }
    maker.solids(options);
    maker.copies(options);
    Ok(maker.finish(options))
}

/// One part of a pack.
type Part<'a> = fn(&mut Maker<'a>, &Options) -> Result<(), PackError>;

fn made<'a>(dossier: &'a Dossier<'a>, options: &Options, part: Part<'a>) -> Result<Maker<'a>, PackError> {
    let mut maker = Maker::new(dossier);
    part(&mut maker, options).map(|()| maker)
}

struct Maker<'a> {
    dossier: &'a Dossier<'a>,
    files: Vec<(NamedFile, Kind)>,
    withheld: Vec<Withheld>,
    remarks: Vec<String>,
}

impl<'a> Maker<'a> {
    fn new(dossier: &'a Dossier<'a>) -> Maker<'a> {
        Maker { dossier, files: Vec::new(), withheld: Vec::new(), remarks: Vec::new() }
    }

    /// Adds what another has made.
    fn take(&mut self, part: Maker<'a>) {
        self.files.extend(part.files);
        self.withheld.extend(part.withheld);
        self.remarks.extend(part.remarks);
    }

    fn job(&self) -> &Job {
        &self.dossier.job
    }

    fn name(&self, rest: &str) -> String {
        format!("{}-{rest}", self.job().file_stem())
    }

    fn file(&mut self, rest: &str, kind: Kind, bytes: Vec<u8>) {
        let name = self.name(rest);
        self.files.push((NamedFile { name, bytes }, kind));
    }

    /// An object with `format`, `fingerprint` and the state before its own members.
    fn json(&mut self, rest: &str, kind: Kind, value: impl Serialize) {
        let mut out = Map::new();
        out.insert("format".into(), Value::from(1));
        out.insert("fingerprint".into(), Value::from(self.job().fingerprint().full()));
        out.insert("state".into(), self.dossier.state().json());
        // structs of texts and finite numbers always serialise
        if let Ok(Value::Object(members)) = serde_json::to_value(value) {
            out.extend(members);
        }
        self.file(rest, kind, format!("{:#}\n", Value::Object(out)).into_bytes());
    }

    fn pdf(&mut self, rest: &str, kind: Kind, sheets: &[Drawing]) -> Result<(), PackError> {
        let failed = |why: pdf::PdfError| PackError::File { name: self.name(rest), why: why.to_string() };
        let bytes = pdf::pdf(sheets).map_err(failed)?;
        self.file(rest, kind, bytes);
        Ok(())
    }

    /// The order, and what is said of it to programs.
    fn told(&mut self, options: &Options) {
        self.file("order.json", Kind::Order, options.order.to_vec());
        self.json("check.json", Kind::Findings, serde_json::to_value(&self.dossier.outcome).unwrap_or_default());
        self.json("properties.json", Kind::Properties, self.dossier.as_ordered());
    }

    fn drawing(&mut self, options: &Options) -> Result<(), PackError> {
        let sheets = papers::approval(self.dossier, options.title_block)?;
        for (i, sheet) in sheets.iter().enumerate() {
            let rest = if i == 0 { "approval.svg".to_owned() } else { format!("approval-{}.svg", i + 1) };
            let text = svg::svg(sheet).map_err(|e| PackError::File { name: self.name(&rest), why: e.to_string() })?;
            self.file(&rest, Kind::Drawing, text.into_bytes());
        }
        self.pdf("approval.pdf", Kind::Drawing, &sheets)
    }

    fn figures(&mut self, options: &Options) -> Result<(), PackError> {
        let sheets = papers::calculation(self.dossier, options.title_block)?;
        self.pdf("calculation.pdf", Kind::Calculation, &sheets)
    }

    /// The machine files, and the traveller that names them.
    fn machine(&mut self, options: &Options) -> Result<(), PackError> {
        let machine = self.machine_files(options)?;
        let machine = machine.as_ref().map(MachineFiles::named).map_err(String::as_str);
        let sheets = papers::traveller(self.dossier, options.traveller, machine)?;
        self.pdf("traveller.pdf", Kind::Traveller, &sheets)
    }

    /// Inspection sheets, labels and the customer's approval.
    fn others(&mut self, options: &Options) -> Result<(), PackError> {
        self.inspection(options)?;
        self.labels(options)?;
        if let Approved::By { record, .. } = &options.approved {
            self.file("approved.json", Kind::Approval, record.clone());
        }
        Ok(())
    }

    /// The machine files, or why there are none.
    fn machine_files(&mut self, options: &Options) -> Result<Result<MachineFiles, String>, PackError> {
        let why = match &options.approved {
            _ if self.dossier.withheld().is_some() => self.dossier.withheld(),
            Approved::Not(why) if !options.unapproved => Some(why.clone()),
            _ => None,
        };
        if let Some(why) = why {
            self.withheld.push(Withheld { kind: Kind::Machine, why: why.clone() });
            self.remarks.push(format!("no machine files: {why}"));
            return Ok(Err(format!("none, {why}")));
        }
        let approved = matches!(options.approved, Approved::By { .. });
        let wishes = Wishes {
            programs: options.programs.is_some(),
            controls: options.programs.cloned(),
            ..machine_wishes(self.dossier, approved)
        };
        let mut made = machine::files(self.job(), &wishes)?;
        self.remarks.append(&mut made.remarks);
        self.files.extend(made.files.iter().map(|f| (f.clone(), Kind::Machine)));
        let sheets = machine::program_sheets(self.dossier, &made.courses)?;
        self.files.extend(sheets.into_iter().map(|f| (f, Kind::ProgramSheet)));
        Ok(Ok(made))
    }

    fn inspection(&mut self, options: &Options) -> Result<(), PackError> {
        self.inspection_sheet("inspection", Extent::Whole(options.groove_sample))?;
        match self.job().head.quantity {
            Some(2..) => self.inspection_sheet("inspection-short", Extent::Short(&options.traveller.other_wheels)),
            _ => Ok(()),
        }
    }

    fn inspection_sheet(&mut self, name: &str, extent: Extent) -> Result<(), PackError> {
        let rows = inspection::sheet_rows(self.job(), extent, None);
        let (table, paper) = (format!("{name}.csv"), format!("{name}.pdf"));
        let failed = |e: csv::CsvError| PackError::File { name: self.name(&table), why: e.to_string() };
        let bytes = csv::stated(&inspection::said(self.dossier), &inspection::COLUMNS, rows).map_err(failed)?;
        self.file(&table, Kind::Inspection, bytes);
        self.pdf(&paper, Kind::Inspection, &inspection::sheet(self.dossier, extent, None))
    }

    fn labels(&mut self, options: &Options) -> Result<(), PackError> {
        if let Some(why) = self.dossier.withheld() {
            let why = format!("{why}: there is no wheel to put a label on yet");
            self.withheld.push(Withheld { kind: Kind::Label, why });
            return Ok(());
        }
        let wishes = label::Options { altered_by: options.altered_by.clone(), bar: String::new() };
        self.pdf("label.pdf", Kind::Label, &label::labels(self.dossier, &wishes))
    }

    /// The solids that are asked for, or why there are none.
    fn solids(&mut self, options: &Options) {
        let asked: Vec<SolidFormat> = self.job().sheets.solid.iter().chain(&options.with).copied().collect();
        for (_, &format) in asked.iter().enumerate().filter(|(i, format)| !asked[..*i].contains(format)) {
            match solid::file(self.dossier, format, MESH_DEVIATION).map_err(|e| e.to_string()) {
                Ok(bytes) => self.file(&format!("solid.{}", format.ending()), Kind::Solid, bytes),
                Err(why) => {
                    self.remarks.push(format!("no solid as {}: {why}", format.ending()));
                    self.withheld.push(Withheld { kind: Kind::Solid, why });
                }
            }
        }
    }

    /// What the pack was made by, so that it can be made again.
    fn copies(&mut self, options: &Options) {
        let block = options.title_block;
        self.file("shop-rules.json", Kind::Rules, options.shop.text().into());
        self.file("title-block.json", Kind::TitleBlock, block.text.clone().into());
        if let Some(logo) = &block.logo_text {
            self.file("logo.svg", Kind::Logo, logo.clone().into());
        }
        self.file("traveller-operations.json", Kind::TravellerTemplate, options.traveller.text.clone().into());
        if let Some(controls) = options.programs {
            self.file("control.json", Kind::Controls, controls.text.clone().into());
        }
    }

    fn finish(self, options: &Options) -> Pack {
        let job = &self.dossier.job;
        let head = &job.head;
        let manifest = Manifest {
            format: FORMAT,
            made_by: version(),
            number: head.number.clone(),
            revision: head.revision.clone(),
            fingerprint: job.fingerprint().full().to_owned(),
            recipe: recipe(job, options),
            asked: Asked {
                unapproved: options.unapproved,
                altered_by: options.altered_by.clone(),
                groove_sample: options.groove_sample,
                with: options.with.clone(),
                programs: options.programs.is_some(),
                not_approved: match &options.approved {
                    Approved::By { .. } => None,
                    Approved::Not(why) => Some(why.clone()),
                },
            },
            verdict: self.dossier.outcome.verdict.word().to_owned(),
            state: self.dossier.state().json(),
            approved: match &options.approved {
                Approved::By { name, date, .. } => Some(ApprovedBy { name: name.clone(), date: *date }),
                Approved::Not(_) => None,
            },
            files: self.files.iter().map(|(file, kind)| Entry::of(file, *kind)).collect(),
            withheld: self.withheld,
        };
        let mut files: Vec<NamedFile> = self.files.into_iter().map(|(file, _)| file).collect();
        files.push(manifest.file());
        Pack { files, manifest, remarks: self.remarks }
    }
}

//! What `pack`, `batch` and `traveller` read besides the order: rules, templates, the approval beside it.

use super::record::{record, record_path};
use super::failure::shown;
use super::label::own_shop;
use super::{Desk, Failure, draw, files};
use crate::cutting::control::Controls;
use crate::pack::Options;
use crate::order::SolidFormat;
use crate::rules::ShopRules;
use crate::sheet::template::Template as TitleBlock;
use crate::shop::inspection::USUAL_SAMPLE;
use crate::shop::traveller::Template as TravellerTemplate;
use crate::state::Approved;
use crate::wheel::Job;
use std::path::{Path, PathBuf};

/// Options of everything that makes a pack.
#[derive(Debug, Clone, clap::Args)]
pub struct Wishes {
    /// Machine files also without the customer's approval; their names say so.
    #[arg(long)]
    pub unapproved: bool,
    /// Operations and texts of the traveller, in place of the built-in ones.
    #[arg(long, value_name = "FILE")]
    pub traveller: Option<PathBuf>,
    /// Who altered the wheel, for the label; the shop of the order's own title block, or a line to write on, if absent.
    #[arg(long, value_name = "NAME")]
    pub altered_by: Option<String>,
    /// Grooves measured of each set, for the inspection sheet.
    #[arg(long, value_name = "N", default_value_t = USUAL_SAMPLE, value_parser = clap::value_parser!(u32).range(1..))]
    pub sample: u32,
    /// Solids besides those the order asks for: step, 3mf, stl, glb, with commas between.
    #[arg(long, value_name = "FORMATS", value_delimiter = ',', value_parser = solid_format)]
    pub with: Vec<SolidFormat>,
    /// Numerical control programs too, each with its sheet for the setter.
    #[arg(long)]
    pub nc: bool,
    /// The shop's file of controls, for the programs; `templates/control.json` is the pattern.
    #[arg(long, value_name = "FILE")]
    pub control: Option<PathBuf>,
}

fn solid_format(text: &str) -> Result<SolidFormat, String> {
    let found = SolidFormat::ALL.into_iter().find(|format| format.ending() == text.trim().to_lowercase());
    found.ok_or_else(|| "give step, 3mf, stl or glb, with commas between".to_owned())
}

/// What is the same for every order of a run.
#[derive(Debug)]
pub struct Bench {
    /// The shop's limits.
    pub rules: ShopRules,
    /// Operations and texts of the traveller.
    pub traveller: TravellerTemplate,
    wishes: Wishes,
    controls: Option<Controls>,
}

impl Bench {
    /// Reads the shop's files.
    ///
    /// # Errors
    /// Where one cannot be read, or anything in it is wrong.
    pub fn of(wishes: &Wishes, desk: &Desk) -> Result<Bench, Failure> {
        let traveller = traveller_template(wishes.traveller.as_ref(), desk)?;
        let controls = if wishes.nc { Some(controls(wishes.control.as_ref(), desk)?) } else { None };
        Ok(Bench { rules: desk.rules()?, traveller, wishes: wishes.clone(), controls })
    }

    /// What one order needs besides.
    ///
    /// # Errors
    /// Where its title block or its approval cannot be read.
    pub fn lay_out(&self, job: &Job, file: &Path, desk: &Desk) -> Result<Laid, Failure> {
        let altered_by = match &self.wishes.altered_by {
            Some(name) => name.clone(),
            None => own_shop(job, file, desk)?,
        };
        Ok(Laid {
            title_block: draw::template(job, file, desk)?,
            approved: approved_by(file, None, job, &self.rules)?,
            altered_by,
        })
    }

    /// The options of a pack.
    pub fn options<'a>(&'a self, order: &'a [u8], laid: &'a Laid) -> Options<'a> {
        Options {
            order,
            shop: &self.rules,
            title_block: &laid.title_block,
            traveller: &self.traveller,
            approved: laid.approved.clone(),
            unapproved: self.wishes.unapproved,
            altered_by: laid.altered_by.clone(),
            groove_sample: self.wishes.sample,
            with: self.wishes.with.clone(),
            programs: self.controls.as_ref(),
        }
    }
}

/// What belongs to one order besides its file.
#[derive(Debug)]
pub struct Laid {
    title_block: TitleBlock,
    approved: Approved,
    altered_by: String,
}

/// The shop's own traveller template, or the built-in one.
pub fn traveller_template(file: Option<&PathBuf>, desk: &Desk) -> Result<TravellerTemplate, Failure> {
    let (name, text) = match desk.own(file, |shop| shop.traveller.as_ref())? {
        None => ("the built-in traveller".to_owned(), crate::shop::traveller::BUILT_IN.to_owned()),
        Some(file) => {
            let text = String::from_utf8(desk.bytes(&file)?)
                .map_err(|_| Failure::new(format!("{} is not UTF-8 text", shown(&file)), "save it as UTF-8"))?;
            (shown(&file), text)
        }
    };
    TravellerTemplate::read(&text).map_err(|problems| Failure::Order { file: name, problems })
}

/// The shop's file of controls: the one named, else that of the shop's folder, else the examples that ship with the program.
pub fn controls(named: Option<&PathBuf>, desk: &Desk) -> Result<Controls, Failure> {
    let Some(path) = desk.own(named, |shop| shop.controls.as_ref())? else {
        return Controls::built_in().map_err(|e| Failure::new(format!("the built-in controls: {e}"), ""));
    };
    let bytes = files::read(&path, crate::json::LONGEST_FILE as u64)?;
    Controls::read(&String::from_utf8_lossy(&bytes))
        .map_err(|problems| Failure::Order { file: shown(&path), problems })
}

/// The approval in the file named, else that beside the order.
///
/// # Errors
/// Where a record is named and not there, or cannot be read.
pub fn approved_by(file: &Path, named: Option<&Path>, job: &Job, shop: &ShopRules) -> Result<Approved, Failure> {
    let Some(path) = named.map(Path::to_owned).or_else(|| record_path(file)) else {
        return Ok(Approved::Not(
            "an order from standard input has no approval record beside it; --approval FILE names one".to_owned(),
        ));
    };
    match record(&path)? {
        None if named.is_some() => Err(Failure::io("read", &path, &std::io::ErrorKind::NotFound.into())),
        found => Ok(found.map_or_else(Approved::missing, |found| found.now(job, shop))),
    }
}

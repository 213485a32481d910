//! What every command needs: the common options, the order it was given, its two streams.

use super::cut;
use super::failure::{Failure, shown};
use super::messages;
use super::outlet;
use super::packing::approved_by;
use super::palette::{Palette, When};
use super::premises::Premises;
use crate::book::Event;
use crate::profile::Profile;
use crate::dossier::Dossier;
use crate::json::{LONGEST_FILE, Located, Place, Problem};
use crate::report::answer;
use crate::rules::ShopRules;
use crate::wheel::Job;
use serde_json::{Value, json};
use std::fs::File;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::SystemTime;

/// Options every command knows.
#[derive(Debug, Clone, clap::Args)]
pub struct Common {
    /// How results are printed.
    #[arg(long, global = true, value_enum, default_value_t, value_name = "text|json", hide_possible_values = true)]
    #[arg(help_heading = "Common options")]
    pub format: Format,
    /// Factors, limits and tables of the shop's own, in place of the built-in ones.
    #[arg(long, global = true, value_name = "FILE", help_heading = "Common options")]
    pub shop_rules: Option<PathBuf>,
    /// The shop's folder, in place of the one the order lies in; `new --shop DIR` makes it.
    #[arg(long, global = true, value_name = "DIR", help_heading = "Common options")]
    pub shop: Option<PathBuf>,
    /// Use no shop's folder, also where the order lies in one.
    #[arg(long, global = true, conflicts_with = "shop", help_heading = "Common options")]
    pub no_shop: bool,
    /// Colours of messages.
    #[arg(
        long,
        global = true,
        value_enum,
        default_value_t,
        value_name = "auto|always|never",
        hide_possible_values = true
    )]
    #[arg(help_heading = "Common options")]
    pub color: When,
    /// No remarks on stderr; errors are still shown.
    #[arg(short, long, global = true, help_heading = "Common options")]
    pub quiet: bool,
}

/// How results are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum Format {
    /// For people.
    #[default]
    Text,
    /// One JSON object.
    Json,
}

/// The place a command works at.
#[derive(Debug)]
pub struct Desk {
    common: Common,
    place: PathBuf,
    premises: OnceLock<Result<Option<Premises>, Failure>>,
}

impl Desk {
    /// At a place: a shop's folder is looked for from there upward.
    pub(super) fn new(common: Common, place: PathBuf) -> Desk {
        Desk { common, place, premises: OnceLock::new() }
    }

    /// Whether results are to be JSON.
    pub fn is_json(&self) -> bool {
        self.common.format == Format::Json
    }

    /// Whether remarks are unwanted.
    pub fn is_quiet(&self) -> bool {
        self.common.quiet
    }

    /// The shop's folder as typed.
    pub fn shop(&self) -> Option<&Path> {
        self.common.shop.as_deref()
    }

    /// The shop's folder in use; `None` where there is none, or none is wanted.
    ///
    /// # Errors
    /// Where its `shop.json` cannot be read.
    pub fn premises(&self) -> Result<Option<&Premises>, Failure> {
        let found = self.premises.get_or_init(|| match self.shop() {
            _ if self.common.no_shop => Ok(None),
            Some(folder) => Premises::at(folder).map(Some),
            None => Premises::around(&self.place),
        });
        found.as_ref().map(Option::as_ref).map_err(Failure::clone)
    }

    /// The file that was typed, else that of the shop's folder.
    ///
    /// # Errors
    /// As [`Desk::premises`].
    pub fn own(
        &self,
        typed: Option<&PathBuf>,
        of: impl Fn(&Profile) -> Option<&String>,
    ) -> Result<Option<PathBuf>, Failure> {
        if typed.is_some() {
            return Ok(typed.cloned());
        }
        Ok(self.premises()?.and_then(|shop| shop.file(of(&shop.profile))))
    }

    /// Writes into the shop's book, where a shop's folder is in use.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn enter(&self, events: impl FnOnce() -> Result<Vec<Event>, Failure>) -> Result<(), Failure> {
        let Some(shop) = self.premises()? else { return Ok(()) };
        let events = events()?;
        if !events.is_empty() {
            shop.enter(&events)?.iter().for_each(|mended| self.remark(mended));
        }
        Ok(())
    }

    /// The limits in force: the shop's own file, or those built in.
    ///
    /// # Errors
    /// Where the file cannot be read, or anything in it is wrong.
    pub fn rules(&self) -> Result<ShopRules, Failure> {
        let named = self.own(self.common.shop_rules.as_ref(), |shop| shop.rules.as_ref())?;
        let Some(file) = named else { return Ok(ShopRules::built_in()) };
        let text = String::from_utf8(self.bytes(&file)?)
            .map_err(|_| Failure::new(format!("{} is not UTF-8 text", shown(&file)), "save it as UTF-8"))?;
        ShopRules::read(&text).map_err(|problems| Failure::Order { file: shown(&file), problems })
    }

    /// Colours for stdout.
    pub fn palette(&self) -> Palette {
        Palette::of(self.common.color, &std::io::stdout())
    }

    /// The resolved order of a file, or of standard input where the file is `-`.
    ///
    /// # Errors
    /// Where the file cannot be read, or anything in it is wrong.
    pub fn job(&self, file: &Path) -> Result<Job, Failure> {
        self.job_and_bytes(file).map(|(job, _)| job)
    }

    /// Everything worked out of the order of a file, with the approval that lies beside it.
    ///
    /// # Errors
    /// As [`Desk::job`], and where the approval cannot be read.
    pub fn dossier<'s>(&self, file: &Path, shop: &'s ShopRules) -> Result<Dossier<'s>, Failure> {
        self.dossier_by(file, None, shop)
    }

    /// The same of an order that leaves no size open.
    ///
    /// # Errors
    /// As [`Desk::dossier`], and where a size is open.
    pub fn decided<'s>(&self, file: &Path, shop: &'s ShopRules) -> Result<Dossier<'s>, Failure> {
        let dossier = self.dossier(file, shop)?;
        if dossier.job.is_draft() { Err(cut::draft(&dossier)) } else { Ok(dossier) }
    }

    /// The same with the approval in a file of its own, where one is named.
    ///
    /// # Errors
    /// As [`Desk::dossier`].
    pub fn dossier_by<'s>(
        &self,
        file: &Path,
        approval: Option<&Path>,
        shop: &'s ShopRules,
    ) -> Result<Dossier<'s>, Failure> {
        let job = self.job(file)?;
        let approved = approved_by(file, approval, &job, shop)?;
        let made = Dossier::of(job, shop).map(|d| d.with(approved));
        made.map_err(|e| Failure::new(format!("the wheel has no section: {e}"), ""))
    }

    /// As [`Desk::job`], with the bytes of the file.
    ///
    /// # Errors
    /// As [`Desk::job`].
    pub fn job_and_bytes(&self, file: &Path) -> Result<(Job, Vec<u8>), Failure> {
        let bytes = up_to(file, LONGEST_FILE as u64)?;
        let name = if is_stdin(file) { "<stdin>".to_owned() } else { shown(file) };
        match self.rules()?.open(&bytes) {
            Ok(job) => Ok((job, bytes)),
            Err(problems) => Err(Failure::Order { file: name, problems }),
        }
    }

    /// The bytes of a list or definition, or of standard input where the file is `-`.
    ///
    /// # Errors
    /// Where it cannot be read, or is longer than any list of a shop.
    pub fn bytes(&self, file: &Path) -> Result<Vec<u8>, Failure> {
        let bytes = up_to(file, LONGEST_LIST)?;
        if bytes.len() as u64 > LONGEST_LIST {
            let message = format!("{} is longer than {LONGEST_LIST} bytes", shown(file));
            return Err(Failure::new(message, "name the file that is meant"));
        }
        Ok(bytes)
    }

    /// Writes text to stdout. A reader that has gone away (`| head`) is no failure.
    ///
    /// # Errors
    /// Where stdout cannot be written for another reason.
    pub fn print(&self, text: &str) -> Result<(), Failure> {
        if outlet::is_taken() {
            // a file has gone there: what is told of it goes beside it
            self.complain(text);
            return Ok(());
        }
        outlet::print(text.as_bytes()).map_err(|e| Failure::io("write", Path::new("<stdout>"), &e))
    }

    /// Writes a text of another program's format to stdout, wrapped in an object where JSON is asked for.
    ///
    /// # Errors
    /// As [`Desk::print`].
    pub fn print_text(&self, text: &str) -> Result<(), Failure> {
        if self.is_json() { self.print_json(&json!({ "format": 1, "text": text })) } else { self.print(text) }
    }

    /// Writes one JSON value to stdout.
    ///
    /// # Errors
    /// As [`Desk::print`].
    pub fn print_json(&self, value: &Value) -> Result<(), Failure> {
        self.print(&format!("{value:#}\n"))
    }

    /// A remark on stderr, unless it is to be quiet.
    pub fn remark(&self, text: &str) {
        if !self.common.quiet && !text.is_empty() {
            self.complain(&format!("{text}\n"));
        }
    }

    /// Shows why a command failed: on stdout where results are JSON, else on stderr.
    pub(super) fn report(&self, failure: &Failure) {
        let palette = Palette::of(self.common.color, &std::io::stderr());
        if self.is_json() {
            // where stdout is gone nobody listens any more
            let _ = self.print_json(&answer::problems(&located(failure)));
            return;
        }
        match failure {
            Failure::Order { file, problems } => self.complain(&messages::problems_text(file, problems, palette)),
            Failure::Other { message, hint } => {
                let hint = if hint.is_empty() { String::new() } else { palette.good(&format!("  → {hint}\n")) };
                self.complain(&format!("{} {message}\n{hint}", palette.bad("wheeldraft:")));
            }
        }
    }

    fn complain(&self, text: &str) {
        // where stderr is gone there is nobody left to tell
        let _ = std::io::stderr().lock().write_all(text.as_bytes());
    }
}

/// Longest list of measurements or of stock, bytes.
const LONGEST_LIST: u64 = 64 << 20;

/// The bytes of a file, or of standard input where the file is `-`: so many, and one more where it is longer.
fn up_to(file: &Path, most: u64) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let failed = |e: std::io::Error| Failure::io("read", file, &e);
    if is_stdin(file) {
        std::io::stdin().lock().take(most + 1).read_to_end(&mut bytes).map_err(failed)?;
        return Ok(bytes);
    }
    let open = File::open(file).map_err(failed)?;
    let before = state(&open);
    (&open).take(most + 1).read_to_end(&mut bytes).map_err(failed)?;
    if state(&open) != before {
        let message = format!("{} changed while it was being read", shown(file));
        return Err(Failure::new(message, "run the command again when it is saved"));
    }
    Ok(bytes)
}

/// What tells that someone has written into a file meanwhile.
fn state(file: &File) -> Option<(u64, SystemTime)> {
    let meta = file.metadata().ok().filter(std::fs::Metadata::is_file)?;
    Some((meta.len(), meta.modified().ok()?))
}

fn is_stdin(file: &Path) -> bool {
    file.as_os_str() == "-"
}

/// The problems of a failure; what has no place in a file is in line 0.
fn located(failure: &Failure) -> Vec<Located> {
    match failure {
        Failure::Order { problems, .. } => problems.to_vec(),
        Failure::Other { message, hint } => {
            let place = Place { line: 0, column: 0, excerpt: String::new(), indent: 0, width: 1 };
            vec![Located { problem: Problem::new("", message.clone(), hint.clone()), place }]
        }
    }
}

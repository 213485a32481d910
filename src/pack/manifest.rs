//! The list of everything in a pack, with what it was made from: `manifest.json`.

use super::NamedFile;
use crate::order::SolidFormat;
use crate::quantity::Date;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// Its name in the pack.
pub const NAME: &str = "manifest.json";

/// Version of its format.
pub const FORMAT: u32 = 2;

/// What a file of a pack is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// The order as typed.
    Order,
    /// What the rules found.
    Findings,
    /// The numbers of the wheel.
    Properties,
    /// The approval drawing.
    Drawing,
    /// The calculation sheets.
    Calculation,
    /// The record of the customer's approval.
    Approval,
    /// A machine file or index table.
    Machine,
    /// The sheet of a program, for its setter.
    ProgramSheet,
    /// The shop traveller.
    Traveller,
    /// The inspection sheet.
    Inspection,
    /// The labels.
    Label,
    /// The wheel as a solid.
    Solid,
    /// A copy of what the pack was made by: the shop's rules.
    Rules,
    /// The same: the title block.
    TitleBlock,
    /// The same: the shop's sign on it.
    Logo,
    /// The same: operations and texts of the traveller.
    TravellerTemplate,
    /// The same: the controls its programs are written for.
    Controls,
}

impl Kind {
    /// Whether the pack is made from such a file.
    pub fn is_source(self) -> bool {
        matches!(
            self,
            Kind::Order
                | Kind::Approval
                | Kind::Rules
                | Kind::TitleBlock
                | Kind::Logo
                | Kind::TravellerTemplate
                | Kind::Controls
        )
    }
}

/// One file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Its name, without a folder.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// SHA-256 of its bytes, 64 hexadecimal digits.
    pub sha256: String,
    /// How many bytes it has.
    pub bytes: u64,
}

/// Something a pack does not hold, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withheld {
    /// What.
    pub kind: Kind,
    /// Why.
    pub why: String,
}

/// Who approved the order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ApprovedBy {
    /// The name.
    pub name: String,
    /// The day.
    pub date: Date,
}

/// How the pack was asked for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// Whether machine files were wanted without an approval.
    pub unapproved: bool,
    /// Who altered the wheels; empty leaves a line.
    pub altered_by: String,
    /// Grooves measured of each set.
    pub groove_sample: u32,
    /// Solids besides those the order asks for.
    #[serde(default)]
    pub with: Vec<SolidFormat>,
    /// Whether programs were wanted.
    #[serde(default)]
    pub programs: bool,
    /// Why the order counts as not approved; null where it is.
    pub not_approved: Option<String>,
}

/// The whole list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    /// Version of this format.
    pub format: u32,
    /// The program and its version.
    pub made_by: String,
    /// Number of the order.
    pub number: String,
    /// Its revision.
    pub revision: String,
    /// Its fingerprint, 64 hexadecimal digits.
    pub fingerprint: String,
    /// Hash of everything the pack is made from: program, order, shop's rules, templates, approval, wishes. The same recipe gives the same pack.
    pub recipe: String,
    /// How it was asked for; with the copies it holds, it can be made again.
    pub asked: Asked,
    /// What the rules say: `stop`, `ask` or `clear`.
    pub verdict: String,
    /// The state as every file of the pack says it, with the shop's rules and what they switch off.
    #[serde(default)]
    pub state: Value,
    /// The approval of exactly this state; null where there is none.
    pub approved: Option<ApprovedBy>,
    /// The files, the manifest itself left out.
    pub files: Vec<Entry>,
    /// What the pack does not hold.
    pub withheld: Vec<Withheld>,
}

impl Entry {
    /// Of a file.
    pub fn of(file: &NamedFile, kind: Kind) -> Entry {
        Entry { name: file.name.clone(), kind, sha256: file.sha256(), bytes: file.bytes.len() as u64 }
    }
}

impl Manifest {
    /// The manifest as a file.
    pub fn file(&self) -> NamedFile {
        // texts and whole numbers always serialise
        let text = serde_json::to_string_pretty(self).unwrap_or_default();
        NamedFile { name: NAME.to_owned(), bytes: (text + "\n").into_bytes() }
    }

    /// Why the shop cannot release what the customer has approved; `None` where it can, or nothing is approved.
    pub fn held(&self) -> Option<&str> {
        self.state["held"].as_str()
    }

    /// Whether the shop may not work by it: a rule stops the order, or the shop cannot release it.
    pub fn is_stopped(&self) -> bool {
        self.verdict == "stop" || self.held().is_some()
    }

    /// Reads a manifest.
    ///
    /// # Errors
    /// Where the bytes are no manifest of this format; why.
    pub fn read(bytes: &[u8]) -> Result<Manifest, String> {
        let manifest: Manifest = serde_json::from_slice(bytes).map_err(|e| e.to_string())?;
        if manifest.format != FORMAT {
            return Err(format!("format {} is not known, only {FORMAT}", manifest.format));
        }
        Ok(manifest)
    }
}

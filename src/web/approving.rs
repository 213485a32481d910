//! The customer's approval, recorded by the rules of `approve`: into the folder beside the order, or handed back as a file.

use super::answer;
use super::folder::Folder;
use super::lent::{Deed, Lent};
use super::offer::{Told, asked, failure, told};
use crate::book::Kind;
use crate::dossier::Dossier;
use crate::front::Shop;
use crate::pack::NamedFile;
use crate::shop::approval::{Approval, ApprovalError, Given, Record};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Value, json};
use std::path::Path;

/// What is asked.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Asked {
    /// The order file as typed.
    order: String,
    /// Its file in the folder, where it is saved there.
    file: Option<String>,
    /// The record there is, where the order lies in no folder.
    record: Option<String>,
    /// Who approves.
    by: String,
    /// The day.
    date: String,
    /// Why questions may stay open, as in [`Given`].
    waived: Vec<String>,
    /// Why the approval in force ends.
    withdraw: Option<String>,
}

/// The record with one approval more, or one that has ended: `record`, `file` where it was written, `by`, `date`.
pub fn approve(body: &[u8], folder: Option<&Folder>, lent: &dyn Lent, shop: &Shop) -> Response {
    match asked::<Asked>(body) {
        Err(refusal) => refusal.into_response(),
        Ok(asked) => told(asked.recorded(folder, lent, shop)),
    }
}

/// What is added to a record.
struct Added {
    record: Record,
    kind: Kind,
    by: String,
    date: String,
    note: Option<String>,
}

impl Asked {
    fn recorded(&self, folder: Option<&Folder>, lent: &dyn Lent, shop: &Shop) -> Told {
        let job = answer::opened(self.order.as_bytes(), &shop.rules)?;
        let dossier = Dossier::of(job, &shop.rules).map_err(|why| failure(format!("the wheel has no section: {why}"), ""))?;
        let Some((folder, file)) = folder.zip(self.file.as_deref()) else {
            let added = self.added(self.record.as_deref(), &dossier, lent)?;
            return Ok(added.json(None));
        };
        // nobody saves or approves in between
        let _one = folder.alone();
        let path = folder.saved(file, self.order.as_bytes()).map_err(|why| failure(why, "save the order first"))?;
        let beside = Folder::approval_beside(&path);
        let there = Folder::record_at(&beside).map_err(|why| failure(why, ""))?;
        let added = self.added(there.as_deref(), &dossier, lent)?;
        let bytes = added.record.written().into_bytes();
        lent.write(&beside, &bytes).map_err(|why| failure(format!("Nothing was recorded: {why}"), ""))?;
        let files = [NamedFile { name: name_of(&beside), bytes }];
        let deed = Deed { kind: added.kind, job: &dossier.job, by: Some(&added.by), note: added.note.as_deref(), files: &files };
        let mut answer = added.json(Some(&beside));
        if let Err(why) = lent.enter(&deed) {
            answer["remark"] = json!(format!("It is recorded beside the order, but not in the shop's book: {why}"));
        }
        Ok(answer)
    }

    fn added(&self, there: Option<&str>, dossier: &Dossier, lent: &dyn Lent) -> Result<Added, Value> {
        let mut record = there.map(Record::read).transpose().map_err(|e| refused(&e))?.unwrap_or_default();
        let days = lent.days();
        if let Some(why) = self.withdraw.as_deref().map(str::trim) {
            let (today, _) = days.ok_or_else(|| failure("the clock of this machine shows no day", "set it"))?;
            if why.is_empty() {
                return Err(failure("a withdrawal names its reason", "write why"));
            }
            let by = record.withdraw(why, today).map_err(|e| refused(&e))?.approved_by.clone();
            return Ok(Added { record, kind: Kind::Withdrawn, by, date: today.to_string(), note: Some(why.to_owned()) });
        }
        if dossier.is_stopped() {
            return Err(failure("the rules stop this order: there is nothing to approve yet", "put right what stops it"));
        }
        let latest = days.map(|(_, latest)| latest);
        let given = Given { by: &self.by, date: &self.date, latest, waived: &self.waived };
        let approval = Approval::of(dossier, given).map_err(|e| refused(&e))?;
        record.add(approval.clone()).map_err(|e| refused(&e))?;
        let note = approval.waived.map(|why| format!("open questions waived: {why}"));
        Ok(Added { record, kind: Kind::Approved, by: approval.approved_by, date: approval.date.to_string(), note })
    }
}

impl Added {
    fn json(&self, written: Option<&Path>) -> Value {
        let file = written.map(name_of);
        json!({ "format": 1, "record": self.record.written(), "file": file, "done": self.kind.word(), "by": self.by, "date": self.date })
    }
}

fn name_of(path: &Path) -> String {
    path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

fn refused(error: &ApprovalError) -> Value {
    let hint = match error {
        ApprovalError::Nameless => "write who approved",
        ApprovalError::Future(..) => "check the day",
        ApprovalError::Early(..) => "check the day and the order's own date",
        ApprovalError::Open(_) => "let them be answered, or write why they may stay open: the reasons stand on every paper",
        ApprovalError::Already(..) => "withdraw it before another one is recorded",
        ApprovalError::Draft(_) => "give the open sizes first",
        _ => "",
    };
    failure(error.to_string(), hint)
}

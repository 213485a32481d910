//! The approval drawing: nothing on its sheets touches anything else, every size is drawn once, and a fault would be found.

mod browser;
mod doctored;
mod languages;
mod layout;
mod names;
mod pictures;
mod projection;
mod random;
mod sizes;
mod templates;

use crate::support;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;
use wheeldraft::dossier::Dossier;
use wheeldraft::rules::{Finding, ShopRules, Verdict};
use wheeldraft::sheet::template::Template;
use wheeldraft::sheet::{Approval, Inputs, SheetError, approval};

/// The drawing of an order, without findings, with the title block of the examples.
fn draw(order: &Value) -> Result<Approval, SheetError> {
    draw_with(order, &[])
}

fn draw_with(order: &Value, findings: &[Finding]) -> Result<Approval, SheetError> {
    let (shop, template) = (ShopRules::built_in(), Template::built_in("example").unwrap().unwrap());
    let mut dossier = Dossier::of(support::job(order), &shop).unwrap();
    dossier.outcome.findings = findings.to_vec();
    dossier.outcome.verdict = Verdict::of(findings);
    approval(&Inputs { dossier: &dossier, template: &template })
}

/// The named corner cases.
fn cases() -> Vec<(String, Value)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/cases/sheet");
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    let read = |f: PathBuf| {
        let name = f.file_stem().unwrap().to_string_lossy().into_owned();
        (name, serde_json::from_slice(&fs::read(f).unwrap()).unwrap())
    };
    files.into_iter().map(read).collect()
}

fn case(name: &str) -> Value {
    cases().into_iter().find(|(n, _)| n == name).expect(name).1
}

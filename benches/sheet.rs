//! How long an approval drawing with 2 × 180 grooves takes: laid out, checked, and written. The goals are 15 ms to the SVG and 40 ms to the PDF.

use divan::Bencher;
use std::sync::LazyLock;
use wheeldraft::dossier::Dossier;
use wheeldraft::export::{pdf, svg};
use wheeldraft::rules::ShopRules;
use wheeldraft::sheet::template::Template;
use wheeldraft::sheet::{Approval, Inputs, approval};

fn main() {
    divan::main();
}

/// The order with 180 grooves on either side, in inches.
fn job() -> Dossier<'static> {
    static SHOP: LazyLock<ShopRules> = LazyLock::new(ShopRules::built_in);
    let order = include_bytes!("../tests/cases/sheet/inch-grooved-both-sides.json");
    let job = ShopRules::built_in().open(order).unwrap_or_else(|problems| panic!("{problems}"));
    Dossier::of(job, &SHOP).unwrap_or_else(|e| panic!("{e}"))
}

fn template() -> Template {
    Template::plain().unwrap_or_else(|e| panic!("{e}"))
}

fn drawn(dossier: &Dossier, template: &Template) -> Approval {
    approval(&Inputs { dossier, template }).unwrap_or_else(|e| panic!("{e}"))
}

#[divan::bench]
fn laid_out_and_checked(bencher: Bencher) {
    let (job, template) = (job(), template());
    bencher.bench(|| drawn(&job, &template));
}

#[divan::bench]
fn check_alone(bencher: Bencher) {
    let made = drawn(&job(), &template());
    bencher.bench(|| made.check(&made.drawings));
}

#[divan::bench]
fn order_to_svg(bencher: Bencher) {
    let (job, template) = (job(), template());
    bencher.bench(|| drawn(&job, &template).drawings.iter().map(|d| svg::svg(d).map_or(0, |s| s.len())).sum::<usize>());
}

#[divan::bench]
fn order_to_pdf(bencher: Bencher) {
    let (job, template) = (job(), template());
    bencher.bench(|| pdf::pdf(&drawn(&job, &template).drawings).map_or(0, |bytes| bytes.len()));
}

//! How the time grows with the order: grooves, steps of a recess, notes. The goal is that nothing grows faster than what is drawn.

#[path = "support/orders.rs"]
mod orders;

use divan::counter::BytesCount;
use divan::{Bencher, black_box};
use orders::Wheel;
use std::sync::LazyLock;
use wheeldraft::dossier::Dossier;
use wheeldraft::export::svg;
use wheeldraft::pack::{self, Approved, Options};
use wheeldraft::properties;
use wheeldraft::rules::ShopRules;
use wheeldraft::sheet::template::Template;
use wheeldraft::sheet::{Inputs, approval};
use wheeldraft::shop::{inspection, traveller};
use wheeldraft::wheel::Job;

fn main() {
    divan::main();
}

/// The whole way of an order's bytes to the SVG of its approval drawing.
fn to_svg(order: &[u8], template: &Template) -> usize {
    static SHOP: LazyLock<ShopRules> = LazyLock::new(ShopRules::built_in);
    let dossier = Dossier::of(opened(order), &SHOP).unwrap_or_else(|e| panic!("{e}"));
    let made = approval(&Inputs { dossier: &dossier, template });
    let drawings = made.unwrap_or_else(|e| panic!("{e}")).drawings;
    drawings.iter().map(|d| svg::svg(d).map_or(0, |s| s.len())).sum()
}

fn opened(order: &[u8]) -> Job {
    ShopRules::built_in().open(order).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn plain() -> Template {
    Template::plain().unwrap_or_else(|e| panic!("{e}"))
}

fn drawn(bencher: Bencher, wheel: Wheel) {
    let (order, template) = (wheel.order(), plain());
    bencher.counter(BytesCount::new(to_svg(&order, &template))).bench(|| to_svg(black_box(&order), &template));
}

/// Order to SVG with so many grooves on either side.
#[divan::bench(args = [18, 90, 180, 360, 720, 3600])]
fn svg_with_grooves(bencher: Bencher, grooves: u32) {
    drawn(bencher, Wheel { grooves, ..Wheel::default() });
}

/// Order to SVG with so many steps in the recess of either side.
#[divan::bench(args = [1, 2, 4, 8, 16])]
fn svg_with_steps(bencher: Bencher, steps: u32) {
    drawn(bencher, Wheel { steps, ..Wheel::default() });
}

/// Order to SVG with so many notes of 60 letters.
#[divan::bench(args = [1, 10, 40])]
fn svg_with_notes(bencher: Bencher, notes: u32) {
    drawn(bencher, Wheel { notes, ..Wheel::default() });
}

/// All numbers of a wheel with so many steps in the recess of either side.
#[divan::bench(args = [1, 2, 4, 8, 16])]
fn properties_with_steps(bencher: Bencher, steps: u32) {
    let job = opened(&Wheel { steps, ..Wheel::default() }.order());
    bencher.bench(|| properties::of(black_box(&job)));
}

/// Every file of a pack with so many grooves on either side, in memory; `program` times it to a folder.
#[divan::bench(args = [18, 180, 720])]
fn pack_with_grooves(bencher: Bencher, grooves: u32) {
    let order = Wheel { grooves, ..Wheel::default() }.order();
    let (job, shop, title_block) = (opened(&order), ShopRules::built_in(), plain());
    let traveller = traveller::Template::built_in().unwrap_or_else(|p| panic!("{p:?}"));
    let options = Options {
        order: &order,
        shop: &shop,
        title_block: &title_block,
        traveller: &traveller,
        approved: Approved::missing(),
        unapproved: true,
        altered_by: String::new(),
        groove_sample: inspection::USUAL_SAMPLE,
        with: Vec::new(),
        programs: None,
    };
    let made = || pack::build(black_box(&job), &options).unwrap_or_else(|e| panic!("{e}"));
    let length: usize = made().files.iter().map(|f| f.bytes.len()).sum();
    bencher.counter(BytesCount::new(length)).bench(made);
}

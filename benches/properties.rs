//! How long the numbers of a wheel take: `cargo bench --bench properties`. `benches/README.md` tells how to read them.

use divan::{Bencher, black_box};
use serde_json::{Value, json};
use wheeldraft::order::Order;
use wheeldraft::properties;
use wheeldraft::section::Section;
use wheeldraft::wheel::{Job, resolve};

fn main() {
    divan::main();
}

fn job(value: Value) -> Job {
    let order: Order = serde_json::from_value(value).expect("an order");
    resolve(&order, &wheeldraft::rules::ShopRules::built_in().usual_sizes()).expect("a wheel")
}

/// Round-bottom grooves on both tapered sides of a 26 in wheel.
fn grooved(count: u32) -> Job {
    // 3600 grooves need a width that leaves a land
    let width = if count > 400 { 0.3 } else { 1.5 };
    let side = json!({"taper": {"from_diameter": 450, "to_diameter": 660, "depth": 1.5},
        "grooves": {"count": count, "width": width, "depth": 3, "bottom": "round", "inner_diameter": 430}});
    job(json!({"order": {"number": "1", "revision": "A"}, "units": "mm", "blank": {"density": "2.15 g/cm3"},
        "wheel": {"outside_diameter": 660, "thickness": 50, "bore": 203.2, "side_a": side, "side_b": side}}))
}

/// Section and all properties of a resolved wheel.
#[divan::bench(args = [18, 180, 360, 3600])]
fn of_grooves_on_both_sides(bencher: Bencher, count: u32) {
    let job = grooved(count);
    bencher.bench(|| properties::of(black_box(&job)));
}

/// Helical face grooves that each cross many side grooves: the whole circle hangs together, and every place of it is integrated.
#[divan::bench(args = [36, 180, 360])]
fn of_helical_face_grooves_across_side_grooves(bencher: Bencher, count: u32) {
    let side = json!({"grooves": {"count": count, "width": 1.5, "depth": 3, "inner_diameter": 430}});
    let face = json!({"grooves": {"count": 36, "width": 3, "depth": 6, "helix_deg": 30}});
    let job = job(json!({"order": {"number": "1", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 660, "thickness": 50, "bore": 203.2, "side_a": side, "side_b": side, "face": face}}));
    bencher.bench(|| properties::of(black_box(&job)));
}

/// The same with one place left out, so that nothing repeats.
#[divan::bench]
fn of_helical_face_grooves_where_nothing_repeats(bencher: Bencher) {
    let side = json!({"grooves": {"count": 180, "width": 1.5, "depth": 3, "inner_diameter": 430, "omit": [7]}});
    let face = json!({"grooves": {"count": 36, "width": 3, "depth": 6, "helix_deg": 30}});
    let job = job(json!({"order": {"number": "1", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 660, "thickness": 50, "bore": 203.2, "side_a": side, "face": face}}));
    bencher.bench(|| properties::of(black_box(&job)));
}

/// The same without grooves: section and closed forms only.
#[divan::bench]
fn of_a_stepped_wheel(bencher: Bencher) {
    let side = json!({"recess": [{"diameter": 400, "depth": 5, "fillet_radius": 2}, {"diameter": 300, "depth": 9, "fillet_radius": 2}],
        "corner": {"radius": 3}});
    let job = job(json!({"order": {"number": "1", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 660, "thickness": 50, "bore": 203.2, "side_a": side, "side_b": side}}));
    bencher.bench(|| properties::of(black_box(&job)));
}

/// The half-section alone.
#[divan::bench]
fn section(bencher: Bencher) {
    let job = grooved(180);
    bencher.bench(|| Section::of(black_box(&job.wheel)));
}

/// From the bytes of an order file to the resolved wheel.
#[divan::bench]
fn reading_an_order(bencher: Bencher) {
    let bytes = include_bytes!("../templates/recessed-grooved-both-sides.json");
    bencher.bench(|| wheeldraft::rules::ShopRules::built_in().open(black_box(bytes)));
}

//! How long the stress model takes: `cargo bench --bench stress`. `benches/README.md` tells how to read them.

use divan::{Bencher, black_box};
use serde_json::{Value, json};
use wheeldraft::order::Order;
use wheeldraft::properties::strength::{Question, Strength};
use wheeldraft::properties::stress::{Fineness, Held, Load, of_wheel};
use wheeldraft::wheel::{Job, resolve};

fn main() {
    divan::main();
}

fn job(wheel: Value) -> Job {
    let order: Order = serde_json::from_value(json!({"order": {"number": "1", "revision": "A"}, "units": "mm",
        "blank": {"outside_diameter": 660, "thickness": 63, "bore": 127, "density": "2.15 g/cm3", "max_operating_speed": "35 m/s"},
        "wheel": wheel}))
    .expect("an order");
    resolve(&order, &wheeldraft::rules::ShopRules::built_in().usual_sizes()).expect("a wheel")
}

fn stepped() -> Job {
    let grooves = json!({"count": 180, "width": 1.5, "depth": 3, "inner_diameter": 430});
    job(json!({"outside_diameter": 660, "thickness": 50, "bore": 203.2,
        "side_a": {"recess": [{"diameter": 400, "depth": 12, "fillet_radius": 3}, {"diameter": 330, "depth": 19, "fillet_radius": 1.5}],
            "taper": {"from_diameter": 450, "to_diameter": 660, "depth": 1.5}, "grooves": grooves},
        "side_b": {"grooves": grooves}}))
}

/// The altered wheel and its blank: what every check of the rules asks.
#[divan::bench]
fn altered_against_blank(bencher: Bencher) {
    let job = stepped();
    let question = Question::of(&job, None, 0.2, 1.0);
    bencher.bench(|| Strength::of(black_box(&job), question));
}

/// One plain ring by so many elements.
#[divan::bench(args = [6, 12, 24, 48])]
fn plain_ring(bencher: Bencher, elements: usize) {
    let job = job(json!({"outside_diameter": 660, "thickness": 50, "bore": 203.2}));
    let load = Load { density: 2150.0, poisson: 0.2, angular: 100.0 };
    let fineness = Fineness { elements, of_fillet: 4 };
    bencher.bench(|| of_wheel(black_box(&job.wheel), 1.0, Held::Free, load, fineness));
}

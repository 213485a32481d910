//! The finished wheel as a mesh, to be turned on the screen.

use super::{answer, reply};
use crate::pack::solid;
use crate::section::Section;
use crate::wheel::Job;
use axum::response::Response;
use serde_json::{Value, json};

const GLB: &str = "model/gltf-binary";

/// A glb whose scene says what else is shown (`name`, `units`, `mm_per_unit`, `wheel` and `blank` with their sizes in mm, `fields` by feature); or `problems`, or a `failure`
/// where a feature cannot be made as a solid.
pub fn of(order: &[u8]) -> Response {
    made(order).map_or_else(|why| reply::json(&why), |bytes| reply::bytes(GLB, bytes))
}

fn made(order: &[u8]) -> Result<Vec<u8>, Value> {
    let job = answer::opened(order)?;
    let section = Section::of(&job.wheel).map_err(|why| failure(format!("the wheel has no section: {why}")))?;
    solid::for_screen(&job, &section, scene(&job)).map_err(|why| failure(why.to_string()))
}

fn failure(message: String) -> Value {
    json!({ "format": 1, "failure": message })
}

/// What is shown beside the wheel itself. What an order does not say of its blank is as on the wheel.
fn scene(job: &Job) -> Value {
    let wheel = &job.wheel;
    let sizes = |outside: f64, thickness: f64, bore: f64| json!({ "outside_diameter": outside, "thickness": thickness, "bore": bore });
    let blank = job.blank.as_ref().map(|blank| {
        let [outside, thickness, bore] = [
            (blank.outside_diameter, wheel.outside_diameter),
            (blank.thickness, wheel.thickness),
            (blank.bore, wheel.bore),
        ]
        .map(|(given, of_wheel)| given.unwrap_or(of_wheel));
        sizes(outside, thickness, bore)
    });
    json!({
        "name": job.file_stem(), "units": job.units.symbol(), "mm_per_unit": job.units.mm(),
        "wheel": sizes(wheel.outside_diameter, wheel.thickness, wheel.bore), "blank": blank,
    })
}

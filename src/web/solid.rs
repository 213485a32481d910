//! The finished wheel as a mesh, to be turned on the screen.

use super::{answer, reply};
use crate::certainty::Certainty;
use crate::dossier::Dossier;
use crate::front::Shop;
use crate::pack::solid;
use crate::section::Section;
use crate::wheel::Job;
use axum::response::Response;
use serde_json::{Value, json};

/// The greatest where only shares of it are known.
const PER_CENT: f64 = 100.0;
const GLB: &str = "model/gltf-binary";

/// A glb whose scene says what else is shown (`name`, `units`, `mm_per_unit`, `wheel` and `blank` with their sizes in mm, `fields` by feature); or `problems`, or a `failure`
/// where a feature cannot be made as a solid.
pub fn of(order: &[u8], shop: &Shop) -> Response {
    made(order, shop).map_or_else(|why| reply::json(&why), |bytes| reply::bytes(GLB, bytes))
}

fn made(order: &[u8], shop: &Shop) -> Result<Vec<u8>, Value> {
    let job = answer::opened(order, &shop.rules)?;
    let section = Section::of(&job.wheel).map_err(|why| failure(format!("the wheel has no section: {why}")))?;
    solid::for_screen(&job, &section, scene(&job)).map_err(|why| failure(why.to_string()))
}

/// The greatest tension in any direction all over the half-section: `nodes` as [r, z] in mm, `values` and `triangles` of them, `greatest` in `unit` (at
/// the marked speed; per cent where the order gives no speed or no density); `problems`, or a `failure`.
pub fn tension(order: &[u8], shop: &Shop) -> Value {
    tensions(order, shop).unwrap_or_else(|why| why)
}

fn tensions(order: &[u8], shop: &Shop) -> Result<Value, Value> {
    let job = answer::opened(order, &shop.rules)?;
    let dossier = Dossier::of(job, &shop.rules).map_err(|why| failure(format!("the wheel has no section: {why}")))?;
    let field = match &dossier.outcome.strength.altered {
        Certainty::Known(field) => field,
        Certainty::Unknown(why) | Certainty::DoesNotApply(why) => return Err(failure(format!("Tension is not computed: {why}"))),
    };
    let job = &dossier.job;
    let is_known = job.marked_speed().is_some() && job.density().is_some();
    let most = field.greatest().0;
    let (greatest, unit) = if is_known { (most, "MPa at the marked speed, a guide") } else { (PER_CENT, "% of the greatest") };
    let nodes: Vec<[f64; 2]> = field.nodes.iter().map(|p| [p.x, p.y]).collect();
    let values: Vec<f64> = field.stress.iter().map(|s| s.tension() * greatest / most).collect();
    Ok(json!({
        "format": 1, "name": job.file_stem(), "greatest": greatest, "unit": unit, "nodes": nodes, "values": values,
        "triangles": field.pieces().collect::<Vec<_>>(),
        "radii": [job.wheel.bore_radius(), job.wheel.outside_radius()], "thickness": job.wheel.thickness,
    }))
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

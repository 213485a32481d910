//! An order's numbers for the page's plots and tables.

use super::answer;
use crate::dossier::Dossier;
use crate::export::json as written;
use crate::front::Shop;
use crate::properties::planner::sweep;
use crate::properties::wear::{self, Wear, WearStage};
use crate::report::answer as told;
use crate::report::counts::{self, GroovePlace};
use crate::report::recess::RecessAnswer;
use crate::wheel::Job;
use serde_json::{Value, json};

/// Stages of the wear that the slider stops at, besides those where something happens.
const STAGES: usize = 32;
/// Counts of grooves that the slider stops at.
const COUNTS: std::ops::RangeInclusive<u32> = 12..=360;

/// `problems`, or `paper` (the calculation), `wear`, `counts` by place, `recess`.
pub fn of(order: &[u8], shop: &Shop) -> Value {
    let job = match answer::opened(order, &shop.rules) {
        Ok(job) => job,
        Err(problems) => return problems,
    };
    let dossier = match Dossier::of(job, &shop.rules) {
        Ok(dossier) => dossier,
        Err(why) => return json!({ "format": 1, "failure": format!("the wheel has no section: {why}") }),
    };
    let job = &dossier.job;
    let mut reply = told::findings(&dossier);
    reply["units"] = json!(job.units.symbol());
    reply["mm_per_unit"] = json!(job.units.mm());
    reply["paper"] = written::paper(&crate::report::calculation(&dossier));
    reply["wear"] = wear::of(job, job.density(), STAGES).map_or(Value::Null, |w| worn(&w));
    reply["counts"] = GroovePlace::ALL.into_iter().filter_map(|place| swept(job, place, shop)).collect();
    reply["recess"] = RecessAnswer::of(job, &shop.rules).json();
    reply
}

fn worn(wear: &Wear) -> Value {
    let events: Vec<Value> =
        wear.events.iter().map(|(at, e)| json!({ "diameter_mm": at, "what": e.words() })).collect();
    json!({ "stages": wear.stages.iter().map(stage).collect::<Vec<_>>(), "events": events, "end_mm": wear.end })
}

fn stage(s: &WearStage) -> Value {
    let side =
        |side: Option<(f64, f64)>| side.map(|(share, length)| json!({ "land_share": share, "length_mm": length }));
    json!({
        "diameter_mm": s.diameter, "speed_m_s": s.speed, "rpm_for_new_speed": s.rpm_constant_speed, "mass_kg": s.mass,
        "energy_j": s.energy, "rim_mm": s.rim, "side_a": side(s.sides[0]), "side_b": side(s.sides[1]),
        "face_groove_depth_mm": s.face_depth,
    })
}

fn swept(job: &Job, place: GroovePlace, shop: &Shop) -> Option<Value> {
    let question = counts::question(job, &shop.rules, place)?;
    let mut choices = sweep(&question, &shop.rules.groove_limits(), &COUNTS.collect::<Vec<_>>());
    choices.sort_by_key(|c| c.count);
    let now = match place {
        GroovePlace::Side(side) => job.wheel.side(side).grooves.as_ref().map(|g| g.pattern.places),
        GroovePlace::Face => job.wheel.face.as_ref().map(|g| g.pattern.places),
    };
    let list: Vec<Value> = choices.iter().map(counts::choice).collect();
    Some(json!({ "place": place.words(), "field": place.field(), "now": now, "choices": list }))
}

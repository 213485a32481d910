//! What would take the page too long to draw while one types. The command line has no such limits.
//!
//! Texts, recess steps and grooves cost by their number. Grooves that may meet grooves of another set cost by the number of different ways they
//! meet: 180 beside 90 meet in three ways all around, 90 beside 89 in 179. Where one of the sets is
//! tilted, each way takes milliseconds.

use crate::groove::Grooves;
use crate::json::Problem;
use crate::section::Section;
use crate::wheel::{Job, Pattern, SideName, Wheel};

/// Most grooves of one set: one every half degree.
const MOST_GROOVES: u32 = 720;
/// Most steps of one recess.
const MOST_STEPS: usize = 24;
/// Most characters of all texts of the order's head: about two sheets full.
const MOST_TEXT: usize = 12_000;
/// Most notes.
const MOST_NOTES: usize = 100;
/// Most grooves of a set that meets another one where either is tilted: each then crosses many.
const MOST_TILTED: u32 = 360;
/// Most ways of meeting times grooves of the larger set, where one of the sets is tilted. Measured: half a second for 3200, ten for 65 000.
const MOST_CROSSINGS: u32 = 2500;
/// Most ways of meeting where both sets are straight. Measured: a twentieth of a second for 359.
const MOST_WAYS: u32 = 400;
/// Most grooves of a set with one left out, where each runs into the next. Measured: two seconds for the wear of 90, sixteen for 720.
const MOST_UNLIKE: u32 = 90;

const ELSEWHERE: &str = "the page draws while you type and takes no more; use the command line for this order";

/// Everything of an order that is too much for the page.
pub fn too_much(job: &Job) -> Vec<Problem> {
    let mut found = grooves(&job.wheel);
    found.extend(meetings(&job.wheel));
    found.extend(neighbours(&job.wheel));
    found.extend(SideName::BOTH.into_iter().filter_map(|side| steps(&job.wheel, side)));
    found.extend(texts(job));
    found
}

/// One set of grooves.
struct Set<'a> {
    name: &'static str,
    field: String,
    pattern: &'a Pattern,
    is_tilted: bool,
}

fn side_set(wheel: &Wheel, side: SideName) -> Option<Set<'_>> {
    let g = wheel.side(side).grooves.as_ref()?;
    let name = if side == SideName::A { "side A" } else { "side B" };
    let field = format!("/wheel/{}/grooves", side.key());
    Some(Set { name, field, pattern: &g.pattern, is_tilted: g.skew_deg != 0.0 })
}

fn face_set(wheel: &Wheel) -> Option<Set<'_>> {
    let g = wheel.face.as_ref()?;
    let field = "/wheel/face/grooves".to_owned();
    Some(Set { name: "the face", field, pattern: &g.pattern, is_tilted: g.helix_deg != 0.0 })
}

fn grooves(wheel: &Wheel) -> Vec<Problem> {
    let sets = [side_set(wheel, SideName::A), side_set(wheel, SideName::B), face_set(wheel)];
    let many = sets.into_iter().flatten().filter(|set| set.pattern.places > MOST_GROOVES);
    many.map(|set| {
        let message = format!("{} grooves are more than the {MOST_GROOVES} the page draws", set.pattern.places);
        Problem::new(format!("{}/count", set.field), message, ELSEWHERE)
    })
    .collect()
}

/// Sides whose grooves run into each other and do not repeat.
fn neighbours(wheel: &Wheel) -> Vec<Problem> {
    let Ok(section) = Section::of(wheel) else { return Vec::new() };
    let grooves = Grooves::of(wheel, &section);
    let sets = SideName::BOTH.into_iter().filter_map(|side| Some((side, side_set(wheel, side)?)));
    let unlike = sets.filter(|(side, set)| {
        !set.pattern.omit.is_empty() && set.pattern.places > MOST_UNLIKE && grooves.neighbours_meet(*side)
    });
    unlike
        .map(|(_, set)| {
            let message = format!(
                "{} grooves of {} run into each other and do not repeat, too many to draw while you type",
                set.pattern.places, set.name
            );
            let hint = format!("omit none, or let them end further out; or {ELSEWHERE}");
            Problem::new(format!("{}/omit", set.field), message, hint)
        })
        .collect()
}

/// Sets that may meet: those of a side with those of the face, and those of both sides where they may be deep enough.
fn meetings(wheel: &Wheel) -> Vec<Problem> {
    let side = |name| side_set(wheel, name);
    let mut pairs = vec![(side(SideName::A), face_set(wheel)), (side(SideName::B), face_set(wheel))];
    if deepest(wheel, SideName::A) + deepest(wheel, SideName::B) >= wheel.thickness {
        pairs.push((side(SideName::A), side(SideName::B)));
    }
    pairs.into_iter().filter_map(|(one, other)| meeting(&one?, &other?)).collect()
}

/// How deep the grooves of a side may reach below its datum plane, mm; 0 where it has none.
fn deepest(wheel: &Wheel, name: SideName) -> f64 {
    let side = wheel.side(name);
    side.grooves.as_ref().map_or(0.0, |g| g.depth + side.taper.map_or(0.0, |t| t.depth))
}

fn meeting(one: &Set, other: &Set) -> Option<Problem> {
    let (ways, larger) = (ways(one.pattern, other.pattern), one.pattern.places.max(other.pattern.places));
    let is_tilted = one.is_tilted || other.is_tilted;
    let most = if is_tilted { MOST_CROSSINGS / larger.max(1) } else { MOST_WAYS };
    (ways > most || is_tilted && larger > MOST_TILTED).then(|| {
        let tilted = if is_tilted { ", tilted as they are" } else { "" };
        let message = format!(
            "{} grooves of {} and {} of {} meet in {ways} different ways, too many to draw while you type{tilted}",
            one.pattern.places, one.name, other.pattern.places, other.name
        );
        let hint = format!("choose counts of which one divides the other, omit none; or {ELSEWHERE}");
        Problem::new(format!("{}/count", other.field), message, hint)
    })
}

/// In how many ways grooves of two patterns can meet: those within the angle after which both repeat.
fn ways(one: &Pattern, other: &Pattern) -> u32 {
    let whole = one.omit.is_empty() && other.omit.is_empty();
    let repeats = if whole { common(one.places, other.places) } else { 1 };
    (one.places + other.places) / repeats.max(1)
}

/// Greatest common divisor.
fn common(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { common(b, a % b) }
}

fn steps(wheel: &Wheel, side: SideName) -> Option<Problem> {
    let steps = wheel.side(side).recess.len();
    let message = format!("{steps} steps are more than the {MOST_STEPS} the page draws");
    (steps > MOST_STEPS).then(|| Problem::new(format!("/wheel/{}/recess", side.key()), message, ELSEWHERE))
}

fn texts(job: &Job) -> Option<Problem> {
    let head = &job.head;
    let texts = [&head.date, &head.customer, &head.contact, &head.item, &head.prepared_by].into_iter().flatten();
    let length: usize = texts.chain(&head.notes).map(|t| t.chars().count()).sum();
    let count = head.notes.len();
    let message = format!("{length} characters in {count} notes and the head are more than the page draws");
    (length > MOST_TEXT || count > MOST_NOTES).then(|| Problem::new("/order/notes", message, ELSEWHERE))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_count_what_lies_within_one_repeat() {
        let pattern = |places, omit| Pattern { places, start_deg: 0.0, omit };
        assert_eq!(ways(&pattern(180, vec![]), &pattern(90, vec![])), 3);
        assert_eq!(ways(&pattern(90, vec![]), &pattern(89, vec![])), 179);
        assert_eq!(ways(&pattern(180, vec![3]), &pattern(90, vec![])), 270);
    }
}

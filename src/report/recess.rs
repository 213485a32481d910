//! The recess question as an order poses it, and its answer: a proposal, a refusal, or what must be asked first.

use crate::properties::dressing::{RingDressing, Saving, saving};
use crate::properties::recess::{Frame, Missing, Proposal, Refusal, frame, propose};
use crate::quantity::Written;
use crate::rules::ShopRules;
use crate::wheel::Job;
use serde_json::{Value, json};

/// Everything there is to say about the recess of an order.
#[derive(Debug)]
pub struct RecessAnswer<'a> {
    /// The order.
    pub job: &'a Job,
    /// Feed of the side dressing diamond, mm for each revolution.
    pub lead: f64,
    /// What must be asked before a recess can be proposed.
    pub missing: Vec<Missing>,
    /// Between what the recess lies; `None` where something is missing.
    pub frame: Option<Frame>,
    /// The recess that does, or why none does.
    pub proposal: Option<Result<Proposal, Refusal>>,
}

impl RecessAnswer<'_> {
    /// Of an order under the shop's limits.
    pub fn of<'a>(job: &'a Job, shop: &ShopRules) -> RecessAnswer<'a> {
        let guide = shop.recess_guide(job.units);
        let frame = frame(job, &guide);
        RecessAnswer {
            job,
            lead: job.tooling.side_dress_lead.unwrap_or_else(|| shop.limits().side_dress_lead),
            missing: Missing::of(job),
            proposal: frame.as_ref().map(|f| propose(job, f, &guide)),
            frame,
        }
    }

    /// What a recess of this diameter, mm, spares in dressing.
    pub fn saving(&self, recess: f64) -> Option<Saving> {
        let inner = self.frame?.least_diameter;
        Some(saving(self.job.wheel.outside_diameter, recess, inner, self.lead, self.job.machine.spindle_rpm))
    }

    /// As JSON: mm, s, shares from 0 to 1.
    pub fn json(&self) -> Value {
        let proposal = match self.proposal {
            Some(Ok(p)) => json!({
                "sides": p.sides, "diameter_mm": p.diameter, "depth_mm": p.depth, "thickness_left_mm": p.thickness_left,
                "most_fillet_mm": p.most_fillet, "groove_room_mm": p.groove_room, "ask_maker": p.ask_maker,
                "saving": self.saving(p.diameter).map(saving_json),
            }),
            _ => Value::Null,
        };
        let questions: Vec<Value> = self
            .missing
            .iter()
            .map(|m| json!({ "field": m.field(), "question": m.question(), "hint": m.hint() }))
            .collect();
        json!({
            "format": 1,
            "fingerprint": self.job.fingerprint().full(),
            "questions": questions,
            "bounds": self.frame.map(|f| json!({
                "reach_mm": f.reach, "least_depth_mm": f.least_depth,
                "most_depth_one_side_mm": f.most_depth_one_side, "most_depth_two_sides_mm": f.most_depth_two_sides,
                "least_diameter_mm": f.least_diameter, "most_diameter_mm": f.most_diameter, "grooves_begin_mm": f.grooves_begin,
            })),
            "proposal": proposal,
            "refused": match &self.proposal { Some(Err(why)) => Value::from(self.refusal(*why)), _ => Value::Null },
        })
    }

    /// A length in the order's unit.
    pub fn len(&self, mm: f64) -> String {
        Written::plain_in(self.job.units).measured(mm)
    }

    /// Why there is none, in words.
    pub fn refusal(&self, why: Refusal) -> String {
        let Some(f) = self.frame else { return String::new() };
        match why {
            Refusal::BoltsTooShort => {
                "flange, washer, nut and engagement use up the whole bolt; fit longer bolts.".into()
            }
            Refusal::TooDeep => format!(
                "the bolts need {}, both sides together may have {}; fit longer bolts or order a thinner wheel.",
                self.len(f.least_depth),
                self.len(f.most_depth_two_sides)
            ),
            Refusal::NoRoom => format!(
                "clear of the flange it would measure {}, beyond the worn-out wheel of {}.",
                self.len(f.least_diameter),
                self.len(f.most_diameter.max(0.0))
            ),
        }
    }
}

fn saving_json(s: Saving) -> Value {
    let ring = |d: RingDressing| json!({ "area_mm2": d.area, "path_m": d.path, "time_s": d.time });
    json!({ "without": ring(s.without), "with": ring(s.with), "area_share": s.area_share, "time_share": s.time_share })
}

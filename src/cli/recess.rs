//! `recess`: the recess that hub and machine call for, or what must be asked first.

use super::table::aligned;
use super::{Desk, Done, Outcome};
use crate::properties::dressing::{RingDressing, Saving, saving};
use crate::properties::recess::{Frame, Missing, Proposal, Refusal, frame, propose};
use crate::quantity::{LengthUnit, MM_PER_INCH, fixed, trimmed};
use crate::rules::{LimitKey, ShopRules};
use crate::wheel::{Job, SideName};
use serde_json::{Value, json};
use std::path::PathBuf;

/// Arguments of `recess`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft recess 1042.json\n  wheeldraft recess 1042.json --format json | jq .proposal\n\n\
    The least depth lets the hub bolts reach; the diameter lies between the flange's clearance and the worn-out wheel. Where the order\n\
    does not give bolts, flange or travel, it prints the questions to ask. Exit code 1 where no recess does."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
}

/// Everything the command answers with.
struct Answer<'a> {
    job: &'a Job,
    lead: f64,
    missing: Vec<Missing>,
    frame: Option<Frame>,
    proposal: Option<Result<Proposal, Refusal>>,
}

/// Proposes.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let (shop, job) = (desk.rules()?, desk.job(&args.order)?);
    let answer = Answer::of(&job, &shop);
    if desk.is_json() {
        desk.print_json(&answer.json())?;
    } else {
        desk.print(&answer.text())?;
    }
    let refused = matches!(answer.proposal, Some(Err(_)));
    Ok(if refused { Outcome::Stopped } else { Outcome::Made })
}

impl Answer<'_> {
    fn of<'a>(job: &'a Job, shop: &ShopRules) -> Answer<'a> {
        let guide = shop.recess_guide(job.units);
        let frame = frame(job, &guide);
        Answer {
            job,
            lead: job.tooling.side_dress_lead.unwrap_or_else(|| shop.length(LimitKey::SideDressLead)),
            missing: Missing::of(job),
            proposal: frame.as_ref().map(|f| propose(job, f, &guide)),
            frame,
        }
    }

    fn saving(&self, recess: f64) -> Option<Saving> {
        let inner = self.frame?.least_diameter;
        Some(saving(self.job.wheel.outside_diameter, recess, inner, self.lead, self.job.machine.spindle_rpm))
    }

    fn json(&self) -> Value {
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
                "least_diameter_mm": f.least_diameter, "most_diameter_mm": f.most_diameter,
            })),
            "proposal": proposal,
            "refused": match &self.proposal { Some(Err(why)) => Value::from(self.refusal(*why)), _ => Value::Null },
        })
    }

    fn len(&self, mm: f64) -> String {
        match self.job.units {
            LengthUnit::Inch => format!("{} in", trimmed(mm / MM_PER_INCH, 4)),
            LengthUnit::Millimetre => format!("{} mm", trimmed(mm, 3)),
        }
    }

    fn text(&self) -> String {
        let mut out = format!("Order {} · fingerprint {}\n", self.job.file_stem(), self.job.fingerprint().short());
        let wheel = &self.job.wheel;
        out += &format!(
            "Wheel {} × {}, bore {}",
            self.len(wheel.outside_diameter),
            self.len(wheel.thickness),
            self.len(wheel.bore)
        );
        out += &self.ordered();
        out += "\n\n";
        let (Some(frame), Some(proposal)) = (self.frame, &self.proposal) else {
            out += "Before a recess can be proposed, ask the customer:\n";
            out.extend(self.missing.iter().map(|m| format!("  {}\n      → {}\n", m.question(), m.hint())));
            return out;
        };
        let mut rows = vec![
            vec!["bolts reach through".into(), self.len(frame.reach)],
            vec!["depth the bolts need".into(), self.len(frame.least_depth)],
            vec!["most on one side".into(), self.len(frame.most_depth_one_side)],
            vec!["most on both together".into(), self.len(frame.most_depth_two_sides)],
            vec!["diameter that clears the flange".into(), self.len(frame.least_diameter)],
            vec!["worn-out wheel".into(), self.len(frame.most_diameter.max(0.0))],
        ];
        match proposal {
            Err(why) => {
                out += &aligned(&rows);
                out += &format!("\nNo recess does: {}\n", self.refusal(*why));
            }
            Ok(p) => {
                rows.push(vec!["thickness left at the flange".into(), self.len(p.thickness_left)]);
                rows.push(vec!["fillet at most".into(), self.len(p.most_fillet)]);
                rows.push(vec!["side left for grooves".into(), self.len(p.groove_room)]);
                out += &aligned(&rows);
                out += &self.proposal_text(p);
            }
        }
        out
    }

    fn ordered(&self) -> String {
        let of = |name: SideName| {
            let steps = &self.job.wheel.side(name).recess;
            let listed: Vec<String> =
                steps.iter().map(|s| format!("Ø{} × {}", self.len(s.diameter), self.len(s.depth))).collect();
            (!listed.is_empty()).then(|| format!("; ordered on side {}: {}", name.letter(), listed.join(", ")))
        };
        SideName::BOTH.into_iter().filter_map(of).collect()
    }

    fn proposal_text(&self, p: &Proposal) -> String {
        let where_ = if p.sides == 1 { "one side" } else { "both sides alike" };
        let mut out = format!("\nProposal: {where_}, Ø{} × {} deep.\n", self.len(p.diameter), self.len(p.depth));
        if p.ask_maker {
            out += "Less than half of the thickness stays: ask the abrasive maker first.\n";
        }
        let Some(s) = self.saving(p.diameter) else { return out };
        out += &format!("\nDressing one side, {} per revolution:\n", self.len(self.lead));
        let row = |label: &str, d: &RingDressing| {
            vec![
                label.to_owned(),
                format!("{} cm²", fixed(d.area / 100.0, 0)),
                format!("{} m of diamond path", fixed(d.path, 0)),
                d.time.map_or(String::new(), |t| format!("{} s", fixed(t, 0))),
            ]
        };
        out += &aligned(&[row("  without the recess", &s.without), row("  with it", &s.with)]);
        out += &format!(
            "It spares {} % of area and diamond, {} % of the time.\n",
            fixed(100.0 * s.area_share, 1),
            fixed(100.0 * s.time_share, 1)
        );
        out
    }

    fn refusal(&self, why: Refusal) -> String {
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

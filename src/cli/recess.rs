//! `recess`: the recess that hub and machine call for, or what must be asked first.

use super::table::aligned;
use super::{Desk, Done, Outcome};
use crate::properties::dressing::RingDressing;
use crate::properties::recess::Proposal;
use crate::quantity::fixed;
use crate::report::recess::RecessAnswer;
use crate::wheel::SideName;
use std::path::PathBuf;

/// Arguments of `recess`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft recess 1042.json\n  wheeldraft recess 1042.json --format json | jq .proposal\n\n\
    The least depth lets the hub bolts reach; the diameter lies between the flange's clearance and the worn-out wheel. Where the order \
    does not give bolts, flange or travel, it prints the questions to ask.\n\
    Exit 1: no recess does."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
}

/// Proposes.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let (shop, job) = (desk.rules()?, desk.job(&args.order)?);
    let answer = RecessAnswer::of(&job, &shop);
    if desk.is_json() {
        desk.print_json(&answer.json())?;
    } else {
        desk.print(&Told(&answer).text())?;
    }
    let refused = matches!(answer.proposal, Some(Err(_)));
    Ok(if refused { Outcome::Stopped } else { Outcome::Made })
}

/// The answer on a terminal.
struct Told<'a>(&'a RecessAnswer<'a>);

impl Told<'_> {
    fn len(&self, mm: f64) -> String {
        self.0.len(mm)
    }

    fn text(&self) -> String {
        let mut out = format!("Order {} · fingerprint {}\n", self.0.job.file_stem(), self.0.job.fingerprint().short());
        let wheel = &self.0.job.wheel;
        out += &format!(
            "Wheel {} × {}, bore {}",
            self.len(wheel.outside_diameter),
            self.len(wheel.thickness),
            self.len(wheel.bore)
        );
        out += &self.ordered();
        out += "\n\n";
        let (Some(frame), Some(proposal)) = (self.0.frame, &self.0.proposal) else {
            out += "Before a recess can be proposed, ask the customer:\n";
            out.extend(self.0.missing.iter().map(|m| format!("  {}\n      → {}\n", m.question(), m.hint())));
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
        rows.extend(frame.grooves_begin.map(|begin| vec!["ordered grooves begin at".into(), self.len(begin)]));
        match proposal {
            Err(why) => {
                out += &aligned(&rows);
                out += &format!("\nNo recess does: {}\n", self.0.refusal(*why));
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
            let steps = &self.0.job.wheel.side(name).recess;
            let listed: Vec<String> =
                steps.iter().map(|s| format!("Ø{} × {}", self.len(s.diameter), self.len(s.depth))).collect();
            (!listed.is_empty()).then(|| format!("; ordered on side {}: {}", name.letter(), listed.join(", ")))
        };
        SideName::BOTH.into_iter().filter_map(of).collect()
    }

    fn proposal_text(&self, p: &Proposal) -> String {
        let where_ = if p.sides == 1 { "one side" } else { "both sides alike" };
        let mut out = format!("\nProposal: {where_}, Ø{} × {} deep.\n", self.len(p.diameter), self.len(p.depth));
        if let Some(begin) = self.0.frame.filter(|f| !f.leaves_grooves()).and_then(|f| f.grooves_begin) {
            out += &format!(
                "The ordered grooves begin at {}, inside of what the flange needs: they would start in the recess; begin them farther out.\n",
                self.len(begin)
            );
        }
        if p.ask_maker {
            out += "Less than half of the thickness stays: ask the abrasive maker first.\n";
        }
        let Some(s) = self.0.saving(p.diameter) else { return out };
        out += &format!("\nDressing one side, {} per revolution:\n", self.len(self.0.lead));
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
}

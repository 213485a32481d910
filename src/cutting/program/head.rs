//! What stands at the head of every program.

use crate::cutting::frame::{Part, mm};
use crate::cutting::passes::Cutter;
use crate::wheel::Job;

/// Order, unit and what the setter sets, for a part.
pub(super) fn common(job: &Job, part: Part) -> Vec<String> {
    let date = job.head.date.clone().unwrap_or_else(|| String::from("no date"));
    vec![
        format!("Order {}, {part}, {date}", job.file_stem()),
        format!("Fingerprint {}", job.fingerprint().short()),
        String::from("Units: millimetres and degrees. G71 means metric in ISO 6983: check what this control wants"),
        String::from(
            "Speeds: to be set by the setter, never above the wheel's marked maximum; no spindle is started here",
        ),
    ]
}

/// The disc, its feed and its depth.
pub(super) fn cutter(cutter: &Cutter) -> Vec<String> {
    let diameter = cutter.diameter.map_or_else(|| String::from("to be set"), |d| format!("{} mm", mm(d)));
    let depth = cutter.depth_per_pass.map_or_else(
        || String::from("to be set: this program cuts to depth at once"),
        |d| format!("at most {} mm", mm(d)),
    );
    vec![
        format!(
            "Tool: slitting disc {} mm wide, diameter {diameter}; programmed is its lowest point, middle of its width",
            mm(cutter.width)
        ),
        String::from("Feed: to be set, no F word is written"),
        format!("Depth per pass: {depth}"),
    ]
}

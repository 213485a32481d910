//! What stands at the head of every program.

use crate::cutting::control::Control;
use crate::cutting::frame::mm;
use crate::cutting::passes::Cutter;
use crate::quantity::fixed;
use crate::wheel::Job;
use std::f64::consts::PI;

/// Order, state, unit and what the setter sets, for a part or set-up.
pub(super) fn common(job: &Job, what: &str, control: &Control, state: &[String]) -> Vec<String> {
    let date = job.head.date.clone().unwrap_or_else(|| String::from("no date"));
    let mut lines = vec![format!("Order {}, {what}, {date}", job.file_stem())];
    lines.push(format!("Fingerprint {}", job.fingerprint().short()));
    lines.extend(state.iter().cloned());
    lines.push(format!(
        "Units: millimetres and degrees, {}. Written for: {}",
        if control.incremental { "places count from the place before" } else { "absolute" },
        control.name
    ));
    lines.push(match &control.spindle {
        None => String::from(
            "Speeds: to be set by the setter, never above the wheel's marked maximum; no spindle is started here",
        ),
        Some(spindle) => format!("Speeds: the wheel's spindle is started at {} 1/min", fixed(spindle.rpm, 0)),
    });
    if let Some(most) = most_rpm(job) {
        lines.push(format!("The blank's mark allows the wheel at most {} 1/min", fixed(most.floor(), 0)));
    }
    if let Some(feed) = &control.feed {
        lines.push(format!(
            "Feed: {} {}, from the file of controls: check it for this stone and tool",
            mm(feed.value),
            feed.unit
        ));
    }
    lines
}

/// Speed that the blank's mark allows at the larger of both diameters, 1/min; `None` where mark or size is not given.
pub(super) fn most_rpm(job: &Job) -> Option<f64> {
    let speed = job.marked_speed()?;
    let diameter = job.blank.as_ref()?.outside_diameter.unwrap_or(0.0).max(job.wheel.outside_diameter);
    Some(speed * 60_000.0 / (PI * diameter))
}

/// The disc and its depth.
pub(super) fn cutter(cutter: &Cutter) -> Vec<String> {
    let diameter = cutter.diameter.map_or_else(|| String::from("to be set"), |d| format!("{} mm", mm(d)));
    let depth = cutter.depth_per_pass.map_or_else(
        || String::from("not given: this program cuts to depth at once"),
        |d| format!("at most {} mm below the turned side", mm(d)),
    );
    vec![
        format!(
            "Tool: slitting disc {} mm wide, diameter {diameter}; programmed is its lowest point, middle of its width",
            mm(cutter.width)
        ),
        format!("Depth per pass: {depth}"),
    ]
}

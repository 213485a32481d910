//! `inspect --profile`: points of a measured section beside the ordered one.

use super::failure::shown;
use super::inspect_asked::Args;
use super::judged::{HEAD, as_csv, is_csv, row};
use super::palette::Palette;
use super::table::aligned_after;
use super::{Desk, Done, Failure, Outcome, files, paper};
use crate::dossier::Dossier;
use crate::quantity::{fixed, parse_length};
use crate::shop::inspection::profile::{self, Profile, Wishes};
use crate::shop::written::length;
use crate::wheel::Job;
use serde_json::{Value, json};
use std::path::Path;

/// Judges a measured section alone; exit 1 where a size or a point is outside.
pub fn run(args: &Args, dossier: &Dossier, desk: &Desk) -> Done {
    let Some(points) = &args.profile else { return Ok(Outcome::Made) };
    let (job, profile) = (&dossier.job, profile(args, points, dossier, desk)?);
    match &args.output {
        Some(file) if is_csv(file) => {
            files::write(file, &as_csv(dossier, &COLUMNS, points_of(&profile))?)?;
            desk.remark(&files::written([file]));
        }
        Some(file) => drop(paper::write(file, &profile::sheets(dossier, &profile), desk)?),
        None => {}
    }
    if desk.is_json() {
        let mut told = as_json(&profile);
        told["format"] = Value::from(1);
        told["fingerprint"] = Value::from(job.fingerprint().full());
        desk.print_json(&told)?;
    } else {
        desk.print(&text(job, &profile, desk.palette()))?;
    }
    Ok(if profile.is_passed() { Outcome::Made } else { Outcome::Stopped })
}

/// The points of a file, fitted.
///
/// # Errors
/// Where the file cannot be read, or a row of it is no point.
pub fn profile(args: &Args, points: &Path, dossier: &Dossier, desk: &Desk) -> Result<Profile, Failure> {
    let units = dossier.job.units;
    let band = args.band.as_ref().map(|text| parse_length(text, units)).transpose();
    let band = band.map_err(|e| Failure::new(format!("--band: {}", e.message), e.hint))?;
    if band.is_some_and(|mm| mm <= 0.0) {
        return Err(Failure::new("--band: a band of nothing holds no point", "give a length above 0, such as 0.1mm"));
    }
    let name = shown(points);
    let touched = profile::read(&desk.bytes(points)?, units).map_err(|problems| {
        let lines = problems.iter().map(|p| format!("{name}:{}: {} {} → {}", p.line, p.field, p.message, p.hint));
        Failure::new(lines.collect::<Vec<_>>().join("\n"), "mend these rows")
    })?;
    Ok(profile::profile(&dossier.job, &dossier.section, &touched, Wishes { axis: args.axis, band }))
}

/// The answer as JSON; lengths in mm.
pub fn as_json(profile: &Profile) -> Value {
    json!({ "passed": profile.is_passed(), "points": profile.points.len(), "profile": profile })
}

const COLUMNS: [&str; 5] = ["r [mm]", "z [mm]", "deviation [mm]", "along [mm]", "feature"];

fn points_of(profile: &Profile) -> Vec<Vec<String>> {
    let row = |o: &profile::Off| {
        let mut row = [o.at.x, o.at.y, o.deviation, o.along].map(|mm| fixed(mm, 6)).to_vec();
        row.push(o.feature.field());
        row
    };
    profile.points.iter().map(row).collect()
}

/// The answer for people.
pub fn text(job: &Job, profile: &Profile, palette: Palette) -> String {
    let show = |mm: f64| length(mm, job.units);
    let mut rows = vec![HEAD.map(str::to_owned).to_vec()];
    rows.extend(profile.sizes.iter().map(|j| row(job, j)));
    let pose = &profile.pose;
    let over = if pose.turned_over { ", turned over" } else { "" };
    let mut out = format!(
        "Measured section: {} points, datum shifted by {} in r and {} in z, turned by {}°{over}; off by {} (root mean square), at most by {}\n\n{}",
        profile.points.len(),
        show(pose.shift_r),
        show(pose.shift_z),
        fixed(pose.turn_deg, 4),
        show(profile.rms),
        show(profile.worst),
        aligned_after(&rows, |c| matches!(c, 1 | 2 | 7 | 8))
    );
    if !profile.not_measured.is_empty() {
        out += &format!("\nNot shown by the points: {}\n", profile.not_measured.join(", "));
    }
    let refusals = profile.refusals();
    out += &match refusals.is_empty() {
        true => palette.good("\nThe section is as ordered, as far as the points and the limits go.\n"),
        false => palette.bad(&format!("\nNOT AS ORDERED: {}\n", refusals.join("; "))),
    };
    out
}

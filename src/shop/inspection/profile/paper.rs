//! The measured section on paper: its sizes beside the ordered ones, and how far the points lie off along the contour.

use super::Profile;
use crate::dossier::Dossier;
use crate::drawing::{Drawing, Item, LineRole, Text};
use crate::geometry::Point;
use crate::report::cautions::cautions;
use crate::section::Feature;
use crate::shop::inspection::paper::{CHARACTERISTIC, columns, first_cells, measured, unit_note};
use crate::shop::paper::{Cell, Flow, Format, Grid, Head};
use crate::wheel::{Job, Written};

/// Height of the plot, mm.
const PLOT: f64 = 62.0;
/// Capital height of its lettering, mm.
const SMALL: f64 = 2.0;
/// Half the height of a cross at a point, mm.
const CROSS: f64 = 0.5;

/// The paper of a measured section alone.
pub fn sheets(dossier: &Dossier, profile: &Profile) -> Vec<Drawing> {
    let job = &dossier.job;
    let head = Head { foot: cautions(job), ..Head::stated(dossier, "Measured section") };
    let mut flow = Flow::new(head, Format::upright(job));
    flow.paragraph(&unit_note(job));
    part(job, profile, &mut flow);
    flow.finish()
}

/// The same as a part of a certificate.
pub fn part(job: &Job, profile: &Profile, flow: &mut Flow) {
    let written = Written::of(job);
    flow.heading("Measured section");
    flow.paragraph(&told(profile, &written));
    for why in profile.refusals() {
        flow.strong(&format!("Not as ordered: {why}."));
    }
    let mut grid = Grid::new(columns(&[("Measured", 2.8), ("Verdict", 2.4)]));
    let row = |j| first_cells(j, &written);
    grid.rows = profile
        .sizes
        .iter()
        .map(|j| row(&j.item).into_iter().chain([measured(j, &written), Cell::new(j.verdict.word())]).collect())
        .collect();
    let width = flow.width();
    flow.grid(&grid.fitted(width, CHARACTERISTIC));
    if !profile.not_measured.is_empty() {
        flow.paragraph(&format!("Not shown by the points: {}.", profile.not_measured.join(", ")));
    }
    flow.paragraph("How far the points lie off the ordered section, along its contour; upwards there is too much material:");
    flow.picture(PLOT, |at, width| plot(profile, &written, at, width));
}

fn told(profile: &Profile, written: &Written) -> String {
    let length = |mm: f64| written.measured(mm);
    let over = if profile.pose.turned_over { ", turned over" } else { "" };
    let pose = &profile.pose;
    let mut text = format!(
        "{} points, fitted by least squares: their datum shifted by {} in r and {} in z, turned by {}{over}. They lie off by {} (root mean square), \
         at most by {}.",
        profile.points.len(),
        length(pose.shift_r),
        length(pose.shift_z),
        written.angle(pose.turn_deg),
        length(profile.rms),
        length(profile.worst)
    );
    if let Some(band) = profile.band {
        text += &format!(" The band is {} to either side; {} points lie outside.", length(band), profile.outside);
    }
    text
}

/// Deviation over the way along the contour, with the band.
fn plot(profile: &Profile, written: &Written, at: Point, width: f64) -> Vec<Item> {
    let (left, low, high) = (at.x + 16.0, at.y + 6.0, at.y + PLOT - 3.0);
    let span = at.x + width - left;
    let middle = (low + high) / 2.0;
    let most = profile.points.iter().map(|o| o.deviation.abs()).chain(profile.band).fold(0.0, f64::max);
    let scale = if most > 0.0 { (high - low) / 2.0 / (1.1 * most) } else { 0.0 };
    let x = |along: f64| left + span * along / profile.length;
    let across = |y: f64, role: LineRole| Item::Line { from: Point::new(left, y), to: Point::new(left + span, y), role };
    let mut items = vec![across(middle, LineRole::TableNarrow), across(low, LineRole::TableWide), across(high, LineRole::TableWide)];
    let mut level = |value: f64, role: LineRole| {
        let y = middle + value * scale;
        let words = written.length(value);
        items.push(Item::Text(Text::new(words, Point::new(left - 1.5, y - SMALL / 2.0), SMALL).ended()));
        if value != 0.0 {
            items.push(across(y, role));
        }
    };
    level(0.0, LineRole::TableNarrow);
    match profile.band {
        Some(band) => [band, -band].into_iter().for_each(|value| level(value, LineRole::Hidden)),
        None => [most, -most].into_iter().filter(|v| *v != 0.0).for_each(|value| level(value, LineRole::Fine)),
    }
    let mut free = f64::NEG_INFINITY;
    for (start, feature) in &profile.features {
        let at = x(*start);
        items.push(Item::Line { from: Point::new(at, low), to: Point::new(at, high), role: LineRole::Fine });
        let words = short(*feature);
        let room = crate::drawing::measure::width(words, SMALL, crate::drawing::Lettering::Plain) + 1.5;
        if at >= free {
            items.push(Item::Text(Text::new(words, Point::new(at, low - SMALL - 1.5), SMALL)));
            free = at + room;
        }
    }
    for off in &profile.points {
        let place = Point::new(x(off.along), middle + off.deviation * scale);
        for arm in [Point::new(CROSS, CROSS), Point::new(CROSS, -CROSS)] {
            items.push(Item::Line { from: place - arm, to: place + arm, role: LineRole::TableNarrow });
        }
    }
    items
}

/// A feature in a word or two.
fn short(feature: Feature) -> &'static str {
    match feature {
        Feature::OutsideDiameter => "rim",
        Feature::Bore => "bore",
        Feature::BoreChamfer(_) => "chamfer",
        Feature::Flat(_) => "flat",
        Feature::Taper(_) => "taper",
        Feature::TaperFlat(_) => "flat",
        Feature::Corner(_) => "corner",
        Feature::RecessWall(..) => "wall",
        Feature::RecessFloor(..) => "floor",
        Feature::RecessFillet(..) => "fillet",
    }
}

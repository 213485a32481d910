//! The delivery note with its box list: which wheels go to whom, what they weigh, what is enclosed.

use super::label::{MOST, trace_code};
use super::paper::{Align, Cell, Column, Flow, Format, Grid, Head};
use super::speed::{marked_rpm, marked_speed};
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::quantity::Date;
use crate::report::cautions::cautions;
use crate::state::{Approved, NOT_RELEASED};
use crate::wheel::{Job, Written, designation};
use std::collections::BTreeMap;
use std::fmt;

/// Why the wheels of an order may not leave; `None` where they may.
pub fn held_back(dossier: &Dossier) -> Option<String> {
    dossier.withheld().or_else(|| match &dossier.approved {
        Approved::Not(why) => Some(why.clone()),
        Approved::By { .. } => None,
    })
}

/// Why a wheel is not on a note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Absent {
    /// It must not leave the shop yet: why.
    Stays(String),
    /// It left before, on this day.
    Left(Date),
}

impl fmt::Display for Absent {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Absent::Stays(why) => write!(f, "stays in the shop, {why}"),
            Absent::Left(day) => write!(f, "left before, on {day}"),
        }
    }
}

/// The pages of the delivery note; `shop` is who sends, empty leaves a line. Wheels that are not on it are named with the reason, the others have
/// their lines; `copy` is of a note that was given before.
pub fn delivery(dossier: &Dossier, shop: &str, absent: &BTreeMap<u32, Absent>, copy: bool) -> Vec<Drawing> {
    let job = &dossier.job;
    let held = held_back(dossier);
    let title = if copy { "Delivery note and box list, copy" } else { "Delivery note and box list" };
    let mut head = Head { foot: cautions(job), ..Head::stated(dossier, title) };
    let leaving: Vec<u32> = (1..=wheels(job)).filter(|n| !absent.contains_key(n)).collect();
    if held.is_some() || leaving.is_empty() {
        head.bar = NOT_RELEASED.to_owned();
    }
    let mut flow = Flow::new(head, Format::upright(job));
    flow.fields(&fields(dossier, shop), 2);
    if let Some(why) = held {
        flow.strong(&format!("These wheels must not leave the shop: {why}."));
    }
    for (n, why) in absent {
        flow.strong(&format!("Not on this note: wheel {n}, {}, {why}.", trace_code(job, *n)));
    }
    if leaving.is_empty() {
        return flow.finish();
    }
    flow.heading("Box list");
    flow.grid(&boxes(dossier, &leaving));
    flow.paragraph(&weight(dossier, leaving.len()));
    flow.heading("Enclosed with each wheel");
    for enclosed in [
        "[   ]  its label with the maximum operating speed, fixed to the wheel",
        "[   ]  its inspection certificate, with the number of its trace code",
        "[   ]  two new blotters, unless the machine's own are used",
        "[   ]  these cautions",
    ] {
        flow.paragraph(enclosed);
    }
    flow.need(30.0);
    flow.fields(&["Packed by", "Packed on", "Received by", "Received on"].map(|label| (label, String::new())), 4);
    flow.finish()
}

fn fields<'l>(dossier: &Dossier, shop: &str) -> Vec<(&'l str, String)> {
    let job = &dossier.job;
    let written = Written::of(job);
    let line = "____________________";
    let text = |t: &Option<String>| t.clone().unwrap_or_else(|| line.to_owned());
    let head = &job.head;
    let speed = match (marked_speed(job), marked_rpm(job)) {
        (Some(v), Some(rpm)) => format!("{} = {rpm} 1/min", written.speed(v)),
        _ => "not known: DO NOT RUN".to_owned(),
    };
    vec![
        ("From", if shop.is_empty() { line.to_owned() } else { shop.to_owned() }),
        ("Ship to", head.ship_to.clone().unwrap_or_else(|| text(&head.customer))),
        ("Customer", text(&head.customer)),
        ("Customer's order", text(&head.customer_order)),
        ("Order", job.file_stem()),
        ("Due", text(&head.due)),
        ("Wheel", designation(job).text),
        ("Item", text(&head.item)),
        ("Specification mark", text(&job.blank.as_ref().and_then(|b| b.marking.clone()))),
        ("Maximum operating speed", speed),
    ]
}

/// A line for each wheel: its code, its weight, the box it goes into.
fn boxes(dossier: &Dossier, leaving: &[u32]) -> Grid {
    let job = &dossier.job;
    let mut grid = Grid::new(vec![
        Column::new("Wheel", 1.2, Align::Right),
        Column::new("Trace code", 3.6, Align::Left),
        Column::new("Weight, calculated", 2.6, Align::Right),
        Column::new("Box No.", 1.6, Align::Left),
        Column::new("Weight with box", 2.2, Align::Left),
        Column::new("Label", 1.2, Align::Left),
        Column::new("Certificate", 2.1, Align::Left),
    ]);
    grid.row_height = 7.5;
    grid.rows = leaving
        .iter()
        .map(|&n| {
            let cells = [n.to_string(), trace_code(job, n), one_weighs(dossier)];
            cells.into_iter().map(Cell::new).chain(std::iter::repeat_with(Cell::default).take(4)).collect()
        })
        .collect();
    grid
}

/// How many wheels have a line: all of the order, as far as labels are made for them.
pub fn wheels(job: &Job) -> u32 {
    job.head.quantity.unwrap_or(1).clamp(1, MOST)
}

fn one_weighs(dossier: &Dossier) -> String {
    let written = Written::of(&dossier.job);
    dossier.as_ordered().wheel.mass.map_or_else(|| "not known".to_owned(), |kg| format!("{} kg", written.exact(kg, 1)))
}

/// The weight of those that leave, and how heavy ones are lifted.
fn weight(dossier: &Dossier, leaving: usize) -> String {
    let Some(one) = dossier.as_ordered().wheel.mass else {
        return "The weight is not known, since the order gives no density: weigh the wheels, boxes included.".to_owned();
    };
    let written = Written::of(&dossier.job);
    let all = written.exact(one * leaving as f64, 1);
    let mut text = format!("All wheels together weigh {all} kg by calculation, boxes not included.");
    let most = dossier.shop.limits().lifting_mass;
    if one > most {
        text += &format!(" Each is heavier than {} kg: lift it with an aid or a second person.", written.plain(most, 1));
    }
    text
}

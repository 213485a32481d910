//! A stock wheel written into an order as its blank, and an order's blank held against the row of the list it names.

use super::choice::same_mark;
use super::list::StockWheel;
use crate::json::Edit;
use crate::quantity::{LengthUnit, trimmed};
use crate::shop::removal::BlankSize;
use crate::shop::written::{length, speed};
use crate::tolerance::{SAME_LENGTH, SAME_SHARE};
use crate::wheel::{Blank, Job};

/// The changes of an order's text that make these stock wheels, which are of one kind, its blank. What the order says of another lot goes.
///
/// # Errors
/// How they differ, where they are not of one kind.
pub fn take(job: &Job, rows: &[&StockWheel]) -> Result<Vec<Edit>, String> {
    let Some((first, others)) = rows.split_first() else { return Ok(Vec::new()) };
    for other in others {
        if let Some(what) = unlike(first, other) {
            return Err(format!("{} and {} differ in {what}: make an order of each", first.id, other.id));
        }
    }
    let all = |of: fn(&StockWheel) -> Option<&str>| {
        let mut texts: Vec<&str> = rows.iter().filter_map(|row| of(row)).collect();
        texts.dedup();
        (!texts.is_empty()).then(|| texts.join(", "))
    };
    let mut edits = vec![Edit::text("/blank/stock", &all(|r| Some(&r.id)).unwrap_or_default())];
    for (key, mm) in sizes(&first.size) {
        edits.push(Edit::set(format!("/blank/{key}"), typed(mm, job.units)));
    }
    let mut text = |key: &str, value: Option<String>| {
        let field = format!("/blank/{key}");
        edits.push(value.map_or_else(|| Edit::remove(&*field), |text| Edit::text(&*field, &text)));
    };
    let weighed = first.weight.filter(|_| rows.len() == 1);
    text("density", first.density.filter(|_| weighed.is_none()).map(|d| format!("{} g/cm3", trimmed(d / 1000.0, 4))));
    text("weight", weighed.map(|kg| format!("{} kg", trimmed(kg, 4))));
    text("max_operating_speed", first.max_operating_speed.map(|v| format!("{} m/s", trimmed(v, 4))));
    text("lot", all(|r| r.lot.as_deref()));
    text("place", all(|r| r.place.as_deref()));
    text("expires", first.expires.map(|day| day.to_string()));
    // what the order asks of its blank stays where the list is silent
    let blank = job.blank.clone().unwrap_or_default();
    if let Some(mark) = &first.marking {
        text("marking", Some(mark.clone()));
    }
    if let Some(maker) = &first.maker {
        text("maker", Some(maker.clone()));
        if blank.maker.is_some_and(|before| before != *maker) {
            // consent of another maker is none
            text("maker_agreement", None);
        }
    }
    if let Some(restrictions) = &first.restrictions {
        text("restrictions", Some(restrictions.clone()));
    }
    Ok(edits)
}

/// A length as an order has it: a plain number of the file's unit where it is one, else millimetres.
fn typed(mm: f64, unit: LengthUnit) -> String {
    let bare = trimmed(mm / unit.mm(), 4);
    let is_exact = bare.parse::<f64>().is_ok_and(|value| (unit.to_mm(value) - mm).abs() <= SAME_LENGTH);
    if is_exact { bare } else { format!("\"{} mm\"", trimmed(mm, 4)) }
}

fn sizes(size: &BlankSize) -> [(&'static str, f64); 3] {
    [("outside_diameter", size.outside_diameter), ("thickness", size.thickness), ("bore", size.bore)]
}

/// What two rows differ in that a blank has only one of.
fn unlike(a: &StockWheel, b: &StockWheel) -> Option<&'static str> {
    let same_size = sizes(&a.size).iter().zip(sizes(&b.size)).all(|(x, y)| (x.1 - y.1).abs() <= SAME_LENGTH);
    [
        (!same_size, "size"),
        (a.marking != b.marking, "mark"),
        (a.max_operating_speed != b.max_operating_speed, "marked speed"),
        (a.maker != b.maker, "maker"),
        (a.expires != b.expires, "expiry"),
        (a.restrictions != b.restrictions, "restrictions"),
    ]
    .into_iter()
    .find_map(|(differs, what)| differs.then_some(what))
}

/// Where an order's blank is not as the rows it names say, in words: `outside diameter 26 in, S-104 of the list 28 in`.
pub fn differences(job: &Job, wheels: &[StockWheel]) -> Vec<String> {
    let Some(blank) = &job.blank else { return Vec::new() };
    let ids = blank.stock.iter().flat_map(|ids| ids.split(',')).map(str::trim).filter(|id| !id.is_empty());
    ids.flat_map(|id| match wheels.iter().find(|w| w.id == id) {
        Some(row) => differs(blank, row, job.units),
        None => vec![format!("the list has no stock wheel {id}")],
    })
    .collect()
}

fn differs(blank: &Blank, row: &StockWheel, units: LengthUnit) -> Vec<String> {
    let mut found = Vec::new();
    let mut pair = |what: &str, ours: String, theirs: String| found.push(format!("{what} {ours}, {} of the list {theirs}", row.id));
    let given = [blank.outside_diameter, blank.thickness, blank.bore];
    for ((key, listed), ours) in sizes(&row.size).into_iter().zip(given) {
        if let Some(ours) = ours.filter(|ours| (ours - listed).abs() > SAME_LENGTH) {
            pair(&key.replace('_', " "), length(ours, units), length(listed, units));
        }
    }
    if let (Some(ours), Some(listed)) = (&blank.marking, &row.marking)
        && !same_mark(ours, listed)
    {
        pair("mark", ours.clone(), listed.clone());
    }
    match (blank.max_operating_speed, row.max_operating_speed) {
        (Some(ours), Some(listed)) if (ours - listed).abs() > SAME_SHARE * listed => {
            pair("marked speed", speed(ours), speed(listed));
        }
        (Some(ours), None) => pair("marked speed", speed(ours), "none".to_owned()),
        _ => {}
    }
    let texts = [
        ("lot", &blank.lot, &row.lot),
        ("maker", &blank.maker, &row.maker),
        ("expiry", &blank.expires.map(|d| d.to_string()), &row.expires.map(|d| d.to_string())),
    ];
    for (what, ours, listed) in texts {
        if let (Some(ours), Some(listed)) = (ours, listed)
            && !ours.split(',').any(|one| one.trim() == listed)
        {
            pair(what, ours.clone(), listed.clone());
        }
    }
    found
}

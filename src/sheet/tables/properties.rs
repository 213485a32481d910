//! The properties a customer cares about: designation, marking, highest speed, mass.

use super::SMALL;
use crate::drawing::Anchor;
use crate::properties::Properties;
use crate::sheet::table::{Column, Table};
use crate::sheet::view::Style;
use crate::wheel::{Job, SideName, Wheel};
use std::f64::consts::PI;

/// One pound, kg (exact).
const POUND: f64 = 0.453_592_37;

/// The table.
pub fn properties(job: &Job, numbers: &Properties, style: &Style) -> Table {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut add = |label: &str, value: String| rows.push(vec![label.to_owned(), value]);
    add("Designation (ISO 525, mm)", designation(&job.wheel, style));
    let blank = job.blank.as_ref();
    add(
        "Specification mark",
        blank.and_then(|b| b.marking.clone()).unwrap_or_else(|| "as marked on the blank".to_owned()),
    );
    add("Highest speed", highest_speed(job, style));
    add("Mass", mass(numbers, style));
    if let Some(text) = blank_sizes(job, style) {
        add("Blank before altering", text);
    }
    if let Some(lot) = blank.and_then(|b| b.lot.clone()) {
        add("Lot of the blank", lot);
    }
    let columns = vec![
        Column { anchor: Anchor::Start, ..Column::left("", 48.0) },
        Column { anchor: Anchor::Start, ..Column::left("", 74.0) },
    ];
    Table { id: "table-properties".to_owned(), title: "Wheel".to_owned(), columns, rows, size: SMALL }
}

/// The speed marked on the blank, and the revolutions it means at the altered outside diameter, rounded down. None is ever made up.
fn highest_speed(job: &Job, style: &Style) -> String {
    match job.blank.as_ref().and_then(|b| b.max_operating_speed) {
        Some(speed) => {
            let rpm = speed * 60_000.0 / (PI * job.wheel.outside_diameter);
            let d = style.length(job.wheel.outside_diameter);
            // a speed that makes a whole number exactly must not lose one to rounding
            let whole = (rpm * (1.0 + 1e-12)).floor();
            format!("{} m/s as marked = {} rpm at Ø{d}", style.plain(speed, 2), style.plain(whole, 0))
        }
        None => "as marked by the abrasive's maker".to_owned(),
    }
}

fn mass(numbers: &Properties, style: &Style) -> String {
    match numbers.wheel.mass {
        Some(kg) if kg < 0.1 => {
            format!("{} g ({} oz), calculated", significant(kg * 1000.0, style), significant(kg / POUND * 16.0, style))
        }
        Some(kg) => format!("{} kg ({} lb), calculated", significant(kg, style), significant(kg / POUND, style)),
        None => "not known: the density is not given".to_owned(),
    }
}

/// About three digits.
fn significant(value: f64, style: &Style) -> String {
    let decimals = if value >= 99.95 {
        0
    } else if value >= 9.995 {
        1
    } else {
        2
    };
    style.exact(value, decimals)
}

fn blank_sizes(job: &Job, style: &Style) -> Option<String> {
    let blank = job.blank.as_ref()?;
    let part = |value: Option<f64>| value.map_or("–".to_owned(), |mm| style.length(mm));
    let sizes = [blank.outside_diameter, blank.thickness, blank.bore];
    sizes.iter().any(Option::is_some).then(|| {
        let texts: Vec<String> = sizes.iter().map(|&s| part(s)).collect();
        format!("{} {}", texts.join(" × "), style.unit.symbol())
    })
}

/// The designation by ISO 525 (digest), sizes in mm: `1-D×T×H`, `5-D×T×H-P…F…`, `7-D×T×H-P…F…G…`, `3-D/J×T/U×H`, `4-D/J×T/U×H`. Shapes the
/// standard has no plain string for are given by D×T×H alone.
pub fn designation(wheel: &Wheel, style: &Style) -> String {
    let mm = |v: f64| style.length_in(v, crate::quantity::LengthUnit::Millimetre);
    let (d, t, h) = (mm(wheel.outside_diameter), mm(wheel.thickness), mm(wheel.bore));
    let [a, b] = SideName::BOTH.map(|s| wheel.side(s));
    let outside = wheel.outside_radius();
    let thinned = |side: &crate::wheel::Side| side.taper.is_some_and(|t| t.from_diameter < t.to_diameter);
    let tapers = [a, b].map(thinned);
    let other_taper = [a, b].iter().zip(tapers).any(|(s, thin)| s.taper.is_some() && !thin);
    let plain = format!("{d}×{t}×{h}");
    match (a.recess.first(), b.recess.first()) {
        _ if other_taper => format!("special, {plain}"),
        (None, None) if tapers == [false, false] => format!("1-{plain}"),
        (None, None) => {
            let from = [a, b].iter().filter_map(|s| s.taper).map(|t| t.from_diameter).fold(f64::INFINITY, f64::min);
            let rim = wheel.thickness - a.nominal_depth(outside) - b.nominal_depth(outside);
            let shape = if tapers == [true, true] { 4 } else { 3 };
            format!("{shape}-{d}/{}×{t}/{}×{h}", mm(from), mm(rim))
        }
        _ if tapers != [false, false] => format!("special, {plain}"),
        (Some(one), None) | (None, Some(one)) => format!("5-{plain}-P{}F{}", mm(one.diameter), mm(one.depth)),
        (Some(one), Some(two)) if one.diameter == two.diameter => {
            format!("7-{plain}-P{}F{}G{}", mm(one.diameter), mm(one.depth), mm(two.depth))
        }
        (Some(one), Some(two)) => {
            let (p, q) = (mm(one.diameter), mm(two.diameter));
            format!("7-{plain}-P{p}/{q}F{}G{}", mm(one.depth), mm(two.depth))
        }
    }
}

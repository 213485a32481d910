//! The properties a customer cares about: designation, marking, maximum operating speed, mass.

use super::SMALL;
use crate::drawing::Anchor;
use crate::properties::Properties;
use crate::properties::speed::marked_rpm;
use crate::sheet::table::{Column, Table};
use crate::sheet::view::Style;
use crate::wheel::{Job, LimitsBy, designation};

/// One pound, kg (exact).
const POUND: f64 = 0.453_592_37;

/// What the shop's rules make of the order for its contract; `None` where they cannot say.
#[derive(Debug, Clone, Copy, Default)]
pub struct Agreed {
    /// Revolutions of the speed test, 1/min, rounded up.
    pub test_rpm: Option<u32>,
    /// Permitted unbalance, g·mm.
    pub unbalance: Option<f64>,
}

/// The table.
pub fn properties(job: &Job, numbers: &Properties, agreed: Agreed, style: &Style) -> Table {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut add = |key: &str, value: String| rows.push(vec![style.say(key).to_owned(), value]);
    let kind = designation(job);
    let special = if kind.shape.is_none() { style.say("sheet.special") } else { "" };
    add("sheet.designation", format!("{}{special}", kind.text));
    let blank = job.blank.as_ref();
    add(
        "sheet.mark",
        blank.and_then(|b| b.marking.clone()).unwrap_or_else(|| style.say("sheet.mark_of_blank").to_owned()),
    );
    add("sheet.speed", operating_speed(job, style));
    if let Some(rpm) = agreed.test_rpm {
        add("sheet.speed_test", turns(rpm, style));
    }
    add("sheet.mass", mass(numbers, style));
    if let Some(unbalance) = agreed.unbalance {
        add("sheet.unbalance", format!("{} g·mm", style.plain(unbalance, 0)));
    }
    if let Some(flange) = job.mount.flange_diameter {
        add("sheet.flange", format!("Ø{}", style.length(flange)));
    }
    let general = job.tolerances.general.map(|d| super::tolerance(d, style, false));
    let by_shop = job.requirements().iter().any(|r| matches!(r.general, Some((_, LimitsBy::Shop))));
    let silent = style.say(if by_shop { "sheet.general_shop" } else { "sheet.general_none" });
    add("sheet.general", general.unwrap_or_else(|| silent.to_owned()));
    if let Some(text) = blank_sizes(job, style) {
        add("sheet.blank", text);
    }
    if let Some(lot) = blank.and_then(|b| b.lot.clone()) {
        add("sheet.lot", lot);
    }
    let columns = vec![
        Column { anchor: Anchor::Start, ..Column::left("", 54.0) },
        Column { anchor: Anchor::Start, ..Column::left("", 74.0) },
    ];
    Table { id: super::PROPERTIES.to_owned(), title: style.say("sheet.wheel").to_owned(), columns, rows, size: SMALL }
}

/// The speed marked on the blank, and the revolutions it means at the altered outside diameter, rounded down. None is ever made up.
fn operating_speed(job: &Job, style: &Style) -> String {
    match job.marked_speed() {
        Some(speed) => {
            let whose = if job.max_operating_speed.is_some() { "sheet.speed_lower" } else { "sheet.speed_marked" };
            let rpm = marked_rpm(job.wheel.outside_diameter, speed);
            let d = style.length(job.wheel.outside_diameter);
            let (speed, rpm) = (style.plain(speed, 2), turns(rpm, style));
            let names = [("speed", &*speed), ("whose", style.say(whose)), ("rpm", &rpm), ("diameter", &d)];
            style.put("sheet.speed_at", &names)
        }
        None => style.say("sheet.speed_of_maker").to_owned(),
    }
}

fn turns(rpm: u32, style: &Style) -> String {
    style.put("sheet.rpm", &[("rpm", &rpm.to_string())])
}

fn mass(numbers: &Properties, style: &Style) -> String {
    match numbers.wheel.mass {
        Some(kg) if kg < 0.1 => {
            let [grams, ounces] = [kg * 1000.0, kg / POUND * 16.0].map(|amount| significant(amount, style));
            style.put("sheet.mass_small", &[("grams", &grams), ("ounces", &ounces)])
        }
        Some(kg) => {
            let [kilograms, pounds] = [kg, kg / POUND].map(|amount| significant(amount, style));
            style.put("sheet.mass_kg", &[("kilograms", &kilograms), ("pounds", &pounds)])
        }
        None => style.say("sheet.mass_unknown").to_owned(),
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

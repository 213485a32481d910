//! The quotation on paper: the customer's sheet in the customer's language, and the shop's own with every line.

use super::{Price, Quotation};
use crate::drawing::Drawing;
use crate::language::Language;
use crate::quantity::Written;
use crate::quantity::{fixed, trimmed};
use crate::rules::{Addressee, Severity};
use crate::report::cautions::cautions;
use crate::sheet::question;
use crate::sheet::view::Style;
use crate::shop::operation::Operation;
use crate::shop::paper::{Align, Cell, Column, Flow, Format, Grid, Head};
use crate::shop::written::{bare_length, volume};
use crate::wheel::designation;

/// The customer's sheet: prices by quantity, what is included, the drawing's fingerprint, what is still to be asked.
pub fn customer(q: &Quotation, language: Language) -> Vec<Drawing> {
    let job = &q.dossier.job;
    let text = |key: &str| language.text(key);
    let mut foot = vec![language.text("caution").to_owned()];
    foot.extend((language != Language::En).then(|| cautions(job)).into_iter().flatten());
    let bars = [(q.dossier.job.is_draft(), "draft"), (q.dossier.is_stopped(), "not_released")];
    let bar = bars.iter().filter(|(holds, _)| *holds).map(|(_, key)| text(key)).collect::<Vec<_>>().join(" · ");
    let head = Head { bar, foot, ..Head::stated(q.dossier, text("quote.title")) };
    let mut flow = Flow::new(head, Format::upright(job));
    flow.fields(&fields(q, language), 3);
    prices(q, language, &mut flow);
    flow.heading(text("quote.included"));
    flow.paragraph(&included(q, language));
    flow.paragraph(&blank_sentence(q, language));
    q.rates.terms.iter().for_each(|term| flow.paragraph(term));
    questions(q, language, &mut flow);
    flow.heading(text("quote.agreed"));
    let (stem, print) = (job.file_stem(), job.fingerprint().short().to_owned());
    flow.paragraph(&language.put("quote.refers", &[("drawing", &stem), ("fingerprint", &print)]));
    let blank = String::new;
    flow.fields(&[(text("quote.ordered_by"), blank()), (text("quote.day"), blank()), (text("quote.sign"), blank())], 3);
    flow.finish()
}

fn fields(q: &Quotation, language: Language) -> Vec<(&'static str, String)> {
    let job = &q.dossier.job;
    let or_dash = |t: &Option<String>| t.clone().unwrap_or_else(|| "–".to_owned());
    let day = |d: Option<crate::quantity::Date>| d.map_or("–".to_owned(), |d| d.to_string());
    let valid = match q.valid_until() {
        Some(until) => until.to_string(),
        None => language.put("quote.valid_days", &[("days", &q.rates.valid_days.to_string())]),
    };
    vec![
        (language.text("quote.customer"), or_dash(&job.head.customer)),
        (language.text("quote.contact"), or_dash(&job.head.contact)),
        (language.text("quote.item"), or_dash(&job.head.item)),
        (language.text("quote.wheel"), designation(job).text),
        (language.text("quote.date"), day(q.date)),
        (language.text("quote.valid_until"), valid),
    ]
}

fn prices(q: &Quotation, language: Language, flow: &mut Flow) {
    let text = |key: &str| language.text(key);
    flow.heading(&language.put("quote.prices", &[("currency", &q.rates.currency)]));
    if q.prices.is_empty() {
        flow.strong(text("quote.no_price"));
        return;
    }
    let mut grid = Grid::new(vec![
        Column::new(text("quote.quantity"), 2.0, Align::Right),
        Column::new(text("quote.each"), 3.0, Align::Right),
        Column::new(text("quote.total"), 3.0, Align::Right),
        Column::new(text("quote.delivery"), 4.0, Align::Right),
    ]);
    let row = |p: &Price| {
        let cells = [p.quantity.to_string(), money(q, p.each), money(q, p.total), p.days.to_string()];
        cells.map(|c| if p.quantity == q.quantity { Cell::bold(c) } else { Cell::new(c) }).to_vec()
    };
    grid.rows = q.prices.iter().map(row).collect();
    flow.grid(&grid);
}

/// An amount with the decimal sign of the order's papers.
fn money(q: &Quotation, amount: crate::money::Money) -> String {
    Written::of(&q.dossier.job).sentence(&amount.printed())
}

fn included(q: &Quotation, language: Language) -> String {
    let named = q.lines.iter().map(|l| l.operation.map_or(l.title.clone(), |o| operation(o, language)));
    named.collect::<Vec<_>>().join(" · ")
}

/// What an operation is called in a language.
fn operation(operation: Operation, language: Language) -> String {
    let side = match operation {
        Operation::Recess(s) | Operation::Taper(s) | Operation::Corner(s) | Operation::Grooves(s) => {
            format!(" {}", s.letter())
        }
        _ => String::new(),
    };
    let key = operation.key().trim_end_matches("-side-a").trim_end_matches("-side-b");
    let name = language.text(&format!("operation.{key}"));
    format!("{name}{side}")
}

fn blank_sentence(q: &Quotation, language: Language) -> String {
    let job = &q.dossier.job;
    let Some(blank) = &q.blank else { return language.text("quote.blank_unknown").to_owned() };
    let show = |mm| bare_length(mm, job.units);
    let [d, t, h] = [blank.size.outside_diameter, blank.size.thickness, blank.size.bore].map(show);
    let size = Written::of(job).sentence(&format!("{d} × {t} × {h} {}", job.units.symbol()));
    let key = if q.has_blank() { "quote.blank_included" } else { "quote.blank_excluded" };
    language.put(key, &[("size", &size)])
}

/// What the customer must answer before the price holds, and what stops the order. What the shop asks itself stays in the shop.
fn questions(q: &Quotation, language: Language, flow: &mut Flow) {
    let (job, outcome) = (&q.dossier.job, &q.dossier.outcome);
    let (written, style) = (Written::of(job), Style { language, ..Style::of(job) });
    let stops: Vec<String> = outcome.of(Severity::Stop).map(|f| written.sentence(&f.message)).collect();
    let asked: Vec<String> = outcome.questions(Addressee::Customer).map(|f| question(job, f, &style)).collect();
    for (key, found) in [("quote.stops", stops), ("quote.questions", asked)] {
        if !found.is_empty() {
            flow.heading(language.text(key));
            found.iter().for_each(|said| flow.paragraph(&format!("• {said}")));
        }
    }
}

/// The shop's own sheet: every line with its formula, and what makes up the price.
pub fn inner(q: &Quotation) -> Vec<Drawing> {
    let job = &q.dossier.job;
    let head = Head { foot: cautions(job), ..Head::stated(q.dossier, "Calculation of the price") };
    let mut flow = Flow::new(head, Format::lying(job));
    flow.paragraph(&format!(
        "Rates: {}. Amounts in {}, not rounded before the price for one wheel. Minutes by the formula: fixed time + what follows from the wheel.",
        q.rates.name, q.rates.currency
    ));
    let mut grid = Grid::new(vec![
        Column::new("Operation", 4.0, Align::Left),
        Column::new("At", 2.6, Align::Left),
        Column::new("Hour", 1.5, Align::Right),
        Column::new("Set-up min", 1.7, Align::Right),
        Column::new("Each min", 1.6, Align::Right),
        Column::new("How the minutes for one wheel come about", 11.0, Align::Left),
        Column::new(format!("Cost of {}", q.quantity), 2.2, Align::Right),
    ]);
    grid.rows = q.lines.iter().map(|l| row(q, l)).collect();
    flow.grid(&grid);
    blank(q, &mut flow);
    composition(q, &mut flow);
    flow.finish()
}

fn row(q: &Quotation, line: &super::Line) -> Vec<Cell> {
    let written = Written::of(&q.dossier.job);
    let unknown = || "not known".to_owned();
    let cost = line.cost(q.quantity, q.rates.spoiled_share);
    vec![
        Cell::new(&line.title),
        Cell::new(&line.at),
        Cell::new(money(q, line.hourly)),
        Cell::new(written.sentence(&trimmed(line.setup_min, 2))),
        Cell::new(line.each_min.map_or_else(unknown, |m| written.sentence(&fixed(m, 2)))),
        Cell::new(written.sentence(&line.formula)),
        Cell::new(cost.map_or_else(unknown, |c| money(q, c))),
    ]
}

fn blank(q: &Quotation, flow: &mut Flow) {
    let written = Written::of(&q.dossier.job);
    flow.heading("Blank");
    let Some(blank) = &q.blank else {
        return flow.strong("The order names no blank and none was given: the time to turn it is not known.");
    };
    let units = q.dossier.job.units;
    let show = |mm| bare_length(mm, units);
    let [d, t, h] = [blank.size.outside_diameter, blank.size.thickness, blank.size.bore].map(show);
    let which = blank.stock.as_ref().map_or("as the order names it".to_owned(), |id| format!("stock {id}"));
    let cost = blank.cost.map_or("cost not known, not in the price".to_owned(), |c| format!("{} each", c.printed()));
    let share = 100.0 * blank.removed / blank.size.volume();
    let mass = blank.scrap_kg.map_or(String::new(), |kg| format!(", {} kg", fixed(kg, 2)));
    flow.paragraph(&written.sentence(&format!(
        "{which}: {d} × {t} × {h} {}, {cost}; cut away {}{mass}, {} % of it.",
        units.symbol(),
        volume(blank.removed, units),
        fixed(share, 1)
    )));
}

/// A column for each quantity, a row for each part of the price.
fn composition(q: &Quotation, flow: &mut Flow) {
    flow.heading("What makes up the price");
    let Some(first) = q.prices.first() else {
        return flow.strong("No price: the time of an operation is not known.");
    };
    let mut columns = vec![Column::new("Wheels", 4.0, Align::Left)];
    columns.extend(q.prices.iter().map(|p| Column::new(p.quantity.to_string(), 2.0, Align::Right)));
    let mut grid = Grid::new(columns);
    let named = |name: &str, of: &dyn Fn(&Price) -> String| {
        std::iter::once(Cell::new(name)).chain(q.prices.iter().map(|p| Cell::new(of(p)))).collect::<Vec<_>>()
    };
    for (i, (name, _)) in first.parts.iter().enumerate() {
        let label = format!("{name}{}", share_of(q, name));
        grid.rows.push(named(&label, &|p| money(q, p.parts[i].1)));
    }
    let written = Written::of(&q.dossier.job);
    grid.rows.push(named("hours of work", &|p| written.sentence(&fixed(p.hours, 1))));
    grid.rows.push(named("working days to delivery", &|p| p.days.to_string()));
    grid.rows.push(named(&format!("price for one, to {}", q.rates.round_to.printed()), &|p| money(q, p.each)));
    grid.rows.push(named("price for all", &|p| money(q, p.total)));
    flow.grid(&grid);
}

fn share_of(q: &Quotation, part: &str) -> String {
    let percent = |share: f64| format!("{} %", trimmed(100.0 * share, 1));
    match part {
        "work" => format!(", {} spoiled", percent(q.rates.spoiled_share)),
        "blanks" => format!(", {} spoiled, {} on top", percent(q.rates.spoiled_share), percent(q.rates.markup_share)),
        "scrap" => format!(", {} for a kilogram", q.rates.disposal_per_kg.printed()),
        "overhead" => format!(", {}", percent(q.rates.overhead_share)),
        "margin" => format!(", {}", percent(q.rates.margin_share)),
        "least price" => format!(" of an order, {}", q.rates.least_price.printed()),
        _ => String::new(),
    }
}

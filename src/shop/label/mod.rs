//! The label of a wheel: what it is, how fast it may run, that its grooves are meant, who altered it, and a code that ties it to the order.

mod code;

pub use code::content;

use crate::dossier::Dossier;
use crate::drawing::Lettering::{Bold, Plain};
use crate::drawing::{Anchor, Drawing, Fill, Item, Lettering, LineRole, Pen, Text, measure};
use crate::geometry::{Contour, Edge, Point, Turn};
use crate::quantity::{LengthUnit, MM_PER_INCH, fixed};
use crate::report::cautions::cautions;
use crate::shop::rotation::{Rotation, Wanted, rotation};
use crate::shop::speed::{marked_rpm, marked_speed};
use crate::wheel::{Job, SideName, Written, designation};

/// Width of the label, mm.
pub const WIDTH: f64 = 120.0;
/// Height of the label, mm.
pub const HEIGHT: f64 = 105.0;
/// Margin inside its frame, mm.
const MARGIN: f64 = 3.0;
/// Size of the code with its white border, mm.
const CODE: f64 = 32.0;
/// Least capital height of anything but the cautions, mm.
const LEAST: f64 = 1.8;
/// Most labels made at once.
pub const MOST: u32 = 1000;

/// What a label says besides the order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Options {
    /// Who altered the wheel; empty leaves a line to write on.
    pub altered_by: String,
    /// Why the wheel must not be used, such as `NOT RELEASED`; empty where it may.
    pub bar: String,
}

/// One label for each wheel ordered, from 1, at most [`MOST`].
pub fn labels(dossier: &Dossier, options: &Options) -> Vec<Drawing> {
    (1..=dossier.job.head.quantity.unwrap_or(1).clamp(1, MOST)).map(|wheel| label(dossier, wheel, options)).collect()
}

/// The trace code of a wheel: order, revision, wheel and the start of the fingerprint.
pub fn trace_code(job: &Job, wheel: u32) -> String {
    format!("{}-{wheel}-{}", job.file_stem(), job.fingerprint().short())
}

/// The label of one wheel.
pub fn label(dossier: &Dossier, wheel: u32, options: &Options) -> Drawing {
    let job = &dossier.job;
    let mut page = Page { items: Vec::new(), y: HEIGHT - MARGIN - 1.0 };
    page.frame();
    page.head(job, options);
    page.sizes(job);
    page.speed(job);
    page.grooves(job);
    page.code(job, wheel);
    page.cautions(job);
    let trace = trace_code(job, wheel);
    Drawing {
        title: format!("Label {trace}"),
        description: format!("Label of wheel {wheel} of order {}: {}.", job.file_stem(), designation(job).text),
        width: WIDTH,
        height: HEIGHT,
        pen: Pen::GROUP_05,
        items: page.items,
        about: dossier.about("Label"),
    }
}

/// The label being filled from the top.
struct Page {
    items: Vec<Item>,
    y: f64,
}

impl Page {
    fn frame(&mut self) {
        let at = |x: f64, y: f64| Point::new(x, y);
        let m = 1.0;
        let corners = [at(m, m), at(WIDTH - m, m), at(WIDTH - m, HEIGHT - m), at(m, HEIGHT - m)];
        if let Ok(contour) = Contour::polygon(&corners) {
            self.items.push(Item::Contour { contour, role: Some(LineRole::TableWide), fill: Fill::None });
        }
    }

    fn rule(&mut self) {
        let (from, to) = (Point::new(MARGIN, self.y), Point::new(WIDTH - MARGIN, self.y));
        self.items.push(Item::Line { from, to, role: LineRole::TableNarrow });
        self.y -= 1.4;
    }

    /// Lines from the cursor down, as high as fits into the width and so many lines.
    fn text(&mut self, text: &str, height: f64, lettering: Lettering, width: f64, most: usize) {
        let (lines, height) = fitted(text, height, lettering, width, most);
        for line in lines {
            self.y -= height;
            let at = Point::new(MARGIN, self.y);
            self.items.push(Item::Text(Text { lettering, ..Text::new(line, at, height) }));
            self.y -= height * 0.65;
        }
    }

    fn at(&mut self, text: impl Into<String>, at: Point, height: f64, anchor: Anchor, lettering: Lettering) {
        self.items.push(Item::Text(Text { anchor, lettering, ..Text::new(text, at, height) }));
    }

    fn head(&mut self, job: &Job, options: &Options) {
        let right = Point::new(WIDTH - MARGIN, self.y - 3.0);
        let stem = job.file_stem();
        let room = WIDTH - 2.0 * MARGIN - measure::width(&stem, 3.0, Bold) - 4.0;
        self.at(stem, right, 3.0, Anchor::End, Bold);
        let kind = designation(job);
        let name = kind
            .shape
            .map_or(format!("ABRASIVE WHEEL, {}", kind.name), |n| format!("ABRASIVE WHEEL, TYPE {n} – {}", kind.name));
        self.text(&name, 3.0, Bold, room, 1);
        if !options.bar.is_empty() {
            self.text(&options.bar, 5.0, Bold, WIDTH - 2.0 * MARGIN, 1);
        }
        let by = if options.altered_by.is_empty() {
            "________________________".to_owned()
        } else {
            options.altered_by.clone()
        };
        self.text(&format!("Altered by: {by}, on ____________"), 2.2, Plain, WIDTH - 2.0 * MARGIN, 2);
        self.text("Speed tested, on ____________ by ________________________", 2.2, Plain, WIDTH - 2.0 * MARGIN, 1);
        self.rule();
    }

    fn sizes(&mut self, job: &Job) {
        let width = WIDTH - 2.0 * MARGIN;
        let written = Written::of(job);
        let wheel = &job.wheel;
        let sizes = |unit: LengthUnit| {
            let [d, t, h] = [wheel.outside_diameter, wheel.thickness, wheel.bore].map(|mm| written.length_in(mm, unit));
            format!("{d} × {t} × {h} {}", unit.symbol())
        };
        let both = format!("{} ({})", sizes(job.units), sizes(written.other_unit()));
        self.text(&both, 4.0, Bold, width, 1);
        let kind = designation(job);
        let drawing = format!("Shape: see drawing {}", job.file_stem());
        self.text(
            &match (kind.shape, kind.has_more) {
                (None, _) => drawing,
                (Some(_), true) => format!("{} mm; more on drawing {}", kind.text, job.file_stem()),
                (Some(_), false) => format!("{} mm", kind.text),
            },
            2.5,
            Plain,
            width,
            2,
        );
        let blank = job.blank.clone().unwrap_or_default();
        let mark = blank.marking.unwrap_or_else(|| "not known".to_owned());
        let lot = blank.lot.map_or(String::new(), |lot| format!(" · Lot: {lot}"));
        self.text(&format!("Specification: {mark}{lot}"), 3.0, Bold, width, 2);
        let maker = format!("Blank by: {}", blank.maker.as_deref().unwrap_or("not known"));
        let expiry = blank.expires.map(|day| format!("USE UNTIL {day}"));
        let restrictions =
            (!blank.restrictions.is_empty()).then(|| format!("Restrictions of use: {}", blank.restrictions.join(", ")));
        let carried: Vec<String> = [Some(maker), expiry, restrictions].into_iter().flatten().collect();
        self.text(&carried.join(" · "), 2.2, Plain, width, 2);
        self.rule();
    }

    fn speed(&mut self, job: &Job) {
        let width = WIDTH - 2.0 * MARGIN - CODE;
        self.text("MAXIMUM OPERATING SPEED", 2.2, Plain, width, 1);
        match (marked_speed(job), marked_rpm(job)) {
            (Some(v), Some(rpm)) => {
                self.text(&format!("{} m/s = {rpm} 1/min", Written::of(job).sentence(&down(v))), 5.0, Bold, width, 1);
                if job.units == LengthUnit::Inch {
                    let feet = (v * 60.0 / (12.0 * MM_PER_INCH / 1000.0)).floor();
                    self.text(&format!("({} ft/min)", fixed(feet, 0)), 2.5, Plain, width, 1);
                }
            }
            _ => self.text("not marked on the blank: DO NOT RUN", 4.0, Bold, width, 2),
        }
        self.y -= 1.0;
    }

    fn grooves(&mut self, job: &Job) {
        let width = WIDTH - 2.0 * MARGIN - CODE;
        let wheel = &job.wheel;
        if wheel.face.is_some() || SideName::BOTH.iter().any(|s| wheel.side(*s).grooves.is_some()) {
            self.text("GROOVES INTENTIONAL", 3.0, Bold, width, 1);
        }
        match rotation(job) {
            Wanted::Either => {}
            Wanted::Contradictory => {
                self.text(
                    "The grooves of side A and side B want opposite rotation: ask before mounting.",
                    2.5,
                    Bold,
                    width,
                    2,
                );
            }
            Wanted::Only(way) => {
                let words = format!("Rotation {}, seen from side A", way.words());
                let radius = 4.5;
                let centre = Point::new(MARGIN + radius + 1.0, self.y - radius - 0.5);
                self.arrow(centre, radius, way);
                let at = Point::new(MARGIN + 2.0 * radius + 4.0, centre.y - 1.2);
                let room = width - 2.0 * radius - 4.0;
                let (lines, height) = fitted(&words, 2.5, Bold, room, 2);
                for (i, line) in lines.into_iter().enumerate() {
                    self.at(line, at - Point::new(0.0, i as f64 * height * 1.6), height, Anchor::Start, Bold);
                }
                self.y = centre.y - radius - 1.0;
            }
        }
    }

    /// Three quarters of a circle with an arrowhead at its end.
    fn arrow(&mut self, centre: Point, radius: f64, way: Rotation) {
        let (from, to, turn) = match way {
            Rotation::CounterClockwise => (-45.0_f64, 225.0_f64, Turn::Left),
            Rotation::Clockwise => (225.0, -45.0, Turn::Right),
        };
        let on = |deg: f64| centre + Point::polar(radius, deg.to_radians());
        if let Ok(arc) = Edge::arc(on(from), on(to), centre, radius, turn) {
            self.items.push(Item::edge(&arc, LineRole::Visible));
        }
        let ahead = Point::polar(1.0, to.to_radians()).left() * turn.sign();
        let (tip, side) = (on(to) + ahead * 3.0, ahead.left() * 1.2);
        if let Ok(contour) = Contour::polygon(&[tip, on(to) + side, on(to) - side]) {
            let contour = if contour.area() < 0.0 { contour.reversed() } else { contour };
            self.items.push(Item::Contour { contour, role: None, fill: Fill::Solid });
        }
    }

    fn code(&mut self, job: &Job, wheel: u32) {
        let content = content(&job.head.number, &job.head.revision, wheel, job.fingerprint().full());
        // beside the speed, its own white border against the margin
        let at = Point::new(WIDTH - MARGIN - CODE + 2.0, 19.0);
        self.items.extend(code::code(&content, at, CODE).map(Item::Group));
        let trace = trace_code(job, wheel);
        let of = job.head.quantity.unwrap_or(1);
        self.y = self.y.min(27.0);
        self.text(&format!("Trace code {trace}"), 2.5, Bold, WIDTH - 2.0 * MARGIN - CODE, 2);
        self.text(&format!("Wheel {wheel} of {of}"), 2.2, Plain, WIDTH - 2.0 * MARGIN - CODE, 1);
    }

    fn cautions(&mut self, job: &Job) {
        self.y = 18.0;
        self.rule();
        let room = self.y - 2.0;
        let width = WIDTH - 2.0 * MARGIN;
        let words = cautions(job).join(" ");
        // as large as the room allows
        let mut height = 1.8;
        let mut lines = measure::wrapped(&words, height, Plain, width);
        while lines.len() as f64 * height * 1.5 > room && height > 1.0 {
            height -= 0.05;
            lines = measure::wrapped(&words, height, Plain, width);
        }
        for line in lines {
            self.y -= height;
            self.at(line, Point::new(MARGIN, self.y), height, Anchor::Start, Plain);
            self.y -= height * 0.5;
        }
    }
}

/// A text in at most so many lines: first at full height, then lower down to [`LEAST`], then cut with an ellipsis.
fn fitted(text: &str, height: f64, lettering: Lettering, width: f64, most: usize) -> (Vec<String>, f64) {
    let mut h = height;
    loop {
        let mut lines = measure::wrapped(text, h, lettering, width);
        if lines.len() <= most {
            return (lines, h);
        }
        if h <= LEAST {
            lines.truncate(most);
            if let Some(last) = lines.last_mut() {
                while measure::width(&format!("{last}…"), h, lettering) > width && last.pop().is_some() {}
                last.push('…');
            }
            return (lines, h);
        }
        h = (h - 0.1).max(LEAST);
    }
}

/// A speed in m/s with two digits after the point at most, never rounded up.
fn down(speed: f64) -> String {
    // six digits first: 33.02 typed as 6500 ft/min is a double just below it
    let text = fixed(speed, 6);
    let cut = &text[..text.len() - 4];
    cut.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_speed_is_never_rounded_up() {
        assert_eq!(down(6500.0 * (0.3048 / 60.0)), "33.02");
        assert_eq!(down(33.0), "33");
        assert_eq!(down(33.029), "33.02");
        assert_eq!(down(50.8), "50.8");
        assert_eq!(down(100.0), "100");
    }

    #[test]
    fn long_texts_shrink_then_end_in_an_ellipsis() {
        let (lines, h) = fitted("A 54 K 6 V", 3.0, Bold, 80.0, 1);
        assert_eq!((lines.len(), h), (1, 3.0));
        let long = "Very long name ".repeat(30);
        let (lines, h) = fitted(&long, 3.0, Bold, 80.0, 2);
        assert_eq!((lines.len(), h), (2, LEAST));
        assert!(lines[1].ends_with('…') && measure::width(&lines[1], h, Bold) <= 80.0);
    }
}

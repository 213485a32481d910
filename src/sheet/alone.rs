//! One view of the wheel alone, with what belongs to it, on paper just large enough: for looking at one thing while it is being changed.

use super::approval::SheetError;
use super::grips::{self, Grip};
use super::rings;
use super::view::{self, Context, Scale, Style, View, ViewKind, ViewRequest, Writing};
use crate::drawing::{Drawing, Item};
use crate::geometry::Point;
use crate::section::Section;
use crate::wheel::{Job, SideName};

/// Clear paper around the views, mm.
const MARGIN: f64 = 10.0;
/// Clear paper between two views, mm.
const GAP: f64 = 15.0;
/// Greatest width and height of the view that is asked for, mm: about an A3 sheet's frame.
const GREATEST: (f64, f64) = (380.0, 280.0);
/// Greatest width and height of what stands beside it, mm.
const GREATEST_BESIDE: (f64, f64) = (170.0, 170.0);

/// What is to be looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// The section, and its enlarged half where it has one.
    Section,
    /// A side from outside, and its details.
    Side(SideName),
    /// The periphery, and its detail.
    Face,
    /// The picture.
    Pictorial,
}

impl Look {
    /// The view itself.
    fn main(self) -> ViewKind {
        match self {
            Look::Section => ViewKind::Section,
            Look::Side(side) => ViewKind::Side(side),
            Look::Face => ViewKind::Face,
            Look::Pictorial => ViewKind::Pictorial,
        }
    }

    /// Whether another view stands beside it.
    fn has_beside(self, kind: &ViewKind) -> bool {
        match (self, kind) {
            (Look::Section, ViewKind::HalfSection) => true,
            (Look::Side(side), ViewKind::Detail { of, .. }) => of.is_of(side),
            (Look::Face, ViewKind::Detail { of, .. }) => of.side().is_none(),
            _ => false,
        }
    }

    fn title(self) -> String {
        match self {
            Look::Section => "section".to_owned(),
            Look::Side(side) => format!("side {}", side.letter()),
            Look::Face => "face".to_owned(),
            Look::Pictorial => "picture".to_owned(),
        }
    }
}

/// Draws one view and what belongs to it. It needs no numbers and no rules.
///
/// # Errors
/// Where the view can be dimensioned at no scale.
pub fn alone(job: &Job, section: &Section, look: Look) -> Result<Drawing, SheetError> {
    alone_with_grips(job, section, look).map(|(drawing, _)| drawing)
}

/// The same, with where its sizes can be taken hold of.
///
/// # Errors
/// As [`alone`].
pub fn alone_with_grips(job: &Job, section: &Section, look: Look) -> Result<(Drawing, Vec<Grip>), SheetError> {
    let (style, requirements) = (Style::of(job), job.requirements());
    let shown = view::plan(job, section);
    let (requirements, shown) = (&requirements, &shown);
    let context = Context { job, section, style: &style, requirements, shown, writing: Writing::Lines, references: true };
    let asked = ViewRequest { kind: look.main(), priority: 0, scales: Scale::ISO.to_vec() };
    let mut views = vec![largest(&asked, GREATEST, &context)?];
    for request in shown.iter().filter(|r| look.has_beside(&r.kind)) {
        // a detail that finds no scale of its own is on the sheets only
        views.extend(largest(request, GREATEST_BESIDE, &context));
    }
    let (drawing, first) = drawing(job, look, &style, &views);
    let found = match look {
        Look::Section => grips::in_section(&job.wheel, section),
        Look::Side(side) => grips::on_side(&job.wheel, side),
        Look::Face | Look::Pictorial => Vec::new(),
    };
    let grips = views.first().map_or_else(Vec::new, |view| grips::on_paper(found, view.scale, first));
    Ok((drawing, grips))
}

/// The view at the largest of its scales that it can be dimensioned at within these mm; else at whatever scale it can be.
fn largest(request: &ViewRequest, (width, height): (f64, f64), context: &Context) -> Result<View, SheetError> {
    let mut reasons = Vec::new();
    let mut larger: Option<View> = None;
    for &scale in &request.scales {
        // no view is smaller than the wheel on it
        let on_paper = context.job.wheel.outside_diameter * scale.factor();
        if matches!(request.kind, ViewKind::Section | ViewKind::Side(_) | ViewKind::Pictorial) && on_paper > height {
            continue;
        }
        match view::build(request, scale, context) {
            Ok(v) if v.bounds.width() <= width && v.bounds.height() <= height => return Ok(v),
            Ok(v) => larger = Some(v),
            Err(why) => reasons.push(why.to_string()),
        }
    }
    larger.ok_or(SheetError::NoRoom(reasons))
}

/// The views in a row, centred on a line, with the margin around them; and what the first of them was moved by.
fn drawing(job: &Job, look: Look, style: &Style, views: &[View]) -> (Drawing, Point) {
    let height = views.iter().map(|v| v.bounds.height()).fold(0.0, f64::max);
    let mut x = MARGIN;
    let (mut items, mut first) = (Vec::new(), None);
    for view in views {
        let b = view.bounds;
        let by = Point::new(x - b.min.x, MARGIN + height / 2.0 - b.centre().y);
        x += b.width() + GAP;
        items.push(Item::Group(rings::named(view, &[], 1).group.moved(by)));
        first.get_or_insert(by);
    }
    let head = &job.head;
    let drawing = Drawing {
        title: format!("{} {} – {}", head.number, head.revision, look.title()),
        description: format!("The {} of the altered wheel with its dimensions.", look.title()),
        width: x - GAP + MARGIN,
        height: height + 2.0 * MARGIN,
        pen: style.pen,
        items,
        about: job.about("View"),
    };
    (drawing, first.unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::measure;

    #[test]
    fn every_look_of_every_starting_order_lies_on_its_paper() {
        for template in crate::order::TEMPLATES {
            let job = crate::rules::ShopRules::built_in().open(template.text.as_bytes()).unwrap();
            let section = Section::of(&job.wheel).unwrap();
            let mut looks = vec![Look::Section, Look::Side(SideName::A), Look::Side(SideName::B), Look::Pictorial];
            looks.extend(job.wheel.face.as_ref().map(|_| Look::Face));
            for look in looks {
                let made = alone(&job, &section, look).unwrap_or_else(|e| panic!("{} {look:?}: {e}", template.name));
                let ink = made.items.iter().filter_map(measure::bounds).reduce(|a, b| a.union(b)).unwrap();
                assert!(ink.min.x >= MARGIN - 0.5 && ink.min.y >= MARGIN - 0.5, "{} {look:?} {ink:?}", template.name);
                assert!(ink.max.x <= made.width - MARGIN + 0.5, "{} {look:?}", template.name);
                assert!(ink.max.y <= made.height - MARGIN + 0.5, "{} {look:?}", template.name);
            }
        }
    }
}

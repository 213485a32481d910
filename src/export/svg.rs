//! A drawing as SVG: one user unit is one millimetre of paper, so line widths are true; arcs and circles stay what they are.
//!
//! The only writer that turns y downwards. Text stays text, set in an embedded font that holds just the letters used; no script, no reference to
//! anything outside the file.

use super::letters;
use super::paint::{BLACK, grey};
use super::tags::Tags;
use super::webfont::SubsetError;
use crate::drawing::dash::{self, Dashes};
use crate::drawing::font::shown;
use crate::drawing::{Anchor, Drawing, Fill, Group, Item, Lettering, LineRole, Pen, Text, measure};
use crate::geometry::{Arc, Edge, Point, Turn};
use std::collections::HashSet;
use std::f64::consts::{PI, TAU};

/// Decimals of a coordinate: a tenth of a micrometre on paper.
const DECIMALS: usize = 4;

/// The drawing as an SVG document.
///
/// # Errors
/// Where the font cannot be cut down to the letters used, which does not happen with the font shipped.
pub fn svg(drawing: &Drawing) -> Result<String, SubsetError> {
    let letters = letters::embedded(&drawing.items)?;
    let mut writer =
        Writer { tags: Tags::new(DECIMALS), height: drawing.height, pen: drawing.pen, ids: HashSet::new() };
    writer.root(drawing, letters.as_ref().map(|l| l.family.as_str()));
    writer.titled("title", &drawing.title);
    writer.titled("desc", &drawing.description);
    if let Some(letters) = &letters {
        writer.tags.begin("style");
        writer.tags.content(&letters.style, "style");
    }
    writer.paper(drawing);
    let family = letters.as_ref().map_or(String::new(), |l| format!("{}, ", l.family));
    writer.sheet(&family);
    writer.items(&drawing.items);
    writer.tags.close("g");
    writer.tags.close("svg");
    Ok(writer.tags.finish())
}

struct Writer {
    tags: Tags,
    /// Height of the paper, mm.
    height: f64,
    pen: Pen,
    /// Ids given so far.
    ids: HashSet<String>,
}

impl Writer {
    fn root(&mut self, drawing: &Drawing, class: Option<&str>) {
        let (width, height) = (drawing.width, drawing.height);
        let tags = &mut self.tags;
        tags.begin("svg");
        tags.attribute("xmlns", "http://www.w3.org/2000/svg");
        for (name, length) in [("width", width), ("height", height)] {
            tags.value(name, |tags| {
                tags.push_number(length);
                tags.push("mm");
            });
        }
        tags.value("viewBox", |tags| {
            tags.push("0 0 ");
            tags.push_number(width);
            tags.push(" ");
            tags.push_number(height);
        });
        tags.attribute("role", "graphics-document document");
        if let Some(class) = class {
            tags.attribute("class", class);
        }
        for (name, value) in [("data-fingerprint", &drawing.about.fingerprint), ("data-date", &drawing.about.date)] {
            if !value.is_empty() {
                tags.attribute(name, &shown(value));
            }
        }
        tags.open();
    }

    fn paper(&mut self, drawing: &Drawing) {
        self.tags.begin("rect");
        self.tags.number("width", drawing.width);
        self.tags.number("height", drawing.height);
        self.tags.attribute("fill", "#fff");
        self.tags.empty();
    }

    /// Opens the group of all that is drawn, with what most of it has in common.
    fn sheet(&mut self, family: &str) {
        let tags = &mut self.tags;
        tags.begin("g");
        tags.attribute("fill", "none");
        tags.attribute("stroke", "#000");
        tags.number("stroke-width", self.pen.narrow);
        tags.attribute("stroke-linecap", "round");
        tags.attribute("stroke-linejoin", "round");
        tags.attribute("font-family", &format!("{family}'DejaVu Sans', sans-serif"));
        tags.open();
    }

    fn titled(&mut self, name: &str, text: &str) {
        self.tags.begin(name);
        self.tags.content(&shown(text), name);
    }

    fn items(&mut self, items: &[Item]) {
        for item in items {
            match item {
                Item::Line { from, to, role } => self.edge(&Edge::line(*from, *to), *role),
                Item::Arc { arc, role } => self.edge(&Edge::Arc(*arc), *role),
                Item::Circle { centre, radius, role, fill } => self.circle(*centre, *radius, *role, *fill),
                Item::Contour { contour, role, fill } => self.contour(contour.edges(), *role, *fill),
                Item::Hatch { lines } if lines.is_empty() => {}
                Item::Hatch { lines } => self.hatch(lines),
                Item::Text(text) => self.text(text),
                Item::Group(group) => self.group(group),
            }
        }
    }

    fn group(&mut self, group: &Group) {
        self.tags.begin("g");
        if let Some(id) = self.unique(&group.id) {
            self.tags.attribute("id", &id);
        }
        for (name, value) in
            [("data-dim", &group.dimension), ("data-field", &group.field), ("data-layer", &group.layer)]
        {
            if !value.is_empty() {
                self.tags.attribute(name, &shown(value));
            }
        }
        self.tags.open();
        if !group.title.is_empty() {
            self.titled("title", &group.title);
        }
        self.items(&group.items);
        self.tags.close("g");
    }

    /// An id that XML allows and that no group before it has; `None` for an empty one.
    fn unique(&mut self, id: &str) -> Option<String> {
        let allowed = |c: char| if c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.') { c } else { '-' };
        let mut base: String = id.chars().map(allowed).collect();
        if !base.chars().next()?.is_ascii_alphabetic() {
            base.insert_str(0, "id-");
        }
        let mut unique = base.clone();
        let mut count = 1;
        while !self.ids.insert(unique.clone()) {
            count += 1;
            unique = format!("{base}-{count}");
        }
        Some(unique)
    }

    /// Pushes a point into a value.
    fn push(&mut self, p: Point) {
        self.tags.push_number(p.x);
        self.tags.push(" ");
        self.tags.push_number(self.height - p.y);
    }

    /// Begins a path; `data` pushes what it follows.
    fn path(&mut self, data: impl FnOnce(&mut Writer)) {
        self.tags.begin("path");
        self.tags.push(" d=\"");
        data(self);
        self.tags.push("\"");
    }

    fn edge(&mut self, edge: &Edge, role: LineRole) {
        self.path(|writer| {
            writer.tags.push("M");
            writer.push(edge.start());
            writer.step(edge);
        });
        let broken = self.pen.is_broken(role);
        self.line(role, &if broken { dash::open(&self.pen, role, edge.length()) } else { Dashes::default() });
        self.tags.empty();
    }

    /// Pushes the way from the edge's start to its end, as path data.
    fn step(&mut self, edge: &Edge) {
        match edge {
            Edge::Line(line) => {
                self.tags.push("L");
                self.push(line.end);
            }
            Edge::Arc(arc) => {
                // an arc beyond a half circle is split in its middle: the ends alone would place its centre badly
                if arc.sweep().abs() > PI {
                    self.arc_to(arc, arc.at(0.5));
                }
                self.arc_to(arc, arc.end());
            }
        }
    }

    fn arc_to(&mut self, arc: &Arc, to: Point) {
        self.tags.push("A");
        self.tags.push_number(arc.radius());
        self.tags.push(" ");
        self.tags.push_number(arc.radius());
        // turning y downwards makes a counter-clockwise arc one of falling angles
        self.tags.push(if arc.turn() == Turn::Left { " 0 0 0 " } else { " 0 0 1 " });
        self.push(to);
    }

    fn circle(&mut self, centre: Point, radius: f64, role: LineRole, fill: Fill) {
        self.tags.begin("circle");
        self.tags.number("cx", centre.x);
        self.tags.number("cy", self.height - centre.y);
        self.tags.number("r", radius);
        self.fill(fill);
        self.line(role, &dash::closed(&self.pen, role, TAU * radius));
        self.tags.empty();
    }

    /// A broken contour is drawn edge by edge, so that its corners lie on dashes.
    fn contour(&mut self, edges: &[Edge], role: Option<LineRole>, fill: Fill) {
        let broken = role.filter(|&role| self.pen.is_broken(role));
        if broken.is_none() || fill != Fill::None {
            self.path(|writer| {
                writer.tags.push("M");
                writer.push(edges[0].start());
                edges.iter().for_each(|edge| writer.step(edge));
                writer.tags.push("Z");
            });
            self.fill(fill);
            match role.filter(|_| broken.is_none()) {
                Some(role) => self.line(role, &Dashes::default()),
                None => self.tags.attribute("stroke", "none"),
            }
            self.tags.empty();
        }
        if let Some(role) = broken {
            edges.iter().for_each(|edge| self.edge(edge, role));
        }
    }

    fn hatch(&mut self, lines: &[(Point, Point)]) {
        self.path(|writer| {
            for &(a, b) in lines {
                writer.tags.push("M");
                writer.push(a);
                writer.tags.push("L");
                writer.push(b);
            }
        });
        self.line(LineRole::Hatching, &Dashes::default());
        self.tags.empty();
    }

    /// Width and dashes, where they differ from the sheet's own narrow unbroken line.
    fn line(&mut self, role: LineRole, dashes: &Dashes) {
        let tags = &mut self.tags;
        tags.value("class", |tags| tags.push(class(role)));
        let width = self.pen.width(role);
        if width != self.pen.narrow {
            tags.number("stroke-width", width);
        }
        if !dashes.pattern.is_empty() {
            tags.value("stroke-dasharray", |tags| {
                for (i, &length) in dashes.pattern.iter().enumerate() {
                    tags.push(if i > 0 { " " } else { "" });
                    tags.push_number(length);
                }
            });
            tags.attribute("stroke-linecap", "butt");
        }
        if dashes.phase != 0.0 {
            tags.number("stroke-dashoffset", dashes.phase);
        }
    }

    fn fill(&mut self, fill: Fill) {
        let Some(grey) = grey(fill) else { return };
        let level = (grey * 255.0).round() as u8;
        let colour = if grey == BLACK { String::from("#000") } else { format!("#{level:02x}{level:02x}{level:02x}") };
        self.tags.attribute("fill", &colour);
    }

    /// A text, where anything of it is seen.
    fn text(&mut self, text: &Text) {
        let advance = measure::advance(text);
        if advance <= 0.0 {
            return;
        }
        self.tags.begin("text");
        self.tags.number("x", text.at.x);
        self.tags.number("y", self.height - text.at.y);
        self.tags.number("font-size", measure::font_size(text.height, text.lettering));
        self.tags.push(r##" fill="#000" stroke="none""##);
        self.tags.push(match text.anchor {
            Anchor::Start => "",
            Anchor::Middle => r#" text-anchor="middle""#,
            Anchor::End => r#" text-anchor="end""#,
        });
        if text.lettering == Lettering::Bold {
            self.tags.value("font-weight", |tags| tags.push(letters::weight(text.lettering)));
        }
        if text.turned_deg != 0.0 {
            self.tags.push(" transform=\"rotate(");
            self.tags.push_number(-text.turned_deg);
            self.tags.push(" ");
            self.push(text.at);
            self.tags.push(")\"");
        }
        // browsers round font sizes and some programs ignore embedded fonts: either way the text keeps its width
        self.tags.number("textLength", advance);
        self.tags.push(r#" lengthAdjust="spacingAndGlyphs""#);
        let content = shown(&text.content);
        if content.trim() != content || content.contains("  ") {
            self.tags.push(r#" xml:space="preserve""#);
        }
        self.tags.content(&content, "text");
    }
}

/// What a line means, as the class by which a style sheet finds it.
fn class(role: LineRole) -> &'static str {
    match role {
        LineRole::Visible => "visible",
        LineRole::Fine => "fine",
        LineRole::Dimension => "dimension",
        LineRole::Hatching => "hatching",
        LineRole::Hidden => "hidden",
        LineRole::Axis => "axis",
        LineRole::CuttingPlane => "cutting-plane",
        LineRole::Blank => "blank",
        LineRole::Frame => "frame",
        LineRole::TableWide => "table-wide",
        LineRole::TableNarrow => "table-narrow",
        LineRole::Curve => "curve",
        LineRole::Path => "path",
        LineRole::Reference => "reference",
    }
}

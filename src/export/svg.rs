//! A drawing as SVG: one user unit is one millimetre of paper, so line widths are true; arcs and circles stay what they are.
//!
//! The only writer that turns y downwards. Text stays text, set in an embedded font that holds just the letters used; no script, no reference to
//! anything outside the file.

use super::letters::{self, Embedded};
use super::paint::{BLACK, grey};
use super::webfont::SubsetError;
use crate::drawing::dash::{self, Dashes};
use crate::drawing::font::shown;
use crate::drawing::{Anchor, Drawing, Fill, Group, Inside, Item, Lettering, LineRole, Pen, Text, measure};
use crate::geometry::{Arc, Contour, Edge, Point, Turn};
use crate::quantity::{push_trimmed, trimmed};
use std::collections::HashSet;
use std::f64::consts::{PI, TAU};
use svg::node::element::{Circle, Description, Element, Path, Rectangle, Style, Title};
use svg::node::{Node, Text as Content};

/// Decimals of a coordinate: a tenth of a micrometre on paper.
const DECIMALS: usize = 4;

/// The drawing as an SVG document.
///
/// # Errors
/// Where the font cannot be cut down to the letters used, which does not happen with the font shipped.
pub fn svg(drawing: &Drawing) -> Result<String, SubsetError> {
    Ok(written(drawing, letters::embedded(&drawing.items)?.as_deref()))
}

/// The same without a font, for whoever has the sheets' font.
pub fn fontless(drawing: &Drawing) -> String {
    written(drawing, None)
}

fn written(drawing: &Drawing, letters: Option<&Embedded>) -> String {
    let mut root = root(drawing, letters.map(|l| l.family.as_str()));
    root.append(Title::new(shown(&drawing.title)));
    root.append(Description::new().add(Content::new(shown(&drawing.description))));
    if let Some(letters) = letters {
        root.append(Style::new(letters.style.as_str()));
    }
    let paper = Rectangle::new().set("width", number(drawing.width)).set("height", number(drawing.height));
    root.append(paper.set("fill", "#fff"));
    let family = letters.map_or(String::new(), |l| format!("{}, ", l.family));
    let mut writer = Writer { height: drawing.height, pen: drawing.pen, ids: HashSet::new() };
    let mut sheet = writer.sheet(&family);
    writer.items(&drawing.items, &mut sheet);
    root.append(sheet);
    format!("{root}\n")
}

fn root(drawing: &Drawing, class: Option<&str>) -> Element {
    let (width, height) = (number(drawing.width), number(drawing.height));
    let mut root = Element::new("svg");
    root.assign("xmlns", "http://www.w3.org/2000/svg");
    root.assign("viewBox", format!("0 0 {width} {height}"));
    root.assign("width", format!("{width}mm"));
    root.assign("height", format!("{height}mm"));
    root.assign("role", "graphics-document document");
    if let Some(class) = class {
        root.assign("class", class);
    }
    let about = &drawing.about;
    assign_shown(&mut root, [("data-fingerprint", about.fingerprint.as_str()), ("data-date", about.date.as_str())]);
    root
}

/// A number as text.
fn number(value: f64) -> String {
    trimmed(value, DECIMALS)
}

/// Assigns what is not empty.
fn assign_shown<const N: usize>(element: &mut Element, attributes: [(&str, &str); N]) {
    for (name, value) in attributes.into_iter().filter(|(_, value)| !value.is_empty()) {
        element.assign(name, shown(value));
    }
}

/// Like lines one after another: they become one path.
struct Run {
    role: LineRole,
    dashes: Dashes,
    data: String,
}

struct Writer {
    /// Height of the paper, mm.
    height: f64,
    pen: Pen,
    /// Ids given so far.
    ids: HashSet<String>,
}

impl Writer {
    /// The group of all that is drawn, with what most of it has in common.
    fn sheet(&self, family: &str) -> Element {
        let mut sheet = Element::new("g");
        sheet.assign("fill", "none");
        sheet.assign("stroke", "#000");
        sheet.assign("stroke-width", number(self.pen.narrow));
        sheet.assign("stroke-linecap", "round");
        sheet.assign("stroke-linejoin", "round");
        sheet.assign("font-family", format!("{family}'DejaVu Sans', sans-serif"));
        sheet
    }

    fn items(&mut self, items: &[Item], into: &mut Element) {
        let mut run = None;
        for item in items {
            match item {
                Item::Line { from, to, role } => self.edge(&Edge::line(*from, *to), *role, &mut run, into),
                Item::Arc { arc, role } => self.edge(&Edge::Arc(*arc), *role, &mut run, into),
                Item::Contour { contour, role: Some(role), fill: Fill::None } => {
                    self.outline(contour.edges(), *role, &mut run, into);
                }
                Item::Contour { contour, role, fill } => {
                    self.end(&mut run, into);
                    self.area(contour.edges(), *role, *fill, &mut run, into);
                }
                Item::Hatch { lines } => {
                    for &(a, b) in lines {
                        self.edge(&Edge::line(a, b), LineRole::Hatching, &mut run, into);
                    }
                }
                Item::Area { outlines, inside, fill } => {
                    self.end(&mut run, into);
                    into.append(self.parts(outlines, *inside, *fill));
                }
                Item::Circle { centre, radius, role, fill } => {
                    self.end(&mut run, into);
                    into.append(self.circle(*centre, *radius, *role, *fill));
                }
                Item::Text(text) => {
                    self.end(&mut run, into);
                    if let Some(text) = self.text(text) {
                        into.append(text);
                    }
                }
                Item::Group(group) => {
                    self.end(&mut run, into);
                    into.append(self.group(group));
                }
            }
        }
        self.end(&mut run, into);
    }

    fn group(&mut self, group: &Group) -> Element {
        let mut made = Element::new("g");
        if let Some(id) = self.unique(&group.id) {
            made.assign("id", id);
        }
        let dimension = group.subject.map_or(String::new(), |s| s.to_string());
        let field = group.subject.and_then(|s| s.size()).map_or(String::new(), |size| size.pointer());
        let marks = [("data-dim", &dimension), ("data-field", &field), ("data-layer", &group.layer)];
        assign_shown(&mut made, marks.map(|(name, value)| (name, value.as_str())));
        if !group.title.is_empty() {
            made.append(Title::new(shown(&group.title)));
        }
        self.items(&group.items, &mut made);
        made
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

    /// The run that such a line belongs to; another run ends before it.
    fn joined<'r>(
        &self,
        role: LineRole,
        dashes: Dashes,
        run: &'r mut Option<Run>,
        into: &mut Element,
    ) -> &'r mut String {
        if run.as_ref().is_some_and(|run| run.role != role || run.dashes != dashes) {
            self.end(run, into);
        }
        &mut run.get_or_insert_with(|| Run { role, dashes, data: String::new() }).data
    }

    /// Writes a run that is under way.
    fn end(&self, run: &mut Option<Run>, into: &mut Element) {
        let Some(run) = run.take() else { return };
        let mut path = Path::new().set("d", run.data);
        self.line(&mut path, run.role, &run.dashes);
        into.append(path);
    }

    fn edge(&self, edge: &Edge, role: LineRole, run: &mut Option<Run>, into: &mut Element) {
        let broken = self.pen.is_broken(role);
        let dashes = if broken { dash::open(&self.pen, role, edge.length()) } else { Dashes::default() };
        let data = self.joined(role, dashes, run, into);
        self.way(std::slice::from_ref(edge), data);
    }

    /// A contour that is not filled. A broken one is drawn edge by edge, so that its corners lie on dashes.
    fn outline(&self, edges: &[Edge], role: LineRole, run: &mut Option<Run>, into: &mut Element) {
        if self.pen.is_broken(role) {
            return edges.iter().for_each(|edge| self.edge(edge, role, run, into));
        }
        let data = self.joined(role, Dashes::default(), run, into);
        self.way(edges, data);
        data.push('Z');
    }

    fn area(&self, edges: &[Edge], role: Option<LineRole>, fill: Fill, run: &mut Option<Run>, into: &mut Element) {
        let whole = role.filter(|&role| !self.pen.is_broken(role));
        let mut data = String::new();
        self.way(edges, &mut data);
        data.push('Z');
        let mut path = Path::new().set("d", data);
        self.fill(&mut path, fill);
        match whole {
            Some(role) => self.line(&mut path, role, &Dashes::default()),
            None => path.assign("stroke", "none"),
        }
        into.append(path);
        if let Some(role) = role.filter(|_| whole.is_none()) {
            self.outline(edges, role, run, into);
        }
    }

    fn parts(&self, outlines: &[Contour], inside: Inside, fill: Fill) -> Path {
        let mut data = String::new();
        for outline in outlines {
            self.way(outline.edges(), &mut data);
            data.push('Z');
        }
        let mut path = Path::new().set("d", data).set("stroke", "none");
        self.fill(&mut path, fill);
        if inside == Inside::EvenOdd {
            path.assign("fill-rule", "evenodd");
        }
        path
    }

    /// Pushes the way along edges that follow each other, as path data.
    fn way(&self, edges: &[Edge], data: &mut String) {
        data.push('M');
        self.push(edges[0].start(), data);
        for edge in edges {
            match edge {
                Edge::Line(line) => {
                    data.push('L');
                    self.push(line.end, data);
                }
                Edge::Arc(arc) => {
                    // an arc beyond a half circle is split in its middle: the ends alone would place its centre badly
                    if arc.sweep().abs() > PI {
                        self.arc_to(arc, arc.at(0.5), data);
                    }
                    self.arc_to(arc, arc.end(), data);
                }
            }
        }
    }

    fn arc_to(&self, arc: &Arc, to: Point, data: &mut String) {
        data.push('A');
        push_trimmed(data, arc.radius(), DECIMALS);
        data.push(' ');
        push_trimmed(data, arc.radius(), DECIMALS);
        // turning y downwards makes a counter-clockwise arc one of falling angles
        data.push_str(if arc.turn() == Turn::Left { " 0 0 0 " } else { " 0 0 1 " });
        self.push(to, data);
    }

    fn push(&self, p: Point, data: &mut String) {
        push_trimmed(data, p.x, DECIMALS);
        data.push(' ');
        push_trimmed(data, self.height - p.y, DECIMALS);
    }

    fn circle(&self, centre: Point, radius: f64, role: LineRole, fill: Fill) -> Circle {
        let made = Circle::new().set("cx", number(centre.x)).set("cy", number(self.height - centre.y));
        let mut made = made.set("r", number(radius));
        self.fill(&mut made, fill);
        self.line(&mut made, role, &dash::closed(&self.pen, role, TAU * radius));
        made
    }

    /// Width and dashes, where they differ from the sheet's own narrow unbroken line.
    fn line(&self, element: &mut impl Node, role: LineRole, dashes: &Dashes) {
        element.assign("class", class(role));
        let width = self.pen.width(role);
        if width != self.pen.narrow {
            element.assign("stroke-width", number(width));
        }
        if !dashes.pattern.is_empty() {
            let lengths: Vec<String> = dashes.pattern.iter().map(|&length| number(length)).collect();
            element.assign("stroke-dasharray", lengths.join(" "));
            element.assign("stroke-linecap", "butt");
        }
        if dashes.phase != 0.0 {
            element.assign("stroke-dashoffset", number(dashes.phase));
        }
    }

    fn fill(&self, element: &mut impl Node, fill: Fill) {
        let Some(grey) = grey(fill) else { return };
        let level = (grey * 255.0).round() as u8;
        let colour = if grey == BLACK { String::from("#000") } else { format!("#{level:02x}{level:02x}{level:02x}") };
        element.assign("fill", colour);
    }

    /// A text, where anything of it is seen.
    fn text(&self, text: &Text) -> Option<Element> {
        let advance = measure::advance(text);
        if advance <= 0.0 {
            return None;
        }
        let (x, y) = (number(text.at.x), number(self.height - text.at.y));
        // the crate's own text element breaks lines inside the text, where blanks count
        let mut made = Element::new("text");
        made.assign("font-size", number(measure::font_size(text.height, text.lettering)));
        made.assign("fill", "#000");
        made.assign("stroke", "none");
        match text.anchor {
            Anchor::Start => {}
            Anchor::Middle => made.assign("text-anchor", "middle"),
            Anchor::End => made.assign("text-anchor", "end"),
        }
        if text.lettering == Lettering::Bold {
            made.assign("font-weight", letters::weight(text.lettering));
        }
        if text.turned_deg != 0.0 {
            made.assign("transform", format!("rotate({} {x} {y})", number(-text.turned_deg)));
        }
        made.assign("x", x);
        made.assign("y", y);
        // browsers round font sizes and some programs ignore embedded fonts: either way the text keeps its width
        made.assign("textLength", number(advance));
        made.assign("lengthAdjust", "spacingAndGlyphs");
        let content = shown(&text.content);
        if content.trim() != content || content.contains("  ") {
            made.assign("xml:space", "preserve");
        }
        made.append(Content::new(content));
        Some(made)
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

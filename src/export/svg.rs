//! A drawing as SVG: one user unit is one millimetre of paper, so line widths are true; arcs and circles stay what they are.
//!
//! The only writer that turns y downwards. Text stays text, set in an embedded font that holds just the letters used; no script, no reference to
//! anything outside the file.

use super::paint::{BLACK, grey};
use super::webfont::{self, SubsetError};
use crate::drawing::dash::{self, Dashes};
use crate::drawing::font::{Font, shown};
use crate::drawing::{Anchor, Drawing, Fill, Group, Item, Lettering, LineRole, Pen, Text, measure};
use crate::geometry::{Arc, Edge, Point};
use crate::quantity::{push_trimmed, trimmed};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, HashSet};
use std::f64::consts::{PI, TAU};
use svg::Node;
use svg::node::element::Element;

/// Decimals of a coordinate: a tenth of a micrometre on paper.
const DECIMALS: usize = 4;

/// The drawing as an SVG document.
///
/// # Errors
/// Where the font cannot be cut down to the letters used, which does not happen with the font shipped.
pub fn svg(drawing: &Drawing) -> Result<String, SubsetError> {
    let letters = Letters::of(&drawing.items).embedded()?;
    let mut root = root(drawing);
    root.append(titled("title", &drawing.title));
    root.append(titled("desc", &drawing.description));
    if let Some(letters) = &letters {
        root.assign("class", letters.family.as_str());
        root.append(letters.style());
    }
    let mut paper = Element::new("rect");
    paper.assign("width", num(drawing.width));
    paper.assign("height", num(drawing.height));
    paper.assign("fill", "#fff");
    root.append(paper);
    let mut sheet = Element::new("g");
    sheet.assign("fill", "none");
    sheet.assign("stroke", "#000");
    sheet.assign("stroke-width", num(drawing.pen.narrow));
    sheet.assign("stroke-linecap", "round");
    sheet.assign("stroke-linejoin", "round");
    let family = letters.map_or(String::new(), |l| format!("{}, ", l.family));
    sheet.assign("font-family", format!("{family}'DejaVu Sans', sans-serif"));
    let mut writer = Writer { height: drawing.height, pen: drawing.pen, ids: HashSet::new() };
    writer.items(&drawing.items, &mut sheet);
    root.append(sheet);
    Ok(format!("{root}\n"))
}

fn root(drawing: &Drawing) -> Element {
    let mut root = Element::new("svg");
    root.assign("xmlns", "http://www.w3.org/2000/svg");
    root.assign("width", format!("{}mm", num(drawing.width)));
    root.assign("height", format!("{}mm", num(drawing.height)));
    root.assign("viewBox", format!("0 0 {} {}", num(drawing.width), num(drawing.height)));
    root.assign("role", "graphics-document document");
    for (name, value) in [("data-fingerprint", &drawing.about.fingerprint), ("data-date", &drawing.about.date)] {
        if !value.is_empty() {
            root.assign(name, shown(value));
        }
    }
    root
}

fn num(value: f64) -> String {
    trimmed(value, DECIMALS)
}

fn titled(name: &str, text: &str) -> Element {
    let mut element = Element::new(name);
    element.append(svg::node::Text::new(shown(text)));
    element
}

/// The characters used, with their glyphs, by weight.
#[derive(Default)]
struct Letters {
    by_weight: BTreeMap<Lettering, BTreeMap<char, u16>>,
}

/// The letters as font files.
struct Embedded {
    /// Named by what it holds, so that two drawings on one page do not take each other's letters.
    family: String,
    files: Vec<(Lettering, Vec<u8>)>,
}

impl Letters {
    fn of(items: &[Item]) -> Letters {
        let mut letters = Letters::default();
        letters.collect(items);
        letters
    }

    fn collect(&mut self, items: &[Item]) {
        for item in items {
            match item {
                Item::Text(text) => {
                    let glyphs = Font::of(text.lettering).glyphs(&text.content);
                    self.by_weight
                        .entry(text.lettering)
                        .or_default()
                        .extend(glyphs.iter().map(|g| (g.character, g.id)));
                }
                Item::Group(group) => self.collect(&group.items),
                _ => {}
            }
        }
    }

    fn embedded(&self) -> Result<Option<Embedded>, SubsetError> {
        let mut files = Vec::new();
        let mut hash = Sha256::new();
        for (&lettering, glyphs) in self.by_weight.iter().filter(|(_, glyphs)| !glyphs.is_empty()) {
            let file = webfont::subset(Font::of(lettering), "wheeldraft letters", glyphs)?;
            hash.update(&file);
            files.push((lettering, file));
        }
        let digest: String = hash.finalize().iter().take(4).map(|byte| format!("{byte:02x}")).collect();
        Ok((!files.is_empty()).then(|| Embedded { family: format!("wheeldraft-{digest}"), files }))
    }
}

impl Embedded {
    /// The font files and what keeps a browser to the reckoned widths: no kerning, no ligatures, blanks as written.
    fn style(&self) -> Element {
        let mut css = String::new();
        for (lettering, file) in &self.files {
            let weight = weight(*lettering);
            let data = BASE64.encode(file);
            css += &format!(
                "@font-face{{font-family:{};font-weight:{weight};src:url(data:font/ttf;base64,{data})}}\n",
                self.family
            );
        }
        css += &format!(
            ".{} text{{font-kerning:none;font-variant-ligatures:none;direction:ltr;unicode-bidi:bidi-override;white-space:pre}}",
            self.family
        );
        let mut style = Element::new("style");
        style.append(svg::node::Text::new(css));
        style
    }
}

fn weight(lettering: Lettering) -> &'static str {
    match lettering {
        Lettering::Plain => "400",
        Lettering::Bold => "700",
    }
}

struct Writer {
    /// Height of the paper, mm.
    height: f64,
    pen: Pen,
    /// Ids given so far.
    ids: HashSet<String>,
}

impl Writer {
    fn items(&mut self, items: &[Item], parent: &mut Element) {
        for item in items {
            match item {
                Item::Line { from, to, role } => parent.append(self.edge(&Edge::line(*from, *to), *role)),
                Item::Arc { arc, role } => parent.append(self.edge(&Edge::Arc(*arc), *role)),
                Item::Circle { centre, radius, role, fill } => {
                    parent.append(self.circle(*centre, *radius, *role, *fill))
                }
                Item::Contour { contour, role, fill } => self.contour(contour.edges(), *role, *fill, parent),
                Item::Hatch { lines } if lines.is_empty() => {}
                Item::Hatch { lines } => parent.append(self.hatch(lines)),
                Item::Text(text) if measure::advance(text) > 0.0 => parent.append(self.text(text)),
                Item::Text(_) => {}
                Item::Group(group) => {
                    let element = self.group(group);
                    parent.append(element);
                }
            }
        }
    }

    fn group(&mut self, group: &Group) -> Element {
        let mut element = Element::new("g");
        if let Some(id) = self.unique(&group.id) {
            element.assign("id", id);
        }
        for (name, value) in
            [("data-dim", &group.dimension), ("data-field", &group.field), ("data-layer", &group.layer)]
        {
            if !value.is_empty() {
                element.assign(name, shown(value));
            }
        }
        if !group.title.is_empty() {
            element.append(titled("title", &group.title));
        }
        self.items(&group.items, &mut element);
        element
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

    fn x_y(&self, p: Point) -> String {
        let mut text = String::new();
        self.push(&mut text, p);
        text
    }

    fn push(&self, text: &mut String, p: Point) {
        push_trimmed(text, p.x, DECIMALS);
        text.push(' ');
        push_trimmed(text, self.height - p.y, DECIMALS);
    }

    fn edge(&self, edge: &Edge, role: LineRole) -> Element {
        let data = format!("M{}{}", self.x_y(edge.start()), self.step(edge));
        let mut path = path(data);
        self.line(&mut path, role, &dash::open(&self.pen, role, edge.length()));
        path
    }

    /// From the edge's start to its end, as path data.
    fn step(&self, edge: &Edge) -> String {
        match edge {
            Edge::Line(line) => format!("L{}", self.x_y(line.end)),
            Edge::Arc(arc) => self.arc(arc),
        }
    }

    /// An arc beyond a half circle is split in its middle: the ends alone would place its centre badly.
    fn arc(&self, arc: &Arc) -> String {
        let radius = num(arc.radius());
        // turning y downwards makes a counter-clockwise arc one of falling angles
        let sweep = if arc.sweep() > 0.0 { 0 } else { 1 };
        let to = |p: Point| format!("A{radius} {radius} 0 0 {sweep} {}", self.x_y(p));
        let middle = if arc.sweep().abs() > PI { to(arc.at(0.5)) } else { String::new() };
        middle + &to(arc.end())
    }

    fn circle(&self, centre: Point, radius: f64, role: LineRole, fill: Fill) -> Element {
        let mut circle = Element::new("circle");
        circle.assign("cx", num(centre.x));
        circle.assign("cy", num(self.height - centre.y));
        circle.assign("r", num(radius));
        set_fill(&mut circle, fill);
        self.line(&mut circle, role, &dash::closed(&self.pen, role, TAU * radius));
        circle
    }

    /// A broken contour is drawn edge by edge, so that its corners lie on dashes.
    fn contour(&self, edges: &[Edge], role: Option<LineRole>, fill: Fill, parent: &mut Element) {
        let broken = role.filter(|&role| !self.pen.dashes(role).is_empty());
        if broken.is_none() || fill != Fill::None {
            let steps: String = edges.iter().map(|edge| self.step(edge)).collect();
            let mut path = path(format!("M{}{steps}Z", self.x_y(edges[0].start())));
            set_fill(&mut path, fill);
            match role.filter(|_| broken.is_none()) {
                Some(role) => self.line(&mut path, role, &Dashes::default()),
                None => path.assign("stroke", "none"),
            }
            parent.append(path);
        }
        if let Some(role) = broken {
            edges.iter().for_each(|edge| parent.append(self.edge(edge, role)));
        }
    }

    fn hatch(&self, lines: &[(Point, Point)]) -> Element {
        let mut data = String::new();
        for &(a, b) in lines {
            data.push('M');
            self.push(&mut data, a);
            data.push('L');
            self.push(&mut data, b);
        }
        let mut path = path(data);
        self.line(&mut path, LineRole::Hatching, &Dashes::default());
        path
    }

    /// Width and dashes, where they differ from the sheet's own narrow unbroken line.
    fn line(&self, element: &mut Element, role: LineRole, dashes: &Dashes) {
        element.assign("class", class(role));
        let width = self.pen.width(role);
        if width != self.pen.narrow {
            element.assign("stroke-width", num(width));
        }
        if !dashes.pattern.is_empty() {
            let pattern: Vec<String> = dashes.pattern.iter().map(|&l| num(l)).collect();
            element.assign("stroke-dasharray", pattern.join(" "));
            element.assign("stroke-linecap", "butt");
        }
        if dashes.phase != 0.0 {
            element.assign("stroke-dashoffset", num(dashes.phase));
        }
    }

    fn text(&self, text: &Text) -> Element {
        let mut element = Element::new("text");
        element.assign("x", num(text.at.x));
        element.assign("y", num(self.height - text.at.y));
        element.assign("font-size", num(measure::font_size(text.height, text.lettering)));
        element.assign("fill", "#000");
        element.assign("stroke", "none");
        match text.anchor {
            Anchor::Start => {}
            Anchor::Middle => element.assign("text-anchor", "middle"),
            Anchor::End => element.assign("text-anchor", "end"),
        }
        if text.lettering == Lettering::Bold {
            element.assign("font-weight", weight(text.lettering));
        }
        if text.turned_deg != 0.0 {
            element.assign("transform", format!("rotate({} {})", num(-text.turned_deg), self.x_y(text.at)));
        }
        // browsers round font sizes and some programs ignore embedded fonts: either way the text keeps its width
        element.assign("textLength", num(measure::advance(text)));
        element.assign("lengthAdjust", "spacingAndGlyphs");
        let content = shown(&text.content);
        if content.trim() != content || content.contains("  ") {
            element.assign("xml:space", "preserve");
        }
        element.append(svg::node::Text::new(content));
        element
    }
}

fn path(data: String) -> Element {
    let mut path = Element::new("path");
    path.assign("d", data);
    path
}

fn set_fill(element: &mut Element, fill: Fill) {
    if let Some(grey) = grey(fill) {
        let level = (grey * 255.0).round() as u8;
        let colour = if grey == BLACK { String::from("#000") } else { format!("#{level:02x}{level:02x}{level:02x}") };
        element.assign("fill", colour);
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

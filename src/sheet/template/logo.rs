//! A shop's sign from an SVG file: its shapes, whatever their transforms, styles and strokes, as filled areas.
//!
//! Nothing that runs, loads or refers outside gets in, and what cannot be drawn in black on paper (lettering, pictures, shades, masks) is named.

use crate::drawing::{Fill, Inside, Item};
use crate::geometry::{Bounds, Contour, Point};
use svgtypes::{PathParser, PointsParser};
use usvg::roxmltree::{self, Document, Node};
use usvg::tiny_skia_path::{Path, PathSegment, PathStroker, Point as Spot, Transform};
use usvg::{BlendMode, FillRule, Group, Paint, PaintOrder, Tree};

/// Longest logo, bytes.
const LONGEST: usize = 200_000;
/// Most elements that are shown by reference; each repeats at most the whole file.
const MOST_REPEATED: usize = 100;
/// Straight pieces a curve is drawn with.
const PIECES: usize = 24;
/// From this value of red, green and blue on a colour hides what lies below, as the paper does; below it all are the pen's black. Of 255.
const PALE: u8 = 240;
/// The namespace of SVG; elements of others are an editor's notes.
const SVG: &str = "http://www.w3.org/2000/svg";

/// A sign, y up, in the coordinates of its own file.
#[derive(Debug, Clone, PartialEq)]
pub struct Logo {
    areas: Vec<Area>,
    extent: Bounds,
}

#[derive(Debug, Clone, PartialEq)]
struct Area {
    outlines: Vec<Vec<Point>>,
    inside: Inside,
    fill: Fill,
}

/// Why a logo cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the logo cannot be drawn, {place}: {message}")]
pub struct LogoError {
    /// Where in the file: `line 12, column 3`.
    pub place: String,
    /// What is wrong.
    pub message: String,
}

impl LogoError {
    fn at(node: Node, message: impl Into<String>) -> LogoError {
        let place = node.document().text_pos_at(node.range().start);
        LogoError { place: format!("line {}, column {}", place.row, place.col), message: message.into() }
    }

    fn whole(message: impl Into<String>) -> LogoError {
        LogoError { place: "the file".to_owned(), message: message.into() }
    }
}

impl From<roxmltree::Error> for LogoError {
    fn from(e: roxmltree::Error) -> LogoError {
        let place = format!("line {}, column {}", e.pos().row, e.pos().col);
        LogoError { place, message: format!("it is no XML that can be read: {e}") }
    }
}

impl Logo {
    /// Reads the sign from the text of an SVG file.
    ///
    /// # Errors
    /// Where it is not well formed, or shows something that cannot be drawn as plain areas.
    pub fn parse(text: &str) -> Result<Logo, LogoError> {
        if text.len() > LONGEST {
            return Err(LogoError::whole(format!("it has {} bytes, more than {LONGEST}", text.len())));
        }
        // signs are often written without the namespace; without it nothing is read
        let named = with_namespace(text);
        let document = Document::parse(&named)?;
        check(&document)?;
        let tree = Tree::from_xmltree(&document, &usvg::Options::default())
            .map_err(|e| LogoError::whole(format!("it cannot be read: {e}")))?;
        let mut areas = Vec::new();
        collect(tree.root(), &mut areas)?;
        let drawn = areas.iter().flat_map(|a| a.outlines.iter().flatten()).map(|&p| Bounds::of(p, p));
        let Some(drawn) = drawn.reduce(Bounds::union).filter(|b| b.min.is_finite() && b.max.is_finite()) else {
            return Err(LogoError::whole("it shows nothing"));
        };
        let has_size =
            document.root_element().has_attribute("viewBox") || document.root_element().has_attribute("width");
        let size = Point::new(f64::from(tree.size().width()), -f64::from(tree.size().height()));
        let extent = if has_size { Bounds::of(Point::ORIGIN, size).union(drawn) } else { drawn };
        if extent.width().max(extent.height()) <= 0.0 {
            return Err(LogoError::whole("it has no extent"));
        }
        Ok(Logo { areas, extent })
    }

    /// The sign as large as fits into a box, in its middle.
    pub fn fitted(&self, within: Bounds) -> Vec<Item> {
        let share = |room: f64, extent: f64| if extent > 0.0 { room / extent } else { f64::INFINITY };
        let scale = share(within.width(), self.extent.width()).min(share(within.height(), self.extent.height()));
        let put = |p: &Point| within.centre() + (*p - self.extent.centre()) * scale;
        let area = |area: &Area| {
            let outline = |points: &Vec<Point>| Contour::polygon(&points.iter().map(put).collect::<Vec<_>>()).ok();
            let outlines: Vec<Contour> = area.outlines.iter().filter_map(outline).collect();
            (!outlines.is_empty()).then_some(Item::Area { outlines, inside: area.inside, fill: area.fill })
        };
        self.areas.iter().filter_map(area).collect()
    }
}

fn with_namespace(text: &str) -> String {
    match text.find("<svg") {
        Some(at) if !text.contains(SVG) => format!("{}<svg xmlns=\"{SVG}\"{}", &text[..at], &text[at + 4..]),
        _ => text.to_owned(),
    }
}

/// Names what would be dropped, repaired or fetched without a word.
fn check(document: &Document) -> Result<(), LogoError> {
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        return Err(LogoError::at(root, format!("it begins with <{}>, not with <svg>", root.tag_name().name())));
    }
    let mut repeated = 0;
    for node in root.descendants().filter(|n| n.is_element() && n.tag_name().namespace() == Some(SVG)) {
        let name = node.tag_name().name();
        match name {
            "svg" | "g" | "defs" | "symbol" | "title" | "desc" | "metadata" | "style" | "path" | "rect" | "circle"
            | "ellipse" | "line" | "polyline" | "polygon" | "switch" | "view" => {}
            "use" => {
                repeated += 1;
                check_use(node, repeated)?;
            }
            "text" | "tspan" => return Err(LogoError::at(node, "lettering is not read: turn it into paths")),
            _ => return Err(LogoError::at(node, format!("<{name}> is not read: use plain shapes"))),
        }
        check_data(node)?;
    }
    Ok(())
}

/// What is shown by reference lies in the same file and refers to nothing itself, so that a short file cannot grow without end.
fn check_use(node: Node, repeated: usize) -> Result<(), LogoError> {
    let target = node.attributes().find(|a| a.name() == "href").map_or("", |a| a.value());
    let Some(id) = target.strip_prefix('#') else {
        return Err(LogoError::at(node, format!("<use> refers to `{target}`, which is not in the file")));
    };
    let found = node.document().descendants().find(|n| n.attribute("id") == Some(id));
    let Some(found) = found else { return Err(LogoError::at(node, format!("there is no `{id}` to show"))) };
    if repeated > MOST_REPEATED || found.descendants().any(|n| n.has_tag_name("use") || n.has_tag_name((SVG, "use"))) {
        return Err(LogoError::at(
            node,
            "<use> of what itself uses others, or too many of them: draw the shapes in place",
        ));
    }
    Ok(())
}

fn check_data(node: Node) -> Result<(), LogoError> {
    if let Some(data) = node.attribute("d") {
        for segment in PathParser::from(data) {
            segment.map_err(|e| LogoError::at(node, format!("the path cannot be read: {e}")))?;
        }
    }
    if let Some(points) = node.attribute("points")
        && PointsParser::from(points).count() < 2
    {
        return Err(LogoError::at(node, "`points` holds fewer than two points"));
    }
    for (name, text) in node.attributes().filter(|a| NUMBERS.contains(&a.name())).map(|a| (a.name(), a.value())) {
        if text.parse::<svgtypes::Length>().is_err() {
            return Err(LogoError::at(node, format!("`{name}` is `{text}`, which is no length")));
        }
    }
    if let Some(text) = node.attribute("transform")
        && text.parse::<svgtypes::Transform>().is_err()
    {
        return Err(LogoError::at(node, format!("`transform` is `{text}`, which cannot be read")));
    }
    Ok(())
}

/// Attributes that are one length.
const NUMBERS: [&str; 13] = ["x", "y", "width", "height", "rx", "ry", "cx", "cy", "r", "x1", "y1", "x2", "y2"];

fn collect(group: &Group, areas: &mut Vec<Area>) -> Result<(), LogoError> {
    let named = |what: &str| Err(LogoError::whole(format!("{what} cannot be drawn: use plain black or white shapes")));
    if group.clip_path().is_some() || group.mask().is_some() || !group.filters().is_empty() {
        return named("clipping, a mask or a filter");
    }
    if group.opacity().get() < 1.0 || group.blend_mode() != BlendMode::Normal {
        return named("transparency");
    }
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => collect(group, areas)?,
            usvg::Node::Path(path) => shape(path, areas)?,
            usvg::Node::Image(_) => return named("a picture"),
            usvg::Node::Text(_) => return named("lettering"),
        }
    }
    Ok(())
}

/// Filled and stroked areas of one shape, in the order they are painted.
fn shape(path: &usvg::Path, areas: &mut Vec<Area>) -> Result<(), LogoError> {
    if !path.is_visible() {
        return Ok(());
    }
    let to = path.abs_transform();
    let mut painted = Vec::new();
    if let Some(fill) = path.fill() {
        let inside = match fill.rule() {
            FillRule::NonZero => Inside::NonZero,
            FillRule::EvenOdd => Inside::EvenOdd,
        };
        let fill = tone(fill.paint(), fill.opacity().get())?;
        painted.push(Area { outlines: outlines(path.data(), to), inside, fill });
    }
    if let Some(stroke) = path.stroke() {
        let fill = tone(stroke.paint(), stroke.opacity().get())?;
        let pen = stroke.to_tiny_skia();
        let fine = PathStroker::compute_resolution_scale(&to);
        let dashed = pen.dash.as_ref().and_then(|dash| path.data().dash(dash, fine));
        if let Some(outline) = dashed.as_ref().unwrap_or(path.data()).stroke(&pen, fine) {
            painted.push(Area { outlines: outlines(&outline, to), inside: Inside::NonZero, fill });
        }
    }
    if path.paint_order() == PaintOrder::StrokeAndFill {
        painted.reverse();
    }
    areas.extend(painted);
    Ok(())
}

fn tone(paint: &Paint, opacity: f32) -> Result<Fill, LogoError> {
    match paint {
        _ if opacity < 1.0 => Err(LogoError::whole("transparency cannot be drawn: use plain black or white shapes")),
        Paint::Color(c) if c.red.min(c.green).min(c.blue) >= PALE => Ok(Fill::Paper),
        Paint::Color(_) => Ok(Fill::Solid),
        _ => Err(LogoError::whole("a shade or a pattern cannot be drawn: use plain black or white shapes")),
    }
}

/// The closed outlines of a path, curves as short lines, y up.
fn outlines(path: &Path, to: Transform) -> Vec<Vec<Point>> {
    let Some(path) = path.clone().transform(to) else { return Vec::new() };
    let up = |p: Spot| Point::new(f64::from(p.x), -f64::from(p.y));
    let mut done: Vec<Vec<Point>> = Vec::new();
    let mut points: Vec<Point> = Vec::new();
    for segment in path.segments() {
        let at = points.last().copied().unwrap_or_default();
        match segment {
            PathSegment::MoveTo(p) => done.push(std::mem::replace(&mut points, vec![up(p)])),
            PathSegment::LineTo(p) => points.push(up(p)),
            PathSegment::QuadTo(c, p) => {
                let (c, end) = (up(c), up(p));
                bezier(&mut points, [at, at.lerp(c, 2.0 / 3.0), end.lerp(c, 2.0 / 3.0), end]);
            }
            PathSegment::CubicTo(b, c, d) => bezier(&mut points, [at, up(b), up(c), up(d)]),
            PathSegment::Close => {}
        }
    }
    done.push(points);
    for outline in &mut done {
        outline.dedup();
        if outline.len() > 1 && outline.first() == outline.last() {
            outline.pop();
        }
    }
    done.retain(|outline| outline.len() > 2);
    done
}

fn bezier(points: &mut Vec<Point>, [a, b, c, d]: [Point; 4]) {
    for i in 1..=PIECES {
        let t = i as f64 / PIECES as f64;
        let (ab, bc, cd) = (a.lerp(b, t), b.lerp(c, t), c.lerp(d, t));
        points.push(ab.lerp(bc, t).lerp(bc.lerp(cd, t), t));
    }
}

//! A shop's sign from a small, safe part of SVG: shapes only. No script, no reference, no image, no style sheet, no entity can get in.

use crate::drawing::{Fill, Item, LineRole};
use crate::geometry::{Bounds, Contour, Point};

/// Longest logo, bytes.
const LONGEST: usize = 200_000;
/// Segments a curve is flattened into.
const PIECES: usize = 24;

/// A sign: closed and open outlines in the coordinates of its own file, y up.
#[derive(Debug, Clone, PartialEq)]
pub struct Logo {
    shapes: Vec<Shape>,
    extent: Bounds,
}

#[derive(Debug, Clone, PartialEq)]
struct Shape {
    points: Vec<Point>,
    closed: bool,
    fill: Option<Fill>,
    stroke: bool,
}

/// Why a logo cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the logo cannot be drawn, {place}: {message}")]
pub struct LogoError {
    /// Where in the file: `character 120`.
    pub place: String,
    /// What is wrong.
    pub message: String,
}

fn error(at: usize, message: impl Into<String>) -> LogoError {
    LogoError { place: format!("character {}", at + 1), message: message.into() }
}

impl Logo {
    /// Reads the sign from the text of an SVG file.
    ///
    /// # Errors
    /// Where it is not well formed or uses anything but plain shapes.
    pub fn parse(text: &str) -> Result<Logo, LogoError> {
        if text.len() > LONGEST {
            return Err(error(0, format!("it has {} bytes, more than {LONGEST}", text.len())));
        }
        let mut shapes = Vec::new();
        let mut seen_root = false;
        let mut view = None;
        let mut inherited: Vec<Paint> = vec![Paint { fill: Some(Fill::Solid), stroke: false }];
        for tag in tags(text)? {
            if tag.closing {
                if inherited.len() > 1 {
                    inherited.pop();
                }
                continue;
            }
            let paint = Paint::of(&tag, inherited[inherited.len() - 1]);
            match tag.name.as_str() {
                "svg" => {
                    seen_root = true;
                    view = tag.numbers("viewBox")?.or(view);
                }
                "g" | "title" | "desc" | "metadata" => {}
                name if !seen_root => return Err(error(tag.at, format!("it begins with <{name}>, not with <svg>"))),
                _ => outline(&tag)?.into_iter().for_each(|(points, closed)| {
                    shapes.push(Shape { points, closed, fill: paint.fill, stroke: paint.stroke });
                }),
            }
            if !tag.empty {
                inherited.push(paint);
            }
        }
        if !seen_root {
            return Err(error(0, "there is no <svg>"));
        }
        Logo::of(shapes, view)
    }

    fn of(mut shapes: Vec<Shape>, view: Option<Vec<f64>>) -> Result<Logo, LogoError> {
        shapes.retain(|s| s.points.len() > 1 && (s.fill.is_some() || s.stroke));
        let drawn = shapes.iter().flat_map(|s| &s.points).map(|&p| Bounds::of(p, p)).reduce(Bounds::union);
        let Some(drawn) = drawn.filter(|b| b.min.is_finite() && b.max.is_finite()) else {
            return Err(error(0, "it shows nothing"));
        };
        let extent = match view.as_deref() {
            Some(&[x, y, w, h]) if w > 0.0 && h > 0.0 => {
                Bounds::of(Point::new(x, -(y + h)), Point::new(x + w, -y)).union(drawn)
            }
            _ => drawn,
        };
        if extent.width().max(extent.height()) <= 0.0 {
            return Err(error(0, "it has no extent"));
        }
        Ok(Logo { shapes, extent })
    }

    /// The sign as large as fits into a box, in its middle.
    pub fn fitted(&self, within: Bounds) -> Vec<Item> {
        let share = |room: f64, extent: f64| if extent > 0.0 { room / extent } else { f64::INFINITY };
        let scale = share(within.width(), self.extent.width()).min(share(within.height(), self.extent.height()));
        let put = |p: Point| within.centre() + (p - self.extent.centre()) * scale;
        let mut items = Vec::new();
        for shape in &self.shapes {
            let mut points: Vec<Point> = shape.points.iter().map(|&p| put(p)).collect();
            points.dedup();
            if points.len() > 2 && points.first() == points.last() {
                points.pop();
            }
            let role = shape.stroke.then_some(LineRole::TableNarrow);
            if let (Some(fill), Ok(contour)) = (shape.fill, Contour::polygon(&points)) {
                items.push(Item::Contour { contour, role: role.filter(|_| shape.closed), fill });
                if shape.closed {
                    continue;
                }
            }
            let Some(role) = role else { continue };
            let ends = points.iter().skip(1).chain(shape.closed.then(|| &points[0]));
            items.extend(points.iter().zip(ends).map(|(&from, &to)| Item::Line { from, to, role }));
        }
        items
    }
}

#[derive(Debug, Clone, Copy)]
struct Paint {
    fill: Option<Fill>,
    stroke: bool,
}

impl Paint {
    /// White (and near white) hides what lies below; every other colour is the pen's black.
    fn of(tag: &Tag, inherited: Paint) -> Paint {
        let fill = match tag.attribute("fill").map(str::trim) {
            None => inherited.fill,
            Some("none" | "transparent") => None,
            Some("white" | "#fff" | "#ffffff" | "#FFF" | "#FFFFFF") => Some(Fill::Paper),
            Some(_) => Some(Fill::Solid),
        };
        let stroke = match tag.attribute("stroke").map(str::trim) {
            None => inherited.stroke,
            Some(colour) => !matches!(colour, "none" | "transparent"),
        };
        Paint { fill, stroke }
    }
}

/// One tag of the file.
#[derive(Debug)]
struct Tag {
    at: usize,
    name: String,
    attributes: Vec<(String, String)>,
    closing: bool,
    empty: bool,
}

impl Tag {
    fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(n, _)| n == name).map(|(_, v)| v.as_str())
    }

    /// The numbers of an attribute; `None` where it is absent.
    fn numbers(&self, name: &str) -> Result<Option<Vec<f64>>, LogoError> {
        let Some(text) = self.attribute(name) else { return Ok(None) };
        let mut scan = Numbers { text: text.as_bytes(), at: 0 };
        let mut found = Vec::new();
        while let Some(n) = scan.number() {
            found.push(n);
        }
        if scan.at < text.len() {
            return Err(error(self.at, format!("`{name}` of <{}> is not made of numbers", self.name)));
        }
        Ok(Some(found))
    }

    /// One number of an attribute, 0 where absent.
    fn number(&self, name: &str) -> Result<f64, LogoError> {
        Ok(self.numbers(name)?.and_then(|n| n.first().copied()).unwrap_or(0.0))
    }
}

/// Splits the file into tags; text between them is passed over.
fn tags(text: &str) -> Result<Vec<Tag>, LogoError> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(open) = text[at..].find('<').map(|i| at + i) {
        let rest = &text[open..];
        let skip = |end: &str| rest.find(end).map(|i| open + i + end.len()).ok_or_else(|| error(open, "it is cut off"));
        if rest.starts_with("<!--") {
            at = skip("-->")?;
        } else if rest.starts_with("<?") {
            at = skip("?>")?;
        } else if rest.starts_with("<!") {
            return Err(error(open, "declarations are not read"));
        } else {
            let end = tag_end(rest).ok_or_else(|| error(open, "it is cut off"))?;
            found.push(tag(&rest[1..end], open)?);
            at = open + end + 1;
        }
    }
    Ok(found)
}

/// Index of the `>` that ends a tag, quotes heeded.
fn tag_end(rest: &str) -> Option<usize> {
    let mut quote = None;
    rest.char_indices().find_map(|(i, c)| {
        match (quote, c) {
            (None, '"' | '\'') => quote = Some(c),
            (Some(q), c) if q == c => quote = None,
            (None, '>') => return Some(i),
            _ => {}
        }
        None
    })
}

fn tag(inside: &str, at: usize) -> Result<Tag, LogoError> {
    let closing = inside.starts_with('/');
    let empty = inside.ends_with('/');
    let body = inside.trim_start_matches('/').trim_end_matches('/');
    let name_end = body.find(char::is_whitespace).unwrap_or(body.len());
    let name = body[..name_end].to_owned();
    let mut attributes = Vec::new();
    let mut rest = body[name_end..].trim_start();
    while let Some((key, after)) = rest.split_once('=') {
        let after = after.trim_start();
        let quote = after.chars().next().filter(|c| matches!(c, '"' | '\''));
        let closed = quote.and_then(|q| after[1..].find(q));
        let Some(end) = closed else { return Err(error(at, format!("an attribute of <{name}> is not quoted"))) };
        let key = key.trim().to_owned();
        if key == "transform" || key == "style" || key == "class" || key.ends_with("href") {
            return Err(error(
                at,
                format!("`{key}` of <{name}> is not read: write plain coordinates, fill and stroke"),
            ));
        }
        attributes.push((key, after[1..=end].to_owned()));
        rest = after[end + 2..].trim_start();
    }
    Ok(Tag { at, name, attributes, closing, empty })
}

type Outline = (Vec<Point>, bool);

/// The outlines of a shape, y up.
fn outline(tag: &Tag) -> Result<Vec<Outline>, LogoError> {
    let up = |x: f64, y: f64| Point::new(x, -y);
    let n = |name: &str| tag.number(name);
    Ok(match tag.name.as_str() {
        "line" => vec![(vec![up(n("x1")?, n("y1")?), up(n("x2")?, n("y2")?)], false)],
        "rect" => {
            let (x, y, w, h) = (n("x")?, n("y")?, n("width")?, n("height")?);
            vec![(vec![up(x, y), up(x + w, y), up(x + w, y + h), up(x, y + h)], true)]
        }
        "circle" => vec![(ellipse(n("cx")?, n("cy")?, n("r")?, n("r")?), true)],
        "ellipse" => vec![(ellipse(n("cx")?, n("cy")?, n("rx")?, n("ry")?), true)],
        "polyline" | "polygon" => {
            let numbers = tag.numbers("points")?.unwrap_or_default();
            vec![(numbers.chunks_exact(2).map(|p| up(p[0], p[1])).collect(), tag.name == "polygon")]
        }
        "path" => path(tag)?,
        other => return Err(error(tag.at, format!("<{other}> is not read"))),
    })
}

fn ellipse(cx: f64, cy: f64, rx: f64, ry: f64) -> Vec<Point> {
    let n = 3 * PIECES;
    (0..n)
        .map(|i| std::f64::consts::TAU * i as f64 / n as f64)
        .map(|a| Point::new(cx + rx * a.cos(), -(cy + ry * a.sin())))
        .collect()
}

struct Numbers<'a> {
    text: &'a [u8],
    at: usize,
}

impl Numbers<'_> {
    fn blank(&mut self) {
        while self.text.get(self.at).is_some_and(|b| b.is_ascii_whitespace() || *b == b',') {
            self.at += 1;
        }
    }

    fn number(&mut self) -> Option<f64> {
        self.blank();
        let start = self.at;
        let mut end = start;
        let (mut point, mut exponent) = (false, false);
        while let Some(&b) = self.text.get(end) {
            let first = end == start || matches!(self.text[end - 1], b'e' | b'E');
            match b {
                b'0'..=b'9' => {}
                b'+' | b'-' if first => {}
                b'.' if !point && !exponent => point = true,
                b'e' | b'E' if end > start && !exponent => exponent = true,
                _ => break,
            }
            end += 1;
        }
        let value = std::str::from_utf8(&self.text[start..end]).ok()?.parse::<f64>().ok()?;
        self.at = end;
        value.is_finite().then_some(value)
    }

    /// The flag of an arc: a single digit, perhaps without a blank behind it.
    fn flag(&mut self) -> Option<f64> {
        self.blank();
        let flag = match self.text.get(self.at)? {
            b'0' => 0.0,
            b'1' => 1.0,
            _ => return None,
        };
        self.at += 1;
        Some(flag)
    }

    fn command(&mut self) -> Option<u8> {
        self.blank();
        let b = *self.text.get(self.at)?;
        b.is_ascii_alphabetic().then(|| {
            self.at += 1;
            b
        })
    }

    fn ended(&mut self) -> bool {
        self.blank();
        self.at >= self.text.len()
    }
}

/// The outlines of a path: M L H V C Q A Z in both cases; curves become short lines.
fn path(tag: &Tag) -> Result<Vec<Outline>, LogoError> {
    let text = tag.attribute("d").unwrap_or_default();
    let mut scan = Numbers { text: text.as_bytes(), at: 0 };
    let mut pen = PathPen::default();
    let mut command = None;
    let bad = |what: String| error(tag.at, format!("the path's {what}"));
    while !scan.ended() {
        command = scan.command().or(command);
        let Some(now) = command else { return Err(bad("data does not begin with M".to_owned())) };
        let Some(needs) = numbers_of(now) else {
            return Err(bad(format!("command {} is not read", char::from(now.to_ascii_uppercase()))));
        };
        let arc = now.eq_ignore_ascii_case(&b'A');
        let mut v = [0.0; MOST_NUMBERS];
        for (i, slot) in v.iter_mut().enumerate().take(needs) {
            let read = if arc && (i == 3 || i == 4) { scan.flag() } else { scan.number() };
            *slot = read.ok_or_else(|| bad(format!("command {} lacks numbers", char::from(now))))?;
        }
        // numbers alone repeat the command before them; after M they go on as lines, after Z there is nothing to repeat
        command = match now {
            b'M' => Some(b'L'),
            b'm' => Some(b'l'),
            b'Z' | b'z' => None,
            other => Some(other),
        };
        pen.draw(now, &v, scan.ended());
    }
    Ok(pen.outlines())
}

/// Most numbers a command takes: the arc's.
const MOST_NUMBERS: usize = 7;

/// How many numbers a command takes; `None` where it is not read.
fn numbers_of(command: u8) -> Option<usize> {
    Some(match command.to_ascii_uppercase() {
        b'M' | b'L' => 2,
        b'H' | b'V' => 1,
        b'C' => 6,
        b'Q' => 4,
        b'A' => MOST_NUMBERS,
        b'Z' => 0,
        _ => return None,
    })
}

/// The outlines drawn so far; y stays as in the file until the end.
#[derive(Default)]
struct PathPen {
    done: Vec<Outline>,
    points: Vec<Point>,
}

impl PathPen {
    /// Draws one command with its numbers; `last` where nothing follows.
    fn draw(&mut self, command: u8, v: &[f64; MOST_NUMBERS], last: bool) {
        let at = self.points.last().copied().unwrap_or_default();
        let origin = if command.is_ascii_lowercase() { at } else { Point::ORIGIN };
        let p = |i: usize| origin + Point::new(v[i], v[i + 1]);
        let points = &mut self.points;
        match command.to_ascii_uppercase() {
            b'M' => {
                self.end_open();
                self.points = vec![p(0)];
            }
            b'L' => points.push(p(0)),
            b'H' => points.push(Point::new(origin.x + v[0], at.y)),
            b'V' => points.push(Point::new(at.x, origin.y + v[0])),
            b'C' => bezier(points, [at, p(0), p(2), p(4)]),
            b'Q' => {
                let (c, end) = (p(0), p(2));
                bezier(points, [at, at.lerp(c, 2.0 / 3.0), end.lerp(c, 2.0 / 3.0), end]);
            }
            b'A' => elliptic(points, at, [v[0], v[1], v[2]], v[3] != v[4], v[4] == 1.0, p(5)),
            _ => self.close(last),
        }
    }

    /// Closes the outline; what follows begins at its start.
    fn close(&mut self, last: bool) {
        let first = self.points.first().copied();
        self.done.push((std::mem::take(&mut self.points), true));
        self.points.extend(first.filter(|_| !last));
    }

    fn end_open(&mut self) {
        if self.points.len() > 1 {
            self.done.push((std::mem::take(&mut self.points), false));
        }
    }

    /// All of them, y upwards.
    fn outlines(mut self) -> Vec<Outline> {
        self.end_open();
        let flipped = |points: Vec<Point>| points.into_iter().map(|p| Point::new(p.x, -p.y)).collect();
        self.done.into_iter().map(|(points, closed)| (flipped(points), closed)).collect()
    }
}

fn bezier(points: &mut Vec<Point>, [a, b, c, d]: [Point; 4]) {
    for i in 1..=PIECES {
        let t = i as f64 / PIECES as f64;
        let (ab, bc, cd) = (a.lerp(b, t), b.lerp(c, t), c.lerp(d, t));
        points.push(ab.lerp(bc, t).lerp(bc.lerp(cd, t), t));
    }
}

/// An arc of an ellipse by its ends (SVG 1.1, appendix F.6.5): radii and turn of the axes, whether the centre lies left, the sense.
fn elliptic(points: &mut Vec<Point>, from: Point, [rx, ry, turn]: [f64; 3], left: bool, sense: bool, to: Point) {
    let (rx, ry) = (rx.abs(), ry.abs());
    if rx == 0.0 || ry == 0.0 || from == to {
        points.push(to);
        return;
    }
    let phi = turn.to_radians();
    // on the unit circle: undo turn and radii
    let unit = |p: Point| {
        let q = p.rotated(-phi);
        Point::new(q.x / rx, q.y / ry)
    };
    let (a, b) = (unit(from), unit(to));
    let half = a.distance(b) / 2.0;
    let scale = half.max(1.0);
    let (a, b) = (a * (1.0 / scale), b * (1.0 / scale));
    let half = half / scale;
    let height = (1.0 - half * half).max(0.0).sqrt();
    let across = (b - a).left().unit().unwrap_or_default();
    let centre = a.lerp(b, 0.5) + across * if left { height } else { -height };
    let start = (a - centre).angle();
    let mut sweep = (b - centre).angle() - start;
    if sense && sweep < 0.0 {
        sweep += std::f64::consts::TAU;
    } else if !sense && sweep > 0.0 {
        sweep -= std::f64::consts::TAU;
    }
    // as many pieces a quarter turn as any other curve has
    let pieces = (sweep.abs() / std::f64::consts::FRAC_PI_2 * PIECES as f64).ceil().max(1.0) as usize;
    for i in 1..pieces {
        let q = (centre + Point::polar(1.0, start + sweep * i as f64 / pieces as f64)) * scale;
        points.push(Point::new(q.x * rx, q.y * ry).rotated(phi));
    }
    points.push(to);
}

//! Reads a machine file back: layers, entities and their geometry, for the check before it is handed over.
//!
//! Written apart from the writer and from the `dxf` crate, so that an error of either shows. Any bytes give a result or an error.

use super::pairs::{self, Record};
use crate::geometry::{Edge, Point, Turn};
use std::f64::consts::TAU;

/// Why bytes are no machine file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReadError {
    /// A group code is no number.
    #[error("line {0} holds no group code")]
    GroupCode(usize),
    /// The file ends before its end mark.
    #[error("the file does not end with EOF")]
    Truncated,
    /// An entity lacks a group, or it holds no finite number.
    #[error("{entity} {index} has no usable group {code}")]
    Group {
        /// Kind of entity.
        entity: String,
        /// Which entity of the file, from 1.
        index: usize,
        /// The group.
        code: i32,
    },
    /// Its numbers are not what it claims to be.
    #[error("{entity} {index} is not a line, arc or circle of any size")]
    Geometry {
        /// Kind of entity.
        entity: String,
        /// Which entity of the file, from 1.
        index: usize,
    },
    /// An entity of a kind that has no place in a machine file.
    #[error("entity {index} is a {entity}, which has no place in a machine file")]
    Kind {
        /// Its kind.
        entity: String,
        /// Which entity of the file, from 1.
        index: usize,
    },
    /// A POLYLINE without its end, or a VERTEX without its POLYLINE.
    #[error("the vertices of a POLYLINE are out of place at entity {0}")]
    Vertices(usize),
}

/// Kind of an entity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadKind {
    /// LINE.
    Line,
    /// ARC.
    Arc,
    /// CIRCLE; its edges are two half circles.
    Circle,
    /// POLYLINE with its vertices.
    Polyline,
    /// LWPOLYLINE.
    LwPolyline,
}

/// One entity.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadEntity {
    /// Its layer.
    pub layer: String,
    /// Its kind.
    pub kind: ReadKind,
    /// Its geometry in order, arcs of ARC entities counter-clockwise.
    pub edges: Vec<Edge>,
    /// Whether it closes on itself: its flag says so, or it is a circle.
    pub closed: bool,
}

/// What a file holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadBack {
    /// Comments (group 999).
    pub comments: Vec<String>,
    /// `$ACADVER`: `AC1009` is release 12, `AC1015` release 2000.
    pub version: String,
    /// `$INSUNITS`, where the file has it: 4 is the millimetre.
    pub unit: Option<i32>,
    /// `$EXTMIN` and `$EXTMAX`, where the file has both.
    pub extents: Option<(Point, Point)>,
    /// Layers declared in the table.
    pub layers: Vec<String>,
    /// The entities in order.
    pub entities: Vec<ReadEntity>,
}

/// Reads a machine file back.
///
/// # Errors
/// Where the bytes are no DXF text, end early, or hold anything but lines, arcs, circles and polylines.
pub fn read_back(bytes: &[u8]) -> Result<ReadBack, ReadError> {
    let text = String::from_utf8_lossy(bytes);
    let pairs = pairs::parse(&text).map_err(|bad| ReadError::GroupCode(bad.line))?;
    let mut read = ReadBack::default();
    let comments = pairs.iter().filter(|pair| pair.code == 999);
    read.comments = comments.map(|pair| pair.value.clone()).collect();
    let records = pairs::records(pairs);
    if records.last().is_none_or(|record| record.name != "EOF") {
        return Err(ReadError::Truncated);
    }
    let mut section = "";
    let mut entities = Vec::new();
    for record in &records {
        match record.name.as_str() {
            "SECTION" => {
                section = record.get(2).unwrap_or_default().trim();
                if section == "HEADER" {
                    read_header(record, &mut read);
                }
            }
            "ENDSEC" => section = "",
            "LAYER" if section == "TABLES" => read.layers.extend(record.get(2).map(str::to_owned)),
            _ if section == "ENTITIES" => entities.push(record),
            _ => {}
        }
    }
    read.entities = read_entities(&entities)?;
    Ok(read)
}

fn read_header(header: &Record, read: &mut ReadBack) {
    let mut corners = [None, None];
    let starts = header.pairs.iter().enumerate().filter(|(_, pair)| pair.code == 9);
    for (at, variable) in starts {
        let values = header.pairs[at + 1..].iter().take_while(|pair| pair.code != 9);
        let value = |code| values.clone().find(|pair| pair.code == code).map(|pair| pair.value.trim());
        let number = |code| value(code).and_then(finite);
        match variable.value.trim() {
            "$ACADVER" => read.version = value(1).unwrap_or_default().to_owned(),
            "$INSUNITS" => read.unit = value(70).and_then(|text| text.parse().ok()),
            "$EXTMIN" => corners[0] = number(10).zip(number(20)),
            "$EXTMAX" => corners[1] = number(10).zip(number(20)),
            _ => {}
        }
    }
    let [min, max] = corners.map(|corner| corner.map(|(x, y)| Point::new(x, y)));
    read.extents = min.zip(max);
}

fn finite(text: &str) -> Option<f64> {
    text.trim().parse().ok().filter(|number: &f64| number.is_finite())
}

fn read_entities(records: &[&Record]) -> Result<Vec<ReadEntity>, ReadError> {
    let mut entities = Vec::new();
    let mut at = 0;
    while let Some(&record) = records.get(at) {
        let part = Part { record, index: at + 1 };
        at += 1;
        let (kind, edges, closed) = match record.name.as_str() {
            "LINE" => (ReadKind::Line, vec![part.line()?], false),
            "ARC" => (ReadKind::Arc, vec![part.arc()?], false),
            "CIRCLE" => (ReadKind::Circle, part.circle()?, true),
            "LWPOLYLINE" => {
                let closed = part.flag_closed();
                (ReadKind::LwPolyline, part.joined(&part.light_vertices()?, closed)?, closed)
            }
            "POLYLINE" => {
                let count = records[at..].iter().take_while(|r| r.name == "VERTEX").count();
                let parts = records[at..at + count].iter().enumerate();
                let vertices: Result<Vec<_>, _> =
                    parts.map(|(i, &record)| Part { record, index: at + i + 1 }.vertex()).collect();
                at += count;
                if records.get(at).is_none_or(|r| r.name != "SEQEND") {
                    return Err(ReadError::Vertices(part.index));
                }
                at += 1;
                let closed = part.flag_closed();
                (ReadKind::Polyline, part.joined(&vertices?, closed)?, closed)
            }
            "VERTEX" | "SEQEND" => return Err(ReadError::Vertices(part.index)),
            other => return Err(ReadError::Kind { entity: other.to_owned(), index: part.index }),
        };
        let layer = record.get(8).unwrap_or("0").to_owned();
        entities.push(ReadEntity { layer, kind, edges, closed });
    }
    Ok(entities)
}

/// A corner and the bulge of the edge that begins there.
type Vertex = (Point, f64);

/// One record of an entity.
struct Part<'a> {
    record: &'a Record,
    /// Its place among the entities, from 1.
    index: usize,
}

impl Part<'_> {
    fn number(&self, code: i32) -> Result<f64, ReadError> {
        let number = self.record.get(code).and_then(finite);
        number.ok_or_else(|| ReadError::Group { entity: self.record.name.clone(), index: self.index, code })
    }

    fn point(&self, x: i32) -> Result<Point, ReadError> {
        Ok(Point::new(self.number(x)?, self.number(x + 10)?))
    }

    fn no_geometry(&self) -> ReadError {
        ReadError::Geometry { entity: self.record.name.clone(), index: self.index }
    }

    fn line(&self) -> Result<Edge, ReadError> {
        let (start, end) = (self.point(10)?, self.point(11)?);
        if start == end {
            return Err(self.no_geometry());
        }
        Ok(Edge::line(start, end))
    }

    fn arc(&self) -> Result<Edge, ReadError> {
        let (centre, radius) = (self.point(10)?, self.number(40)?);
        let at = |degrees: f64| centre + Point::polar(radius, degrees.to_radians());
        let (start, end) = (at(self.number(50)?), at(self.number(51)?));
        Edge::arc(start, end, centre, radius, Turn::Left).map_err(|_| self.no_geometry())
    }

    fn circle(&self) -> Result<Vec<Edge>, ReadError> {
        let (centre, radius) = (self.point(10)?, self.number(40)?);
        let (right, left) = (centre + Point::new(radius, 0.0), centre - Point::new(radius, 0.0));
        let halves = [(right, left), (left, right)].map(|(a, b)| Edge::arc(a, b, centre, radius, Turn::Left));
        halves.into_iter().collect::<Result<_, _>>().map_err(|_| self.no_geometry())
    }

    /// Bit 1 of group 70.
    fn flag_closed(&self) -> bool {
        self.record.get(70).and_then(|text| text.trim().parse::<i32>().ok()).is_some_and(|flags| flags & 1 == 1)
    }

    fn vertex(&self) -> Result<Vertex, ReadError> {
        let bulge = if self.record.get(42).is_some() { self.number(42)? } else { 0.0 };
        Ok((self.point(10)?, bulge))
    }

    /// The vertices of an LWPOLYLINE: each begins at a group 10.
    fn light_vertices(&self) -> Result<Vec<Vertex>, ReadError> {
        let pairs = &self.record.pairs;
        let starts: Vec<usize> = (0..pairs.len()).filter(|&i| pairs[i].code == 10).collect();
        let ends = starts.iter().skip(1).copied().chain([pairs.len()]);
        let slices = starts.iter().zip(ends).map(|(&start, end)| pairs[start..end].to_vec());
        slices
            .map(|pairs| {
                let record = Record { name: self.record.name.clone(), pairs };
                Part { record: &record, index: self.index }.vertex()
            })
            .collect()
    }

    fn joined(&self, vertices: &[Vertex], closed: bool) -> Result<Vec<Edge>, ReadError> {
        let count = if closed { vertices.len() } else { vertices.len().saturating_sub(1) };
        if count == 0 {
            return Err(self.no_geometry());
        }
        (0..count)
            .map(|i| {
                let (start, bulge) = vertices[i];
                bulged(start, vertices[(i + 1) % vertices.len()].0, bulge).ok_or_else(|| self.no_geometry())
            })
            .collect()
    }
}

/// The edge between two corners; bulge is the tangent of a quarter of the included angle, positive counter-clockwise.
pub(super) fn bulged(start: Point, end: Point, bulge: f64) -> Option<Edge> {
    let chord = end - start;
    let length = chord.length();
    if length == 0.0 || !length.is_finite() {
        return None;
    }
    if bulge == 0.0 {
        return Some(Edge::line(start, end));
    }
    // for the included angle φ: radius = chord / (2 sin(φ/2)), the centre lies chord / (2 tan(φ/2)) to the left of the chord
    let half = TAU.min((2.0 * bulge.abs().atan()).max(0.0));
    let to_centre = length / (2.0 * half.tan()) * bulge.signum();
    let centre = start.lerp(end, 0.5) + chord.left() * (to_centre / length);
    let turn = if bulge > 0.0 { Turn::Left } else { Turn::Right };
    Edge::arc(start, end, centre, start.distance(centre), turn).ok()
}

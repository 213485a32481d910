//! Reads a drawing someone else made: lines, arcs, circles and polylines, blocks put in place; the rest is counted, not read.

use crate::geometry::{Edge, Point, Turn};
use dxf::entities::{Entity, EntityType, Insert};
use dxf::enums::Units;
use dxf::{Drawing, Vector};
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// One line or arc of the drawing, in its own unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Foreign {
    /// Its layer.
    pub layer: String,
    /// The name of its line type; that of its layer where it has none of its own.
    pub line_type: String,
    /// Its geometry.
    pub edge: Edge,
}

/// What a drawing holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ForeignDrawing {
    /// Lines and arcs of visible layers, in the order of the file.
    pub edges: Vec<Foreign>,
    /// Millimetres in its unit; `None` where it names none.
    pub unit_mm: Option<f64>,
    /// How many of every other kind there are, by the name of the kind.
    pub left_out: BTreeMap<String, usize>,
}

/// Why a file is no drawing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("this is no DXF drawing: {0}")]
pub struct ForeignError(String);

/// Blocks within blocks are followed so far.
const DEEPEST_BLOCK: usize = 8;

/// Most lines and arcs that are read.
pub const MOST_EDGES: usize = 20_000;

/// Reads a drawing.
///
/// # Errors
/// Where the bytes are no DXF, or the drawing holds more than [`MOST_EDGES`].
pub fn foreign(bytes: &[u8]) -> Result<ForeignDrawing, ForeignError> {
    let mut cursor = std::io::Cursor::new(bytes);
    let drawing = Drawing::load(&mut cursor).map_err(|e| ForeignError(e.to_string()))?;
    let hidden = drawing.layers().filter(|l| !l.is_layer_on).map(|l| l.name.to_uppercase());
    let mut reader = Reader {
        hidden: hidden.collect(),
        line_types: drawing.layers().map(|l| (l.name.to_uppercase(), l.line_type_name.clone())).collect(),
        drawing: &drawing,
        found: ForeignDrawing { unit_mm: unit_mm(drawing.header.default_drawing_units), ..ForeignDrawing::default() },
    };
    for entity in drawing.entities() {
        reader.entity(entity, &Placing::NONE, 0);
    }
    if reader.found.edges.len() > MOST_EDGES {
        return Err(ForeignError(format!("it holds more than {MOST_EDGES} lines and arcs")));
    }
    Ok(reader.found)
}

fn unit_mm(unit: Units) -> Option<f64> {
    match unit {
        Units::Inches => Some(25.4),
        Units::Feet => Some(304.8),
        Units::Millimeters => Some(1.0),
        Units::Centimeters => Some(10.0),
        Units::Decimeters => Some(100.0),
        Units::Meters => Some(1000.0),
        Units::Mils => Some(0.0254),
        _ => None,
    }
}

/// Where a block is put: scaled alike in all directions, mirrored or not, turned, moved.
#[derive(Debug, Clone, Copy)]
struct Placing {
    base: Point,
    scale: f64,
    mirrored: bool,
    turn: f64,
    to: Point,
}

impl Placing {
    const NONE: Placing = Placing { base: Point::ORIGIN, scale: 1.0, mirrored: false, turn: 0.0, to: Point::ORIGIN };

    fn edge(&self, edge: &Edge) -> Edge {
        let at_base = edge.translated(Point::ORIGIN - self.base).scaled(self.scale);
        let hand = if self.mirrored { at_base.mirrored_x() } else { at_base };
        hand.rotated(self.turn).translated(self.to)
    }
}

struct Reader<'a> {
    hidden: Vec<String>,
    line_types: BTreeMap<String, String>,
    drawing: &'a Drawing,
    found: ForeignDrawing,
}

impl Reader<'_> {
    fn entity(&mut self, entity: &Entity, placing: &Placing, depth: usize) {
        let common = &entity.common;
        let layer = common.layer.to_uppercase();
        if !common.is_visible || common.is_in_paper_space || self.hidden.contains(&layer) {
            return;
        }
        if self.found.edges.len() > MOST_EDGES {
            return;
        }
        let edges = match &entity.specific {
            EntityType::Insert(insert) => return self.block(insert, placing, depth),
            EntityType::Line(l) => line(point(&l.p1), point(&l.p2)).into_iter().collect(),
            EntityType::Arc(a) => arc(a).into_iter().collect(),
            EntityType::Circle(c) => circle(point(&c.center), c.radius, &c.normal),
            EntityType::LwPolyline(p) => {
                let corners: Vec<_> = p.vertices.iter().map(|v| (Point::new(v.x, v.y), v.bulge)).collect();
                joined(&corners, p.is_closed(), is_seen_from_below(&p.extrusion_direction))
            }
            EntityType::Polyline(p) => {
                let corners: Vec<_> = p.vertices().map(|v| (point(&v.location), v.bulge)).collect();
                joined(&corners, p.is_closed(), is_seen_from_below(&p.normal))
            }
            other => {
                *self.found.left_out.entry(kind(other)).or_default() += 1;
                return;
            }
        };
        let named = common.line_type_name.to_uppercase();
        let line_type = match named.as_str() {
            "BYLAYER" | "" => self.line_types.get(&layer).cloned().unwrap_or_default(),
            _ => common.line_type_name.clone(),
        };
        let placed = edges.iter().map(|e| Foreign {
            layer: common.layer.clone(),
            line_type: line_type.clone(),
            edge: placing.edge(e),
        });
        self.found.edges.extend(placed);
    }

    fn block(&mut self, insert: &Insert, placing: &Placing, depth: usize) {
        let block = self.drawing.blocks().find(|b| b.name.eq_ignore_ascii_case(&insert.name));
        let (x, y) = (insert.x_scale_factor, insert.y_scale_factor);
        let alike = x != 0.0 && (x.abs() - y.abs()).abs() <= f64::EPSILON * x.abs();
        let Some(block) = block.filter(|_| alike && depth < DEEPEST_BLOCK) else {
            *self.found.left_out.entry("INSERT".to_owned()).or_default() += 1;
            return;
        };
        // a negative y is a negative x turned by half a circle
        let own = Placing {
            base: point(&block.base_point),
            scale: x.abs(),
            mirrored: x * y < 0.0,
            turn: insert.rotation.to_radians() + if y < 0.0 { TAU / 2.0 } else { 0.0 },
            to: point(&insert.location),
        };
        let from = self.found.edges.len();
        for entity in &block.entities {
            self.entity(entity, &own, depth + 1);
        }
        for found in &mut self.found.edges[from..] {
            found.edge = placing.edge(&found.edge);
        }
    }
}

/// The name of a kind, as a person would look for it.
fn kind(entity: &EntityType) -> String {
    let debug = format!("{entity:?}");
    debug.split(['(', ' ']).next().unwrap_or_default().to_uppercase()
}

fn point(p: &dxf::Point) -> Point {
    Point::new(p.x, p.y)
}

/// An entity drawn on the other side of the paper has its x running to the left.
fn is_seen_from_below(normal: &Vector) -> bool {
    normal.z < 0.0
}

fn line(from: Point, to: Point) -> Option<Edge> {
    (from != to && from.is_finite() && to.is_finite()).then(|| Edge::line(from, to))
}

fn arc(a: &dxf::entities::Arc) -> Option<Edge> {
    let centre = point(&a.center);
    let at = |deg: f64| centre + Point::polar(a.radius, deg.to_radians());
    let edge = Edge::arc(at(a.start_angle), at(a.end_angle), centre, a.radius, Turn::Left).ok()?;
    Some(if is_seen_from_below(&a.normal) { edge.mirrored_x() } else { edge })
}

fn circle(centre: Point, radius: f64, normal: &Vector) -> Vec<Edge> {
    let centre = if is_seen_from_below(normal) { Point::new(-centre.x, centre.y) } else { centre };
    let (right, left) = (centre + Point::new(radius, 0.0), centre - Point::new(radius, 0.0));
    let halves = [(right, left), (left, right)].map(|(a, b)| Edge::arc(a, b, centre, radius, Turn::Left).ok());
    halves.into_iter().flatten().collect()
}

fn joined(corners: &[(Point, f64)], closed: bool, below: bool) -> Vec<Edge> {
    let count = if closed { corners.len() } else { corners.len().saturating_sub(1) };
    let edge = |i: usize| super::read::bulged(corners[i].0, corners[(i + 1) % corners.len()].0, corners[i].1);
    let edges = (0..count).filter_map(edge);
    edges.map(|e| if below { e.mirrored_x() } else { e }).collect()
}

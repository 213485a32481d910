//! Lines, arcs, circles and polylines, written straight into the section `ENTITIES`.
//!
//! Files of grooves hold thousands of these. The `dxf` crate would format each group, and [`mend`](super::mend) parse and format it once more: ten
//! times the work. Tables, lettering and fills stay with the crate.

use super::handles::Handles;
use super::pairs::{ANGLE, LENGTH, push_code, push_real};
use crate::geometry::{Arc, Edge, Point};

/// One entity.
enum Shape {
    Edge(Edge),
    Circle {
        centre: Point,
        radius: f64,
    },
    /// Corners with the bulge of what follows each.
    Joined {
        corners: Vec<(Point, f64)>,
        closed: bool,
    },
}

/// Entities in the order they are drawn, each with its layer.
#[derive(Default)]
pub(super) struct Paths {
    layers: Vec<String>,
    shapes: Vec<(usize, Shape)>,
}

/// Handles and owner of the entities, in releases that have them.
pub(super) struct Owned<'a> {
    pub handles: &'a mut Handles,
    pub owner: &'a str,
}

impl Paths {
    fn add(&mut self, layer: &str, shape: Shape) {
        // nearly always that of the one before
        let known = self.layers.iter().rposition(|l| l == layer);
        let layer = known.unwrap_or_else(|| {
            self.layers.push(layer.to_owned());
            self.layers.len() - 1
        });
        self.shapes.push((layer, shape));
    }

    /// A line or an arc.
    pub fn add_edge(&mut self, layer: &str, edge: &Edge) {
        self.add(layer, Shape::Edge(*edge));
    }

    /// A circle.
    pub fn add_circle(&mut self, layer: &str, centre: Point, radius: f64) {
        self.add(layer, Shape::Circle { centre, radius });
    }

    /// A polyline.
    pub fn add_joined(&mut self, layer: &str, corners: Vec<(Point, f64)>, closed: bool) {
        self.add(layer, Shape::Joined { corners, closed });
    }

    /// Appends them all: of release 12 without handles, of release 2000 with.
    pub fn write(&self, out: &mut String, owned: Option<Owned>) {
        let mut writer = Writer { out, owned };
        for (layer, shape) in &self.shapes {
            writer.shape(&self.layers[*layer], shape);
        }
    }
}

struct Writer<'a> {
    out: &'a mut String,
    owned: Option<Owned<'a>>,
}

impl Writer<'_> {
    fn word(&mut self, code: i32, value: &str) {
        push_code(self.out, code);
        self.out.push_str(value);
        self.out.push_str("\r\n");
    }

    fn real(&mut self, code: i32, value: f64, decimals: usize) {
        push_code(self.out, code);
        push_real(self.out, value, decimals);
        self.out.push_str("\r\n");
    }

    fn point(&mut self, code: i32, p: Point) {
        self.real(code, p.x, LENGTH);
        self.real(code + 10, p.y, LENGTH);
        self.word(code + 20, "0.0");
    }

    /// The marker of a part of an entity, in releases that have it.
    fn part(&mut self, name: &str) {
        if self.owned.is_some() {
            self.word(100, name);
        }
    }

    fn head(&mut self, kind: &str, layer: &str) {
        self.word(0, kind);
        if let Some(owned) = &mut self.owned {
            let (handle, owner) = (owned.handles.next(), owned.owner);
            self.word(5, &handle);
            self.word(330, owner);
        }
        self.part("AcDbEntity");
        self.word(8, layer);
    }

    fn shape(&mut self, layer: &str, shape: &Shape) {
        match shape {
            Shape::Edge(Edge::Line(line)) => {
                self.head("LINE", layer);
                self.part("AcDbLine");
                self.point(10, line.start);
                self.point(11, line.end);
            }
            Shape::Edge(Edge::Arc(arc)) => self.arc(layer, arc),
            Shape::Circle { centre, radius } => self.circle("CIRCLE", layer, *centre, *radius),
            Shape::Joined { corners, closed } if self.owned.is_some() => self.light(layer, corners, *closed),
            Shape::Joined { corners, closed } => self.heavy(layer, corners, *closed),
        }
    }

    fn circle(&mut self, kind: &str, layer: &str, centre: Point, radius: f64) {
        self.head(kind, layer);
        self.part("AcDbCircle");
        self.point(10, centre);
        self.real(40, radius, LENGTH);
    }

    /// An arc always runs counter-clockwise; its angles are degrees from 0 to 360.
    fn arc(&mut self, layer: &str, arc: &Arc) {
        let degrees = |radians: f64| radians.to_degrees().rem_euclid(360.0);
        let (start, end) = (degrees(arc.start_angle()), degrees(arc.end_angle()));
        let (start, end) = if arc.sweep() > 0.0 { (start, end) } else { (end, start) };
        self.circle("ARC", layer, arc.centre(), arc.radius());
        self.part("AcDbArc");
        self.real(50, start, ANGLE);
        self.real(51, end, ANGLE);
    }

    /// A polyline of release 2000.
    fn light(&mut self, layer: &str, corners: &[(Point, f64)], closed: bool) {
        self.head("LWPOLYLINE", layer);
        self.part("AcDbPolyline");
        self.word(90, &corners.len().to_string());
        self.word(70, if closed { "1" } else { "0" });
        for (p, bulge) in corners {
            self.real(10, p.x, LENGTH);
            self.real(20, p.y, LENGTH);
            self.bulge(*bulge);
        }
    }

    /// A polyline of release 12, each corner an entity.
    fn heavy(&mut self, layer: &str, corners: &[(Point, f64)], closed: bool) {
        self.head("POLYLINE", layer);
        self.word(66, "1");
        self.point(10, Point::ORIGIN);
        self.word(70, if closed { "1" } else { "0" });
        for (p, bulge) in corners {
            self.head("VERTEX", layer);
            self.point(10, *p);
            self.bulge(*bulge);
        }
        self.head("SEQEND", layer);
    }

    fn bulge(&mut self, bulge: f64) {
        if bulge != 0.0 {
            self.real(42, bulge, ANGLE);
        }
    }
}

//! A file being built: its header, tables, lettering and fills by the `dxf` crate, its paths by [`paths`](super::paths).

use super::mend::{self, Mending};
use super::paths::Paths;
use super::{DxfError, Flavour};
use crate::geometry::{self, Bounds, Edge};
use dxf::entities::{Entity, EntityType};
use dxf::enums::{AcadVersion, Units};
use dxf::tables::Layer;
use dxf::{Color, Drawing, Point};
use std::collections::BTreeMap;

/// A file being built.
pub(super) struct File {
    drawing: Drawing,
    flavour: Flavour,
    paths: Paths,
}

pub(super) fn point(p: geometry::Point) -> Point {
    Point::new(p.x, p.y, 0.0)
}

impl File {
    /// An empty file in millimetres.
    pub fn new(flavour: Flavour) -> File {
        let mut drawing = Drawing::new();
        let r2000 = flavour == Flavour::R2000;
        drawing.header.version = if r2000 { AcadVersion::R2000 } else { AcadVersion::R12 };
        drawing.header.handles_enabled = r2000;
        drawing.header.default_drawing_units = Units::Millimeters;
        drawing.header.drawing_units = dxf::enums::DrawingUnits::Metric;
        File { drawing, flavour, paths: Paths::default() }
    }

    /// Texts are written as they are; before release 2007 the format had codes for most characters.
    pub fn letter_in_utf8(&mut self) {
        self.drawing.header.version = AcadVersion::R2007;
    }

    /// Sets what the header and the first view show.
    pub fn set_extents(&mut self, bounds: Bounds) {
        let header = &mut self.drawing.header;
        header.minimum_drawing_extents = point(bounds.min);
        header.maximum_drawing_extents = point(bounds.max);
        header.minimum_drawing_limits = point(bounds.min);
        header.maximum_drawing_limits = point(bounds.max);
        for view in self.drawing.view_ports_mut() {
            view.view_center = point(bounds.centre());
            view.view_height = 1.1 * bounds.height().max(bounds.width());
        }
    }

    /// Declares a layer in one of the numbered colours.
    pub fn add_layer(&mut self, name: &str, colour: u8, line_type: &str) {
        let layer = Layer {
            name: name.to_owned(),
            color: Color::from_index(colour),
            line_type_name: line_type.to_owned(),
            ..Layer::default()
        };
        self.drawing.add_layer(layer);
    }

    /// The drawing itself, for tables.
    pub fn tables(&mut self) -> &mut Drawing {
        &mut self.drawing
    }

    /// Adds an entity to a layer.
    pub fn add(&mut self, layer: &str, specific: EntityType) {
        let mut entity = Entity::new(specific);
        layer.clone_into(&mut entity.common.layer);
        self.drawing.add_entity(entity);
    }

    /// Adds a line or an arc.
    pub fn add_edge(&mut self, layer: &str, edge: &Edge) {
        self.paths.add_edge(layer, edge);
    }

    /// Adds a circle.
    pub fn add_circle(&mut self, layer: &str, centre: geometry::Point, radius: f64) {
        self.paths.add_circle(layer, centre, radius);
    }

    /// Adds a closed contour as the flavour has it.
    pub fn add_contour(&mut self, layer: &str, edges: &[Edge]) {
        self.add_joined(layer, edges, true);
    }

    /// Adds edges that follow each other as the flavour has them; a single edge stays a line or an arc.
    pub fn add_chain(&mut self, layer: &str, edges: &[Edge]) {
        match edges {
            [] => {}
            [edge] => self.add_edge(layer, edge),
            [first, .., last] => self.add_joined(layer, edges, first.start() == last.end()),
        }
    }

    fn add_joined(&mut self, layer: &str, edges: &[Edge], closed: bool) {
        if self.flavour == Flavour::R12 {
            edges.iter().for_each(|edge| self.add_edge(layer, edge));
            return;
        }
        // an open chain has one more corner than edges
        let last = edges.last().filter(|_| !closed).map(|edge| (edge.end(), 0.0));
        let corners = edges.iter().map(|edge| (edge.start(), bulge(edge))).chain(last);
        self.paths.add_joined(layer, corners.collect(), closed);
    }

    /// The finished bytes; line widths by layer in hundredths of a millimetre.
    pub fn finish(self, comments: Vec<String>, line_weights: BTreeMap<String, i32>) -> Result<Vec<u8>, DxfError> {
        let mending = Mending { r12: self.flavour != Flavour::R2000, comments, line_weights };
        let mut written = Vec::new();
        self.drawing.save(&mut written).map_err(|error| DxfError::Refused(error.to_string()))?;
        mend::mend(&written, &self.paths, &mending)
    }
}

fn bulge(edge: &Edge) -> f64 {
    match edge {
        Edge::Line(_) => 0.0,
        Edge::Arc(arc) => arc.bulge(),
    }
}

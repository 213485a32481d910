//! The whole sheet as DXF of release 2007, for those who mark it up: a layer for each kind of line, lettering as text that stands in the file as it
//! is read.

use super::entities::{File, point};
use super::machine::told;
use super::{DxfError, Flavour};
use crate::drawing::font::shown;
use crate::drawing::{Anchor, DashStyle, Drawing, Fill, Item, Lettering, LineRole, Pen, Text};
use crate::geometry::{Bounds, Contour, Edge, Point};
use crate::quantity::fixed;
use dxf::LwPolylineVertex;
use dxf::entities::{EntityType, LwPolyline, Solid, Text as DxfText};
use dxf::enums::{HorizontalTextJustification, VerticalTextJustification};
use dxf::tables::{LineType, Style};

/// Layer of lettering.
const TEXT_LAYER: &str = "TEXT";

/// The kinds of line, with their layers and numbered colours (7 is black on white).
const LAYERS: [(LineRole, &str, u8); 14] = [
    (LineRole::Visible, "OUTLINE", 7),
    (LineRole::Fine, "FINE", 7),
    (LineRole::Dimension, "DIMENSION", 5),
    (LineRole::Hatching, "HATCHING", 8),
    (LineRole::Hidden, "HIDDEN", 7),
    (LineRole::Axis, "AXIS", 1),
    (LineRole::CuttingPlane, "CUTTING-PLANE", 1),
    (LineRole::Blank, "BLANK", 3),
    (LineRole::Frame, "FRAME", 7),
    (LineRole::TableWide, "TABLE-WIDE", 7),
    (LineRole::TableNarrow, "TABLE-NARROW", 7),
    (LineRole::Curve, "CURVE", 7),
    (LineRole::Path, "PATH", 6),
    (LineRole::Reference, "REFERENCE", 8),
];

/// The broken lines, with their line types.
const LINE_TYPES: [(DashStyle, &str, LineRole); 3] = [
    (DashStyle::Dashed, "DASH", LineRole::Hidden),
    (DashStyle::LongDashDot, "DASH-DOT", LineRole::Axis),
    (DashStyle::LongDashDoubleDot, "DASH-DOT-DOT", LineRole::Blank),
];

/// The sheet as DXF, millimetres of paper, y up: its extents are the paper, and comments at its head say so.
///
/// Filled arrowheads and dots stay filled; tints and the white behind texts are left out. Characters beyond the basic plane of Unicode, which
/// the format cannot name, become a hollow rectangle.
///
/// # Errors
/// Where the DXF library refuses the file.
pub fn sheet(drawing: &Drawing) -> Result<Vec<u8>, DxfError> {
    let mut file = File::new(Flavour::R2000);
    file.letter_in_utf8();
    file.set_extents(Bounds::of(Point::ORIGIN, Point::new(drawing.width, drawing.height)));
    add_tables(&mut file, &drawing.pen);
    add_items(&drawing.items, &mut file);
    let weights = LAYERS.iter().map(|&(role, layer, _)| (layer.to_owned(), hundredths(drawing.pen.width(role))));
    let size = [drawing.width, drawing.height].map(|mm| fixed(mm, 1));
    let mut told = told(drawing);
    told.push(format!("sheet of {} x {} mm, one unit is one millimetre of paper: plot at 1:1", size[0], size[1]));
    told.push("the wheel itself is drawn at the scale in the caption of each view".to_owned());
    file.finish(told, weights.collect())
}

/// Line width in hundredths of a millimetre; the widths of ISO 128-2 are all among those the format has.
fn hundredths(mm: f64) -> i32 {
    (mm * 100.0).round() as i32
}

fn layer_of(role: LineRole) -> &'static str {
    LAYERS.iter().find(|(r, ..)| *r == role).map_or("0", |(_, layer, _)| layer)
}

fn add_tables(file: &mut File, pen: &Pen) {
    for (_, name, role) in LINE_TYPES {
        let dashes = pen.dashes(role);
        let signed = dashes.iter().enumerate().map(|(i, l)| if i % 2 == 0 { *l } else { -l });
        file.tables().add_line_type(LineType {
            name: name.to_owned(),
            description: name.replace('-', " ").to_lowercase(),
            element_count: dashes.len() as i32,
            total_pattern_length: dashes.iter().sum(),
            dash_dot_space_lengths: signed.collect(),
            ..LineType::default()
        });
    }
    for (role, layer, colour) in LAYERS {
        let line_type = LINE_TYPES.iter().find(|(style, ..)| *style == role.dash_style());
        file.add_layer(layer, colour, line_type.map_or("CONTINUOUS", |(_, name, _)| name));
    }
    file.add_layer(TEXT_LAYER, 7, "CONTINUOUS");
    for lettering in [Lettering::Plain, Lettering::Bold] {
        let (name, font) = style(lettering);
        let style = Style { name: name.to_owned(), primary_font_file_name: font.to_owned(), ..Style::default() };
        file.tables().add_style(style);
    }
}

/// Text style and font file.
fn style(lettering: Lettering) -> (&'static str, &'static str) {
    match lettering {
        Lettering::Plain => ("LETTERING", "DejaVuSans.ttf"),
        Lettering::Bold => ("LETTERING-BOLD", "DejaVuSans-Bold.ttf"),
    }
}

fn add_items(items: &[Item], file: &mut File) {
    for item in items {
        match item {
            Item::Line { from, to, role } => file.add_edge(layer_of(*role), &Edge::line(*from, *to)),
            Item::Arc { arc, role } => file.add_edge(layer_of(*role), &Edge::Arc(*arc)),
            Item::Circle { centre, radius, role, fill: Fill::Solid } => {
                file.add(layer_of(*role), disc(*centre, *radius));
            }
            Item::Circle { centre, radius, role, .. } => file.add_circle(layer_of(*role), *centre, *radius),
            Item::Contour { contour, role, fill } => add_contour(contour, *role, *fill, file),
            Item::Area { outlines, fill: Fill::Solid, .. } => {
                outlines.iter().for_each(|c| file.add_contour(layer_of(LineRole::Dimension), c.edges()));
            }
            Item::Area { .. } => {}
            Item::Hatch { lines } => {
                lines.iter().for_each(|&(a, b)| file.add_edge(layer_of(LineRole::Hatching), &Edge::line(a, b)));
            }
            Item::Text(text) => file.add(TEXT_LAYER, lettering(text)),
            Item::Group(group) => add_items(&group.items, file),
        }
    }
}

/// A filled disc: a ring of two half circles as wide as its own radius.
fn disc(centre: Point, radius: f64) -> EntityType {
    let half = Point::new(radius / 2.0, 0.0);
    let vertex = |p: Point| LwPolylineVertex { x: p.x, y: p.y, bulge: 1.0, ..LwPolylineVertex::default() };
    let mut ring = LwPolyline { constant_width: radius, ..LwPolyline::default() };
    ring.set_is_closed(true);
    ring.vertices = vec![vertex(centre - half), vertex(centre + half)];
    EntityType::LwPolyline(ring)
}

fn add_contour(contour: &Contour, role: Option<LineRole>, fill: Fill, file: &mut File) {
    let layer = layer_of(role.unwrap_or(LineRole::Dimension));
    let straight = contour.edges().iter().all(|edge| matches!(edge, Edge::Line(_)));
    let corners: Vec<Point> = contour.edges().iter().map(Edge::start).collect();
    match *corners.as_slice() {
        [a, b, c] if fill == Fill::Solid && straight => file.add(layer, solid([a, b, c, c])),
        // the format takes the corners crosswise
        [a, b, c, d] if fill == Fill::Solid && straight => file.add(layer, solid([a, b, d, c])),
        _ if role.is_some() || fill == Fill::Solid => file.add_contour(layer, contour.edges()),
        _ => {}
    }
}

fn solid(corners: [Point; 4]) -> EntityType {
    let [first, second, third, fourth] = corners.map(point);
    EntityType::Solid(Solid {
        first_corner: first,
        second_corner: second,
        third_corner: third,
        fourth_corner: fourth,
        ..Solid::default()
    })
}

fn lettering(text: &Text) -> EntityType {
    let horizontal = match text.anchor {
        Anchor::Start => HorizontalTextJustification::Left,
        Anchor::Middle => HorizontalTextJustification::Center,
        Anchor::End => HorizontalTextJustification::Right,
    };
    EntityType::Text(DxfText {
        location: point(text.at),
        // the anchor point, where it is not the start
        second_alignment_point: point(text.at),
        text_height: text.height,
        value: escaped(&text.content),
        rotation: text.turned_deg,
        text_style_name: style(text.lettering).0.to_owned(),
        horizontal_text_justification: horizontal,
        vertical_text_justification: VerticalTextJustification::Baseline,
        ..DxfText::default()
    })
}

/// Two percent signs begin a control code in DXF texts; three are one percent sign.
fn escaped(content: &str) -> String {
    let plane: String = shown(content).chars().map(|c| if u32::from(c) > 0xFFFF { '\u{25AF}' } else { c }).collect();
    plane.replace("%%", "%%%%%%")
}

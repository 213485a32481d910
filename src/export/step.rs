//! STEP: ISO 10303-21 text of a solid under the application protocol AP242, in millimetres.
//!
//! The entities are those of ISO 10303-42 and -203 that every reader of solids knows: `ADVANCED_FACE` on elementary surfaces, `EDGE_CURVE`,
//! `MANIFOLD_SOLID_BREP`. Units, volume, mass and density, and colours follow the recommended practices that readers of AP242 share.

use super::model::{Colour, Label};
use crate::quantity::{KG_PER_MM3, trimmed};
use crate::solid::{CLOSENESS, Conic, Curve, Edge, Element, Face, Helicoid, Shape, Solid, Surface, Use, Vector};
use std::collections::HashMap;
use std::f64::consts::PI;
use std::fmt::Write;

/// Decimals of a length, mm.
const LENGTH_DECIMALS: usize = 12;
/// Decimals of a direction's parts and of angles in radians.
const DIRECTION_DECIMALS: usize = 16;
/// Decimals of a density in kg/mm³.
const DENSITY_DECIMALS: usize = 18;
/// By how much a surface that has ends reaches beyond its face, as a share of it.
const REACH_MARGIN: f64 = 0.05;
/// Most letters of a text of the header.
const HEADER_TEXT: usize = 250;

/// The file of a solid.
pub fn step(solid: &Solid, label: &Label) -> String {
    let mut file = File { data: String::new(), count: 0, known: HashMap::new() };
    let context = file.context();
    let faces = file.faces(solid);
    let list = list(&faces.iter().map(|(id, _)| *id).collect::<Vec<_>>());
    let shell = file.add(format!("CLOSED_SHELL('',{list})"));
    let brep = file.add(format!("MANIFOLD_SOLID_BREP({},#{shell})", text(&label.name)));
    let shape = file.product(label, context, brep);
    file.properties(label, context, shape);
    file.colours(&faces, context);
    format!("{}DATA;\n{}ENDSEC;\nEND-ISO-10303-21;\n", header(label), file.data)
}

fn header(label: &Label) -> String {
    let pieces = label.state.iter().flat_map(|line| {
        let letters: Vec<char> = line.chars().collect();
        letters.chunks(HEADER_TEXT).map(|c| text(&c.iter().collect::<String>())).collect::<Vec<_>>()
    });
    let state: Vec<String> = pieces.collect();
    let date = if label.date.is_empty() { String::new() } else { format!("{}T00:00:00", label.date) };
    format!(
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(({}),'2;1');\nFILE_NAME({},{},({}),(''),{},{},'');\n\
        FILE_SCHEMA(('AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF {{ 1 0 10303 442 1 1 4 }}'));\nENDSEC;\n",
        state.join(",\n"),
        text(&format!("{}.step", label.name)),
        text(&date),
        text(&label.author),
        text(&label.made_by),
        text(&label.made_by),
    )
}

/// The text of ISO 10303-21: apostrophes and reverse solidi twice, everything beyond ASCII by its code.
fn text(plain: &str) -> String {
    let mut out = String::from("'");
    for c in plain.chars() {
        match c {
            '\'' => out.push_str("''"),
            '\\' => out.push_str("\\\\"),
            ' '..='~' => out.push(c),
            c if c.is_control() => out.push(' '),
            c => {
                let code = u32::from(c);
                // writing to a text cannot fail
                let _ = if code > 0xFFFF {
                    write!(out, "\\X4\\{code:08X}\\X0\\")
                } else {
                    write!(out, "\\X2\\{code:04X}\\X0\\")
                };
            }
        }
    }
    out.push('\'');
    out
}

/// A real number: it always has a point.
fn real(value: f64, decimals: usize) -> String {
    let mut out = trimmed(value, decimals);
    if !out.contains('.') {
        out.push('.');
    }
    out
}

fn length(value: f64) -> String {
    real(value, LENGTH_DECIMALS)
}

/// Control points (sine, cosine, weight) of an arc of radius 1 in rational quadratic pieces, angles from the cosine's axis.
fn arcs([from, to]: [f64; 2], pieces: usize) -> impl Iterator<Item = (f64, f64, f64)> {
    let half = (to - from) / (2 * pieces) as f64;
    (0..=2 * pieces).map(move |i| {
        let (sin, cos) = (from + half * i as f64).sin_cos();
        // every other one lies where the tangents of its neighbours meet
        let weight = if i % 2 == 1 { half.cos() } else { 1.0 };
        (sin / weight, cos / weight, weight)
    })
}

fn list(ids: &[usize]) -> String {
    let ids: Vec<String> = ids.iter().map(|id| format!("#{id}")).collect();
    format!("({})", ids.join(","))
}

fn truth(is: bool) -> &'static str {
    if is { ".T." } else { ".F." }
}

/// The data section as it grows.
struct File {
    data: String,
    count: usize,
    known: HashMap<String, usize>,
}

impl File {
    /// Adds an instance; its number.
    fn add(&mut self, entity: String) -> usize {
        self.count += 1;
        // writing to a text cannot fail
        let _ = writeln!(self.data, "#{}={entity};", self.count);
        self.count
    }

    /// The instance that reads so, added where there is none yet.
    fn shared(&mut self, entity: String) -> usize {
        if let Some(&id) = self.known.get(&entity) {
            return id;
        }
        let id = self.add(entity.clone());
        self.known.insert(entity, id);
        id
    }

    fn point(&mut self, p: Vector) -> usize {
        self.shared(format!("CARTESIAN_POINT('',({},{},{}))", length(p.x), length(p.y), length(p.z)))
    }

    fn direction(&mut self, d: Vector) -> usize {
        let [x, y, z] = [d.x, d.y, d.z].map(|v| real(v, DIRECTION_DECIMALS));
        self.shared(format!("DIRECTION('',({x},{y},{z}))"))
    }

    /// A frame: its z axis along `axis`, its x axis as near to `towards` as that allows.
    fn frame(&mut self, origin: Vector, axis: Vector, towards: Vector) -> usize {
        let across = towards - axis * axis.dot(&towards);
        let (origin, axis, across) = (self.point(origin), self.direction(axis), self.direction(across.normalize()));
        self.shared(format!("AXIS2_PLACEMENT_3D('',#{origin},#{axis},#{across})"))
    }

    /// A frame with this axis, turned about it in a way of no importance.
    fn any_frame(&mut self, origin: Vector, axis: Vector) -> usize {
        let towards = if axis.x.abs() > axis.z.abs() { Vector::z() } else { Vector::x() };
        self.frame(origin, axis, towards)
    }

    fn edge(&mut self, edge: &Edge, solid: &Solid, vertices: &[usize]) -> usize {
        let (start, end) = (solid.vertices[edge.start], solid.vertices[edge.end]);
        let curve = match &edge.curve {
            Curve::Line => {
                let along = (end - start).normalize();
                let (point, along) = (self.point(start), self.direction(along));
                let vector = self.shared(format!("VECTOR('',#{along},1.)"));
                self.add(format!("LINE('',#{point},#{vector})"))
            }
            Curve::Circle { centre, axis, radius } => {
                let frame = self.frame(*centre, *axis, start - centre);
                self.add(format!("CIRCLE('',#{frame},{})", length(*radius)))
            }
            Curve::Conic(conic) => self.conic(conic),
            Curve::Spline { points, knots } => self.spline(points, knots),
        };
        self.add(format!("EDGE_CURVE('',#{},#{},#{curve},.T.)", vertices[edge.start], vertices[edge.end]))
    }

    fn conic(&mut self, conic: &Conic) -> usize {
        let Conic { shape, centre, along, across } = conic;
        let frame = self.frame(*centre, along.cross(across).normalize(), *along);
        let [first, second] = [along, across].map(|half| length(half.norm()));
        self.add(match shape {
            Shape::Ellipse => format!("ELLIPSE('',#{frame},{first},{second})"),
            Shape::Parabola => format!("PARABOLA('',#{frame},{first})"),
            Shape::Hyperbola => format!("HYPERBOLA('',#{frame},{first},{second})"),
        })
    }

    /// Cubic pieces that meet in double knots.
    fn spline(&mut self, points: &[Vector], knots: &[f64]) -> usize {
        let points: Vec<usize> = points.iter().map(|&p| self.point(p)).collect();
        let times: Vec<&str> = (0..knots.len()).map(|i| if i == 0 || i + 1 == knots.len() { "4" } else { "2" }).collect();
        let knots: Vec<String> = knots.iter().map(|&k| length(k)).collect();
        let (points, times, knots) = (list(&points), times.join(","), knots.join(","));
        self.add(format!(
            "B_SPLINE_CURVE_WITH_KNOTS('',3,{points},.UNSPECIFIED.,.F.,.F.,({times}),({knots}),.UNSPECIFIED.)"
        ))
    }

    fn surface(&mut self, surface: &Surface) -> usize {
        match surface {
            Surface::Plane { origin, axis } => {
                let frame = self.any_frame(*origin, *axis);
                self.add(format!("PLANE('',#{frame})"))
            }
            Surface::Cylinder { origin, axis, radius } => {
                let frame = self.any_frame(*origin, *axis);
                self.add(format!("CYLINDRICAL_SURFACE('',#{frame},{})", length(*radius)))
            }
            Surface::Cone { origin, axis, radius, half_angle } => {
                let frame = self.any_frame(*origin, *axis);
                let angle = real(*half_angle, DIRECTION_DECIMALS);
                self.add(format!("CONICAL_SURFACE('',#{frame},{},{angle})", length(*radius)))
            }
            Surface::Swept { centre, axis, radius, along } => {
                let frame = self.any_frame(*centre, *axis);
                let circle = self.add(format!("CIRCLE('',#{frame},{})", length(*radius)));
                let along = self.direction(*along);
                let vector = self.shared(format!("VECTOR('',#{along},1.)"));
                self.add(format!("SURFACE_OF_LINEAR_EXTRUSION('',#{circle},#{vector})"))
            }
            Surface::Tube { centre, along, across, deeper, radius, minor, reach } => {
                // the normal of ISO 10303-42 is the first direction's way across the second's
                let across = across * along.cross(across).dot(deeper).signum();
                let [begin, end] = reach.map(|u| (u / radius).clamp(-1.0, 1.0).asin());
                let margin = ((end - begin) * REACH_MARGIN).min(PI / 2.0 - end.abs().max(begin.abs()));
                let first = arcs([begin - margin, end + margin], 1).map(|w| (along * (w.0 * radius) + deeper * (w.1 * radius), w.2));
                let half = PI / 2.0 * (1.0 + REACH_MARGIN);
                let second = arcs([-half, half], 2).map(|w| (across * (w.0 * minor) + deeper * (w.1 * minor), w.2));
                self.moved(*centre, &first.collect::<Vec<_>>(), &second.collect::<Vec<_>>())
            }
            Surface::Helical(helicoid) => self.helical(helicoid),
            Surface::Torus { centre, major, minor } => {
                let frame = self.any_frame(*centre, Vector::z());
                self.add(format!("TOROIDAL_SURFACE('',#{frame},{},{})", length(*major), length(*minor)))
            }
        }
    }

    /// An element turned with z: exact along the element, cubic along z and within a millionth of a millimetre of the helix.
    fn helical(&mut self, helicoid: &Helicoid) -> usize {
        let beyond = |[a, b]: [f64; 2]| [a - (b - a) * REACH_MARGIN, b + (b - a) * REACH_MARGIN];
        let element = &helicoid.element;
        let (degree, across) = match element {
            Element::Line(..) => (1, beyond([0.0, 1.0]).map(|t| (element.at(t), 1.0)).to_vec()),
            Element::Ellipse { centre, half, reach } => {
                let all = arcs(beyond([-reach, *reach]), 2).map(|(sin, cos, weight)| ((centre - half[0] * cos, half[1] * sin), weight));
                (2, all.collect::<Vec<_>>())
            }
        };
        let rows: Vec<Vec<Vector>> = across.iter().map(|&(at, _)| helicoid.turned(at, beyond(helicoid.reach))).collect();
        let pieces = (rows[0].len() - 1) / 3;
        let weights: Vec<String> = across.iter().map(|&(_, w)| format!("({})", vec![real(w, DIRECTION_DECIMALS); rows[0].len()].join(","))).collect();
        let rows: Vec<String> = rows.iter().map(|row| list(&row.iter().map(|&p| self.point(p)).collect::<Vec<_>>())).collect();
        let times = |degree: usize, pieces: usize| {
            let all: Vec<String> = (0..=pieces).map(|i| if i == 0 || i == pieces { degree + 1 } else { degree }.to_string()).collect();
            all.join(",")
        };
        let knots = |pieces: usize| (0..=pieces).map(|i| format!("{i}.")).collect::<Vec<_>>().join(",");
        let first = (across.len() - 1) / degree;
        let (rows, weights) = (rows.join(","), weights.join(","));
        self.add(format!(
            "(BOUNDED_SURFACE()B_SPLINE_SURFACE({degree},3,({rows}),.UNSPECIFIED.,.F.,.F.,.F.)\
            B_SPLINE_SURFACE_WITH_KNOTS(({}),({}),({}),({}),.UNSPECIFIED.)\
            GEOMETRIC_REPRESENTATION_ITEM()RATIONAL_B_SPLINE_SURFACE(({weights}))REPRESENTATION_ITEM('')SURFACE())",
            times(degree, first),
            times(3, pieces),
            knots(first),
            knots(pieces),
        ))
    }

    /// A curve of one quadratic piece moved along one of two, both rational, by their points and weights about a centre.
    fn moved(&mut self, centre: Vector, first: &[(Vector, f64)], second: &[(Vector, f64)]) -> usize {
        let (mut rows, mut weights) = (Vec::new(), Vec::new());
        for (p, v) in first {
            let row: Vec<usize> = second.iter().map(|(q, _)| self.point(centre + p + q)).collect();
            rows.push(list(&row));
            let row: Vec<String> = second.iter().map(|(_, w)| real(v * w, DIRECTION_DECIMALS)).collect();
            weights.push(format!("({})", row.join(",")));
        }
        let (rows, weights) = (rows.join(","), weights.join(","));
        self.add(format!(
            "(BOUNDED_SURFACE()B_SPLINE_SURFACE(2,2,({rows}),.UNSPECIFIED.,.F.,.F.,.F.)\
            B_SPLINE_SURFACE_WITH_KNOTS((3,3),(3,2,3),(0.,1.),(0.,1.,2.),.UNSPECIFIED.)\
            GEOMETRIC_REPRESENTATION_ITEM()RATIONAL_B_SPLINE_SURFACE(({weights}))REPRESENTATION_ITEM('')SURFACE())"
        ))
    }

    /// Every face, with whether altering made it.
    fn faces(&mut self, solid: &Solid) -> Vec<(usize, Option<bool>)> {
        let vertices = solid.vertices.iter().map(|&p| {
            let point = self.point(p);
            self.add(format!("VERTEX_POINT('',#{point})"))
        });
        let vertices: Vec<usize> = vertices.collect();
        let edges: Vec<usize> = solid.edges.iter().map(|e| self.edge(e, solid, &vertices)).collect();
        solid.faces.iter().map(|face| (self.face(face, &edges), face.is_cut)).collect()
    }

    fn face(&mut self, face: &Face, edges: &[usize]) -> usize {
        let mut bounds = Vec::with_capacity(face.loops.len());
        for (i, uses) in face.loops.iter().enumerate() {
            let used = |u: &Use| format!("ORIENTED_EDGE('',*,*,#{},{})", edges[u.edge], truth(u.is_forward));
            let uses: Vec<usize> = uses.iter().map(|u| self.add(used(u))).collect();
            let round = self.add(format!("EDGE_LOOP('',{})", list(&uses)));
            let kind = if i == 0 { "FACE_OUTER_BOUND" } else { "FACE_BOUND" };
            bounds.push(self.add(format!("{kind}('',#{round},.T.)")));
        }
        let surface = self.surface(&face.surface);
        let (name, bounds, outward) = (text(&face.name), list(&bounds), truth(face.is_outward));
        self.add(format!("ADVANCED_FACE({name},{bounds},#{surface},{outward})"))
    }

    /// Millimetres, radians, and how near is the same.
    fn context(&mut self) -> usize {
        let mm = self.shared(MILLIMETRE.to_owned());
        let radian = self.add("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))".to_owned());
        let steradian = self.add("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())".to_owned());
        let closeness = real(CLOSENESS, LENGTH_DECIMALS);
        let uncertainty = self.add(format!(
            "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({closeness}),#{mm},'distance_accuracy_value','')"
        ));
        self.add(format!(
            "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#{uncertainty}))\
            GLOBAL_UNIT_ASSIGNED_CONTEXT((#{mm},#{radian},#{steradian}))REPRESENTATION_CONTEXT('','3D'))"
        ))
    }

    /// The product, and its shape: the solid. The shape's definition.
    fn product(&mut self, label: &Label, context: usize, brep: usize) -> usize {
        let application = self.add("APPLICATION_CONTEXT('managed model based 3d engineering')".to_owned());
        self.add(format!(
            "APPLICATION_PROTOCOL_DEFINITION('international standard',\
            'ap242_managed_model_based_3d_engineering',2014,#{application})"
        ));
        let mechanical = self.add(format!("PRODUCT_CONTEXT('',#{application},'mechanical')"));
        let (name, description) = (text(&label.name), text(&label.description));
        let product = self.add(format!("PRODUCT({name},{name},{description},(#{mechanical}))"));
        self.add(format!("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#{product}))"));
        let revision = text(&label.revision);
        let formation = self.add(format!("PRODUCT_DEFINITION_FORMATION({revision},'',#{product})"));
        let design = self.add(format!("PRODUCT_DEFINITION_CONTEXT('part definition',#{application},'design')"));
        let definition = self.add(format!("PRODUCT_DEFINITION('design','',#{formation},#{design})"));
        let shape = self.add(format!("PRODUCT_DEFINITION_SHAPE('','',#{definition})"));
        let origin = self.any_frame(Vector::zeros(), Vector::z());
        let representation =
            self.add(format!("ADVANCED_BREP_SHAPE_REPRESENTATION({name},(#{origin},#{brep}),#{context})"));
        self.add(format!("SHAPE_DEFINITION_REPRESENTATION(#{shape},#{representation})"));
        shape
    }

    /// Volume, and density and mass where they are known.
    fn properties(&mut self, label: &Label, context: usize, shape: usize) {
        let mm = self.shared(MILLIMETRE.to_owned());
        let unit = |file: &mut File, parts: &[(usize, &str)]| {
            let parts = parts.iter().map(|(u, power)| file.add(format!("DERIVED_UNIT_ELEMENT(#{u},{power})")));
            let parts: Vec<usize> = parts.collect();
            file.add(format!("DERIVED_UNIT({})", list(&parts)))
        };
        let cubic = unit(self, &[(mm, "3.")]);
        let volume = format!("VOLUME_MEASURE({})", length(label.volume));
        self.property("geometric validation property", "volume of solid", "volume measure", &volume, cubic, (context, shape));
        let Some(density) = label.density.map(|d| d * KG_PER_MM3) else { return };
        let kg = self.add("(MASS_UNIT()NAMED_UNIT(*)SI_UNIT(.KILO.,.GRAM.))".to_owned());
        let per_volume = unit(self, &[(kg, "1."), (mm, "-3.")]);
        let measure = format!("POSITIVE_RATIO_MEASURE({})", real(density, DENSITY_DECIMALS));
        self.property("material property", "density", "density", &measure, per_volume, (context, shape));
        let mass = format!("MASS_MEASURE({})", length(density * label.volume));
        self.property("material property", "mass", "mass", &mass, kg, (context, shape));
    }

    fn property(&mut self, kind: &str, what: &str, item: &str, measure: &str, unit: usize, of: (usize, usize)) {
        let (context, shape) = of;
        let measured = self.add(format!("MEASURE_REPRESENTATION_ITEM('{item}',{measure},#{unit})"));
        let representation = self.add(format!("REPRESENTATION('{what}',(#{measured}),#{context})"));
        let property = self.add(format!("PROPERTY_DEFINITION('{kind}','{what}',#{shape})"));
        self.add(format!("PROPERTY_DEFINITION_REPRESENTATION(#{property},#{representation})"));
    }

    /// Colours of the faces of which it is known whether they were cut.
    fn colours(&mut self, faces: &[(usize, Option<bool>)], context: usize) {
        let mut styled = Vec::new();
        for &(face, is_cut) in faces {
            let Some(is_cut) = is_cut else { continue };
            let [r, g, b] = Colour::of(Some(is_cut)).parts().map(|part| real(part, 2));
            let colour = self.shared(format!("COLOUR_RGB('',{r},{g},{b})"));
            let fill = self.shared(format!("FILL_AREA_STYLE_COLOUR('',#{colour})"));
            let area = self.shared(format!("FILL_AREA_STYLE('',(#{fill}))"));
            let surface = self.shared(format!("SURFACE_STYLE_FILL_AREA(#{area})"));
            let side = self.shared(format!("SURFACE_SIDE_STYLE('',(#{surface}))"));
            let usage = self.shared(format!("SURFACE_STYLE_USAGE(.BOTH.,#{side})"));
            let style = self.shared(format!("PRESENTATION_STYLE_ASSIGNMENT((#{usage}))"));
            styled.push(self.add(format!("STYLED_ITEM('color',(#{style}),#{face})")));
        }
        if !styled.is_empty() {
            let items = list(&styled);
            self.add(format!("MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',{items},#{context})"));
        }
    }
}

const MILLIMETRE: &str = "(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))";

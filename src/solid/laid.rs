//! A face laid flat: its surface's own two coordinates, drawn out so that what bends has as many units as it needs pieces.

use super::{Element, Helicoid, Surface, Vector};
use std::f64::consts::{PI, TAU};

/// Fewest pieces of a full circle.
const ROUND: f64 = 24.0;

/// Units that a face is long along its straight lines: few, so that triangles reach along them and not across.
const STRAIGHT: f64 = 2.0;

/// How a surface lies flat.
pub struct Laid {
    kind: Kind,
    /// Units for each of the surface's own coordinates.
    units: [f64; 2],
    /// Angle at which what does not go round is cut open, for each coordinate, radians.
    cut: [f64; 2],
}

/// A surface's own coordinates.
enum Kind {
    /// Along two directions.
    Flat(Vector, Vector),
    /// Angle about a line through a place, counter-clockwise about its direction from another, and the way along a direction: a cylinder, or a
    /// circle swept along a slanting line.
    Round { centre: Vector, axis: Vector, first: Vector, radius: f64, along: Vector },
    /// Angle about the axis, and the radius.
    Cone { origin: Vector, axis: Vector, radius: f64, slope: f64 },
    /// Share of the way along the element, and z.
    Helical(Helicoid),
    /// Angle about the wheel's axis, and about the middle of the tube.
    Torus { centre: Vector, major: f64, minor: f64 },
    /// Way along the arc, and angle about the middle of the tube from its deepest.
    Tube { centre: Vector, ways: [Vector; 3], radius: f64, minor: f64 },
}

impl Laid {
    /// Of a face whose loops run through these places; `deviation`, mm, says how many pieces what bends needs.
    pub fn of(surface: &Surface, loops: &[Vec<Vector>], deviation: f64) -> Laid {
        let kind = kind(surface);
        let mut laid = Laid { kind, units: [1.0; 2], cut: [0.0; 2] };
        let all: Vec<[f64; 2]> = loops.iter().flatten().map(|&p| laid.own(p)).collect();
        for i in [0, 1] {
            laid.cut[i] = opposite(&all.iter().map(|c| c[i]).collect::<Vec<f64>>());
        }
        let far = loops.iter().flatten().map(|p| p.x.hypot(p.y)).fold(0.0, f64::max);
        let reach = |i: usize| {
            let (low, high) = all.iter().map(|c| c[i]).fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(x), b.max(x)));
            STRAIGHT / (high - low)
        };
        laid.units = match &laid.kind {
            Kind::Flat(..) => [1.0, 1.0],
            Kind::Round { radius, .. } => [1.0 / arc_step(*radius, deviation), reach(1)],
            Kind::Cone { .. } => [1.0 / arc_step(far, deviation), reach(1)],
            Kind::Helical(helicoid) => {
                let across = match helicoid.element {
                    Element::Line(..) => reach(0),
                    Element::Ellipse { half, reach, .. } => 2.0 * reach / arc_step(half[0].max(half[1]), deviation),
                };
                [across, helicoid.twist.abs() / arc_step(far, deviation)]
            }
            Kind::Torus { minor, .. } => [1.0 / arc_step(far, deviation), 1.0 / arc_step(*minor, deviation)],
            Kind::Tube { radius, minor, .. } => [1.0 / (arc_step(*radius, deviation) * radius), 1.0 / arc_step(*minor, deviation)],
        };
        laid
    }

    /// Whether a coordinate is an angle.
    fn is_angle(&self, i: usize) -> bool {
        match self.kind {
            Kind::Flat(..) | Kind::Helical(_) => false,
            Kind::Round { .. } | Kind::Cone { .. } => i == 0,
            Kind::Torus { .. } => true,
            Kind::Tube { .. } => i == 1,
        }
    }

    /// The loops laid flat; what goes round is followed from point to point, and holes lie within the first loop.
    pub fn loops(&self, loops: &[Vec<Vector>]) -> Vec<Vec<[f64; 2]>> {
        let mut out: Vec<Vec<[f64; 2]>> = Vec::with_capacity(loops.len());
        for places in loops {
            let mut flat: Vec<[f64; 2]> = Vec::with_capacity(places.len());
            for &p in places {
                let mut own = self.own(p);
                for i in (0..2).filter(|&i| self.is_angle(i)) {
                    // on from the point before, or from the cut
                    let near = flat.last().map_or(self.cut[i] + PI, |before| before[i]);
                    own[i] = near + (own[i] - near + PI).rem_euclid(TAU) - PI;
                }
                flat.push(own);
            }
            if let Some(outer) = out.first() {
                shift_within(outer, &mut flat, self.is_angle(0));
            }
            out.push(flat);
        }
        for at in out.iter_mut().flatten() {
            *at = [at[0] * self.units[0], at[1] * self.units[1]];
        }
        out
    }

    /// A place's own coordinates on the surface.
    fn own(&self, p: Vector) -> [f64; 2] {
        match &self.kind {
            Kind::Flat(x, y) => [p.dot(x), p.dot(y)],
            Kind::Round { centre, axis, first, along, .. } => {
                let way = (p - centre).dot(axis) / along.dot(axis);
                let out = p - centre - along * way;
                [out.dot(&axis.cross(first)).atan2(out.dot(first)), way]
            }
            Kind::Cone { .. } => [p.y.atan2(p.x), p.x.hypot(p.y)],
            Kind::Helical(helicoid) => {
                let (u, v) = helicoid.local(p);
                [helicoid.element.share(u, v), p.z]
            }
            Kind::Torus { centre, major, .. } => [p.y.atan2(p.x), (p.z - centre.z).atan2(p.x.hypot(p.y) - major)],
            Kind::Tube { centre, ways, radius, .. } => {
                let [u, v, depth] = ways.map(|way| (p - centre).dot(&way));
                [u, v.atan2(depth - ((radius - u) * (radius + u)).sqrt())]
            }
        }
    }

    /// The place of the surface over a flat one.
    pub fn raised(&self, at: [f64; 2]) -> Vector {
        let [a, b] = [at[0] / self.units[0], at[1] / self.units[1]];
        match &self.kind {
            // a plane's triangles need no more points
            Kind::Flat(x, y) => x * a + y * b,
            Kind::Round { centre, axis, first, radius, along } => {
                centre + first * (a.cos() * radius) + axis.cross(first) * (a.sin() * radius) + along * b
            }
            Kind::Cone { origin, axis, radius, slope } => {
                let rim = Vector::new(a.cos(), a.sin(), 0.0) * b;
                origin + rim + axis * ((b - radius) / slope)
            }
            Kind::Helical(helicoid) => helicoid.place(helicoid.element.at(a), b),
            Kind::Torus { centre, major, minor } => {
                let r = major + minor * b.cos();
                centre + Vector::new(r * a.cos(), r * a.sin(), minor * b.sin())
            }
            Kind::Tube { centre, ways: [along, across, deeper], radius, minor } => {
                let arc = ((radius - a) * (radius + a)).sqrt();
                centre + along * a + across * (minor * b.sin()) + deeper * (arc + minor * b.cos())
            }
        }
    }
}

fn kind(surface: &Surface) -> Kind {
    let square = |axis: &Vector| {
        let other = if axis.z.abs() < axis.x.abs() { Vector::z() } else { Vector::x() };
        (other - axis * axis.dot(&other)).normalize()
    };
    match surface {
        Surface::Plane { axis, .. } => {
            let first = square(axis);
            Kind::Flat(first, axis.cross(&first))
        }
        Surface::Cylinder { origin, axis, radius } => {
            Kind::Round { centre: *origin, axis: *axis, first: square(axis), radius: *radius, along: *axis }
        }
        Surface::Swept { centre, axis, radius, along } => {
            Kind::Round { centre: *centre, axis: *axis, first: square(axis), radius: *radius, along: *along }
        }
        Surface::Cone { origin, axis, radius, half_angle } => {
            Kind::Cone { origin: *origin, axis: *axis, radius: *radius, slope: half_angle.tan() }
        }
        Surface::Helical(helicoid) => Kind::Helical(*helicoid),
        Surface::Torus { centre, major, minor } => Kind::Torus { centre: *centre, major: *major, minor: *minor },
        Surface::Tube { centre, along, across, deeper, radius, minor, .. } => {
            Kind::Tube { centre: *centre, ways: [*along, *across, *deeper], radius: *radius, minor: *minor }
        }
    }
}

/// The angle in the middle of the widest gap between angles.
fn opposite(angles: &[f64]) -> f64 {
    let mut all: Vec<f64> = angles.iter().map(|a| a.rem_euclid(TAU)).collect();
    all.sort_by(f64::total_cmp);
    let Some(&first) = all.first() else { return 0.0 };
    let gaps = all.iter().zip(all.iter().skip(1).copied().chain([first + TAU]));
    let widest = gaps.map(|(a, b)| (b - a, (a + b) / 2.0)).max_by(|a, b| a.0.total_cmp(&b.0));
    widest.map_or(0.0, |w| w.1)
}

/// Turns a hole by whole turns to where it lies within the outermost loop.
fn shift_within(outer: &[[f64; 2]], hole: &mut [[f64; 2]], is_round: bool) {
    if !is_round || hole.is_empty() {
        return;
    }
    let middle = |l: &[[f64; 2]]| {
        let (low, high) = l.iter().fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(x[0]), b.max(x[0])));
        (low + high) / 2.0
    };
    let turns = ((middle(outer) - middle(hole)) / TAU).round();
    hole.iter_mut().for_each(|at| at[0] += turns * TAU);
}

/// The angle of an arc whose middle lies so far from its chord.
pub fn arc_step(radius: f64, deviation: f64) -> f64 {
    (2.0 * (1.0 - deviation / radius).clamp(-1.0, 1.0).acos()).min(TAU / ROUND)
}

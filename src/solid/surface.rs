//! How far a place lies off a surface.

use super::{Surface, Vector};

impl Surface {
    /// How far a place lies off the surface, towards its own normal, mm, and how that grows from there; near the surface it is the distance, or of
    /// what was swept a distance along another way.
    pub fn off(&self, p: Vector) -> (f64, Vector) {
        match self {
            Surface::Plane { origin, axis } => ((p - origin).dot(axis), *axis),
            Surface::Cylinder { origin, axis, radius } => {
                let out = across(p - origin, *axis);
                (out.norm() - radius, out.normalize())
            }
            Surface::Cone { origin, axis, radius, half_angle } => {
                let out = across(p - origin, *axis);
                let (sin, cos) = half_angle.sin_cos();
                let height = (p - origin).dot(axis);
                ((out.norm() - radius) * cos - height * sin, out.normalize() * cos - axis * sin)
            }
            Surface::Swept { centre, axis, radius, along } => {
                let slant = along.dot(axis);
                let out = p - centre - along * ((p - centre).dot(axis) / slant);
                let normal = out.normalize();
                (out.norm() - radius, normal - axis * (along.dot(&normal) / slant))
            }
            Surface::Tube { centre, along, across, deeper, radius, minor, .. } => {
                let [u, v, depth] = [along, across, deeper].map(|way| (p - centre).dot(way));
                let arc = ((radius - u) * (radius + u)).sqrt();
                let below = depth - arc;
                let out = below.hypot(v);
                (out - minor, (deeper + along * (u / arc)) * (below / out) + across * (v / out))
            }
            Surface::Helical(helicoid) => helicoid.off(p),
            Surface::Torus { centre, major, minor } => {
                let out = across(p - centre, Vector::z());
                let out_of_tube = p - centre - out.normalize() * *major;
                (out_of_tube.norm() - minor, out_of_tube.normalize())
            }
        }
    }
}

/// The part of a way that is square to an axis of length 1.
fn across(way: Vector, axis: Vector) -> Vector {
    way - axis * way.dot(&axis)
}

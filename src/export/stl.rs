//! STL, binary: triangles with their corners as 32-bit numbers of millimetres. The format has room for a line of words and nothing else.

use super::model::Label;
use crate::solid::{Mesh, Vector};

/// Bytes of the line of words.
const HEAD: usize = 80;

/// The file of a mesh.
pub fn stl(mesh: &Mesh, label: &Label) -> Vec<u8> {
    // a file that begins with "solid" is taken for the format's other form
    let lines = ["State:", "Fingerprint:"].into_iter().filter_map(|kind| label.state.iter().find(|line| line.starts_with(kind)));
    let words = format!("wheel {} {}", label.name, lines.cloned().collect::<Vec<_>>().join("; "));
    let mut head: Vec<u8> = words.chars().map(|c| if c.is_ascii_graphic() || c == ' ' { c as u8 } else { b'?' }).take(HEAD).collect();
    head.resize(HEAD, b' ');
    let rounded = |p: Vector| [p.x as f32, p.y as f32, p.z as f32];
    let corners = mesh.triangles.iter().map(|(t, _)| t.map(|i| rounded(mesh.points[i])));
    // a triangle whose corners are one in 32 bits has no place between its neighbours
    let kept: Vec<[[f32; 3]; 3]> = corners.filter(|[a, b, c]| a != b && b != c && c != a).collect();
    let mut out = head;
    out.extend((kept.len() as u32).to_le_bytes());
    for triangle in kept {
        let numbers = [normal(triangle)].into_iter().chain(triangle).flatten();
        numbers.for_each(|v| out.extend(v.to_le_bytes()));
        out.extend([0, 0]);
    }
    out
}

fn normal(triangle: [[f32; 3]; 3]) -> [f32; 3] {
    let [a, b, c] = triangle.map(|p| Vector::new(f64::from(p[0]), f64::from(p[1]), f64::from(p[2])));
    let normal = (b - a).cross(&(c - a)).try_normalize(f64::MIN_POSITIVE).unwrap_or_else(Vector::zeros);
    [normal.x as f32, normal.y as f32, normal.z as f32]
}

//! Faces that are others turned about the wheel's axis: one of them is parted into triangles, the rest have its triangles turned.

use super::flat::{Parted, parted};
use super::{Face, Surface, Vector};
use crate::tolerance::SAME_LENGTH;
use std::collections::HashMap;
use std::mem::{Discriminant, discriminant};

/// How many of one kind a face is held against, the latest first: patterns without likeness cost no more for it.
const LOOKED_AT: usize = 12;

/// What faces have in common that may be alike: their words, whether their surface's normal points outwards, its kind, and how many points each loop has.
type Kind = (String, bool, Discriminant<Surface>, Vec<usize>);

/// Faces that are parted, by their kind.
#[derive(Debug, Default)]
pub struct Copies(HashMap<Kind, Vec<Known>>);

/// A face that is parted.
#[derive(Debug)]
struct Known {
    /// Points of its loops.
    outline: Vec<Vector>,
    parted: Parted,
}

impl Copies {
    /// The triangles of a face with these loops, corners counter-clockwise as seen from outside; points within it are added. `None` where it cannot be parted.
    pub fn triangles(&mut self, face: &Face, loops: Vec<Vec<usize>>, points: &mut Vec<Vector>, deviation: f64) -> Option<Vec<[usize; 3]>> {
        let kind = (face.name.clone(), face.is_outward, discriminant(&face.surface), loops.iter().map(Vec::len).collect());
        let known = self.0.entry(kind).or_default();
        let outline: Vec<usize> = loops.concat();
        let at = |i: &usize| points[*i];
        let same = known.iter().rev().take(LOOKED_AT).find_map(|k| Some((k, k.turn(&face.surface, outline.iter().map(at))?)));
        let within = points.len();
        let triangles = if let Some((known, turn)) = same {
            points.extend(known.parted.within.iter().map(|&p| turn.of(p)));
            known.parted.triangles.clone()
        } else {
            let parted = parted(&face.surface, &loops, points, deviation)?;
            let new = Known { outline: outline.iter().map(at).collect(), parted };
            points.extend(&new.parted.within);
            let triangles = new.parted.triangles.clone();
            known.push(new);
            triangles
        };
        let index = |i: usize| outline.get(i).copied().unwrap_or_else(|| within + i - outline.len());
        Some(triangles.into_iter().map(|t| t.map(index)).collect())
    }
}

impl Known {
    /// The turn that makes it the face with this outline; `None` where none does.
    fn turn(&self, surface: &Surface, mut outline: impl Iterator<Item = Vector>) -> Option<Turn> {
        let (first, from) = (outline.next()?, *self.outline.first()?);
        let turn = Turn::between(from, first)?;
        let is_at = |(&from, to): (&Vector, Vector)| (turn.of(from) - to).norm() < SAME_LENGTH;
        let is_on = |&p: &Vector| surface.off(turn.of(p)).0.abs() < SAME_LENGTH;
        let is_same = is_at((&from, first)) && self.outline[1..].iter().zip(outline).all(is_at) && self.parted.within.iter().all(is_on);
        is_same.then_some(turn)
    }
}

/// A turn about the wheel's axis.
#[derive(Debug, Clone, Copy)]
pub struct Turn {
    cos: f64,
    sin: f64,
}

impl Turn {
    /// Counter-clockwise about z, radians.
    pub fn by(angle: f64) -> Turn {
        let (sin, cos) = angle.sin_cos();
        Turn { cos, sin }
    }

    /// That takes the direction of one place to that of another; `None` on the axis.
    fn between(from: Vector, to: Vector) -> Option<Turn> {
        let (from, to) = (from.xy().try_normalize(SAME_LENGTH)?, to.xy().try_normalize(SAME_LENGTH)?);
        Some(Turn { cos: from.dot(&to), sin: from.perp(&to) })
    }

    /// Where it takes a place.
    pub fn of(self, p: Vector) -> Vector {
        Vector::new(p.x * self.cos - p.y * self.sin, p.x * self.sin + p.y * self.cos, p.z)
    }
}

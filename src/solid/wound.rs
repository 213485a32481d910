//! Grooves of the face that run on a helix where sides are cut too, in space: what they cut out of the walls of the sides, and their own walls and what
//! is left of the outside diameter, each from the edges that bound it.

use super::build::{Across, Build, Raised};
use super::merge::{Key, Piece};
use super::plan::Trace;
use super::relief::{Cover, Relief};
use super::twisted::element_of;
use super::helix::Winding;
use super::{Edge, SolidError, Surface, Use, Vector, follow, helix, name};
use crate::geometry::Point;
use crate::section::Feature;
use crate::tolerance::SAME_LENGTH;
use std::collections::{BTreeMap, BTreeSet};

/// Shares of an edge's plan over which it is first looked for.
const GUIDES: [f64; 3] = [0.25, 0.5, 0.75];
/// How far a corner may lie off the line that parts of an outline share, mm.
const ON_LINE: f64 = 10.0 * SAME_LENGTH;

/// Vertices and edges of one groove of the face.
#[derive(Default)]
struct Outline {
    /// Edges of each part, by its place in the outline.
    edges: BTreeMap<usize, BTreeSet<usize>>,
    /// Vertices on the lines between the parts, by the place of the part after the line.
    lines: BTreeMap<usize, BTreeSet<usize>>,
}

impl Relief<'_> {
    /// Parts of outlines that pass through the wall over an edge of the plan, from the surface downwards.
    fn across(&self, e: usize, bases: [Cover; 2]) -> Vec<Across> {
        let edge = &self.edges[e];
        let near: Vec<usize> = match edge.trace {
            Trace::Wall(k, _) => self.crossed[k].clone(),
            Trace::Ring(_) => (0..self.faces.len()).collect(),
            _ => Vec::new(),
        };
        let range = |p: Point| {
            let [a, b] = bases.map(|base| self.depth(base, p));
            [a.min(b), a.max(b)]
        };
        let middle = edge.path.at(0.5);
        let [top, bottom] = range(middle);
        let mut found: Vec<(f64, Across)> = Vec::new();
        for (j, winding) in near.into_iter().flat_map(|j| self.windings(j).into_iter().map(move |w| (j, w))) {
            let Some((_, depth)) = winding.over(middle).filter(|(_, depth)| *depth > top && *depth < bottom) else { continue };
            let ends = edge.ends.map(|p| {
                let p = self.points[p];
                let [top, bottom] = range(p);
                winding.over(p).map_or(depth, |(_, depth)| depth.clamp(top, bottom))
            });
            found.push((depth, Across { of: [j, winding.part], depths: ends }));
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.into_iter().map(|(_, across)| across).collect()
    }
}

impl Build<'_> {
    /// Finds what passes through the walls, and wants a vertex at each end of it.
    pub(super) fn cross_walls(&mut self) {
        for s in [0, 1].into_iter().filter(|&s| self.sides[s].winds()) {
            for (e, cells) in self.beside(s).into_iter().enumerate() {
                let bases = cells.map(|c| self.sides[s].bases[c]);
                if bases.contains(&Cover::Void) || bases[0] == bases[1] {
                    continue;
                }
                let found = self.sides[s].across(e, bases);
                for across in &found {
                    for (p, depth) in self.sides[s].edges[e].ends.into_iter().zip(across.depths) {
                        self.merger.columns.add(self.columns[s][p], self.z(s, depth));
                    }
                }
                if !found.is_empty() {
                    self.across[s].insert(e, found);
                }
            }
        }
    }

    /// The edges in space of what passes through the walls of a side.
    pub(super) fn raise_across(&mut self, s: usize) -> Result<BTreeMap<usize, Vec<usize>>, SolidError> {
        let mut out = BTreeMap::new();
        for (&e, all) in &self.across[s].clone() {
            let mut edges = Vec::with_capacity(all.len());
            for across in all {
                edges.push(self.edge_across(s, e, across)?);
            }
            out.insert(e, edges);
        }
        Ok(out)
    }

    fn edge_across(&mut self, s: usize, e: usize, across: &Across) -> Result<usize, SolidError> {
        let side = &self.sides[s];
        let edge = &side.edges[e];
        let vertex = |i: usize| self.merger.columns.vertex(self.columns[s][edge.ends[i]], self.z(s, across.depths[i]));
        let [start, end] = [vertex(0), vertex(1)];
        let [from, to] = [start, end].map(|v| self.merger.columns.place(v));
        let [j, part] = across.of;
        let lost = || self.lost(s, "where a groove of the face passes through a wall of theirs cannot be followed");
        let (Some(helicoid), Some(winding)) = (side.helicoid(j, part), side.windings(j).into_iter().find(|w| w.part == part)) else {
            return Err(lost());
        };
        let at = |t: f64| {
            let p = edge.path.at(t);
            let depth = winding.over(p).map_or(f64::NAN, |(_, depth)| depth);
            Vector::new(p.x, p.y, self.z(s, depth))
        };
        let curve = if matches!(edge.trace, Trace::Ring(_)) {
            helix::edge(from, to, helicoid.twist)
        } else {
            let (own, other) = (self.upright(s, edge.trace, &edge.path, true).0, Surface::Helical(helicoid));
            let guides: Vec<Vector> = [from].into_iter().chain(GUIDES.map(at)).chain([to]).collect();
            follow::meeting([&own, &other], &guides).ok_or_else(lost)?
        };
        Ok(self.merger.edge(Edge { start, end, curve }))
    }

    /// The walls and bottoms of the grooves of the face, and what they leave of the outside diameter.
    pub(super) fn around_wound(&mut self, raised: &[Raised; 2], rim: &Surface) -> Result<(), SolidError> {
        for j in 0..self.sides[0].faces.len() {
            let parts = self.sides[0].windings(j);
            let outline = self.outline(j, raised, &parts);
            let mut lines: BTreeMap<usize, Vec<Use>> = BTreeMap::new();
            for (&line, vertices) in &outline.lines {
                lines.insert(line, self.line(vertices)?);
            }
            let open = self.merger.open();
            for (i, winding) in parts.iter().enumerate() {
                let mut uses: Vec<Use> = outline.edges.get(&i).into_iter().flatten().filter_map(|edge| open.get(edge).copied()).collect();
                uses.extend(lines.get(&i).into_iter().flatten().copied());
                uses.extend(lines.get(&(i + 1)).into_iter().flatten().map(|u| Use { is_forward: !u.is_forward, ..*u }));
                let loops = self.loops(uses)?;
                self.held(&loops, j, winding)?;
                let Some(helicoid) = self.sides[0].helicoid(j, winding.part) else { continue };
                for uses in loops {
                    let (key, surface) = (Key::Face(j, element_of(winding.part)), Surface::Helical(helicoid));
                    self.merger.piece(Piece { key, surface, is_outward: false, name: "face groove".to_owned(), is_cut: Some(true), uses });
                }
            }
        }
        let (words, is_cut) = (name::of(Feature::OutsideDiameter), name::is_cut(Feature::OutsideDiameter, self.job));
        let left: Vec<Use> = self.merger.open().into_values().collect();
        for uses in self.loops(left)? {
            self.merger.piece(Piece { key: Key::Rim, surface: rim.clone(), is_outward: true, name: words.clone(), is_cut, uses });
        }
        Ok(())
    }

    /// Edges of the parts of a groove's outline on both sides, and the vertices on the lines between them.
    fn outline(&self, j: usize, raised: &[Raised; 2], parts: &[Winding]) -> Outline {
        let mut outline = Outline::default();
        let place_of = |part: usize| parts.iter().position(|w| w.part == part).unwrap_or(0);
        for (s, raised) in raised.iter().enumerate() {
            let traced = self.sides[s].edges.iter().zip(&raised.edges).filter_map(|(edge, over)| match (edge.trace, over) {
                (Trace::Face(of, part), [Some(over), None] | [None, Some(over)]) if of == j => Some((part, *over)),
                _ => None,
            });
            let through = self.across[s].iter().flat_map(|(e, all)| all.iter().zip(raised.across.get(e).into_iter().flatten()));
            let through = through.filter(|(across, _)| across.of[0] == j).map(|(across, &over)| (across.of[1], over));
            for (part, edge) in traced.chain(through) {
                outline.edges.entry(place_of(part)).or_default().insert(edge);
            }
        }
        for (i, winding) in parts.iter().enumerate() {
            let Some(helicoid) = self.sides[0].helicoid(j, winding.part) else { continue };
            let ends = outline.edges.get(&i).into_iter().flatten().flat_map(|&edge| self.merger.ends(Use { edge, is_forward: true }));
            for vertex in ends {
                let p = helicoid.local(self.merger.columns.place(vertex));
                for (share, line) in winding.ends.into_iter().zip([i, i + 1]) {
                    let at = winding.surface.element.at(share);
                    if (at.0 - p.0).hypot(at.1 - p.1) < ON_LINE {
                        outline.lines.entry(line).or_default().insert(vertex);
                    }
                }
            }
        }
        outline
    }

    /// The edges along a line between two parts, where it bounds stone: from side A to side B it goes in and out.
    fn line(&mut self, vertices: &BTreeSet<usize>) -> Result<Vec<Use>, SolidError> {
        let mut sorted: Vec<(f64, usize)> = vertices.iter().map(|&v| (self.merger.columns.place(v).z, v)).collect();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut uses = Vec::new();
        for pair in sorted.chunks(2) {
            let &[(_, from), (_, to)] = pair else { return Err(open()) };
            uses.push(self.merger.helix(from, to));
        }
        Ok(uses)
    }

    /// The loops that edges make, each going on where the one before ends.
    fn loops(&self, uses: Vec<Use>) -> Result<Vec<Vec<Use>>, SolidError> {
        let count = uses.len();
        let mut from: BTreeMap<usize, Use> = uses.into_iter().map(|u| (self.merger.ends(u)[0], u)).collect();
        if from.len() < count {
            return Err(open());
        }
        let mut loops = Vec::new();
        while let Some((start, first)) = from.pop_first() {
            let mut uses = vec![first];
            let mut at = self.merger.ends(first)[1];
            while at != start {
                let next = from.remove(&at).ok_or_else(open)?;
                at = self.merger.ends(next)[1];
                uses.push(next);
            }
            loops.push(uses);
        }
        Ok(loops)
    }

    /// Holds that no loop of a part is a hole in it, which would need the loop around it.
    fn held(&self, loops: &[Vec<Use>], j: usize, winding: &Winding) -> Result<(), SolidError> {
        let Some(helicoid) = self.sides[0].helicoid(j, winding.part) else { return Ok(()) };
        let area = |uses: &Vec<Use>| {
            let at: Vec<(f64, f64)> = uses
                .iter()
                .map(|&u| self.merger.columns.place(self.merger.ends(u)[0]))
                .map(|p| {
                    let (u, v) = helicoid.local(p);
                    (helicoid.element.share(u, v), p.z)
                })
                .collect();
            at.iter().zip(at.iter().cycle().skip(1)).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>()
        };
        let areas: Vec<f64> = loops.iter().map(area).collect();
        let all: f64 = areas.iter().sum();
        if areas.iter().any(|area| area.signum() != all.signum()) {
            let why = "a groove of a side cuts a hole into a wall of theirs".to_owned();
            return Err(SolidError { feature: "the grooves of the face".to_owned(), why });
        }
        Ok(())
    }
}

fn open() -> SolidError {
    SolidError { feature: "the grooves of the face".to_owned(), why: "their walls and those of the sides' grooves do not close".to_owned() }
}

//! Pieces of faces become faces: edges between pieces of one surface fall away, what is left of their loops is linked, and only what is used is kept.

use super::bottom::Piece as BottomPiece;
use super::{Edge, Face, Solid, SolidError, Surface, Use, Vector, helix};
use crate::geometry::Point;
use crate::tolerance::SAME_LENGTH;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// What a piece of a face lies on; pieces with the same key and an edge in common are one face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Key {
    /// A span of a turned side.
    Turned(usize, usize),
    /// A piece of a groove's bottom.
    Bottom(usize, usize, BottomPiece),
    /// The flat bottoms of a side's grooves that lie in one plane.
    Floor(usize),
    /// The wall of a recess step.
    Ring(usize, usize),
    /// An element of a groove's outline.
    Wall(usize, usize, usize),
    /// An element of the outline of a face groove.
    Face(usize, usize),
    /// The outside diameter.
    Rim,
    /// The bore.
    Bore,
}

/// A part of a face, with one loop.
#[derive(Debug)]
pub struct Piece {
    /// What it lies on.
    pub key: Key,
    /// The surface.
    pub surface: Surface,
    /// Whether the surface's own normal points out of the wheel.
    pub is_outward: bool,
    /// In words.
    pub name: String,
    /// Whether altering made it.
    pub is_cut: Option<bool>,
    /// Counter-clockwise as seen from outside.
    pub uses: Vec<Use>,
}

/// One edge of a chain, with its columns and its z at both ends as the chain runs along.
#[derive(Debug, Clone, Copy)]
pub struct Step {
    /// The edge.
    pub with: Use,
    /// Columns at its beginning and its end.
    pub columns: [usize; 2],
    /// z there, mm.
    pub z: [f64; 2],
}

/// Vertices above each other share a column.
#[derive(Debug, Default)]
pub struct Columns {
    levels: BTreeMap<usize, Vec<(f64, usize)>>,
    vertices: Vec<Vector>,
}

impl Columns {
    /// Wants a vertex at this height.
    pub fn add(&mut self, column: usize, z: f64) {
        let levels = self.levels.entry(column).or_default();
        if levels.iter().all(|l| (l.0 - z).abs() > SAME_LENGTH) {
            levels.push((z, 0));
        }
    }

    /// Makes the vertices over these places.
    pub fn settle(&mut self, places: &[Point]) {
        for (&column, levels) in &mut self.levels {
            levels.sort_by(|a, b| a.0.total_cmp(&b.0));
            for level in levels {
                level.1 = self.vertices.len();
                self.vertices.push(Vector::new(places[column].x, places[column].y, level.0));
            }
        }
    }

    /// Where a vertex lies.
    pub fn place(&self, vertex: usize) -> Vector {
        self.vertices[vertex]
    }

    fn level(&self, column: usize, z: f64) -> usize {
        let levels = self.levels.get(&column).map_or(&[] as &[(f64, usize)], Vec::as_slice);
        let near = |i: &usize| (levels[*i].0 - z).abs();
        (0..levels.len()).min_by(|a, b| near(a).total_cmp(&near(b))).unwrap_or(0)
    }

    /// The vertex of a column at a height.
    pub fn vertex(&self, column: usize, z: f64) -> usize {
        self.levels.get(&column).map_or(0, |levels| levels[self.level(column, z)].1)
    }
}

/// Pieces, edges and vertices on their way to a solid.
#[derive(Debug, Default)]
pub struct Merger {
    /// The vertices.
    pub columns: Columns,
    /// Edges that close what goes round, if anything does there.
    pub seams: BTreeSet<usize>,
    /// Edges that part in two what goes round under the grooves, where it does.
    pub parts: BTreeSet<usize>,
    edges: Vec<Edge>,
    uprights: BTreeMap<(usize, usize), usize>,
    /// Turn of the face's grooves for each mm of z, radians in the order's sense.
    pub twist: f64,
    helices: BTreeMap<(usize, usize), usize>,
    pieces: Vec<Piece>,
}

impl Merger {
    /// Adds an edge; its index.
    pub fn edge(&mut self, edge: Edge) -> usize {
        self.edges.push(edge);
        self.edges.len() - 1
    }

    /// Adds a piece.
    pub fn piece(&mut self, piece: Piece) {
        self.pieces.push(piece);
    }

    /// The upright edges of a column from one height to another, from vertex to vertex.
    fn upright_edges(&mut self, column: usize, from: f64, to: f64) -> Vec<Use> {
        let (a, b) = (self.columns.level(column, from), self.columns.level(column, to));
        let mut uses = Vec::new();
        for level in a.min(b)..a.max(b) {
            let levels = &self.columns.levels[&column];
            let (start, end) = (levels[level].1, levels[level + 1].1);
            let edges = &mut self.edges;
            let edge = *self.uprights.entry((column, level)).or_insert_with(|| {
                edges.push(Edge { start, end, curve: super::Curve::Line });
                edges.len() - 1
            });
            uses.push(Use { edge, is_forward: true });
        }
        if b < a {
            reverse(&mut uses);
        }
        uses
    }

    /// The edges from a column's height to another's, or to another height of the same.
    fn rising(&mut self, from: (usize, f64), to: (usize, f64)) -> Vec<Use> {
        if from.0 == to.0 {
            return self.upright_edges(from.0, from.1, to.1);
        }
        let [start, end] = [from, to].map(|(column, z)| self.columns.vertex(column, z));
        vec![self.helix(start, end)]
    }

    /// The edge from one vertex to another that runs as the grooves of the face do.
    pub fn helix(&mut self, start: usize, end: usize) -> Use {
        let key = (start.min(end), start.max(end));
        let (edges, columns, twist) = (&mut self.edges, &self.columns, self.twist);
        let edge = *self.helices.entry(key).or_insert_with(|| {
            let curve = helix::edge(columns.place(key.0), columns.place(key.1), twist);
            edges.push(Edge { start: key.0, end: key.1, curve });
            edges.len() - 1
        });
        Use { edge, is_forward: start == key.0 }
    }

    /// Vertices at the beginning and the end of an edge as it is run along.
    pub fn ends(&self, with: Use) -> [usize; 2] {
        let edge = &self.edges[with.edge];
        if with.is_forward { [edge.start, edge.end] } else { [edge.end, edge.start] }
    }

    /// Of each edge that only one piece has, what the other is to have, by edge.
    pub fn open(&self) -> BTreeMap<usize, Use> {
        let mut open = BTreeMap::new();
        for &u in self.pieces.iter().flat_map(|piece| &piece.uses) {
            if open.remove(&u.edge).is_none() {
                open.insert(u.edge, Use { is_forward: !u.is_forward, ..u });
            }
        }
        open
    }

    /// Heights at the beginning and the end of an edge as it is run along.
    fn heights(&self, with: Use) -> [f64; 2] {
        let edge = &self.edges[with.edge];
        let z = [edge.start, edge.end].map(|v| self.columns.vertices[v].z);
        if with.is_forward { z } else { [z[1], z[0]] }
    }

    /// The loop of a wall: the lower edge, up, the upper edge back, down; both edges as the wall is travelled, over these columns.
    pub fn upright(&mut self, low: Use, high: Use, columns: [usize; 2]) -> Vec<Use> {
        let (low_z, high_z) = (self.heights(low), self.heights(high));
        let mut uses = vec![low];
        uses.extend(self.upright_edges(columns[1], low_z[1], high_z[1]));
        uses.push(Use { is_forward: !high.is_forward, ..high });
        uses.extend(self.upright_edges(columns[0], high_z[0], low_z[0]));
        uses
    }

    /// The loop of a wall between two chains, both as the wall is travelled: the lower, up, the upper back, down.
    pub fn between(&mut self, low: &[Step], high: &[Step]) -> Vec<Use> {
        let (Some(first), Some(last), Some(over_first), Some(over_last)) = (low.first(), low.last(), high.first(), high.last()) else {
            return Vec::new();
        };
        let mut uses = self.run(low);
        uses.extend(self.rising((last.columns[1], last.z[1]), (over_last.columns[1], over_last.z[1])));
        let mut back = self.run(high);
        reverse(&mut back);
        uses.extend(back);
        uses.extend(self.rising((over_first.columns[0], over_first.z[0]), (first.columns[0], first.z[0])));
        uses
    }

    fn run(&mut self, chain: &[Step]) -> Vec<Use> {
        let mut uses = Vec::new();
        for (i, step) in chain.iter().enumerate() {
            if let Some(before) = i.checked_sub(1).map(|i| chain[i]) {
                uses.extend(self.upright_edges(step.columns[0], before.z[1], step.z[0]));
            }
            uses.push(step.with);
        }
        uses
    }

    /// The solid.
    ///
    /// # Errors
    /// Where an edge is not between two pieces.
    pub fn solid(mut self) -> Result<Solid, SolidError> {
        let open = || SolidError { feature: "the grooves".to_owned(), why: "their walls do not close".to_owned() };
        // every use of an edge by piece and place in its loop
        let mut of: Vec<Vec<(usize, usize)>> = vec![Vec::new(); self.edges.len()];
        for (p, piece) in self.pieces.iter().enumerate() {
            piece.uses.iter().enumerate().for_each(|(i, u)| of[u.edge].push((p, i)));
        }
        let is_forward = |(p, i): (usize, usize)| self.pieces[p].uses[i].is_forward;
        if of.iter().any(|uses| !(uses.is_empty() || uses.len() == 2 && is_forward(uses[0]) != is_forward(uses[1]))) {
            return Err(open());
        }
        let (roots, dropped) = self.united(&of);
        let done = self.pieces.iter().map(|piece| vec![false; piece.uses.len()]).collect();
        let mut linked = Linked { pieces: &self.pieces, of: &of, dropped: &dropped, done };
        let mut faces: BTreeMap<usize, Vec<Vec<Use>>> = BTreeMap::new();
        for (p, piece) in self.pieces.iter().enumerate() {
            for i in 0..piece.uses.len() {
                if let Some(round) = linked.round((p, i)).ok_or_else(open)? {
                    faces.entry(roots[p]).or_default().push(round);
                }
            }
        }
        let faces: Vec<(usize, Vec<Vec<Use>>)> = faces.into_iter().collect();
        Ok(self.kept(faces))
    }

    /// The first piece of the face each piece is part of, and the edges that fall away.
    fn united(&self, of: &[Vec<(usize, usize)>]) -> (Vec<usize>, Vec<bool>) {
        let mut sets = Sets((0..self.pieces.len()).collect());
        let mut dropped = vec![false; self.edges.len()];
        let same = |e: usize| {
            let &[(a, _), (b, _)] = of[e].as_slice() else { return None };
            (self.pieces[a].key == self.pieces[b].key).then_some((a, b))
        };
        let mut is_set_aside = vec![false; self.edges.len()];
        self.uprights.values().chain(&self.seams).chain(&self.parts).for_each(|&e| is_set_aside[e] = true);
        for e in (0..self.edges.len()).filter(|&e| !is_set_aside[e]) {
            if let Some((a, b)) = same(e) {
                sets.unite(a, b);
                dropped[e] = true;
            }
        }
        let mut columns: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        self.uprights.iter().for_each(|(&(column, _), &e)| columns.entry(column).or_default().push(e));
        // the edges of one column fall away together, or close together what goes round
        for edges in columns.values().cloned().chain(self.seams.iter().map(|&e| vec![e])) {
            let pairs: Vec<(usize, (usize, usize))> = edges.into_iter().filter_map(|e| Some((e, same(e)?))).collect();
            let closing: Vec<bool> = pairs.iter().map(|(_, (a, b))| sets.root(*a) == sets.root(*b)).collect();
            for (&(e, (a, b)), closes) in pairs.iter().zip(closing) {
                let goes_round = !matches!(self.pieces[a].surface, Surface::Plane { .. });
                if !(closes && goes_round) {
                    sets.unite(a, b);
                    dropped[e] = true;
                }
            }
        }
        for &e in &self.parts {
            dropped[e] = same(e).is_some_and(|(a, b)| sets.root(a) == sets.root(b));
        }
        ((0..self.pieces.len()).map(|p| sets.root(p)).collect(), dropped)
    }

    /// The faces with the edges and vertices they use.
    fn kept(&mut self, faces: Vec<(usize, Vec<Vec<Use>>)>) -> Solid {
        let mut solid = Solid { vertices: Vec::new(), edges: Vec::new(), faces: Vec::new(), sectors: 1 };
        let mut vertices: HashMap<usize, usize> = HashMap::new();
        let mut edges: HashMap<usize, usize> = HashMap::new();
        for (p, mut loops) in faces {
            let extent = |uses: &Vec<Use>| {
                let at = uses.iter().map(|u| self.columns.vertices[self.edges[u.edge].start]);
                let far = at.clone().map(|p| p.norm()).fold(0.0, f64::max);
                let (low, high) = at.fold((f64::MAX, f64::MIN), |(a, b), p| (a.min(p.x), b.max(p.x)));
                (high - low).max(far)
            };
            loops.sort_by(|a, b| extent(b).total_cmp(&extent(a)));
            for u in loops.iter_mut().flatten() {
                u.edge = *edges.entry(u.edge).or_insert_with(|| {
                    let Edge { start, end, curve } = self.edges[u.edge].clone();
                    let [start, end] = [start, end].map(|v| {
                        *vertices.entry(v).or_insert_with(|| {
                            solid.vertices.push(self.columns.vertices[v]);
                            solid.vertices.len() - 1
                        })
                    });
                    solid.edges.push(Edge { start, end, curve });
                    solid.edges.len() - 1
                });
            }
            let piece = &self.pieces[p];
            solid.faces.push(Face {
                name: piece.name.clone(),
                is_cut: piece.is_cut,
                surface: piece.surface.clone(),
                is_outward: piece.is_outward,
                loops,
            });
        }
        solid
    }
}

/// Loops of pieces as they are linked where edges fell away.
struct Linked<'a> {
    pieces: &'a [Piece],
    of: &'a [Vec<(usize, usize)>],
    dropped: &'a [bool],
    /// Of each piece and use, whether a loop has it.
    done: Vec<Vec<bool>>,
}

impl Linked<'_> {
    /// The loop from a use on; the inner `None` where it fell away or is known, the outer where the loop has no end.
    #[allow(clippy::option_option)]
    fn round(&mut self, start: (usize, usize)) -> Option<Option<Vec<Use>>> {
        let of = |(p, i): (usize, usize)| self.pieces[p].uses[i];
        if self.dropped[of(start).edge] || self.done[start.0][start.1] {
            return Some(None);
        }
        let mut uses = Vec::new();
        let mut at = start;
        loop {
            uses.push(of(at));
            self.done[at.0][at.1] = true;
            at = self.after(at)?;
            if at == start {
                return Some(Some(uses));
            }
            if self.done[at.0][at.1] {
                return None;
            }
        }
    }

    /// The use that follows one, round what fell away.
    fn after(&self, (p, i): (usize, usize)) -> Option<(usize, usize)> {
        let mut next = (p, (i + 1) % self.pieces[p].uses.len());
        for _ in 0..self.pieces.len() + self.dropped.len() {
            let edge = self.pieces[next.0].uses[next.1].edge;
            if !self.dropped[edge] {
                return Some(next);
            }
            let twin = *self.of[edge].iter().find(|u| **u != next)?;
            next = (twin.0, (twin.1 + 1) % self.pieces[twin.0].uses.len());
        }
        None
    }
}

/// Which pieces are one face.
struct Sets(Vec<usize>);

impl Sets {
    fn root(&mut self, p: usize) -> usize {
        let mut root = p;
        while self.0[root] != root {
            root = self.0[root];
        }
        let mut at = p;
        while self.0[at] != root {
            at = std::mem::replace(&mut self.0[at], root);
        }
        root
    }

    fn unite(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
    }
}

/// The same loop the other way round.
pub fn reverse(uses: &mut [Use]) {
    uses.reverse();
    uses.iter_mut().for_each(|u| u.is_forward = !u.is_forward);
}

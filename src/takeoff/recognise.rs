//! From a closed contour in (r, z) to the sizes of a wheel: what is the bore, what a recess, what the nominal side line, what a corner.

use super::{TakeoffError, not};
use crate::geometry::{Arc, Edge, Line, Point};
use crate::quantity::trimmed;
use crate::section::Section;
use crate::tolerance::DRAWN_EXACT;
use crate::wheel::{Corner, RecessStep, Side, Taper};

/// Sizes as drawn, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Outside diameter.
    pub outside_diameter: f64,
    /// Thickness between the datum planes.
    pub thickness: f64,
    /// Bore.
    pub bore: f64,
    /// Bore chamfers of side A and side B.
    pub chamfers: [f64; 2],
    /// The sides, without grooves.
    pub sides: [Side; 2],
    /// Where side A's datum plane lies along the axis in the contour that was read.
    pub datum: f64,
}

/// Reads a contour, counter-clockwise in (r, z). `gap` is how far ends may be apart, mm.
pub fn recognise(edges: &[Edge], gap: f64) -> Result<Shape, TakeoffError> {
    let tol = (gap / 4.0).max(DRAWN_EXACT);
    let edges = runs(edges, tol);
    let bounds = edges.iter().map(Edge::bounds).reduce(|a, b| a.union(b)).ok_or_else(|| not("it has no edges"))?;
    let (low, high) = (bounds.min, bounds.max);
    if low.x <= tol {
        return Err(not("it reaches to its axis: there is no bore"));
    }
    let upright = |r: f64| {
        let is_it = |e: &Edge| matches!(wall(e, tol), Some(at) if (at - r).abs() <= 2.0 * tol);
        let found: Vec<usize> = (0..edges.len()).filter(|&i| is_it(&edges[i])).collect();
        found
    };
    let (rims, bores) = (upright(high.x), upright(low.x));
    let (&[rim], &[bore]) = (rims.as_slice(), bores.as_slice()) else {
        return Err(not("bore and outside diameter are not one straight line each"));
    };
    let n = edges.len();
    let between = |from: usize, to: usize| -> Vec<Edge> {
        (1..).map(|i| (from + i) % n).take_while(|i| *i != to).take(n).map(|i| edges[i]).collect()
    };
    let (r_bore, r_rim) = (mean(&edges[bore]).x, mean(&edges[rim]).x);
    let down = |e: &Edge| e.translated(Point::new(0.0, -low.y));
    let up = |e: &Edge| e.mirrored_y().translated(Point::new(0.0, high.y));
    let side_a: Vec<Edge> = between(bore, rim).iter().map(down).collect();
    let side_b: Vec<Edge> = between(rim, bore).iter().rev().map(|e| up(&e.reversed())).collect();
    let reader = Reader { r_bore, r_rim, tol };
    let a = reader.side(&side_a).map_err(|why| on('A', why))?;
    let b = reader.side(&side_b).map_err(|why| on('B', why))?;
    Ok(Shape {
        outside_diameter: 2.0 * r_rim,
        thickness: high.y - low.y + a.shift + b.shift,
        bore: 2.0 * r_bore,
        chamfers: [a.chamfer, b.chamfer],
        datum: low.y - a.shift,
        sides: [a.side, b.side],
    })
}

fn on(side: char, why: TakeoffError) -> TakeoffError {
    match why {
        TakeoffError::NotUnderstood(why) => TakeoffError::NotUnderstood(format!("side {side}: {why}")),
        other => other,
    }
}

/// Greatest distance between what was drawn and the section, either way, mm.
pub fn deviation(drawn: &[Edge], section: &Section, shape: &Shape) -> f64 {
    let made: Vec<Edge> =
        section.contour().edges().iter().map(|e| e.translated(Point::new(0.0, shape.datum))).collect();
    one_way(drawn, &made).max(one_way(&made, drawn))
}

fn one_way(from: &[Edge], to: &[Edge]) -> f64 {
    let places = from.iter().flat_map(|e| (0..=8).map(|i| e.at(f64::from(i) / 8.0)));
    let far = places.map(|p| to.iter().map(|e| e.distance(p)).fold(f64::INFINITY, f64::min));
    far.fold(0.0, f64::max)
}

/// Neighbouring lines on one straight line, and arcs of one circle, joined.
fn runs(edges: &[Edge], tol: f64) -> Vec<Edge> {
    let mut list: Vec<Edge> = Vec::new();
    for &edge in edges {
        match list.last().and_then(|last| joined(last, &edge, tol)) {
            Some(both) => {
                list.pop();
                list.push(both);
            }
            None => list.push(edge),
        }
    }
    while list.len() > 1 {
        let Some(both) = joined(&list[list.len() - 1], &list[0], tol) else { break };
        list.pop();
        list[0] = both;
    }
    list
}

fn joined(a: &Edge, b: &Edge, tol: f64) -> Option<Edge> {
    match (a, b) {
        (Edge::Line(a), Edge::Line(b)) => {
            let along = (b.end - a.start).unit()?;
            let off = |p: Point| along.cross(p - a.start).abs() <= tol;
            let forwards = along.dot(a.end - a.start) > 0.0 && along.dot(b.end - b.start) > 0.0;
            (off(a.end) && off(b.start) && forwards).then(|| Edge::line(a.start, b.end))
        }
        (Edge::Arc(a), Edge::Arc(b)) => {
            let same = a.centre().distance(b.centre()) <= tol && (a.radius() - b.radius()).abs() <= tol;
            if !same || a.turn() != b.turn() {
                return None;
            }
            // both ends are put on the first arc's circle
            let on = |p: Point| (p - a.centre()).unit().map(|u| a.centre() + u * a.radius());
            Edge::arc(a.start(), on(b.end())?, a.centre(), a.radius(), a.turn()).ok()
        }
        _ => None,
    }
}

fn mean(edge: &Edge) -> Point {
    edge.start().lerp(edge.end(), 0.5)
}

/// The radius of a line that runs along the axis.
fn wall(edge: &Edge, tol: f64) -> Option<f64> {
    let Edge::Line(l) = edge else { return None };
    ((l.end.x - l.start.x).abs() <= tol && (l.end.y - l.start.y).abs() > tol).then(|| mean(edge).x)
}

/// The depth of a line that runs along the radius.
fn flat(edge: &Edge, tol: f64) -> Option<f64> {
    let Edge::Line(l) = edge else { return None };
    ((l.end.y - l.start.y).abs() <= tol && (l.end.x - l.start.x).abs() > tol).then(|| mean(edge).y)
}

/// One side that was read.
struct Read {
    side: Side,
    chamfer: f64,
    /// How far the datum plane lies outside of all that is drawn, mm: a corner may cut its last point off.
    shift: f64,
}

struct Reader {
    r_bore: f64,
    r_rim: f64,
    tol: f64,
}

impl Reader {
    /// One side: edges in (r, depth) from the bore outwards.
    fn side(&self, edges: &[Edge]) -> Result<Read, TakeoffError> {
        let (chamfer, rest) = self.chamfer(edges);
        let steps = rest.iter().rposition(|e| self.ends_step(e)).map_or(0, |i| i + 1);
        let (recess, flank) = rest.split_at(steps);
        let mut recess = self.recess(recess)?;
        let (corner, line) = self.corner(flank)?;
        let (mut taper, shift) = self.taper(line, recess.is_empty(), chamfer)?;
        recess.iter_mut().for_each(|step| step.depth += shift);
        if let Some(taper) = taper.as_mut().filter(|t| t.from_diameter > t.to_diameter) {
            taper.depth += shift;
        }
        Ok(Read { side: Side { recess, taper, corner, grooves: None }, chamfer, shift })
    }

    /// The chamfer of the bore: a slope that falls outwards from the bore at about half a right angle.
    fn chamfer<'a>(&self, edges: &'a [Edge]) -> (f64, &'a [Edge]) {
        let Some((Edge::Line(l), rest)) = edges.split_first() else { return (0.0, edges) };
        let (run, fall) = (l.end.x - l.start.x, l.start.y - l.end.y);
        let is_one =
            (l.start.x - self.r_bore).abs() <= 2.0 * self.tol && run > self.tol && fall > run / 2.0 && fall < 2.0 * run;
        if is_one { (l.end.x - self.r_bore, rest) } else { (0.0, edges) }
    }

    /// Whether a step of a recess ends with this edge: at its wall, or at a fillet that leaves none of the wall.
    fn ends_step(&self, edge: &Edge) -> bool {
        match edge {
            Edge::Line(l) => wall(edge, self.tol).is_some() && l.end.y < l.start.y,
            Edge::Arc(a) => self.is_fillet(a) && (a.end().x - (a.centre().x + a.radius())).abs() <= self.tol,
        }
    }

    /// Concave: it hangs below its centre, into the wheel.
    fn is_fillet(&self, arc: &Arc) -> bool {
        arc.at(0.5).y > arc.centre().y && arc.at(0.5).x > arc.centre().x
    }

    /// Steps from the outermost in.
    fn recess(&self, edges: &[Edge]) -> Result<Vec<RecessStep>, TakeoffError> {
        let mut steps: Vec<RecessStep> = Vec::new();
        let mut at = 0;
        while at < edges.len() {
            let floor = flat(&edges[at], self.tol);
            at += usize::from(floor.is_some());
            let fillet = match edges.get(at) {
                Some(Edge::Arc(a)) if self.is_fillet(a) => Some(*a),
                _ => None,
            };
            at += usize::from(fillet.is_some());
            let upright = edges.get(at).and_then(|e| wall(e, self.tol));
            at += usize::from(upright.is_some());
            let radius = upright.or(fillet.map(|a| a.centre().x + a.radius()));
            let depth = floor.or(fillet.map(|a| a.centre().y + a.radius()));
            let (Some(radius), Some(depth)) = (radius, depth) else {
                return Err(strange(edges.get(at).or(edges.last()), "no part of a recess with flat floors"));
            };
            steps.push(RecessStep { diameter: 2.0 * radius, depth, fillet_radius: fillet.map_or(0.0, |a| a.radius()) });
        }
        steps.reverse();
        Ok(steps)
    }

    /// The corner at the outside diameter, and what lies before it.
    fn corner<'a>(&self, flank: &'a [Edge]) -> Result<(Option<Corner>, &'a [Edge]), TakeoffError> {
        let Some((last, line)) = flank.split_last() else { return Ok((None, flank)) };
        match last {
            Edge::Arc(a) => {
                let touches = (a.centre().x + a.radius() - self.r_rim).abs() <= 2.0 * self.tol;
                if !touches || a.at(0.5).y >= a.centre().y {
                    return Err(strange(Some(last), "no corner that is tangent to the outside diameter"));
                }
                Ok((Some(Corner::Radius(a.radius())), line))
            }
            Edge::Line(l) => {
                let (run, fall) = (l.end.x - l.start.x, l.end.y - l.start.y);
                let slopes = flank.iter().filter(|e| flat(e, self.tol).is_none()).count();
                let is_chamfer = fall > self.tol && (slopes > 1 || fall > run * LEAST_CHAMFER_SLOPE);
                if !is_chamfer {
                    return Ok((None, flank));
                }
                // from the nominal side line's point at the outside diameter
                let before = line.last().and_then(slope_of).map_or(0.0, |k| k * run);
                let angle_deg = (fall - before).atan2(run).to_degrees();
                Ok((Some(Corner::Chamfer { run, angle_deg }), line))
            }
        }
    }

    /// The nominal side line: flat, or with one slope; and how far its datum plane lies outside of what is drawn.
    fn taper(&self, line: &[Edge], no_recess: bool, chamfer: f64) -> Result<(Option<Taper>, f64), TakeoffError> {
        let slopes: Vec<usize> = (0..line.len()).filter(|&i| flat(&line[i], self.tol).is_none()).collect();
        let (before, slope, after) = match slopes.as_slice() {
            [] => {
                let deep = line.iter().find(|e| mean(e).y > 2.0 * self.tol);
                return deep.map_or(Ok((None, 0.0)), |e| Err(strange(Some(e), "a flat below the side's own plane")));
            }
            [i] if line.len() <= 3 => (*i > 0, line[*i], line.len() > i + 1),
            [_, second, ..] | [second] => return Err(strange(line.get(*second), "a second slope on one side")),
        };
        let Edge::Line(Line { start, end }) = slope else {
            return Err(strange(Some(&slope), "an arc on the nominal side line"));
        };
        let k = (end.y - start.y) / (end.x - start.x);
        let at = |r: f64| start.y + k * (r - start.x);
        // without a recess the bore's chamfer hides where the line begins
        let inner = if !before && no_recess && chamfer > 0.0 { self.r_bore } else { start.x };
        let outer = if after { end.x } else { self.r_rim };
        if k > 0.0 {
            let shift = (-at(inner)).max(0.0);
            let from = if before || at(inner) <= self.tol { inner } else { inner - at(inner) / k };
            if from <= 0.0 {
                return Err(strange(Some(&slope), "a slope that begins beyond the axis"));
            }
            return Ok((
                Some(Taper { from_diameter: 2.0 * from, to_diameter: 2.0 * outer, depth: at(outer) + shift, ordered_angle_deg: None }),
                shift,
            ));
        }
        let shift = if at(outer).abs() <= self.tol { 0.0 } else { (-at(outer)).max(0.0) };
        let from = if after || at(outer) <= self.tol { outer } else { outer - at(outer) / k };
        Ok((Some(Taper { from_diameter: 2.0 * from, to_diameter: 2.0 * inner, depth: at(inner), ordered_angle_deg: None }), shift))
    }
}

/// A last slope steeper than this is a chamfer, a flatter one a taper: tan 20°.
const LEAST_CHAMFER_SLOPE: f64 = 0.364;

fn slope_of(edge: &Edge) -> Option<f64> {
    let Edge::Line(l) = edge else { return None };
    Some((l.end.y - l.start.y) / (l.end.x - l.start.x))
}

fn strange(edge: Option<&Edge>, what: &str) -> TakeoffError {
    let place = edge.map_or(String::new(), |e| {
        let p = e.at(0.5);
        format!(" at diameter {} mm, depth {} mm", trimmed(2.0 * p.x, 3), trimmed(p.y, 3))
    });
    not(&format!("{what}{place}"))
}

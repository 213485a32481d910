//! Roughing a side in levels: at which radii the centre of a round nose may stand at a depth without touching what must stay.

use super::CuttingError;
use crate::geometry::{Edge, Point};
use crate::quantity::fixed;
use crate::tolerance::{LEAST_CUT, PITCH_FIT, SAME_LENGTH};

/// Most levels of a set-up: more is a slip of the pen.
const MOST_LEVELS: f64 = 2000.0;

/// Places between two breaks of the limit that are looked at, and halvings that find where a level meets it.
const LOOKS: u32 = 6;
const HALVINGS: u32 = 40;

/// How many steps of at most `depth` take off `thick`.
///
/// # Errors
/// Where they would be more than [`MOST_LEVELS`].
pub fn count(thick: f64, depth: f64) -> Result<u32, CuttingError> {
    let n = (thick / depth - PITCH_FIT).ceil().max(0.0);
    if n <= MOST_LEVELS {
        return Ok(n as u32);
    }
    Err(CuttingError::Needs {
        message: format!(
            "{} passes would be needed to take off {} mm; at most {} are written",
            fixed(n, 0),
            fixed(thick, 3),
            fixed(MOST_LEVELS, 0)
        ),
        hint: String::from("give a greater --depth-per-pass"),
    })
}

/// Radii between which the nose's centre may run at a level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The smaller radius.
    pub inner: f64,
    /// The greater.
    pub outer: f64,
}

impl Interval {
    /// Its ends, the one nearer to r first.
    pub fn from(&self, r: f64) -> (f64, f64) {
        if (self.inner - r).abs() < (self.outer - r).abs() {
            (self.inner, self.outer)
        } else {
            (self.outer, self.inner)
        }
    }

    /// Whether another lies within it.
    pub fn holds(&self, other: &Interval) -> bool {
        let middle = (other.inner + other.outer) / 2.0;
        (self.inner..=self.outer).contains(&middle)
    }
}

/// The levels of a side in its set-up's frame: depth w along x, radius along y.
#[derive(Debug, Clone)]
pub struct Levels {
    edges: Vec<Edge>,
    nose: f64,
    /// Places that are looked at, with the limit there.
    looks: Vec<(f64, f64)>,
    ws: Vec<f64>,
}

impl Levels {
    /// The levels above these edges for a nose of this radius, its centre between the inner and outer radius, from `top` down in steps of at most
    /// `depth`; beyond the radius `stone` there is nothing to cut.
    ///
    /// # Errors
    /// Where there would be too many.
    pub fn of(
        edges: Vec<Edge>,
        nose: f64,
        (inner, stone, outer): (f64, f64, f64),
        (top, depth): (f64, f64),
    ) -> Result<Levels, CuttingError> {
        let mut levels = Levels { edges, nose, looks: Vec::new(), ws: Vec::new() };
        let corners = levels.edges.iter().flat_map(|e| [e.start().y, e.end().y]).flat_map(|r| [r - nose, r, r + nose]);
        // exactly where the nose passes from one edge to the next, rounding decides which it touches
        let mut breaks: Vec<f64> = corners.flat_map(|r| [r - 10.0 * SAME_LENGTH, r + 10.0 * SAME_LENGTH]).collect();
        breaks.extend([inner, outer, stone]);
        breaks.retain(|r| (inner..=outer).contains(r));
        breaks.sort_by(f64::total_cmp);
        for pair in breaks.windows(2) {
            for i in 0..LOOKS {
                let r = pair[0] + (pair[1] - pair[0]) * f64::from(i) / f64::from(LOOKS);
                levels.looks.push((r, levels.limit(r)));
            }
        }
        levels.looks.push((outer, levels.limit(outer)));
        let deepest =
            levels.looks.iter().filter(|(r, w)| *r <= stone && w.is_finite()).map(|l| l.1).fold(top, f64::max);
        let n = count(deepest - top, depth)?;
        levels.ws = (1..=n).map(|i| top + (deepest - top) * f64::from(i) / f64::from(n)).collect();
        Ok(levels)
    }

    /// Depth of the nose's centre at a level.
    pub fn w(&self, level: usize) -> f64 {
        self.ws.get(level).copied().unwrap_or(f64::NAN)
    }

    /// Greatest depth at which the nose's centre may stand at r.
    fn limit(&self, r: f64) -> f64 {
        self.edges.iter().map(|e| rest(e, r, self.nose)).fold(f64::INFINITY, f64::min)
    }

    /// Where the nose may run at a level, the outermost first; none where there is no such level.
    pub fn at(&self, level: usize) -> Vec<Interval> {
        let Some(&w) = self.ws.get(level) else { return Vec::new() };
        // the deepest level touches its floor, which rounds to either side
        let w = w - SAME_LENGTH;
        let mut found: Vec<Interval> = Vec::new();
        let mut begin: Option<f64> = None;
        for (i, &(r, limit)) in self.looks.iter().enumerate() {
            let may = limit >= w;
            match (may, begin) {
                (true, None) => begin = Some(if i == 0 { r } else { self.meets(w, r, self.looks[i - 1].0) }),
                (false, Some(inner)) => {
                    found.push(Interval { inner, outer: self.meets(w, self.looks[i - 1].0, r) });
                    begin = None;
                }
                _ => {}
            }
        }
        if let (Some(inner), Some(&(outer, _))) = (begin, self.looks.last()) {
            found.push(Interval { inner, outer });
        }
        found.retain(|i| i.outer - i.inner > LEAST_CUT);
        found.reverse();
        found
    }

    /// Where a level meets the limit between a radius at which the nose may stand and one at which it may not.
    fn meets(&self, w: f64, may: f64, may_not: f64) -> f64 {
        let (mut good, mut bad) = (may, may_not);
        for _ in 0..HALVINGS {
            let middle = (good + bad) / 2.0;
            if self.limit(middle) >= w { good = middle } else { bad = middle }
        }
        good
    }
}

/// Depth at which the centre of a round nose that comes down at radius r rests on an edge; infinite where it passes by.
fn rest(edge: &Edge, r: f64, nose: f64) -> f64 {
    let on_point = |p: Point| {
        let away = p.y - r;
        if away.abs() < nose { p.x - ((nose - away) * (nose + away)).sqrt() } else { f64::INFINITY }
    };
    let ends = on_point(edge.start()).min(on_point(edge.end()));
    let between = match edge {
        Edge::Line(l) => {
            let along = l.end - l.start;
            let normal = along.left().unit().map_or(Point::ORIGIN, |n| if n.x > 0.0 { -n } else { n });
            let share = (r - normal.y * nose - l.start.y) / along.y;
            let touch = l.start + along * share;
            if (0.0..=1.0).contains(&share) { touch.x + normal.x * nose } else { f64::INFINITY }
        }
        Edge::Arc(a) => {
            let away = r - a.centre().y;
            let at = |distance: f64, sign: f64| {
                let w = sign * ((distance - away) * (distance + away)).sqrt();
                let touched = w.is_finite() && a.sweeps(Point::new(w, away).angle());
                if touched { a.centre().x + w } else { f64::INFINITY }
            };
            // outside a rounded corner, or inside a fillet
            let inside = if a.radius() > nose { at(a.radius() - nose, 1.0) } else { f64::INFINITY };
            at(a.radius() + nose, -1.0).min(inside)
        }
    };
    ends.min(between)
}

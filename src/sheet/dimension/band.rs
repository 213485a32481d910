//! A band of linear dimensions along one side of a view.

use super::label::Label;
use super::lanes::{self, Placed, Seat, Wanted};
use super::mark::{self, ARROW};
use crate::drawing::{Group, Item};
use crate::geometry::{Bounds, Point};
use crate::size::Subject;
use crate::tolerance::SAME_PLACE;

/// First dimension line off the outline, mm.
const FIRST: f64 = 10.0;
/// Least distance of neighbouring dimension lines, mm.
const PITCH: f64 = 8.0;
/// Gap between feature and extension line, mm.
const GAP: f64 = 1.0;
/// Extension line beyond its dimension line, mm.
const OVERSHOOT: f64 = 2.0;
/// Text above its dimension line, mm.
const TEXT_GAP: f64 = 1.0;
/// Clear width text needs to lines of others, mm, with half a line's width.
const CLEAR: f64 = 1.0;
/// Clear width text needs to the next lane, mm: to its arrowheads.
const BELOW_LANE: f64 = 1.5;
/// Tail of an arrow that points inwards from outside, mm, arrowhead included.
const TAIL: f64 = 7.0;
/// Extension lines nearer than this are bent apart, mm: 0.7 clear and one narrow line.
const APART: f64 = 1.2;
/// Arrows point outwards from inside where the line is at least this long, mm.
const ROOM_FOR_ARROWS: f64 = 2.0 * ARROW + 2.0;
/// Dots may stand instead of arrows where the line is at least this long, mm.
const ROOM_FOR_DOTS: f64 = 1.15;
/// Radius of those dots, mm.
const DOT: f64 = 0.4;
/// Text keeps this far from the outline, mm: centre lines run 3 mm beyond it.
const NEAR: f64 = 3.2;
/// Where bent extension lines are straight again, mm off the outline.
const BENT: f64 = 6.0;
/// Extension lines nearer than this would run together inside the part, mm.
const LINE_GAP: f64 = 0.7;
/// Which side of the view the band lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BandSide {
    /// Upright dimension lines left of the part.
    Left,
    /// Upright dimension lines right of the part.
    Right,
    /// Level dimension lines above the part.
    Top,
    /// Level dimension lines below the part.
    Bottom,
}

/// One end of a dimension: a point of the part, in the view's coordinates.
pub type End = Point;

/// A distance to dimension.
#[derive(Debug, Clone, PartialEq)]
pub struct Linear {
    /// Id of its group, unique on the sheet.
    pub group: String,
    /// What its group shows.
    pub subject: Subject,
    /// Its two ends on the part.
    pub ends: [End; 2],
    /// What is written on it.
    pub label: Label,
}

/// A band to fill.
#[derive(Debug, Clone)]
pub struct Band {
    side: BandSide,
    edge: f64,
    first: f64,
    limits: (f64, f64),
    wanted: Vec<Linear>,
}

/// How an item's text and arrows lie; the order is that of preference.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Manner {
    /// Text between the extension lines, arrows inside.
    Inside,
    /// Text between the extension lines, arrows outside.
    InsideOut,
    /// Text beyond the upper end.
    PastHigh,
    /// Text beyond the lower end.
    PastLow,
    /// Text over the middle, wider than the line.
    Over,
    /// Text beyond the upper end, dots instead of arrows (ISO 129-1, where there is no room for them).
    DotsPastHigh,
    /// Text beyond the lower end, dots instead of arrows.
    DotsPastLow,
}

impl Manner {
    fn is_dotted(self) -> bool {
        matches!(self, Manner::DotsPastHigh | Manner::DotsPastLow)
    }
}

/// A filled band.
#[derive(Debug, Clone, PartialEq)]
pub struct Filled {
    /// One group for each dimension.
    pub groups: Vec<Group>,
    /// Ids of the groups whose extension lines are bent, so that their arrows are not as far apart as the size is on paper.
    pub bent: Vec<String>,
    /// Distance of the outermost thing from the outline, mm.
    pub depth: f64,
}

impl Band {
    /// An empty band outside this outline.
    pub fn new(side: BandSide, outline: Bounds) -> Band {
        let edge = match side {
            BandSide::Left => -outline.min.x,
            BandSide::Right => outline.max.x,
            BandSide::Top => outline.max.y,
            BandSide::Bottom => -outline.min.y,
        };
        Band { side, edge, first: FIRST, limits: (f64::MIN, f64::MAX), wanted: Vec::new() }
    }

    /// The same with nothing drawn outside these limits along the band.
    pub fn within(self, low: f64, high: f64) -> Band {
        Band { limits: (low, high), ..self }
    }

    /// Adds a dimension.
    pub fn add(&mut self, linear: Linear) {
        self.wanted.push(linear);
    }

    /// (t, q) of a point: along the band, and outwards from the outline.
    fn local(&self, p: Point) -> (f64, f64) {
        match self.side {
            BandSide::Left => (p.y, -p.x - self.edge),
            BandSide::Right => (p.y, p.x - self.edge),
            BandSide::Top => (p.x, p.y - self.edge),
            BandSide::Bottom => (p.x, -p.y - self.edge),
        }
    }

    /// The point at t along the band, q outwards from the outline.
    fn point(&self, t: f64, q: f64) -> Point {
        let q = q + self.edge;
        match self.side {
            BandSide::Left => Point::new(-q, t),
            BandSide::Right => Point::new(q, t),
            BandSide::Top => Point::new(t, q),
            BandSide::Bottom => Point::new(t, -q),
        }
    }

    /// Unit vector along the band.
    fn along(&self) -> Point {
        match self.side {
            BandSide::Left | BandSide::Right => Point::new(0.0, 1.0),
            BandSide::Top | BandSide::Bottom => Point::new(1.0, 0.0),
        }
    }

    fn turned_deg(&self) -> f64 {
        if matches!(self.side, BandSide::Left | BandSide::Right) { 90.0 } else { 0.0 }
    }

    /// Whether text above its line lies on the far side of the line from the part.
    fn text_outward(&self) -> bool {
        matches!(self.side, BandSide::Left | BandSide::Top)
    }

    /// Places and draws everything; `None` where it cannot be placed without crossings.
    pub fn fill(&self) -> Option<Filled> {
        let ends = self.spread_ends();
        let is_bent = |i: usize| {
            let own = self.sorted_ends(&self.wanted[i]);
            (0..2).any(|k| (own[k].0 - ends[i][k]).abs() > SAME_PLACE)
        };
        let bent: Vec<String> =
            (0..self.wanted.len()).filter(|&i| is_bent(i)).map(|i| self.wanted[i].group.clone()).collect();
        let manners: Vec<Vec<(Manner, Seat)>> =
            self.wanted.iter().zip(&ends).map(|(w, e)| self.manners(w, *e)).collect();
        let items: Vec<Wanted> = ends
            .iter()
            .zip(&manners)
            .map(|(&ends, m)| Wanted { ends, seats: m.iter().map(|&(_, seat)| seat).collect() })
            .collect();
        let placed = lanes::solve(&items)?;
        let offsets = self.offsets(&placed, !bent.is_empty());
        let groups = (0..self.wanted.len())
            .map(|i| {
                let manner = manners[i][placed[i].seat].0;
                self.draw(i, &ends, manner, offsets[placed[i].lane], &self.reaches(&ends, &placed, &offsets))
            })
            .collect();
        let reach = offsets.last().copied().unwrap_or(0.0);
        let text = if self.text_outward() { self.lane_height(&placed, offsets.len().wrapping_sub(1)) } else { 0.0 };
        Some(Filled { groups, bent, depth: reach + OVERSHOOT.max(text + TEXT_GAP) })
    }

    /// The two ends of an item as (t, q), the lower t first.
    fn sorted_ends(&self, linear: &Linear) -> [(f64, f64); 2] {
        let [a, b] = linear.ends.map(|p| self.local(p));
        if a.0 <= b.0 { [a, b] } else { [b, a] }
    }

    /// Where each item's extension lines stand in the band, after those too near each other were bent apart.
    fn spread_ends(&self) -> Vec<[f64; 2]> {
        let own: Vec<[(f64, f64); 2]> = self.wanted.iter().map(|w| self.sorted_ends(w)).collect();
        let mut places: Vec<f64> = own.iter().flatten().map(|e| e.0).collect();
        places.sort_by(f64::total_cmp);
        places.dedup_by(|a, b| (*a - *b).abs() <= SAME_PLACE);
        let apart = lanes::spread(&places, APART);
        let moved = |t: f64| {
            let i = places.partition_point(|&p| p < t - SAME_PLACE);
            if (places[i] - apart[i]).abs() > SAME_PLACE { apart[i] } else { t }
        };
        own.iter().map(|e| [moved(e[0].0), moved(e[1].0)]).collect()
    }

    /// The ways an item may be drawn, with the interval each covers.
    fn manners(&self, linear: &Linear, [a, b]: [f64; 2]) -> Vec<(Manner, Seat)> {
        let (length, width) = (b - a, linear.label.width);
        let tail = if length >= ROOM_FOR_ARROWS { 0.0 } else { TAIL };
        let beside = 2.0 * CLEAR + 1.0 + width;
        let past = tail.max(CLEAR) + 1.0 + width + CLEAR;
        let mut out = Vec::new();
        let mut add = |manner, low: f64, high: f64, penalty| {
            out.push((manner, Seat { low, high, penalty, covers_ends: manner == Manner::Over }));
        };
        if length >= width + 2.0 * CLEAR {
            if tail == 0.0 {
                add(Manner::Inside, a, b, 0.0);
            } else {
                add(Manner::InsideOut, a - tail, b + tail, 0.5);
            }
        } else {
            add(Manner::PastHigh, a - tail, b + past, 1.0);
            add(Manner::PastLow, a - past, b + tail, 1.2);
            if tail > 0.0 && length >= ROOM_FOR_DOTS {
                add(Manner::DotsPastHigh, a, b + beside, 2.0);
                add(Manner::DotsPastLow, a - beside, b, 2.2);
            }
            if self.text_outward() {
                let half = (width / 2.0 + CLEAR).max(length / 2.0 + tail);
                let middle = (a + b) / 2.0;
                // beside upright lines a text in the middle reads best, above level ones one at the end
                let penalty = if self.side == BandSide::Left { 0.9 } else { 1.6 };
                add(Manner::Over, middle - half, middle + half, penalty);
            }
        }
        out.retain(|(_, seat)| seat.low >= self.limits.0 && seat.high <= self.limits.1);
        out
    }

    /// Height of the highest text on a lane, mm.
    fn lane_height(&self, placed: &[Placed], lane: usize) -> f64 {
        let on = placed.iter().zip(&self.wanted).filter(|(p, _)| p.lane == lane);
        on.map(|(_, w)| w.label.above + w.label.below).fold(0.0, f64::max)
    }

    /// Distance of each lane from the outline.
    fn offsets(&self, placed: &[Placed], bent: bool) -> Vec<f64> {
        let lanes = placed.iter().map(|p| p.lane + 1).max().unwrap_or(0);
        let mut out: Vec<f64> = Vec::with_capacity(lanes);
        for lane in 0..lanes {
            let height = self.lane_height(placed, lane) + TEXT_GAP;
            let before = if bent { BENT } else { NEAR };
            let next = match (out.last(), self.text_outward()) {
                (None, true) => self.first,
                (None, false) => self.first.max(before + height + CLEAR),
                (Some(last), true) => last + PITCH.max(self.lane_height(placed, lane - 1) + TEXT_GAP + BELOW_LANE),
                // text on the near side must clear the overshoot of the lane before
                (Some(last), false) => last + PITCH.max(height + OVERSHOOT + CLEAR),
            };
            out.push(next);
        }
        out
    }

    /// The extension lines: at each distinct place one line from its innermost start to its outermost lane, cut into a piece for every item that
    /// ends there, so that each item owns the piece that reaches it.
    fn reaches(&self, ends: &[[f64; 2]], placed: &[Placed], offsets: &[f64]) -> Vec<Reach> {
        let mut all: Vec<Reach> = Vec::new();
        for (i, e) in ends.iter().enumerate() {
            for (k, &at) in e.iter().enumerate() {
                let (from, start) = self.sorted_ends(&self.wanted[i])[k];
                let to = offsets[placed[i].lane];
                all.push(Reach { owner: i, at, from, start: start + GAP, to, first: true, last: true });
            }
        }
        all.sort_by(|a, b| a.to.total_cmp(&b.to));
        let mut found: Vec<Reach> = Vec::new();
        for mut reach in all {
            let below = found.iter_mut().filter(|r| (r.at - reach.at).abs() <= SAME_PLACE);
            let mut reached: Option<f64> = None;
            for lower in below {
                lower.last = false;
                if lower.first {
                    lower.start = lower.start.min(reach.start);
                }
                reached = Some(reached.map_or(lower.to, |r| r.max(lower.to)));
            }
            if let Some(to) = reached {
                (reach.start, reach.first) = (to, false);
            }
            if reach.first || reach.to > reach.start {
                found.push(reach);
            } else if let Some(same) = found.iter_mut().rev().find(|r| (r.at - reach.at).abs() <= SAME_PLACE) {
                same.last = true;
            }
        }
        parted_inside(&mut found);
        found
    }

    fn draw(&self, i: usize, ends: &[[f64; 2]], manner: Manner, q: f64, reaches: &[Reach]) -> Group {
        let linear = &self.wanted[i];
        let mut group = Group::new(linear.group.clone());
        group.subject = Some(linear.subject);
        let over = |r: &Reach| if r.last && manner != Manner::Over { OVERSHOOT } else { 0.0 };
        for reach in reaches.iter().filter(|r| r.owner == i) {
            group.items.extend(self.extension(reach, over(reach)));
        }
        let [a, b] = ends[i];
        let text_at = self.dimension_line(&mut group, [a, b], manner, q, linear.label.width);
        let lift = TEXT_GAP + linear.label.below;
        let q_text = if self.text_outward() { q + lift } else { q - lift };
        group.items.extend(linear.label.items(self.point(text_at, q_text), self.turned_deg()));
        group
    }

    fn extension(&self, reach: &Reach, over: f64) -> Vec<Item> {
        let end = self.point(reach.at, reach.to + over);
        if reach.at == reach.from || !reach.first {
            return vec![mark::line(self.point(reach.at, reach.start), end)];
        }
        let chain = [
            self.point(reach.from, reach.start),
            self.point(reach.from, GAP.max(reach.start)),
            self.point(reach.at, BENT - GAP),
            end,
        ];
        mark::chain(&chain)
    }

    /// Draws line and arrowheads; returns where the text begins along the band.
    fn dimension_line(&self, group: &mut Group, [a, b]: [f64; 2], manner: Manner, q: f64, width: f64) -> f64 {
        let length = b - a;
        let outside = length < ROOM_FOR_ARROWS;
        let tail = if outside && !manner.is_dotted() { TAIL } else { 0.0 };
        let past = tail.max(CLEAR) + 1.0 + width;
        let (mut low, mut high) = (a - tail, b + tail);
        let text_at = match manner {
            Manner::Inside | Manner::InsideOut | Manner::Over => (a + b - width) / 2.0,
            Manner::PastHigh | Manner::DotsPastHigh => {
                high = b + past;
                high - width
            }
            Manner::PastLow | Manner::DotsPastLow => {
                low = a - past;
                low
            }
        };
        group.items.push(mark::line(self.point(low, q), self.point(high, q)));
        if manner.is_dotted() {
            group.items.extend([a, b].map(|t| mark::dot(self.point(t, q), DOT)));
            return text_at;
        }
        let inward = self.along() * if outside { 1.0 } else { -1.0 };
        group.items.extend(mark::arrow(self.point(a, q), inward));
        group.items.extend(mark::arrow(self.point(b, q), -inward));
        text_at
    }
}

/// Of extension lines that would lie on one another inside the part, the one from deepest keeps its way out; the others begin outside.
fn parted_inside(reaches: &mut [Reach]) {
    let all: Vec<Reach> = reaches.iter().filter(|r| r.first).copied().collect();
    for reach in reaches.iter_mut().filter(|r| r.first && r.start < GAP) {
        let near = |o: &&Reach| o.owner != reach.owner && (o.from - reach.from).abs() < LINE_GAP;
        let deepest = |o: &Reach| (o.start, o.from) < (reach.start, reach.from);
        if all.iter().filter(near).any(deepest) {
            reach.start = GAP;
        }
    }
}

/// A piece of an extension line.
#[derive(Debug, Clone, Copy)]
struct Reach {
    owner: usize,
    /// Where it stands in the band.
    at: f64,
    /// Where its feature is along the band.
    from: f64,
    /// Distance outwards from the outline at which it begins (negative inside).
    start: f64,
    /// How far it must reach.
    to: f64,
    /// Whether it begins at the feature.
    first: bool,
    /// Whether none goes on beyond it.
    last: bool,
}

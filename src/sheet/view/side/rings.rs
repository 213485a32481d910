//! Rings around the places that details show, and their letters.

use super::{
    Called, DetailOf, Drawing, Edge, Fill, Item, Label, LineRole, PI, PLANE_ARROW, Point, RING, RING_DIRECTION, Rings,
    SideGrooveView, TAU, Text, ViewKind, centre_line, groove_detail, mark, nearest, runout_detail,
};
use super::{NOTE_DIRECTION, SKEW_DIRECTION};
use crate::size::{GrooveSet, Subject};

/// Seen direction of the second ring.
const SECOND_RING_DIRECTION: f64 = 1.25 * PI;
/// Most grooves looked at for the place of a ring.
const MOST_TRIED: usize = 90;
/// Most grooves looked at for a ring whose letter is called out.
const MOST_CALLED: usize = 24;
/// By how much higher than the ring its leader may leave the view, mm, in the order they are tried.
const CALLED_RISES: [f64; 7] = [0.0, 12.0, -12.0, 24.0, -24.0, 40.0, -40.0];
/// Where leaders leave the view, mm off the outside diameter.
const LEAVING: f64 = 2.0;
/// Clear distance of a leader from a ring that is not its own, mm.
const RING_CLEAR: f64 = 1.0;
/// Radius of a small ring with its letter right beside it, mm.
const NEAR_RING: f64 = 2.2;
/// From a ring to the middle of its letter, mm.
const RING_LETTER: f64 = 4.5;

/// A ring that is wanted.
struct Ring<'r> {
    name: &'static str,
    letter: char,
    /// Where a large one has room; `None` where it has none.
    at: Option<Point>,
    /// Diameter of its detail on the part, mm.
    size: f64,
    /// Shares of the way along its groove at which a small one may lie.
    shares: &'r [f64],
}

/// What a ring and its leader must not meet, mm of paper.
enum Taken {
    /// Another ring, or a letter: middle and radius.
    Round(Point, f64),
    /// Another leader inside the view.
    Leader((Point, Point)),
}

impl Drawing<'_> {
    /// Where values will be called out, on paper.
    fn targets(&self, grooves: &SideGrooveView) -> Vec<Point> {
        let seen = [NOTE_DIRECTION, SKEW_DIRECTION].into_iter().filter_map(|seen| self.outer_end(grooves, seen));
        let first = grooves.directions.first().copied();
        let place = self.ordered().map(|g| (g.pattern.angle_deg(1) + g.skew_deg).to_radians());
        seen.chain([first, place].into_iter().flatten().map(|d| self.end_of(grooves, d))).collect()
    }

    /// The groove to put a ring around, nearest to a seen direction of those where ring and letter meet nothing called out; `None` where every
    /// groove is too near to something.
    pub(super) fn ring_groove(&self, grooves: &SideGrooveView, wished: f64, taken: Option<f64>) -> Option<f64> {
        let targets = self.targets(grooves);
        let step = grooves.directions.len().div_ceil(MOST_TRIED);
        let apart = |a: f64, b: f64| {
            let turn = (a - b).rem_euclid(TAU);
            turn.min(TAU - turn)
        };
        let angle = |d: f64| self.end_of(grooves, d).angle();
        let taken = taken.map(angle);
        let free = |phi: f64| {
            let other = taken.is_none_or(|t| apart(t, phi) * self.radius() > 4.0 * RING.1);
            other && self.has_room(phi, &targets)
        };
        let candidates = grooves.directions.iter().step_by(step.max(1)).map(|&d| (d, angle(d)));
        let nearest = candidates.filter(|c| free(c.1)).min_by(|a, b| apart(a.1, wished).total_cmp(&apart(b.1, wished)));
        nearest.map(|(direction, _)| direction)
    }

    /// Whether a ring at the rim with its letter outside has room in a seen direction.
    fn has_room(&self, phi: f64, targets: &[Point]) -> bool {
        let (sin, cos) = phi.sin_cos();
        let r = self.radius();
        let letter = Point::polar(r + RING.1 + RING_LETTER, phi);
        // beside the marks of the cutting plane, off the level centre line, short of the columns
        let clear = letter.x.abs() >= PLANE_ARROW + 2.0 * self.context.style.letter
            && letter.y.abs() >= self.context.style.letter
            && letter.x.abs() + self.context.style.letter / 2.0 <= r + 1.0;
        let meets = |t: &&Point| {
            let near = |y: f64, room: f64| (t.y - y).abs() < room;
            t.x * cos >= 0.0 && (near(r * sin, RING.1 + 2.0) || near(letter.y, self.context.style.letter))
        };
        clear && !targets.iter().any(|t| meets(&t))
    }

    /// The letter of a detail that will be shown.
    fn letter(&self, of: DetailOf) -> Option<char> {
        self.context.shown.iter().find_map(|r| match &r.kind {
            ViewKind::Detail { letter, of: shown } if shown.covers(of) => Some(*letter),
            _ => None,
        })
    }

    /// The rings of details, with their letters beside them; where there is no room, the letter is called out in a column.
    pub(super) fn rings(&mut self, values: &[Called]) -> Vec<Called> {
        let Some(grooves) = self.geometry.grooves.clone() else { return Vec::new() };
        let mut taken: Vec<Taken> = values.iter().map(|c| Taken::Leader(self.leader(c.target, c.rise))).collect();
        let mut called = Vec::new();
        let beside = self.rings == Rings::Wished;
        if let Some(letter) = self.letter(DetailOf::Groove(GrooveSet::Side(self.geometry.side))) {
            let size = groove_detail::side_size(self.wheel(), self.geometry.side);
            let groove = self.ring_groove(&grooves, RING_DIRECTION, None).filter(|_| beside);
            let at = groove.map(|direction| self.end_of(&grooves, direction));
            let wanted = Ring { name: "ring-groove", letter, at, size, shares: &[0.55, 0.3, 0.75] };
            called.extend(self.put_ring(&wanted, &grooves, &mut taken));
        }
        if let Some(letter) = self.letter(DetailOf::InnerEnd(self.geometry.side)) {
            let size = self.ordered().map_or(0.0, runout_detail::size);
            let second = self.ring_groove(&grooves, SECOND_RING_DIRECTION, Some(self.ring_direction()));
            let inner = |direction: f64| self.paper(&centre_line(&grooves).rotated(direction)).start();
            let at = second.filter(|_| beside).map(inner);
            let wanted = Ring { name: "ring-inner-end", letter, at, size, shares: &[0.0] };
            called.extend(self.put_ring(&wanted, &grooves, &mut taken));
        }
        called
    }

    /// A ring as it is wished, right beside its letter, or with its letter called out.
    fn put_ring(&mut self, ring: &Ring, grooves: &SideGrooveView, taken: &mut Vec<Taken>) -> Option<Called> {
        match (ring.at, self.rings) {
            (Some(at), _) => {
                taken.extend(self.ring(ring.name, at, ring.size, ring.letter));
                None
            }
            (None, Rings::Near { turn, share }) => {
                let direction = *nearest(&grooves.directions, self.seen_direction(RING_DIRECTION), 1).first()?;
                let share = if ring.shares.len() > 1 { share } else { ring.shares[0] };
                let at = self.paper(&centre_line(grooves).rotated(direction)).at(share);
                let height = self.context.style.letter;
                let middle = at + Point::polar(NEAR_RING + RING_LETTER, turn) - Point::new(0.0, height / 2.0);
                let circle =
                    Item::Circle { centre: at, radius: NEAR_RING, role: LineRole::Dimension, fill: Fill::None };
                let letter = Item::Text(Text::new(ring.letter, middle, height).centred());
                self.canvas.mark(ring.name, vec![circle, letter]);
                None
            }
            (None, _) => self.called_ring(ring.name, grooves, ring.shares, ring.letter, taken),
        }
    }

    /// A small ring one of these shares of the way along a groove near the usual direction, its letter called out past what is taken.
    fn called_ring(
        &mut self,
        name: &'static str,
        grooves: &SideGrooveView,
        shares: &[f64],
        letter: char,
        taken: &mut Vec<Taken>,
    ) -> Option<Called> {
        let near = nearest(&grooves.directions, self.seen_direction(RING_DIRECTION), MOST_CALLED);
        let along = |direction: &f64| self.paper(&centre_line(grooves).rotated(*direction));
        let middles = near.iter().flat_map(|d| shares.iter().map(move |&share| along(d).at(share)));
        let places: Vec<(Point, f64)> = middles.flat_map(|at| CALLED_RISES.map(|rise| (at, rise))).collect();
        let free = places.iter().filter(|(at, rise)| taken.iter().all(|t| self.passes(*at, *rise, t)));
        let wanted = |n: usize| free.clone().nth(n).or(places.get(n));
        let passed = match self.rings {
            Rings::Called { passed } => passed,
            _ => 0,
        };
        let &(at, rise) = wanted(passed).or(places.first())?;
        let ring = Item::Circle { centre: at, radius: RING.0, role: LineRole::Dimension, fill: Fill::None };
        self.canvas.mark(name, vec![ring]);
        let target = called_from(at);
        taken.extend([Taken::Round(at, RING.0), Taken::Leader(self.leader(target, rise))]);
        let label = Label::letter(letter, self.context.style);
        let group = format!("{}-{name}-letter", self.canvas.id);
        Some(Called { group, subject: Subject::Mark("ring-letter"), target, rise, label, second: None, stacked: false })
    }

    /// Whether a small ring and its leader keep clear of something.
    fn passes(&self, at: Point, rise: f64, taken: &Taken) -> bool {
        let leader = self.leader(called_from(at), rise);
        let own = Edge::line(leader.0, leader.1);
        match *taken {
            Taken::Round(centre, radius) => {
                let clear = radius + RING_CLEAR;
                own.distance(centre) > clear && at.distance(centre) > clear + RING.0
            }
            Taken::Leader(other) => {
                let side = |l: (Point, Point), p: Point| (l.1 - l.0).cross(p - l.0);
                let apart = |l: (Point, Point), m: (Point, Point)| side(l, m.0) * side(l, m.1) > 0.0;
                let line = Edge::line(other.0, other.1);
                (apart(leader, other) || apart(other, leader)) && line.distance(at) > RING.0 + RING_CLEAR
            }
        }
    }

    /// Ends of a leader: its target, and where it leaves the view.
    fn leader(&self, target: Point, rise: f64) -> (Point, Point) {
        (target, Point::new((self.radius() + LEAVING) * if target.x < 0.0 { -1.0 } else { 1.0 }, target.y + rise))
    }

    /// A ring with its letter outside the wheel or, where that is far, inside of it; a line between them where that is far too.
    fn ring(&mut self, name: &'static str, at: Point, size: f64, letter: char) -> Vec<Taken> {
        let Some(outward) = at.unit() else { return Vec::new() };
        let style = self.context.style;
        let radius = (size / 2.0 * self.canvas.factor).clamp(RING.0, RING.1);
        let mut items = vec![Item::Circle { centre: at, radius, role: LineRole::Dimension, fill: Fill::None }];
        let outside = (at.length() + radius).max(self.radius() + 1.0) + RING_LETTER;
        let far = |off: f64| (off - at.length()).abs() - radius > 1.5 * RING_LETTER;
        // a line out to the rim would run along the grooves
        let off = if far(outside) { self.letter_inside(outward, at.length() - radius).unwrap_or(outside) } else { outside };
        if far(off) {
            let way = outward * (off - at.length()).signum();
            items.push(mark::line(at + way * radius, outward * off - way * (RING_LETTER - 0.5)));
        }
        let middle = outward * off - Point::new(0.0, style.letter / 2.0);
        items.push(Item::Text(Text::new(letter, middle, style.letter).centred()));
        self.canvas.mark(name, items);
        vec![Taken::Round(at, radius), Taken::Round(outward * off, style.letter / 2.0)]
    }
}

impl Drawing<'_> {
    /// How far from the middle a letter inside of a ring, which reaches inwards to `from`, meets no circle and no centre line.
    fn letter_inside(&self, outward: Point, from: f64) -> Option<f64> {
        let circle = |item: &Item| match item {
            Item::Circle { centre, radius, .. } if *centre == Point::ORIGIN => Some(*radius),
            Item::Arc { arc, .. } if arc.centre() == Point::ORIGIN => Some(arc.radius()),
            _ => None,
        };
        let circles: Vec<f64> = self.canvas.group.items.iter().filter_map(circle).collect();
        let letter = self.context.style.letter;
        let off_axes = |off: f64| (outward.x * off).abs() >= letter && (outward.y * off).abs() >= letter;
        let places = (0..).map(|step| from - RING_LETTER - f64::from(step)).take_while(|off| *off > letter);
        let mut free = places.filter(|off| off_axes(*off) && circles.iter().all(|r| (r - off).abs() >= RING_LETTER));
        free.next()
    }
}

/// Where the leader of a small ring begins.
fn called_from(at: Point) -> Point {
    at + Point::new(RING.0 * at.x.signum(), 0.0)
}

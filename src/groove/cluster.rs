//! Which grooves of a wheel may share material.

use super::{FaceGroove, Grooves, Interval, SideGroove};
use crate::geometry::Point;
use crate::tolerance::{SAME_ANGLE, SAME_LENGTH};
use crate::wheel::{Pattern, SideName};
use std::f64::consts::TAU;

/// One groove laid at its place; the direction of its frame in radians.
#[derive(Debug, Clone, Copy)]
pub(super) enum Member<'a> {
    /// Of a side.
    Side(&'a SideGroove, f64),
    /// Of the face; its direction at z = 0.
    Face(&'a FaceGroove, f64),
}

/// Grooves that may share material with each other and with no other groove.
#[derive(Debug, Clone)]
pub(super) struct Cluster<'a> {
    /// The grooves, by rising direction.
    pub members: Vec<Member<'a>>,
    /// Smallest radius at which they may share any, mm.
    pub near: f64,
    /// Where the whole circle is one cluster of a pattern that repeats: the angle after which it does, radians.
    pub period: Option<f64>,
    /// How many periods make the circle; 1 where it does not repeat.
    pub repeats: u32,
    /// Least and greatest z at which they may share any, mm: grooves of the face go on beyond the reach of a side's.
    pub slab: Interval,
}

impl Member<'_> {
    fn direction(&self) -> f64 {
        match self {
            Member::Side(_, d) | Member::Face(_, d) => *d,
        }
    }

    /// 0 of side A, 1 of side B, 2 of the face.
    pub fn sort(&self) -> usize {
        match self {
            Member::Side(g, _) if g.side == SideName::A => 0,
            Member::Side(..) => 1,
            Member::Face(..) => 2,
        }
    }
}

impl Cluster<'_> {
    /// Direction of the first member, radians.
    pub fn direction(&self) -> f64 {
        self.members[0].direction()
    }

    /// Whether the other is this one turned about the axis.
    pub fn is_turned(&self, other: &Cluster) -> bool {
        let turn = other.direction() - self.direction();
        self.period.is_none()
            && self.members.len() == other.members.len()
            && self.near == other.near
            && self
                .members
                .iter()
                .zip(&other.members)
                .all(|(a, b)| a.sort() == b.sort() && (b.direction() - a.direction() - turn).abs() < SAME_ANGLE)
    }

    /// First moments of all its repeats: evenly pitched ones cancel.
    pub fn first_of(&self, one: Point) -> Point {
        if self.repeats > 1 { Point::ORIGIN } else { one }
    }

    /// Radii where walls of two members cross.
    pub fn wall_crossings(&self) -> Vec<f64> {
        const NEIGHBOURS: usize = 4;
        let walls = |m: &Member| match m {
            Member::Side(g, d) => Some((*d, g.offset - g.half_width, g.offset + g.half_width)),
            Member::Face(g, d) => (g.twist == 0.0).then_some((*d, -g.half_width, g.half_width)),
        };
        let mut out = Vec::new();
        for (i, p) in self.members.iter().enumerate() {
            for q in self.members[i + 1..].iter().take(NEIGHBOURS) {
                let (Some((d, low, high)), Some((e, below, above))) = (walls(p), walls(q)) else { continue };
                for v in [low, high] {
                    out.extend([below, above].into_iter().filter_map(|w| crossing(v, w, e - d)));
                }
            }
        }
        out
    }
}

/// Distance from the axis at which the line v of one frame crosses the line w of a frame turned by `turn` against it.
fn crossing(v: f64, w: f64, turn: f64) -> Option<f64> {
    let (sin, cos) = turn.sin_cos();
    (sin.abs() > SAME_ANGLE).then(|| (v * v - 2.0 * v * w * cos + w * w).max(0.0).sqrt() / sin.abs())
}

/// What of a member may meet others: an interval of angle about its direction.
struct Reach<'a> {
    member: Member<'a>,
    angles: (f64, f64),
}

impl Reach<'_> {
    /// The same with its beginning in [0, 2π): a skewed groove lies aside from its direction, so the beginnings of different sorts
    /// would otherwise not rise together round the circle.
    fn within_a_turn(self) -> Self {
        let by = self.angles.0.rem_euclid(TAU) - self.angles.0;
        Reach { member: self.member.turned(by), angles: (self.angles.0 + by, self.angles.1 + by) }
    }
}

/// All clusters of a wheel's grooves.
pub(super) fn all<'a>(grooves: &'a Grooves<'a>) -> Vec<Cluster<'a>> {
    let rules = Rules::of(grooves);
    if !rules.any() {
        return Vec::new();
    }
    rules.apart().into_iter().flat_map(|sorts| of_sorts(&rules, sorts)).collect()
}

/// Which sorts are looked at: side A, side B, the face.
type Sorts = [bool; 3];

/// Clusters of grooves of some sorts that share nothing with the others.
fn of_sorts<'a>(rules: &Rules<'a>, sorts: Sorts) -> Vec<Cluster<'a>> {
    let mut reaches: Vec<Reach> = rules.reaches(sorts, None).into_iter().map(Reach::within_a_turn).collect();
    reaches.sort_by(|p, q| p.angles.0.total_cmp(&q.angles.0));
    // the circle is cut open before a reach that nothing runs into
    let mut end = f64::MIN;
    for reach in &reaches {
        end = end.max(reach.angles.1);
    }
    let mut before = end - TAU;
    let open = reaches.iter().position(|r| {
        let free = r.angles.0 >= before;
        before = before.max(r.angles.1);
        free
    });
    let Some(open) = open else { return vec![rules.circle(sorts)] };
    let mut groups: Vec<(Vec<Member>, f64)> = Vec::new();
    for i in 0..reaches.len() {
        let turns = if open + i < reaches.len() { 0.0 } else { TAU };
        let reach = &reaches[(open + i) % reaches.len()];
        let member = reach.member.turned(turns);
        match groups.last_mut().filter(|(_, end)| reach.angles.0 + turns < *end) {
            Some((members, end)) => {
                members.push(member);
                *end = end.max(reach.angles.1 + turns);
            }
            None => groups.push((vec![member], reach.angles.1 + turns)),
        }
    }
    let kept = groups.into_iter().filter(|(members, _)| rules.may_share(members));
    kept.map(|(members, _)| Cluster { near: rules.near, members, period: None, repeats: 1, slab: rules.slab(sorts) }).collect()
}

/// A cluster of one groove of a side at place 1; `None` where it cannot break through to the opposite side.
pub(super) fn alone<'a>(grooves: &'a Grooves<'a>, groove: &'a SideGroove) -> Option<Cluster<'a>> {
    let rules = Rules::of(grooves);
    let set = grooves.wheel.side(groove.side).grooves.as_ref().filter(|_| rules.through)?;
    let member = Member::Side(groove, set.pattern.angle_deg(1).to_radians() + groove.turn);
    Some(Cluster { members: vec![member], near: rules.near, period: None, repeats: 1, slab: rules.slab([true; 3]) })
}

impl Member<'_> {
    fn turned(self, by: f64) -> Self {
        match self {
            Member::Side(g, d) => Member::Side(g, d + by),
            Member::Face(g, d) => Member::Face(g, d + by),
        }
    }
}

/// Which sorts of grooves may share material, and from which radius outwards.
struct Rules<'a> {
    grooves: &'a Grooves<'a>,
    /// Whether those of side A, of side B run into each other.
    neighbours: [bool; 2],
    opposite: bool,
    through: bool,
    with_face: bool,
    near: f64,
}

impl<'a> Rules<'a> {
    fn of(grooves: &'a Grooves<'a>) -> Rules<'a> {
        let sides: Vec<&SideGroove> = SideName::BOTH.into_iter().filter_map(|s| grooves.side(s)).collect();
        let thickness = grooves.wheel.thickness;
        let neighbours = SideName::BOTH.map(|s| grooves.side(s).is_some_and(|g| neighbours_may_meet(grooves, g)));
        let deep: f64 = sides.iter().map(|g| g.deepest()).sum();
        let opposite = sides.len() == 2 && deep > thickness - SAME_LENGTH;
        let through =
            sides.iter().any(|g| g.deepest() > thickness - greatest_depth(grooves, g.side.other()) - SAME_LENGTH);
        let floor = grooves.face().map(|f| f.floor_u);
        let with_face = floor.is_some_and(|u| sides.iter().any(|g| g.reach().1 > u));
        let bore = grooves.wheel.bore_radius();
        let inner = sides.iter().map(|g| g.reach().0).fold(f64::MAX, f64::min);
        // where only face and sides may meet, nothing is shared below the face grooves' floor
        let near = match floor {
            Some(u) if !(neighbours[0] || neighbours[1] || opposite || through) => u.max(inner),
            _ => inner,
        };
        Rules { grooves, neighbours, opposite, through, with_face, near: near.max(bore) }
    }

    fn any(&self) -> bool {
        self.neighbours != [false; 2] || self.opposite || self.through || self.with_face
    }

    /// The sorts that share anything, each with those it may share with, so that a set does not lose its period to one it never meets.
    fn apart(&self) -> Vec<Sorts> {
        let [a, b] = self.neighbours.map(|meet| meet || self.through);
        match (self.opposite || self.through, self.with_face) {
            (true, true) => vec![[true; 3]],
            (true, false) => vec![[true, true, false]],
            // what the sides' grooves share with the face's are two parts of the wheel
            (false, true) => {
                let is_cut = |sorts: &Sorts| {
                    SideName::BOTH.into_iter().zip(sorts).any(|(name, wanted)| *wanted && self.grooves.side(name).is_some())
                };
                [[true, false, true], [false, true, true]].into_iter().filter(is_cut).collect()
            }
            (false, false) => {
                let alone = [(a, [true, false, false]), (b, [false, true, false])];
                alone.into_iter().filter_map(|(shares, sorts)| shares.then_some(sorts)).collect()
            }
        }
    }

    /// Least and greatest z at which grooves of these sorts may share material, mm: where one side's meet the face's, no deeper than their floors.
    fn slab(&self, sorts: Sorts) -> Interval {
        let deepest = |name| self.grooves.side(name).map_or(0.0, |g| g.deepest());
        let thickness = self.grooves.wheel.thickness;
        match sorts {
            [true, false, true] if !self.through => (f64::NEG_INFINITY, deepest(SideName::A)),
            [false, true, true] if !self.through => (thickness - deepest(SideName::B), f64::INFINITY),
            _ => (f64::NEG_INFINITY, f64::INFINITY),
        }
    }

    /// Whether a group of grooves whose angles overlap may really share material.
    fn may_share(&self, members: &[Member]) -> bool {
        let mut count = [0usize; 3];
        for m in members {
            count[m.sort()] += 1;
        }
        let [a, b, face] = count;
        self.through
            || (self.neighbours[0] && a > 1)
            || (self.neighbours[1] && b > 1)
            || (self.opposite && a > 0 && b > 0)
            || (self.with_face && face > 0 && a + b > 0)
    }

    /// What every groove of these sorts reaches; of one period only where `repeats` says into how many the circle is divided.
    fn reaches(&self, sorts: Sorts, repeats: Option<u32>) -> Vec<Reach<'a>> {
        let mut out = Vec::new();
        let directions = |p: &Pattern| -> Vec<f64> {
            let last = p.places / repeats.unwrap_or(1);
            p.cut().take_while(|k| *k <= last).map(|k| p.angle_deg(k).to_radians()).collect()
        };
        for (side, _) in SideName::BOTH.into_iter().zip(sorts).filter(|(_, wanted)| *wanted) {
            let (Some(groove), Some(set)) = (self.grooves.side(side), &self.grooves.wheel.side(side).grooves) else {
                continue;
            };
            let r = groove.reach().0.max(self.near);
            let low = ((groove.offset - groove.half_width) / r).clamp(-1.0, 1.0).asin();
            let high = ((groove.offset + groove.half_width) / r).clamp(-1.0, 1.0).asin();
            // a skewed groove sweeps over angles as it runs outwards
            let rim = groove.outside_radius;
            let low = low.min(((groove.offset - groove.half_width) / rim).asin());
            let high = high.max(((groove.offset + groove.half_width) / rim).asin());
            for direction in directions(&set.pattern) {
                let d = (direction + groove.turn).rem_euclid(TAU);
                out.push(Reach { member: Member::Side(groove, d), angles: (d + low, d + high) });
            }
        }
        if let (true, Some(groove), Some(set)) = (sorts[2], self.grooves.face(), &self.grooves.wheel.face) {
            let half = (groove.half_width / groove.floor_u.hypot(groove.half_width)).asin();
            let slab = self.slab(sorts);
            let ends = [slab.0, slab.1].map(|z| groove.twist * z.clamp(0.0, self.grooves.wheel.thickness));
            for direction in directions(&set.pattern) {
                let d = direction.rem_euclid(TAU);
                let angles = (d - half + ends[0].min(ends[1]), d + half + ends[0].max(ends[1]));
                out.push(Reach { member: Member::Face(groove, d), angles });
            }
        }
        out
    }

    /// The whole circle as one cluster, by its period where it repeats.
    fn circle(&self, sorts: Sorts) -> Cluster<'a> {
        let wheel = self.grooves.wheel;
        let side = |name| wheel.side(name).grooves.as_ref().map(|g| &g.pattern);
        let all = [side(SideName::A), side(SideName::B), wheel.face.as_ref().map(|f| &f.pattern)];
        let repeats = Pattern::repeats(all.into_iter().zip(sorts).filter_map(|(pattern, wanted)| pattern.filter(|_| wanted)));
        let mut members: Vec<Member> = self.reaches(sorts, Some(repeats)).into_iter().map(|r| r.member).collect();
        members.sort_by(|p, q| p.direction().total_cmp(&q.direction()));
        Cluster { members, near: self.near, period: Some(TAU / f64::from(repeats)), repeats, slab: self.slab(sorts) }
    }
}

/// The greatest depth of a side's surface, corners included.
fn greatest_depth(grooves: &Grooves, side: SideName) -> f64 {
    let profile = grooves.section.profile(side);
    profile.edges().iter().map(|(e, _)| e.bounds().max.y).fold(0.0, f64::max)
}

/// Whether grooves of a side may run into each other.
pub(super) fn neighbours_may_meet(grooves: &Grooves, groove: &SideGroove) -> bool {
    let Some(set) = &grooves.wheel.side(groove.side).grooves else { return false };
    if set.pattern.places == 1 {
        return false;
    }
    let near = groove.reach().0.max(grooves.wheel.bore_radius());
    let (low, high) = groove.walls();
    if low <= -near || high >= near {
        return true;
    }
    (high / near).asin() - (low / near).asin() > set.pattern.pitch_deg().to_radians() * (1.0 - SAME_ANGLE)
}

//! Faces that go round the axis and lie on themselves when the wheel is turned by a sector: one sector is parted into triangles, the rest have its
//! triangles turned.

use super::copies::Turn;
use super::flat::parted;
use super::{Surface, Vector};
use crate::tolerance::SAME_LENGTH;
use std::f64::consts::TAU;

/// Fewest sectors of use; of two no turn tells which way round it goes.
const FEWEST: usize = 3;
/// Most pairs of points looked at for the shortest cut from one side of a face to the other.
const MOST_PAIRS: usize = 1 << 20;

/// One side of such a face: its points round the axis, how many of them a sector has, and which way round they run.
struct Round<'a> {
    points: &'a [usize],
    step: usize,
    sense: f64,
}

impl Round<'_> {
    fn of<'a>(chain: &'a [usize], sectors: usize, points: &[Vector]) -> Option<Round<'a>> {
        let step = chain.len() / sectors;
        let is_whole = step > 0 && step * sectors == chain.len();
        let comes_to_itself = |sense: &f64| {
            let turn = Turn::by(sense * TAU / sectors as f64);
            let next = chain.iter().cycle().skip(step);
            chain.iter().zip(next).all(|(&a, &b)| (turn.of(points[a]) - points[b]).norm() < SAME_LENGTH)
        };
        let sense = [1.0, -1.0].into_iter().find(|sense| is_whole && comes_to_itself(sense))?;
        Some(Round { points: chain, step, sense })
    }

    /// The point so many after the first, which may be fewer than none.
    fn at(&self, i: isize) -> usize {
        self.points[i.rem_euclid(self.points.len() as isize) as usize]
    }
}

/// The triangles of a face between two chains of points that go round the axis, each as the face's loop has it, corners counter-clockwise as seen from
/// outside; points within it are added. `None` where the face is not so many sectors alike, or none can be cut out of it.
pub fn triangles(surface: &Surface, chains: [&[usize]; 2], sectors: usize, points: &mut Vec<Vector>, deviation: f64) -> Option<Vec<[usize; 3]>> {
    if sectors < FEWEST {
        return None;
    }
    let [one, other] = chains.map(|chain| Round::of(chain, sectors, points));
    let (one, other) = (one?, other?);
    let (from, to) = cut(surface, [&one, &other], points, deviation).filter(|_| one.sense != other.sense)?;
    let (steps, back) = (one.step as isize, other.step as isize);
    let along = (from..=from + steps).map(|i| one.at(i));
    let outline: Vec<usize> = along.chain((to - back..=to).map(|i| other.at(i))).collect();
    let sector = parted(surface, &[outline], points, deviation)?;
    let mut found = Vec::with_capacity(sector.triangles.len() * sectors);
    for k in 0..sectors as isize {
        let turn = Turn::by(one.sense * TAU * k as f64 / sectors as f64);
        let first = points.len() as isize;
        points.extend(sector.within.iter().map(|&p| turn.of(p)));
        let index = |corner: usize| match corner as isize {
            i if i <= steps => one.at(from + steps * k + i),
            i if i <= steps + 1 + back => other.at(to - back * (k + 1) + i - steps - 1),
            i => (first + i - steps - back - 2) as usize,
        };
        found.extend(sector.triangles.iter().map(|t| t.map(index)));
    }
    Some(found)
}

/// Where the shortest straight cut from one side to the other begins and ends; `None` where it leaves the surface or there are too many to look at.
fn cut(surface: &Surface, [one, other]: [&Round; 2], points: &[Vector], deviation: f64) -> Option<(isize, isize)> {
    if one.step * other.points.len() > MOST_PAIRS {
        return None;
    }
    let ends = |(i, j): (isize, isize)| (points[one.at(i)], points[other.at(j)]);
    let length = |pair: (isize, isize)| { let (a, b) = ends(pair); (a - b).norm_squared() };
    let pairs = (0..one.step as isize).flat_map(|i| (0..other.points.len() as isize).map(move |j| (i, j)));
    let best = pairs.map(|pair| (length(pair), pair)).min_by(|a, b| a.0.total_cmp(&b.0))?.1;
    let (a, b) = ends(best);
    let is_on = surface.off((a + b) / 2.0).0.abs() < deviation;
    ((a - b).norm() > SAME_LENGTH && is_on).then_some(best)
}

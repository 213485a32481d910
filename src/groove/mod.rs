//! One groove as a solid, and what all grooves of a wheel remove together.
//!
//! A groove is handled in the frame of its centre line: u runs along the line outwards, v across it counter-clockwise, the wheel's axis stands at
//! u = v = 0. On a circle r about the axis everything the turned wheel says (depth of either side's surface) is constant, so the removed solid is
//! integrated over the angle first (closed forms where the floor is flat across) and then over r, with breakpoints wherever the groove's
//! plan, its floor or the section changes form. A groove is integrated once, however many of it are cut, unless grooves run into each other.

mod alone;
mod cluster;
pub mod disc;
mod face;
pub mod plan;
mod side;
mod union;

pub use face::FaceGroove;
pub use side::{Floor, Interval, Rise, SideGroove};

use crate::geometry::Point;
use crate::section::Section;
use crate::wheel::{SideName, Wheel};

/// Integrals over a removed solid; z and its square are about side A's datum plane.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Removed {
    /// Volume, mm³.
    pub volume: f64,
    /// ∫ (x, y) dV, mm⁴.
    pub first: Point,
    /// ∫ z dV, mm⁴.
    pub z: f64,
    /// ∫ z² dV, mm⁵.
    pub zz: f64,
    /// ∫ (x² + y²) dV, mm⁵.
    pub polar: f64,
}

impl Removed {
    /// Both together.
    pub fn plus(self, other: Removed) -> Removed {
        Removed {
            volume: self.volume + other.volume,
            first: self.first + other.first,
            z: self.z + other.z,
            zz: self.zz + other.zz,
            polar: self.polar + other.polar,
        }
    }

    /// `k` times over, the first moments excepted, which are replaced.
    fn repeated(self, k: f64, first: Point) -> Removed {
        Removed { volume: k * self.volume, first, z: k * self.z, zz: k * self.zz, polar: k * self.polar }
    }

    fn scaled(self, k: f64) -> Removed {
        self.repeated(k, self.first * k)
    }
}

/// What the grooves of a wheel remove.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AllRemoved {
    /// All grooves together, overlaps counted once.
    pub together: Removed,
    /// One groove of side A alone, at place 1.
    pub one_side_a: Option<Removed>,
    /// One groove of side B alone, at place 1.
    pub one_side_b: Option<Removed>,
    /// One groove of the face alone, at place 1.
    pub one_face: Option<Removed>,
    /// Volume that grooves share with each other or would remove beyond the opposite side, mm³; 0 where all keep clear.
    pub shared: f64,
}

/// The grooves of a wheel in their frames, with the section they are cut into.
#[derive(Debug, Clone)]
pub struct Grooves<'a> {
    wheel: &'a Wheel,
    section: &'a Section,
    side_a: Option<SideGroove>,
    side_b: Option<SideGroove>,
    face: Option<FaceGroove>,
}

impl<'a> Grooves<'a> {
    /// The grooves of a wheel.
    pub fn of(wheel: &'a Wheel, section: &'a Section) -> Grooves<'a> {
        Grooves {
            wheel,
            section,
            side_a: SideGroove::of(wheel, SideName::A),
            side_b: SideGroove::of(wheel, SideName::B),
            face: FaceGroove::of(wheel),
        }
    }

    /// One groove of a side, in its frame.
    pub fn side(&self, name: SideName) -> Option<&SideGroove> {
        match name {
            SideName::A => self.side_a.as_ref(),
            SideName::B => self.side_b.as_ref(),
        }
    }

    /// Whether the grooves of a side may run into each other.
    pub fn neighbours_meet(&self, name: SideName) -> bool {
        self.side(name).is_some_and(|groove| cluster::neighbours_may_meet(self, groove))
    }

    /// One groove of the face, in its frame.
    pub fn face(&self) -> Option<&FaceGroove> {
        self.face.as_ref()
    }

    /// What one groove of either side removes alone; sides that are alike are integrated once.
    fn alone(&self) -> [Option<Removed>; 2] {
        let own = |g: &SideGroove| alone::side_groove(g, self.section, self.wheel);
        let profile = |side| self.section.profile(side);
        let a = self.side_a.as_ref().map(own);
        let alike = self.side_a.zip(self.side_b).is_some_and(|(a, b)| {
            SideGroove { side: SideName::B, ..a } == b && profile(SideName::A).is_alike(profile(SideName::B))
        });
        let b = if alike { a } else { self.side_b.as_ref().map(own) };
        let placed =
            |groove: &Option<SideGroove>, one: Option<alone::Local>| Some(one?.placed(groove.as_ref()?, self.wheel));
        [placed(&self.side_a, a), placed(&self.side_b, b)]
    }

    /// What they remove, one alone and all together.
    pub fn removed(&self) -> AllRemoved {
        let [one_side_a, one_side_b] = self.alone();
        let one_face = self.face.as_ref().map(|g| alone::face_groove(g, self.section, self.wheel));
        let w = self.wheel;
        let sides = [(one_side_a, &w.side_a.grooves), (one_side_b, &w.side_b.grooves)];
        let sides = sides.into_iter().filter_map(|(one, g)| Some(alone::patterned(one?, &g.as_ref()?.pattern)));
        let face = one_face.zip(w.face.as_ref()).map(|(one, g)| alone::patterned(one, &g.pattern));
        let singly = sides.chain(face).fold(Removed::default(), Removed::plus);
        let ones = [one_side_a, one_side_b, one_face];
        let excess = union::excess(self, &ones);
        let together = singly.plus(excess.scaled(-1.0));
        let within = |name: SideName, one: Option<Removed>| {
            let beyond = union::beyond(self, self.side(name)?, &ones);
            Some(one?.plus(beyond.scaled(-1.0)))
        };
        AllRemoved {
            together,
            one_side_a: within(SideName::A, one_side_a),
            one_side_b: within(SideName::B, one_side_b),
            one_face,
            shared: excess.volume,
        }
    }
}

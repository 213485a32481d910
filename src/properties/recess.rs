//! The recess that hub and machine call for: deep enough for the bolts, between the flange's clearance and the worn-out wheel, in round sizes.

use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Job, SideName};

/// What a recess goes by: limits of the shop, lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Guide {
    /// Least diameter: this times the flange diameter…
    pub flange_factor: f64,
    /// … and this more.
    pub flange_allowance: f64,
    /// The flat exceeds the flange by so many fillet radii.
    pub fillet_factor: f64,
    /// Least thickness left by a recess on one side, as a share.
    pub one_side_share: f64,
    /// Least thickness left by two recesses, as a share.
    pub two_sides_share: f64,
    /// Thickness left by two recesses below which the abrasive maker is asked, as a share.
    pub caution_share: f64,
    /// Round sizes of diameters.
    pub diameter_step: f64,
    /// Round sizes of depths.
    pub depth_step: f64,
}

/// Something the order does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Missing {
    /// Bolts and stack.
    Bolts,
    /// Length of the bolts.
    BoltLength,
    /// What the bolts need besides the wheel.
    BoltStack,
    /// Flange diameter.
    Flange,
    /// Travel, and what it is counted on.
    Travel,
    /// What the travel is counted on.
    TravelOn,
}

impl Missing {
    /// What of bolts, flange and travel an order does not say.
    pub fn of(job: &Job) -> Vec<Missing> {
        let mut missing: Vec<Missing> = Vec::new();
        missing.extend(Missing::bolts(job));
        if job.mount.flange_diameter.is_none() {
            missing.push(Missing::Flange);
        }
        missing.extend(Missing::travel(job));
        missing
    }

    /// What it does not say of the bolts.
    pub fn bolts(job: &Job) -> Option<Missing> {
        match (job.mount.bolt_length, job.mount.bolt_stack) {
            (None, None) => Some(Missing::Bolts),
            (None, Some(_)) => Some(Missing::BoltLength),
            (Some(_), None) => Some(Missing::BoltStack),
            (Some(_), Some(_)) => None,
        }
    }

    /// What it does not say of the travel.
    pub fn travel(job: &Job) -> Option<Missing> {
        match (job.machine.usable_travel, job.machine.travel_on) {
            (None, _) => Some(Missing::Travel),
            (Some(_), None) => Some(Missing::TravelOn),
            (Some(_), Some(_)) => None,
        }
    }

    /// The question to the customer.
    pub fn question(self) -> &'static str {
        match self {
            Missing::Bolts => {
                "How long are the hub bolts, and how much of that do flange, washer, nut and least engagement take?"
            }
            Missing::BoltLength => "How long are the hub bolts?",
            Missing::BoltStack => {
                "How much of the hub bolts do flange, washer, nut and least engagement take together?"
            }
            Missing::Flange => "What diameter do the flanges have?",
            Missing::Travel => "How far does the machine use the wheel up, counted on the radius or on the diameter?",
            Missing::TravelOn => "Is the machine's travel counted on the radius or on the diameter?",
        }
    }

    /// The order's field, as a JSON pointer.
    pub fn field(self) -> &'static str {
        match self {
            Missing::Bolts | Missing::BoltLength => "/mount/bolt_length",
            Missing::BoltStack => "/mount/bolt_stack",
            Missing::Flange => "/mount/flange_diameter",
            Missing::Travel => "/machine/usable_travel",
            Missing::TravelOn => "/machine/travel_on",
        }
    }

    /// The other field that the same answer fills, as a JSON pointer.
    pub fn beside(self) -> Option<&'static str> {
        match self {
            Missing::Bolts => Some(Missing::BoltStack.field()),
            Missing::Travel => Some(Missing::TravelOn.field()),
            Missing::BoltLength | Missing::BoltStack | Missing::Flange | Missing::TravelOn => None,
        }
    }

    /// What to give.
    pub fn hint(self) -> &'static str {
        match self {
            Missing::Bolts => "Give the length of the hub bolts, and what flange, washer, nut and least engagement take of it.",
            Missing::BoltLength => "Give the length of the hub bolts.",
            Missing::BoltStack => "Give what flange, washer, nut and least engagement take of the bolts.",
            Missing::Flange => "Give the diameter of the flanges.",
            Missing::Travel => "Give the usable travel of the machine, and whether it counts on the radius or on the diameter.",
            Missing::TravelOn => "Say whether the travel counts on the radius or on the diameter.",
        }
    }
}

/// What a recess has to fit between, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Thickness the bolts reach through.
    pub reach: f64,
    /// Depth the bolts need, on one side or on both together; 0 where they reach without.
    pub least_depth: f64,
    /// Depth a recess on one side may have.
    pub most_depth_one_side: f64,
    /// Depth two recesses together may have.
    pub most_depth_two_sides: f64,
    /// Diameter of the flange.
    pub flange: f64,
    /// Diameter that clears the flange.
    pub least_diameter: f64,
    /// Diameter of the worn-out wheel: beyond it the recess is worn into.
    pub most_diameter: f64,
    /// Where the ordered side grooves begin, the innermost of them: a recess stays inside where it can.
    pub grooves_begin: Option<f64>,
}

impl Frame {
    /// Whether a recess clear of the flange also stays inside of the ordered grooves.
    pub fn leaves_grooves(&self) -> bool {
        self.grooves_begin.is_none_or(|begin| begin + SAME_LENGTH >= self.least_diameter)
    }
}

/// A recess, or two alike, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proposal {
    /// Sides it is cut into: 1 or 2.
    pub sides: u32,
    /// Diameter.
    pub diameter: f64,
    /// Depth on each side.
    pub depth: f64,
    /// Thickness left at the flange.
    pub thickness_left: f64,
    /// Whether the abrasive maker is to be asked about that thickness.
    pub ask_maker: bool,
    /// Greatest radius between wall and floor that leaves the flange its flat.
    pub most_fillet: f64,
    /// Radial width of the side left for grooves, from the recess to the outside diameter.
    pub groove_room: f64,
}

/// Why no recess does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refusal {
    /// The bolts are used up by flange, washer, nut and engagement.
    BoltsTooShort,
    /// The depth the bolts need leaves too little of the wheel, even divided between both sides.
    TooDeep,
    /// The flange's clearance lies beyond the worn-out wheel.
    NoRoom,
}

/// What a recess of an order has to fit between; `None` where bolts, flange or travel are not given.
pub fn frame(job: &Job, guide: &Guide) -> Option<Frame> {
    let wheel = &job.wheel;
    let reach = job.mount.bolt_length? - job.mount.bolt_stack?;
    let flange = job.mount.flange_diameter?;
    let worn = wheel.outside_diameter - job.machine.travel_on_diameter()?;
    let tapers = wheel.side_a.nominal_depth(wheel.bore_radius()) + wheel.side_b.nominal_depth(wheel.bore_radius());
    let bare = wheel.thickness - tapers;
    Some(Frame {
        reach,
        least_depth: (bare - reach).max(0.0),
        most_depth_one_side: bare - wheel.thickness * guide.one_side_share,
        most_depth_two_sides: bare - wheel.thickness * guide.two_sides_share,
        flange,
        least_diameter: guide.flange_factor * flange + guide.flange_allowance,
        most_diameter: worn.min(wheel.outside_diameter),
        grooves_begin: SideName::BOTH
            .into_iter()
            .filter_map(|side| Some(wheel.side(side).grooves.as_ref()?.inner_diameter))
            .min_by(f64::total_cmp),
    })
}

/// The recess in round sizes: one side where that is enough, else both sides alike; as shallow as the bolts allow, as wide as the worn-out
/// wheel and the ordered grooves allow. Grooves that begin where the flange must enter do not limit it.
///
/// # Errors
/// Why none does.
pub fn propose(job: &Job, frame: &Frame, guide: &Guide) -> Result<Proposal, Refusal> {
    if frame.reach <= 0.0 {
        return Err(Refusal::BoltsTooShort);
    }
    let ordered = frame.grooves_begin.filter(|_| frame.leaves_grooves()).unwrap_or(f64::INFINITY);
    let diameter = down(frame.most_diameter.min(ordered), guide.diameter_step);
    // where no round size lies between, the clearance itself is the only size
    let diameter = if diameter + SAME_LENGTH >= frame.least_diameter { diameter } else { frame.least_diameter };
    if diameter > frame.most_diameter + SAME_LENGTH {
        return Err(Refusal::NoRoom);
    }
    let wheel = &job.wheel;
    let fits = |sides: u32, most: f64| {
        let each = up(frame.least_depth / f64::from(sides), guide.depth_step).max(guide.depth_step);
        let exact = frame.least_depth / f64::from(sides);
        let depth = if f64::from(sides) * each <= most + SAME_LENGTH { each } else { exact };
        (depth > 0.0 && f64::from(sides) * depth <= most + SAME_LENGTH).then_some((sides, depth))
    };
    let (sides, depth) =
        fits(1, frame.most_depth_one_side).or_else(|| fits(2, frame.most_depth_two_sides)).ok_or(Refusal::TooDeep)?;
    let bare = frame.most_depth_one_side + wheel.thickness * guide.one_side_share;
    let thickness_left = bare - f64::from(sides) * depth;
    Ok(Proposal {
        sides,
        diameter,
        depth,
        thickness_left,
        ask_maker: sides == 2 && thickness_left < wheel.thickness * guide.caution_share - SAME_LENGTH,
        most_fillet: ((diameter - frame.flange) / (2.0 + guide.fillet_factor)).min(depth),
        groove_room: (wheel.outside_diameter - diameter) / 2.0,
    })
}

/// The largest multiple of a step that is not above a length.
fn down(length: f64, step: f64) -> f64 {
    ((length + SAME_LENGTH) / step).floor() * step
}

/// The smallest multiple of a step that is not below a length.
fn up(length: f64, step: f64) -> f64 {
    ((length - SAME_LENGTH) / step).ceil() * step
}

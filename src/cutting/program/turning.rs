//! Turning a set-up: bore or face, then the side that faces the tool, from the blank in levels, then along the profile with the allowance, then along
//! the finished profile.
//!
//! Worked in the set-up's own frame: x is the depth w below the finished datum plane of the side that faces the tool, y is the radius r. Nothing moves
//! quickly inside the blank: in a pocket the nose goes to and fro from level to level at feed.

use super::{Draft, Program, head};
use crate::cutting::CuttingError;
use crate::cutting::control::{Axial, Control};
use crate::cutting::frame::mm;
use crate::cutting::levels::{self, Interval, Levels};
use crate::cutting::nose::NosePath;
use crate::cutting::profile::{Operation, Profile};
use crate::geometry::{Bounds, Edge, Point, Turn, clipped};
use crate::quantity::{Written, fixed};
use crate::section::Section;
use crate::tolerance::{LEAST_CUT, SAME_LENGTH};
use crate::wheel::{Job, SideName};

/// Clearance of rapid moves from the stone in turning, mm: the millimetre that is asked for, and room for rounding.
const CLEAR: f64 = 1.5;

/// Stock on every face where the order does not give the blank's size, mm.
const UNKNOWN_STOCK: f64 = 1.0;

/// Depth of a pass and allowance for the last one where the command names none, mm: choices made here.
const DEPTH_PER_PASS: f64 = 0.5;
const ALLOWANCE: f64 = 0.1;

/// How a profile is turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turned<'a> {
    /// The finished shape.
    pub shape: &'a Profile,
    /// The nose's path.
    pub nose: &'a NosePath,
    /// How it is roughed.
    pub roughing: Roughing,
    /// The dialect.
    pub control: &'a Control,
}

/// How a profile is roughed, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Roughing {
    /// Greatest depth of a pass.
    pub depth: f64,
    /// Stone left for the last pass.
    pub allowance: f64,
}

impl Roughing {
    /// For a nose of this radius; half a millimetre deep and with a tenth for the last pass where nothing is asked for.
    ///
    /// # Errors
    /// Where the allowance is more than a pass may take.
    pub fn of(nose: f64, depth_per_pass: Option<f64>, allowance: Option<f64>) -> Result<Roughing, CuttingError> {
        // what is known of the tool is its nose: deeper than that, stone would stand behind it
        let depth = depth_per_pass.unwrap_or(DEPTH_PER_PASS).min(nose);
        let allowance = allowance.unwrap_or(ALLOWANCE.min(depth));
        if allowance <= depth + SAME_LENGTH {
            return Ok(Roughing { depth, allowance });
        }
        Err(CuttingError::Needs {
            message: format!(
                "an allowance of {} mm for the last pass is more than a pass may take: {} mm, and no more than the nose radius of {} mm",
                mm(allowance),
                mm(depth),
                mm(nose)
            ),
            hint: String::from("give a smaller --allowance (`profile_allowance` in the order), or a greater --depth-per-pass"),
        })
    }
}

/// One chucking of the wheel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SetUp {
    /// The side that faces the tool.
    pub side: SideName,
    /// Whether the bore is cut in it.
    pub bore: bool,
    /// Whether the outside diameter is cut in it.
    pub face: bool,
    /// Whether the wheel stays on its spindle between the set-ups.
    pub stays: bool,
}

/// How the wheel is held, in words.
pub type Held = &'static str;

/// The set-ups of a control: bore and side A, then face and side B.
pub fn set_ups(control: &Control) -> [SetUp; 2] {
    let stays = control.wheel_stays;
    [
        SetUp { side: SideName::A, bore: !stays, face: false, stays },
        SetUp { side: SideName::B, bore: false, face: true, stays },
    ]
}

impl SetUp {
    /// Its words in file names: `set-up-1-side-a`.
    pub fn word(&self) -> &'static str {
        match self.side {
            SideName::A => "set-up-1-side-a",
            SideName::B => "set-up-2-side-b",
        }
    }

    /// How the wheel is held in it.
    pub fn held(&self) -> Held {
        match (self.stays, self.side) {
            (true, SideName::A) => {
                "Held: the wheel stays on its spindle between its flanges, the tool moves; set it for side A. The bore is finished before"
            }
            (true, SideName::B) => {
                "Held: the wheel stays on its spindle as in set-up 1, which must be done; the tool moves: set it for side B and the face"
            }
            (false, SideName::A) => {
                "Held: by the blank's outside diameter, side B against the chuck, free behind the bore and the rim"
            }
            (false, SideName::B) => {
                "Held: chucked anew on the finished bore, side A against a flange smaller than the wheel. Set-up 1 must be done"
            }
        }
    }
}

/// The stone a set-up begins with, mm, in its own frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Begun {
    /// w of the face towards the tool, at most 0.
    pub top: f64,
    /// w of the face away from it.
    pub back: f64,
    /// Outside radius.
    pub radius: f64,
    /// Radius of the bore.
    pub bore: f64,
    /// Outside radius and bore of the whole blank, which rapid moves are clear of.
    pub blank: (f64, f64),
    /// Radius of the flange on which the wheel stays, which nothing comes near; 0 where the wheel is chucked.
    pub flange: f64,
}

impl Begun {
    /// What a set-up begins with: the blank, half of its excess thickness on either side, less what the set-up before took off.
    pub fn of(job: &Job, set_up: SetUp) -> Begun {
        let (wheel, blank) = (&job.wheel, job.blank.as_ref());
        let (d, t, h) = (wheel.outside_diameter, wheel.thickness, wheel.bore);
        let diameter = blank.and_then(|b| b.outside_diameter).unwrap_or(d + 2.0 * UNKNOWN_STOCK).max(d);
        let thickness = blank.and_then(|b| b.thickness).unwrap_or(t + 2.0 * UNKNOWN_STOCK).max(t);
        let bore = blank.and_then(|b| b.bore).unwrap_or((h - 2.0 * UNKNOWN_STOCK).max(h / 2.0)).min(h);
        let spare = (thickness - t) / 2.0;
        let second = set_up.side == SideName::B;
        Begun {
            top: -spare,
            back: t + if second { 0.0 } else { spare },
            radius: diameter / 2.0,
            bore: if second || set_up.stays { h } else { bore } / 2.0,
            blank: (diameter / 2.0, bore / 2.0),
            flange: job.mount.flange_diameter.filter(|_| set_up.stays).map_or(0.0, |d| d / 2.0),
        }
    }

    /// The smallest radius to which a side is cut: clear of the flange; 0 where the wheel is chucked.
    pub fn innermost(&self) -> f64 {
        if self.flange > 0.0 { self.flange + CLEAR } else { 0.0 }
    }
}

/// What a wheel that stays on its spindle keeps beside its flange; `None` where it is chucked, or nothing is ordered there.
///
/// # Errors
/// Where the wheel has no section.
pub fn kept_at_flange(job: &Job, set_up: SetUp) -> Result<Option<String>, CuttingError> {
    let begun = Begun::of(job, set_up);
    let (low, high) = (job.wheel.bore_radius(), begun.innermost().min(job.wheel.outside_radius()));
    let section = Section::of(&job.wheel)?;
    let ordered = |i: u32| section.profile(set_up.side).depth_at(low + (high - low) * f64::from(i) / f64::from(LOOKS));
    let most = (0..=LOOKS).map(ordered).fold(0.0, f64::max) - begun.top;
    let size = |mm: f64| Written::plain_in(job.units).measured(mm);
    Ok((high > low && most > LEAST_CUT).then(|| {
        format!(
            "Inside diameter {} nothing of side {} is cut, where the flange of {} stands: up to {} ordered there must be cut before the wheel is mounted.",
            size(2.0 * high),
            set_up.side.letter(),
            size(2.0 * begun.flange),
            size(most)
        )
    }))
}

/// Places beside a flange at which what is ordered is looked at.
const LOOKS: u32 = 200;

/// The program of one set-up.
///
/// # Errors
/// Where no feed is given, the nose does not fit, the passes are too many, or the spindle would be started above the blank's mark.
pub fn program(job: &Job, turned: &Turned, set_up: SetUp, state: &[String]) -> Result<Draft, CuttingError> {
    let feed = turned.control.feed()?.clone();
    let control = match job.tooling.side_dress_lead {
        Some(lead) if feed.mode == "G95" => {
            Control { feed: Some(crate::cutting::control::Feed { value: lead, ..feed }), ..turned.control.clone() }
        }
        _ => turned.control.clone(),
    };
    speed_allowed(job, &control)?;
    let begun = Begun::of(job, set_up);
    if set_up.stays && begun.flange == 0.0 {
        return Err(CuttingError::Needs {
            message: String::from("what diameter have the flanges of the spindle on which the wheel stays? The order does not give it"),
            hint: String::from("give `flange_diameter` of the mount: the tool keeps clear of it"),
        });
    }
    let Roughing { depth, allowance } = turned.roughing;
    let turning = Turning {
        job,
        shape: turned.shape,
        nose: turned.nose,
        set_up,
        begun,
        depth,
        allowance,
        safe: begun.top - turned.nose.radius - CLEAR,
    };
    let mut lines = head::common(job, &format!("turning, {}", set_up.word().replace('-', " ")), &control, state);
    lines.extend(turning.head(&control)?);
    let mut program = Program::new(&control, &lines);
    if let Some(spindle) = &control.spindle {
        program.block(&format!("{}{} {}", spindle.letter, fixed(spindle.rpm, 0), spindle.start));
    }
    let mut tool = Tool { program, control: &control, set_up, thickness: job.wheel.thickness };
    tool.rapid_to_front(turning.safe);
    if set_up.bore {
        turning.bore(&mut tool)?;
    }
    if set_up.face {
        turning.face(&mut tool)?;
    }
    turning.side(&mut tool)?;
    Ok(tool.program.ended())
}

/// Refuses a spindle start above what the blank's mark allows, or where the mark is not known.
fn speed_allowed(job: &Job, control: &Control) -> Result<(), CuttingError> {
    let Some(spindle) = &control.spindle else { return Ok(()) };
    let message = match head::most_rpm(job) {
        Some(most) if spindle.rpm <= most => return Ok(()),
        Some(most) => format!(
            "the file of controls starts the spindle at {} 1/min; the blank's mark allows {}",
            fixed(spindle.rpm, 0),
            fixed(most.floor(), 0)
        ),
        None => String::from(
            "the file of controls starts the spindle, but the order does not give the blank's marked speed",
        ),
    };
    Err(CuttingError::Needs {
        message,
        hint: String::from("give the maximum operating speed of the blank, or take `spindle` out of the file of controls"),
    })
}

/// The tool as the program moves it: writes moves of the set-up's frame in the machine's words.
struct Tool<'a> {
    program: Program<'a>,
    control: &'a Control,
    set_up: SetUp,
    thickness: f64,
}

impl Tool<'_> {
    /// The axial word of a depth w.
    fn axial(&self, w: f64) -> f64 {
        let sense = if self.control.axial == Axial::OutOfWheel { -1.0 } else { 1.0 };
        // a wheel that stays keeps the datum of side A
        let from_datum = if self.set_up.stays && self.set_up.side == SideName::B { self.thickness - w } else { w };
        sense * from_datum
    }

    fn words(&self, p: Point) -> [(char, f64); 2] {
        let axes = self.control.axes;
        let radial = if self.control.radial_is_diameter { 2.0 * p.y } else { p.y };
        [(axes.radial, radial), (axes.axial, self.axial(p.x))]
    }

    fn rapid_to_front(&mut self, safe: f64) {
        let axial = self.axial(safe);
        self.program.rapid(&[(self.control.axes.axial, axial)]);
    }

    fn rapid(&mut self, w: f64, r: f64) {
        let words = self.words(Point::new(w, r));
        self.program.rapid(&words);
    }

    fn feed(&mut self, w: f64, r: f64) {
        let words = self.words(Point::new(w, r));
        self.program.feed(&words);
    }

    /// Along an edge of the frame (w, r).
    fn along(&mut self, edge: &Edge) {
        let Edge::Arc(arc) = edge else { return self.feed(edge.end().x, edge.end().y) };
        let end = self.words(arc.end());
        // an arc whose ends round to one place would be a full circle
        if self.program.stands(&end) {
            return;
        }
        let centre = arc.centre() - arc.start();
        let axes = self.control.axes;
        let flips = self.axial(1.0) < self.axial(0.0);
        let left = (arc.turn() == Turn::Left) != flips;
        let decimals = self.control.decimals;
        let text = |value: f64| self.program.number(value, decimals);
        let axial = if flips { -centre.x } else { centre.x };
        let axial = text(axial);
        let radial = text(centre.y);
        // an arc says both ends' words, also those that stay
        let places = self.program.worded(&end, true);
        let function = if left { "G3" } else { "G2" };
        let block = format!(
            "{function} {} {}{} {}{}",
            places.join(" "),
            axes.centre_radial,
            radial,
            axes.centre_axial,
            axial
        );
        let feed = self.program.feed_word();
        self.program.block(&(block + &feed));
    }
}

/// One set-up being turned.
struct Turning<'a> {
    job: &'a Job,
    shape: &'a Profile,
    nose: &'a NosePath,
    set_up: SetUp,
    begun: Begun,
    depth: f64,
    allowance: f64,
    /// w of the nose's centre in front of everything.
    safe: f64,
}

impl Turning<'_> {
    fn head(&self, control: &Control) -> Result<Vec<String>, CuttingError> {
        let (letter, b) = (self.set_up.side.letter(), &self.begun);
        let datum = match (self.set_up.stays, control.axial) {
            (true, Axial::OutOfWheel) => String::from("Z0 in side A's finished datum plane, for both sides; Z grows out of side A"),
            (true, Axial::IntoWheel) => String::from("Z0 in side A's finished datum plane, for both sides; Z grows towards side B"),
            (false, Axial::OutOfWheel) => {
                format!("Z0 in side {letter}'s finished datum plane, Z grows out of the wheel")
            }
            (false, Axial::IntoWheel) => format!("Z0 in side {letter}'s finished datum plane, Z grows into the wheel"),
        };
        let mut lines = vec![
            self.set_up.held().to_owned(),
            format!("Datum: {datum}; X0 is the wheel's axis"),
            format!(
                "X words are {}; I and K lead from an arc's start to its centre, I as a radius",
                if control.radial_is_diameter { "diameters" } else { "radii" }
            ),
            String::from("G2 is clockwise, G3 counter-clockwise, seen with Z to the right and X up"),
            format!(
                "Tool: diamond with a nose radius of {} mm; programmed is the nose's centre, without the control's own compensation",
                mm(self.nose.radius)
            ),
            format!(
                "Stone: diameter {} mm, bore {} mm, {} mm in front of the datum plane{}",
                mm(2.0 * b.radius),
                mm(2.0 * b.bore),
                mm(-b.top),
                if self.job.blank.is_none() { "; the order gives no blank: 1 mm on every face is taken" } else { "" }
            ),
            format!(
                "Depth per pass: at most {} mm; {} mm is left for the last pass",
                mm(self.depth),
                mm(self.allowance)
            ),
            String::from(if self.set_up.stays {
                "Start with the tool clear in front of the wheel, outside the flange's diameter"
            } else {
                "Start with the tool clear in front of the wheel"
            }),
        ];
        lines.extend(kept_at_flange(self.job, self.set_up)?);
        lines.extend(self.nose.said(self.job.units));
        Ok(lines)
    }

    /// An edge of the profile's frame in the set-up's.
    fn framed(&self, edge: &Edge) -> Edge {
        match self.set_up.side {
            SideName::A => *edge,
            SideName::B => edge.mirrored_x().translated(Point::new(self.job.wheel.thickness, 0.0)),
        }
    }

    /// To and fro at these radii of the nose's centre, from the front; the return is clear of the whole blank.
    fn cylinder(&self, tool: &mut Tool, radii: &[f64], home: f64) {
        let front = self.safe;
        let back = self.begun.back + self.nose.radius + CLEAR;
        tool.rapid(front, home);
        let mut ahead = true;
        for &r in radii {
            tool.feed(if ahead { front } else { back }, r);
            tool.feed(if ahead { back } else { front }, r);
            ahead = !ahead;
        }
        tool.feed(if ahead { front } else { back }, home);
        tool.rapid(front, home);
    }

    /// Radii of the nose's centre from the stone's to the finished one, the last two an allowance apart.
    fn radii(&self, from: f64, to: f64, outside: f64) -> Result<Vec<f64>, CuttingError> {
        let thick = (from - to).abs();
        if thick <= LEAST_CUT {
            return Ok(Vec::new());
        }
        let rough = (thick - self.allowance).max(0.0);
        let n = levels::count(rough, self.depth)?;
        let sign = if from > to { -1.0 } else { 1.0 };
        let step = |i: u32| from + sign * rough * f64::from(i) / f64::from(n.max(1));
        Ok((1..=n).map(step).chain([to]).map(|r| r + outside * self.nose.radius).collect())
    }

    fn bore(&self, tool: &mut Tool) -> Result<(), CuttingError> {
        let finished = self.job.wheel.bore_radius();
        let home = self.begun.blank.1 - self.nose.radius - CLEAR;
        let radii = self.radii(self.begun.bore, finished, -1.0)?;
        if radii.is_empty() {
            tool.program.comment("The bore is as the blank has it: not cut");
            return Ok(());
        }
        if home < 0.0 {
            return Err(CuttingError::Needs {
                message: format!(
                    "a nose radius of {} mm finds no room in the blank's bore of {} mm",
                    mm(self.nose.radius),
                    mm(2.0 * self.begun.blank.1)
                ),
                hint: String::from("open the bore with another tool first, or name a smaller nose"),
            });
        }
        tool.program.comment("Operation: bore");
        self.cylinder(tool, &radii, home);
        Ok(())
    }

    fn face(&self, tool: &mut Tool) -> Result<(), CuttingError> {
        let radii = self.radii(self.begun.radius, self.job.wheel.outside_radius(), 1.0)?;
        if radii.is_empty() {
            tool.program.comment("The outside diameter is as the blank has it: not cut");
            return Ok(());
        }
        tool.program.comment("Operation: face");
        self.cylinder(tool, &radii, self.begun.blank.0 + self.nose.radius + CLEAR);
        Ok(())
    }

    /// The side that faces the tool: levels from the blank, then with the allowance along the profile, then the profile.
    fn side(&self, tool: &mut Tool) -> Result<(), CuttingError> {
        let of = if self.set_up.side == SideName::A { Operation::SideA } else { Operation::SideB };
        tool.program.comment(&format!("Operation: side {}, roughing", self.set_up.side.letter()));
        let rough = self.nose.radius + self.allowance;
        let levels = self.levels(of, rough)?;
        for interval in levels.at(0) {
            let near = interval.outer;
            tool.rapid(self.safe, near);
            let end = pocket(tool, &levels, 0, interval, near);
            tool.feed(self.safe, end);
        }
        tool.program.comment(&format!("Operation: side {}, with the allowance", self.set_up.side.letter()));
        self.follow(tool, &NosePath::of(self.shape, rough)?, of);
        tool.program.comment(&format!("Operation: side {}, finished", self.set_up.side.letter()));
        self.follow(tool, self.nose, of);
        Ok(())
    }

    /// The smallest radius at which the nose's centre may stand.
    fn innermost(&self) -> f64 {
        if self.set_up.stays { self.begun.innermost() + self.nose.radius } else { 0.0 }
    }

    /// The levels at which a nose may run that leaves the allowance.
    fn levels(&self, of: Operation, rough: f64) -> Result<Levels, CuttingError> {
        let finished = self.job.wheel.outside_radius();
        let edges = self.shape.contour.edges().iter().zip(self.shape.operations());
        let mut edges: Vec<Edge> = edges.filter(|(_, o)| *o == of).map(|(e, _)| self.framed(e)).collect();
        let ends = edges.iter().flat_map(|e| [e.start(), e.end()]);
        let rim = ends.filter(|p| p.y >= finished - SAME_LENGTH).map(|p| p.x).fold(0.0, f64::max);
        let stone = if self.set_up.face { finished } else { self.begun.radius };
        if stone > finished + LEAST_CUT {
            // stone outside the finished diameter is taken down so far that the nose comes round the corner
            let w = (rim + rough).min(self.begun.back);
            edges.push(Edge::line(Point::new(w, finished), Point::new(w, stone + 2.0 * rough + CLEAR)));
        }
        let inner = self.job.wheel.bore_radius().max(self.innermost());
        let outer = stone + self.nose.radius + CLEAR;
        Levels::of(edges, rough, (inner, stone, outer), (self.begun.top - self.nose.radius, self.depth))
    }

    /// Along a nose's path over a side, come to and left along the axis.
    fn follow(&self, tool: &mut Tool, path: &NosePath, of: Operation) {
        let far = crate::tolerance::GREATEST_LENGTH;
        let free = Bounds::of(Point::new(-far, self.innermost()), Point::new(far, far));
        let seen = |edge: &Edge| match self.framed(edge) {
            whole if free.contains(whole.bounds()) => vec![whole],
            edge => clipped(&edge, free),
        };
        let runs = path.cuts(of).into_iter().map(|run| run.iter().flat_map(seen).collect());
        for run in runs.flat_map(joined) {
            let Some(start) = run.first().map(Edge::start) else { continue };
            tool.rapid(self.safe, start.y);
            tool.feed(start.x, start.y);
            let mut end = start;
            for edge in &run {
                tool.along(edge);
                end = edge.end();
            }
            tool.feed(self.safe, end.y);
        }
    }
}

/// Edges as runs that hang together.
fn joined(edges: Vec<Edge>) -> Vec<Vec<Edge>> {
    let hang = |a: &Edge, b: &Edge| a.end().distance(b.start()) <= SAME_LENGTH;
    edges.chunk_by(hang).map(<[Edge]>::to_vec).collect()
}

/// Cuts an interval at a level, then those below it; the nose stands at r on the level above. Gives the r it ends at.
fn pocket(tool: &mut Tool, levels: &Levels, level: usize, interval: Interval, r: f64) -> f64 {
    let (near, far) = interval.from(r);
    let (above, w) = (level.checked_sub(1).map(|l| levels.w(l)), levels.w(level));
    if let Some(above) = above {
        tool.feed(above, near);
    }
    tool.feed(w, near);
    tool.feed(w, far);
    let mut at = far;
    for (i, below) in levels.at(level + 1).into_iter().filter(|i| interval.holds(i)).enumerate() {
        if i > 0 {
            tool.feed(w, at);
        }
        at = pocket(tool, levels, level + 1, below, at);
    }
    at
}

//! The picture of a turning program: each operation's motions over the blank and the finished half-section, as the machine's words have them.

use super::panel::{Panel, Travel};
use super::stretch::{operation_of, operations, stretches};
use super::{Course, Drawn, mm};
use crate::cutting::profile::Profile;
use crate::cutting::program::{Begun, Roughing, SetUp};
use crate::drawing::LineRole;
use crate::geometry::{Edge, Point};
use crate::reach;
use crate::section::Section;
use crate::simulate::{Frame, Motion, Objection, Sense, read};
use crate::wheel::Job;

/// Chords of an arc of the contour.
const CHORDS: usize = 24;

/// What the sheet of a turning program shows.
///
/// # Errors
/// Where the text cannot be read back, or the wheel has no section.
pub fn drawn(job: &Job, course: &Course, (set_up, nose, roughing): (SetUp, f64, Roughing)) -> Result<Drawn, Objection> {
    let axes = vec![course.control.axes.radial, course.control.axes.axial];
    let motions = read(&course.text, &course.control, &axes)?;
    let frame = Frame::of(job, &course.control, set_up);
    let begun = Begun::of(job, set_up);
    let operations = operations(&course.text, &course.control);
    let stretches = stretches(&motions, &operations, 1);
    let stone = stone(job, &frame, &begun)?;
    let panel = |(i, (_, name)): (usize, &(usize, String))| {
        let mine = |m: &Motion| operation_of(&operations, m.line) == i;
        let mut panel = Panel::new(capital(name), 0.0);
        panel.lines.clone_from(&stone);
        let known = motions.iter().enumerate().filter(|(_, m)| m.known && mine(m));
        panel.travels = known.map(|(n, m)| travel(&frame, n + 1, m, &axes)).collect();
        let marked = stretches.iter().filter(|s| mine(&s.first));
        panel.marks = marked.map(|s| (s.number.to_string(), marked_at(&frame, s.is_rapid, &s.first))).collect();
        panel
    };
    let panels = operations.iter().enumerate().map(panel).filter(|p| !p.travels.is_empty()).collect();
    let radial = if course.control.radial_is_diameter { "diameters" } else { "radii" };
    let fields = vec![
        ("Set-up", format!("side {} faces the tool", set_up.side.letter())),
        ("Tool", format!("diamond, nose radius {}; drawn is the path of the nose's centre", mm(nose))),
        ("Words", format!("{} are {radial}; on the picture {} points up, {} to the right", axes[0], axes[0], axes[1])),
        ("Stone", format!("diameter {}, bore {}", mm(2.0 * begun.radius), mm(2.0 * begun.bore))),
        ("In front of the datum plane", mm(-begun.top)),
        ("Depth per pass", format!("at most {}", mm(roughing.depth))),
        ("Left for the last pass", mm(roughing.allowance)),
    ];
    let mut remarks = vec![set_up.held().to_owned()];
    remarks.extend(reach::said(&reach::of_nose(&Section::of(&job.wheel)?, nose), job.units));
    Ok(Drawn { fields, remarks, panels, motions, stretches, axes })
}

/// Blank, finished half-section and datum plane.
fn stone(job: &Job, frame: &Frame, begun: &Begun) -> Result<Vec<(LineRole, Vec<Point>)>, Objection> {
    let corners = [(begun.top, begun.bore), (begun.top, begun.radius), (begun.back, begun.radius), (begun.back, begun.bore)];
    let blank = corners.iter().chain(&corners[..1]).map(|&(w, r)| frame.on_machine(Point::new(w, r))).collect();
    let shape = frame.shape(&Profile::of(&job.wheel)?.contour);
    let points = |edge: &Edge| {
        let n = if matches!(edge, Edge::Arc(_)) { CHORDS } else { 1 };
        (0..n).map(|i| edge.at(i as f64 / n as f64)).collect::<Vec<_>>()
    };
    let mut contour: Vec<Point> = shape.edges().iter().flat_map(points).map(|p| frame.on_machine(p)).collect();
    contour.extend(contour.first().copied());
    Ok(vec![(LineRole::Blank, blank), (LineRole::Visible, contour)])
}

fn travel(frame: &Frame, number: usize, motion: &Motion, axes: &[char]) -> Travel {
    let is_rapid = motion.sense == Sense::Rapid;
    let points = frame.path(motion).into_iter().map(|p| frame.on_machine(p)).collect();
    Travel { number, is_rapid, points, title: title(motion, axes) }
}

/// What is said of a motion: its line, its kind, where it leads.
pub fn title(motion: &Motion, axes: &[char]) -> String {
    let kind = match motion.sense {
        Sense::Rapid => "rapid",
        Sense::Straight => "cut",
        Sense::Arc { .. } => "cut along an arc",
    };
    let words: Vec<String> = axes.iter().zip(motion.to).map(|(l, v)| format!("{l}{}", super::trimmed(v, 4))).collect();
    format!("line {}: {kind} to {}", motion.line, words.join(" "))
}

/// Where a stretch's number belongs: the middle of its first rapid move, the start of its first cut.
fn marked_at(frame: &Frame, is_rapid: bool, first: &Motion) -> Point {
    let path = frame.path(first);
    let (from, to) = (path.first().copied().unwrap_or(Point::ORIGIN), path.last().copied().unwrap_or(Point::ORIGIN));
    frame.on_machine(if is_rapid { from.lerp(to, 0.5) } else { from.lerp(to, 0.1) })
}

/// The first letter large.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

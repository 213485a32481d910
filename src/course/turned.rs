//! The picture of a turning program: each operation's motions over the blank and the finished half-section, as the machine's words have them.

use super::panel::{Mark, Panel, Travel};
use super::stretch::{Stretch, operation_of, operations, stretches};
use super::{Course, Drawn, mm, numbers};
use crate::cutting::profile::Profile;
use crate::cutting::program::{Begun, Roughing, SetUp, kept_at_flange};
use crate::drawing::LineRole;
use crate::geometry::{Bounds, Edge, Point};
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
pub fn drawn(job: &Job, course: &Course, (set_up, nose, roughing): (SetUp, f64, Roughing), apart: f64) -> Result<Drawn, Objection> {
    let axes = vec![course.control.axes.radial, course.control.axes.axial];
    let motions = read(&course.text, &course.control, &axes)?;
    let frame = Frame::of(job, &course.control, set_up);
    let begun = Begun::of(job, set_up);
    let operations = operations(&course.text, &course.control);
    let stretches = stretches(&motions, &operations, 1);
    let stone = stone(job, &frame, &begun)?;
    let numbers = numbers(&motions);
    let number = |line: usize| numbers.get(&line).copied().unwrap_or_default();
    let panel = |(i, (_, name)): (usize, &(usize, String))| {
        let mine = |m: &Motion| operation_of(&operations, m.line) == i;
        let mut panel = Panel { lines: stone.clone(), apart, stretched: Some([axes[1], axes[0]]), ..Panel::new(capital(name), DETAIL_HIGH) };
        let known = motions.iter().enumerate().filter(|(_, m)| m.known && mine(m));
        panel.travels = known.map(|(n, m)| travel(&frame, n + 1, m, &axes)).collect();
        let marked = stretches.iter().filter(|s| mine(&s.first));
        let mark = |s: &Stretch| Mark { text: s.number.to_string(), at: marked_at(&frame, s.is_rapid, &s.first), of: number(s.first.line) };
        panel.marks = marked.map(mark).collect();
        panel
    };
    let operations = operations.iter().enumerate().map(panel).filter(|p| !p.travels.is_empty()).collect();
    let panels = overview(stone.clone(), (operations, nose), axes[1]);
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
    remarks.extend(kept_at_flange(job, set_up)?);
    remarks.extend(reach::said(&reach::of_nose(&Section::of(&job.wheel)?, nose), job.units));
    Ok(Drawn { fields, remarks, panels, motions, stretches, axes })
}

/// Greatest heights of the whole and of its details, mm on paper.
const WHOLE_HIGH: f64 = 118.0;
const DETAIL_HIGH: f64 = 104.0;

/// How far a detail shows more than its cuts, and how far the datum line reaches beyond the stone, both in noses of the tool.
const AROUND: f64 = 2.0;

/// The same, at least, mm.
const LEAST_AROUND: f64 = 1.5;

/// The whole with a frame around what each operation cuts, then the operations in their frames; those of a side share one.
fn overview(stone: Vec<(LineRole, Vec<Point>)>, (mut operations, nose): (Vec<Panel>, f64), axial: char) -> Vec<Panel> {
    let around = (AROUND * nose).max(LEAST_AROUND);
    let place = |panel: &Panel| panel.title.split([' ', ',']).next().unwrap_or_default().to_owned();
    let mut frames: Vec<(String, Bounds)> = Vec::new();
    for panel in &operations {
        let cuts = panel.travels.iter().filter(|t| !t.is_rapid).flat_map(|t| &t.points).map(|p| Bounds::of(*p, *p));
        let Some(bounds) = cuts.reduce(Bounds::union).map(|b| b.grown(around)) else { continue };
        match frames.iter_mut().find(|(of, _)| *of == place(panel)) {
            Some((_, frame)) => *frame = frame.union(bounds),
            None => frames.push((place(panel), bounds)),
        }
    }
    let mut whole = Panel { lines: stone, ..Panel::new("Where the operations cut", WHOLE_HIGH) };
    let all = whole.lines.iter().flat_map(|(_, points)| points).map(|p| Bounds::of(*p, *p)).reduce(Bounds::union);
    let all = frames.iter().map(|f| f.1).chain(all).reduce(Bounds::union).map_or((0.0, 0.0), |b| (b.min.y, b.max.y));
    let datum = (LineRole::Axis, vec![Point::new(0.0, all.0 - around), Point::new(0.0, all.1 + around)]);
    let word = |y: f64| (format!("{axial}0"), Point::new(0.0, y));
    whole.words.push(word(all.0 - around));
    whole.lines.push(datum.clone());
    for (i, (_, frame)) in frames.iter().enumerate() {
        let (a, b) = (frame.min, frame.max);
        whole.lines.push((LineRole::Fine, vec![a, Point::new(b.x, a.y), b, Point::new(a.x, b.y), a]));
        whole.words.push((letter(i), Point::new(a.x, b.y)));
    }
    for panel in &mut operations {
        panel.lines.push(datum.clone());
        let Some(i) = frames.iter().position(|(of, _)| *of == place(panel)) else { continue };
        let frame = frames[i].1;
        panel.window = Some(frame);
        panel.title = format!("{}: {}", letter(i), panel.title);
        if frame.min.x <= 0.0 && frame.max.x >= 0.0 {
            panel.words.push(word(frame.max.y));
        }
    }
    std::iter::once(whole).chain(operations).collect()
}

/// What a frame is called: K, L, M; letters that name no side and no axis.
fn letter(i: usize) -> String {
    ["K", "L", "M"].get(i).map_or_else(|| (i + 1).to_string(), |letter| (*letter).to_owned())
}

/// Blank and finished half-section.
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

//! The pictures of a groove program: one groove along its length, the same with its depth stretched, and the wheel with the places of all.

use super::panel::{Mark, Panel, Travel};
use super::stretch::{Stretch, stretches};
use super::turned::title;
use super::{Course, Drawn, degrees, mm, numbers};
use crate::cutting::Part;
use crate::cutting::passes::{Cutter, Stock};
use crate::drawing::LineRole;
use crate::geometry::Point;
use crate::groove::SideGroove;
use crate::reach::{self, Place};
use crate::section::Section;
use crate::simulate::{Motion, Objection, Sense, alike, axes, read};
use crate::wheel::{FaceBottom, Job, SideName};
use std::collections::{HashMap, HashSet};

/// Greatest heights of the pictures, mm on paper.
const TRUE_HIGH: f64 = 66.0;
const STRETCHED_HIGH: f64 = 66.0;
const ACROSS_HIGH: f64 = 60.0;
const PLACES_HIGH: f64 = 105.0;

/// Places along the groove at which its surface is looked at, and chords of a circle.
const PLACES: usize = 400;
const CHORDS: u32 = 120;

/// Most ways to cut a groove that are drawn.
const MOST_SORTS: usize = 3;

/// Places that get their number on the wheel: the first ones, and the last.
const NUMBERED: usize = 3;

/// What the sheet of a groove program shows.
///
/// # Errors
/// Where the text cannot be read back, or the wheel has no section.
pub fn drawn(job: &Job, course: &Course, (part, cutter): (Part, &Cutter), apart: f64) -> Result<Drawn, Objection> {
    let letters = axes(&course.control);
    let motions = read(&course.text, &course.control, &letters)?;
    let groups = groups(&motions);
    let numbers = numbers(&motions);
    let radius = cutter.diameter.map_or(0.0, |d| d / 2.0);
    let bench = match part {
        Part::Grooves(side) => Bench::side(job, side, radius)?,
        Part::FaceGrooves | Part::Profile => Bench::face(job, radius),
    };
    let mut panels = Vec::new();
    let mut found = Vec::new();
    let sorts = distinct(&groups);
    for (group, cut) in sorts.iter().take(MOST_SORTS) {
        let list = stretches(group, &[], found.len() + 1);
        panels.extend(bench.along(group, &numbers, cut, (&list, &letters, apart)));
        panels.extend(bench.across(group, cutter.width));
        found.extend(list);
    }
    panels.push(places(job, part, &groups));
    let mut remarks = left(job, part, cutter)?;
    if sorts.len() > MOST_SORTS {
        remarks.push(format!("{} ways to cut a groove are in the program; the first {MOST_SORTS} are drawn.", sorts.len()));
    }
    let count = groups.len();
    let mut fields = vec![
        ("Cuts", format!("{part}: {count} groove{}", if count == 1 { "" } else { "s" })),
        ("Tool", format!("disc {} wide, diameter {}; drawn is the path of its lowest point", mm(cutter.width), mm(2.0 * radius))),
        ("Depth per pass", cutter.depth_per_pass.map_or_else(|| String::from("to depth at once"), |d| format!("at most {}", mm(d)))),
        ("Words", bench.words(&letters)),
    ];
    if let Some(first) = groups.first().and_then(|g| g.last()) {
        fields.push(("Dividing axis at the first groove", degrees(first.to[3])));
    }
    Ok(Drawn { fields, remarks, panels, motions, stretches: found, axes: letters.to_vec() })
}

/// What the disc leaves, in the words of the program and of the drawing.
fn left(job: &Job, part: Part, cutter: &Cutter) -> Result<Vec<String>, Objection> {
    let left = match (part, &job.wheel.face) {
        (Part::Grooves(side), _) => {
            let section = Section::of(&job.wheel)?;
            reach::of_side(&job.wheel, &section, side, (cutter.disc(), reach::widest(job, Place::Side(side))))
        }
        (Part::FaceGrooves, Some(g)) => reach::of_face(g, (cutter.disc(), reach::widest(job, Place::Face))),
        _ => Vec::new(),
    };
    Ok(reach::said(&left, job.units))
}

/// The motions groove by groove.
fn groups(motions: &[Motion]) -> Vec<Vec<Motion>> {
    let cut: Vec<Motion> = motions.iter().copied().filter(|m| m.groove > 0).collect();
    cut.chunk_by(|a, b| a.groove == b.groove).map(<[Motion]>::to_vec).collect()
}

/// The different ways to cut a groove, each with the grooves that are cut so. Where the tool comes from before the first groove is not known, so that a later
/// one stands for it where there is one.
fn distinct(groups: &[Vec<Motion>]) -> Vec<(&Vec<Motion>, Vec<u32>)> {
    let mut found: Vec<(&Vec<Motion>, Vec<u32>)> = Vec::new();
    for group in groups {
        match found.iter_mut().find(|(g, _)| alike(g, group)) {
            Some((shown, cut)) => {
                if cut.len() == 1 {
                    *shown = group;
                }
                cut.push(group[0].groove);
            }
            None => found.push((group, vec![group[0].groove])),
        }
    }
    found
}

/// The stone along a groove, and how a motion lies on its picture.
struct Bench {
    face: bool,
    radius: f64,
    stone: Vec<(LineRole, Vec<Point>)>,
    /// Where along the groove it is looked at across, and what it is there: its word across to the right, as along up.
    shape: (f64, Vec<Point>),
}

impl Bench {
    /// A side: across the picture runs the word along the groove, up the word of the depth.
    fn side(job: &Job, side: SideName, radius: f64) -> Result<Bench, Objection> {
        let mut bench = Bench { face: false, radius, stone: Vec::new(), shape: (0.0, Vec::new()) };
        let Some(groove) = SideGroove::of(&job.wheel, side) else { return Ok(bench) };
        let section = Section::of(&job.wheel)?;
        let (profile, v) = (section.profile(side), groove.offset);
        let along = |r: f64| ((r - v.abs()) * (r + v.abs())).max(0.0).sqrt();
        let (inner, outer) = (along(job.wheel.bore_radius().max(v.abs())), along(job.wheel.outside_radius()));
        let low = inner.max(groove.inner_u - radius);
        let us = (0..=PLACES).map(|i| low + (outer - low) * i as f64 / PLACES as f64);
        let surface = |u: f64| profile.depth_at(u.hypot(v).min(job.wheel.outside_radius()));
        let within = |u: f64| u >= groove.inner_u && groove.outer_u.is_none_or(|o| u <= o);
        let floor = |u: f64| if within(u) { surface(u).max(groove.depth(u, v)) } else { surface(u) };
        let us: Vec<f64> = us.collect();
        let turned: Vec<Point> = us.iter().map(|&u| Point::new(u, -surface(u))).collect();
        let finished: Vec<Point> = us.iter().map(|&u| Point::new(u, -floor(u))).collect();
        let deepest = finished.iter().map(|p| p.y).fold(0.0, f64::min).min(-DEEPER * groove.floor.depth(outer));
        let rim = |from: f64, r: f64| vec![Point::new(r, from), Point::new(r, deepest)];
        let stock = Stock::of(job);
        let top = stock.thicker;
        let blank = vec![Point::new(low, top), Point::new(along(stock.radius), top), Point::new(along(stock.radius), deepest)];
        let datum = vec![Point::new(low, 0.0), Point::new(along(stock.radius), 0.0)];
        let at = (groove.inner_u + groove.outer_u.unwrap_or(outer)) / 2.0;
        let mirror = if side == SideName::B { -1.0 } else { 1.0 };
        let stands = |y: f64| at.hypot(y).min(job.wheel.outside_radius());
        let depth = |y: f64| -groove.depth(at, mirror * y).max(profile.depth_at(stands(y)));
        bench.shape = (at, shape(mirror * v, groove.half_width, |y| -profile.depth_at(stands(y)), depth));
        bench.stone = vec![(LineRole::Axis, datum), (LineRole::Fine, turned), (LineRole::Visible, finished), (LineRole::Visible, rim(-floor(outer), outer))];
        if stock.thicker > 0.0 || stock.larger > 0.0 {
            bench.stone.push((LineRole::Blank, blank));
        }
        Ok(bench)
    }

    /// The face: across the picture runs the word along the wheel's axis, up the radius.
    fn face(job: &Job, radius: f64) -> Bench {
        let (rim, thick) = (job.wheel.outside_radius(), job.wheel.thickness);
        let depth = job.wheel.face.as_ref().map_or(0.0, |g| g.depth);
        let stock = Stock::of(job);
        let low = rim - depth * DEEPER;
        let open = |from: f64, to: f64, top: f64| [(from, low), (from, top), (to, top), (to, low)].map(|(x, y)| Point::new(x, y)).to_vec();
        let floor = vec![Point::new(0.0, rim - depth), Point::new(thick, rim - depth)];
        let mut stone = vec![(LineRole::Fine, open(0.0, thick, rim)), (LineRole::Visible, floor)];
        if stock.thicker > 0.0 || stock.larger > 0.0 {
            stone.push((LineRole::Blank, open(-stock.thicker, thick + stock.thicker, rim + stock.larger)));
        }
        stone.push((LineRole::Axis, vec![Point::new(0.0, low), Point::new(0.0, rim + stock.larger)]));
        let half = job.wheel.face.as_ref().map_or(0.0, |g| g.width / 2.0);
        let round = job.wheel.face.as_ref().is_some_and(|g| g.bottom != FaceBottom::Flat);
        let floor = |v: f64| rim - depth + if round { half - ((half - v) * (half + v)).max(0.0).sqrt() } else { 0.0 };
        Bench { face: true, radius, stone, shape: (thick / 2.0, shape(0.0, half, |_| rim, floor)) }
    }

    fn words(&self, letters: &[char; 4]) -> String {
        let [along, _, depth, _] = letters;
        let (up, right) = if self.face { (along, depth) } else { (depth, along) };
        format!("on the pictures {up} points up, {right} to the right")
    }

    fn at(&self, place: [f64; 4]) -> Point {
        if self.face { Point::new(place[2], place[0]) } else { Point::new(place[0], place[2]) }
    }

    fn marked_at(&self, is_rapid: bool, first: &Motion) -> Point {
        self.at(first.from).lerp(self.at(first.to), if is_rapid { 0.5 } else { 0.1 })
    }

    /// One way to cut a groove, as it is and with its depth stretched; of passes beside each other those of the deepest where not every one is drawn.
    fn along(
        &self,
        group: &[Motion],
        numbers: &HashMap<usize, usize>,
        cut: &[u32],
        (list, letters, apart): (&[Stretch], &[char; 4], f64),
    ) -> [Panel; 2] {
        let of = grooves(cut);
        let mut as_it_is = Panel { apart, ..Panel::new(format!("Groove {}, with the disc", group[0].groove), TRUE_HIGH) };
        as_it_is.note = format!("So are cut: {of}.");
        as_it_is.lines.clone_from(&self.stone);
        let lanes = self.lanes(group);
        let deepest = lanes.first().filter(|_| apart > 0.0).map(|(v, _)| *v);
        let number = |m: &Motion| numbers.get(&m.line).copied().unwrap_or_default();
        let travel = |m: &Motion| Travel {
            number: number(m),
            is_rapid: m.sense == Sense::Rapid,
            points: vec![self.at(m.from), self.at(m.to)],
            title: title(m, letters),
        };
        let known = group.iter().filter(|m| m.known && deepest.is_none_or(|v| m.to[1] == v));
        as_it_is.travels = known.map(travel).collect();
        let centre = |place: [f64; 4]| (self.at(place) + Point::new(0.0, self.radius), self.radius);
        let ends = lanes.first().filter(|_| self.radius > 0.0);
        as_it_is.circles = ends.map(|(_, m)| vec![centre(m.from), centre(m.to)]).unwrap_or_default();
        let mut stretched = Panel::new(format!("Groove {}, its passes", group[0].groove), STRETCHED_HIGH);
        if deepest.is_some() && lanes.len() > 1 {
            stretched.note = format!("Of {} passes beside each other those of the deepest are drawn.", lanes.len());
        }
        stretched.lines.clone_from(&self.stone);
        stretched.travels.clone_from(&as_it_is.travels);
        let mark = |s: &Stretch| Mark { text: s.number.to_string(), at: self.marked_at(s.is_rapid, &s.first), of: number(&s.first) };
        let drawn: HashSet<usize> = stretched.travels.iter().map(|t| t.number).collect();
        let seen = list.iter().filter(|s| drawn.contains(&number(&s.first)));
        stretched.marks = seen.map(mark).collect();
        let [along, _, depth, _] = *letters;
        stretched.stretched = Some(if self.face { [depth, along] } else { [along, depth] });
        stretched.apart = apart;
        let datum = self.stone.iter().find(|(role, _)| *role == LineRole::Axis).and_then(|(_, line)| line.first());
        for panel in [&mut as_it_is, &mut stretched] {
            panel.words.extend(datum.map(|at| (format!("{depth}0"), *at)));
        }
        [as_it_is, stretched]
    }

    /// The passes beside each other, the deepest first, each with its deepest cut along the groove.
    fn lanes(&self, group: &[Motion]) -> Vec<(f64, Motion)> {
        let deep = |m: &Motion| self.at(m.to).y;
        let mut lanes: Vec<(f64, Motion)> = Vec::new();
        for m in group.iter().filter(|m| m.known && m.sense != Sense::Rapid && self.at(m.from).x != self.at(m.to).x) {
            match lanes.iter_mut().find(|(v, _)| *v == m.to[1]) {
                Some((_, best)) if deep(m) < deep(best) => *best = *m,
                Some(_) => {}
                None => lanes.push((m.to[1], *m)),
            }
        }
        lanes.sort_by(|a, b| deep(&a.1).total_cmp(&deep(&b.1)));
        lanes
    }

    /// The groove across, where the disc comes down to in each pass beside the others; none where there is one pass alone.
    fn across(&self, group: &[Motion], width: f64) -> Option<Panel> {
        let mut lanes = self.lanes(group);
        if lanes.len() < 2 {
            return None;
        }
        lanes.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut panel = Panel::new(format!("Groove {}, across: the disc in its {} passes", group[0].groove, lanes.len()), ACROSS_HIGH);
        let (at, ref shape) = self.shape;
        let top = shape.iter().map(|p| p.y).fold(f64::MIN, f64::max);
        panel.lines.push((LineRole::Visible, shape.clone()));
        for (v, m) in lanes {
            let (a, b) = (self.at(m.from), self.at(m.to));
            let share = ((at - a.x) / (b.x - a.x)).clamp(0.0, 1.0);
            let (low, half) = (a.lerp(b, share).y, width / 2.0);
            let corners = [(v - half, top), (v - half, low), (v + half, low), (v + half, top)];
            panel.lines.push((LineRole::Fine, corners.map(|(x, y)| Point::new(x, y)).to_vec()));
        }
        Some(panel)
    }
}

/// A groove across: the surface on either side, its walls and its floor, each as up over across.
fn shape(middle: f64, half: f64, surface: impl Fn(f64) -> f64, floor: impl Fn(f64) -> f64) -> Vec<Point> {
    let at = |y: f64, of: &dyn Fn(f64) -> f64| Point::new(y, of(y));
    let (low, high) = (middle - half, middle + half);
    let mut points = vec![at(low - half / 2.0, &surface), at(low, &surface)];
    points.extend((0..=CHORDS).map(|i| at(low + (high - low) * f64::from(i) / f64::from(CHORDS), &floor)));
    points.extend([at(high, &surface), at(high + half / 2.0, &surface)]);
    points
}

/// How far below the floor, as a share of its depth, the sides of the stone are drawn.
const DEEPER: f64 = 1.5;

/// Numbers of grooves in few words: `grooves 1 to 180`.
fn grooves(cut: &[u32]) -> String {
    let runs: Vec<String> = cut
        .chunk_by(|a, b| b - a == 1)
        .map(|run| match run {
            [one] => one.to_string(),
            [first, .., last] => format!("{first} to {last}"),
            [] => String::new(),
        })
        .collect();
    format!("groove{} {}", if cut.len() == 1 { "" } else { "s" }, runs.join(", "))
}

/// The wheel with the place of each groove as the dividing axis sets it.
fn places(job: &Job, part: Part, groups: &[Vec<Motion>]) -> Panel {
    let letter = if part == Part::Grooves(SideName::B) { 'B' } else { 'A' };
    let mut panel = Panel::new(format!("The places in their order, seen from outside side {letter}"), PLACES_HIGH);
    panel.note = String::from("A line for each groove where the dividing axis sets it; the wheel turns so that each in turn lies under the disc.");
    if let [first, second, ..] = groups
        && let (Some(one), Some(two)) = (first.first(), second.first())
    {
        let on = (two.to[3] - one.to[3]).rem_euclid(360.0);
        let sense = if on <= 180.0 { "counter-clockwise" } else { "clockwise" };
        panel.note.push_str(&format!(" From the first to the second the places go on {sense} by {}.", degrees(on.min(360.0 - on))));
    }
    let (rim, bore) = (job.wheel.outside_radius(), job.wheel.bore_radius());
    let circle = |r: f64| (0..=CHORDS).map(|i| Point::polar(r, f64::from(i) * std::f64::consts::TAU / f64::from(CHORDS))).collect();
    panel.lines = vec![(LineRole::Visible, circle(rim)), (LineRole::Visible, circle(bore))];
    let last = groups.len().saturating_sub(1);
    for (i, group) in groups.iter().enumerate() {
        let cuts = group.iter().filter(|m| m.sense != Sense::Rapid);
        let stands = group.first().map_or(0.0, |m| m.to[3]).to_radians();
        let laid = |m: [f64; 4]| match part {
            Part::FaceGrooves => Point::polar(m[0].min(rim), m[3].to_radians()),
            _ => Point::new(m[0].min(rim), m[1]).rotated(stands),
        };
        // the longest cut stands for the groove
        let longest = cuts.max_by(|a, b| laid(a.from).distance(laid(a.to)).total_cmp(&laid(b.from).distance(laid(b.to))));
        let Some(cut) = longest else { continue };
        let ends = match part {
            Part::FaceGrooves => vec![laid(cut.to), Point::polar(rim * SHORTENED, cut.from[3].to_radians())],
            _ => vec![laid(cut.from), laid(cut.to)],
        };
        let outside = Point::polar(rim, ends[0].angle());
        if i < NUMBERED || i == last {
            panel.marks.push(Mark { text: group[0].groove.to_string(), at: outside, of: 0 });
        }
        panel.lines.push((LineRole::Fine, ends));
    }
    panel
}

/// Where the line of a face groove ends, as a share of the outside radius.
const SHORTENED: f64 = 0.94;

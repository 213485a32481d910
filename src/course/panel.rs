//! One picture of a tool path: lines of the stone, motions, numbers, at plain scales. Where passes would run into each other on paper, every so many of
//! them is drawn, and said.

use super::scale_word;
use super::thinned::thinned;
use crate::drawing::{Fill, Group, Item, Lettering, LineRole, Text, measure};
use crate::geometry::{Bounds, Edge, Point, clipped};
use crate::shop::paper::{Flow, PITCH, SMALL, TEXT};
use std::collections::HashSet;

/// Scales to choose from, largest first (ISO 5455, and 1 : 2.5 and 1 : 4 between them).
const SCALES: [f64; 12] = [20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.4, 0.25, 0.2, 0.1, 0.05, 0.02];

/// By how much one direction is drawn larger than the other at most.
const MOST_STRETCHED: f64 = 10.0;

/// Capital height of numbers, radius of their circles, room around a picture, mm on paper.
const NUMBER: f64 = 1.8;
const BALLOON: f64 = 1.9;
const MARGIN: f64 = 5.0;

/// Room for a title beside others, and between pictures, mm on paper.
const TITLES: f64 = 13.0;
const BETWEEN: f64 = 6.0;

/// Shortest line on paper that counts as a pass, mm.
const PASS: f64 = 4.0;

/// How far from its point a word may stand, the nearest first, and its clear distance from lines, mm on paper.
const WORD_OFF: [f64; 3] = [0.7, 2.5, 4.5];
const WORD_CLEAR: f64 = 0.4;

/// A motion as drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Travel {
    /// Its number in the program's sheet, from 1.
    pub number: usize,
    /// Whether it is rapid.
    pub is_rapid: bool,
    /// Its points, mm in the picture's frame.
    pub points: Vec<Point>,
    /// What a reader who cannot see it is told.
    pub title: String,
}

/// A number, where it belongs, and the motion it is the number of.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// The text.
    pub text: String,
    /// Where.
    pub at: Point,
    /// The motion's number.
    pub of: usize,
}

/// A picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Its heading.
    pub title: String,
    /// What is said beside the scale.
    pub note: String,
    /// Lines of the stone and the tool.
    pub lines: Vec<(LineRole, Vec<Point>)>,
    /// Circles of the tool: centre and radius.
    pub circles: Vec<(Point, f64)>,
    /// The motions.
    pub travels: Vec<Travel>,
    /// Numbers.
    pub marks: Vec<Mark>,
    /// Words and where they stand.
    pub words: Vec<(String, Point)>,
    /// What is shown, mm in the picture's frame; `None` for all of it.
    pub window: Option<Bounds>,
    /// Greatest height on paper, mm.
    pub most_high: f64,
    /// The letters of the axes to the right and up, where the two may have scales of their own.
    pub stretched: Option<[char; 2]>,
    /// Least distance on paper of passes beside each other, mm; 0 draws every one.
    pub apart: f64,
}

/// From the picture's frame to the paper.
#[derive(Debug, Clone, Copy)]
struct Laid {
    origin: Point,
    low: Point,
    scales: Scales,
}

impl Laid {
    fn at(&self, p: Point) -> Point {
        self.origin + Point::new((p.x - self.low.x) * self.scales.across, (p.y - self.low.y) * self.scales.up)
    }
}

/// Scales to the right and up.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Scales {
    across: f64,
    up: f64,
}

impl Scales {
    /// The largest at which bounds find room, mm on paper; both alike unless they may differ.
    fn of(bounds: Bounds, (width, height): (f64, f64), may_differ: bool) -> Scales {
        let largest = |size: f64, room: f64| SCALES.into_iter().find(|s| size * s <= room).unwrap_or(room / size);
        let (across, up) = (largest(bounds.width(), width), largest(bounds.height(), height));
        let even = across.min(up);
        if !may_differ {
            return Scales { across: even, up: even };
        }
        let most = SCALES.into_iter().find(|s| *s <= even * MOST_STRETCHED).unwrap_or(even);
        Scales { across: across.min(most), up: up.min(most) }
    }

    fn words(&self, axes: Option<[char; 2]>) -> String {
        match axes.filter(|_| self.across != self.up) {
            None => format!("scale {}", scale_word(self.across)),
            Some([right, up]) => format!("scale {} along {up}, {} along {right}", scale_word(self.up), scale_word(self.across)),
        }
    }
}

impl Panel {
    /// A picture of nothing yet.
    pub fn new(title: impl Into<String>, most_high: f64) -> Panel {
        Panel {
            title: title.into(),
            note: String::new(),
            lines: Vec::new(),
            circles: Vec::new(),
            travels: Vec::new(),
            marks: Vec::new(),
            words: Vec::new(),
            window: None,
            most_high,
            stretched: None,
            apart: 0.0,
        }
    }

    fn bounds(&self) -> Option<Bounds> {
        let lines = self.lines.iter().flat_map(|(_, points)| points);
        let points = lines.chain(self.travels.iter().flat_map(|w| &w.points)).map(|p| Bounds::of(*p, *p));
        let circles = self.circles.iter().map(|(c, r)| Bounds::of(*c, *c).grown(*r));
        self.window.or_else(|| points.chain(circles).reduce(Bounds::union))
    }

    /// Puts it on a paper, as large as a page takes it.
    pub fn put(&self, flow: &mut Flow) {
        let Some(bounds) = self.bounds() else { return };
        let room = (flow.width() - 2.0 * MARGIN, self.most_high - 2.0 * MARGIN);
        let scales = Scales::of(bounds, room, self.stretched.is_some());
        let drawn = self.drawn(scales);
        let height = bounds.height() * scales.up + 2.0 * MARGIN;
        let said = self.left_out(&drawn, scales);
        flow.heading_of(&format!("{} — {}{said}", self.title, scales.words(self.stretched)), height);
        if !self.note.is_empty() {
            flow.paragraph(&self.note);
        }
        flow.picture(height, |corner, width| {
            let aside = (width - bounds.width() * scales.across) / 2.0;
            let laid = Laid { origin: corner + Point::new(aside, MARGIN), low: bounds.min, scales };
            self.items(&laid, &drawn, Bounds::of(corner, corner + Point::new(width, height)))
        });
    }

    /// Which motions are drawn at these scales.
    fn drawn(&self, scales: Scales) -> Vec<bool> {
        let on_paper = |t: &Travel| t.points.iter().map(|p| Point::new(p.x * scales.across, p.y * scales.up)).collect();
        let travels: Vec<(bool, Vec<Point>)> = self.travels.iter().map(|t| (t.is_rapid, on_paper(t))).collect();
        thinned(&travels, self.apart)
    }

    /// What is said where not every pass is drawn; steps from pass to pass are none.
    fn left_out(&self, drawn: &[bool], scales: Scales) -> String {
        let long = |t: &Travel| t.points.iter().map(|p| Bounds::of(*p, *p)).reduce(Bounds::union).is_some_and(|b| {
            (b.width() * scales.across).max(b.height() * scales.up) > PASS
        });
        let passes = || self.travels.iter().zip(drawn).filter(|(t, _)| !t.is_rapid && long(t));
        let (all, shown) = (passes().count(), passes().filter(|(_, drawn)| **drawn).count());
        match (all as f64 / shown.max(1) as f64).round() as usize {
            _ if all == shown => String::new(),
            0 | 1 => format!(", {shown} of {all} passes are drawn"),
            nth => format!(", about one pass in {nth} is drawn"),
        }
    }

    /// In such a room beside others, its title and scale above it.
    fn beside(&self, room: Bounds) -> Vec<Item> {
        let Some(bounds) = self.bounds() else { return Vec::new() };
        let (width, height) = (room.width() - 2.0 * MARGIN, room.height() - TITLES - 2.0 * MARGIN);
        let scales = Scales::of(bounds, (width, height), self.stretched.is_some());
        let drawn = self.drawn(scales);
        let (wide, high) = (bounds.width() * scales.across, bounds.height() * scales.up);
        let aside = Point::new((room.width() - wide) / 2.0, room.height() - TITLES - MARGIN - high);
        let laid = Laid { origin: room.min + aside, low: bounds.min, scales };
        let top = room.max - Point::new(0.0, TITLES);
        let mut items = self.items(&laid, &drawn, Bounds::of(room.min, top));
        let mut y = room.max.y;
        let mut say = |text: &str, height: f64, lettering: Lettering| {
            for line in measure::wrapped(text, height, lettering, room.width() - 2.0) {
                y -= height * PITCH;
                let text = Text::new(line, Point::new((room.min.x + room.max.x) / 2.0, y), height).centred();
                items.push(Item::Text(Text { lettering, ..text }));
            }
        };
        say(&self.title, TEXT, Lettering::Bold);
        say(&format!("{}{}", scales.words(self.stretched), self.left_out(&drawn, scales)), SMALL, Lettering::Plain);
        items
    }

    fn items(&self, laid: &Laid, drawn: &[bool], room: Bounds) -> Vec<Item> {
        let mut items = Vec::new();
        for (role, points) in &self.lines {
            items.extend(self.chords(points, laid, *role));
        }
        if let Some(window) = self.window {
            let (a, b) = (window.min, window.max);
            let frame = [a, Point::new(b.x, a.y), b, Point::new(a.x, b.y), a];
            items.extend(self.chords(&frame, laid, LineRole::TableNarrow));
        }
        for (centre, radius) in &self.circles {
            let role = LineRole::Blank;
            items.push(Item::Circle { centre: laid.at(*centre), radius: radius * laid.scales.across, role, fill: Fill::None });
        }
        for (travel, drawn) in self.travels.iter().zip(drawn) {
            let role = if travel.is_rapid { LineRole::Hidden } else { LineRole::Fine };
            let mut group = Group::new(format!("move-{}", travel.number));
            group.title.clone_from(&travel.title);
            // what is not drawn is still told, step by step
            group.items = if *drawn { self.chords(&travel.points, laid, role) } else { Vec::new() };
            items.push(Item::Group(group));
        }
        let words: Vec<Text> = self.words.iter().map(|(text, at)| word(text, laid.at(*at), &items)).collect();
        let taken = words.iter().filter_map(|w| Some(measure::ink(w)?.centre() + w.at)).collect();
        items.extend(words.into_iter().map(Item::Text));
        items.extend(self.numbers(laid, drawn, room, taken));
        items
    }

    /// The numbers of motions that are drawn, where each finds room near by and clear of the places `taken`.
    fn numbers(&self, laid: &Laid, drawn: &[bool], room: Bounds, mut taken: Vec<Point>) -> Vec<Item> {
        let mut items = Vec::new();
        let hidden: HashSet<usize> = self.travels.iter().zip(drawn).filter(|(_, drawn)| !**drawn).map(|(t, _)| t.number).collect();
        let inside = |m: &Mark| self.window.is_none_or(|w| w.contains(Bounds::of(m.at, m.at)));
        let is_shown = |m: &&Mark| inside(m) && !hidden.contains(&m.of);
        for mark in self.marks.iter().filter(is_shown) {
            let at = laid.at(mark.at);
            let Some(place) = free(at, &taken, room) else { continue };
            taken.push(place);
            items.extend(balloon(&mark.text, at, place));
        }
        items
    }

    /// The parts of a line that are seen.
    fn chords(&self, points: &[Point], laid: &Laid, role: LineRole) -> Vec<Item> {
        let seen = |p: &[Point]| match self.window {
            None => vec![(p[0], p[1])],
            Some(window) => {
                let parts = clipped(&Edge::line(p[0], p[1]), window.grown(crate::tolerance::SAME_LENGTH));
                parts.iter().map(|e| (e.start(), e.end())).collect()
            }
        };
        let parts = points.windows(2).flat_map(seen);
        parts.map(|(from, to)| Item::Line { from: laid.at(from), to: laid.at(to), role }).collect()
    }
}

/// Puts pictures on a paper in rows of so many, each at its own scale.
pub fn put_in_rows(panels: &[Panel], columns: usize, heading: &str, flow: &mut Flow) {
    let high = panels.iter().map(|p| p.most_high).fold(0.0, f64::max);
    let column = (flow.width() + BETWEEN) / columns as f64;
    for (i, row) in panels.chunks(columns).enumerate() {
        if i == 0 {
            flow.heading_of(heading, high);
        }
        flow.picture(high, |corner, _| {
            let put = |(k, panel): (usize, &Panel)| {
                let corner = corner + Point::new(column * k as f64, 0.0);
                panel.beside(Bounds::of(corner, corner + Point::new(column - BETWEEN, high)))
            };
            row.iter().enumerate().flat_map(put).collect()
        });
    }
}

/// Rings around a point in which its number looks for room, and how far one lies outside the other, mm on paper.
const RINGS: u32 = 5;
const RING: f64 = 1.3;

/// A word beside a point, where the fewest lines strike it.
fn word(text: &str, at: Point, items: &[Item]) -> Text {
    let plain = Text::new(text, Point::ORIGIN, SMALL);
    let Some(ink) = measure::ink(&plain) else { return Text { at, ..plain } };
    let places = WORD_OFF.into_iter().flat_map(|off| {
        let (right, left) = (off - ink.min.x, -off - ink.max.x);
        let (up, down) = (off - ink.min.y, -off - ink.max.y);
        [(right, up), (left, up), (right, down), (left, down)].map(|(x, y)| at + Point::new(x, y))
    });
    let struck = |place: &Point| {
        let own = Bounds { min: ink.min + *place, max: ink.max + *place }.grown(WORD_CLEAR);
        items.iter().map(|item| striking(item, own)).sum::<usize>()
    };
    Text { at: places.min_by_key(struck).unwrap_or(at), ..plain }
}

/// How many lines run through a box.
fn striking(item: &Item, within: Bounds) -> usize {
    match item {
        Item::Group(group) => group.items.iter().map(|item| striking(item, within)).sum(),
        Item::Line { from, to, .. } if from != to && Bounds::of(*from, *to).grown(WORD_CLEAR).overlaps(within) => {
            usize::from(!clipped(&Edge::line(*from, *to), within).is_empty())
        }
        _ => 0,
    }
}

/// A place for a number near the point it belongs to that no other number has; `None` where there is none.
fn free(at: Point, taken: &[Point], room: Bounds) -> Option<Point> {
    let clear = |p: &Point| {
        let inside = room.contains(Bounds::of(*p, *p).grown(BALLOON));
        inside && taken.iter().all(|t| t.distance(*p) > 2.0 * BALLOON + 0.3)
    };
    let around = (1..=RINGS).flat_map(|ring| {
        let away = BALLOON + RING * f64::from(ring);
        (0..12).map(move |i| at + Point::polar(away, (f64::from(i) * 30.0 + 45.0).to_radians()))
    });
    let mut around = around.filter(clear);
    around.next()
}

/// A number in a circle, and a line to where it belongs.
fn balloon(text: &str, at: Point, place: Point) -> Vec<Item> {
    let mut items = Vec::new();
    if let Some(towards) = (at - place).unit() {
        items.push(Item::Line { from: place + towards * BALLOON, to: at, role: LineRole::Dimension });
    }
    items.push(Item::Circle { centre: place, radius: BALLOON, role: LineRole::Dimension, fill: Fill::Paper });
    let height = if text.len() > 2 { NUMBER * 0.72 } else { NUMBER };
    items.push(Item::Text(Text::new(text, place - Point::new(0.0, height / 2.0), height).centred()));
    items
}

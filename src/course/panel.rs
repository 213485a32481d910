//! One picture of a tool path: lines of the stone, motions, numbers, at a plain scale.

use super::scale_word;
use crate::drawing::{Fill, Group, Item, Lettering, LineRole, Text, measure};
use crate::geometry::{Bounds, Point};
use crate::shop::paper::{Flow, PITCH, TEXT};

/// Scales to choose from, largest first (ISO 5455, and 1 : 2.5 and 1 : 4 between them).
const SCALES: [f64; 12] = [20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.4, 0.25, 0.2, 0.1, 0.05, 0.02];

/// Capital height of numbers, radius of their circles, room around a picture, mm on paper.
const NUMBER: f64 = 1.8;
const BALLOON: f64 = 1.9;
const MARGIN: f64 = 5.0;

/// Least width of a picture beside others, and the room for its title, mm on paper.
const LEAST_COLUMN: f64 = 40.0;
const TITLES: f64 = 9.0;

/// Share of the scale on an empty page for which pictures stay on the page that is begun.
const WORTH_A_PAGE: f64 = 0.4;

/// Most motions of one picture that are drawn.
const MOST_DRAWN: usize = 4000;

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
    /// Numbers and where they belong.
    pub marks: Vec<(String, Point)>,
    /// Greatest height on paper, mm.
    pub most_high: f64,
    /// Height on paper to which the up direction alone is stretched, mm; `None` keeps both directions alike.
    pub stretched: Option<f64>,
}

/// From the picture's frame to the paper.
#[derive(Debug, Clone, Copy)]
struct Laid {
    origin: Point,
    low: Point,
    across: f64,
    up: f64,
}

impl Laid {
    fn at(&self, p: Point) -> Point {
        self.origin + Point::new((p.x - self.low.x) * self.across, (p.y - self.low.y) * self.up)
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
            most_high,
            stretched: None,
        }
    }

    fn bounds(&self) -> Option<Bounds> {
        let lines = self.lines.iter().flat_map(|(_, points)| points);
        let points = lines.chain(self.travels.iter().flat_map(|w| &w.points)).map(|p| Bounds::of(*p, *p));
        let circles = self.circles.iter().map(|(c, r)| Bounds::of(*c, *c).grown(*r));
        points.chain(circles).reduce(Bounds::union)
    }

    /// Whether it stays as it is at this scale within a room on paper, mm.
    fn fits(&self, bounds: Bounds, scale: f64, room: f64) -> bool {
        let high = self.most_high - 2.0 * MARGIN;
        bounds.width() * scale <= room && (self.stretched.is_some() || bounds.height() * scale <= high)
    }

    /// Every how many motions one is drawn.
    fn step(&self) -> usize {
        self.travels.len().div_ceil(MOST_DRAWN).max(1)
    }

    /// Puts it on a paper, as large as a page takes it.
    pub fn put(&self, flow: &mut Flow) {
        let Some(bounds) = self.bounds() else { return };
        let room = flow.width() - 2.0 * MARGIN;
        let scale = SCALES.into_iter().find(|s| self.fits(bounds, *s, room)).unwrap_or(room / bounds.width());
        let up = self.stretched.map_or(scale, |high| (high / bounds.height()).max(scale));
        let times = up / scale;
        let said = if times > 1.0 { format!(", depth drawn {} times as large", super::trimmed(times, 1)) } else { String::new() };
        let height = bounds.height() * up + 2.0 * MARGIN;
        flow.heading_of(&format!("{} — scale {}{said}{}", self.title, scale_word(scale), self.left_out()), height);
        if !self.note.is_empty() {
            flow.paragraph(&self.note);
        }
        flow.picture(height, |corner, width| {
            let aside = (width - bounds.width() * scale) / 2.0;
            let laid = Laid { origin: corner + Point::new(aside, MARGIN), low: bounds.min, across: scale, up };
            self.items(&laid, Bounds::of(corner, corner + Point::new(width, height)))
        });
    }

    /// What is said where not every motion is drawn.
    fn left_out(&self) -> String {
        match self.step() {
            1 => String::new(),
            step => format!(", one motion in {step} is drawn"),
        }
    }

    /// As one of several of the same size: its title above it, both in such a room.
    fn beside(&self, (whole, scale): (Bounds, f64), room: Bounds) -> Vec<Item> {
        let aside = (room.width() - whole.width() * scale) / 2.0;
        let laid = Laid { origin: room.min + Point::new(aside, MARGIN), low: whole.min, across: scale, up: scale };
        let top = room.max - Point::new(0.0, TITLES);
        let mut items = self.items(&laid, Bounds::of(room.min, top));
        let title = format!("{}{}", self.title, self.left_out());
        let lines = measure::wrapped(&title, TEXT, Lettering::Bold, room.width() - 2.0);
        for (i, line) in lines.into_iter().enumerate() {
            let at = Point::new((room.min.x + room.max.x) / 2.0, room.max.y - TEXT - TEXT * PITCH * i as f64);
            items.push(Item::Text(Text::new(line, at, TEXT).centred().bold()));
        }
        items
    }

    fn items(&self, laid: &Laid, room: Bounds) -> Vec<Item> {
        let mut items = Vec::new();
        for (role, points) in &self.lines {
            items.extend(chords(points, laid, *role));
        }
        for (centre, radius) in &self.circles {
            let role = LineRole::Blank;
            items.push(Item::Circle { centre: laid.at(*centre), radius: radius * laid.across, role, fill: Fill::None });
        }
        for travel in self.travels.iter().step_by(self.step()) {
            let role = if travel.is_rapid { LineRole::Hidden } else { LineRole::Fine };
            let mut group = Group::new(format!("move-{}", travel.number));
            group.title.clone_from(&travel.title);
            group.items = chords(&travel.points, laid, role);
            items.push(Item::Group(group));
        }
        let mut taken: Vec<Point> = Vec::new();
        for (text, at) in &self.marks {
            let at = laid.at(*at);
            let place = free(at, &taken, room);
            taken.push(place);
            items.extend(balloon(text, at, place));
        }
        items
    }
}

/// Pictures of one size in rows: how many stand beside each other, at which scale.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Rows {
    columns: usize,
    scale: f64,
}

impl Rows {
    /// The largest pictures of `count` that find room together in such a width and height, mm; `None` where none do.
    fn of(count: usize, whole: Bounds, (width, height): (f64, f64)) -> Option<Rows> {
        let fits = |columns: usize, scale: f64| {
            let column = width / columns as f64;
            let high = height / count.div_ceil(columns) as f64;
            column >= LEAST_COLUMN && whole.width() * scale + 2.0 * MARGIN <= column && row_height(whole, scale) <= high
        };
        let of_columns = |columns: usize| {
            let scale = SCALES.into_iter().find(|s| fits(columns, *s))?;
            Some(Rows { columns, scale })
        };
        // of equal scales the one with the fewest rows
        (1..=count).rev().filter_map(of_columns).max_by(|a, b| a.scale.total_cmp(&b.scale).then(a.columns.cmp(&b.columns)))
    }
}

/// Height of a row of pictures with their titles, mm.
fn row_height(whole: Bounds, scale: f64) -> f64 {
    whole.height() * scale + 2.0 * MARGIN + TITLES
}

/// Puts pictures of one stone on a paper, beside each other at one scale: on the page that is begun unless an empty one makes them much larger.
pub fn put_beside(panels: &[Panel], heading: &str, flow: &mut Flow) {
    let Some(whole) = panels.iter().filter_map(Panel::bounds).reduce(Bounds::union) else { return };
    let above = Flow::heading_height() + 1.0;
    let (left, full) = flow.room();
    let of = |height: f64| Rows::of(panels.len(), whole, (flow.width(), height - above));
    let (here, there) = (of(left), of(full));
    let worth = |r: &Rows| there.is_none_or(|t| r.scale >= WORTH_A_PAGE * t.scale);
    let smallest = Rows { columns: 1, scale: ((flow.width() - 2.0 * MARGIN) / whole.width()).min((full - above - 2.0 * MARGIN - TITLES) / whole.height()) };
    let Rows { columns, scale } = here.filter(worth).or(there).unwrap_or(smallest);
    let column = flow.width() / columns as f64;
    let height = row_height(whole, scale);
    for (i, row) in panels.chunks(columns).enumerate() {
        if i == 0 {
            // all rows together, or each by itself where they are more than a page
            let rows = panels.len().div_ceil(columns) as f64;
            let below = if height * rows + above <= full { height * rows } else { height };
            flow.heading_of(&format!("{heading} — scale {}", scale_word(scale)), below);
        }
        flow.picture(height, |corner, _| {
            let put = |(k, panel): (usize, &Panel)| {
                let corner = corner + Point::new(column * k as f64, 0.0);
                panel.beside((whole, scale), Bounds::of(corner, corner + Point::new(column, height)))
            };
            row.iter().enumerate().flat_map(put).collect()
        });
    }
}

fn chords(points: &[Point], laid: &Laid, role: LineRole) -> Vec<Item> {
    points.windows(2).map(|p| Item::Line { from: laid.at(p[0]), to: laid.at(p[1]), role }).collect()
}

/// A place for a number beside the point it belongs to that no other number has.
fn free(at: Point, taken: &[Point], room: Bounds) -> Point {
    let clear = |p: &Point| {
        let inside = room.contains(Bounds::of(*p, *p).grown(BALLOON));
        inside && taken.iter().all(|t| t.distance(*p) > 2.0 * BALLOON + 0.3)
    };
    let around = (1..=12).flat_map(|ring| {
        let away = BALLOON + 1.3 * f64::from(ring);
        (0..12).map(move |i| at + Point::polar(away, (f64::from(i) * 30.0 + 45.0).to_radians()))
    });
    let mut around = around.filter(clear);
    around.next().unwrap_or(at)
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

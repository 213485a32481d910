//! The approval drawing as a whole: the attempts at arranging it, the check of each, and the sheets drawn.
//!
//! What gives way to make room, in this order: reference sizes and the picture, the scale, the number of sheets, the paper; then the plain layout,
//! where sizes stand by their letters and their values in the tables; last, sheets with the views that can be drawn and words of those that
//! cannot. A tolerance is never left out to make room.

mod last_resort;
mod sides;

use crate::sheet::acceptance::{self, Expected, Violation};
use crate::sheet::arrange::{Care, Load, Row, Settings, Sheet, Spread, arrange, spread};
use crate::sheet::contents::{Contents, Inputs};
use crate::sheet::format::Format;
use crate::sheet::rings;
use crate::sheet::view::{self, Context, Scale, View, ViewKind, Writing};
use crate::drawing::Drawing;
use crate::geometry::{Bounds, Point};
use crate::section::{Section, SectionError};
use crate::size::Size;
use crate::wheel::Job;
use sides::Sides;
use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;
use std::rc::Rc;

/// Why there is no drawing.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SheetError {
    /// The wheel has no section.
    #[error(transparent)]
    Section(#[from] SectionError),
    /// No arrangement keeps everything apart. Each attempt with its reason.
    #[error("no sheet of paper holds the drawing: {}", telling(.0))]
    NoRoom(Vec<String>),
}

/// The reason that says most among those of all attempts: of the largest scale that the wheel itself had room at.
fn telling(reasons: &[String]) -> &str {
    let small = |r: &&String| !r.contains("the wheel is larger than");
    reasons.iter().find(small).or(reasons.first()).map_or("no view was planned", String::as_str)
}

/// Most sheets of one drawing.
const MOST_SHEETS: usize = 60;
/// Diameter of the wheel on paper from which on a drawing looks as one would like, mm.
const WELL_ON_PAPER: f64 = 110.0;
/// Diameter of the wheel on paper below which larger paper is better, mm.
const LEAST_ON_PAPER: f64 = 36.0;
/// Losses weighed against each other, in shares of a wheel that is too small by its whole size.
///
/// Larger paper, where the order names none: two sheets of the usual one that hold the contract on the first at a scale at which the wheel is
/// seen are better, all others are worse.
const PAPER_LARGER: f64 = 6.0;
const SEEN_BADLY: f64 = 6.5;
const NOT_ON_FIRST: f64 = 6.5;
const SHEETS_BEYOND: f64 = 6.5;
/// Larger paper than the order names, after everything that can be done on the one it names.
const PAPER_NOT_NAMED: f64 = 40.0;
const SHEETS_MORE: f64 = 0.3;
/// A sheet beyond the second: a smaller scale is better.
const SHEETS_MANY: f64 = 0.9;
/// A part of the contract that does not stand on the first sheet, besides `NOT_ON_FIRST`.
const DISPLACED: f64 = 0.8;
/// A table or notes that go on elsewhere, and how often that counts.
const PARTED: f64 = 0.12;
const MOST_PARTED: usize = 4;
/// Paper of the other family: after the plain layout, before sheets that do not show everything.
const OTHER_FAMILY: f64 = 120.0;
/// A sheet that carries nothing but lettering.
const WORDS_ALONE: f64 = 0.6;
/// Most sheets that count as more: notes without end need as many at any scale.
const MOST_COUNTED: usize = 2;
const PICTURE_MISSED: f64 = 0.3;
const REFERENCES_MISSED: f64 = 0.1;
const LINES_MISSED: f64 = 1.0;
const VALUES_IN_TABLES: f64 = 60.0;
/// Size on paper below which a scale is not tried at all, mm.
const TOO_SMALL: f64 = 18.0;
/// Greatest extent of an enlarged detail or a picture, mm.
const GREATEST_DETAIL: f64 = 190.0;
/// Greatest extent of the enlarged half-section, mm: it carries many sizes.
const GREATEST_HALF_SECTION: f64 = 250.0;
/// Below every scale of ISO 5455 that is tried.
const SMALLEST_SCALE: Scale = Scale::new(1, 1000);
/// How many scales of a detail are tried on one sheet.
const DETAIL_SCALES: usize = 3;

/// Finished sheets with what they are checked against.
#[derive(Debug, Clone)]
pub struct Approval {
    /// The sheets.
    pub drawings: Vec<Drawing>,
    /// The views on them.
    pub views: Vec<View>,
    /// The paper.
    format: Format,
    contents: Expectations,
}

/// What the check needs besides the sheets.
#[derive(Debug, Clone)]
struct Expectations {
    job: Job,
    style: view::Style,
    requirements: Vec<crate::wheel::Requirement>,
    /// Sizes that no view could show: the sheets say so in words.
    unplaced: Vec<Size>,
}

impl Approval {
    /// Checks sheets against this order's requirements: its own drawings are without violation, changed ones may not be.
    pub fn check(&self, drawings: &[Drawing]) -> Vec<Violation> {
        let views: Vec<&View> = self.views.iter().collect();
        let expected = Expected {
            format: &self.format,
            style: &self.contents.style,
            job: &self.contents.job,
            requirements: &self.contents.requirements,
            unplaced: &self.contents.unplaced,
            views: &views,
        };
        acceptance::check(drawings, &expected)
    }
}

/// Draws the approval drawing: one sheet or more, none with a violation of the acceptance check.
///
/// # Errors
/// Where no arrangement of views and tables on any sheet keeps everything apart.
pub fn approval(inputs: &Inputs) -> Result<Approval, SheetError> {
    let section = &inputs.dossier.section;
    let contents = Contents::new(inputs);
    let requests = view::plan(&inputs.dossier.job, section);
    let work = Work { contents, section, requests, built: RefCell::default() };
    work.best().or_else(|reasons| work.last_resort().ok_or(SheetError::NoRoom(reasons)))
}

type Built = Result<Rc<View>, String>;

/// What of an effort changes a view.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Seen {
    references: bool,
    writing: Writing,
}

struct Work<'a> {
    contents: Contents<'a>,
    section: &'a Section,
    requests: Vec<view::ViewRequest>,
    /// Views by request, scale and what of the effort changes them: attempts share them.
    built: RefCell<HashMap<(usize, Scale, Seen), Built>>,
}

/// What is given up to make room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Effort {
    /// Whether reference sizes are drawn.
    references: bool,
    /// Whether the pictorial is drawn.
    picture: bool,
    /// How sizes are written.
    writing: Writing,
}

impl Effort {
    /// The plain layout.
    const PLAIN: Effort = Effort { references: false, picture: false, writing: Writing::Letters };

    /// Every combination, with diameters on lines, then by leaders; and the plain layout.
    fn all() -> impl Iterator<Item = Effort> {
        let both = [true, false];
        let of = move |writing, picture| both.into_iter().map(move |references| Effort { references, picture, writing });
        let whole = [Writing::Lines, Writing::Leaders].into_iter().flat_map(move |w| both.into_iter().flat_map(move |p| of(w, p)));
        whole.chain([Effort::PLAIN])
    }

    fn draws(self, request: &view::ViewRequest) -> bool {
        request.priority == 0 || self.picture
    }

    /// How much is missed.
    fn loss(self) -> f64 {
        let miss = |drawn: bool, loss: f64| if drawn { 0.0 } else { loss };
        let written = match self.writing {
            Writing::Lines => 0.0,
            Writing::Leaders => LINES_MISSED,
            Writing::Letters => VALUES_IN_TABLES,
        };
        miss(self.references, REFERENCES_MISSED) + miss(self.picture, PICTURE_MISSED) + written
    }
}

/// One attempt.
#[derive(Debug, Clone, Copy)]
struct Attempt {
    /// Which of the paper sizes.
    paper: usize,
    scale: Scale,
    single: bool,
    effort: Effort,
    /// How much worse it is than a sheet one would like best.
    loss: f64,
}

impl Attempt {
    /// How much worse it is as it is laid out.
    fn loss_of(&self, laid: &Spread) -> f64 {
        let counted = if self.single { 1 } else { 2 };
        let more = laid.sheets.len().saturating_sub(counted).min(MOST_COUNTED) as f64;
        let words_alone = laid.sheets.iter().filter(|s| s.views.is_empty()).count().min(MOST_COUNTED) as f64;
        let over = |loss: f64, over: bool| if over { loss } else { 0.0 };
        let many = SHEETS_MANY * more + over(SHEETS_BEYOND, more > 0.0);
        let displaced = DISPLACED * laid.displaced as f64 + over(NOT_ON_FIRST, laid.displaced > 0);
        self.loss + many + displaced + WORDS_ALONE * words_alone + PARTED * laid.parted.min(MOST_PARTED) as f64
    }
}

/// A layout that has room for everything, not yet drawn.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    attempt: Attempt,
    sides: Sides,
    /// Whether a note tells of the blank's lines.
    blank: bool,
    loss: f64,
}

impl Work<'_> {
    /// The best attempt that works. Layouts are drawn and checked in the order of their losses, so that mostly one is.
    fn best(&self) -> Result<Approval, Vec<String>> {
        let formats = self.contents.formats();
        // most drawings need the first only
        let made: Vec<[OnceCell<Settings>; 2]> = formats.iter().map(|_| Default::default()).collect();
        let settings = |paper: usize, blank: bool| {
            let format = &formats[paper];
            made[paper][usize::from(blank)].get_or_init(|| self.contents.settings(format, self.contents.parts(format, blank)))
        };
        let (mut reasons, mut waiting): (Vec<String>, Vec<Candidate>) = (Vec::new(), Vec::new());
        for attempt in self.attempts(&formats) {
            // no later attempt can be better
            if let Some(made) = self.drawn(&mut waiting, attempt.loss, settings, &mut reasons) {
                return Ok(made);
            }
            let blank = view::section_shows_blank(attempt.scale, self.contents.job());
            match self.candidates(settings(attempt.paper, blank), attempt, blank) {
                Ok(found) => waiting.extend(found),
                Err(reason) => reasons.push(reason),
            }
        }
        self.drawn(&mut waiting, f64::INFINITY, settings, &mut reasons).ok_or_else(|| {
            reasons.dedup();
            reasons
        })
    }

    /// The best of the waiting layouts that stands the check, if its loss is at most this.
    fn drawn<'s>(
        &self,
        waiting: &mut Vec<Candidate>,
        most: f64,
        settings: impl Fn(usize, bool) -> &'s Settings<'s>,
        reasons: &mut Vec<String>,
    ) -> Option<Approval> {
        loop {
            let best = (0..waiting.len()).min_by(|&a, &b| waiting[a].loss.total_cmp(&waiting[b].loss))?;
            if waiting[best].loss > most {
                return None;
            }
            let candidate = waiting.remove(best);
            let blank = candidate.blank;
            let make = |blank| self.made(settings(candidate.attempt.paper, blank), candidate);
            // an enlarged view may show lines of the blank that the section itself does not
            let shows = |made: &Approval| made.views.iter().any(|v| v.shows_blank);
            for told in [blank, !blank] {
                match make(told) {
                    Ok(made) if shows(&made) == told => return Some(made),
                    Ok(_) => {}
                    Err(fault) => {
                        reasons.push(fault);
                        break;
                    }
                }
            }
        }
    }

    /// A layout drawn and checked.
    fn made(&self, settings: &Settings, candidate: Candidate) -> Result<Approval, String> {
        let attempt = candidate.attempt;
        let accept = |laid: &Spread| self.accepted(settings, attempt.scale, &laid.sheets, Vec::new());
        self.laid(settings, attempt, candidate.sides, Care::Drawn, accept)?
    }

    /// All attempts, the most pleasing first; at equal loss the larger scale.
    fn attempts(&self, papers: &[Format]) -> Vec<Attempt> {
        // paper larger than what the order names is the last way out
        let larger = if self.contents.job().sheets.size.is_some() { PAPER_NOT_NAMED } else { PAPER_LARGER };
        let mut all = Vec::new();
        for single in [true, false] {
            for (paper, format) in papers.iter().enumerate() {
                let other = if format.is_iso() == papers[0].is_iso() { 0.0 } else { OTHER_FAMILY };
                for scale in self.scales() {
                    for effort in self.efforts() {
                        // at least one sheet more; others are counted when they are there
                        let more = if single { 0.0 } else { SHEETS_MORE };
                        let loss = more + other + larger * paper as f64 + self.smallness(scale) + effort.loss();
                        all.push(Attempt { paper, scale, single, effort, loss });
                    }
                }
            }
        }
        all.sort_by(|a, b| a.loss.total_cmp(&b.loss));
        all
    }

    /// The efforts that differ for this order.
    fn efforts(&self) -> Vec<Effort> {
        let mut seen: Vec<(bool, Writing, Vec<bool>)> = Vec::new();
        Effort::all()
            .filter(|e| {
                let drawn = (e.references, e.writing, self.requests.iter().map(|r| e.draws(r)).collect());
                let new = !seen.contains(&drawn);
                seen.push(drawn);
                new
            })
            .collect()
    }

    /// The scales of the main views, the largest first; none at which the wheel would be a dot, unless there is no other.
    fn scales(&self) -> Vec<Scale> {
        let all = self.requests.first().map_or(Vec::new(), |r| r.scales.clone());
        let visible: Vec<Scale> = all.iter().copied().filter(|&s| self.on_paper(s) >= TOO_SMALL).collect();
        if visible.is_empty() { all } else { visible }
    }

    /// The wheel's diameter on paper, mm.
    fn on_paper(&self, scale: Scale) -> f64 {
        self.contents.job().wheel.outside_diameter * scale.factor()
    }

    /// How much is lost by a wheel smaller than one would like; more where grooves want to be seen.
    fn smallness(&self, scale: Scale) -> f64 {
        let wheel = &self.contents.job().wheel;
        let grooved = wheel.face.is_some() || wheel.side_a.grooves.is_some() || wheel.side_b.grooves.is_some();
        let missing = (1.0 - self.on_paper(scale) / WELL_ON_PAPER).max(0.0);
        let badly = if self.on_paper(scale) < LEAST_ON_PAPER { SEEN_BADLY } else { 0.0 };
        missing * if grooved { 1.6 } else { 1.0 } + badly
    }

    /// The layouts of an attempt: with the side views beside the section, and on sheets of their own.
    fn candidates(&self, settings: &Settings, attempt: Attempt, blank: bool) -> Result<Vec<Candidate>, String> {
        let (wheel, format, scale) = (&self.contents.job().wheel, &settings.format, attempt.scale);
        let f = scale.factor();
        if wheel.outside_diameter * f > format.frame.height() || wheel.thickness * f > format.frame.width() {
            return Err(format!("at {scale} the wheel is larger than {}", format.name()));
        }
        if attempt.single && !settings.could_hold(self.outlines(attempt)) {
            return Err(format!("at {scale} views and tables do not fit on {}", format.name()));
        }
        let (mut reason, mut found) = (String::new(), Vec::new());
        let mut tried = |sides: Sides| match self.laid(settings, attempt, sides, Care::Counted, |laid| (attempt.loss_of(laid), laid.sheets.len())) {
            Ok((loss, sheets)) => {
                found.push(Candidate { attempt, sides, blank, loss: loss + self.loss_of(sides, scale) });
                Some(sheets)
            }
            Err(why) => {
                reason = why;
                None
            }
        };
        tried(Sides::Beside);
        if !attempt.single && self.sides(attempt.effort).next().is_some() {
            self.further(scale, &mut tried);
        }
        if found.is_empty() { Err(reason) } else { Ok(found) }
    }

    /// What `done` makes of the sheets of an attempt with the side views so placed.
    fn laid<R>(&self, settings: &Settings, attempt: Attempt, sides: Sides, care: Care, done: impl FnOnce(&Spread) -> R) -> Result<R, String> {
        let (format, scale) = (&settings.format, attempt.scale);
        let main = self.main_views(attempt, sides)?;
        let (row, apart) = self.rows(&main, sides);
        let room = settings.has_room(&row) && apart.iter().all(|r| settings.has_room(r));
        if !room || (attempt.single && !apart.is_empty()) {
            return Err(format!("at {scale} the main views are larger than the free part of {}", format.name()));
        }
        let others = self.other_views(attempt)?;
        let views = others.iter().map(|sizes| sizes.iter().map(|v| Row::single(v)).collect());
        let load = Load { main: row, apart, views: views.collect() };
        let laid = match attempt.single {
            true => arrange(settings, &load).map(|sheet| Spread { sheets: vec![sheet], displaced: 0, parted: 0 }),
            false => spread(settings, &load, MOST_SHEETS, care),
        };
        laid.map(|laid| done(&laid)).ok_or(format!("at {scale} views and tables do not fit on {}", format.name()))
    }

    fn accepted(
        &self,
        settings: &Settings,
        scale: Scale,
        sheets: &[Sheet],
        unplaced: Vec<Size>,
    ) -> Result<Approval, String> {
        let drawings = self.contents.drawings(&settings.format, scale, sheets);
        let ringed = rings::places(&settings.format, sheets, &self.contents.style);
        let views = sheets.iter().flat_map(|s| s.views.iter().map(|(v, _)| rings::named(v, &ringed, sheets.len())));
        let views = views.collect();
        let contents = Expectations {
            job: self.contents.job().clone(),
            style: self.contents.style.clone(),
            requirements: self.contents.requirements.clone(),
            unplaced,
        };
        let made = Approval { drawings, views, format: settings.format, contents };
        let faults = made.check(&made.drawings);
        let Some(first) = faults.first() else { return Ok(made) };
        let paper = settings.format.name();
        Err(format!("{first} (one of {} faults at {scale} on {paper})", faults.len()))
    }

    fn shown(&self, effort: Effort) -> Vec<view::ViewRequest> {
        self.requests.iter().filter(|r| effort.draws(r)).cloned().collect()
    }

    fn build(&self, request: usize, scale: Scale, effort: Effort) -> Built {
        let key = (request, scale, self.seen(request, effort));
        if let Some(view) = self.built.borrow().get(&key) {
            return view.clone();
        }
        let context = Context {
            job: self.contents.job(),
            section: self.section,
            style: &self.contents.style,
            requirements: &self.contents.requirements,
            shown: &self.shown(effort),
            writing: effort.writing,
            references: effort.references,
        };
        let view = view::build(&self.requests[request], scale, &context).map_err(|e| e.to_string());
        let view = view.and_then(|v| {
            let found = if v.checked { Vec::new() } else { acceptance::check_view(&v, &self.contents.style) };
            match found.first() {
                Some(fault) => Err(format!("{} at {scale}: {fault}", v.id)),
                None => Ok(Rc::new(v)),
            }
        });
        self.built.borrow_mut().insert(key, view.clone());
        view
    }

    /// Section and side views carry marks of the sides shown, enlarged ones reference sizes.
    fn seen(&self, request: usize, effort: Effort) -> Seen {
        let seen = Seen { references: effort.references, writing: effort.writing };
        match self.requests[request].kind {
            ViewKind::PlainSection => Seen { references: false, writing: Writing::Lines },
            ViewKind::Section | ViewKind::Side(_) | ViewKind::Pictorial => Seen { references: false, ..seen },
            _ => seen,
        }
    }

    /// The views to be drawn, by their place among the requests.
    fn chosen(&self, effort: Effort) -> impl Iterator<Item = (usize, &view::ViewRequest)> {
        self.requests.iter().enumerate().filter(move |(_, r)| effort.draws(r))
    }

    /// The outlines of section and side views on paper, without their dimensions: known before the views are drawn.
    fn outlines(&self, attempt: Attempt) -> Vec<Bounds> {
        let (wheel, f) = (&self.contents.job().wheel, attempt.scale.factor());
        let outline = |width: f64| Bounds::of(Point::ORIGIN, Point::new(width * f, wheel.outside_diameter * f));
        let width = |kind: ViewKind| match kind {
            ViewKind::Section => Some(wheel.thickness),
            ViewKind::Side(_) => Some(wheel.outside_diameter),
            _ => None,
        };
        self.chosen(attempt.effort).filter_map(|(_, r)| width(r.kind.clone())).map(outline).collect()
    }

    fn sides(&self, effort: Effort) -> impl Iterator<Item = usize> {
        self.chosen(effort).filter(|(_, r)| matches!(r.kind, ViewKind::Side(_))).map(|(i, _)| i)
    }

    /// The other views, each in the sizes it may have, the largest first.
    fn other_views(&self, attempt: Attempt) -> Result<Vec<Vec<Rc<View>>>, String> {
        let mut found = Vec::new();
        for (i, request) in self.chosen(attempt.effort) {
            match request.kind {
                ViewKind::Section | ViewKind::PlainSection | ViewKind::Side(_) => {}
                ViewKind::Face => found.push(self.build(i, attempt.scale, attempt.effort).map(|v| vec![v])),
                // enlarged, it must be larger than the section itself
                ViewKind::HalfSection => found.push(self.sizes(i, attempt.effort, attempt.scale)),
                ViewKind::Detail { .. } | ViewKind::Pictorial => {
                    found.push(self.sizes(i, attempt.effort, SMALLEST_SCALE));
                }
            }
        }
        found.into_iter().collect()
    }

    /// The largest sizes a view may have, of those above a scale where there are any.
    fn sizes(&self, request: usize, effort: Effort, above: Scale) -> Result<Vec<Rc<View>>, String> {
        let mut last = String::from("a detail has no scale");
        let (mut sizes, mut too_large): (Vec<Rc<View>>, Option<Rc<View>>) = (Vec::new(), None);
        let greatest = match self.requests[request].kind {
            ViewKind::HalfSection => GREATEST_HALF_SECTION,
            _ => GREATEST_DETAIL,
        };
        for &scale in &self.requests[request].scales {
            if scale.factor() <= above.factor() && !sizes.is_empty() {
                break;
            }
            match self.build(request, scale, effort) {
                Ok(v) if v.bounds.width().max(v.bounds.height()) > greatest => {
                    too_large = Some(v);
                }
                Ok(v) => sizes.push(v),
                Err(e) => last = e,
            }
            if sizes.len() == DETAIL_SCALES {
                break;
            }
        }
        // a larger sheet may still hold what is larger than one would like
        sizes.extend(too_large.filter(|_| sizes.is_empty()));
        if sizes.is_empty() { Err(last) } else { Ok(sizes) }
    }
}

//! What every view is drawn on: its group, its dimensions, its caption.

use super::{Context, DrawnDimension, ON_SHEET, Scale, View, ViewError, ViewKind, Writing};
use crate::drawing::{Fill, Group, Item, Lettering, LineRole, Text, measure};
use crate::geometry::{Bounds, Contour, Edge, Point};
use crate::sheet::dimension::{Called, Filled, Label, Linear};
use crate::size::{Size, Subject};
use crate::wheel::Requirement;

/// Clear height between a view and its caption, mm.
const CAPTION_GAP: f64 = 5.0;

/// Distance of the baselines under a caption in capital heights.
const LINE_PITCH: f64 = 1.8;

/// Greatest width of the smaller lines under a caption, mm: hardly wider than the dimensions beside a section make it.
const BELOW_WIDTH: f64 = 75.0;

/// A view being drawn.
pub(super) struct Canvas<'a> {
    pub context: &'a Context<'a>,
    pub scale: Scale,
    /// Paper mm for one mm of the part.
    pub factor: f64,
    pub id: String,
    pub group: Group,
    /// Whether its sizes hold for both sides.
    pub both: bool,
    shows_blank: bool,
    drawn: Vec<DrawnDimension>,
}

impl<'a> Canvas<'a> {
    pub fn new(context: &'a Context<'a>, scale: Scale, id: impl Into<String>, title: impl Into<String>) -> Canvas<'a> {
        let id = id.into();
        let mut group = Group::new(id.clone());
        group.title = title.into();
        Canvas { context, scale, factor: scale.factor(), id, group, both: false, shows_blank: false, drawn: Vec::new() }
    }

    pub fn put(&mut self, item: Item) {
        self.group.items.push(item);
    }

    pub fn line(&mut self, from: Point, to: Point, role: LineRole) {
        if from != to {
            self.put(Item::Line { from, to, role });
        }
    }

    /// A line of the blank before altering.
    pub fn blank_line(&mut self, from: Point, to: Point) {
        self.shows_blank = true;
        self.line(from, to, LineRole::Blank);
    }

    pub fn edges(&mut self, edges: impl IntoIterator<Item = Edge>, role: LineRole) {
        self.group.items.extend(edges.into_iter().map(|e| Item::edge(&e, role)));
    }

    pub fn circle(&mut self, radius: f64, role: LineRole) {
        self.put(Item::Circle { centre: Point::ORIGIN, radius, role, fill: Fill::None });
    }

    pub fn contour(&mut self, contour: Contour, role: LineRole) {
        self.put(Item::Contour { contour, role: Some(role), fill: Fill::None });
    }

    /// The requirement of a size; `None` where the wheel has none.
    pub fn requirement(&self, size: Size) -> Option<&'a Requirement> {
        self.context.requirements.iter().find(|r| r.size == size)
    }

    fn group_id(&self, subject: Subject) -> String {
        let name = subject.to_string();
        let safe: String = name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
        format!("{}-{safe}", self.id)
    }

    /// What is written of a requirement: its value and deviation, or its letter where those stand in the table.
    pub fn label(&self, requirement: &Requirement) -> Label {
        let other = requirement.size.on_other_side().filter(|_| self.both);
        let twin = other.and_then(|size| self.requirement(size));
        let letter = |twin: &Requirement| format!("{}, {}", requirement.letter, twin.letter);
        let requirement = &match twin {
            Some(twin) => Requirement { letter: letter(twin), ..requirement.clone() },
            None => requirement.clone(),
        };
        match self.context.writing {
            Writing::Letters => Label::lettered(requirement, self.context.style),
            _ => Label::of(requirement, self.context.style),
        }
    }

    /// A required distance between two points of the paper; `measured` is what lies between them, mm of the part.
    pub fn linear(&mut self, requirement: &Requirement, ends: [Point; 2], measured: f64) -> Linear {
        let label = self.label(requirement);
        let group = self.note(requirement, measured, &label);
        Linear { group, subject: self.subject(requirement), ends, label }
    }

    /// A required value called out by a leader.
    pub fn called(&mut self, requirement: &Requirement, target: Point, measured: f64, label: Label) -> Called {
        let group = self.note(requirement, measured, &label);
        Called { group, subject: self.subject(requirement), target, label, rise: 0.0, second: None, stacked: false }
    }

    /// Notes a required value as drawn; returns the id of its group.
    pub fn note(&mut self, requirement: &Requirement, measured: f64, label: &Label) -> String {
        self.noted(self.subject(requirement), requirement.nominal, measured, label)
    }

    /// What the dimension of a requirement shows.
    pub fn subject(&self, requirement: &Requirement) -> Subject {
        match requirement.size.on_other_side() {
            Some(_) if self.both => Subject::Both(requirement.size),
            _ => Subject::Size(requirement.size),
        }
    }

    /// Notes a reference size as drawn; returns the id of its group.
    pub fn note_reference(&mut self, size: Size, nominal: f64, measured: f64, label: &Label) -> String {
        self.noted(Subject::Reference(size), nominal, measured, label)
    }

    fn noted(&mut self, subject: Subject, nominal: f64, measured: f64, label: &Label) -> String {
        let (group, printed) = (self.group_id(subject), label.printed.clone());
        self.drawn.push(DrawnDimension { subject, nominal, measured, printed, group: group.clone(), bent: false });
        group
    }

    /// A size in a frame of its own: a run-out or the parallelism.
    pub fn framed(&mut self, requirement: &Requirement, items: Vec<Item>) {
        let label = Label::text(self.context.style.length(requirement.nominal), self.context.style);
        let group = Group::new(self.note(requirement, requirement.nominal, &label));
        self.put(Item::Group(Group { subject: Some(Subject::Size(requirement.size)), items, ..group }));
    }

    /// A group of marks such as a caption or a section's arrows.
    pub fn mark(&mut self, name: &'static str, items: Vec<Item>) {
        let group = Group::new(format!("{}-{name}", self.id));
        self.put(Item::Group(Group { subject: Some(Subject::Mark(name)), items, ..group }));
    }

    pub fn put_groups(&mut self, groups: Vec<Group>) {
        self.group.items.extend(groups.into_iter().map(Item::Group));
    }

    /// Adds the dimensions of a band.
    pub fn put_band(&mut self, filled: Filled) {
        for drawn in self.drawn.iter_mut().filter(|d| filled.bent.contains(&d.group)) {
            drawn.bent = true;
        }
        self.put_groups(filled.groups);
    }

    pub fn crowded(&self, why: impl Into<String>) -> ViewError {
        ViewError::Crowded { view: self.id.clone(), scale: self.scale, why: why.into() }
    }

    pub fn geometry(&self, why: impl std::fmt::Display) -> ViewError {
        ViewError::Geometry { view: self.id.clone(), why: why.to_string() }
    }

    /// The box around everything drawn so far; around the origin where nothing is.
    pub fn bounds(&self) -> Bounds {
        let all = self.group.items.iter().filter_map(measure::bounds).reduce(Bounds::union);
        all.unwrap_or(Bounds::of(Point::ORIGIN, Point::ORIGIN))
    }

    /// Adds the caption above everything, centred at `x`, with smaller lines under it, and closes the view.
    pub fn finish<S: AsRef<str>>(self, kind: ViewKind, caption: &str, below: &[S], x: f64, outline: Bounds) -> View {
        let style = self.context.style;
        let lines = |note: &S| measure::balanced(note.as_ref(), style.small, Lettering::Plain, BELOW_WIDTH);
        let place = matches!(kind, ViewKind::Detail { .. }).then(|| ON_SHEET.to_owned());
        let below = below.iter().flat_map(lines).filter(|l| !l.is_empty()).chain(place).collect();
        self.captioned(kind, caption, below, x, outline)
    }

    fn captioned(mut self, kind: ViewKind, caption: &str, below: Vec<String>, x: f64, outline: Bounds) -> View {
        let style = self.context.style;
        let mut y = self.bounds().max.y + CAPTION_GAP;
        let mut items = Vec::new();
        for line in below.into_iter().rev() {
            items.push(Item::Text(Text::new(line, Point::new(x, y), style.small).centred()));
            y += style.small * LINE_PITCH;
        }
        items.push(Item::Text(Text::new(caption, Point::new(x, y), style.letter).centred()));
        items.reverse();
        self.mark("caption", items);
        let bounds = self.bounds();
        View {
            kind,
            id: self.id,
            caption: caption.to_owned(),
            group: self.group,
            bounds,
            outline,
            scale: self.scale,
            drawn: self.drawn,
            checked: false,
            shows_blank: self.shows_blank,
        }
    }
}

//! Section A–A: a full section through the axis, both rims shown, so that every diameter gets a true dimension with two ends.
//!
//! x is z on paper (side A to the left), y is the distance from the axis. Diameters stand left and right, the thickness above; nothing is called
//! out by leaders here: the enlarged half-section and the details do that.

use super::canvas::Canvas;
use super::plane::Plane;
use super::{Context, Scale, View, ViewError, ViewKind, Writing, hatch, outline, section_marks};
use crate::drawing::{Group, Item, LineRole};
use crate::geometry::{Bounds, Contour, Edge, Point};
use crate::section::Feature;
use crate::sheet::dimension::{Band, BandSide, Called, Column, Filled, Linear};
use crate::size::{GrooveSet, GrooveSize, SideName, Size};
use crate::wheel::{Job, Wheel};

/// Centre lines run this far beyond the part, mm.
pub(super) const AXIS_OVERSHOOT: f64 = 3.0;
/// Diameters' lettering ends this far above and below the part, mm: clear of view arrows and of the letters of rings.
const BESIDE: f64 = 0.5;
/// Least clear distance of parallel lines, mm; a blank nearer to the wheel than this is not drawn.
pub(super) const LINE_GAP: f64 = 0.7;
/// Height that a leader's text needs besides its own, mm.
const LEADER_PITCH: f64 = 2.7;
/// Flanges are shown this deep, mm of paper: short of the lettering beside the part.
const FLANGE: f64 = 2.4;
/// Least height on paper of a flange's outline that is drawn closed, mm.
const FLANGE_CLEAR: f64 = 1.4;
/// Length of the line that stands for a circle limiting grooves that the plane does not meet, mm.
const LIMIT: f64 = 3.0;

/// The section at one scale.
pub(super) fn build(scale: Scale, context: &Context) -> Result<View, ViewError> {
    let plane = Plane::of(&context.job.wheel, context.section);
    let mut drawing = SectionView::begun("view-section", scale, context, plane)?;
    drawing.blank();
    drawing.datum_planes();
    drawing.limits();
    let outline = drawing.outline();
    drawing.dimensions()?;
    section_marks::corner_rings(&mut drawing.canvas, outline);
    section_marks::side_names(&mut drawing.canvas, outline);
    section_marks::frames(&mut drawing.canvas, outline);
    let caption = format!("{} ({scale})", name(context));
    let x = outline.centre().x;
    let notes = drawing.plane.notes(&[0, 1], context.style);
    Ok(drawing.canvas.finish(ViewKind::Section, &caption, &notes, x, outline))
}

/// The section once more, without sizes: what is cut and what is seen behind it. Its caption is narrow, so that side views stand near.
pub(super) fn plain(scale: Scale, context: &Context) -> Result<View, ViewError> {
    let plane = Plane::of(&context.job.wheel, context.section).without_turned();
    let drawing = SectionView::begun("view-section-plain", scale, context, plane)?;
    let outline = drawing.canvas.bounds();
    let below = [scale.to_string(), context.style.say("view.sizes_on_sheet_1").to_owned()];
    Ok(drawing.canvas.finish(ViewKind::PlainSection, name(context), &below, outline.centre().x, outline))
}

/// What the section is called: by the letters of its cutting plane where a side view shows that plane.
pub(super) fn name(context: &Context) -> &'static str {
    if super::shows_side(context.shown) { "A–A" } else { context.style.say("view.section") }
}

/// Whether the section shows lines of the blank at a scale.
pub(super) fn shows_blank(scale: Scale, job: &Job) -> bool {
    let (wheel, clear) = (&job.wheel, LINE_GAP / scale.factor());
    let blank = job.blank.as_ref().is_some_and(|blank| !outline::blank_lines(wheel, blank, clear).is_empty());
    blank || SideName::BOTH.into_iter().any(|side| outline::datum_plane(wheel, side, clear).is_some())
}

struct SectionView<'a> {
    canvas: Canvas<'a>,
    context: &'a Context<'a>,
    plane: Plane,
}

impl<'a> SectionView<'a> {
    /// What every section shows: the cut faces, the edges behind them, the axis.
    fn begun(id: &str, scale: Scale, context: &'a Context<'a>, plane: Plane) -> Result<SectionView<'a>, ViewError> {
        let title = context.style.say("view.section_title");
        let mut drawing = SectionView { canvas: Canvas::new(context, scale, id, title), context, plane };
        drawing.canvas.put(Item::Group(Group::new(format!("{id}-hatching"))));
        let hatching = drawing.cut_faces()?;
        if let Some(Item::Group(group)) = drawing.canvas.group.items.first_mut() {
            group.items = hatching;
        }
        drawing.behind();
        drawing.axis();
        Ok(drawing)
    }

    fn wheel(&self) -> &Wheel {
        &self.context.job.wheel
    }

    /// (r, z) of the part on paper, in the upper half.
    fn upper(&self, p: Point) -> Point {
        Point::new(p.y, p.x) * self.canvas.factor
    }

    /// The half-section on paper above the axis; clockwise there, since the axes are exchanged.
    fn upper_contour(&self) -> Result<Contour, ViewError> {
        let s = self.canvas.factor;
        exchanged(self.context.section.contour(), s).map_err(|e| self.canvas.geometry(e))
    }

    /// Draws both cut faces; returns their hatching.
    fn cut_faces(&mut self) -> Result<Vec<Item>, ViewError> {
        let upper = self.upper_contour()?;
        let s = self.canvas.factor;
        let mut hatching = Vec::new();
        let angle = hatch::direction(&upper);
        for (half, contour) in [upper.clone(), upper.mirrored_y()].into_iter().enumerate() {
            let floors = self.plane.edges(half).into_iter().map(|e| exchanged_edge(&e, s));
            let inner: Vec<Edge> = if half == 0 { floors.collect() } else { floors.map(|e| e.mirrored_y()).collect() };
            let is_void = |p: Point| self.plane.is_void(half, p.y.abs() / s, p.x / s);
            let area = hatch::Area { contour: &contour, inner: &inner, is_void: &is_void, blank: &[] };
            hatching.push(Item::Hatch { lines: hatch::lines(&area, angle) });
            self.canvas.contour(contour, LineRole::Visible);
            self.canvas.edges(inner, LineRole::Visible);
        }
        Ok(hatching)
    }

    fn behind(&mut self) {
        for p in outline::circles_behind(self.context.section, LINE_GAP / self.canvas.factor) {
            let top = self.upper(p);
            self.canvas.line(Point::new(top.x, -top.y), top, LineRole::Visible);
        }
    }

    /// The blank before altering, and the flanges.
    fn blank(&mut self) {
        let (job, s) = (self.context.job, self.canvas.factor);
        let blank = job.blank.as_ref().map_or(Vec::new(), |blank| outline::blank_lines(self.wheel(), blank, LINE_GAP / s));
        let flanges = outline::flange_lines(self.wheel(), self.context.section, &job.mount, FLANGE / s, FLANGE_CLEAR / s);
        let down = |p: Point| Point::new(p.x, -p.y);
        for (a, b) in blank {
            let (a, b) = (self.upper(a), self.upper(b));
            self.canvas.blank_line(a, b);
            self.canvas.blank_line(down(a), down(b));
        }
        for (a, b) in flanges {
            let (a, b) = (self.upper(a), self.upper(b));
            self.canvas.line(a, b, LineRole::Blank);
            self.canvas.line(down(a), down(b), LineRole::Blank);
        }
    }

    /// Where a taper takes the rim back, the side's datum plane goes on in the line of the blank that was there.
    fn datum_planes(&mut self) {
        for side in SideName::BOTH {
            let Some((low, high)) = outline::datum_plane(self.wheel(), side, LINE_GAP / self.canvas.factor) else {
                continue;
            };
            let (low, high) = (self.upper(low), self.upper(high));
            for up in [1.0, -1.0] {
                self.canvas.blank_line(Point::new(low.x, up * low.y), Point::new(high.x, up * high.y));
            }
        }
    }

    fn axis(&mut self) {
        let length = self.wheel().thickness * self.canvas.factor;
        let ends = [-AXIS_OVERSHOOT, length + AXIS_OVERSHOOT].map(|x| Point::new(x, 0.0));
        self.canvas.line(ends[0], ends[1], LineRole::Axis);
    }

    /// Where the ends of grooves are dimensioned and no groove is drawn: a short line at each such diameter, for the extension line to end on.
    fn limits(&mut self) {
        let ends = self.diameters().into_iter().filter(|d| d.size.pattern().is_some());
        let bare = ends.flat_map(|d| [0, 1].map(|half| (d.at, d.side, half)));
        let bare: Vec<_> = bare.filter(|(_, side, half)| !self.plane.shows(*side, *half)).collect();
        for (at, side, half) in bare {
            let p = self.upper(at);
            let (y, inwards) = (if half == 0 { p.y } else { -p.y }, if side == SideName::A { LIMIT } else { -LIMIT });
            self.canvas.line(Point::new(p.x, y), Point::new(p.x + inwards, y), LineRole::Fine);
        }
    }

    /// The box around the part and its blank; dimension lines keep their distance from it.
    fn outline(&self) -> Bounds {
        let (r, t) = (self.wheel().outside_radius(), self.wheel().thickness);
        let part = Bounds::of(Point::new(0.0, -r), Point::new(t, r));
        let s = self.canvas.factor;
        let blank = self.context.job.blank.as_ref();
        let grown = blank.map_or(part, |b| {
            let lines = outline::blank_lines(self.wheel(), b, LINE_GAP / s);
            lines.iter().fold(part, |all, &(p, q)| {
                let down = |p: Point| Point::new(p.y, -p.x);
                let up = |p: Point| Point::new(p.y, p.x);
                all.union(Bounds::of(up(p), up(q))).union(Bounds::of(down(p), down(q)))
            })
        });
        Bounds { min: grown.min * s, max: grown.max * s }
    }

    /// Every diameter that belongs to a side.
    fn diameters(&self) -> Vec<Diameter> {
        let section = self.context.section;
        let mut found: Vec<Diameter> = Vec::new();
        for name in SideName::BOTH {
            let at = |depth: f64| if name == SideName::A { depth } else { self.wheel().thickness - depth };
            let side = self.wheel().side(name);
            for (i, step) in side.recess.iter().enumerate() {
                let r = step.diameter / 2.0;
                let mouth = if i == 0 { side.nominal_depth(r) } else { side.recess[i - 1].depth };
                found.push(Diameter { size: Size::RecessDiameter(name, i), at: Point::new(r, at(mouth)), side: name });
            }
            if let Some(taper) = side.taper {
                let ends = [(Size::TaperFrom(name), taper.from_diameter), (Size::TaperTo(name), taper.to_diameter)];
                for (size, diameter) in ends {
                    let r = diameter / 2.0;
                    found.push(Diameter { size, at: Point::new(r, at(side.nominal_depth(r))), side: name });
                }
            }
            if let Some(grooves) = &side.grooves {
                let ends = [
                    (GrooveSize::InnerDiameter, Some(grooves.inner_diameter)),
                    (GrooveSize::OuterDiameter, grooves.outer_diameter),
                ];
                for (end, diameter) in ends.into_iter().filter_map(|(e, d)| d.map(|d| (e, d))) {
                    let r = diameter / 2.0;
                    let depth = section.profile(name).depth_at(r).min(side.nominal_depth(r));
                    found.push(Diameter {
                        size: Size::Groove(GrooveSet::Side(name), end),
                        at: Point::new(r, at(depth)),
                        side: name,
                    });
                }
            }
        }
        found
    }

    /// The diameters as dimensions, each with the side it should stand on.
    fn linear_diameters(&mut self) -> Vec<(Linear, SideName)> {
        let sided = self.diameters();
        let on = |name: SideName| sided.iter().filter(|d| d.side == name).count();
        // the overall sizes go where fewer others are
        let emptier = if on(SideName::B) <= on(SideName::A) { SideName::B } else { SideName::A };
        let mut all = sided;
        let fuller = emptier.other();
        all.push(Diameter { size: Size::Bore, at: self.edge_end(Feature::Bore, fuller), side: fuller });
        let rim = self.edge_end(Feature::OutsideDiameter, emptier);
        all.push(Diameter { size: Size::OutsideDiameter, at: rim, side: emptier });
        let mut found = Vec::new();
        for Diameter { size, at, side } in all {
            let Some(requirement) = self.canvas.requirement(size) else { continue };
            let p = self.upper(at);
            let linear = self.canvas.linear(requirement, [Point::new(p.x, -p.y), p], 2.0 * p.y / self.canvas.factor);
            found.push((linear, side));
        }
        found
    }

    /// Lays the diameters left and right: as wished, or else with as few as possible on the other side.
    fn lay(&self, diameters: &[(Linear, SideName)]) -> Option<Vec<Filled>> {
        let outline = self.outline();
        let n = diameters.len();
        let moves = (0..n).flat_map(|i| (0..=i).map(move |j| [i, j]));
        let trials = std::iter::once(None).chain(moves.map(Some));
        // one moved, then two; a move of an item with itself is one move
        let mut ordered: Vec<Option<[usize; 2]>> = trials.collect();
        ordered.sort_by_key(|t| t.map_or(0, |[i, j]| if i == j { 1 } else { 2 }));
        let lay = |moved: Option<[usize; 2]>| {
            let (low, high) = (outline.min.y - BESIDE, outline.max.y + BESIDE);
            let mut bands = [BandSide::Left, BandSide::Right].map(|side| Band::new(side, outline).within(low, high));
            for (i, (linear, side)) in diameters.iter().enumerate() {
                let swapped = moved.is_some_and(|m| m.contains(&i));
                bands[usize::from((*side == SideName::B) != swapped)].add(linear.clone());
            }
            bands.iter().map(Band::fill).collect()
        };
        ordered.iter().find_map(|&moved| lay(moved))
    }

    /// The diameters called out by leaders, each at its edge in the upper half: where they lie too close for dimension lines.
    fn call_out(&self, diameters: Vec<(Linear, SideName)>) -> Option<Vec<Group>> {
        let outline = self.outline();
        let (left, right): (Vec<_>, Vec<_>) = diameters.into_iter().partition(|(_, side)| *side == SideName::A);
        let mut groups = Vec::new();
        for (towards, edge, called) in [(-1.0, outline.min.x, left), (1.0, outline.max.x, right)] {
            let called = called.into_iter().map(|(linear, _)| {
                let Linear { group, subject, ends, label } = linear;
                Called { group, subject, target: ends[1], rise: 0.0, label, second: None, stacked: false }
            });
            let called: Vec<Called> = called.collect();
            let height = called.iter().map(|c| c.label.above + c.label.below + LEADER_PITCH).sum::<f64>();
            let low = outline.min.y.min(outline.max.y - height);
            groups.extend(Column { towards, edge, low, high: outline.max.y, called }.fill()?);
        }
        Some(groups)
    }

    fn dimensions(&mut self) -> Result<(), ViewError> {
        let diameters = self.linear_diameters();
        match self.lay(&diameters) {
            Some(bands) => bands.into_iter().for_each(|b| self.canvas.put_band(b)),
            None if self.context.writing == Writing::Lines => {
                return Err(self.canvas.crowded("the diameters cannot be laid side by side without crossing"));
            }
            None => {
                let called = self.call_out(diameters);
                let Some(groups) = called else { return Err(self.canvas.crowded("the leaders of diameters cross")) };
                self.canvas.put_groups(groups);
            }
        }
        let mut top = Band::new(BandSide::Top, self.outline());
        if let Some(requirement) = self.canvas.requirement(Size::Thickness) {
            let ends = SideName::BOTH.map(|side| self.upper(self.datum_edge(side)));
            let linear = self.canvas.linear(requirement, ends, (ends[1].x - ends[0].x) / self.canvas.factor);
            top.add(linear);
        }
        let Some(filled) = top.fill() else { return Err(self.canvas.crowded("the thickness cannot be dimensioned")) };
        self.canvas.put_band(filled);
        Ok(())
    }

    /// The end towards a side of the section's edge along the outside diameter or the bore.
    fn edge_end(&self, feature: Feature, side: SideName) -> Point {
        let ends = self.context.section.edges().filter(|(_, f)| *f == feature).flat_map(|(e, _)| [e.start(), e.end()]);
        let towards = |p: &Point| if side == SideName::A { p.y } else { -p.y };
        let fallback =
            if feature == Feature::Bore { self.wheel().bore_radius() } else { self.wheel().outside_radius() };
        let z = if side == SideName::A { 0.0 } else { self.wheel().thickness };
        ends.min_by(|a, b| towards(a).total_cmp(&towards(b))).unwrap_or(Point::new(fallback, z))
    }

    /// Where a side's datum plane meets the outside diameter, or would without its corner and taper.
    fn datum_edge(&self, side: SideName) -> Point {
        Point::new(self.wheel().outside_radius(), if side == SideName::A { 0.0 } else { self.wheel().thickness })
    }
}

/// A diameter to dimension: which, the point (r, z) it is taken at, the side it belongs to.
struct Diameter {
    size: Size,
    at: Point,
    side: SideName,
}

/// A contour in (r, z) on paper as (z, r), scaled.
pub(super) fn exchanged(contour: &Contour, scale: f64) -> Result<Contour, crate::geometry::ContourError> {
    let mapped = contour.edges().iter().map(|e| exchanged_edge(e, scale));
    Contour::new(mapped.collect())
}

/// An edge in (r, z) on paper as (z, r), scaled: a mirror in the line r = z, which is a turn by a quarter of the mirror in the x axis.
pub(super) fn exchanged_edge(edge: &Edge, scale: f64) -> Edge {
    let swap = |p: Point| Point::new(p.y, p.x) * scale;
    match edge {
        Edge::Line(l) => Edge::line(swap(l.start), swap(l.end)),
        Edge::Arc(a) => {
            let turn = a.turn().flipped();
            Edge::arc(swap(a.start()), swap(a.end()), swap(a.centre()), a.radius() * scale, turn)
                .unwrap_or(Edge::line(swap(a.start()), swap(a.end())))
        }
    }
}

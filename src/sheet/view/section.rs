//! Section A–A: a full section through the axis, both rims shown, so that every diameter gets a true dimension with two ends.
//!
//! x is z on paper (side A to the left), y is the distance from the axis. Diameters stand left and right, the thickness above; nothing is called
//! out by leaders here: the enlarged half-section and the details do that.

use super::canvas::Canvas;
use super::{Context, Scale, View, ViewError, ViewKind, hatch, outline};
use crate::drawing::{Group, Item, LineRole};
use crate::geometry::{Bounds, Contour, Edge, Point};
use crate::section::Feature;
use crate::sheet::dimension::{Band, BandSide};
use crate::wheel::{SideName, Wheel};

/// Centre lines run this far beyond the part, mm.
pub(super) const AXIS_OVERSHOOT: f64 = 3.0;
/// Least clear distance of parallel lines, mm; a blank nearer to the wheel than this is not drawn.
pub(super) const LINE_GAP: f64 = 0.7;

/// The section at one scale.
pub(super) fn build(scale: Scale, context: &Context) -> Result<View, ViewError> {
    let title = "Section through the axis, side A to the left";
    let mut drawing = SectionView { canvas: Canvas::new(context, scale, "view-section", title), context };
    drawing.canvas.put(Item::Group(Group::new("view-section-hatching")));
    let hatching = drawing.cut_faces()?;
    if let Some(Item::Group(group)) = drawing.canvas.group.items.first_mut() {
        group.items = hatching;
    }
    drawing.behind();
    drawing.blank();
    drawing.axis();
    let outline = drawing.outline();
    drawing.dimensions()?;
    let caption = format!("A–A ({scale})");
    let x = outline.centre().x;
    Ok(drawing.canvas.finish(ViewKind::Section, &caption, &[], x, outline))
}

struct SectionView<'a> {
    canvas: Canvas<'a>,
    context: &'a Context<'a>,
}

impl SectionView<'_> {
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
        let mut hatching = Vec::new();
        for (contour, mirrored) in [(upper.clone(), false), (upper.mirrored_y(), true)] {
            let area = hatch::Area { contour: &contour, inner: &[], is_void: &|_| false, blank: &[] };
            hatching.push(Item::Hatch { lines: hatch::lines(&area, hatch::direction(&contour, mirrored)) });
            self.canvas.contour(contour, LineRole::Visible);
        }
        Ok(hatching)
    }

    fn behind(&mut self) {
        for p in outline::circles_behind(self.context.section, LINE_GAP / self.canvas.factor) {
            let top = self.upper(p);
            self.canvas.line(Point::new(top.x, -top.y), top, LineRole::Visible);
        }
    }

    fn blank(&mut self) {
        let Some(blank) = &self.context.job.blank else { return };
        let clear = LINE_GAP / self.canvas.factor;
        for (a, b) in outline::blank_lines(self.wheel(), blank, clear) {
            let (a, b) = (self.upper(a), self.upper(b));
            self.canvas.line(a, b, LineRole::Blank);
            let down = |p: Point| Point::new(p.x, -p.y);
            self.canvas.line(down(a), down(b), LineRole::Blank);
        }
    }

    fn axis(&mut self) {
        let length = self.wheel().thickness * self.canvas.factor;
        let ends = [-AXIS_OVERSHOOT, length + AXIS_OVERSHOOT].map(|x| Point::new(x, 0.0));
        self.canvas.line(ends[0], ends[1], LineRole::Axis);
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

    /// Every diameter with the point it is taken at, and the side it belongs to (`None`: either).
    fn diameters(&self) -> Vec<(String, Point, Option<SideName>)> {
        let section = self.context.section;
        let mut found: Vec<(String, Point, Option<SideName>)> = Vec::new();
        for name in SideName::BOTH {
            let key = name.key();
            let at = |depth: f64| if name == SideName::A { depth } else { self.wheel().thickness - depth };
            let side = self.wheel().side(name);
            for (i, step) in side.recess.iter().enumerate() {
                let r = step.diameter / 2.0;
                let mouth = if i == 0 { side.nominal_depth(r) } else { side.recess[i - 1].depth };
                found.push((format!("{key}.recess.{i}.diameter"), Point::new(r, at(mouth)), Some(name)));
            }
            if let Some(taper) = side.taper {
                for (end, diameter) in [("from", taper.from_diameter), ("to", taper.to_diameter)] {
                    let r = diameter / 2.0;
                    let id = format!("{key}.taper.{end}_diameter");
                    found.push((id, Point::new(r, at(side.nominal_depth(r))), Some(name)));
                }
            }
            if let Some(grooves) = &side.grooves {
                let ends = [("inner", Some(grooves.inner_diameter)), ("outer", grooves.outer_diameter)];
                for (end, diameter) in ends.into_iter().filter_map(|(e, d)| d.map(|d| (e, d))) {
                    let r = diameter / 2.0;
                    let depth = section.profile(name).depth_at(r).min(side.nominal_depth(r));
                    found.push((format!("{key}.grooves.{end}_diameter"), Point::new(r, at(depth)), Some(name)));
                }
            }
        }
        found
    }

    fn dimensions(&mut self) -> Result<(), ViewError> {
        let sided = self.diameters();
        let on = |name: SideName| sided.iter().filter(|(_, _, s)| *s == Some(name)).count();
        // the overall sizes go where fewer others are
        let emptier = if on(SideName::B) <= on(SideName::A) { SideName::B } else { SideName::A };
        let mut bands = [BandSide::Left, BandSide::Right].map(|side| Band::new(side, self.outline()));
        let mut diameters = sided;
        diameters.push(("bore".to_owned(), self.edge_end(Feature::Bore, emptier.other()), Some(emptier.other())));
        let rim = self.edge_end(Feature::OutsideDiameter, emptier);
        diameters.push(("outside_diameter".to_owned(), rim, Some(emptier)));
        for (id, at, side) in diameters {
            let Some(requirement) = self.canvas.requirement(&id) else { continue };
            let p = self.upper(at);
            let ends = [Point::new(p.x, -p.y), p];
            let linear = self.canvas.linear(requirement, ends, 2.0 * p.y / self.canvas.factor);
            bands[usize::from(side == Some(SideName::B))].add(linear);
        }
        let mut top = Band::new(BandSide::Top, self.outline());
        if let Some(requirement) = self.canvas.requirement("thickness") {
            let ends = SideName::BOTH.map(|side| self.upper(self.datum_edge(side)));
            let linear = self.canvas.linear(requirement, ends, (ends[1].x - ends[0].x) / self.canvas.factor);
            top.add(linear);
        }
        for band in bands.iter().chain([&top]) {
            let Some(filled) = band.fill() else {
                return Err(self.canvas.crowded("the diameters cannot be laid side by side without crossing"));
            };
            self.canvas.put_groups(filled.groups);
        }
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

    /// The outermost point of a side's datum plane on the part.
    fn datum_edge(&self, side: SideName) -> Point {
        let profile = self.context.section.profile(side);
        let on_plane = profile.edges().iter().flat_map(|(e, _)| [e.start(), e.end()]).filter(|p| p.y == 0.0);
        let r = on_plane.map(|p| p.x).fold(0.0, f64::max);
        let r = if r > 0.0 { r } else { self.wheel().outside_radius() };
        Point::new(r, if side == SideName::A { 0.0 } else { self.wheel().thickness })
    }
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

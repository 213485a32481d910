//! The upper half of section A–A, enlarged: depths below it, tapers above it, radii and chamfers called out beside it.
//!
//! It ends just below the bore with a break line. Edges behind the cutting plane run down to that line, so the extension lines of depths can begin
//! there, and leaders out of a recess meet nothing but edges.

use super::canvas::Canvas;
use super::corner::corner;
use super::plane::Plane;
use super::section::{self, LINE_GAP, exchanged, exchanged_edge};
use super::{Context, Scale, View, ViewError, ViewKind, hatch, outline, plan};
use crate::drawing::{Item, LineRole};
use crate::geometry::{Bounds, Edge, Point};
use crate::section::Feature;
use crate::sheet::dimension::{Band, BandSide, Called, Column, Label, Linear};
use crate::size::{SideName, Size, Subject};
use crate::wheel::Wheel;

/// The half of the section's plane that is shown.
const UPPER: usize = 0;
/// How far the view reaches below the bore, mm.
const BELOW_BORE: f64 = 6.0;
/// Half height of the break line's zigzag, mm.
const ZIGZAG: f64 = 1.8;
/// Leaders of fillets leave the view lower than they begin by this, mm.
const FILLET_RISE: f64 = -5.0;
/// How far the break line runs beyond the part, mm.
const BREAK_OVERSHOOT: f64 = 3.0;

/// The enlarged half-section at one scale.
pub(super) fn build(scale: Scale, context: &Context) -> Result<View, ViewError> {
    let title = context.style.say("view.half_title");
    let mut view = Half { canvas: Canvas::new(context, scale, "view-half-section", title), context };
    view.face()?;
    view.behind();
    view.datum_planes();
    view.break_line();
    view.bands()?;
    view.columns()?;
    let outline = view.outline();
    let names = [("section", section::name(context)), ("scale", &scale.to_string())];
    let caption = context.style.put("view.half", &names);
    let turned = Plane::of(&context.job.wheel, context.section).notes(&[UPPER], context.style);
    let below: Vec<String> = std::iter::once(context.style.say("view.a_left").to_owned()).chain(turned).collect();
    Ok(view.canvas.finish(ViewKind::HalfSection, &caption, &below, outline.centre().x, outline))
}

struct Half<'a> {
    canvas: Canvas<'a>,
    context: &'a Context<'a>,
}

impl Half<'_> {
    fn wheel(&self) -> &Wheel {
        &self.context.job.wheel
    }

    fn paper(&self, r: f64, z: f64) -> Point {
        Point::new(z, r) * self.canvas.factor
    }

    /// z of a depth below a side's datum plane.
    fn z(&self, side: SideName, depth: f64) -> f64 {
        if side == SideName::A { depth } else { self.wheel().thickness - depth }
    }

    fn bottom(&self) -> f64 {
        self.wheel().bore_radius() * self.canvas.factor - BELOW_BORE
    }

    fn outline(&self) -> Bounds {
        let top = self.paper(self.wheel().outside_radius(), self.wheel().thickness);
        Bounds::of(Point::new(0.0, self.bottom() - ZIGZAG), top)
    }

    fn face(&mut self) -> Result<(), ViewError> {
        let contour =
            exchanged(self.context.section.contour(), self.canvas.factor).map_err(|e| self.canvas.geometry(e))?;
        let s = self.canvas.factor;
        let plane = Plane::of(self.wheel(), self.context.section);
        let grooves: Vec<Edge> = plane.edges(UPPER).iter().map(|e| exchanged_edge(e, s)).collect();
        let is_void = |p: Point| plane.is_void(UPPER, p.y / s, p.x / s);
        let area = hatch::Area { contour: &contour, inner: &grooves, is_void: &is_void, blank: &[] };
        self.canvas.put(Item::Hatch { lines: hatch::lines(&area, hatch::direction(&contour)) });
        self.canvas.contour(contour, LineRole::Visible);
        self.canvas.edges(grooves, LineRole::Visible);
        Ok(())
    }

    fn behind(&mut self) {
        let bottom = self.bottom();
        for p in outline::circles_behind(self.context.section, LINE_GAP / self.canvas.factor) {
            let top = self.paper(p.x, p.y);
            self.canvas.line(Point::new(top.x, bottom), top, LineRole::Visible);
        }
    }

    /// Where a taper takes the rim back, the side's datum plane goes on in the line of the blank that was there.
    fn datum_planes(&mut self) {
        for side in SideName::BOTH {
            if let Some((low, high)) = outline::datum_plane(self.wheel(), side, LINE_GAP / self.canvas.factor) {
                self.canvas.blank_line(self.paper(low.x, low.y), self.paper(high.x, high.y));
            }
        }
    }

    fn break_line(&mut self) {
        let (y, width) = (self.bottom(), self.wheel().thickness * self.canvas.factor);
        for pair in break_points(-BREAK_OVERSHOOT, width + BREAK_OVERSHOOT, ZIGZAG).windows(2) {
            let shift = Point::new(0.0, y);
            self.canvas.line(pair[0] + shift, pair[1] + shift, LineRole::Fine);
        }
    }

    /// An axial size from a side's datum plane to a depth, taken at the given height of the paper; of a taper ordered by its angle the depth is a
    /// reference.
    fn depth(&mut self, side: SideName, size: Size, depth: f64, ys: [f64; 2]) -> Option<Linear> {
        let s = self.canvas.factor;
        let ends = [Point::new(self.z(side, 0.0) * s, ys[0]), Point::new(self.z(side, depth) * s, ys[1])];
        if size == Size::TaperDepth(side) && self.wheel().taper_by_angle(side) {
            let nominal = size.value(self.context.job).filter(|_| self.context.references)?;
            let label = Label::reference_length(&size.letter(self.wheel()), "", nominal, self.context.style);
            let group = self.canvas.note_reference(size, nominal, (ends[1].x - ends[0].x).abs() / s, &label);
            return Some(Linear { group, subject: Subject::Reference(size), ends, label });
        }
        let requirement = self.canvas.requirement(size)?;
        let mut linear = self.canvas.linear(requirement, ends, (ends[1].x - ends[0].x).abs() / s);
        // the angle follows from depth and diameters: for information, in parentheses behind the depth
        let shown = self.context.references && size == Size::TaperDepth(side);
        if let Some(angle) = Size::TaperAngle(side).value(self.context.job).filter(|_| shown) {
            let style = self.context.style;
            linear.label = linear.label.followed_by(format!("({}°)", style.plain(angle, 2)), style);
        }
        Some(linear)
    }

    /// An axial reference size between two depths, one below each side's datum plane; `None` where they take nothing off.
    fn reference(&mut self, size: Size, depths: [f64; 2], y: f64) -> Option<Linear> {
        let nominal = size.value(self.context.job)?;
        if !self.context.references || nominal <= 0.0 || depths[0] + depths[1] <= 0.0 {
            return None;
        }
        let (style, s) = (self.context.style, self.canvas.factor);
        let label = Label::reference_length(&size.letter(self.wheel()), "", nominal, style);
        let zs = [self.z(SideName::A, depths[0]), self.z(SideName::B, depths[1])];
        let group = self.canvas.note_reference(size, nominal, zs[1] - zs[0], &label);
        Some(Linear { group, subject: Subject::Reference(size), ends: zs.map(|z| Point::new(z * s, y)), label })
    }

    fn bands(&mut self) -> Result<(), ViewError> {
        let outline = self.outline();
        let mut top = Band::new(BandSide::Top, outline);
        let mut bottom = Band::new(BandSide::Bottom, outline);
        let low = outline.min.y;
        for side in SideName::BOTH {
            for (i, step) in self.wheel().side(side).recess.clone().into_iter().enumerate() {
                let floor = self.floor_depth(side, i).unwrap_or(step.depth);
                self.depth(side, Size::RecessDepth(side, i), floor, [low, low]).into_iter().for_each(|l| bottom.add(l));
            }
            self.taper(side, &mut top, &mut bottom);
        }
        let (outside, bore) = (self.wheel().outside_radius(), self.wheel().bore_radius());
        let sides = SideName::BOTH.map(|s| self.wheel().side(s));
        let [rim, hub] = [sides.map(|s| s.nominal_depth(outside)), sides.map(|s| s.depth_at_bore(bore))];
        let y = outside * self.canvas.factor;
        self.reference(Size::RimThickness, rim, y).into_iter().for_each(|l| top.add(l));
        self.reference(Size::HubThickness, hub, low).into_iter().for_each(|l| bottom.add(l));
        for band in [top, bottom] {
            let Some(filled) = band.fill() else {
                return Err(self.canvas.crowded("the axial sizes cannot be laid one above the other without crossing"));
            };
            self.canvas.put_band(filled);
        }
        Ok(())
    }

    /// Depth of the floor of a recess step as drawn.
    fn floor_depth(&self, side: SideName, i: usize) -> Option<f64> {
        let edges = self.context.section.profile(side).edges();
        edges.iter().find(|(_, f)| *f == Feature::RecessFloor(side, i)).map(|(e, _)| e.start().y)
    }

    /// Depths at both ends of a taper, each taken where it can be reached without crossing the part.
    fn taper(&mut self, side: SideName, top: &mut Band, bottom: &mut Band) {
        let Some(taper) = self.wheel().side(side).taper else { return };
        let (bore, outside, s) = (self.wheel().bore, self.wheel().outside_diameter, self.canvas.factor);
        let low = self.outline().min.y;
        for (size, diameter) in
            [(Size::TaperDepth(side), taper.to_diameter), (Size::TaperStart(side), taper.from_diameter)]
        {
            let r = diameter.clamp(bore, outside) / 2.0;
            let falls_outwards = taper.from_diameter < taper.to_diameter;
            let outer = falls_outwards == (size == Size::TaperDepth(side));
            let rim = outside / 2.0 * s;
            let ys = if outer { [rim, rim] } else { [low, low] };
            let band = if outer { &mut *top } else { &mut *bottom };
            self.depth(side, size, taper.depth_at(r), ys).into_iter().for_each(|l| band.add(l));
        }
    }

    fn columns(&mut self) -> Result<(), ViewError> {
        let chamfer_side = if self.wheel().side_b.recess.len() <= self.wheel().side_a.recess.len() {
            SideName::B
        } else {
            SideName::A
        };
        for side in SideName::BOTH {
            let mut called = self.called(side);
            if side == chamfer_side {
                called.extend(self.bore_chamfer(side));
            }
            let outline = self.outline();
            let (towards, edge) = if side == SideName::A { (-1.0, outline.min.x) } else { (1.0, outline.max.x) };
            let column = Column { towards, edge, low: outline.min.y, high: outline.max.y + ZIGZAG, called };
            let Some(groups) = column.fill() else {
                return Err(self.canvas.crowded("the radii and chamfers called out do not fit beside it"));
            };
            self.canvas.put_groups(groups);
        }
        Ok(())
    }

    /// The section's edge of a feature on paper.
    fn edge(&self, feature: Feature) -> Option<Edge> {
        let found = self.context.section.edges().find(|(_, f)| *f == feature).map(|(e, _)| *e);
        found.map(|e| exchanged_edge(&e, self.canvas.factor))
    }

    fn called(&mut self, side: SideName) -> Vec<Called> {
        let mut out = Vec::new();
        out.extend(self.taper_angle(side));
        if plan::half_section_shows_corner(self.wheel(), side) {
            let edge = self.edge(Feature::Corner(side));
            out.extend(edge.and_then(|e| corner(&mut self.canvas, side, &e, Point::ORIGIN)));
        }
        for i in 0..self.wheel().side(side).recess.len() {
            let arc = self.edge(Feature::RecessFillet(side, i));
            if let (Some(requirement), Some(Edge::Arc(arc))) =
                (self.canvas.requirement(Size::RecessFillet(side, i)), arc)
            {
                let label = self.canvas.label(requirement);
                let called = self.canvas.called(requirement, arc.at(0.5), arc.radius() / self.canvas.factor, label);
                // out of the recess at a slant, away from the wall
                out.push(Called { rise: FILLET_RISE, ..called });
            }
        }
        out
    }

    /// The angle of a taper ordered by it, at the middle of its edge.
    fn taper_angle(&mut self, side: SideName) -> Option<Called> {
        let requirement = self.canvas.requirement(Size::TaperAngle(side))?;
        let edge = self.edge(Feature::Taper(side))?;
        let along = edge.end() - edge.start();
        let words = self.context.style.of_side("view.from_plane", side);
        let label = self.canvas.label(requirement).followed_by(words, self.context.style);
        let measured = along.x.abs().atan2(along.y.abs()).to_degrees();
        Some(self.canvas.called(requirement, edge.at(0.5), measured, label))
    }

    fn bore_chamfer(&mut self, side: SideName) -> Option<Called> {
        let requirement = self.canvas.requirement(Size::BoreChamfer)?;
        let edge = self.edge(Feature::BoreChamfer(side))?;
        let label = self.canvas.label(requirement);
        let measured = (edge.end().y - edge.start().y).abs() / self.canvas.factor;
        Some(self.canvas.called(requirement, edge.at(0.5), measured, label))
    }
}

/// The points of a level break line with its zigzag in the middle, about y = 0.
pub(super) fn break_points(from: f64, to: f64, zigzag: f64) -> Vec<Point> {
    let middle = (from + to) / 2.0;
    let at = |dx: f64, y: f64| Point::new(middle + dx, y);
    vec![
        Point::new(from, 0.0),
        at(-zigzag, 0.0),
        at(-zigzag / 2.0, zigzag),
        at(zigzag / 2.0, -zigzag),
        at(zigzag, 0.0),
        Point::new(to, 0.0),
    ]
}

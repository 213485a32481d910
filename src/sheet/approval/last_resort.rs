//! Sheets for a wheel of which no layout shows everything: the views that can be drawn, and words of the sizes that stand in the tables only.

use super::{Approval, Effort, MOST_SHEETS, Work};
use crate::geometry::Point;
use crate::sheet::arrange::{Care, Load, Row, Settings, spread};
use crate::sheet::notes;
use crate::sheet::view::{Scale, View, ViewKind, ViewRequest};
use crate::size::Size;
use std::rc::Rc;

impl Work<'_> {
    /// The drawing on the first paper that holds its tables.
    pub(super) fn last_resort(&self) -> Option<Approval> {
        self.contents.formats().iter().find_map(|format| {
            // what no view shows is known once the views are; the room they need hangs on the paper alone
            let bare = self.contents.settings(format, &[]);
            let views = self.drawable(&bare);
            let sides = self.drawable_sides(&bare, views.first());
            let unplaced = self.unplaced(views.iter().chain(sides.iter().flatten()));
            let blank = views.iter().any(|v| v.shows_blank);
            let parts = self.contents.with(notes::not_placed(self.contents.job(), &unplaced, self.contents.style.language), blank);
            let settings = self.contents.settings(format, &parts);
            let sizes: Vec<Size> = unplaced.iter().map(|r| r.size).collect();
            let scale = views.first().map_or(Scale::new(1, 1), |v| v.scale);
            let (main, others): (Vec<&View>, Vec<&View>) =
                views.iter().map(Rc::as_ref).partition(|v| v.kind == ViewKind::Section);
            let nothing = Row { views: Vec::new(), width: 0.0, height: 0.0 };
            let load = Load {
                main: main.first().map_or(nothing, |v| Row::single(v)),
                apart: sides.iter().map(|pair| self.in_line(pair)).collect(),
                views: others.into_iter().map(|v| vec![Row::single(v)]).collect(),
            };
            let laid = spread(&settings, &load, MOST_SHEETS, Care::Drawn)?;
            self.accepted(&settings, scale, &laid.sheets, sizes).ok()
        })
    }

    /// Of every view that must be shown, save those of the sides, one that can be drawn and has room on a sheet of its own, at the largest such
    /// scale; the section first where there is one.
    fn drawable(&self, settings: &Settings) -> Vec<Rc<View>> {
        let mut found: Vec<Rc<View>> = Vec::new();
        for (i, request) in self.chosen(Effort::PLAIN) {
            let section = found.iter().find(|v| v.kind == ViewKind::Section).map(|v| v.scale);
            let fits = |view: &Rc<View>| settings.holds(&Row::single(view));
            let one = |scale: Scale| self.build(i, scale, Effort::PLAIN).ok().filter(fits);
            let view = match (&request.kind, section) {
                (ViewKind::Side(_) | ViewKind::PlainSection, _) => None,
                (ViewKind::Face, Some(scale)) => one(scale),
                _ => request.scales.iter().find_map(|&scale| one(scale)),
            };
            found.extend(view);
        }
        found
    }

    /// Each side with a section in line, at the largest scale at which they have room on a sheet of their own; none without the section, which
    /// names the sides.
    fn drawable_sides(&self, settings: &Settings, first: Option<&Rc<View>>) -> Vec<[Rc<View>; 2]> {
        let is_plain = |r: &ViewRequest| r.kind == ViewKind::PlainSection;
        let plain = self.chosen(Effort::PLAIN).find(|(_, r)| is_plain(r)).map(|(i, _)| i);
        let section = first.filter(|v| v.kind == ViewKind::Section);
        let (Some(plain), Some(section)) = (plain, section) else { return Vec::new() };
        let build = |i: usize, scale: Scale| self.build(i, scale, Effort::PLAIN).ok();
        let pair = |side: usize| {
            let scales = Scale::ISO.into_iter().filter(|s| s.factor() <= section.scale.factor());
            let both = |scale: Scale| Some([build(plain, scale)?, build(side, scale)?]);
            scales.filter_map(both).find(|pair| settings.holds(&self.in_line(pair)))
        };
        self.sides(Effort::PLAIN).filter_map(pair).collect()
    }

    fn in_line<'v>(&self, pair: &'v [Rc<View>; 2]) -> Row<'v> {
        Row::projected(&pair.each_ref().map(Rc::as_ref), self.contents.style.projection)
    }

    /// The requirements that none of these views shows.
    fn unplaced<'v>(&self, views: impl Iterator<Item = &'v Rc<View>> + Clone) -> Vec<&crate::wheel::Requirement> {
        let shown = |size: Size| views.clone().any(|v| v.drawn.iter().any(|d| d.subject.shows(size)));
        self.contents.requirements.iter().filter(|r| !shown(r.size)).collect()
    }
}

impl Settings<'_> {
    /// Whether views have room on an otherwise empty sheet of either kind.
    fn holds(&self, row: &Row) -> bool {
        let lay = |corner| {
            let mut fill = crate::sheet::arrange::Fill::new(&self.format, corner);
            fill.main(row).is_some()
        };
        row.width.max(row.height).is_finite() && [&self.corners.naming, &self.corners.further].into_iter().all(lay) && row.boxes(Point::ORIGIN).count() > 0
    }
}

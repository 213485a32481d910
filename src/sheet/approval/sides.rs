//! The views of the sides: in line with the section on the first sheet, or on a further one with a section of their own.

use super::{Attempt, Work};
use crate::sheet::arrange::Row;
use crate::sheet::view::{Scale, View, ViewKind, ViewRequest};
use std::rc::Rc;

/// Share of the loss by smallness that counts where only the side views are smaller, on a sheet that the section's sizes are not on.
const SIDES_SMALLER: f64 = 0.5;
/// A section drawn once more, for the side views to stand in line with.
const SECTION_REPEATED: f64 = 0.1;
/// The sides each on a sheet of its own.
const SIDES_PARTED: f64 = 0.5;
/// Least diameter of the wheel on paper where both sides stand on one sheet, and where each has its own, mm.
const LEAST_TOGETHER: f64 = 28.0;
const LEAST_PARTED: f64 = 36.0;
/// Side views of a smaller scale are tried where there would be more sheets than this.
const SHEETS_USUAL: usize = 2;

/// Where the views of the sides stand: always in line with a section at their scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sides {
    /// Beside the section with the sizes, on the first sheet.
    Beside,
    /// On a further sheet, at this scale, beside a section without sizes.
    Together(Scale),
    /// The same, each side on a sheet of its own: where the paper is too narrow for both.
    Parted(Scale),
}

impl Work<'_> {
    /// Tries the side views on further sheets: together at the largest scale that fits and, where that takes more sheets than usual, at the next
    /// smaller one; each alone only where they do not fit together.
    pub(super) fn further(&self, main: Scale, tried: &mut impl FnMut(Sides) -> Option<usize>) {
        let scales = |least: f64| {
            let smaller = move |s: &Scale| s.factor() < main.factor() && self.on_paper(*s) >= least;
            std::iter::once(main).chain(Scale::ISO.into_iter().filter(smaller))
        };
        let mut fits = scales(LEAST_TOGETHER).filter_map(|s| tried(Sides::Together(s)));
        match fits.next() {
            Some(sheets) if sheets > SHEETS_USUAL => drop(fits.next()),
            Some(_) => {}
            None => drop(scales(LEAST_PARTED).find_map(|s| tried(Sides::Parted(s)))),
        }
    }

    /// How much is missed by side views that do not stand beside the section with the sizes.
    pub(super) fn loss_of(&self, sides: Sides, main: Scale) -> f64 {
        let smaller = |s: Scale| SECTION_REPEATED + SIDES_SMALLER * (self.smallness(s) - self.smallness(main));
        match sides {
            Sides::Beside => 0.0,
            Sides::Together(s) => smaller(s),
            Sides::Parted(s) => SIDES_PARTED + smaller(s),
        }
    }

    /// The section, the side views, and the section without sizes where they need one.
    pub(super) fn main_views(&self, attempt: Attempt, sides: Sides) -> Result<Vec<Rc<View>>, String> {
        let (scale, again) = match sides {
            Sides::Beside => (attempt.scale, false),
            Sides::Together(scale) | Sides::Parted(scale) => (scale, true),
        };
        let built = |(i, r): (usize, &ViewRequest)| match r.kind {
            ViewKind::Section => Some(self.build(i, attempt.scale, attempt.effort)),
            ViewKind::Side(_) => Some(self.build(i, scale, attempt.effort)),
            ViewKind::PlainSection if again => Some(self.build(i, scale, attempt.effort)),
            _ => None,
        };
        self.chosen(attempt.effort).filter_map(built).collect()
    }

    /// The views in line on the first sheet, and those in line on further ones: every side view stands beside a section.
    pub(super) fn rows<'v>(&self, views: &'v [Rc<View>], sides: Sides) -> (Row<'v>, Vec<Row<'v>>) {
        let projection = self.contents.style.projection;
        let of = |wanted: &dyn Fn(&ViewKind) -> bool| -> Vec<&'v View> {
            views.iter().map(Rc::as_ref).filter(|v| wanted(&v.kind)).collect()
        };
        let is_side = |kind: &ViewKind| matches!(kind, ViewKind::Side(_));
        let row = |wanted: &dyn Fn(&ViewKind) -> bool| Row::projected(&of(wanted), projection);
        match sides {
            Sides::Beside => (row(&|_| true), Vec::new()),
            Sides::Together(_) => (row(&|k| *k == ViewKind::Section), vec![row(&|k| *k != ViewKind::Section)]),
            Sides::Parted(_) => {
                let plain = of(&|k| *k == ViewKind::PlainSection);
                let each = of(&is_side).into_iter().map(|side| Row::projected(&[&plain[..], &[side]].concat(), projection));
                (row(&|k| *k == ViewKind::Section), each.collect())
            }
        }
    }
}

//! An isometric picture (ISO 5456-3) of the side that has most on it, so that no one mistakes one side for the other.
//!
//! Its lines are those of the solid's boundary, without what is hidden.

use super::canvas::Canvas;
use super::{Context, Scale, View, ViewError, ViewKind};
use crate::drawing::LineRole;
use crate::geometry::Bounds;
use crate::solid::picture::{Look, lines};
use crate::wheel::{SideName, Wheel};

/// What of the paper is a dot: lines are found as exactly as that, mm.
const DOT: f64 = 0.25;

/// The side the picture shows: the one with the most steps, tapers and grooves to see.
pub(super) fn side(wheel: &Wheel) -> SideName {
    let shown = |name: SideName| {
        let side = wheel.side(name);
        let cut = 2 * side.recess.len() + 2 * usize::from(side.grooves.is_some()) + usize::from(side.taper.is_some());
        (cut, side.corner.is_some())
    };
    if shown(SideName::B) > shown(SideName::A) { SideName::B } else { SideName::A }
}

/// The picture at one scale.
pub(super) fn build(scale: Scale, context: &Context) -> Result<View, ViewError> {
    let side = side(&context.job.wheel);
    let title = context.style.of_side("view.picture_title", side);
    let mut canvas = Canvas::new(context, scale, "view-pictorial", title);
    let factor = canvas.factor;
    for line in lines(context.job, context.section, Look { side, dot: DOT / factor }) {
        let role = if line.is_fine { LineRole::Fine } else { LineRole::Visible };
        for ends in line.places.windows(2) {
            canvas.line(ends[0] * factor, ends[1] * factor, role);
        }
    }
    let bounds = canvas.bounds();
    let outline = Bounds::of(bounds.min, bounds.max);
    let caption = context.style.of_side("view.picture", side);
    Ok(canvas.finish(ViewKind::Pictorial, &caption, &[""], bounds.centre().x, outline))
}

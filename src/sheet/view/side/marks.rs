//! Where the section is taken, and the rotation that skewed grooves ask for.

use super::{
    AXIS_OVERSHOOT, Drawing, DrawingStyle, Edge, Item, LineRole, PI, PLANE_ARROW, Point, SideName, Text, Turn,
    ViewKind, mark,
};

/// Length of the wide ends of a cutting plane, mm.
const PLANE_END: f64 = 8.0;
/// Half length of the arrow of rotation, mm.
const ROTATION: f64 = 11.0;

impl Drawing<'_> {
    /// The cutting plane stands on the first side shown.
    pub(super) fn carries_cutting_plane(&self) -> bool {
        let sides = self.context.shown.iter().filter_map(|r| match r.kind {
            ViewKind::Side(side) => Some(side),
            _ => None,
        });
        let section = self.context.shown.iter().any(|r| r.kind == ViewKind::Section);
        section && sides.into_iter().next() == Some(self.geometry.side)
    }

    /// Where section A–A is taken: wide ends of the upright axis, arrows in the direction it is seen in (side A lies to the left there), the
    /// letter twice.
    pub(super) fn cutting_plane(&mut self) {
        let style = self.context.style;
        let sight = if self.geometry.side == SideName::A { -1.0 } else { 1.0 };
        // ISO 128: the arrow's tip on the line; ASME Y14.3: its tail
        let us = style.dimensioning == DrawingStyle::Us;
        let (tail, tip) = if us { (0.0, PLANE_ARROW) } else { (-PLANE_ARROW, 0.0) };
        let near = self.radius() + AXIS_OVERSHOOT + 1.0;
        for (up, name) in [(1.0, "cutting-plane-upper"), (-1.0, "cutting-plane-lower")] {
            let (from, to) = (Point::new(0.0, up * near), Point::new(0.0, up * (near + PLANE_END)));
            let mut items = vec![Item::Line { from, to, role: LineRole::CuttingPlane }];
            let y = up * (near + 0.7 * PLANE_END);
            items.push(mark::line(Point::new(sight * tail, y), Point::new(sight * tip, y)));
            items.extend(mark::arrow(Point::new(sight * tip, y), Point::new(sight, 0.0)));
            let off = PLANE_ARROW + style.letter;
            let x = if us { sight * off } else { -sight * off };
            items.push(Item::Text(Text::new("A", Point::new(x, y - style.letter / 2.0), style.letter).centred()));
            self.canvas.mark(name, items);
        }
    }

    /// The rotation that skewed grooves ask for: their outer ends lead.
    pub(super) fn rotation(&mut self) {
        let Some(skew) = self.ordered().map(|g| g.skew_deg).filter(|s| *s != 0.0) else { return };
        let mirrored = self.geometry.side == SideName::B;
        let left_turning = (skew > 0.0) != mirrored;
        let below = if self.carries_cutting_plane() { PLANE_END + 10.0 } else { 7.0 };
        let r = self.radius() + AXIS_OVERSHOOT + below;
        let half = (ROTATION / r).min(0.4);
        let angles = [1.5 * PI - half, 1.5 * PI + half];
        let (from, to) = if left_turning { (angles[0], angles[1]) } else { (angles[1], angles[0]) };
        let turn = if left_turning { Turn::Left } else { Turn::Right };
        let (start, end) = (Point::polar(r, from), Point::polar(r, to));
        let Ok(Edge::Arc(arc)) = Edge::arc(start, end, Point::ORIGIN, r, turn) else { return };
        let mut items = vec![Item::Arc { arc, role: LineRole::Dimension }];
        let forward = end.left() * (1.0 / r) * turn.sign();
        items.extend(mark::arrow(end, forward));
        let style = self.context.style;
        let at = Point::new(0.0, -r - 2.0 - style.text);
        items.push(Item::Text(Text::new(style.say("view.rotation"), at, style.text).centred()));
        self.canvas.mark("rotation", items);
    }
}

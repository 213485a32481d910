//! Values called out beside a side: number and pitch of the grooves, the first of them, their skew.

use super::centre_line;
use super::{
    Called, Canvas, Drawing, Label, NOTE_DIRECTION, Pattern, Point, Requirement, SKEW_DIRECTION, SideGrooveView, TAU,
};
use crate::sheet::view::Style;
use crate::size::{GrooveSet, GrooveSize, Size, Subject};

/// Share of the radius at which a groove is called out where its end is taken.
const INSIDE_RIM: f64 = 0.9;
/// Callouts nearer to each other than this share one, mm.
const TOGETHER: f64 = 6.0;

impl Drawing<'_> {
    /// Where a groove near a seen direction meets its outer end, on paper.
    pub(super) fn outer_end(&self, grooves: &SideGrooveView, seen: f64) -> Option<Point> {
        let off = |end: Point| {
            let turn = (end.angle() - seen).rem_euclid(TAU);
            (turn.min(TAU - turn), end)
        };
        let ends = grooves.directions.iter().map(|d| off(self.end_of(grooves, *d)));
        ends.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, end)| end)
    }

    pub(super) fn called(&mut self) -> Vec<Called> {
        let (Some(grooves), Some(ordered)) = (self.geometry.grooves.clone(), self.ordered().cloned()) else {
            return Vec::new();
        };
        let (set, style) = (GrooveSet::Side(self.geometry.side), self.context.style);
        let mut out: Vec<Called> = Vec::new();
        let at = self.outer_end(&grooves, NOTE_DIRECTION);
        let pattern = self.canvas.requirement(Size::Groove(set, GrooveSize::Count)).zip(at);
        let first = ordered.pattern.cut().next().zip(grooves.directions.first().map(|d| self.end_of(&grooves, *d)));
        let start = self.canvas.requirement(Size::Groove(set, GrooveSize::Start));
        let together = at.zip(first).is_some_and(|(at, (_, end))| at.distance(end) < TOGETHER);
        if let Some((count, at)) = pattern {
            let word = first.filter(|_| together && start.is_none()).map(|(k, _)| groove_words(k, style));
            out.push(pitch_note(&mut self.canvas, count, set, &ordered.pattern, at, word));
        }
        match (start, first) {
            (Some(start), _) => out.push(self.direction_of_first(start, &grooves, &ordered.pattern, together)),
            (None, Some((k, end))) if !together => out.push(self.first_groove(k, end)),
            _ => {}
        }
        let at = self.outer_end(&grooves, SKEW_DIRECTION);
        let skew = self.canvas.requirement(Size::Groove(set, GrooveSize::Skew));
        if let Some((requirement, mut at)) = skew.zip(at) {
            // the centre line leaves the rim point P in the frame's direction; P itself lies at −skew there
            let rim = centre_line(&grooves).end();
            let label = self.canvas.label(requirement).followed_by(style.say("view.skew"), style);
            let measured = if grooves.ended { ordered.skew_deg } else { -rim.angle().to_degrees() };
            let crowded = out.iter().any(|c| c.target.distance(at) < TOGETHER);
            if crowded {
                at = at * (INSIDE_RIM * INSIDE_RIM);
            }
            let called = self.canvas.called(requirement, at, measured, label);
            out.push(Called { rise: if crowded { -2.0 * TOGETHER } else { 0.0 }, ..called });
        }
        out
    }

    /// The direction of groove 1 from the wheel's x axis, at its outer end; its place is shown where it is not cut.
    fn direction_of_first(
        &mut self,
        start: &Requirement,
        grooves: &SideGrooveView,
        pattern: &Pattern,
        together: bool,
    ) -> Called {
        let style = self.context.style;
        let cut = pattern.omit.binary_search(&1).is_err();
        let words = if cut { groove_words(1, style) } else { style.say("view.place_1").to_owned() };
        let label = self.canvas.label(start).followed_by(words, style);
        let turn = self.ordered().map_or(0.0, |g| g.skew_deg);
        let target = self.end_of(grooves, (pattern.angle_deg(1) + turn).to_radians());
        // the place itself lies on the circle of the outer ends, in the direction counted from +x as seen from side A
        let place = self.seen_direction(target.angle()) - self.skew_of_end(grooves);
        let measured = nearest_turn(place.to_degrees(), start.nominal);
        let target = if together { target * INSIDE_RIM } else { target };
        let called = self.canvas.called(start, target, measured, label);
        Called { rise: if together { 2.0 * TOGETHER } else { 0.0 }, ..called }
    }

    /// Angle by which a groove's outer end lies off the direction of its place, radians: 0 where it runs out through the outside diameter.
    fn skew_of_end(&self, grooves: &SideGrooveView) -> f64 {
        let end = centre_line(grooves).end();
        end.angle() + grooves.groove.turn
    }

    /// Groove 1, or the first that is cut: the one that index tables begin with.
    fn first_groove(&self, k: u32, target: Point) -> Called {
        let label = Label::text(groove_words(k, self.context.style), self.context.style);
        let (group, subject) = (format!("{}-groove-1", self.canvas.id), Subject::Mark("groove-1"));
        Called { group, subject, target, rise: 0.0, label, second: None, stacked: false }
    }
}

fn groove_words(k: u32, style: &Style) -> String {
    style.put("view.groove_k", &[("number", &k.to_string())])
}

/// `180 × 2° (=360°)`: the count and the pitch in one note, each a dimension of its own.
pub(in crate::sheet::view) fn pitch_note(
    canvas: &mut Canvas,
    count: &Requirement,
    set: GrooveSet,
    pattern: &Pattern,
    target: Point,
    word: Option<String>,
) -> Called {
    let style = canvas.context.style;
    let label = canvas.label(count).followed_by("×", style);
    let mut called = canvas.called(count, target, count.nominal, label);
    if let Some(pitch) = canvas.requirement(Size::Groove(set, GrooveSize::Pitch)) {
        let rest = if pattern.omit.is_empty() {
            "(=360°)".to_owned()
        } else {
            let [count, places] = [pattern.count(), pattern.places].map(|n| n.to_string());
            style.put("view.of_places", &[("count", &count), ("places", &places)])
        };
        let rest = word.map_or(rest.clone(), |w| format!("{rest}, {w}"));
        let label = canvas.label(pitch).followed_by(rest, style);
        let group = canvas.note(pitch, pitch.nominal, &label);
        called.second = Some((group, Subject::Size(pitch.size), label));
        called.stacked = true;
    }
    called
}

/// An angle in degrees, turned by whole circles to come nearest to another.
fn nearest_turn(degrees: f64, to: f64) -> f64 {
    degrees + ((to - degrees) / 360.0).round() * 360.0
}

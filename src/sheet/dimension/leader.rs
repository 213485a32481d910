//! Leaders: values called out beside a view, one under another, their lines sorted so that none crosses another.

use super::label::Label;
use super::lanes;
use super::mark;
use crate::drawing::{Group, Item};
use crate::geometry::Point;
use crate::size::Subject;

/// Shoulder before the text, mm.
const SHOULDER: f64 = 3.0;
/// Where the leaders leave the level, mm off the outline.
const LEAVE: f64 = 2.0;
/// Where the shoulders begin, mm off the outline.
const ARRIVE: f64 = 9.0;
/// Text above its shoulder, mm.
pub(super) const TEXT_GAP: f64 = 1.3;
/// Clear height between one text and the shoulder above it, mm.
pub(super) const CLEAR: f64 = 1.3;
/// Gap before a second value, mm.
const SECOND_GAP: f64 = 2.2;
/// Least distance of two leaders where they leave the view, mm.
const APART: f64 = 1.4;

/// A value called out by a leader.
#[derive(Debug, Clone, PartialEq)]
pub struct Called {
    /// Id of its group, unique on the sheet.
    pub group: String,
    /// What its group shows.
    pub subject: Subject,
    /// Where the arrow's tip touches the part.
    pub target: Point,
    /// By how much higher than its target the leader leaves the view, mm.
    pub rise: f64,
    /// What is written.
    pub label: Label,
    /// A second value that follows on the same shoulder, such as a chamfer's angle: group, subject and label.
    pub second: Option<(String, Subject, Label)>,
    /// Whether the second value stands under the shoulder.
    pub stacked: bool,
}

impl Called {
    /// y at which the leader would best leave the view.
    fn leaves(&self) -> f64 {
        self.target.y + self.rise
    }

    pub(super) fn width(&self) -> f64 {
        match &self.second {
            Some((.., second)) if self.stacked => self.label.width.max(second.width),
            Some((.., second)) => self.label.width + SECOND_GAP + second.width,
            None => self.label.width,
        }
    }

    /// The second value beside the first on the same shoulder.
    fn beside(&self) -> Option<&(String, Subject, Label)> {
        self.second.as_ref().filter(|_| !self.stacked)
    }

    pub(super) fn above(&self) -> f64 {
        self.drop() + self.beside().map_or(self.label.above, |s| s.2.above.max(self.label.above))
    }

    pub(super) fn below(&self) -> f64 {
        self.beside().map_or(self.label.below, |s| s.2.below.max(self.label.below))
    }

    /// Height that a second value under the shoulder takes, mm.
    pub(super) fn drop(&self) -> f64 {
        let under = self.second.as_ref().filter(|_| self.stacked);
        under.map_or(0.0, |s| s.2.above + s.2.below + CLEAR)
    }
}

impl Called {
    /// The leader over these bends, the last of which begins the shoulder; the shoulder ends at the x `far`, the text begins at `start`.
    pub(super) fn drawn(&self, bends: &[Point], far: f64, start: f64) -> Group {
        let mut group = Group { subject: Some(self.subject), ..Group::new(self.group.clone()) };
        let chain: Vec<Point> = std::iter::once(self.target).chain(bends.iter().copied()).collect();
        let knee = chain[chain.len() - 1];
        let at = |x: f64| Point::new(x, knee.y);
        // a second value owns its part of the shoulder, so that both texts stand over lines of their own
        let split = self.beside().map(|_| start + self.label.width + SECOND_GAP / 2.0);
        group.items.extend(mark::chain(&chain));
        let (left, right) = (knee.x.min(far), knee.x.max(far));
        group.items.push(mark::line(at(left), at(split.unwrap_or(right))));
        if let Some(direction) = bends.first().and_then(|bend| (self.target - *bend).unit()) {
            group.items.extend(mark::arrow(self.target, direction));
        }
        let baseline = at(start) + Point::new(0.0, TEXT_GAP + self.below());
        group.items.extend(self.label.items(baseline, 0.0));
        if let Some((id, subject, label)) = &self.second {
            let mut inner = Group { subject: Some(*subject), ..Group::new(id.clone()) };
            if let Some(split) = split {
                // both values on one line, the other unit of the first below it
                let beside = Point::new(self.label.width + SECOND_GAP, self.label.first_row());
                inner.items = label.items(baseline + beside, 0.0);
                inner.items.push(mark::line(at(split), at(right)));
            } else {
                inner.items = label.items(at(start) - Point::new(0.0, CLEAR + label.above), 0.0);
            }
            group.items.push(Item::Group(inner));
        }
        group
    }
}

/// Length of a shoulder on either side of an upright text, mm.
const UPRIGHT_SHOULDER: f64 = 2.0;
/// Distance of an upright shoulder from a target on the left, whose text stands on the far side of it, mm.
const UPRIGHT_OFF: f64 = 5.0;
/// How far outside the view a leader along the radius ends, mm.
const RADIAL: f64 = 6.0;

impl Called {
    /// Beside a round view about the origin, of this radius: a leader level with its target, and the value upright along the outline, to be read
    /// from the right. `None` where a second value stands on the same shoulder.
    pub fn upright(&self, radius: f64) -> Option<Group> {
        if self.beside().is_some() {
            return None;
        }
        let (side, rise) = (self.target.x.signum(), self.target.y.signum());
        // values stand to the left of the shoulder, a second one under it to the right
        let inner = if side > 0.0 { TEXT_GAP + self.label.below + self.label.above } else { self.drop() };
        let outline = (radius * radius - self.target.y * self.target.y).max(0.0).sqrt();
        let knee = Point::new(side * (outline + (inner + CLEAR).max(UPRIGHT_OFF)), self.target.y);
        let far = knee + Point::new(0.0, rise * (UPRIGHT_SHOULDER + self.width()));
        let foot = knee.y.min(far.y) + if rise > 0.0 { UPRIGHT_SHOULDER } else { 0.0 };
        let mut group = Group { subject: Some(self.subject), ..Group::new(self.group.clone()) };
        group.items.extend(mark::chain(&[self.target, knee, far]));
        group.items.extend(mark::arrow(self.target, Point::new(-side, 0.0)));
        group.items.extend(self.label.items(Point::new(knee.x - TEXT_GAP - self.label.below, foot), 90.0));
        if let Some((id, subject, label)) = &self.second {
            let items = label.items(Point::new(knee.x + CLEAR + label.above, foot), 90.0);
            group.items.push(Item::Group(Group { subject: Some(*subject), items, ..Group::new(id.clone()) }));
        }
        Some(group)
    }

    /// Above a round view about the origin, of this radius: a short leader along the radius, and the value outwards of it.
    pub fn radial(&self, radius: f64) -> Group {
        let side = self.target.x.signum();
        let knee = self.target.unit().unwrap_or_default() * (radius + RADIAL);
        let far = knee.x + side * (UPRIGHT_SHOULDER + self.width());
        self.drawn(&[knee], far, if side > 0.0 { knee.x + UPRIGHT_SHOULDER } else { far })
    }
}

/// By how much a column beside a small detail may be higher than it, upwards and downwards, mm: two rows of lettering.
pub const SPARE: f64 = 8.0;

/// A column of called-out values left or right of a view.
#[derive(Debug, Clone)]
pub struct Column {
    /// 1 for a column to the right, −1 to the left.
    pub towards: f64,
    /// x of the view's outline on that side.
    pub edge: f64,
    /// Lowest y of any text or shoulder.
    pub low: f64,
    /// Highest y of any text.
    pub high: f64,
    /// What to call out.
    pub called: Vec<Called>,
}

impl Column {
    /// Draws everything; `None` where it does not fit between `low` and `high`, or leaders would cross.
    pub fn fill(&self) -> Option<Vec<Group>> {
        self.filled().or_else(|| {
            let called = self.called.iter().map(|c| Called { rise: 0.0, ..c.clone() }).collect();
            Column { called, ..self.clone() }.filled()
        })
    }

    fn filled(&self) -> Option<Vec<Group>> {
        let mut order: Vec<&Called> = self.called.iter().collect();
        order.sort_by(|a, b| a.leaves().total_cmp(&b.leaves()));
        let shoulders = self.shoulders(&order)?;
        let wished: Vec<f64> = order.iter().map(|c| c.leaves()).collect();
        let x = self.edge + self.towards * LEAVE;
        let leave: Vec<Point> = lanes::spread(&wished, APART).into_iter().map(|y| Point::new(x, y)).collect();
        let crosses = |i: usize, j: usize| cross((order[i].target, leave[i]), (order[j].target, leave[j]));
        if (0..order.len()).any(|i| (0..i).any(|j| crosses(i, j))) {
            return None;
        }
        Some(order.iter().zip(leave.iter().zip(&shoulders)).map(|(c, (l, &s))| self.draw(c, l.y, s)).collect())
    }

    /// y of each shoulder, from the lowest up.
    fn shoulders(&self, order: &[&Called]) -> Option<Vec<f64>> {
        let mut from_first = vec![0.0];
        for c in order {
            let last = from_first[from_first.len() - 1];
            from_first.push(last + c.above() + c.below() + TEXT_GAP + CLEAR);
        }
        let total = from_first.pop()?;
        if total > self.high - self.low {
            return None;
        }
        let wished: Vec<f64> = order.iter().map(|c| c.leaves()).collect();
        let mut y = lanes::spread_by(&wished, &from_first);
        // clamping to the two packed limits keeps every distance
        for (i, v) in y.iter_mut().enumerate() {
            *v = v.max(self.low + from_first[i]).min(self.high - (total - from_first[i]));
        }
        Some(y)
    }

    fn draw(&self, called: &Called, leave: f64, shoulder: f64) -> Group {
        let x = |off: f64| self.edge + self.towards * off;
        let (near, far) = (x(ARRIVE), x(ARRIVE + SHOULDER + called.width()));
        let start = if self.towards > 0.0 { x(ARRIVE + SHOULDER) } else { far };
        let bends = [Point::new(x(LEAVE), leave), Point::new(near, shoulder + called.drop())];
        called.drawn(&bends, far, start)
    }
}

/// Whether two segments cross or touch, common ends excepted.
fn cross(a: (Point, Point), b: (Point, Point)) -> bool {
    let side = |l: (Point, Point), p: Point| (l.1 - l.0).cross(p - l.0);
    let apart = |l: (Point, Point), m: (Point, Point)| side(l, m.0) * side(l, m.1) <= 0.0;
    let common = a.0 == b.0 || a.1 == b.1;
    !common && apart(a, b) && apart(b, a)
}

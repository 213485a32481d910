//! Whether the section and the views of the sides lie where the sign of the projection method puts them (ISO 5456-2), read from the axes and edges
//! drawn: views beside one another stand on one axis, at one scale, each on its side; any other is named by a view arrow at the section.

use super::collect::Parts;
use super::{Rule, Violation};
use crate::drawing::LineRole;
use crate::geometry::{Bounds, Point};
use crate::order::Projection;
use crate::size::Subject;
use crate::tolerance::SAME_CENTRE;

/// The views that projection binds, in the order in which they stand from left to right in the third angle, with the arrow that names them.
const BOUND: [(&str, Option<&str>); 3] =
    [("view-side-a", Some("view-arrow-a")), ("view-section", None), ("view-side-b", Some("view-arrow-b"))];

/// The place of the section among them.
const SECTION: usize = 1;

/// A view as it lies on its sheet.
struct Lying {
    /// Its place in the third angle.
    place: usize,
    /// Height of the wheel's axis, mm.
    axis: f64,
    /// The box around its edges.
    part: Bounds,
    /// Greatest distance of an edge from the axis, mm.
    reach: f64,
}

/// All violations over all sheets.
pub fn check(sheets: &[Parts], projection: Projection) -> Vec<Violation> {
    let mut found = Vec::new();
    for (i, parts) in sheets.iter().enumerate() {
        let lying: Vec<Lying> = (0..BOUND.len()).filter_map(|place| lying(parts, place)).collect();
        let beside_section = lying.iter().any(|l| l.place == SECTION);
        for (k, right) in lying.iter().enumerate() {
            let add = |what| Violation { rule: Rule::Projection, sheet: i + 1, at: right.part.centre(), what };
            found.extend(lying[..k].iter().filter_map(|left| wrong(left, right, projection)).map(add));
            if !beside_section && !is_named(sheets, right.place) {
                found.push(add(format!("`{}` stands without the section and no arrow names it", BOUND[right.place].0)));
            }
        }
    }
    found
}

/// The view as drawn: its level centre line and its edges.
fn lying(parts: &Parts, place: usize) -> Option<Lying> {
    let top = parts.tops.iter().position(|t| t.id == BOUND[place].0)?;
    let of = |role: LineRole| parts.pieces.iter().filter(move |p| p.top == top && p.role == Some(role));
    let axis = of(LineRole::Axis).find(|p| p.from.y == p.to.y)?.from.y;
    let part = of(LineRole::Visible).map(|p| Bounds::of(p.from, p.to)).reduce(Bounds::union)?;
    // a view along the axis has an upright centre line too
    let centre = of(LineRole::Axis).find(|p| p.from.x == p.to.x).map(|p| p.from.x);
    let off = |p: Point| Point::new(centre.map_or(0.0, |x| p.x - x), p.y - axis).length();
    let reach = of(LineRole::Visible).flat_map(|p| [off(p.from), off(p.to)]).fold(0.0, f64::max);
    Some(Lying { place, axis, part, reach })
}

/// What is wrong with two views of one sheet; the first stands left in the third angle.
fn wrong(left: &Lying, right: &Lying, projection: Projection) -> Option<String> {
    let apart = left.part.min.y > right.part.max.y || right.part.min.y > left.part.max.y;
    if apart {
        return None;
    }
    let names = format!("`{}` and `{}`", BOUND[left.place].0, BOUND[right.place].0);
    let ordered = (left.part.centre().x < right.part.centre().x) == (projection == Projection::Third);
    if !ordered {
        return Some(format!("{names} stand the other way round in the {projection:?} angle"));
    }
    if (left.axis - right.axis).abs() > SAME_CENTRE {
        return Some(format!("{names} lie beside each other with their axes {:.2} mm apart", left.axis - right.axis));
    }
    ((left.reach - right.reach).abs() > SAME_CENTRE).then(|| format!("{names} lie beside each other and are not at one scale"))
}

/// Whether the section has an arrow in whose direction a side is seen; the section itself needs none.
fn is_named(sheets: &[Parts], place: usize) -> bool {
    let Some(arrow) = BOUND[place].1 else { return true };
    let owners = sheets.iter().flat_map(|s| &s.owners);
    owners.filter(|o| o.subject == Subject::Mark(arrow)).any(|o| !o.tips.is_empty())
}

//! Whether the section and the views of the sides lie where the sign of the projection method puts them (ISO 5456-2), read from the axes and edges
//! drawn: on every sheet that shows a side stands a section, all of them on one axis, at one scale, each on its side. Sides on another sheet than
//! the section with the sizes are named there by view arrows.

use super::collect::Parts;
use super::{Rule, Violation};
use crate::drawing::LineRole;
use crate::geometry::{Bounds, Point};
use crate::order::Projection;
use crate::size::Subject;
use crate::tolerance::SAME_CENTRE;

/// The views that projection binds.
const SIDE_A: &str = "view-side-a";
const SIDE_B: &str = "view-side-b";
const SECTION: &str = "view-section";
const PLAIN_SECTION: &str = "view-section-plain";
/// Each of them with its place from left to right in the third angle, and the arrow that names it.
const BOUND: [(&str, u8, Option<&str>); 4] = [
    (SIDE_A, 0, Some("view-arrow-a")),
    (SECTION, 1, None),
    (PLAIN_SECTION, 1, None),
    (SIDE_B, 2, Some("view-arrow-b")),
];

/// A view as it lies on its sheet.
struct Lying {
    id: &'static str,
    /// Its place in the third angle.
    place: u8,
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
        let lying: Vec<Lying> = BOUND.iter().filter_map(|(id, place, _)| lying(parts, id, *place)).collect();
        let has = |id: &str| lying.iter().any(|l| l.id == id);
        for (k, right) in lying.iter().enumerate() {
            let add = |what| Violation { rule: Rule::Projection, sheet: i + 1, at: right.part.centre(), what };
            found.extend(lying[..k].iter().filter_map(|left| wrong(left, right, projection)).map(add));
            let Some(arrow) = BOUND.iter().find(|b| b.0 == right.id).and_then(|b| b.2) else { continue };
            if !has(SECTION) && !has(PLAIN_SECTION) {
                found.push(add(format!("`{}` stands in line with no section", right.id)));
            } else if !has(SECTION) && !is_named(sheets, arrow) {
                found.push(add(format!("`{}` stands apart from the section and no arrow names it", right.id)));
            }
        }
    }
    found
}

/// The view as drawn: its level centre line and its edges.
fn lying(parts: &Parts, id: &'static str, place: u8) -> Option<Lying> {
    let top = parts.tops.iter().position(|t| t.id == id)?;
    let of = |role: LineRole| parts.pieces.iter().filter(move |p| p.top == top && p.role == Some(role));
    let axis = of(LineRole::Axis).find(|p| p.from.y == p.to.y)?.from.y;
    let part = of(LineRole::Visible).map(|p| Bounds::of(p.from, p.to)).reduce(Bounds::union)?;
    // a view along the axis has an upright centre line too
    let centre = of(LineRole::Axis).find(|p| p.from.x == p.to.x).map(|p| p.from.x);
    let off = |p: Point| Point::new(centre.map_or(0.0, |x| p.x - x), p.y - axis).length();
    let reach = of(LineRole::Visible).flat_map(|p| [off(p.from), off(p.to)]).fold(0.0, f64::max);
    Some(Lying { id, place, axis, part, reach })
}

/// What is wrong with two views of one sheet; the first stands left in the third angle.
fn wrong(left: &Lying, right: &Lying, projection: Projection) -> Option<String> {
    let names = format!("`{}` and `{}`", left.id, right.id);
    if left.place == right.place {
        return Some(format!("{names} stand on one sheet"));
    }
    if (left.axis - right.axis).abs() > SAME_CENTRE {
        return Some(format!("{names} are not in line: their axes lie {:.2} mm apart", left.axis - right.axis));
    }
    let ordered = (left.part.centre().x < right.part.centre().x) == (projection == Projection::Third);
    if !ordered {
        return Some(format!("{names} stand the other way round in the {projection:?} angle"));
    }
    ((left.reach - right.reach).abs() > SAME_CENTRE).then(|| format!("{names} are not at one scale"))
}

/// Whether the section with the sizes has an arrow in whose direction a side is seen.
fn is_named(sheets: &[Parts], arrow: &str) -> bool {
    let owners = sheets.iter().flat_map(|s| &s.owners);
    owners.filter(|o| matches!(o.subject, Subject::Mark(name) if name == arrow)).any(|o| !o.tips.is_empty())
}

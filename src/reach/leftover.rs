//! Stone behind a nose that touches the section in two places, in words.

use super::size;
use crate::geometry::Point;
use crate::language::Language;
use crate::quantity::{Written, fixed};
use crate::section::Feature;

/// Material the nose cannot reach.
#[derive(Debug, Clone, PartialEq)]
pub struct Leftover {
    /// What is not finished there.
    pub features: Vec<Feature>,
    /// The finished shape's point farthest from the nose, in the profile's frame (x along the axis, y the radius).
    pub at: Point,
    /// How much is left there, mm.
    pub most: f64,
    /// Area left in the half-section, mm².
    pub area: f64,
    /// Whether something that was ordered is missed: a fillet, or a whole wall or floor. A sharp inner corner keeps the nose's radius and is none.
    pub ordered: bool,
}

impl Leftover {
    /// The order's field that asks for it: its fillet, where it has one or might.
    pub fn field(&self) -> String {
        let corner = self.features.iter().find_map(|f| match *f {
            Feature::RecessFillet(side, i) => Some(Feature::RecessFillet(side, i)),
            Feature::RecessWall(side, i) | Feature::RecessFloor(side, i) if !self.ordered => Some(Feature::RecessFillet(side, i)),
            _ => None,
        });
        corner.or(self.features.first().copied()).map_or_else(String::new, Feature::field)
    }

    /// The sentence for a nose of this radius, mm: a corner ordered sharp keeps the nose's radius, and what is ordered otherwise is missed.
    pub fn words(&self, radius: f64, w: &Written, language: Language) -> String {
        let size = |mm: f64| size(w, mm);
        let (radius, diameter, deep) = (size(radius), size(2.0 * self.at.y), size(self.at.x));
        if self.ordered {
            let mut words: Vec<String> = self.features.iter().map(|f| f.words()).collect();
            words.dedup();
            return format!(
                "A nose radius of {radius} does not reach {} at diameter {diameter}, {deep} from side A: {} is left ({} mm2 of the section).",
                words.join(", "),
                size(self.most),
                fixed(self.area, 4)
            );
        }
        let of_recess = self.features.iter().find_map(|f| match *f {
            Feature::RecessWall(side, i) | Feature::RecessFloor(side, i) => Some((side, i)),
            _ => None,
        });
        let left = size(self.most);
        match of_recess {
            Some((side, i)) => language.put(
                "left.sharp",
                &[("step", &(i + 1).to_string()), ("side", side.letter()), ("radius", &radius), ("left", &left)],
            ),
            None => language.put("left.corner", &[("radius", &radius), ("diameter", &diameter), ("deep", &deep), ("left", &left)]),
        }
    }
}

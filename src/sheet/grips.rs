//! Where sizes can be taken hold of on a view: places on paper that move with a size, for whoever drags them.

use super::view::Scale;
use crate::geometry::Point;
use crate::section::Section;
use crate::size::{GrooveSet, GrooveSize, SideName, Size};
use crate::wheel::Wheel;

/// A place on paper that moves with a size, mm, y up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grip {
    /// The size.
    pub size: Size,
    /// Its value, mm.
    pub value: f64,
    /// The place.
    pub at: Point,
    /// How the place moves for each mm the size grows.
    pub along: Point,
}

/// The grips as they lie on a view of this scale that has been moved by `by`.
pub fn on_paper(grips: Vec<Grip>, scale: Scale, by: Point) -> Vec<Grip> {
    let factor = scale.factor();
    grips.into_iter().map(|g| Grip { at: g.at * factor + by, along: g.along * factor, ..g }).collect()
}

/// Diameters, depths and the thickness, in the section, mm of the wheel: x is z, y the distance from the axis.
pub fn in_section(wheel: &Wheel, section: &Section) -> Vec<Grip> {
    let (middle, bore) = (wheel.thickness / 2.0, wheel.bore_radius());
    let mut found = vec![
        diameter(Size::OutsideDiameter, wheel.outside_diameter, middle),
        diameter(Size::Bore, wheel.bore, middle),
        Grip {
            size: Size::Thickness,
            value: wheel.thickness,
            at: Point::new(wheel.thickness, -(bore + wheel.outside_radius()) / 2.0),
            along: Point::new(1.0, 0.0),
        },
    ];
    for name in SideName::BOTH {
        let (side, inwards) = (wheel.side(name), if name == SideName::A { 1.0 } else { -1.0 });
        let z = |depth: f64| if name == SideName::A { depth } else { wheel.thickness - depth };
        found.extend(diameters(wheel, name).into_iter().map(|(size, value)| {
            let r = value / 2.0;
            diameter(size, value, z(section.profile(name).depth_at(r).min(side.nominal_depth(r))))
        }));
        for (i, step) in side.recess.iter().enumerate() {
            let inner = side.recess.get(i + 1).map_or(bore, |next| next.diameter / 2.0);
            let at = Point::new(z(step.depth), -(step.diameter / 2.0 + inner) / 2.0);
            found.push(Grip { size: Size::RecessDepth(name, i), value: step.depth, at, along: Point::new(inwards, 0.0) });
        }
        if let Some(taper) = side.taper.filter(|taper| is_on(wheel, taper.to_diameter)) {
            let at = Point::new(z(taper.depth), -taper.to_diameter / 2.0);
            found.push(Grip { size: Size::TaperDepth(name), value: taper.depth, at, along: Point::new(inwards, 0.0) });
        }
    }
    found
}

/// Diameters, on a side seen from outside: circles are taken hold of to the right of the centre.
pub fn on_side(wheel: &Wheel, side: SideName) -> Vec<Grip> {
    let all = [(Size::OutsideDiameter, wheel.outside_diameter), (Size::Bore, wheel.bore)].into_iter().chain(diameters(wheel, side));
    all.map(|(size, value)| Grip { size, value, at: Point::new(value / 2.0, 0.0), along: Point::new(0.5, 0.0) }).collect()
}

fn diameter(size: Size, value: f64, x: f64) -> Grip {
    Grip { size, value, at: Point::new(x, value / 2.0), along: Point::new(0.0, 0.5) }
}

/// The diameters of a side that lie on the wheel.
fn diameters(wheel: &Wheel, name: SideName) -> Vec<(Size, f64)> {
    let side = wheel.side(name);
    let steps = side.recess.iter().enumerate().map(|(i, step)| (Size::RecessDiameter(name, i), step.diameter));
    let taper = side.taper.iter().flat_map(|t| [(Size::TaperFrom(name), t.from_diameter), (Size::TaperTo(name), t.to_diameter)]);
    let grooves = side.grooves.iter().flat_map(|g| {
        let size = |end| Size::Groove(GrooveSet::Side(name), end);
        let ends = [Some((size(GrooveSize::InnerDiameter), g.inner_diameter)), g.outer_diameter.map(|d| (size(GrooveSize::OuterDiameter), d))];
        ends.into_iter().flatten()
    });
    steps.chain(taper).chain(grooves).filter(|(_, value)| is_on(wheel, *value)).collect()
}

fn is_on(wheel: &Wheel, diameter: f64) -> bool {
    (wheel.bore..=wheel.outside_diameter).contains(&diameter)
}

#[cfg(test)]
mod tests {
    use super::super::alone::{Look, alone_with_grips};
    use super::*;

    fn grips(text: &str, look: Look) -> Vec<Grip> {
        let job = crate::rules::ShopRules::built_in().open(text.as_bytes()).unwrap();
        let section = Section::of(&job.wheel).unwrap();
        alone_with_grips(&job, &section, look).unwrap().1
    }

    #[test]
    fn a_grip_moves_with_its_size_as_it_says() {
        let text = include_str!("../../demo-data/1042.json");
        let recess = Size::RecessDiameter(SideName::A, 0);
        let inner = Size::Groove(GrooveSet::Side(SideName::A), GrooveSize::InnerDiameter);
        let changes = [
            (Look::Section, recess, "\"diameter\": 16", "\"diameter\": 16.5", 12.7),
            (Look::Section, Size::RecessDepth(SideName::A, 0), "\"depth\": 0.375", "\"depth\": 0.4", 0.635),
            (Look::Side(SideName::A), recess, "\"diameter\": 16", "\"diameter\": 16.5", 12.7),
            (Look::Side(SideName::A), inner, "\"inner_diameter\": 17, \"inner_end\"", "\"inner_diameter\": 17.25, \"inner_end\"", 6.35),
        ];
        for (look, size, from, to, grown) in changes {
            let of = |text: &str| grips(text, look).into_iter().find(|g| g.size == size).unwrap_or_else(|| panic!("{size} has no grip"));
            let (before, after) = (of(text), of(&text.replace(from, to)));
            assert!((after.value - before.value - grown).abs() < 1e-9, "{size}: {before:?} {after:?}");
            assert!((after.at - before.at - before.along * grown).length() < 1e-9, "{size}: {before:?} {after:?}");
        }
    }

    #[test]
    fn every_size_that_is_asked_for_has_one_in_the_section() {
        let found = grips(include_str!("../../demo-data/1042.json"), Look::Section);
        let wanted = [Size::OutsideDiameter, Size::Bore, Size::Thickness, Size::TaperFrom(SideName::A), Size::TaperTo(SideName::A),
            Size::TaperDepth(SideName::A), Size::RecessDiameter(SideName::A, 1), Size::RecessDepth(SideName::A, 1)];
        for size in wanted {
            assert_eq!(found.iter().filter(|g| g.size == size).count(), 1, "{size}");
        }
    }
}

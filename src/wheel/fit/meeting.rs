//! Whether anything is left between the two sides.

use super::{Check, step_name};
use crate::tolerance::SAME_LENGTH;
use crate::wheel::SideName;

/// What bounds a side at one radius.
struct Surface {
    depth: f64,
    what: String,
    field: String,
}

impl Check<'_> {
    /// A side at radius r, looked at from inside (`true`) or outside of it; fillets, which only add material, left aside.
    fn surface(&self, name: SideName, r: f64, inside: bool) -> Surface {
        let side = self.wheel.side(name);
        let (letter, at) = (name.letter(), format!("/wheel/{}", name.key()));
        let covers = |d: f64| if inside { r <= d / 2.0 + SAME_LENGTH } else { r < d / 2.0 - SAME_LENGTH };
        if let Some((i, s)) = side.recess.iter().enumerate().rev().find(|(_, s)| covers(s.diameter)) {
            return Surface { depth: s.depth, what: step_name(side, name, i), field: format!("{at}/recess/{i}/depth") };
        }
        if let Some(depth) = self.corner_depth(name, r) {
            return Surface { depth, what: format!("the corner of side {letter}"), field: format!("{at}/corner") };
        }
        match side.taper {
            Some(t) => Surface {
                depth: t.depth_at(r),
                what: format!("the taper of side {letter}"),
                field: format!("{at}/taper"),
            },
            None => Surface { depth: 0.0, what: format!("side {letter}"), field: at },
        }
    }

    /// Radii between which both sides are straight or bulge outwards, so that they come nearest at one of them.
    fn radii(&self) -> Vec<f64> {
        let (bore, outside) = (self.wheel.bore_radius(), self.wheel.outside_radius());
        let mut radii = vec![bore, outside];
        for name in SideName::BOTH {
            let side = self.wheel.side(name);
            radii.extend(side.recess.iter().map(|s| s.diameter / 2.0));
            radii.extend(side.taper.iter().flat_map(|t| [t.from_diameter / 2.0, t.to_diameter / 2.0]));
            radii.extend(self.corner_begin(name));
        }
        radii.retain(|r| (bore..=outside).contains(r));
        radii.sort_by(f64::total_cmp);
        radii
    }

    /// Notes the first place, from the bore outwards, where the two sides leave nothing between them.
    pub(super) fn sides_meet(&mut self) {
        let (bore, outside) = (self.wheel.bore_radius(), self.wheel.outside_radius());
        let has_corner = SideName::BOTH.into_iter().any(|n| self.wheel.side(n).corner.is_some());
        for (r, inside) in self.radii().into_iter().flat_map(|r| [(r, true), (r, false)]) {
            // there is no wheel inside the bore and outside the outside diameter; corners on the rim have their own check
            let beyond = inside && r <= bore || !inside && r >= outside || r >= outside && has_corner;
            let [a, b] = SideName::BOTH.map(|name| self.surface(name, r, inside));
            if beyond || a.depth + b.depth < self.wheel.thickness - SAME_LENGTH {
                continue;
            }
            let message = format!(
                "{} ({} deep) and {} ({} deep) meet at diameter {}: the wheel is {} thick",
                a.what,
                self.show(a.depth),
                b.what,
                self.show(b.depth),
                self.show(2.0 * r),
                self.show(self.wheel.thickness)
            );
            let field = if a.depth >= b.depth { a.field } else { b.field };
            self.add(field, message, "make the two depths together smaller than the thickness");
            return;
        }
    }

    pub(super) fn bore_chamfer(&mut self) {
        let c = self.wheel.bore_chamfer;
        if c <= 0.0 {
            return;
        }
        let (bore, outside) = (self.wheel.bore_radius(), self.wheel.outside_radius());
        let mut left = self.wheel.thickness;
        for name in SideName::BOTH {
            let side = self.wheel.side(name);
            let corner = self.corner_begin(name).unwrap_or(outside);
            let (end, depth, what) = match side.recess.last() {
                Some(s) => (s.diameter / 2.0 - s.fillet_radius, s.depth, "the recess floor of"),
                None => {
                    let kinks = side.taper.iter().flat_map(|t| [t.from_diameter / 2.0, t.to_diameter / 2.0]);
                    let end = kinks.filter(|&k| k > bore + SAME_LENGTH).fold(corner, f64::min);
                    (end, side.nominal_depth(bore), "the flat of")
                }
            };
            left -= depth;
            if c > end - bore + SAME_LENGTH {
                let (c, has) = (self.show(c), self.show(end - bore));
                let message = format!("the bore chamfer {c} is larger than {what} side {}, {has} wide", name.letter());
                self.add("/wheel/bore_chamfer", message, format!("give at most {has}"));
            }
        }
        if 2.0 * c > left + SAME_LENGTH && left > SAME_LENGTH {
            let (c, left) = (self.show(c), self.show(left));
            let message = format!("the bore chamfers, {c} at both ends, meet: the wheel is {left} thick at the bore");
            self.add("/wheel/bore_chamfer", message, "give at most half of that thickness");
        }
    }
}

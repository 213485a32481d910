//! Whether grooves can be cut where they are ordered.

use super::Check;
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{FaceBottom, FaceGrooves, InnerEnd, SideGrooves, SideName};

impl Check<'_> {
    pub(super) fn grooves(&mut self) {
        for name in SideName::BOTH {
            if let Some(grooves) = &self.wheel.side(name).grooves {
                self.side_grooves(name, grooves);
            }
        }
        if let Some(grooves) = &self.wheel.face {
            self.face_grooves(grooves);
        }
    }

    fn side_grooves(&mut self, name: SideName, g: &SideGrooves) {
        let at = format!("/wheel/{}/grooves", name.key());
        let before = self.found.len();
        self.groove_ends(name, g, &at);
        self.groove_depth(name, g, &at);
        if self.found.len() == before {
            self.groove_lands(name, g, &at);
            self.runout(name, g, &at);
            self.round_end(name, g, &at);
        }
    }

    fn groove_ends(&mut self, name: SideName, g: &SideGrooves, at: &str) {
        let (d, side) = (self.wheel.outside_diameter, name.letter());
        let (inner, outside) = (self.show(g.inner_diameter), self.show(d));
        if g.inner_diameter >= d - SAME_LENGTH {
            let message = format!(
                "the grooves of side {side} begin at diameter {inner}, not inside the outside diameter {outside}"
            );
            self.add(format!("{at}/inner_diameter"), message, "give an inner diameter below the outside diameter");
        }
        if let Some(outer) = g.outer_diameter {
            if outer <= g.inner_diameter + SAME_LENGTH {
                let outer = self.show(outer);
                let message = format!(
                    "the grooves of side {side} end at diameter {outer}, not outside their beginning at {inner}"
                );
                self.add(format!("{at}/outer_diameter"), message, "give an outer diameter above the inner one");
            } else if outer > d + SAME_LENGTH {
                let outer = self.show(outer);
                let message =
                    format!("the grooves of side {side} end at diameter {outer}, outside the wheel's {outside}");
                self.add(format!("{at}/outer_diameter"), message, "leave it out to run through the outside diameter");
            }
        }
        let foot = d * g.skew_deg.to_radians().sin().abs();
        if g.inner_diameter < foot + SAME_LENGTH {
            let message = format!(
                "grooves of side {side} skewed by {}° never come nearer to the axis than diameter {}, but should begin at {inner}",
                crate::quantity::trimmed(g.skew_deg, 4),
                self.show(foot)
            );
            self.add(format!("{at}/skew_deg"), message, "give less skew or a larger inner diameter");
        }
    }

    fn groove_depth(&mut self, name: SideName, g: &SideGrooves, at: &str) {
        let (t, depth) = (self.wheel.thickness, g.depth);
        let nominal = [g.inner_diameter, g.outer_diameter.unwrap_or(self.wheel.outside_diameter)]
            .map(|d| self.wheel.side(name).nominal_depth(d / 2.0))
            .into_iter()
            .fold(0.0, f64::max);
        if nominal < t && depth + nominal >= t - SAME_LENGTH {
            let message = format!(
                "the grooves of side {} reach {} below its datum plane, but the wheel is {} thick",
                name.letter(),
                self.show(depth + nominal),
                self.show(t)
            );
            self.add(format!("{at}/depth"), message, "give a depth below the thickness");
        }
    }

    /// Neighbouring grooves may run into each other inside, but must leave a land at their outer end.
    fn groove_lands(&mut self, name: SideName, g: &SideGrooves, at: &str) {
        let outer = g.outer_diameter.unwrap_or(self.wheel.outside_diameter);
        let skew = g.skew_deg.to_radians().cos();
        let pitch = if g.pattern.places > 1 {
            outer * (std::f64::consts::PI / f64::from(g.pattern.places)).sin()
        } else {
            outer
        };
        if g.width > pitch * skew + SAME_LENGTH {
            let message = format!(
                "{} grooves of side {}, {} wide, leave no land at diameter {}, where they are {} apart",
                g.pattern.places,
                name.letter(),
                self.show(g.width),
                self.show(outer),
                self.show(pitch * skew)
            );
            self.add(format!("{at}/width"), message, "give fewer or narrower grooves");
        }
    }

    fn runout(&mut self, name: SideName, g: &SideGrooves, at: &str) {
        let InnerEnd::Runout { cutter_diameter } = g.inner_end else { return };
        let side = name.letter();
        if g.depth > cutter_diameter / 2.0 + SAME_LENGTH {
            let (depth, cutter) = (self.show(g.depth), self.show(cutter_diameter));
            let message = format!("a cutter of diameter {cutter} cannot cut grooves {depth} deep on side {side}");
            self.add(format!("{at}/cutter_diameter"), message, "give a cutter of more than twice the depth");
            return;
        }
        let rise = (g.depth * (cutter_diameter - g.depth)).sqrt();
        let length = (g.outer_diameter.unwrap_or(self.wheel.outside_diameter) - g.inner_diameter) / 2.0;
        if rise > length + SAME_LENGTH {
            let (rise, length) = (self.show(rise), self.show(length));
            let message = format!("the cutter's run-out on side {side} is {rise} long, but the groove only {length}");
            self.add(format!("{at}/cutter_diameter"), message, "give a smaller cutter, less depth or a longer groove");
        }
    }

    /// A round inner end is half a circle of the groove's width: it needs half a width of length.
    fn round_end(&mut self, name: SideName, g: &SideGrooves, at: &str) {
        if g.inner_end != InnerEnd::Round {
            return;
        }
        let foot = self.wheel.outside_diameter / 2.0 * g.skew_deg.to_radians().sin();
        let along = |d: f64| ((d / 2.0 - foot) * (d / 2.0 + foot)).max(0.0).sqrt();
        let length = along(g.outer_diameter.unwrap_or(self.wheel.outside_diameter)) - along(g.inner_diameter);
        if g.width / 2.0 > length + SAME_LENGTH {
            let message = format!(
                "the round inner end of the grooves of side {} is {} long, half their width, but the groove only {}",
                name.letter(),
                self.show(g.width / 2.0),
                self.show(length)
            );
            self.add(format!("{at}/inner_end"), message, "give a square end, narrower grooves or longer ones");
        }
    }

    fn face_grooves(&mut self, g: &FaceGrooves) {
        let at = "/wheel/face/grooves";
        let rim = (self.wheel.outside_diameter - self.wheel.bore) / 2.0;
        if g.depth >= rim - SAME_LENGTH {
            let (depth, rim) = (self.show(g.depth), self.show(rim));
            let message = format!(
                "the face grooves are {depth} deep, but the wheel has only {rim} between bore and outside diameter"
            );
            self.add(format!("{at}/depth"), message, "give a depth below that");
        }
        let d = self.wheel.outside_diameter;
        let pitch =
            if g.pattern.places > 1 { d * (std::f64::consts::PI / f64::from(g.pattern.places)).sin() } else { d };
        if g.transverse_width() >= pitch - SAME_LENGTH {
            let message = format!(
                "{} face grooves, {} wide around the wheel, leave no land: they are {} apart",
                g.pattern.places,
                self.show(g.transverse_width()),
                self.show(pitch)
            );
            self.add(format!("{at}/width"), message, "give fewer or narrower grooves");
            return;
        }
        self.face_lands(g, at);
    }

    /// Lands of the face are narrower at the floor than outside: where walls of neighbours cross above it, the land would be a loose piece.
    fn face_lands(&mut self, g: &FaceGrooves, at: &str) {
        let (half, places) = (g.transverse_width() / 2.0, f64::from(g.pattern.places));
        // the walls reach down to the floor, or to where a round bottom begins
        let round = if g.bottom == FaceBottom::Round { g.width / 2.0 } else { 0.0 };
        let foot = self.wheel.outside_diameter / 2.0 - g.depth + round;
        let crossing = half / (std::f64::consts::PI / places).tan();
        if places > 2.0 && crossing > foot + SAME_LENGTH {
            let message = format!(
                "{} face grooves, {} wide around the wheel, cut their lands loose {} above their floor",
                g.pattern.places,
                self.show(2.0 * half),
                self.show(crossing - foot)
            );
            self.add(format!("{at}/width"), message, "give fewer, narrower or shallower grooves");
        }
    }
}

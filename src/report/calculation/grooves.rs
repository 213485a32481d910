//! Grooves: what they leave and what they carry.

use super::Basis;
use crate::properties::planner::frequency;
use crate::properties::{GrooveNumbers, wall_left};
use crate::report::{Paper, Row, Value};

impl Basis<'_> {
    pub(super) fn grooves(&self, paper: &mut Paper) {
        let sets = &self.numbers.grooves;
        for (place, set) in [("side A", sets.side_a), ("side B", sets.side_b), ("the face", sets.face)] {
            if let Some(set) = set {
                paper.rows(format!("Grooves of {place}"), self.groove_rows(&set));
            }
        }
        let Some(wall) = wall_left(&self.job.wheel, self.section) else { return };
        let what = if wall.opposite_grooves { "between opposite grooves" } else { "under a groove" };
        let row = self.length("Least wall", wall.thickness).source(what);
        paper.rows("Wall left under the side grooves", vec![row, self.length("at diameter", 2.0 * wall.radius)]);
    }

    fn groove_rows(&self, set: &GrooveNumbers) -> Vec<Row> {
        let mut rows = vec![
            Row::new("Grooves", Value::number(f64::from(set.count), 0), "").symbol("N"),
            Row::new("Pitch", Value::number(set.pitch_deg, 4), "°"),
            self.length("Land at the outside diameter", set.land_outer),
            self.length("Land at the inner end", set.land_inner),
            Row::new("Land share", Value::number(100.0 * set.land_share, 1), "%"),
        ];
        rows.extend(set.merge_diameter.map(|d| self.length("Neighbours merge inside Ø", d)));
        let coolant = f64::from(set.count) * set.volume_each / 1000.0;
        rows.push(
            Row::new("Coolant carried in one revolution", Value::number(coolant, 1), "cm³").source("N × one groove"),
        );
        let places = (360.0 / set.pitch_deg).round() as u32;
        let hertz = self.job.machine.spindle_rpm.map(|n| frequency(places, n));
        rows.push(Row::new("Groove frequency", Value::optional(hertz, 0), "Hz").source("N·n/60"));
        rows
    }
}

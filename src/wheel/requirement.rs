//! Every number the altered wheel must meet, once each: what the drawing dimensions, the inspection sheet lists and the customer signs.

use super::model::{Bottom, Corner, FaceGrooves, InnerEnd, SideGrooves, SideName};
use super::{Characteristic, Deviation, Job};
use serde::Serialize;

/// What a required number measures, and so how it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// A diameter, mm: `Ø` before it.
    Diameter,
    /// A distance, mm.
    Length,
    /// A radius, mm: `R` before it.
    Radius,
    /// Leg of a chamfer along the radius, mm; its angle is a number of its own unless 45°.
    Chamfer,
    /// An angle, degrees.
    Angle,
    /// A whole number.
    Count,
}

/// One number the altered wheel must meet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Requirement {
    /// Name, unique on the wheel, such as `outside_diameter` or `side_a.recess.0.depth`: the `dimension` of its group on a drawing.
    pub id: String,
    /// Number from 1 in the order of the list: the same on drawing and inspection sheet.
    pub number: u32,
    /// Its letter in views and tables, unique on the wheel: that of ISO 525 where it has one, with the side and the step behind it where one
    /// letter would stand for several sizes.
    pub letter: String,
    /// What it is, in words.
    pub label: String,
    /// The order's field it comes from, as a JSON pointer.
    pub field: String,
    /// The nominal value: mm, degrees or a count.
    pub nominal: f64,
    /// What it measures.
    pub measure: Measure,
    /// Angle of a chamfer from the side, degrees; 45 for everything else.
    #[serde(skip)]
    pub chamfer_deg: f64,
    /// How many places of the wheel it holds for: 2 for a chamfer at both ends of the bore.
    pub places: u32,
    /// Its permitted deviation, mm or degrees; `None` where the order gives none.
    pub deviation: Option<Deviation>,
}

impl Requirement {
    /// Whether it is a chamfer of 45°, whose angle is written behind it and is no number of its own.
    pub fn plain_chamfer(&self) -> bool {
        self.measure == Measure::Chamfer && self.chamfer_deg == 45.0
    }
}

impl Job {
    /// Every number the altered wheel must meet: overall sizes, then side A, side B and the face, each from the outside in.
    pub fn requirements(&self) -> Vec<Requirement> {
        let mut list = List { job: self, found: Vec::new() };
        list.overall();
        for side in SideName::BOTH {
            list.side(side);
        }
        if let Some(grooves) = &self.wheel.face {
            list.face_grooves(grooves);
        }
        list.found
    }
}

struct List<'a> {
    job: &'a Job,
    found: Vec<Requirement>,
}

impl List<'_> {
    fn add(&mut self, id: &str, letter: String, label: String, nominal: f64, measure: Measure) -> &mut Requirement {
        let number = self.found.len() as u32 + 1;
        self.found.push(Requirement {
            id: id.to_owned(),
            number,
            letter,
            label,
            field: format!("/wheel/{}", id.replace('.', "/")),
            nominal,
            measure,
            chamfer_deg: 45.0,
            places: 1,
            deviation: None,
        });
        let last = self.found.len() - 1;
        &mut self.found[last]
    }

    fn tolerance(&self, what: Characteristic) -> Option<Deviation> {
        self.job.tolerances.get(what)
    }

    fn overall(&mut self) {
        let wheel = &self.job.wheel;
        for (id, letter, label, nominal, measure, what) in [
            (
                "outside_diameter",
                "D",
                "Outside diameter",
                wheel.outside_diameter,
                Measure::Diameter,
                Characteristic::OutsideDiameter,
            ),
            ("thickness", "T", "Thickness", wheel.thickness, Measure::Length, Characteristic::Thickness),
            ("bore", "H", "Bore", wheel.bore, Measure::Diameter, Characteristic::Bore),
        ] {
            let deviation = self.tolerance(what);
            self.add(id, letter.to_owned(), label.to_owned(), nominal, measure).deviation = deviation;
        }
        if wheel.bore_chamfer > 0.0 {
            let label = "Bore chamfer, both ends".to_owned();
            self.add("bore_chamfer", "CH".to_owned(), label, wheel.bore_chamfer, Measure::Chamfer).places = 2;
        }
    }

    /// The side's letter where the other side has such a feature too.
    fn suffix(&self, side: SideName, has: impl Fn(&super::Side) -> bool) -> &'static str {
        if has(self.job.wheel.side(side.other())) { side.letter() } else { "" }
    }

    fn side(&mut self, name: SideName) {
        let job = self.job;
        let side = job.wheel.side(name);
        let (key, letter) = (name.key(), name.letter());
        match side.corner {
            Some(Corner::Radius(radius)) => {
                let s = self.suffix(name, |s| matches!(s.corner, Some(Corner::Radius(_))));
                let label = format!("Corner radius, side {letter}");
                self.add(&format!("{key}.corner.radius"), format!("R{s}"), label, radius, Measure::Radius);
            }
            Some(Corner::Chamfer { run, angle_deg }) => {
                let s = self.suffix(name, |s| matches!(s.corner, Some(Corner::Chamfer { .. })));
                let label = format!("Corner chamfer, side {letter}");
                self.add(&format!("{key}.corner.chamfer"), format!("C{s}"), label, run, Measure::Chamfer).chamfer_deg =
                    angle_deg;
                if angle_deg != 45.0 {
                    let label = format!("Angle of the corner chamfer, side {letter}");
                    self.add(&format!("{key}.corner.angle_deg"), format!("CV{s}"), label, angle_deg, Measure::Angle);
                }
            }
            None => {}
        }
        self.taper(name);
        self.recess(name);
        if let Some(grooves) = &side.grooves {
            self.side_grooves(name, grooves);
        }
    }

    fn taper(&mut self, name: SideName) {
        let Some(taper) = self.job.wheel.side(name).taper else { return };
        let (key, letter) = (name.key(), name.letter());
        let s = self.suffix(name, |s| s.taper.is_some());
        let (bore, outside) = (self.job.wheel.bore, self.job.wheel.outside_diameter);
        // an end at or beyond the wheel's own edge needs no number of its own: the depth at that edge says it
        let inside = |diameter: f64| diameter > bore && diameter < outside;
        for (end, diameter, mark, label) in [
            ("from_diameter", taper.from_diameter, "K", "Flat up to the taper"),
            ("to_diameter", taper.to_diameter, "J", "End of the taper"),
        ] {
            if inside(diameter) {
                let label = format!("{label}, side {letter}");
                self.add(&format!("{key}.taper.{end}"), format!("{mark}{s}"), label, diameter, Measure::Diameter);
            }
        }
        let at_edge = |diameter: f64| taper.depth_at(diameter.clamp(bore, outside) / 2.0);
        let label = format!("Depth of the taper, side {letter}");
        self.add(&format!("{key}.taper.depth"), format!("N{s}"), label, at_edge(taper.to_diameter), Measure::Length);
        let start = at_edge(taper.from_diameter);
        if start > 0.0 {
            let label = format!("Depth at the beginning of the taper, side {letter}");
            let added = self.add(&format!("{key}.taper.from_depth"), format!("M{s}"), label, start, Measure::Length);
            added.field = format!("/wheel/{key}/taper/from_diameter");
        }
    }

    fn recess(&mut self, name: SideName) {
        let job = self.job;
        let steps = &job.wheel.side(name).recess;
        let s = self.suffix(name, |s| !s.recess.is_empty());
        let deep = if name == SideName::A || s.is_empty() { "F" } else { "G" };
        let (wide_dev, deep_dev) =
            (self.tolerance(Characteristic::RecessDiameter), self.tolerance(Characteristic::RecessDepth));
        for (i, step) in steps.iter().enumerate() {
            let n = if steps.len() > 1 { (i + 1).to_string() } else { String::new() };
            let at = format!("{}.recess.{i}", name.key());
            let words = if n.is_empty() { "Recess".to_owned() } else { format!("Recess step {n}") };
            let side = format!("side {}", name.letter());
            self.add(
                &format!("{at}.diameter"),
                format!("P{s}{n}"),
                format!("{words} diameter, {side}"),
                step.diameter,
                Measure::Diameter,
            )
            .deviation = wide_dev;
            self.add(
                &format!("{at}.depth"),
                format!("{deep}{n}"),
                format!("{words} depth, {side}"),
                step.depth,
                Measure::Length,
            )
            .deviation = deep_dev;
            if step.fillet_radius > 0.0 {
                let label = format!("{words} fillet, {side}");
                self.add(
                    &format!("{at}.fillet_radius"),
                    format!("r{s}{n}"),
                    label,
                    step.fillet_radius,
                    Measure::Radius,
                );
            }
        }
    }

    fn pattern(&mut self, at: &str, s: &str, of: &str, count: u32, pitch_deg: f64) {
        self.add(
            &format!("{at}.count"),
            format!("n{s}"),
            format!("Number of grooves, {of}"),
            f64::from(count),
            Measure::Count,
        );
        let deviation = self.tolerance(Characteristic::GroovePitchDeg);
        self.add(
            &format!("{at}.pitch_deg"),
            format!("p{s}"),
            format!("Groove pitch, {of}"),
            pitch_deg,
            Measure::Angle,
        )
        .deviation = deviation;
    }

    fn width_and_depth(&mut self, at: &str, s: &str, of: &str, width: f64, depth: f64) {
        let deviation = self.tolerance(Characteristic::GrooveWidth);
        self.add(&format!("{at}.width"), format!("b{s}"), format!("Groove width, {of}"), width, Measure::Length)
            .deviation = deviation;
        let deviation = self.tolerance(Characteristic::GrooveDepth);
        self.add(&format!("{at}.depth"), format!("t{s}"), format!("Groove depth, {of}"), depth, Measure::Length)
            .deviation = deviation;
    }

    fn side_grooves(&mut self, name: SideName, g: &SideGrooves) {
        let (at, s) = (format!("{}.grooves", name.key()), name.letter());
        let of = format!("side {s}");
        self.pattern(&at, s, &of, g.pattern.count(), g.pattern.pitch_deg());
        if g.pattern.start_deg != 0.0 {
            let label = format!("Direction of groove 1, {of}");
            self.add(&format!("{at}.start_deg"), format!("a{s}"), label, g.pattern.start_deg, Measure::Angle);
        }
        self.width_and_depth(&at, s, &of, g.width, g.depth);
        self.add(
            &format!("{at}.inner_diameter"),
            format!("d{s}"),
            format!("Groove inner end, {of}"),
            g.inner_diameter,
            Measure::Diameter,
        );
        if let Some(outer) = g.outer_diameter {
            self.add(
                &format!("{at}.outer_diameter"),
                format!("e{s}"),
                format!("Groove outer end, {of}"),
                outer,
                Measure::Diameter,
            );
        }
        if let Bottom::Vee { angle_deg } = g.bottom {
            self.add(
                &format!("{at}.vee_angle_deg"),
                format!("v{s}"),
                format!("Vee angle of the bottom, {of}"),
                angle_deg,
                Measure::Angle,
            );
        }
        if let InnerEnd::Runout { cutter_diameter } = g.inner_end {
            let label = format!("Cutter at the inner end, {of}");
            self.add(&format!("{at}.cutter_diameter"), format!("k{s}"), label, cutter_diameter, Measure::Diameter);
        }
        if g.skew_deg != 0.0 {
            self.add(&format!("{at}.skew_deg"), format!("s{s}"), format!("Skew, {of}"), g.skew_deg, Measure::Angle);
        }
    }

    fn face_grooves(&mut self, g: &FaceGrooves) {
        let (at, s, of) = ("face.grooves", "f", "face");
        self.pattern(at, s, of, g.pattern.count(), g.pattern.pitch_deg());
        self.width_and_depth(at, s, of, g.width, g.depth);
        if g.helix_deg != 0.0 {
            self.add(&format!("{at}.helix_deg"), format!("s{s}"), format!("Helix, {of}"), g.helix_deg, Measure::Angle);
        }
    }
}

//! What each [`Size`] is worth on a wheel, its letter and its words; and the list of those the wheel must meet: what the drawing dimensions, the
//! inspection sheet lists and the customer signs.

use super::model::{Bottom, Corner, FaceBottom, InnerEnd, Pattern, Side, Wheel};
use super::{Characteristic, Deviation, Job, LimitsBy};
use crate::quantity::{LengthUnit, Notation, Written, trimmed};
use crate::language::Language;
use crate::size::{GrooveSet, GrooveSize, Measure, SideName, Size};
use crate::tolerance::SAME_PRINTED;
use std::f64::consts::TAU;

/// One number the altered wheel must meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Requirement {
    /// Which.
    pub size: Size,
    /// Number from 1 in the order of the list: the same on drawing and inspection sheet.
    pub number: u32,
    /// Its letter in views and tables, unique on the wheel; empty for run-outs and parallelism.
    pub letter: String,
    /// What it is, in words.
    pub label: String,
    /// The nominal value: mm, degrees or a count; of a run-out the greatest permitted.
    pub nominal: f64,
    /// Angle of a chamfer from the side, degrees; 45 for everything else.
    pub chamfer_deg: f64,
    /// How many places of the wheel it holds for.
    pub places: u32,
    /// Its permitted deviation, mm or degrees; `None` where the order gives none.
    pub deviation: Option<Deviation>,
    /// What holds in general where the order gives it none; `None` where it does, or nothing holds.
    pub general: Option<(Deviation, LimitsBy)>,
    /// Whether the order leaves it open: papers then write a question mark behind it.
    pub is_open: bool,
}

impl Requirement {
    fn of(size: Size, number: u32, nominal: f64, job: &Job) -> Requirement {
        let wheel = &job.wheel;
        let chamfer_deg = match size {
            Size::CornerChamfer(side) => Size::CornerAngle(side).value(job).unwrap_or(45.0),
            _ => 45.0,
        };
        let own = size.characteristic().filter(|_| size.measure() != Measure::Form);
        let deviation = own.and_then(|c| job.tolerances.get(c));
        Requirement {
            size,
            number,
            letter: size.letter(wheel),
            label: size.label(wheel),
            nominal,
            chamfer_deg,
            places: size.places(),
            deviation,
            general: if deviation.is_none() { job.tolerances.general_of(size, nominal) } else { None },
            is_open: size.is_open(job),
        }
    }

    /// A value with its deviation, for writing it as the sheets do: without number, letter and words.
    pub(crate) fn alone(size: Size, nominal: f64, deviation: Option<Deviation>) -> Requirement {
        let (letter, label) = (String::new(), String::new());
        Requirement { size, number: 0, letter, label, nominal, chamfer_deg: 45.0, places: 1, deviation, general: None, is_open: false }
    }

    /// What it measures.
    pub fn measure(&self) -> Measure {
        self.size.measure()
    }

    /// Whether it is a chamfer of 45°, whose angle is written behind it and is no number of its own.
    pub fn plain_chamfer(&self) -> bool {
        self.measure() == Measure::Chamfer && self.chamfer_deg == 45.0
    }
}

impl Job {
    /// Every number the altered wheel must meet: overall sizes, then side A, side B and the face, each from the outside in, then run-outs and
    /// parallelism.
    pub fn requirements(&self) -> Vec<Requirement> {
        let given = ordered(&self.wheel).into_iter().filter(|s| s.stands_alone(self));
        let valued = given.filter_map(|s| Some((s, s.value(self)?)));
        valued.zip(1..).map(|((size, nominal), number)| Requirement::of(size, number, nominal, self)).collect()
    }
}

impl Job {
    /// What a field of the order is, in words: `Groove width, side A`, or its path where it is no size of the wheel.
    pub fn words_of(&self, field: &str) -> String {
        self.words_in(field, Language::En)
    }

    /// The same in a language.
    pub fn words_in(&self, field: &str, language: Language) -> String {
        let size = ordered(&self.wheel).into_iter().find(|size| size.pointer() == field);
        let other = || {
            let path = field.trim_start_matches('/').replace('/', ".");
            language.texts().get(&format!("field.{path}")).cloned().unwrap_or(path)
        };
        size.map_or_else(other, |size| size.label_in(&self.wheel, language))
    }
}

/// The sizes an order may give a wheel with so many recess steps, in the order of their numbers.
fn ordered(wheel: &Wheel) -> Vec<Size> {
    let mut all = vec![Size::OutsideDiameter, Size::Thickness, Size::Bore, Size::BoreChamfer];
    let grooves = |set: GrooveSet| GrooveSize::ORDERED.map(|g| Size::Groove(set, g));
    for side in SideName::BOTH {
        all.extend([Size::CornerRadius(side), Size::CornerChamfer(side), Size::CornerAngle(side)]);
        all.extend([Size::TaperFrom(side), Size::TaperTo(side), Size::TaperDepth(side), Size::TaperAngle(side)]);
        all.push(Size::TaperStart(side));
        for step in 0..wheel.side(side).recess.len() {
            all.extend([
                Size::RecessDiameter(side, step),
                Size::RecessDepth(side, step),
                Size::RecessFillet(side, step),
            ]);
        }
        all.extend(grooves(GrooveSet::Side(side)));
    }
    all.extend(grooves(GrooveSet::Face));
    all.extend([Size::RunoutFace, Size::RunoutSide, Size::Parallelism]);
    all
}

impl Size {
    /// The tolerance that holds for it; `None` where the format has none.
    pub fn characteristic(self) -> Option<Characteristic> {
        Some(match self {
            Size::OutsideDiameter => Characteristic::OutsideDiameter,
            Size::Thickness => Characteristic::Thickness,
            Size::Bore => Characteristic::Bore,
            Size::RecessDiameter(..) => Characteristic::RecessDiameter,
            Size::RecessDepth(..) => Characteristic::RecessDepth,
            Size::Groove(_, GrooveSize::Width) => Characteristic::GrooveWidth,
            Size::Groove(_, GrooveSize::Depth) => Characteristic::GrooveDepth,
            Size::Groove(_, GrooveSize::Pitch) => Characteristic::GroovePitchDeg,
            Size::RunoutFace => Characteristic::RunoutFace,
            Size::RunoutSide => Characteristic::RunoutSide,
            Size::Parallelism => Characteristic::Parallelism,
            _ => return None,
        })
    }

    /// What it is on the wheel of an order: mm, degrees or a count; `None` where the wheel has no such thing. The one source of the value for
    /// every view, table, paper and check.
    pub fn value(self, job: &Job) -> Option<f64> {
        let wheel = &job.wheel;
        match self {
            Size::OutsideDiameter => Some(wheel.outside_diameter),
            Size::Thickness => Some(wheel.thickness),
            Size::Bore => Some(wheel.bore),
            Size::BoreChamfer => (wheel.bore_chamfer > 0.0).then_some(wheel.bore_chamfer),
            Size::HubThickness => Some(wheel.hub_thickness()),
            Size::RimThickness => Some(wheel.rim_thickness()),
            Size::CornerRadius(side) | Size::CornerChamfer(side) | Size::CornerAngle(side) => {
                corner(self, wheel.side(side).corner?)
            }
            Size::TaperFrom(side)
            | Size::TaperTo(side)
            | Size::TaperDepth(side)
            | Size::TaperStart(side)
            | Size::TaperAngle(side) => taper(self, wheel, side),
            Size::RecessDiameter(side, step) => wheel.side(side).recess.get(step).map(|s| s.diameter),
            Size::RecessDepth(side, step) => wheel.side(side).recess.get(step).map(|s| s.depth),
            Size::RecessFillet(side, step) => {
                wheel.side(side).recess.get(step).map(|s| s.fillet_radius).filter(|r| *r > 0.0)
            }
            Size::Groove(set, groove) => {
                let pattern = wheel.pattern(set)?;
                of_pattern(groove, pattern).or_else(|| match set {
                    GrooveSet::Side(side) => of_side_groove(groove, wheel, side),
                    GrooveSet::Face => of_face_groove(groove, wheel),
                })
            }
            Size::RunoutFace | Size::RunoutSide | Size::Parallelism => {
                let given = job.tolerances.get(self.characteristic()?)?;
                Some(given.upper.abs().max(given.lower.abs()))
            }
        }
    }

    /// Whether an ordered number is one to meet by itself: not an angle of 45°, a direction of 0°, or an end of a taper beyond the wheel's edge,
    /// where the depth at that edge says it.
    fn stands_alone(self, job: &Job) -> bool {
        let wheel = &job.wheel;
        let Some(value) = self.value(job) else { return false };
        match self {
            Size::CornerAngle(_) => value != 45.0,
            Size::TaperDepth(side) => !wheel.taper_by_angle(side),
            Size::TaperAngle(side) => wheel.taper_by_angle(side),
            Size::TaperFrom(_) | Size::TaperTo(_) => value > wheel.bore && value < wheel.outside_diameter,
            Size::TaperStart(_) => value > 0.0,
            Size::Groove(_, GrooveSize::Start | GrooveSize::Skew | GrooveSize::Helix) => value != 0.0,
            _ => true,
        }
    }

    /// Whether the order leaves it open. Count and pitch of a set of grooves go by each other.
    pub fn is_open(self, job: &Job) -> bool {
        let also = match self {
            Size::Groove(set, GrooveSize::Count) => Size::Groove(set, GrooveSize::Pitch),
            Size::Groove(set, GrooveSize::Pitch) => Size::Groove(set, GrooveSize::Count),
            size => size,
        };
        job.is_draft() && (job.is_open(&self.pointer()) || job.is_open(&also.pointer()))
    }

    /// Its letter in views and tables, unique on the wheel: that of ISO 525 where it has one, with the side and the step behind it where one
    /// letter would stand for several sizes; empty for what is called by its words.
    pub fn letter(self, wheel: &Wheel) -> String {
        // the side's letter where the other side has such a thing too
        let sided = |letter: &str, side: SideName, has: fn(&Side) -> bool| {
            let both = has(wheel.side(side.other()));
            format!("{letter}{}", if both { side.letter() } else { "" })
        };
        let taper = |letter: &str, side: SideName| sided(letter, side, |s| s.taper.is_some());
        let radius = |side: SideName| sided("R", side, |s| matches!(s.corner, Some(Corner::Radius(_))));
        let chamfer = |letter: &str, side| sided(letter, side, |s| matches!(s.corner, Some(Corner::Chamfer { .. })));
        let step = |letter: String, side: SideName, step: usize| {
            if wheel.side(side).recess.len() > 1 { format!("{letter}{}", step + 1) } else { letter }
        };
        let recessed = |letter: &str, side| sided(letter, side, |s| !s.recess.is_empty());
        match self {
            Size::OutsideDiameter => "D".to_owned(),
            Size::Thickness => "T".to_owned(),
            Size::Bore => "H".to_owned(),
            Size::BoreChamfer => "CH".to_owned(),
            Size::HubThickness => "E".to_owned(),
            Size::RimThickness => "U".to_owned(),
            Size::CornerRadius(side) => radius(side),
            Size::CornerChamfer(side) => chamfer("C", side),
            Size::CornerAngle(side) => chamfer("CV", side),
            Size::TaperFrom(side) => taper("K", side),
            Size::TaperTo(side) => taper("J", side),
            Size::TaperDepth(side) => taper("N", side),
            Size::TaperStart(side) => taper("M", side),
            Size::TaperAngle(side) => taper("V", side),
            Size::RecessDiameter(side, i) => step(recessed("P", side), side, i),
            Size::RecessFillet(side, i) => step(recessed("r", side), side, i),
            // F and G are the two recess depths of ISO 525
            Size::RecessDepth(side, i) => {
                let second = side == SideName::B && !wheel.side(SideName::A).recess.is_empty();
                step(if second { "G" } else { "F" }.to_owned(), side, i)
            }
            Size::Groove(set, groove) => groove_letter(set, groove),
            Size::RunoutFace | Size::RunoutSide | Size::Parallelism => String::new(),
        }
    }

    /// What it is, in words, as the shop's papers have it.
    pub fn label(self, wheel: &Wheel) -> String {
        self.label_in(wheel, Language::En)
    }

    /// What it is, in words of a language.
    pub fn label_in(self, wheel: &Wheel, language: Language) -> String {
        let what = |key: &str| language.text(key).to_owned();
        let on = |what: &str, side: SideName| language.put("size.on_side", &[("what", what), ("side", side.letter())]);
        let side_of = |key: &str, side: SideName| on(language.text(key), side);
        let step = |key: &str, side: SideName, step: usize| {
            let many = wheel.side(side).recess.len() > 1;
            let number = if many { language.put("size.step", &[("number", &(step + 1).to_string())]) } else { String::new() };
            on(&language.put(key, &[("step", &number)]), side)
        };
        match self {
            Size::OutsideDiameter => what("size.outside_diameter"),
            Size::Thickness => what("size.thickness"),
            Size::Bore => what("size.bore"),
            Size::BoreChamfer => what("size.bore_chamfer"),
            Size::HubThickness => what("size.hub_thickness"),
            Size::RimThickness => what("size.rim_thickness"),
            Size::CornerRadius(side) => side_of("size.corner_radius", side),
            Size::CornerChamfer(side) => {
                let plain = matches!(wheel.side(side).corner, Some(Corner::Chamfer { angle_deg: 45.0, .. }));
                side_of(if plain { "size.corner_chamfer" } else { "size.corner_chamfer_radial" }, side)
            }
            Size::CornerAngle(side) => side_of("size.corner_angle", side),
            Size::TaperFrom(side) => {
                // from larger to smaller the taper begins at the rim, and what is flat lies outside of it
                let inwards = wheel.side(side).taper.is_some_and(|t| t.from_diameter > t.to_diameter);
                side_of(if inwards { "size.taper_flat_outside" } else { "size.taper_flat_inside" }, side)
            }
            Size::TaperTo(side) => side_of("size.taper_to", side),
            Size::TaperDepth(side) => side_of("size.taper_depth", side),
            Size::TaperStart(side) => side_of("size.taper_start", side),
            Size::TaperAngle(side) => side_of("size.taper_angle", side),
            Size::RecessDiameter(side, i) => step("size.recess_diameter", side, i),
            Size::RecessDepth(side, i) => step("size.recess_depth", side, i),
            Size::RecessFillet(side, i) => step("size.recess_fillet", side, i),
            Size::Groove(GrooveSet::Side(side), groove) => side_of(groove_key(groove), side),
            Size::Groove(GrooveSet::Face, groove) => {
                language.put("size.on_face", &[("what", language.text(groove_key(groove)))])
            }
            Size::RunoutFace => what("size.runout_face"),
            Size::RunoutSide => what("size.runout_side"),
            Size::Parallelism => what("size.parallelism"),
        }
    }
}

fn corner(size: Size, corner: Corner) -> Option<f64> {
    match (size, corner) {
        (Size::CornerRadius(_), Corner::Radius(radius)) => Some(radius),
        (Size::CornerChamfer(_), Corner::Chamfer { run, .. }) => Some(run),
        (Size::CornerAngle(_), Corner::Chamfer { angle_deg, .. }) => Some(angle_deg),
        _ => None,
    }
}

fn taper(size: Size, wheel: &Wheel, side: SideName) -> Option<f64> {
    let taper = wheel.side(side).taper?;
    let at_edge = |diameter: f64| taper.depth_at(diameter.clamp(wheel.bore, wheel.outside_diameter) / 2.0);
    Some(match size {
        Size::TaperFrom(_) => taper.from_diameter,
        Size::TaperTo(_) => taper.to_diameter,
        Size::TaperDepth(_) => at_edge(taper.to_diameter),
        Size::TaperStart(_) => at_edge(taper.from_diameter),
        _ => taper.angle_deg(),
    })
}

fn of_pattern(groove: GrooveSize, pattern: &Pattern) -> Option<f64> {
    match groove {
        GrooveSize::Count => Some(f64::from(pattern.count())),
        GrooveSize::Pitch => Some(pattern.pitch_deg()),
        GrooveSize::Start => Some(pattern.start_deg),
        _ => None,
    }
}

fn of_side_groove(groove: GrooveSize, wheel: &Wheel, side: SideName) -> Option<f64> {
    let g = wheel.side(side).grooves.as_ref()?;
    // walls off the axis by the skew
    let offset = wheel.outside_radius() * g.skew_deg.to_radians().sin();
    let land = |r: f64| land(r, &g.pattern, [offset - g.width / 2.0, offset + g.width / 2.0]);
    match groove {
        GrooveSize::Width => Some(g.width),
        GrooveSize::Depth => Some(g.depth),
        GrooveSize::InnerDiameter => Some(g.inner_diameter),
        GrooveSize::OuterDiameter => g.outer_diameter,
        GrooveSize::Skew => Some(g.skew_deg),
        GrooveSize::VeeAngle => match g.bottom {
            Bottom::Vee { angle_deg } => Some(angle_deg),
            _ => None,
        },
        GrooveSize::Cutter => match g.inner_end {
            InnerEnd::Runout { cutter_diameter } => Some(cutter_diameter),
            _ => None,
        },
        GrooveSize::BottomRadius => (g.bottom == Bottom::Round).then_some(g.width / 2.0),
        GrooveSize::LandOuter => Some(land(wheel.outside_radius())),
        GrooveSize::LandInner => Some(land(g.inner_diameter / 2.0)),
        _ => None,
    }
}

fn of_face_groove(groove: GrooveSize, wheel: &Wheel) -> Option<f64> {
    let g = wheel.face.as_ref()?;
    let half = g.transverse_width() / 2.0;
    let land = |r: f64| land(r, &g.pattern, [-half, half]);
    match groove {
        GrooveSize::Width => Some(g.width),
        GrooveSize::Depth => Some(g.depth),
        GrooveSize::Helix => Some(g.helix_deg),
        GrooveSize::BottomRadius => (g.bottom == FaceBottom::Round).then_some(g.width / 2.0),
        GrooveSize::LandOuter => Some(land(wheel.outside_radius())),
        GrooveSize::LandInner => Some(land(wheel.outside_radius() - g.depth)),
        _ => None,
    }
}

/// Arc length of the land between neighbouring grooves on the circle r, mm, 0 where they have run into each other; the walls of a groove lie at
/// these two distances from the axis, mm.
pub(crate) fn land(r: f64, pattern: &Pattern, walls: [f64; 2]) -> f64 {
    let pitch = TAU / f64::from(pattern.places);
    let [low, high] = walls.map(|v| (v / r).clamp(-1.0, 1.0).asin());
    (r * (pitch - (high - low))).max(0.0)
}

fn groove_letter(set: GrooveSet, groove: GrooveSize) -> String {
    let letter = match groove {
        GrooveSize::Count => "n",
        GrooveSize::Pitch => "p",
        GrooveSize::Start => "a",
        GrooveSize::Width => "b",
        GrooveSize::Depth => "t",
        GrooveSize::InnerDiameter => "d",
        GrooveSize::OuterDiameter => "e",
        GrooveSize::VeeAngle => "v",
        GrooveSize::Cutter => "k",
        GrooveSize::Skew | GrooveSize::Helix => "s",
        GrooveSize::BottomRadius | GrooveSize::LandOuter | GrooveSize::LandInner => return String::new(),
    };
    let of = match set {
        GrooveSet::Side(side) => side.letter(),
        GrooveSet::Face => "f",
    };
    format!("{letter}{of}")
}

fn groove_key(groove: GrooveSize) -> &'static str {
    match groove {
        GrooveSize::Count => "size.groove_count",
        GrooveSize::Pitch => "size.groove_pitch",
        GrooveSize::Start => "size.groove_start",
        GrooveSize::Width => "size.groove_width",
        GrooveSize::Depth => "size.groove_depth",
        GrooveSize::InnerDiameter => "size.groove_inner",
        GrooveSize::OuterDiameter => "size.groove_outer",
        GrooveSize::VeeAngle => "size.groove_vee",
        GrooveSize::Cutter => "size.groove_cutter",
        GrooveSize::Skew => "size.groove_skew",
        GrooveSize::Helix => "size.groove_helix",
        GrooveSize::BottomRadius => "size.groove_bottom_radius",
        GrooveSize::LandOuter => "size.land_outer",
        GrooveSize::LandInner => "size.land_inner",
    }
}

impl Written {
    /// As the order asks.
    pub fn of(job: &Job) -> Written {
        Written { notation: job.sheets.style.into(), unit: job.units }
    }

    /// The nominal value of a requirement with its sign: `Ø660,4`, `R3`, `1,5×45°`, `2°`, `180`, `≤ 0,05`. `unit` is that of lengths.
    pub fn nominal(&self, of: &Requirement, unit: LengthUnit) -> String {
        let length = || self.pair(of, unit).0;
        let value = match of.measure() {
            Measure::Diameter => format!("Ø{}", length()),
            Measure::Length => length(),
            Measure::Radius => format!("R{}", length()),
            Measure::Chamfer if of.plain_chamfer() => format!("{}×45°", length()),
            Measure::Chamfer => length(),
            Measure::Angle => self.angle(of.nominal),
            Measure::Count => trimmed(of.nominal, 0),
            // both sides have it, and its words say so
            Measure::Form => return format!("≤ {}", length()),
        };
        let value = if of.places > 1 { format!("{}× {value}", of.places) } else { value };
        if of.is_open { format!("{value} ?") } else { value }
    }

    /// A tolerance on one line: `±0,1`, `+0,13 / 0`, `0 / −1,52`; upper and lower with equal decimals, a plain 0 for none. `degrees` for angles.
    pub fn deviation(&self, deviation: Deviation, unit: LengthUnit, degrees: bool) -> String {
        let [upper, lower] = self.deviations(deviation, unit, degrees);
        match upper.strip_prefix('+') {
            Some(size) if lower.strip_prefix('−') == Some(size) => format!("±{size}"),
            _ => format!("{upper} / {lower}"),
        }
    }

    /// The tolerance of a requirement on one line, with as many decimals as its nominal value where the notation asks for that.
    pub fn tolerance(&self, of: &Requirement, unit: LengthUnit) -> Option<String> {
        let [upper, lower] = self.pair(of, unit).1?;
        Some(match upper.strip_prefix('+') {
            Some(size) if lower.strip_prefix('−') == Some(size) => format!("±{size}"),
            _ => format!("{upper} / {lower}"),
        })
    }

    /// A requirement's length, and its deviations with their signs. US inches have equal decimals in both (ASME Y14.5, from memory), a nil deviation
    /// as `+.000`; deviations converted into the other unit are rounded to what they can mean; a fraction of an inch that the decimals do
    /// not hold follows in parentheses.
    pub fn pair(&self, of: &Requirement, unit: LengthUnit) -> (String, Option<[String; 2]>) {
        let degrees = of.measure() == Measure::Angle;
        let (mm, fraction) = (of.nominal, self.fraction(of.nominal, unit));
        let Some(deviation) = of.deviation else { return (format!("{}{fraction}", self.length_in(mm, unit)), None) };
        let limits = [deviation.upper, deviation.lower];
        if self.notation == Notation::Us && unit == LengthUnit::Inch && !degrees {
            let decimals = [mm, limits[0], limits[1]].map(|v| self.decimals(v, unit)).into_iter().max().unwrap_or(0);
            let signed = |v: f64, minus: bool| {
                let sign = if v < 0.0 || (v == 0.0 && minus) { '−' } else { '+' };
                format!("{sign}{}", self.padded(v.abs(), unit, decimals))
            };
            let deviations = [signed(limits[0], false), signed(limits[1], true)];
            return (format!("{}{fraction}", self.padded(mm, unit, decimals)), Some(deviations));
        }
        let meant = if unit == self.unit || degrees { limits } else { self.meant(limits, unit) };
        (format!("{}{fraction}", self.length_in(mm, unit)), Some(self.signed(meant, unit, degrees)))
    }

    /// Limits rounded to a place of the other unit that is not much finer than the last one written in the own unit.
    fn meant(&self, limits: [f64; 2], unit: LengthUnit) -> [f64; 2] {
        let written = limits.map(|v| self.decimals(v, self.unit)).into_iter().max().unwrap_or(0);
        // a hundredth of an inch is a quarter of a millimetre, a tenth of a millimetre four thousandths of an inch
        let decimals = if unit == LengthUnit::Millimetre { written.saturating_sub(1) } else { written + 2 };
        limits.map(|v| {
            let place = unit.mm() / 10f64.powi(decimals as i32);
            let rounded = (v / place).round() * place;
            if rounded == 0.0 { v } else { rounded }
        })
    }

    /// ` (13-17/32)` behind an inch value that its decimals do not hold and a fraction down to 1/128 does.
    fn fraction(&self, mm: f64, unit: LengthUnit) -> String {
        const FINEST: u64 = 128;
        let parts = mm / unit.mm() * FINEST as f64;
        let exact = (parts - parts.round()).abs() <= SAME_PRINTED && parts >= 0.5;
        if unit != LengthUnit::Inch || !exact {
            return String::new();
        }
        let (whole, mut part, mut of) = (parts.round() as u64 / FINEST, parts.round() as u64 % FINEST, FINEST);
        while part.is_multiple_of(2) && of > 1 {
            (part, of) = (part / 2, of / 2);
        }
        // sixteenths have four decimals
        if of <= 16 {
            return String::new();
        }
        if whole == 0 { format!(" ({part}/{of})") } else { format!(" ({whole}-{part}/{of})") }
    }

    /// Upper and lower deviation with their signs, equal decimals, a plain `0` for none.
    pub fn deviations(&self, deviation: Deviation, unit: LengthUnit, degrees: bool) -> [String; 2] {
        self.signed([deviation.upper, deviation.lower], unit, degrees)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn job(wheel: &str) -> Job {
        let order = format!(r#"{{"order": {{"number": "1", "revision": "A"}}, "units": "mm", "wheel": {wheel}}}"#);
        crate::rules::ShopRules::built_in().open(order.as_bytes()).unwrap()
    }

    #[test]
    fn thickness_at_the_bore_lies_between_side_lines_and_recess_floors() {
        // a taper towards the bore takes 2 mm off each side at the bore; a recess of 5 mm on side B lies deeper than its side line
        let towards = r#""taper": {"from_diameter": 300, "to_diameter": 200, "depth": 2}"#;
        let both = job(&format!(
            r#"{{"outside_diameter": 400, "thickness": 40, "bore": 127, "side_a": {{{towards}}}, "side_b": {{{towards}}}}}"#
        ));
        assert_eq!(Size::HubThickness.value(&both), Some(36.0));
        assert_eq!(Size::RimThickness.value(&both), Some(40.0));
        let recessed = job(&format!(
            r#"{{"outside_diameter": 400, "thickness": 40, "bore": 127, "side_a": {{{towards}}},
                "side_b": {{"recess": [{{"diameter": 180, "depth": 5}}]}}}}"#
        ));
        assert_eq!(Size::HubThickness.value(&recessed), Some(33.0));
    }

    #[test]
    fn a_size_that_the_wheel_has_not_has_no_value() {
        let plain = job(r#"{"outside_diameter": 400, "thickness": 40, "bore": 127}"#);
        for size in
            [Size::BoreChamfer, Size::TaperAngle(SideName::A), Size::RecessDepth(SideName::B, 0), Size::RunoutFace]
        {
            assert_eq!(size.value(&plain), None, "{size}");
        }
        assert_eq!(
            plain.requirements().iter().map(|r| r.size).collect::<Vec<_>>(),
            [Size::OutsideDiameter, Size::Thickness, Size::Bore]
        );
    }

    #[test]
    fn tolerances_have_equal_decimals_and_a_plain_zero() {
        let iso = Written { notation: Notation::Iso, unit: LengthUnit::Millimetre };
        let dev = |upper, lower| iso.deviation(Deviation { upper, lower }, LengthUnit::Millimetre, false);
        assert_eq!(dev(0.1, -0.1), "±0,1");
        assert_eq!(dev(0.0, -1.5), "0 / −1,5");
        assert_eq!(dev(0.125, 0.02), "+0,125 / +0,020");
        let us = Written { notation: Notation::Us, unit: LengthUnit::Inch };
        assert_eq!(us.deviation(Deviation { upper: 0.127, lower: 0.0254 }, LengthUnit::Inch, false), "+.005 / +.001");
        assert_eq!(us.deviation(Deviation { upper: 0.5, lower: -0.5 }, LengthUnit::Inch, true), "±0.5");
    }
}

//! Form and count of grooves: bottom, pitch, direction, frequency.

use super::super::context::{Context, at_least};
use super::super::limits::LimitKey;
use super::super::rule::Ruling;
use super::{patterns, side_sets};
use crate::properties::planner::{frequency, harmonic_weight, resonance};
use crate::quantity::{fixed, trimmed};
use crate::tolerance::PITCH_FIT;
use crate::wheel::{Bottom, FaceBottom};

pub(super) fn bottom(c: &Context<'_>, r: &mut Ruling) {
    let mut shaped: Vec<(String, f64, f64, String)> = Vec::new();
    for (name, g, at) in side_sets(c) {
        let needs = match g.bottom {
            Bottom::Flat => continue,
            Bottom::Round => g.width / 2.0,
            Bottom::Vee { angle_deg } => g.width / 2.0 / (angle_deg / 2.0).to_radians().tan(),
        };
        shaped.push((format!("grooves of side {}", name.letter()), needs, g.depth, format!("{at}/depth")));
    }
    if let Some(face) = c.wheel().face.as_ref().filter(|f| f.bottom == FaceBottom::Round) {
        shaped.push(("face grooves".into(), face.width / 2.0, face.depth, "/wheel/face/grooves/depth".into()));
    }
    if shaped.is_empty() {
        return r.absent("no groove has a round or vee bottom");
    }
    for (what, needs, depth, field) in shaped {
        if at_least(depth, needs) {
            r.met(field).measured(depth, needs, "mm");
            continue;
        }
        let question = format!(
            "Are the {what} deep enough? Their bottom takes {}, they are {} deep and will be narrower than ordered.",
            c.len(needs),
            c.len(depth)
        );
        r.ask(field, question).measured(depth, needs, "mm");
    }
}

pub(super) fn pitch(c: &Context<'_>, r: &mut Ruling) {
    let usual = c.limits.groove_pitch;
    let sides = side_sets(c);
    if sides.is_empty() {
        return r.absent("no side is grooved");
    }
    for (name, g, at) in sides {
        let (pitch, field) = (g.pattern.pitch_deg(), format!("{at}/pitch_deg"));
        if (pitch - usual).abs() <= usual * PITCH_FIT {
            r.met(field).measured(pitch, usual, "°");
            continue;
        }
        let message = format!(
            "The grooves of side {} lie {}° apart ({} all round); {}° is usual.",
            name.letter(),
            trimmed(pitch, 4),
            g.pattern.places,
            trimmed(usual, 4)
        );
        r.note(field, message).measured(pitch, usual, "°");
    }
}

pub(super) fn direction(c: &Context<'_>, r: &mut Ruling) {
    let skewed: Vec<_> = side_sets(c).into_iter().filter(|(_, g, _)| g.skew_deg != 0.0).collect();
    // The line is turned counter-clockwise about its outer point, so its inner end lies clockwise of it: the open end leads counter-clockwise.
    let turn = |skew: f64| if skew > 0.0 { "counter-clockwise" } else { "clockwise" };
    match skewed.as_slice() {
        [] => r.absent("no groove is skewed"),
        [(_, a, _), (_, b, at)] if (a.skew_deg > 0.0) != (b.skew_deg > 0.0) => {
            let question = format!(
                "Which way does the wheel turn, seen from outside side A? Side A's skew of {}° asks for {}, side B's of {}° for {}.",
                trimmed(a.skew_deg, 3),
                turn(a.skew_deg),
                trimmed(b.skew_deg, 3),
                turn(b.skew_deg)
            );
            r.ask(format!("{at}/skew_deg"), question).hint("Give both sides a skew of the same sign.");
        }
        [(_, g, at), ..] => {
            let message =
                format!("By its skewed grooves the wheel turns {}, seen from outside side A.", turn(g.skew_deg));
            r.note(format!("{at}/skew_deg"), message).value(g.skew_deg, "°");
        }
    }
}

pub(super) fn excitation(c: &Context<'_>, r: &mut Ruling) {
    let sets = patterns(c);
    if sets.is_empty() {
        return r.absent("the wheel has no grooves");
    }
    let machine = &c.job.machine;
    let Some(rpm) = machine.spindle_rpm else { return r.unknown("the order does not give the spindle's rpm") };
    if machine.natural_frequencies_hz.is_empty() {
        return r.unknown("the order gives no natural frequencies of the machine");
    }
    for (what, pattern, width, at) in sets {
        let is_side = !at.starts_with("/wheel/face");
        if is_side && !c.job.grinds_with_sides() {
            r.absent(format!("the {what} do not touch the work in grinding journals"));
            continue;
        }
        let outer = std::f64::consts::PI * c.wheel().outside_diameter / f64::from(pattern.places);
        let set = Excited {
            what,
            contact: if is_side { "in side contact" } else { "in plunge grinding" },
            at,
            share: width / outer,
        };
        let (f, before) = (frequency(pattern.places, rpm), r.drafts.len());
        for harmonic in 1..=HARMONICS {
            excited(c, r, &set, f, harmonic);
        }
        if r.drafts.len() == before {
            r.met(format!("{}/count", set.at)).value(f, "Hz");
        }
    }
}

/// Harmonics that are looked at.
const HARMONICS: u32 = 3;

/// One set of grooves as it excites the machine.
struct Excited {
    what: String,
    contact: &'static str,
    at: String,
    /// Share of the pitch at the outside diameter that the groove takes.
    share: f64,
}

/// One harmonic of the groove frequency `f`, Hz.
fn excited(c: &Context<'_>, r: &mut Ruling, set: &Excited, f: f64, harmonic: u32) {
    let hertz = f64::from(harmonic) * f;
    let margin = c.limits.excitation_margin;
    let Some(natural) = resonance(hertz, &c.job.machine.natural_frequencies_hz, margin) else { return };
    let weight = harmonic_weight(set.share, harmonic);
    let (least, field) = (c.limits.harmonic_weight, format!("{}/count", set.at));
    let times = if harmonic == 1 { String::new() } else { format!(" by {harmonic} times their frequency") };
    let near = format!(
        "excite the machine {} at {} Hz{times}, near its natural frequency of {} Hz",
        set.contact,
        fixed(hertz, 0),
        trimmed(natural, 1)
    );
    let carries = format!("{} % of the load", fixed(100.0 * weight, 1));
    // the groove frequency itself is asked about whatever it carries
    if harmonic == 1 || at_least(weight, least) {
        r.ask(field, format!("May the {} {near}? It carries {carries}.", set.what)).measured(hertz, natural, "Hz");
    } else {
        r.note(field, format!("The {} {near}, with only {carries}.", set.what))
            .measured(hertz, natural, "Hz")
            .by(LimitKey::HarmonicWeight);
    }
}

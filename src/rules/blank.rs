//! The blank: large enough, and marked so that one knows what it is.

use crate::quantity::KG_PER_MM3;
use super::context::{Context, at_least, at_most};
use super::finding::Severity;
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::properties::density::Origin;

const MARKING: &str = "/blank/marking";

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "blank-size",
        title: "A blank the wheel can be cut from",
        text: "Altering only takes away: the wheel is no larger and no thicker than its blank, and its bore no smaller.",
        hint: "Choose another blank (`wheeldraft blanks ORDER --stock FILE`), or correct the size.",
        ground: Ground::Geometry,
        heaviest: Severity::Stop,
        judge: size,
    },
    Rule {
        id: "blank-weight",
        title: "Weight and density that agree",
        text: "Where the order gives the blank's weight, its sizes and its density, weight over volume is that density within a few per \
               cent; else one of them is mistyped, or the blank is not what it is taken for.",
        hint: "Weigh and measure the blank again.",
        ground: Ground::Geometry,
        heaviest: Severity::Ask,
        judge: weight,
    },
    Rule {
        id: "specification-mark",
        title: "A specification mark that can be read",
        text: "The mark has the standard's fields in their order: abrasive, grit, grade, structure where given, bond (V, S, E, R, RF, B, BF, O, P; \
               in ISO's list also MG and PL). A mark that cannot be read leaves open what the blank is.",
        hint: "Copy the mark from the blank or its blotter.",
        ground: Ground::Limits(&[LimitKey::SpecificationMark, LimitKey::GritSizes]),
        heaviest: Severity::Ask,
        judge: mark,
    },
    Rule {
        id: "density-estimate",
        title: "A density that is known",
        text: "Masses, unbalance and stresses follow the density. Where the order gives none it is estimated from the structure of a \
               vitrified wheel: a guide only. Weighing the blank gives it exactly.",
        hint: "Weigh the blank and give its weight and all its sizes.",
        ground: Ground::Limits(&[LimitKey::StructureDensity, LimitKey::GrainShare]),
        heaviest: Severity::Note,
        judge: density,
    },
];

fn size(c: &Context<'_>, r: &mut Ruling) {
    let Some(blank) = &c.job.blank else { return r.unknown("the order names no blank") };
    let wheel = c.wheel();
    let mut compare = |key: &str, what: &str, wheel: f64, blank: Option<f64>, may_grow: bool| {
        let Some(blank) = blank else { return r.unknown(format!("the order does not give blank.{key}")) };
        let field = format!("/wheel/{key}");
        let fits = if may_grow { at_least(wheel, blank) } else { at_most(wheel, blank) };
        if fits {
            r.met(field).measured(wheel, blank, "mm");
            return;
        }
        let than = if may_grow { "smaller" } else { "larger" };
        let message = format!(
            "The {what} of {} is {than} than the blank's, {}: nothing can be put back.",
            c.len(wheel),
            c.len(blank)
        );
        r.stop(field, message).measured(wheel, blank, "mm");
    };
    compare("outside_diameter", "outside diameter", wheel.outside_diameter, blank.outside_diameter, false);
    compare("thickness", "thickness", wheel.thickness, blank.thickness, false);
    compare("bore", "bore", wheel.bore, blank.bore, true);
}

/// Share by which weight and density may disagree: blanks are measured to about a millimetre.
const WEIGHT_SHARE: f64 = 0.03;

fn weight(c: &Context<'_>, r: &mut Ruling) {
    let Some(blank) = &c.job.blank else { return r.absent("the order names no blank") };
    let (Some(weight), Some(density)) = (blank.weight, blank.density) else {
        return r.absent("the order does not give both weight and density");
    };
    let Some(volume) = blank.volume() else { return r.unknown("the order does not give all sizes of the blank") };
    let weighed = weight / (volume * KG_PER_MM3);
    let (weighed, given) = (weighed / 1000.0, density / 1000.0);
    if (weighed / given - 1.0).abs() <= WEIGHT_SHARE {
        r.met("/blank/weight").measured(weighed, given, "g/cm³");
        return;
    }
    let shown = |x: f64| crate::quantity::fixed(x, 3);
    let question = format!(
        "Which is right, the blank's weight or its density? Its weight over its volume is {} g/cm³, the density given is {}.",
        shown(weighed),
        shown(given)
    );
    r.ask("/blank/weight", question).measured(weighed, given, "g/cm³");
}

fn mark(c: &Context<'_>, r: &mut Ruling) {
    let mark = match c.mark {
        None => return r.unknown("the order gives no specification mark"),
        Some(Err(e)) => {
            let question = format!("What does the blank's mark say? Its {} cannot be read: {}.", e.field, e.message);
            r.ask(MARKING, question).hint(format!("Copy the mark from the blank: {}.", e.hint));
            return;
        }
        Some(Ok(mark)) => mark,
    };
    let grit = f64::from(mark.grit);
    if c.limits.grit_sizes.contains(&grit) {
        r.met(MARKING);
    } else {
        let message = format!("Grit {} is not among the usual designations.", mark.grit);
        r.note(MARKING, message).value(grit, "").by(LimitKey::GritSizes).hint("Check the mark against the blank.");
    }
}

fn density(c: &Context<'_>, r: &mut Ruling) {
    match c.density {
        Some(d) if d.origin == Origin::Estimated => {
            let value = d.value / 1000.0;
            let message = format!(
                "The density is an estimate from the structure of the mark, {} g/cm³: all masses and stresses are guides.",
                crate::quantity::fixed(value, 2)
            );
            r.note(MARKING, message).value(value, "g/cm³");
        }
        Some(d) => {
            r.met(if d.origin == Origin::Given { "/blank/density" } else { "/blank/weight" })
                .value(d.value / 1000.0, "g/cm³");
        }
        None => r.unknown("neither density nor weight is given, and the mark allows no estimate"),
    }
}

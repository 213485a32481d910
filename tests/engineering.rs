//! Balance, wear and the proposal of a recess, against closed forms and hand calculation.

use crate::support::job;
use serde_json::{Value, json};
use std::f64::consts::PI;
use wheeldraft::certainty::Certainty;
use wheeldraft::properties::balance::{
    BalanceScope, causes, correction, eccentric_bore, eccentric_recess, grade_unbalance, permissible_mass, permitted,
    wedge,
};
use wheeldraft::properties::recess::{Guide, Missing, Refusal, frame, propose};
use wheeldraft::properties::wear::{Event, of as wear_of, worn};
use wheeldraft::properties::{self, of_section};
use wheeldraft::quantity::LengthUnit;
use wheeldraft::rules::ShopRules;
use wheeldraft::section::Section;
use wheeldraft::wheel::{Job, SideName};

fn order(wheel: Value) -> Value {
    json!({"order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": wheel,
        "blank": {"density": "2.2 g/cm3", "max_operating_speed": "33 m/s"}})
}

#[track_caller]
fn close(got: f64, want: f64, relative: f64) {
    assert!((got / want - 1.0).abs() <= relative, "{got} against {want}");
}

#[test]
fn an_eccentric_bore() {
    // 610 × 25 at 2.20 g/cm³, e 0.05 mm: mass of the disc without its hole × e = 803.68 g·mm (calculated); the bore does not matter
    for bore in [20.0, 203.2, 400.0] {
        let job = job(&order(json!({"outside_diameter": 610, "thickness": 25, "bore": bore})));
        let section = Section::of(&job.wheel).unwrap();
        let volume = section.revolved().volume;
        close(eccentric_bore(&job.wheel, &section, volume, 2200.0, 0.05), 803.68, 1e-5);
    }
}

#[test]
fn balance_grades_and_the_root_of_the_mass() {
    // G6.3, 1 kg, 15 000 rpm: 4.01 g·mm (ISO 21940-11)
    assert!((grade_unbalance(6.3, 1.0, 15_000.0) - 4.01).abs() < 0.005);
    // k·√m, m in grams: 10 kg with k 0.25 is 25 g
    assert!((permissible_mass(0.25, 10.0) - 25.0).abs() < 1e-12);
}

#[test]
fn the_permitted_unbalance_is_known_unknown_or_about_nothing() {
    let scope = BalanceScope { k: 0.25, least_diameter: 125.0, least_speed: 16.0 };
    let wheel = |d: f64| json!({"outside_diameter": d, "thickness": 25, "bore": d / 5.0});
    let of = |order: &Value, mass| permitted(&job(order), mass, &scope);
    // 25 g at the periphery of Ø610
    assert_eq!(of(&order(wheel(610.0)), Some(10.0)), Certainty::Known(25.0 * 305.0));
    assert!(matches!(of(&order(wheel(610.0)), None), Certainty::Unknown(why) if why.contains("density")));
    assert!(matches!(of(&order(wheel(124.9)), None), Certainty::DoesNotApply(_)));
    assert!(matches!(of(&order(wheel(125.0)), Some(1.0)), Certainty::Known(_)));
    let mut slow = order(wheel(610.0));
    slow["blank"]["max_operating_speed"] = json!("15.9 m/s");
    assert!(matches!(of(&slow, Some(10.0)), Certainty::DoesNotApply(_)));
    slow["blank"].as_object_mut().unwrap().remove("max_operating_speed");
    assert!(matches!(of(&slow, Some(10.0)), Certainty::Unknown(why) if why.contains("speed")));
    slow["machine"] = json!({"spindle_rpm": 1000});
    assert!(matches!(of(&slow, Some(10.0)), Certainty::Known(_)));
}

#[test]
fn an_eccentric_recess_is_the_mass_it_took() {
    let job = job(&order(json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
        "side_b": {"recess": [{"diameter": 250, "depth": 5}, {"diameter": 200, "depth": 15}]}})));
    let volume =
        PI / 4.0 * ((250.0_f64.powi(2) - 127.0_f64.powi(2)) * 5.0 + (200.0_f64.powi(2) - 127.0_f64.powi(2)) * 10.0);
    close(eccentric_recess(&job.wheel, SideName::B, 2200.0, 0.1), volume * 2.2e-3 * 0.1, 1e-12);
    assert_eq!(eccentric_recess(&job.wheel, SideName::A, 2200.0, 0.1), 0.0);
}

#[test]
fn a_wedge_against_a_sum_over_strips() {
    let job = job(&order(json!({"outside_diameter": 400, "thickness": 50, "bore": 127})));
    // ∫ x·t(x) over the ring, t = x·wedge/D, by strips across x
    let chord = |r: f64, x: f64| 2.0 * (r * r - x * x).max(0.0).sqrt();
    let n = 400_000;
    let sum: f64 = (0..n)
        .map(|i| {
            let x = -200.0 + 400.0 * (f64::from(i) + 0.5) / f64::from(n);
            x * x * 0.2 / 400.0 * (chord(200.0, x) - chord(63.5, x)) * 400.0 / f64::from(n)
        })
        .sum();
    close(wedge(&job.wheel, 2200.0, 0.2), sum * 2.2e-3, 1e-6);
}

#[test]
fn a_correction_lies_opposite_the_omitted_grooves() {
    let mut wheel = json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
        "side_a": {"grooves": {"count": 12, "width": 6, "depth": 8, "inner_diameter": 250, "omit": [4]}}});
    for (start, heavy) in [(0.0, 90.0), (10.0, 100.0), (-120.0, 330.0)] {
        wheel["side_a"]["grooves"]["start_deg"] = json!(start);
        let job = job(&order(wheel.clone()));
        let n = properties::of(&job).unwrap().wheel;
        // the groove left out stays as material at its own place
        let fix = correction(n.unbalance.unwrap(), n.static_moment_deg.unwrap(), &job.wheel, Some(200.0));
        assert!(
            (fix.heavy_deg - heavy).abs() < 1e-6 && (fix.light_deg - (heavy + 180.0) % 360.0).abs() < 1e-6,
            "{fix:?}"
        );
        // 6 × 8 mm in section from r 125 to 200: about 6·8·(200² − 125²)/2·2.2e-3 g·mm
        close(n.unbalance.unwrap(), 6.0 * 8.0 * (200.0_f64.powi(2) - 125.0_f64.powi(2)) / 2.0 * 2.2e-3, 2e-3);
        close(fix.at_outside * 200.0, fix.at_flange.unwrap() * 100.0, 1e-12);
    }
}

fn worn_wheel() -> Job {
    job(&json!({"order": {"number": "1", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 600, "thickness": 50, "bore": 200,
            "side_a": {"recess": [{"diameter": 420, "depth": 10}, {"diameter": 340, "depth": 14}], "corner": {"radius": 3.5},
                "grooves": {"count": 90, "width": 2, "depth": 3, "inner_diameter": 440, "skew_deg": 5}},
            "side_b": {"taper": {"from_diameter": 500, "to_diameter": 600, "depth": 1}},
            "face": {"grooves": {"count": 36, "width": 3, "depth": 4, "helix_deg": 10}}},
        "blank": {"density": "2.2 g/cm3", "max_operating_speed": "35 m/s"},
        "machine": {"spindle_rpm": 1000, "usable_travel": 120, "travel_on": "radius"},
        "mount": {"flange_diameter": 300}}))
}

#[test]
fn what_happens_as_a_wheel_wears() {
    let wear = wear_of(&worn_wheel(), Some(2200.0), 6).unwrap();
    let events: Vec<(f64, Event)> = wear.events.clone();
    assert_eq!(
        events,
        [
            (592.0, Event::FaceGroovesGone),
            (440.0, Event::GroovesGone(SideName::A)),
            (420.0, Event::RecessReached(SideName::A, 0)),
            (360.0, Event::TravelUsed)
        ]
    );
    let falling = wear.stages.windows(2).all(|w| w[0].diameter > w[1].diameter && w[0].mass > w[1].mass);
    assert!(falling, "{:#?}", wear.stages);
    assert_eq!((wear.stages[0].diameter, wear.end), (600.0, 360.0));
    for s in &wear.stages {
        close(s.speed.unwrap(), PI * s.diameter * 1000.0 / 60_000.0, 1e-12);
        // the speed when new, 31.416 m/s, is kept: rpm · diameter stays
        close(s.rpm_constant_speed.unwrap() * s.diameter, 600_000.0, 1e-12);
        assert_eq!(s.sides[0].is_some(), s.diameter > 440.0);
        assert_eq!(s.face_depth.is_some(), s.diameter > 592.0);
    }
    let at = |d: f64| wear.stages.iter().find(|s| (s.diameter - d).abs() < 1e-9).unwrap();
    // from Ø420 inwards only what the outer step left is there: 50 − 10
    assert!((at(360.0).rim - 40.0).abs() < 1e-12);
    assert!((at(420.0).rim - 40.0).abs() < 1e-12);
    assert!((at(440.0).rim - 50.0).abs() < 1e-12);
}

#[test]
fn the_worn_wheel_is_the_wheel_cut_smaller() {
    let job = worn_wheel();
    // volume inside a diameter, without corner and grooves, by adding up rings of the section as ordered
    let mut plain = job.wheel.clone();
    plain.side_a.corner = None;
    plain.side_a.grooves = None;
    plain.face = None;
    let section = Section::of(&plain).unwrap();
    for diameter in [600.0, 550.0, 500.0, 450.0, 420.0, 400.0, 340.0, 320.0] {
        let n = 200_000;
        let sum: f64 = (0..n)
            .map(|i| {
                let r = 100.0 + (diameter / 2.0 - 100.0) * (f64::from(i) + 0.5) / f64::from(n);
                2.0 * PI * r * section.thickness_at(r) * (diameter / 2.0 - 100.0) / f64::from(n)
            })
            .sum();
        let cut = worn(&plain, diameter);
        close(Section::of(&cut).unwrap().revolved().volume, sum, 1e-6);
    }
    // a skewed groove keeps its place: its distance from the axis is R·sin(skew) at every diameter
    let cut = worn(&job.wheel, 500.0);
    let g = cut.side_a.grooves.as_ref().unwrap();
    close(250.0 * g.skew_deg.to_radians().sin(), 300.0 * 5.0_f64.to_radians().sin(), 1e-12);
    let removed = |w: &wheeldraft::wheel::Wheel| of_section(w, &Section::of(w).unwrap(), None).wheel.groove_volume;
    assert!(removed(&cut) < removed(&job.wheel));
}

#[test]
fn a_wheel_that_thins_towards_its_bore_wears_to_a_thinner_one() {
    let job = job(&order(json!({"outside_diameter": 600, "thickness": 50, "bore": 200,
        "side_b": {"taper": {"from_diameter": 580, "to_diameter": 380, "depth": 4}}})));
    for (diameter, thickness) in [(590.0, 50.0), (580.0, 50.0), (480.0, 48.0), (380.0, 46.0), (300.0, 46.0)] {
        let cut = worn(&job.wheel, diameter);
        assert!((cut.thickness - thickness).abs() < 1e-9, "{diameter}: {}", cut.thickness);
        let left = Section::of(&cut).unwrap().thickness_at(120.0);
        assert!((left - 46.0).abs() < 1e-9, "{diameter}: {left}");
    }
}

/// An order in inches for the proposal: what is changed is given.
fn hub(changes: &[(&str, Value)]) -> Job {
    let mut order = json!({"order": {"number": "1", "revision": "A"}, "units": "in",
        "wheel": {"outside_diameter": 26, "thickness": 2, "bore": 8},
        "machine": {"spindle_rpm": 950, "usable_travel": 4, "travel_on": "radius"},
        "mount": {"flange_diameter": 12, "bolt_length": 3, "bolt_stack": 1.3}});
    for (pointer, value) in changes {
        crate::rules::change(&mut order, pointer, value);
    }
    job(&order)
}

#[test]
fn a_recess_in_round_sizes() {
    let guide = ShopRules::built_in().recess_guide(LengthUnit::Inch);
    let at = |job: &Job| propose(job, &frame(job, &guide).unwrap(), &guide);
    // bolts reach 1.7 in through 2: 0.3 in deep at least, 5/16 in round sizes; worn out at 18 in
    let p = at(&hub(&[])).unwrap();
    let inches = |mm: f64| mm / 25.4;
    assert_eq!(p.sides, 1);
    close(inches(p.depth), 0.3125, 1e-12);
    close(inches(p.diameter), 18.0, 1e-12);
    close(inches(p.thickness_left), 1.6875, 1e-12);
    close(inches(p.groove_room), 4.0, 1e-12);
    // travel of 4.1 in: worn out at 17.8, the next round size is 17.5
    close(inches(at(&hub(&[("/machine/usable_travel", json!(4.1))])).unwrap().diameter), 17.5, 1e-12);
    // on the diameter: worn out at 22
    close(inches(at(&hub(&[("/machine/travel_on", json!("diameter"))])).unwrap().diameter), 22.0, 1e-12);
    // bolts that reach through 1 in: half of the wheel from one side, exactly
    let p = at(&hub(&[("/mount/bolt_length", json!(2.3))])).unwrap();
    assert_eq!(p.sides, 1);
    close(inches(p.depth), 1.0, 1e-12);
    // a little less: both sides, and the maker is asked
    let p = at(&hub(&[("/mount/bolt_length", json!(2.29))])).unwrap();
    assert!(p.sides == 2 && p.ask_maker, "{p:?}");
    close(inches(p.depth), 0.5625, 1e-12);
    // a quarter of the wheel at the least
    assert!(at(&hub(&[("/mount/bolt_length", json!(1.8))])).is_ok());
    assert_eq!(at(&hub(&[("/mount/bolt_length", json!(1.79))])), Err(Refusal::TooDeep));
    assert_eq!(at(&hub(&[("/mount/bolt_length", json!(1.3))])), Err(Refusal::BoltsTooShort));
    // clearance 1.02 × 12 in + 4 mm = 12.397 in: no round size up to 12.45, so the clearance itself; none at all at 12.39
    let p = at(&hub(&[("/machine/usable_travel", json!(6.775))])).unwrap();
    close(inches(p.diameter), 12.24 + 4.0 / 25.4, 1e-12);
    assert_eq!(at(&hub(&[("/machine/usable_travel", json!(6.81))])), Err(Refusal::NoRoom));
    // bolts that reach anyway: the shallowest round depth
    close(inches(at(&hub(&[("/mount/bolt_length", json!(4))])).unwrap().depth), 0.0625, 1e-12);
}

#[test]
fn a_proposed_recess_meets_the_rules() {
    let shop = ShopRules::built_in();
    let guide = shop.recess_guide(LengthUnit::Inch);
    for bolt in ["2.1", "2.29", "2.3", "2.5", "2.9", "3", "3.3"] {
        let base = [("/mount/bolt_length", json!(format!("{bolt} in")))];
        let p = propose(&hub(&base), &frame(&hub(&base), &guide).unwrap(), &guide).unwrap();
        let step = json!([{"diameter": format!("{} mm", p.diameter), "depth": format!("{} mm", p.depth),
            "fillet_radius": format!("{} mm", p.most_fillet * 0.999)}]);
        let mut changes = base.to_vec();
        changes.push(("/wheel/side_a", json!({"recess": step})));
        if p.sides == 2 {
            changes.push(("/wheel/side_b", json!({"recess": step})));
        }
        let outcome = wheeldraft::rules::check(&hub(&changes), &shop);
        let about = ["recess", "bolts", "wide"];
        let open: Vec<_> = outcome.findings.iter().filter(|f| about.iter().any(|a| f.id.starts_with(a))).collect();
        let allowed = usize::from(p.ask_maker);
        assert_eq!(open.len(), allowed, "{bolt}: {open:#?}");
    }
}

#[test]
fn exactly_the_questions_that_are_open() {
    let missing = |changes: &[(&str, Value)]| Missing::of(&hub(changes));
    let none = Value::Null;
    assert_eq!(missing(&[]), []);
    assert_eq!(missing(&[("/mount/bolt_length", none.clone())]), [Missing::BoltLength]);
    assert_eq!(missing(&[("/mount/bolt_stack", none.clone())]), [Missing::BoltStack]);
    assert_eq!(missing(&[("/machine/travel_on", none.clone())]), [Missing::TravelOn]);
    assert_eq!(
        missing(&[("/mount", none.clone()), ("/machine", none)]),
        [Missing::Bolts, Missing::Flange, Missing::Travel]
    );
}

/// What each tolerance may bring at worst, by hand; a disc Ø400 × 50 of 2.2 g/cm³ with its hole filled weighs 13 823.008 g (πR²T·ρ).
#[test]
fn what_tolerances_may_bring() {
    let mut order = order(json!({"outside_diameter": 400, "thickness": 50, "bore": 127, "bore_chamfer": 2,
        "side_b": {"recess": [{"diameter": 200, "depth": 15}]}}));
    order["tolerances"] = json!({"runout_face": {"upper": 0, "lower": -0.1}, "bore": "+0.05/0", "parallelism": {"upper": 0.01, "lower": -0.02}});
    let job = job(&order);
    let section = Section::of(&job.wheel).unwrap();
    let volume = section.revolved().volume;
    let found = causes(&job, &section, volume, 2200.0, -0.02);
    let disc = |d: f64, t: f64| PI / 4.0 * d * d * t * 2.2e-3;
    let recess = disc(200.0, 15.0) - disc(127.0, 15.0);
    // a chamfer of 2 mm takes a triangle of 2 mm² at r 63.5 + 2/3 from each end (Pappus)
    let chamfers = 2.0 * 2.0 * PI * (63.5 + 2.0 / 3.0) * 2.0 * 2.2e-3;
    let wheel = disc(400.0, 50.0) - disc(127.0, 35.0) - recess - disc(127.0, 15.0) - chamfers;
    let hole = disc(127.0, 35.0);
    let wedge = 2.2e-3 * 0.02 / 400.0 * PI / 4.0 * (200.0f64.powi(4) - 63.5f64.powi(4));
    let want = [
        ("bore off centre", 0.05, (wheel + hole) * 0.05),
        ("recess of side B", 0.05, recess * 0.05),
        ("clearance of the bore", 0.035, wheel * 0.035),
        ("out of parallel", 0.02, wedge),
    ];
    assert_eq!(found.len(), want.len(), "{found:#?}");
    for (cause, (what, size, unbalance)) in found.iter().zip(want) {
        assert!(cause.what.contains(what), "{cause:?}");
        assert!((cause.size.unwrap() - size).abs() < 1e-12, "{cause:?}");
        close(cause.unbalance, unbalance, 1e-12);
    }
    // a spindle larger than the hole leaves no clearance
    assert_eq!(causes(&job, &section, volume, 2200.0, 0.06)[2].unbalance, 0.0);
    // what grooves take away is not there to be off centre: 2000 mm³ less weigh 4.4 g less
    let lighter = causes(&job, &section, volume - 2000.0, 2200.0, -0.02);
    close(found[0].unbalance - lighter[0].unbalance, 4.4 * 0.05, 1e-9);
    close(found[2].unbalance - lighter[2].unbalance, 4.4 * 0.035, 1e-9);
}

#[test]
fn a_grade_of_a_heavier_rotor() {
    // 9549·G·m/n: 9549·2.5·12/1900 (ISO 21940-11)
    close(grade_unbalance(2.5, 12.0, 1900.0), 150.773_684_210_526, 1e-12);
}

/// Tapers of 0.2 and 0.1 in at the bore leave 1.7 of 2 in between the flanges.
#[test]
fn a_recess_in_a_tapered_hub() {
    let guide = ShopRules::built_in().recess_guide(LengthUnit::Inch);
    let taper = |depth: f64| json!({"from_diameter": 20, "to_diameter": 8, "depth": depth});
    let job = hub(&[
        ("/wheel/side_a", json!({"taper": taper(0.2)})),
        ("/wheel/side_b", json!({"taper": taper(0.1)})),
        ("/mount/bolt_length", json!(2.7)),
    ]);
    let inch = |mm: f64| mm / 25.4;
    let f = frame(&job, &guide).unwrap();
    close(inch(f.reach), 1.4, 1e-12);
    close(inch(f.least_depth), 0.3, 1e-12);
    close(inch(f.most_depth_one_side), 1.7 - 2.0 * guide.one_side_share, 1e-12);
    close(inch(f.most_depth_two_sides), 1.7 - 2.0 * guide.two_sides_share, 1e-12);
    close(inch(f.most_diameter), 18.0, 1e-12);
    let p = propose(&job, &f, &guide).unwrap();
    close(inch(p.depth), 0.3125, 1e-12);
    close(inch(p.thickness_left), 1.7 - 0.3125, 1e-12);
    // the flat must exceed the flange by its share of fillets: here the recess is shallower than that
    assert!(!p.ask_maker && (p.most_fillet - p.depth).abs() < 1e-12);
}

#[test]
fn the_flange_s_flat_and_the_maker_s_share_on_their_limits() {
    let built_in = ShopRules::built_in().recess_guide(LengthUnit::Inch);
    // as small as the flange's clearance: the fillet is bound by the flat, not by the depth
    let tight = hub(&[("/machine/usable_travel", json!(6.775))]);
    let p = propose(&tight, &frame(&tight, &built_in).unwrap(), &built_in).unwrap();
    close(p.most_fillet, (p.diameter - 12.0 * 25.4) / (2.0 + built_in.fillet_factor), 1e-12);
    assert!(p.most_fillet < p.depth);
    // two recesses of 9/16 in leave 7/8 of 2 in: 0.4375, which is asked about below a share only
    let both = hub(&[("/mount/bolt_length", json!(2.29))]);
    for (share, asked) in [(0.4375 - 1e-6, false), (0.4375, false), (0.4375 + 1e-6, true)] {
        let guide = Guide { caution_share: share, ..built_in };
        let p = propose(&both, &frame(&both, &guide).unwrap(), &guide).unwrap();
        assert_eq!((p.sides, p.ask_maker), (2, asked), "{share}");
    }
    // one recess is not asked about however little it leaves
    let one = hub(&[("/mount/bolt_length", json!(2.3))]);
    let guide = Guide { caution_share: 0.9, ..built_in };
    let p = propose(&one, &frame(&one, &guide).unwrap(), &guide).unwrap();
    assert_eq!((p.sides, p.ask_maker), (1, false));
}

#[test]
fn a_recess_where_no_round_depth_fits() {
    let guide = ShopRules::built_in().recess_guide(LengthUnit::Inch);
    let at = |thickness: f64, bolt: f64| {
        let job = hub(&[("/wheel/thickness", json!(thickness)), ("/mount/bolt_length", json!(bolt))]);
        propose(&job, &frame(&job, &guide).unwrap(), &guide)
    };
    // a quarter of 2.01 in must stay, and the bolts need exactly that: 0.753 75 from each side, between two sixteenths
    let p = at(2.01, 1.8025).unwrap();
    assert_eq!((p.sides, p.ask_maker), (2, true));
    close(p.depth / 25.4, 0.753_75, 1e-12);
    close(p.thickness_left / 25.4, 0.5025, 1e-12);
    // half of 1.01 in: the bolts need 0.5 in, which is round, or 0.505 in, which is not
    close(at(1.01, 1.81).unwrap().depth / 25.4, 0.5, 1e-12);
    close(at(1.01, 1.805).unwrap().depth / 25.4, 0.505, 1e-12);
    // so thin that half of it is less than a sixteenth, and the bolts reach: nothing to propose
    assert_eq!(at(0.1, 3.0), Err(Refusal::TooDeep));
}

#[test]
fn the_fillet_that_leaves_the_flange_its_flat() {
    let built_in = ShopRules::built_in().recess_guide(LengthUnit::Inch);
    let tight = hub(&[("/machine/usable_travel", json!(6.775))]);
    let guide = Guide { fillet_factor: 3.0, ..built_in };
    let p = propose(&tight, &frame(&tight, &guide).unwrap(), &guide).unwrap();
    // the clearance is 2 % of 12 in and 4 mm; two radii go off the recess and three more are asked for
    close(p.most_fillet, (0.02 * 12.0 * 25.4 + 4.0) / 5.0, 1e-9);
}

#[test]
fn a_question_s_hint_says_what_to_give() {
    use Missing::{BoltLength, BoltStack, Bolts, Flange, Travel, TravelOn};
    for missing in [Bolts, BoltLength, BoltStack, Flange, Travel, TravelOn] {
        let says = ["Give ", "Say "].iter().any(|word| missing.hint().starts_with(word));
        assert!(says, "{missing:?}: {}", missing.hint());
        assert!(missing.field().starts_with("/m"), "{missing:?}: {}", missing.field());
        assert!(missing.question().ends_with('?'));
    }
}

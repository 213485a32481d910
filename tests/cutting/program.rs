//! Control programs, read and simulated here apart from the program's own reader.

use super::files::wishes;
use super::support::reference_jobs;
use serde_json::json;
use wheeldraft::cutting::control::Controls;
use wheeldraft::cutting::nose::NosePath;
use wheeldraft::cutting::passes::{self, Cutter, Passes};
use wheeldraft::cutting::profile::Profile;
use wheeldraft::cutting::program::{self, Roughing, Turned};
use wheeldraft::export::dxf::Flavour;
use wheeldraft::geometry::Point;
use wheeldraft::pack::machine::{Wishes, files};
use wheeldraft::wheel::{Job, SideName};

/// Words allowed: those of ISO 6983 that the module names.
const G_WORDS: [&str; 11] = ["G0", "G1", "G2", "G3", "G17", "G18", "G40", "G71", "G90", "G94", "G95"];

/// One move: every axis' place after it, in the order X, Y, Z, C.
struct Step {
    to: [f64; 4],
}

fn steps(text: &str) -> Vec<Step> {
    let mut to = [f64::NAN; 4];
    let mut steps = Vec::new();
    for line in text.lines().filter(|l| l.starts_with('N')) {
        let mut g = None;
        for word in line.split(' ').skip(1) {
            let value: f64 = word[1..].parse().unwrap();
            match &word[..1] {
                "G" => {
                    assert!(G_WORDS.contains(&word), "{line}");
                    if word.len() == 2 {
                        g = Some(word.to_owned());
                    }
                }
                "X" => to[0] = value,
                "Y" => to[1] = value,
                "Z" => to[2] = value,
                "C" => to[3] = value,
                "I" | "K" => {}
                "M" => assert!(word == "M0" || word == "M30", "{line}"),
                "F" => {}
                _ => panic!("{line}"),
            }
        }
        if g.is_some() {
            steps.push(Step { to });
        }
    }
    steps
}

fn head_is_complete(text: &str) {
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[0], "(MUST BE PROVED DRY BY A QUALIFIED SETTER BEFORE ANY WHEEL IS CUT)");
    assert_eq!(lines[1], "%");
    let head: String = lines.iter().take_while(|l| !l.starts_with('N')).copied().collect::<Vec<_>>().join(" ");
    for part in ["UNITS: MILLIMETRES", "DATUM", "TOOL: ", "FEED: ", "SPEEDS: TO BE SET"] {
        assert!(head.contains(part), "{part} is missing in {head}");
    }
    assert!(text.is_ascii());
    assert!(text.lines().all(|l| l == "%" || l.starts_with('N') || l.starts_with('(') && l.ends_with(')')), "{text}");
    assert!(text.trim_end().ends_with("M30\n%"));
}

/// The deepest cut at (u, v) of a groove's frame: the envelope of the disc's moves below the datum plane.
fn cut_depth(moves: &[(Point, f64, f64)], disc: f64, width: f64, u: f64, v: f64) -> f64 {
    let over = moves.iter().filter(|(_, y, _)| (y - v).abs() <= width / 2.0 + 1e-9);
    let depth = |(at, _, _): &(Point, f64, f64)| {
        let du = u - at.x;
        // at.y is Z of the lowest point
        (du.abs() < disc).then(|| -at.y - (disc - (disc * disc - du * du).sqrt()))
    };
    over.filter_map(depth).fold(0.0, f64::max)
}

#[test]
fn groove_passes_cut_the_floor_and_never_below_it() {
    let order = json!({"order": {"number": "G1", "revision": "A"}, "units": "mm",
        "tooling": {"groove_cutter_width": 2, "groove_cutter_diameter": 80},
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127,
            "side_b": {"taper": {"from_diameter": 220, "to_diameter": 400, "depth": 3},
                "grooves": {"count": 6, "start_deg": 7, "skew_deg": 12, "width": 3, "depth": 5, "inner_diameter": 240}}}});
    let job = crate::support::job(&order);
    let cutter = Cutter::of(&job, None, Some(2.0)).unwrap();
    let made = passes::side(&job, SideName::B, &cutter).unwrap().unwrap();
    let control = Controls::built_in().unwrap().grooving;
    let draft = program::side(&job, SideName::B, (&cutter, &made), &control, &[]).unwrap().unwrap();
    let text = draft.text();
    head_is_complete(text);
    let steps = steps(text);
    // C of the grooves: as the index table has them, mirrored places, each from its number
    let mut directions: Vec<f64> = steps.iter().map(|s| s.to[3]).filter(|c| c.is_finite()).collect();
    directions.dedup();
    let expected: Vec<f64> = (0..6).map(|k| (-f64::from(k) * 60.0).rem_euclid(360.0)).collect();
    assert_eq!(directions, expected);
    // every place of the disc while the first groove is cut
    let first: Vec<&Step> = steps.iter().take_while(|s| s.to[3].is_nan() || s.to[3] == expected[0]).collect();
    let mut moves = Vec::new();
    for pair in first.windows(2).filter(|p| p[0].to.iter().take(3).all(|x| x.is_finite())) {
        let (a, b) = (pair[0].to, pair[1].to);
        for i in 0..=400 {
            let t = f64::from(i) / 400.0;
            let mix = |n: usize| a[n] + (b[n] - a[n]) * t;
            moves.push((Point::new(mix(0), mix(2)), mix(1), 0.0));
        }
    }
    // by the order format: the line from (inner radius, nominal + 5) to (outside, nominal + 5), over u; nominal falls from 110 to 200 mm
    let along = |r: f64| (r * r - (200.0 * 12.0_f64.to_radians().sin()).powi(2)).sqrt();
    let nominal = |r: f64| 3.0 * (r - 110.0) / 90.0;
    let (inner, outer) = (along(120.0), along(200.0));
    let floor = |u: f64| {
        let (a, b) = (nominal(120.0) + 5.0, nominal(200.0) + 5.0);
        a + (b - a) * (u - inner) / (outer - inner)
    };
    let middle = 200.0 * 12.0_f64.to_radians().sin();
    for i in 0..=100 {
        let u = inner + (outer - inner) * f64::from(i) / 100.0;
        for v in [-1.49, -0.7, 0.0, 0.7, 1.49] {
            let got = cut_depth(&moves, 40.0, 2.0, u, middle + v);
            assert!(got <= floor(u) + 1e-4, "u {u}, v {v}: {got} below the floor {}", floor(u));
            if u > inner + 22.0 {
                assert!(got > floor(u) - 2e-3, "u {u}, v {v}: only {got} of {}", floor(u));
            }
        }
        // beside the walls nothing is touched, inside the inner end nothing deeper than the side
        assert_eq!(cut_depth(&moves, 40.0, 2.0, u, middle + 1.51), 0.0);
        let inside = inner - f64::from(i) / 10.0;
        assert!(cut_depth(&moves, 40.0, 2.0, inside, middle) <= nominal(120.0) + 1e-3);
    }
}

#[test]
fn programs_are_named_with_their_tools() {
    let mut order: serde_json::Value = json!({"order": {"number": "7", "revision": "C"}, "units": "mm", "tooling": {"profile_nose_radius": 0.5, "groove_cutter_width": 2, "groove_cutter_diameter": 150},
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127, "face": {"grooves": {"count": 9, "width": 4, "depth": 3}}}});
    let programs = Wishes { programs: true, approved: false, ..wishes(Flavour::R2000) };
    let made = files(&crate::support::job(&order), &programs).unwrap();
    let names: Vec<&str> = made.files.iter().map(|f| f.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "7-C-profile-UNAPPROVED_mm.dxf",
            "7-C-profile-nose-0.5-set-up-1-side-a-UNAPPROVED_mm.nc",
            "7-C-profile-nose-0.5-set-up-2-side-b-UNAPPROVED_mm.nc",
            "7-C-grooves-face-UNAPPROVED_mm.dxf",
            "7-C-index-face-UNAPPROVED.csv",
            "7-C-grooves-face-cutter-2-UNAPPROVED_mm.nc",
        ]
    );
    order["tooling"] = json!({});
    let refused = files(&crate::support::job(&order), &programs).unwrap_err();
    assert!(refused.hint().contains("give the nose radius"), "{refused}");
}

fn turning(job: &Job, nose: f64, side: usize) -> String {
    let controls = Controls::built_in().unwrap();
    let shape = Profile::of(&job.wheel).unwrap();
    let path = NosePath::of(&shape, nose).unwrap();
    let turned = Turned {
        shape: &shape,
        nose: &path,
        roughing: Roughing::of(nose, None, None).unwrap(),
        control: &controls.turning,
    };
    let set_up = program::set_ups(&controls.turning)[side];
    program::program(job, &turned, set_up, &[]).unwrap().text().to_owned()
}

#[test]
fn feed_is_the_orders_side_dressing_lead_or_the_controls() {
    let (_, mut job) = reference_jobs().remove(0);
    job.tooling.side_dress_lead = Some(0.15);
    assert!(turning(&job, 0.8, 0).contains(" F0.15\n"));
    job.tooling.side_dress_lead = None;
    assert!(turning(&job, 0.8, 1).contains(" F0.1\n"));
}

/// The arc is that of the order: a disc of 300 that touches the side at the inner end and the floor, on a flat side (a circle, a line, Pythagoras).
#[test]
fn a_small_disc_rises_along_the_run_out_of_a_larger_one() {
    let order = json!({"order": {"number": "G2", "revision": "A"}, "units": "mm",
        "tooling": {"groove_cutter_width": 2, "groove_cutter_diameter": 80, "profile_nose_radius": 0.8},
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127,
            "side_a": {"grooves": {"count": 6, "width": 2, "depth": 8, "inner_diameter": 240,
                "inner_end": "runout", "cutter_diameter": 300}}}});
    let job = crate::support::job(&order);
    let section = wheeldraft::section::Section::of(&job.wheel).unwrap();
    assert_eq!(wheeldraft::reach::of(&job, &section), [], "nothing is left");
    let (r, d) = (150.0_f64, 8.0_f64);
    let tangent = 120.0 + (d * (2.0 * r - d)).sqrt();
    let floor = |u: f64| if u < tangent { d - r + (r * r - (u - tangent).powi(2)).sqrt() } else { d };
    for depth_per_pass in [None, Some(3.0), Some(0.4)] {
        let cutter = Cutter::of(&job, None, depth_per_pass).unwrap();
        let made = passes::side(&job, SideName::A, &cutter).unwrap().unwrap();
        let control = Controls::built_in().unwrap().grooving;
        let draft = program::side(&job, SideName::A, (&cutter, &made), &control, &[]).unwrap().unwrap();
        let steps = steps(draft.text());
        let first: Vec<&Step> = steps.iter().take_while(|s| s.to[3].is_nan() || s.to[3] == 0.0).collect();
        let mut moves = Vec::new();
        for pair in first.windows(2).filter(|p| p[0].to.iter().take(3).all(|x| x.is_finite())) {
            let mix = |n: usize, t: f64| pair[0].to[n] + (pair[1].to[n] - pair[0].to[n]) * t;
            let ts = (0..=200).map(|i| f64::from(i) / 200.0);
            moves.extend(ts.map(|t| (Point::new(mix(0, t), mix(2, t)), mix(1, t), 0.0)));
        }
        for i in 0..=160 {
            let u = 120.0 + f64::from(i) / 2.0;
            let got = cut_depth(&moves, 40.0, 2.0, u, 0.0);
            assert!((got - floor(u)).abs() < 2e-3, "{depth_per_pass:?}, u {u}: {got}, ordered {}", floor(u));
        }
        assert!((0..100).all(|i| cut_depth(&moves, 40.0, 2.0, 120.0 - f64::from(i), 0.0) < 1e-3));
        assert!(driven(&job, &cutter, &made).is_ok(), "{depth_per_pass:?}");
        refuses_poor_rises(&job, &cutter, &made);
    }
}

fn driven(job: &Job, cutter: &Cutter, made: &Passes) -> Result<(), String> {
    let control = Controls::built_in().unwrap().grooving;
    let draft = program::side(job, SideName::A, (cutter, made), &control, &[]).unwrap().unwrap();
    wheeldraft::simulate::side(job, draft, &control, (SideName::A, cutter)).map(|_| ()).map_err(|why| why.to_string())
}

/// A way to spoil a rise, with its name and the millimetres it leaves on the arc at least.
type Poor = (&'static str, f64, fn(&mut Vec<Point>));

/// What is left follows from two circles: one of 40 and the arc of 150, which touch a little or far away.
const POOR: [Poor; 7] = [
    ("no rise", 1.0, Vec::clear),
    ("cut short by half", 1.0, |climb| climb.truncate(climb.len() / 2)),
    ("without its last piece", 0.002, |climb| {
        climb.pop();
    }),
    ("one chord", 0.1, |climb| *climb = vec![climb[0], climb[climb.len() - 1]]),
    ("every third place", 0.002, |climb| {
        *climb = climb.iter().copied().step_by(3).chain(climb.last().copied()).collect()
    }),
    ("too high", 0.1, |climb| climb.iter_mut().skip(1).for_each(|p| p.y += 0.3)),
    ("begun too far out", 0.02, |climb| climb.iter_mut().for_each(|p| p.x += 2.0)),
];

fn refuses_poor_rises(job: &Job, cutter: &Cutter, made: &Passes) {
    for (what, least, spoil) in POOR {
        let mut poor = made.clone();
        poor.passes.iter_mut().for_each(|p| spoil(&mut p.climb));
        let why = driven(job, cutter, &poor).unwrap_err();
        let left: f64 =
            why.split("leaves ").nth(1).and_then(|s| s.split(' ').next()).unwrap_or("").parse().expect(&why);
        assert!(why.contains("groove 1 at diameter") && why.contains("that the disc could have cut"), "{what}: {why}");
        assert!(left >= least, "{what}: {why}");
    }
}

#[test]
fn an_exact_head_is_not_said_to_round() {
    let said = |count: u32| {
        let order = json!({"order": {"number": "7", "revision": "C"}, "units": "mm",
            "tooling": {"index_step_deg": 0.01},
            "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127, "face": {"grooves": {"count": count, "width": 4, "depth": 3}}}});
        files(&crate::support::job(&order), &wishes(Flavour::R12)).unwrap().remarks.join("\n")
    };
    assert_eq!(said(36), "");
    assert!(said(7).contains("angles rounded to the head's step, 0.00"), "{}", said(7));
}

//! Views of random wheels at every scale they may be drawn at: nothing touches what it must not, every number is drawn once, prints what it measures.
//!
//! The check here is written from the definitions (boxes of ink, segments that cross), apart from the layout and from the sheets' own check.

use crate::support::{job, random_orders};
use serde_json::{Value, json};
use wheeldraft::drawing::{Group, Item, LineRole, measure};
use wheeldraft::geometry::{Bounds, Edge, Point};
use wheeldraft::section::Section;
use wheeldraft::sheet::view::{Context, Scale, Style, View, ViewError, ViewKind, Writing, build, plan};
use wheeldraft::size::Subject;
use wheeldraft::wheel::Job;

/// Random orders looked at; each gives some eight views at several scales.
const ORDERS: u64 = 150;
/// Chords that stand for an arc.
const CHORDS: u32 = 24;
/// Largest view worth drawing, mm: no sheet holds more.
const LARGEST: f64 = 400.0;

#[derive(Debug)]
struct Line {
    from: Point,
    to: Point,
    owner: String,
    role: LineRole,
}

#[derive(Debug, Default)]
struct Found {
    texts: Vec<(Bounds, String, String)>,
    lines: Vec<Line>,
}

impl Found {
    fn collect(&mut self, items: &[Item], owner: &str) {
        for item in items {
            match item {
                Item::Group(Group { subject, id, items, .. }) => {
                    self.collect(items, if subject.is_none() { owner } else { id });
                }
                Item::Text(text) => {
                    let ink = measure::ink_on_sheet(text).unwrap().bounds();
                    self.texts.push((ink, owner.to_owned(), text.content.clone()));
                }
                Item::Line { from, to, role } => self.line(*from, *to, owner, *role),
                Item::Arc { arc, role } => self.curve(&Edge::Arc(*arc), owner, *role),
                Item::Circle { centre, radius, role, .. } => {
                    let at = |i: u32| *centre + Point::polar(*radius, f64::from(i) * std::f64::consts::TAU / 96.0);
                    (0..96).for_each(|i| self.line(at(i), at(i + 1), owner, *role));
                }
                Item::Contour { contour, role, .. } => {
                    let role = role.unwrap_or(LineRole::Dimension);
                    contour.edges().iter().for_each(|e| self.curve(e, owner, role));
                }
                Item::Area { outlines, .. } => {
                    outlines.iter().flat_map(|c| c.edges()).for_each(|e| self.curve(e, owner, LineRole::Dimension));
                }
                Item::Hatch { lines } => {
                    lines.iter().for_each(|(a, b)| self.line(*a, *b, owner, LineRole::Hatching));
                }
            }
        }
    }

    fn curve(&mut self, edge: &Edge, owner: &str, role: LineRole) {
        let n = if matches!(edge, Edge::Line(_)) { 1 } else { CHORDS };
        let at = |i: u32| edge.at(f64::from(i) / f64::from(n));
        (0..n).for_each(|i| self.line(at(i), at(i + 1), owner, role));
    }

    fn line(&mut self, from: Point, to: Point, owner: &str, role: LineRole) {
        self.lines.push(Line { from, to, owner: owner.to_owned(), role });
    }
}

/// Whether two segments cross at inner points of both.
fn cross(a: &Line, b: &Line) -> bool {
    let side = |l: &Line, p: Point| (l.to - l.from).cross(p - l.from) / (l.to - l.from).length().max(1e-9);
    let apart = |l: &Line, m: &Line| {
        let (p, q) = (side(l, m.from), side(l, m.to));
        (p > 0.02 && q < -0.02) || (p < -0.02 && q > 0.02)
    };
    apart(a, b) && apart(b, a)
}

/// Whether a segment comes into a box.
fn enters(line: &Line, b: Bounds) -> bool {
    // Liang–Barsky
    let d = line.to - line.from;
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for (p, q) in [
        (-d.x, line.from.x - b.min.x),
        (d.x, b.max.x - line.from.x),
        (-d.y, line.from.y - b.min.y),
        (d.y, b.max.y - line.from.y),
    ] {
        if p == 0.0 {
            if q < 0.0 {
                return false;
            }
        } else if p < 0.0 {
            low = low.max(q / p);
        } else {
            high = high.min(q / p);
        }
    }
    low < high
}

/// Whether a segment comes nearer to a box than so many mm.
fn near(line: &Line, b: Bounds, clear: f64) -> bool {
    let edge = Edge::line(line.from, line.to);
    let corners = [b.min, Point::new(b.max.x, b.min.y), b.max, Point::new(b.min.x, b.max.y)];
    let off = |p: Point| p.distance(Point::new(p.x.clamp(b.min.x, b.max.x), p.y.clamp(b.min.y, b.max.y)));
    // where they do not meet, the nearest place is a corner of the box or an end of the segment
    enters(line, b)
        || corners.iter().any(|c| edge.distance(*c) < clear)
        || [line.from, line.to].iter().any(|end| off(*end) < clear)
}

/// Whatever is wrong within one view.
fn faults(view: &View) -> Vec<String> {
    let mut found = Found::default();
    found.collect(std::slice::from_ref(&Item::Group(view.group.clone())), "");
    let mut out = Vec::new();
    for (i, (ink, owner, text)) in found.texts.iter().enumerate() {
        if !view.bounds.grown(1e-6).contains(*ink) {
            out.push(format!("`{text}` leaves the view's box"));
        }
        for (other, other_owner, other_text) in &found.texts[..i] {
            let gap = if owner == other_owner { 0.4 } else { 1.0 };
            if ink.grown(gap - 1e-9).overlaps(*other) {
                out.push(format!("`{text}` is too near to `{other_text}`"));
            }
        }
        // 0.7 mm clear and half a narrow line
        for line in found.lines.iter().filter(|l| l.owner != *owner) {
            if near(line, *ink, 0.7 + 0.125 - 1e-9) {
                out.push(format!(
                    "`{text}` {ink:.1?} is too near to a {:?} line of `{}` {:.1?} {:.1?}",
                    line.role, line.owner, line.from, line.to
                ));
            }
        }
    }
    let dimensions: Vec<&Line> =
        found.lines.iter().filter(|l| l.role == LineRole::Dimension && !l.owner.contains("ring")).collect();
    for (i, a) in dimensions.iter().enumerate() {
        for b in dimensions[..i].iter().filter(|b| b.owner != a.owner && cross(a, b)) {
            out.push(format!("lines of `{}` and `{}` cross at about {:?}", a.owner, b.owner, a.from));
        }
    }
    for drawn in &view.drawn {
        if (drawn.measured - drawn.nominal).abs() > 1e-6 * drawn.nominal.abs().max(1.0) {
            out.push(format!("{} measures {}, not {}", drawn.subject, drawn.measured, drawn.nominal));
        }
    }
    out
}

/// Scales of a request that give a view some sheet holds.
fn scales(job: &Job, kind: &ViewKind, all: &[Scale]) -> Vec<Scale> {
    let whole = matches!(kind, ViewKind::Section | ViewKind::PlainSection | ViewKind::Side(_) | ViewKind::Face);
    let fits = |s: &&Scale| !whole || job.wheel.outside_diameter * s.factor() < LARGEST;
    let legible = |s: &&Scale| !whole || job.wheel.outside_diameter * s.factor() >= 45.0;
    all.iter().filter(fits).filter(legible).copied().collect()
}

/// Draws every view of an order at every scale; returns what is wrong, and how many views could not be dimensioned of how many.
fn look(order: &Value) -> (Vec<String>, usize, usize) {
    let job = job(order);
    let section = Section::of(&job.wheel).unwrap();
    let (style, requirements, shown) = (Style::of(&job), job.requirements(), plan(&job, &section));
    let context = Context {
        job: &job,
        section: &section,
        style: &style,
        requirements: &requirements,
        shown: &shown,
        references: true,
        writing: Writing::Lines,
    };
    let (mut wrong, mut crowded, mut tried) = (Vec::new(), 0, 0);
    let mut drawn: Vec<Subject> = Vec::new();
    for request in &shown {
        let mut first = true;
        for scale in scales(&job, &request.kind, &request.scales) {
            tried += 1;
            let view = match build(request, scale, &context) {
                Ok(view) => view,
                Err(ViewError::Crowded { .. }) => {
                    crowded += 1;
                    continue;
                }
                Err(other) => panic!("{other}"),
            };
            let name = format!("{} {:?} {scale}", job.file_stem(), request.kind);
            wrong.extend(faults(&view).into_iter().map(|f| format!("{name}: {f}")));
            if first {
                drawn.extend(view.drawn.iter().map(|d| d.subject));
                first = false;
            }
        }
        if first {
            wrong.push(format!("{}: {:?} cannot be drawn at any scale", job.file_stem(), request.kind));
        }
    }
    for requirement in &requirements {
        // one dimension may stand for the same size on both sides, and then names both
        let name = requirement.size.to_string();
        let shows = |d: &&Subject| !matches!(d, Subject::Reference(_)) && d.to_string().split(' ').any(|n| n == name);
        let times = drawn.iter().filter(shows).count();
        if times != 1 {
            wrong.push(format!("{}: {} is drawn {times} times", job.file_stem(), requirement.size));
        }
    }
    (wrong, crowded, tried)
}

#[test]
fn random_wheels_at_every_scale() {
    let orders = std::env::var("VIEW_ORDERS").ok().and_then(|n| n.parse().ok()).unwrap_or(ORDERS);
    let (mut wrong, mut crowded, mut tried) = (Vec::new(), 0, 0);
    for seed in 0..orders {
        let (w, c, t) = look(&random_orders::order(seed));
        wrong.extend(w);
        crowded += c;
        tried += t;
    }
    assert!(wrong.is_empty(), "{} faults, among them\n{}", wrong.len(), wrong[..wrong.len().min(200)].join("\n"));
    // small scales may be too small for the texts, but not often
    assert!(crowded * 10 < tried, "{crowded} of {tried} views cannot be dimensioned");
}

fn plain(wheel: Value) -> Value {
    json!({"order": {"number": "V", "revision": "A"}, "units": "mm", "wheel": wheel})
}

#[test]
fn a_plain_wheel_has_three_sizes_in_one_section() {
    let (wrong, crowded, _) = look(&plain(json!({"outside_diameter": 400, "thickness": 50, "bore": 127})));
    assert!(wrong.is_empty() && crowded == 0, "{wrong:?} {crowded}");
}

#[test]
fn diameters_a_hair_apart_bend_their_extension_lines() {
    let order = plain(json!({
        "outside_diameter": 610, "thickness": 60, "bore": 203.2,
        "side_a": {"recess": [{"diameter": 300, "depth": 10}, {"diameter": 298, "depth": 20}],
                   "taper": {"from_diameter": 302, "to_diameter": 610, "depth": 1},
                   "grooves": {"count": 36, "width": 3, "depth": 5, "inner_diameter": 301}}
    }));
    let (wrong, ..) = look(&order);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A wheel with everything at once: two steps, fillets, tapers, corners of both kinds, every groove, blank, tolerances of form.
fn full() -> Value {
    json!({"order": {"number": "V", "revision": "A"}, "units": "mm",
        "wheel": {
            "outside_diameter": 500, "thickness": 63, "bore": 203.2, "bore_chamfer": 1,
            "side_a": {"recess": [{"diameter": 300, "depth": 10, "fillet_radius": 3}, {"diameter": 260, "depth": 18}],
                "taper": {"from_diameter": 320, "to_diameter": 500, "depth": 1.5}, "corner": {"radius": 0.8},
                "grooves": {"count": 72, "width": 2, "depth": 4, "inner_diameter": 310, "start_deg": 2.5, "skew_deg": 12}},
            "side_b": {"corner": {"chamfer": 0.8, "angle_deg": 30},
                "grooves": {"count": 4, "omit": [1], "width": 3, "depth": 4, "bottom": "vee", "vee_angle_deg": 60,
                    "inner_diameter": 310, "inner_end": "runout", "cutter_diameter": 80, "start_deg": -5}},
            "face": {"grooves": {"count": 60, "width": 4, "depth": 5, "helix_deg": 20, "bottom": "round"}}},
        "blank": {"outside_diameter": 510, "thickness": 70, "bore": 200},
        "tolerances": {"outside_diameter": 0.5, "runout_face": 0.05, "runout_side": 0.08, "parallelism": 0.1}})
}

#[test]
fn everything_at_once() {
    for unit in ["mm", "in"] {
        for dual in [false, true] {
            let mut order = full();
            order["drawing"] = json!({"style": if unit == "in" { "us" } else { "iso" }, "dual_units": dual});
            let (wrong, ..) = look(&order);
            assert!(wrong.is_empty(), "{unit} {dual}\n{}", wrong.join("\n"));
        }
    }
}

/// All texts of a view drawn at one scale.
fn texts(order: &Value, kind: &ViewKind, scale: Scale) -> Vec<String> {
    let job = job(order);
    let section = Section::of(&job.wheel).unwrap();
    let (style, requirements, shown) = (Style::of(&job), job.requirements(), plan(&job, &section));
    let context = Context {
        job: &job,
        section: &section,
        style: &style,
        requirements: &requirements,
        shown: &shown,
        references: true,
        writing: Writing::Lines,
    };
    let request = shown.iter().find(|r| r.kind == *kind).unwrap();
    let mut found = Found::default();
    found.collect(&[Item::Group(build(request, scale, &context).unwrap().group)], "");
    found.texts.into_iter().map(|(_, _, text)| text).collect()
}

#[test]
fn tolerances_of_form_stand_in_frames_with_their_datums() {
    let texts = texts(&full(), &ViewKind::Section, Scale::new(1, 5));
    for wanted in ["0,05", "0,08", "0,1", "L", "S", "both sides", "L: axis of the bore H"] {
        assert!(texts.iter().any(|t| t == wanted), "{wanted} is not among {texts:?}");
    }
}

#[test]
fn a_side_says_how_it_is_seen_and_where_groove_1_lies() {
    let side_a = texts(&full(), &ViewKind::Side(wheeldraft::wheel::SideName::A), Scale::new(1, 5));
    for wanted in ["72", "5°", "(=360°)", "12°", "2,5°", "groove 1", "rotation", "A"] {
        assert!(side_a.iter().any(|t| t == wanted), "{wanted} is not among {side_a:?}");
    }
    let side_b = texts(&full(), &ViewKind::Side(wheeldraft::wheel::SideName::B), Scale::new(1, 5));
    for wanted in ["3", "90°", "(3 of 4 places)", "place 1, omitted"] {
        assert!(side_b.iter().any(|t| t == wanted), "{wanted} is not among {side_b:?}");
    }
    assert!(side_b.join(" ").contains("seen from outside side B: angles run clockwise here"), "{side_b:?}");
}

//! DXF: machine files of every flavour read back by the program's own reader and by the `dxf` crate; the sheet by the crate.

use super::sample::{self, arc, group, p};
use dxf::entities::EntityType;
use proptest::prelude::*;
use wheeldraft::drawing::{Drawing, Fill, Group, Item, LineRole, Text};
use wheeldraft::export::dxf::{DxfError, Flavour, ReadBack, ReadEntity, ReadKind, machine, read_back, sheet};
use wheeldraft::geometry::{Bounds, Contour, Edge, Moments, Point, Turn};

const FLAVOURS: [Flavour; 3] = [Flavour::R12, Flavour::R12Joined, Flavour::R2000];

fn layered(layer: &str, items: Vec<Item>) -> Drawing {
    let group = Group { layer: layer.into(), items, ..Group::new("paths") };
    Drawing { items: vec![Item::Group(group)], ..sample::machine_drawing() }
}

fn contour(contour: Contour) -> Item {
    Item::Contour { contour, role: Some(LineRole::Path), fill: Fill::None }
}

fn read(drawing: &Drawing, flavour: Flavour) -> ReadBack {
    read_back(&machine(drawing, flavour).unwrap()).unwrap()
}

fn by_crate(bytes: &[u8]) -> dxf::Drawing {
    dxf::Drawing::load(&mut &bytes[..]).unwrap()
}

/// Largest distance between where an edge ends and the next begins.
fn worst_gap(edges: &[Edge]) -> f64 {
    let next = edges.iter().cycle().skip(1);
    edges.iter().zip(next).map(|(a, b)| a.end().distance(b.start())).fold(0.0, f64::max)
}

/// The edges of single LINE and ARC entities in the order of the contour they came from, turned round where an arc ran clockwise.
fn rejoined(entities: &[ReadEntity], contour: &Contour) -> Vec<Edge> {
    let pairs = entities.iter().zip(contour.edges());
    pairs
        .map(|(entity, edge)| {
            let got = entity.edges[0];
            if got.start().distance(edge.start()) > got.end().distance(edge.start()) { got.reversed() } else { got }
        })
        .collect()
}

#[test]
fn entities_are_those_of_the_flavour() {
    let expected = [
        (Flavour::R12, vec![(ReadKind::Line, 11), (ReadKind::Arc, 6), (ReadKind::Circle, 1)]),
        (
            Flavour::R12Joined,
            vec![(ReadKind::Polyline, 2), (ReadKind::Line, 1), (ReadKind::Arc, 2), (ReadKind::Circle, 1)],
        ),
        (
            Flavour::R2000,
            vec![(ReadKind::LwPolyline, 2), (ReadKind::Line, 1), (ReadKind::Arc, 2), (ReadKind::Circle, 1)],
        ),
    ];
    for (flavour, kinds) in expected {
        let read = read(&sample::machine_drawing(), flavour);
        for (kind, count) in &kinds {
            assert_eq!(read.entities.iter().filter(|e| e.kind == *kind).count(), *count, "{flavour:?} {kind:?}");
        }
        assert_eq!(read.entities.len(), kinds.iter().map(|(_, n)| n).sum::<usize>());
    }
}

#[test]
fn unit_release_layers_and_extents_are_stated() {
    for flavour in FLAVOURS {
        let read = read(&sample::machine_drawing(), flavour);
        let r2000 = flavour == Flavour::R2000;
        assert_eq!(read.version, if r2000 { "AC1015" } else { "AC1009" });
        assert_eq!(read.unit, r2000.then_some(4));
        assert!(read.comments[0].contains("millimetre"));
        assert!(read.comments.iter().any(|c| c.contains("0123456789abcdef")));
        assert_eq!(read.layers, ["0", "PROFILE", "GROOVES-SIDE-A", "BORE"]);
        assert_eq!(read.extents, Some((p(-101.6, -101.6), p(101.6, 101.6))));
        assert!(read.entities.iter().all(|e| read.layers.contains(&e.layer) && e.layer != "0"));
    }
}

#[test]
fn contours_come_back_closed_with_their_area() {
    for turned in [0.0, 0.7, 2.9] {
        let shape = sample::lopsided(p(100.0 / 3.0, -7.0)).rotated(turned);
        for flavour in FLAVOURS {
            let read = read(&layered("PROFILE", vec![contour(shape.clone())]), flavour);
            let edges = if flavour == Flavour::R12 {
                rejoined(&read.entities, &shape)
            } else {
                assert!(read.entities[0].closed);
                read.entities[0].edges.clone()
            };
            // single arcs are given by centre and angles, so their ends carry the rounding of both
            let slack = if flavour == Flavour::R12 { 2e-9 } else { 0.0 };
            assert!(worst_gap(&edges) <= slack, "{flavour:?} {}", worst_gap(&edges));
            let area = Moments::of(&edges).area;
            assert!((area / shape.area() - 1.0).abs() < 1e-9, "{flavour:?} {area} {}", shape.area());
            for (got, want) in edges.iter().zip(shape.edges()) {
                if let (Edge::Arc(got), Edge::Arc(want)) = (got, want) {
                    assert!((got.radius() - want.radius()).abs() < 1e-8, "{got:?} {want:?}");
                    assert_eq!(got.turn(), want.turn());
                }
            }
        }
    }
}

#[test]
fn arcs_of_both_turns_stay_on_their_side() {
    let item = |arc| Item::Arc { arc, role: LineRole::Path };
    for (from, to, turn) in [(10.0, 80.0, Turn::Left), (80.0, 10.0, Turn::Right), (350.0, 300.0, Turn::Left)] {
        let arc = arc(p(3.0, 4.0), 25.0, from, to, turn);
        let read = read(&layered("A", vec![item(arc)]), Flavour::R12);
        let middle = read.entities[0].edges[0].at(0.5);
        assert!(middle.distance(arc.at(0.5)) < 1e-8, "{from} {to} {turn:?}");
    }
}

#[test]
fn the_crate_reads_every_flavour() {
    for flavour in FLAVOURS {
        let read = by_crate(&machine(&sample::machine_drawing(), flavour).unwrap());
        let layers: Vec<String> = read.layers().map(|l| l.name.clone()).collect();
        assert!(layers.contains(&String::from("GROOVES-SIDE-A")));
        let polylines = read.entities().filter(|e| match &e.specific {
            EntityType::LwPolyline(p) => p.is_closed() && p.vertices.len() == 7,
            EntityType::Polyline(p) => p.is_closed() && p.vertices().count() == 7,
            _ => false,
        });
        assert_eq!(polylines.count(), if flavour == Flavour::R12 { 0 } else { 2 });
    }
}

#[test]
fn machine_files_are_ascii_and_all_are_the_same_twice() {
    for flavour in FLAVOURS {
        let bytes = machine(&sample::machine_drawing(), flavour).unwrap();
        assert!(bytes.is_ascii());
        assert_eq!(bytes, machine(&sample::machine_drawing(), flavour).unwrap());
    }
    let bytes = sheet(&sample::drawing()).unwrap();
    assert_eq!(bytes, sheet(&sample::drawing()).unwrap());
}

#[test]
fn what_machines_stumble_over_is_refused() {
    let line = Item::Line { from: p(0.0, 0.0), to: p(1.0, 0.0), role: LineRole::Path };
    let refused = |drawing: Drawing| machine(&drawing, Flavour::R12).unwrap_err();
    let text = Item::Text(Text::new("A", p(0.0, 0.0), 3.5));
    let hatch = Item::Hatch { lines: vec![(p(0.0, 0.0), p(1.0, 1.0))] };
    assert!(matches!(
        refused(layered("CUT", vec![line.clone(), text])),
        DxfError::NotForMachines { what: "lettering", .. }
    ));
    assert!(matches!(refused(layered("CUT", vec![hatch])), DxfError::NotForMachines { what: "hatching", .. }));
    assert_eq!(refused(layered("", vec![line.clone()])), DxfError::NoLayer("path"));
    assert_eq!(refused(layered("CUT", vec![])), DxfError::Empty);
    let nowhere = Item::Line { from: p(0.0, 0.0), to: p(f64::NAN, 0.0), role: LineRole::Path };
    assert!(matches!(refused(layered("CUT", vec![nowhere])), DxfError::Refused(_)));
    for name in ["cut", "CUT SIDE", "SCHLEIFKÖRPER", "A123456789012345678901234567890X"] {
        assert_eq!(refused(layered(name, vec![line.clone()])), DxfError::LayerName(name.into()));
    }
}

#[test]
fn the_sheet_has_its_texts_and_line_types() {
    let read = by_crate(&sheet(&sample::drawing()).unwrap());
    let texts: Vec<&str> = read
        .entities()
        .filter_map(|e| match &e.specific {
            EntityType::Text(t) => Some(t.value.as_str()),
            _ => None,
        })
        .collect();
    for content in ["Ø 406,4 ±0,1", "Круг шлифовальный 25А F60", "研磨 lacks two"] {
        assert!(texts.contains(&content), "{content} in {texts:?}");
    }
    let axis = read.layers().find(|l| l.name == "AXIS").unwrap();
    assert_eq!(axis.line_type_name, "DASH-DOT");
    assert!(read.line_types().any(|t| t.name == "DASH-DOT" && t.dash_dot_space_lengths == [6.0, -0.75, 0.125, -0.75]));
    let solids = read.entities().filter(|e| matches!(e.specific, EntityType::Solid(_)));
    assert_eq!(solids.count(), 1, "the arrowhead");
}

#[test]
fn a_plain_reader_finds_the_texts_and_the_true_size() {
    let drawing = sample::drawing();
    let text = String::from_utf8(sheet(&drawing).unwrap()).unwrap();
    for content in ["Ø 406,4 ±0,1", "Круг шлифовальный 25А F60"] {
        assert!(text.lines().any(|line| line == content), "{content}");
    }
    let stated = format!(
        "sheet of {:.1} x {:.1} mm, one unit is one millimetre of paper: plot at 1:1",
        drawing.width, drawing.height
    );
    assert!(text.lines().any(|line| line == stated), "{stated}");
}

#[test]
fn percent_signs_stay_percent_signs() {
    let text = Item::Text(Text::new("50%%d", p(0.0, 0.0), 3.5));
    let bytes = sheet(&Drawing { items: vec![text], ..sample::drawing() }).unwrap();
    // `%%d` would show a degree sign; `%%%` shows one percent sign (DXF reference, TEXT)
    assert!(String::from_utf8(bytes).unwrap().contains("50%%%%%%d"));
}

#[test]
fn broken_files_are_told_apart() {
    let whole = machine(&sample::machine_drawing(), Flavour::R12Joined).unwrap();
    let text = String::from_utf8(whole).unwrap();
    for (from, to, expect) in [
        ("EOF", "EOX", "does not end"),
        ("\r\nLINE\r\n", "\r\nSPLINE\r\n", "SPLINE"),
        ("\r\nSEQEND\r\n", "\r\nPOINT\r\n", "vertices"),
        ("\r\n 40\r\n101.6\r\n", "\r\n 40\r\n-101.6\r\n", "not a line, arc or circle"),
        ("\r\n 40\r\n101.6\r\n", "\r\n 40\r\nwide\r\n", "group 40"),
        ("\r\nSECTION\r\n", "\r\nSECTION\r\nx\r\n", "group code"),
    ] {
        let broken = text.replacen(from, to, 1);
        assert_ne!(broken, text, "{from:?}");
        let error = read_back(broken.as_bytes()).unwrap_err().to_string();
        assert!(error.contains(expect), "{error}");
    }
}

/// A ring of points about a centre, joined by lines and arcs in turn.
fn ring() -> impl Strategy<Value = Contour> {
    let shape = (3usize..12, 0.5f64..200.0, -300.0f64..300.0, -300.0f64..300.0, 0.0f64..6.0, proptest::bool::ANY);
    shape.prop_map(|(n, radius, x, y, first, arcs)| {
        let centre = p(x, y);
        let corner = |i: usize| centre + Point::polar(radius, first + i as f64 * std::f64::consts::TAU / n as f64);
        let corners: Vec<Point> = (0..n).map(corner).collect();
        let edges = (0..n).map(|i| {
            let (a, b) = (corners[i], corners[(i + 1) % n]);
            if arcs && i % 2 == 0 { Edge::arc(a, b, centre, radius, Turn::Left).unwrap() } else { Edge::line(a, b) }
        });
        Contour::new(edges.collect()).unwrap()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn contours_survive_the_way_through_a_file(shape in ring(), clockwise in proptest::bool::ANY) {
        let shape = if clockwise { shape.reversed() } else { shape };
        for flavour in FLAVOURS {
            let read = read(&layered("PROFILE", vec![group("inner", vec![contour(shape.clone())])]), flavour);
            let edges = if flavour == Flavour::R12 { rejoined(&read.entities, &shape) } else { read.entities[0].edges.clone() };
            let area = Moments::of(&edges).area;
            prop_assert!((area - shape.area()).abs() <= 3e-9 * shape.length() + 1e-9 * shape.area().abs(), "{:?}", flavour);
            let bounds = edges.iter().map(Edge::bounds).reduce(Bounds::union).unwrap();
            prop_assert!(bounds.grown(1e-8).contains(shape.bounds()) && shape.bounds().grown(1e-8).contains(bounds));
        }
    }

    #[test]
    fn reading_never_panics_on_any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let _ = read_back(&bytes);
    }

    #[test]
    fn reading_never_panics_on_a_damaged_file(
        flavour in 0usize..3,
        damage in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        cut in proptest::option::of(any::<prop::sample::Index>()),
    ) {
        let mut bytes = machine(&sample::machine_drawing(), FLAVOURS[flavour]).unwrap();
        for (at, byte) in damage {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        let _ = read_back(&bytes);
    }

    #[test]
    fn reading_never_panics_on_any_groups(groups in proptest::collection::vec((prop::sample::select(vec![0, 2, 8, 9, 10, 20, 11, 21, 40, 42, 50, 51, 70]), "[A-Z]{3,10}|-?[0-9]{1,3}(\\.[0-9]{1,3})?|1e308|LINE|ARC|CIRCLE|POLYLINE|VERTEX|SEQEND|LWPOLYLINE"), 0..60)) {
        let mut text = String::from("0\nSECTION\n2\nENTITIES\n");
        for (code, value) in groups {
            text += &format!("{code}\n{value}\n");
        }
        text += "0\nENDSEC\n0\nEOF\n";
        let _ = read_back(text.as_bytes());
    }
}

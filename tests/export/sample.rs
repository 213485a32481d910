//! One drawing with every kind of item, every line role, turned and anchored texts: what all writers are tested with.

use wheeldraft::drawing::{About, Drawing, Fill, Group, Item, LineRole, Pen, Text};
use wheeldraft::geometry::{Arc, Contour, Edge, Point, Turn};
use wheeldraft::size::{Size, Subject};

pub const ROLES: [LineRole; 14] = [
    LineRole::Visible,
    LineRole::Fine,
    LineRole::Dimension,
    LineRole::Hatching,
    LineRole::Hidden,
    LineRole::Axis,
    LineRole::CuttingPlane,
    LineRole::Blank,
    LineRole::Frame,
    LineRole::TableWide,
    LineRole::TableNarrow,
    LineRole::Curve,
    LineRole::Path,
    LineRole::Reference,
];

pub const TEXTS: [&str; 9] = [
    "Ø 406,4 ±0,1",
    "Schleifkörper für Lagerzapfen, É é ñ ç",
    "Круг шлифовальный 25А F60",
    "Τροχός λείανσης Ω μ",
    "AVATAR Te fi ffl WAY",
    "33 m/s · 950 min⁻¹ · 180× 2° (=360°)",
    "<script>alert('x')</script> & \"quoted\" ]]>",
    "研磨 lacks two",
    "  two  blanks  ",
];

pub fn p(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

pub fn group(id: &str, items: Vec<Item>) -> Item {
    Item::Group(Group { items, ..Group::new(id) })
}

pub fn arc(centre: Point, radius: f64, from_deg: f64, to_deg: f64, turn: Turn) -> Arc {
    let at = |deg: f64| centre + Point::polar(radius, deg.to_radians());
    Arc::new(at(from_deg), at(to_deg), centre, radius, turn).unwrap()
}

/// A shape that no mirror or turn leaves as it is: two sides, a round corner, a hollow.
pub fn lopsided(at: Point) -> Contour {
    let v = |x: f64, y: f64| at + p(x, y);
    let edges = vec![
        Edge::line(v(0.0, 0.0), v(40.0, 0.0)),
        Edge::line(v(40.0, 0.0), v(40.0, 12.0)),
        Edge::arc(v(40.0, 12.0), v(32.0, 20.0), v(32.0, 12.0), 8.0, Turn::Left).unwrap(),
        Edge::line(v(32.0, 20.0), v(20.0, 20.0)),
        Edge::arc(v(20.0, 20.0), v(10.0, 20.0), v(15.0, 20.0), 5.0, Turn::Right).unwrap(),
        Edge::line(v(10.0, 20.0), v(0.0, 26.0)),
        Edge::line(v(0.0, 26.0), v(0.0, 0.0)),
    ];
    Contour::new(edges).unwrap()
}

fn roles() -> Item {
    let rows = ROLES.iter().enumerate().flat_map(|(i, &role)| {
        let y = 190.0 - 5.0 * i as f64;
        let label = Text::new(format!("{role:?}"), p(90.0, y - 1.0), 2.5);
        [Item::Line { from: p(20.0, y), to: p(85.0, y), role }, Item::Text(label)]
    });
    group("roles", rows.collect())
}

fn arcs() -> Item {
    let centre = p(160.0, 160.0);
    let rings = [LineRole::Axis, LineRole::Hidden, LineRole::Visible].into_iter().enumerate();
    let mut items: Vec<Item> =
        rings.map(|(i, role)| Item::Circle { centre, radius: 30.0 - 6.0 * i as f64, role, fill: Fill::None }).collect();
    items.push(Item::Circle { centre, radius: 0.75, role: LineRole::Dimension, fill: Fill::Solid });
    items.push(Item::Arc { arc: arc(centre, 33.0, 20.0, 350.0, Turn::Left), role: LineRole::CuttingPlane });
    items.push(Item::Arc { arc: arc(centre, 13.0, 100.0, 10.0, Turn::Right), role: LineRole::Visible });
    items.push(Item::Arc { arc: arc(centre, 9.0, 100.0, 10.0, Turn::Left), role: LineRole::Visible });
    group("arcs", items)
}

fn shapes() -> Item {
    let shape = |x: f64, role, fill| Item::Contour { contour: lopsided(p(x, 80.0)), role, fill };
    let hatch = (1..6).map(|i| (p(25.0 + 5.0 * f64::from(i), 80.0), p(20.0 + 5.0 * f64::from(i), 85.0)));
    let arrow = Contour::polygon(&[p(150.0, 93.0), p(146.5, 93.585), p(146.5, 92.415)]).unwrap();
    group(
        "shapes",
        vec![
            shape(20.0, Some(LineRole::Visible), Fill::Tint),
            Item::Hatch { lines: hatch.collect() },
            shape(65.0, Some(LineRole::Blank), Fill::None),
            shape(110.0, Some(LineRole::Hidden), Fill::Tint),
            shape(155.0, None, Fill::Solid),
            Item::Circle { centre: p(165.0, 90.0), radius: 4.0, role: LineRole::Fine, fill: Fill::Paper },
            Item::Contour { contour: arrow, role: None, fill: Fill::Solid },
        ],
    )
}

fn texts() -> Item {
    let lines = TEXTS.iter().enumerate().map(|(i, &t)| Text::new(t, p(20.0, 68.0 - 7.0 * i as f64), 3.5));
    let mut items: Vec<Item> = lines.map(Item::Text).collect();
    let at = p(160.0, 40.0);
    for deg in [0.0, 30.0, 90.0, 200.0, 270.0] {
        items.push(Item::Text(Text::new("Turned 3,5", at + Point::polar(6.0, f64::to_radians(deg)), 3.5).turned(deg)));
    }
    items.push(Item::Text(Text::new("in the middle", p(160.0, 66.0), 5.0).centred().bold()));
    items.push(Item::Text(Text::new("at the end", p(200.0, 12.0), 2.5).ended()));
    group("texts", items)
}

pub fn drawing() -> Drawing {
    let mut dimension = Group::new("dim-outside-diameter");
    dimension.subject = Some(Subject::Size(Size::OutsideDiameter));
    dimension.title = "Outside diameter <1>".into();
    dimension.items = vec![
        Item::Line { from: p(20.0, 112.0), to: p(60.0, 112.0), role: LineRole::Dimension },
        Item::Text(Text::new("Ø 40", p(40.0, 113.0), 3.5).centred()),
    ];
    Drawing {
        title: "Sample & <test>".into(),
        description: "Every kind of item, for the writers.".into(),
        width: 210.0,
        height: 200.0,
        pen: Pen::GROUP_05,
        items: vec![roles(), arcs(), shapes(), texts(), Item::Group(dimension)],
        about: About {
            author: "M. Lindqvist".into(),
            subject: "Approval drawing".into(),
            date: "2026-03-02".into(),
            fingerprint: "0123456789abcdef".repeat(4),
            state: vec!["State: UNAPPROVED".into()],
        },
    }
}

/// Paths on two layers: a contour, a circle, single lines and arcs of both turns.
pub fn machine_drawing() -> Drawing {
    let layer =
        |layer: &str, items| Item::Group(Group { layer: layer.to_owned(), items, ..Group::new(layer.to_lowercase()) });
    let role = LineRole::Path;
    let profile = Item::Contour { contour: lopsided(p(100.0 / 3.0, -7.0)), role: Some(role), fill: Fill::None };
    let turned = lopsided(p(5.0, 40.0)).rotated(0.7);
    let grooves = vec![
        Item::Line { from: p(0.0, 0.0), to: p(0.0, 1.0 / 3.0), role },
        Item::Arc { arc: arc(p(1.0, 2.0), 50.0, 300.0, 20.0, Turn::Left), role },
        Item::Arc { arc: arc(p(-1.0, 2.0), 5.0, 20.0, 300.0, Turn::Right), role },
        group("inner", vec![Item::Contour { contour: turned, role: Some(role), fill: Fill::None }]),
    ];
    let bore = Item::Circle { centre: p(0.0, 0.0), radius: 101.6, role: LineRole::Reference, fill: Fill::None };
    Drawing {
        title: "Profil é".into(),
        description: "Turning profile, seen from side A.".into(),
        items: vec![layer("PROFILE", vec![profile]), layer("GROOVES-SIDE-A", grooves), layer("BORE", vec![bore])],
        ..drawing()
    }
}

//! How long the writers take for a sheet with 2 × 180 grooves and its lettering, and for the machine file of the same grooves.

#[path = "support/floor.rs"]
mod floor;

use divan::Bencher;
use divan::counter::BytesCount;
use floor::{DXF_DECIMALS, Floor, SVG_DECIMALS};
use std::f64::consts::TAU;
use wheeldraft::drawing::{About, Drawing, Fill, Group, Item, LineRole, Pen, Text};
use wheeldraft::export::dxf::{Flavour, machine, read_back, sheet};
use wheeldraft::export::{pdf, png, svg};
use wheeldraft::geometry::{Contour, Edge, Point, Turn};
use wheeldraft::pack::machine::{Wishes, files};

fn main() {
    divan::main();
}

/// A groove with a round inner end, `angle` radians about the centre of its side.
fn groove(angle: f64, inner: f64, outer: f64, width: f64) -> Option<Contour> {
    let at = |x: f64, y: f64| Point::new(x, y).rotated(angle);
    let half = width / 2.0;
    let (start, end) = (at(inner + half, half), at(inner + half, -half));
    let centre = start.lerp(end, 0.5);
    let round = Edge::arc(start, end, centre, start.distance(centre), Turn::Left).ok()?;
    let (low, high) = (at(outer, -half), at(outer, half));
    Contour::new(vec![round, Edge::line(end, low), Edge::line(low, high), Edge::line(high, start)]).ok()
}

fn grooves(layer: &str, scale: f64, centre: Point) -> Item {
    let contours =
        (0..180).filter_map(|i| groove(f64::from(i) * TAU / 180.0, 216.0 * scale, 330.0 * scale, 1.5 * scale));
    let items = contours.map(|contour| {
        let role = Some(LineRole::Fine);
        Item::Contour { contour: contour.translated(centre), role, fill: Fill::None }
    });
    Item::Group(Group { layer: layer.into(), items: items.collect(), ..Group::new(layer.to_lowercase()) })
}

fn drawing(items: Vec<Item>) -> Drawing {
    let about = About { author: "M. Lindqvist".into(), date: "2026-03-02".into(), ..About::default() };
    let (title, description) = ("1042-B".into(), "Approval drawing".into());
    Drawing { title, description, width: 420.0, height: 297.0, pen: Pen::GROUP_05, items, about }
}

/// An A3 sheet: two sides with 180 grooves each, 300 hatch lines, 150 texts, 150 dimension lines.
fn approval() -> Drawing {
    let mut items =
        vec![grooves("SIDE-A", 0.2, Point::new(120.0, 180.0)), grooves("SIDE-B", 0.2, Point::new(280.0, 180.0))];
    let hatch = (0..300).map(|i| (Point::new(20.0 + f64::from(i), 20.0), Point::new(30.0 + f64::from(i), 30.0)));
    items.push(Item::Hatch { lines: hatch.collect() });
    for i in 0..150 {
        let at = Point::new(20.0 + f64::from(i % 10) * 38.0, 40.0 + f64::from(i / 10) * 16.0);
        items.push(Item::Text(Text::new(format!("Ø {i},25 ±0,1 Maß"), at, 3.5)));
        items.push(Item::Line { from: at, to: at + Point::new(30.0, 0.0), role: LineRole::Axis });
    }
    drawing(items)
}

fn paths() -> Drawing {
    drawing(vec![grooves("GROOVES-SIDE-A", 1.0, Point::ORIGIN), grooves("GROOVES-SIDE-B", 1.0, Point::ORIGIN)])
}

/// Throughput is that of the file written.
fn timed(bencher: Bencher, write: impl Fn() -> Option<Vec<u8>> + Sync) {
    let length = write().map_or(0, |bytes| bytes.len());
    assert!(length > 0, "the writer refused the drawing");
    bencher.counter(BytesCount::new(length)).bench(write);
}

#[divan::bench]
fn svg_sheet(bencher: Bencher) {
    let sheet = approval();
    timed(bencher, || svg::svg(&sheet).ok().map(String::into_bytes));
}

/// What `svg_sheet` takes at least.
#[divan::bench]
fn floor_of_svg_sheet(bencher: Bencher) {
    let floor = Floor::of(svg::svg(&approval()).unwrap_or_default().as_bytes(), SVG_DECIMALS);
    timed(bencher, || Some(floor.written()));
}

#[divan::bench]
fn pdf_sheet(bencher: Bencher) {
    let sheets = [approval()];
    timed(bencher, || pdf::pdf(&sheets).ok());
}

#[divan::bench(args = [100.0, 300.0])]
fn png_sheet(bencher: Bencher, dpi: f64) {
    let sheet = approval();
    timed(bencher, || png::png(&sheet, dpi).ok());
}

#[divan::bench]
fn dxf_sheet(bencher: Bencher) {
    let drawing = approval();
    timed(bencher, || sheet(&drawing).ok());
}

#[divan::bench(args = [Flavour::R12, Flavour::R12Joined, Flavour::R2000])]
fn dxf_machine(bencher: Bencher, flavour: Flavour) {
    let paths = paths();
    timed(bencher, || machine(&paths, flavour).ok());
}

/// What `dxf_machine` takes at least.
#[divan::bench(args = [Flavour::R12, Flavour::R12Joined, Flavour::R2000])]
fn floor_of_dxf_machine(bencher: Bencher, flavour: Flavour) {
    let floor = Floor::of(&machine(&paths(), flavour).unwrap_or_default(), DXF_DECIMALS);
    timed(bencher, || Some(floor.written()));
}

/// What `cut` does with an order of 2 × 180 grooves: geometry, files, and the check that reads every file back.
#[divan::bench(args = [Flavour::R12, Flavour::R12Joined, Flavour::R2000])]
fn cut(bencher: Bencher, flavour: Flavour) {
    let order = include_bytes!("../tests/reference/timing/round-bottom-grooves-both-sides-over-a-taper.json");
    let job = wheeldraft::rules::ShopRules::built_in().open(order).unwrap_or_else(|problems| panic!("{problems:?}"));
    let wishes = Wishes {
        flavour,
        compensate: None,
        programs: false,
        approved: true,
        over_run: None,
        depth_per_pass: None,
        allowance: None,
        controls: None,
        state: Vec::new(),
    };
    let made = || files(&job, &wishes).unwrap_or_else(|e| panic!("{e}")).files;
    let length: usize = made().iter().map(|f| f.bytes.len()).sum();
    bencher.counter(BytesCount::new(length)).bench(made);
}

#[divan::bench]
fn dxf_read_back(bencher: Bencher) {
    let bytes = machine(&paths(), Flavour::R2000).unwrap_or_default();
    bencher.counter(BytesCount::new(bytes.len())).bench(|| read_back(&bytes).is_ok());
}

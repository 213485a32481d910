//! What the browser tests measure: a sheet full of lettering and the widths reckoned for it, written below the build folder.
//!
//! `tests/browser/run.sh` runs this test and then opens the files in a browser.

use super::sample::{self, p};
use serde_json::json;
use std::path::Path;
use wheeldraft::drawing::{Anchor, Drawing, Item, Lettering, Text, measure};
use wheeldraft::export::{png, svg};

/// A drawing of many texts: every weight, height, anchor and quarter turn, letters of several scripts.
fn lettering() -> (Drawing, Vec<Text>) {
    let words = [
        "Ø 406,4 ±0,1",
        "AVATAR Te To fi ffl",
        "Круг Т.",
        "Τροχός",
        "33 m/s",
        "研磨",
        "½ ⅜ ° ′ ″",
        "ÁÂÃĄĆ ľ ß",
        "1.000 [25.4]",
    ];
    let heights = [2.5, 3.5, 5.0, 7.0];
    let anchors = [Anchor::Start, Anchor::Middle, Anchor::End];
    let turns = [0.0, 90.0, 30.0, 270.0, 0.0];
    let texts = (0..160).map(|i: usize| Text {
        content: format!("{} {}", words[i % words.len()], words[(i / 3 + 4) % words.len()]),
        anchor: anchors[i % 3],
        turned_deg: turns[i % 5],
        lettering: if i % 4 == 3 { Lettering::Bold } else { Lettering::Plain },
        ..Text::new("", p(60.0 + 60.0 * (i % 8) as f64, 30.0 + 18.0 * (i / 8) as f64), heights[i % 4])
    });
    let texts: Vec<Text> = texts.collect();
    let items = texts.iter().cloned().map(Item::Text).collect();
    (Drawing { width: 594.0, height: 420.0, items, ..sample::drawing() }, texts)
}

#[test]
fn writes_the_files_for_the_browser() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("browser");
    std::fs::create_dir_all(&folder).unwrap();
    let write = |name: &str, bytes: &[u8]| std::fs::write(folder.join(name), bytes).unwrap();
    let (drawing, texts) = lettering();
    let expected: Vec<_> = texts
        .iter()
        .map(|t| {
            let cell = measure::cell_on_sheet(t).bounds();
            let (left, top) = (cell.min.x, drawing.height - cell.max.y);
            let frame = json!([left, top, left + cell.width(), top + cell.height()]);
            json!({ "content": t.content, "width": measure::advance(t), "box": frame })
        })
        .collect();
    write("lettering.svg", svg::svg(&drawing).unwrap().as_bytes());
    write("lettering.json", json!(expected).to_string().as_bytes());
    write("sample.svg", svg::svg(&sample::drawing()).unwrap().as_bytes());
    write("sample.png", &png::png(&sample::drawing(), 150.0).unwrap());
    assert_eq!(expected.len(), 160);
}

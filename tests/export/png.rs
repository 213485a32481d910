//! PNG: size, resolution, what is where; and that lettering fills exactly the box it was reckoned to fill.

use super::sample::{self, group, p};
use wheeldraft::drawing::{Anchor, Drawing, Fill, Item, Lettering, LineRole, Text, measure};
use wheeldraft::export::png::{PngError, png};
use wheeldraft::geometry::Bounds;

struct Picture {
    width: usize,
    height: usize,
    greys: Vec<u8>,
    per_metre: u32,
}

fn decode(bytes: &[u8]) -> Picture {
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut greys = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut greys).unwrap();
    assert_eq!(info.color_type, ::png::ColorType::Grayscale);
    let dims = reader.info().pixel_dims.unwrap();
    Picture { width: info.width as usize, height: info.height as usize, greys, per_metre: dims.xppu }
}

fn only(items: Vec<Item>) -> Drawing {
    Drawing { width: 120.0, height: 120.0, items, ..sample::drawing() }
}

impl Picture {
    fn of(drawing: &Drawing, dpi: f64) -> Picture {
        decode(&png(drawing, dpi).unwrap())
    }

    /// Grey at a place of the paper, mm.
    fn at(&self, x: f64, y: f64) -> u8 {
        let per_mm = f64::from(self.per_metre) / 1000.0;
        let row = self.height - 1 - (y * per_mm) as usize;
        self.greys[row * self.width + (x * per_mm) as usize]
    }

    /// Box around everything darker than half grey, pixels from the upper left.
    fn ink(&self) -> Option<[usize; 4]> {
        let dark =
            self.greys.iter().enumerate().filter(|(_, g)| **g < 128).map(|(i, _)| (i % self.width, i / self.width));
        dark.fold(None, |found: Option<[usize; 4]>, (x, y)| {
            let [x0, y0, x1, y1] = found.unwrap_or([x, y, x, y]);
            Some([x0.min(x), y0.min(y), x1.max(x), y1.max(y)])
        })
    }
}

#[test]
fn size_and_resolution() {
    let picture = Picture::of(&sample::drawing(), 254.0);
    assert_eq!((picture.width, picture.height, picture.per_metre), (2100, 2000, 10_000));
    assert_eq!(png(&sample::drawing(), 254.0).unwrap(), png(&sample::drawing(), 254.0).unwrap());
}

#[test]
fn resolutions_that_make_no_picture_are_refused() {
    for dpi in [0.0, -300.0, f64::NAN, f64::INFINITY, 0.01, 1e6] {
        assert!(matches!(png(&sample::drawing(), dpi), Err(PngError::Size { .. })), "{dpi}");
    }
}

#[test]
fn things_are_where_they_belong() {
    let line = Item::Line { from: p(10.0, 20.0), to: p(10.0, 60.0), role: LineRole::Frame };
    let shape = |x: f64, fill| Item::Contour { contour: sample::lopsided(p(x, 30.0)), role: None, fill };
    let hole = Item::Circle { centre: p(40.0, 40.0), radius: 4.0, role: LineRole::Fine, fill: Fill::Paper };
    let items = vec![line, group("g", vec![shape(20.0, Fill::Solid), shape(70.0, Fill::Tint)]), hole];
    let picture = Picture::of(&only(items), 254.0);
    for (x, y, grey) in [
        (10.0, 40.0, 0),   // on the line
        (10.0, 65.0, 255), // beyond its upper end
        (11.0, 40.0, 255), // beside it
        (22.0, 52.0, 0),   // upper left of the shape, where it is highest
        (58.0, 48.5, 255), // outside its round corner
        (35.0, 47.0, 255), // in its hollow
        (40.0, 40.0, 255), // in the hole
        (72.0, 40.0, 230), // tinted 90 %
    ] {
        assert_eq!(picture.at(x, y), grey, "at {x} {y}");
    }
}

/// Closes the loop: the picture of a text alone is as large, and lies where, the layout reckoned, to a pixel of 0.1 mm.
#[test]
fn lettering_fills_the_reckoned_box() {
    let dpi = 254.0;
    let anchors = [Anchor::Start, Anchor::Middle, Anchor::End];
    for (i, content) in sample::TEXTS.iter().enumerate() {
        for (j, deg) in [0.0, 90.0, 180.0, 270.0].into_iter().enumerate() {
            let text = Text {
                content: content.to_string(),
                anchor: anchors[(i + j) % 3],
                turned_deg: deg,
                lettering: if (i + j) % 2 == 0 { Lettering::Plain } else { Lettering::Bold },
                ..Text::new("", p(60.0, 60.0), 1.5)
            };
            let want = measure::ink_on_sheet(&text).unwrap().bounds();
            let picture = Picture::of(&only(vec![Item::Text(text)]), dpi);
            let [x0, y0, x1, y1] = picture.ink().unwrap().map(|n| n as f64 / 10.0);
            let got = Bounds::of(p(x0, 120.0 - y1 - 0.1), p(x1 + 0.1, 120.0 - y0));
            assert!(
                got.grown(0.11).contains(want) && want.grown(0.11).contains(got),
                "{content} {deg}: {got:?} {want:?}"
            );
        }
    }
}

//! The label's code (QR, ISO/IEC 18004): number, revision, wheel and fingerprint, to be read by any reader.

use crate::drawing::{Fill, Group, Item};
use crate::geometry::{Contour, Point};
use qrcode::{Color, EcLevel, QrCode};

/// Modules left white around the code, as the standard asks.
const QUIET: usize = 4;

/// What the code says: fields as `name=value`, parted by semicolons.
pub fn content(number: &str, revision: &str, wheel: u32, fingerprint: &str) -> String {
    format!("order={number};revision={revision};wheel={wheel};fingerprint={fingerprint}")
}

/// A code with its white border in a square of this size, mm, its lower left corner at `at`; `None` where the text is too long for any code.
pub fn code(text: &str, at: Point, size: f64) -> Option<Group> {
    let code = QrCode::with_error_correction_level(text.as_bytes(), EcLevel::M).ok()?;
    let n = code.width();
    let colors = code.to_colors();
    let module = size / (n + 2 * QUIET) as f64;
    let is_dark = |row: usize, column: usize| colors[row * n + column] == Color::Dark;
    let mut group = Group::new("code");
    group.title = format!("Code: {text}");
    for row in 0..n {
        let mut column = 0;
        while column < n {
            let run = (column..n).take_while(|&c| is_dark(row, c)).count();
            if run > 0 {
                // rows are counted from the top
                let (x, y) = ((column + QUIET) as f64, (n + QUIET - row - 1) as f64);
                let low = at + Point::new(x * module, y * module);
                group.items.extend(dark(low, run as f64 * module, module));
            }
            column += run.max(1);
        }
    }
    Some(group)
}

fn dark(low: Point, width: f64, height: f64) -> Option<Item> {
    let at = |dx: f64, dy: f64| low + Point::new(dx, dy);
    let contour = Contour::polygon(&[at(0.0, 0.0), at(width, 0.0), at(width, height), at(0.0, height)]).ok()?;
    Some(Item::Contour { contour, role: None, fill: Fill::Solid })
}

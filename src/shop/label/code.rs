//! The label's code (QR, ISO/IEC 18004): number, revision, wheel and fingerprint, to be read by any reader.

use crate::drawing::{Fill, Group, Item};
use crate::geometry::{Contour, Point};
use fast_qr::{ECL, QRBuilder};

/// Modules left white around the code, as the standard asks.
const QUIET: usize = 4;

/// What the code says: fields as `name=value`, parted by semicolons.
pub fn content(number: &str, revision: &str, wheel: u32, fingerprint: &str) -> String {
    format!("order={number};revision={revision};wheel={wheel};fingerprint={fingerprint}")
}

/// A code with its white border in a square of this size, mm, its lower left corner at `at`; `None` where the text is too long for any code.
pub fn code(text: &str, at: Point, size: f64) -> Option<Group> {
    let code = QRBuilder::new(text).ecl(ECL::M).build().ok()?;
    let n = code.size;
    let module = size / (n + 2 * QUIET) as f64;
    let is_dark = |row: usize, column: usize| code[row][column].value();
    let mut group = Group::new("code");
    group.title = format!("Code: {text}");
    // rows first, then columns over them, so that no hairline shows between neighbouring rows on a screen
    for line in 0..n {
        for (start, length) in runs(n, |i| is_dark(line, i)) {
            let low = Point::new((start + QUIET) as f64, (n + QUIET - line - 1) as f64);
            group.items.extend(dark(at + low * module, length as f64 * module, module));
        }
    }
    for line in 0..n {
        for (start, length) in runs(n, |i| is_dark(i, line)).into_iter().filter(|(_, length)| *length > 1) {
            // rows are counted from the top
            let low = Point::new((line + QUIET) as f64, (n + QUIET - start - length) as f64);
            group.items.extend(dark(at + low * module, module, length as f64 * module));
        }
    }
    Some(group)
}

fn dark(low: Point, width: f64, height: f64) -> Option<Item> {
    let at = |dx: f64, dy: f64| low + Point::new(dx, dy);
    let contour = Contour::polygon(&[at(0.0, 0.0), at(width, 0.0), at(width, height), at(0.0, height)]).ok()?;
    Some(Item::Contour { contour, role: None, fill: Fill::Solid })
}

/// Starts and lengths of the runs in which something holds.
fn runs(n: usize, holds: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut i = 0;
    while i < n {
        let length = (i..n).take_while(|&k| holds(k)).count();
        if length > 0 {
            found.push((i, length));
        }
        i += length.max(1);
    }
    found
}

//! What the reader of finished sheets has to be told about them.

use crate::drawing::Drawing;
use crate::drawing::font::REPLACEMENT;
use crate::drawing::measure;

/// A sentence each: characters that the sheets' font has not.
pub fn remarks(drawings: &[Drawing]) -> Vec<String> {
    let mut told = Vec::new();
    // a reader of the sheet sees a box in their place
    let mut lacking: Vec<char> = drawings.iter().flat_map(|sheet| measure::missing_in(&sheet.items)).collect();
    lacking.sort_unstable();
    lacking.dedup();
    if !lacking.is_empty() {
        let named: Vec<String> = lacking.iter().map(|c| format!("{c} (U+{:04X})", u32::from(*c))).collect();
        told.push(format!("the sheets' font has no {}: drawn as {REPLACEMENT}", named.join(", ")));
    }
    told
}

//! Which views an order deserves, and which of them shows which number.
//!
//! The full section shows the overall sizes and every diameter. Whatever else a section says (depths, fillets, corners, chamfers) is drawn larger
//! in the half-section, tiny corners in details of their own. Side views show where the grooves lie, details what one groove looks like. A side
//! without grooves gets no view: its circles stand in the section already.

use super::{DetailOf, Scale, ViewKind, ViewRequest};
use crate::section::Section;
use crate::size::{GrooveSet, SideName};
use crate::wheel::{InnerEnd, Job, Side, Wheel};

/// A corner smaller than this share of the half-section's height gets a detail of its own.
const TINY_CORNER: f64 = 1.0 / 100.0;
/// Letters of details, in the order they are given out; none of them names a size in ISO 525 or looks like a digit.
const LETTERS: [char; 8] = ['Z', 'Y', 'X', 'W', 'Q', 'S', 'L', 'M'];
/// Height on paper that an enlarged half-section may have, mm.
const HALF_HEIGHT: (f64, f64) = (25.0, 170.0);
/// Width on paper that it may have, mm.
const HALF_WIDTH: f64 = 120.0;
/// Size on paper of the circle around a detail, mm.
pub(super) const DETAIL_SIZE: (f64, f64) = (18.0, 70.0);

/// Size on paper of the picture, mm, and how much of it a wheel's outside diameter takes at most.
const PICTURE: (f64, f64) = (40.0, 165.0);
const PICTURE_SPREAD: f64 = 1.6;

/// Whether the enlarged half-section is needed.
pub(super) fn has_half_section(wheel: &Wheel) -> bool {
    let cut = |side: &Side| !side.recess.is_empty() || side.taper.is_some();
    wheel.bore_chamfer > 0.0 || cut(&wheel.side_a) || cut(&wheel.side_b)
}

/// Whether the half-section shows the corner of a side; otherwise a detail does.
pub(super) fn half_section_shows_corner(wheel: &Wheel, side: SideName) -> bool {
    let height = (wheel.outside_diameter - wheel.bore) / 2.0;
    let corner = wheel.side(side).corner.as_ref();
    has_half_section(wheel) && corner.is_some_and(|c| super::corner::corner_size(c) >= TINY_CORNER * height)
}

/// The views worth showing of an order, the main views first.
pub fn plan(job: &Job, section: &Section) -> Vec<ViewRequest> {
    let _ = section;
    let wheel = &job.wheel;
    let mut requests = vec![request(ViewKind::Section, 0, Scale::ISO.to_vec())];
    let grooved = SideName::BOTH.into_iter().filter(|&side| wheel.side(side).grooves.is_some());
    requests.extend(grooved.map(|side| request(ViewKind::Side(side), 0, Scale::ISO.to_vec())));
    if requests.len() > 1 {
        requests.push(request(ViewKind::PlainSection, 0, Scale::ISO.to_vec()));
    }
    if wheel.face.is_some() {
        requests.push(request(ViewKind::Face, 0, Scale::ISO.to_vec()));
    }
    if has_half_section(wheel) {
        requests.push(request(ViewKind::HalfSection, 0, half_section_scales(wheel)));
    }
    let details = details(wheel);
    for ((of, size), letter) in details.into_iter().zip(LETTERS) {
        requests.push(request(ViewKind::Detail { letter, of }, 0, detail_scales(size)));
    }
    if wheel.face.is_some() || SideName::BOTH.iter().any(|&s| !wheel.side(s).is_plain()) {
        let size = PICTURE_SPREAD * wheel.outside_diameter;
        let scales = Scale::ISO.into_iter().filter(|s| (PICTURE.0..PICTURE.1).contains(&(size * s.factor()))).collect();
        requests.push(request(ViewKind::Pictorial, 3, scales));
    }
    requests
}

fn request(kind: ViewKind, priority: u8, scales: Vec<Scale>) -> ViewRequest {
    ViewRequest { kind, priority, scales }
}

/// What each detail shows, with the diameter of its circle on the part.
fn details(wheel: &Wheel) -> Vec<(DetailOf, f64)> {
    let mut found = Vec::new();
    let alike = alike(wheel);
    for side in SideName::BOTH {
        let size = super::groove_detail::side_size(wheel, side);
        match (wheel.side(side).grooves.is_some(), alike.grooves, side) {
            (false, ..) | (true, true, SideName::B) => {}
            (true, true, SideName::A) => found.push((DetailOf::BothGrooves, size)),
            (true, false, _) => found.push((DetailOf::Groove(GrooveSet::Side(side)), size)),
        }
    }
    if wheel.face.is_some() {
        found.push((DetailOf::Groove(GrooveSet::Face), super::groove_detail::face_size(wheel)));
    }
    for side in SideName::BOTH {
        let this = wheel.side(side);
        if let Some(corner) = this.corner.as_ref().filter(|_| !half_section_shows_corner(wheel, side)) {
            let size = super::corner::size(corner);
            match (alike.corners, side) {
                (false, _) => found.push((DetailOf::Corner(side), size)),
                (true, SideName::A) => found.push((DetailOf::BothCorners, size)),
                (true, SideName::B) => {}
            }
        }
        if let Some(grooves) = this.grooves.as_ref().filter(|g| matches!(g.inner_end, InnerEnd::Runout { .. })) {
            let size = super::runout_detail::size(grooves);
            match (alike.inner_ends, side) {
                (false, _) => found.push((DetailOf::InnerEnd(side), size)),
                (true, SideName::A) => found.push((DetailOf::BothInnerEnds, size)),
                (true, SideName::B) => {}
            }
        }
    }
    found
}

/// What is the same on both sides, so that one detail shows it.
struct Alike {
    grooves: bool,
    corners: bool,
    inner_ends: bool,
}

fn alike(wheel: &Wheel) -> Alike {
    let (a, b) = (&wheel.side_a, &wheel.side_b);
    let grooves = a.grooves.as_ref().zip(b.grooves.as_ref());
    let across = grooves.is_some_and(|(a, b)| (a.width, a.depth, a.bottom) == (b.width, b.depth, b.bottom));
    // beside a taper a corner looks otherwise, and between grooves it is named so
    let plain = a.taper.is_none() && b.taper.is_none() && a.grooves.is_some() == b.grooves.is_some();
    // along a groove the surface counts too: its taper, and the recess the groove may begin in
    let along = grooves.is_some_and(|(a, b)| (a.inner_end, a.inner_diameter, a.skew_deg.abs()) == (b.inner_end, b.inner_diameter, b.skew_deg.abs()));
    let inner_ends = across && along && a.taper == b.taper && a.recess == b.recess;
    Alike { grooves: across, corners: plain && a.corner.is_some() && a.corner == b.corner, inner_ends }
}

/// Scales at which something of this size on the part fills a detail.
fn detail_scales(size: f64) -> Vec<Scale> {
    within(size, DETAIL_SIZE)
}

/// The scales at which a length lies within limits on paper; the nearest one where none does.
fn within(length: f64, (low, high): (f64, f64)) -> Vec<Scale> {
    let fits: Vec<Scale> = Scale::ISO.into_iter().filter(|s| (low..=high).contains(&(length * s.factor()))).collect();
    if !fits.is_empty() {
        return fits;
    }
    let off = |s: &Scale| (length * s.factor() / low).ln().abs();
    Scale::ISO.into_iter().min_by(|a, b| off(a).total_cmp(&off(b))).into_iter().collect()
}

fn half_section_scales(wheel: &Wheel) -> Vec<Scale> {
    let height = (wheel.outside_diameter - wheel.bore) / 2.0;
    let mut scales = within(height, HALF_HEIGHT);
    let narrow: Vec<Scale> = scales.iter().copied().filter(|s| wheel.thickness * s.factor() <= HALF_WIDTH).collect();
    if !narrow.is_empty() {
        scales = narrow;
    }
    scales
}

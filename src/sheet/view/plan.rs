//! Which views an order deserves.

use super::{Scale, ViewKind, ViewRequest};
use crate::section::Section;
use crate::wheel::Job;

/// The views worth showing of an order, the main views first.
pub fn plan(job: &Job, section: &Section) -> Vec<ViewRequest> {
    let _ = (job, section);
    vec![ViewRequest { kind: ViewKind::Section, priority: 0, scales: Scale::ISO.to_vec() }]
}

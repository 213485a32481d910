//! From the bytes of an order file to the resolved job: the one door for the command line, the page and other programs.

use super::{Job, UsualSizes};
use super::resolve::resolve_sound;
use crate::json::Problems;
use crate::order;

/// Reads and resolves an order file; sizes it leaves open count as `usual`.
///
/// # Errors
/// Every problem of the file at once, each with its place, in the order of the file.
pub fn open(bytes: &[u8], usual: &UsualSizes) -> Result<Job, Problems> {
    let reading = order::read(bytes);
    let mut problems = reading.problems;
    let Some(order) = reading.content else { return Err(Problems::of(problems)) };
    match resolve_sound(&order, &reading.broken, usual) {
        Ok(job) if problems.is_empty() => return Ok(job),
        Ok(_) => {}
        Err(more) => problems.extend(more.into_iter().map(|p| reading.places.locate(p))),
    }
    Err(Problems::of(problems))
}

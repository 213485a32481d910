//! Two pieces of work at once, on two cores.

use std::panic::resume_unwind;
use std::thread::scope;

/// What both make; the second is worked out by the thread that asks.
pub(crate) fn both<A: Send, B>(beside: impl FnOnce() -> A + Send, here: impl FnOnce() -> B) -> (A, B) {
    scope(|threads| {
        let beside = threads.spawn(beside);
        let here = here();
        (beside.join().unwrap_or_else(|panic| resume_unwind(panic)), here)
    })
}

/// What is made of each, in their order, half of them by either core.
#[cfg(feature = "cli")]
pub(crate) fn each<T: Sync, A: Send>(all: &[T], make: impl Fn(&T) -> A + Sync) -> Vec<A> {
    let (first, rest) = all.split_at(all.len().div_ceil(2));
    if rest.is_empty() {
        return first.iter().map(make).collect();
    }
    let (rest, mut made) = both(|| rest.iter().map(&make).collect::<Vec<A>>(), || first.iter().map(&make).collect::<Vec<A>>());
    made.extend(rest);
    made
}

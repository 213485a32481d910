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

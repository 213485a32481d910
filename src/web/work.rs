//! How much is worked out at a time: a heavy order keeps others waiting no longer than it must, and a fault in one answer ends only that answer.

use super::reply::Refusal;
use axum::http::StatusCode;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Semaphore;

/// How long an answer waits for its turn.
const PATIENCE: Duration = Duration::from_secs(20);

/// Lets as many answers be worked out at a time as there are processors.
#[derive(Debug)]
pub struct Gate {
    places: Arc<Semaphore>,
    /// Of them, those for what can wait: one stays free for drawings, so that no pack holds up a hand that types.
    patient: Arc<Semaphore>,
}

impl Gate {
    /// A gate as wide as the machine, two at least.
    pub fn new() -> Gate {
        let wide = std::thread::available_parallelism().map_or(1, std::num::NonZero::get).max(2);
        Gate { places: Arc::new(Semaphore::new(wide)), patient: Arc::new(Semaphore::new(wide - 1)) }
    }

    /// The same as [`Gate::through`], never in all places at a time.
    ///
    /// # Errors
    /// As [`Gate::through`].
    pub async fn later<T: Send + 'static>(&self, work: impl FnOnce() -> T + Send + 'static) -> Result<T, Refusal> {
        let turn = tokio::time::timeout(PATIENCE, Arc::clone(&self.patient).acquire_owned());
        let place = turn.await.ok().and_then(Result::ok).ok_or_else(busy)?;
        self.through(move || {
            let _place = place;
            work()
        })
        .await
    }

    /// Works something out on a thread of its own. Who goes away before his turn comes costs nothing.
    ///
    /// # Errors
    /// Where the turn does not come in time, or the work panics.
    pub async fn through<T: Send + 'static>(&self, work: impl FnOnce() -> T + Send + 'static) -> Result<T, Refusal> {
        let turn = tokio::time::timeout(PATIENCE, Arc::clone(&self.places).acquire_owned());
        let place = turn.await.ok().and_then(Result::ok).ok_or_else(busy)?;
        let done = tokio::task::spawn_blocking(move || {
            // kept until the work is done, even if nobody waits for it any more
            let _place = place;
            catch_unwind(AssertUnwindSafe(work))
        });
        match done.await {
            Ok(Ok(value)) => Ok(value),
            _ => Err(Refusal::new(
                StatusCode::INTERNAL_SERVER_ERROR,
                "this order met a fault of the program; what you typed is kept, other orders still work",
            )),
        }
    }
}

fn busy() -> Refusal {
    Refusal::new(StatusCode::SERVICE_UNAVAILABLE, "other orders are being worked on; try again in a moment")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run<T>(future: impl Future<Output = T>) -> T {
        tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap().block_on(future)
    }

    #[test]
    fn a_panic_ends_only_its_own_answer() {
        run(async {
            let gate = Gate::new();
            for _ in 0..20 {
                let refused = gate.through(|| -> u32 { panic!("on purpose") }).await.unwrap_err();
                assert_eq!(axum::response::IntoResponse::into_response(refused).status(), 500);
                assert_eq!(gate.through(|| 7).await.unwrap(), 7);
            }
            assert!(gate.places.available_permits() > 0);
        });
    }

    #[test]
    fn what_can_wait_leaves_a_place_for_drawings() {
        let gate = Arc::new(Gate::new());
        let wide = gate.places.available_permits();
        run(async {
            let (end, ended) = tokio::sync::watch::channel(());
            let packs: Vec<_> = (0..2 * wide)
                .map(|_| {
                    let (gate, mut ended) = (Arc::clone(&gate), ended.clone());
                    let held = move || drop(tokio::runtime::Handle::current().block_on(ended.changed()));
                    tokio::spawn(async move { gate.later(held).await })
                })
                .collect();
            while gate.patient.available_permits() > 0 {
                tokio::task::yield_now().await;
            }
            assert_eq!(gate.through(|| 7).await.unwrap(), 7);
            drop(end);
            for pack in packs {
                pack.await.unwrap().unwrap();
            }
        });
    }

    #[test]
    fn no_more_than_the_machine_has_run_at_a_time() {
        use std::sync::atomic::{AtomicUsize, Ordering};
        let gate = Arc::new(Gate::new());
        let wide = gate.places.available_permits();
        let (now, most) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
        run(async {
            let mut all = Vec::new();
            for _ in 0..40 {
                let (gate, now, most) = (Arc::clone(&gate), Arc::clone(&now), Arc::clone(&most));
                all.push(tokio::spawn(async move {
                    let work = move || {
                        most.fetch_max(now.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                        std::thread::sleep(Duration::from_millis(2));
                        now.fetch_sub(1, Ordering::SeqCst);
                    };
                    gate.through(work).await
                }));
            }
            for one in all {
                one.await.unwrap().unwrap();
            }
        });
        let most = most.load(Ordering::SeqCst);
        assert!((1..=wide).contains(&most), "{most} of {wide}");
    }
}

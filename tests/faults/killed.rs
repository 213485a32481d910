//! Runs that are killed outright, fifty times, at any moment.

use super::{PHOTO, assert_whole, batch, code, hidden, packs, put_orders};
use std::fs;
use std::path::Path;
use std::process::Child;
use std::thread::sleep;
use std::time::Duration;
use tempfile::TempDir;

const ORDERS: usize = 4;
const KILLS: usize = 50;

/// The next of a row of numbers that look like chance (a linear congruential generator of Knuth's).
fn chance(seed: &mut u64) -> u64 {
    *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    *seed >> 33
}

/// Waits until a pack is just being written, or the run is over.
fn until_it_writes(child: &mut Child, packs: &Path) {
    while hidden(packs) == 0 && child.try_wait().unwrap().is_none() {
        std::hint::spin_loop();
    }
}

#[test]
fn killed_at_any_moment_every_pack_is_whole() {
    let folder = TempDir::new().unwrap();
    let target = folder.path().join("packs");
    put_orders(folder.path(), ORDERS, 127.0);
    assert_eq!(code(&batch(folder.path()).output().unwrap()), 0);
    fs::write(target.join("1-A").join(PHOTO), [1, 2, 3]).unwrap();
    let (mut seed, mut killed) = (1, 0);
    for turn in 0..KILLS {
        // every run finds other orders than the packs were made from, and so replaces each pack
        put_orders(folder.path(), ORDERS, 100.0 + turn as f64 / 10.0);
        let mut child = batch(folder.path()).spawn().unwrap();
        // half of the kills at any moment, half while a pack is being written
        if turn % 2 == 0 {
            sleep(Duration::from_millis(chance(&mut seed) % 100));
        } else {
            until_it_writes(&mut child, &target);
            sleep(Duration::from_micros(chance(&mut seed) % 1500));
        }
        child.kill().unwrap();
        killed += usize::from(child.wait().unwrap().code().is_none());
        let left = packs(&target);
        assert_eq!(left.len(), ORDERS, "after {turn} kills: {left:?}");
        left.iter().for_each(|pack| assert_whole(pack));
        assert_eq!(fs::read(target.join("1-A").join(PHOTO)).unwrap(), [1, 2, 3], "after {turn} kills");
    }
    assert!(killed > KILLS / 2, "only {killed} of {KILLS} runs were still going on when they were killed");
    // the next run that is let be makes the rest and tidies up
    assert_eq!(code(&batch(folder.path()).output().unwrap()), 0);
    packs(&target).iter().for_each(|pack| assert_whole(pack));
    assert_eq!(hidden(&target), 0);
    assert_eq!(fs::read(target.join("1-A").join(PHOTO)).unwrap(), [1, 2, 3]);
}

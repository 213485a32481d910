//! The fuzzer's targets without the fuzzer: what it has found and kept, and a short search from it that is the same in every run.
//!
//! `fuzz/README.md` tells how to search for longer, led by coverage.

#[path = "../fuzz/src/orders.rs"]
mod orders;
#[path = "../fuzz/src/requests.rs"]
mod requests;
#[path = "../fuzz/src/targets.rs"]
mod targets;

use crate::support::random_orders::Chance;
use std::fs;
use std::path::Path;
use targets::{TARGETS, Target};

/// Inputs made of each kept one.
const CHANGED: usize = 40;
/// The same for whole wheels, each of which is a pack.
const CHANGED_WHEELS: usize = 1;
/// The targets that make such.
const WHOLE_WHEELS: [&str; 2] = ["options", "wheel"];

/// What is kept of a target: its corpus, and every input that once made the program fall over.
fn kept(name: &str) -> Vec<Vec<u8>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz");
    let mut files = Vec::new();
    for folder in ["corpus", "fallen"] {
        let Ok(entries) = fs::read_dir(root.join(folder).join(name)) else { continue };
        files.extend(entries.map(|e| e.unwrap().path()));
    }
    files.sort();
    files.iter().map(|f| fs::read(f).unwrap()).collect()
}

/// A neighbour: bytes changed, left out, doubled, or the end of another input put on.
fn neighbour(bytes: &[u8], other: &[u8], c: &mut Chance) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for _ in 0..c.of(&[1, 2, 4, 16]) {
        let at = (c.share() * bytes.len() as f64) as usize;
        let to = (at + c.of(&[1, 2, 8, 40])).min(bytes.len());
        match c.of(&[0, 1, 2, 3, 4]) {
            0 if at < bytes.len() => bytes[at] ^= c.of(&[1, 2, 4, 8, 16, 32, 64, 128, 255]),
            1 => drop(bytes.drain(at..to)),
            2 => bytes.splice(at..at, bytes[at..to].to_vec()).for_each(drop),
            3 => bytes.insert(at, c.of(b"\0\n\"{}[],:-+.eE0912/;#\xff\xc3")),
            _ => bytes.splice(at.., other.iter().skip(at).copied()).for_each(drop),
        }
    }
    bytes
}

fn search((name, run): Target) {
    let kept = kept(name);
    assert!(!kept.is_empty(), "nothing is kept of {name}");
    let changed = if WHOLE_WHEELS.contains(&name) { CHANGED_WHEELS } else { CHANGED };
    let mut chance = Chance::new(9);
    for (i, bytes) in kept.iter().enumerate() {
        run(bytes);
        for _ in 0..changed {
            run(&neighbour(bytes, &kept[(i + 1) % kept.len()], &mut chance));
        }
    }
}

#[test]
fn nothing_kept_or_near_it_makes_the_readers_fall_over() {
    for target in TARGETS.iter().filter(|(name, _)| !WHOLE_WHEELS.contains(name)) {
        search(*target);
    }
}

#[test]
fn wheels_chosen_by_bytes_go_through_every_paper() {
    search(*TARGETS.iter().find(|(name, _)| *name == "wheel").unwrap());
}

#[test]
fn whatever_is_asked_of_a_wheel_is_made_or_refused_with_words() {
    search(*TARGETS.iter().find(|(name, _)| *name == "options").unwrap());
}

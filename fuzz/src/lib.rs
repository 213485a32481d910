//! What the fuzzer calls: each target takes any bytes and panics only where the program has a fault.

pub mod orders;
pub mod requests;
pub mod targets;

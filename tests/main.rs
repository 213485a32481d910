//! All tests of the program as its users meet it, one module per topic; `tests/README.md` is their manual.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod architecture;
mod bad_orders;
mod cli;
mod cutting;
mod engineering;
mod examples;
mod export;
mod falls_over;
mod faults;
mod geometry;
mod kernel;
mod lands;
mod limits;
mod order;
mod properties;
mod rules;
mod sheet;
mod shop;
mod stress;
mod supply;
mod support;
mod views;
mod walls;
mod wear;
mod web;

//! The papers around the drawing: choosing a blank, operations and traveller, inspection, label, delivery note, comparison of revisions, approval.

pub mod approval;
pub mod compare;
pub mod delivery;
pub mod inspection;
pub mod label;
pub mod operation;
pub mod paper;
pub mod removal;
pub mod rotation;
pub mod speed;
pub mod stock;
pub mod traveller;
pub mod written;

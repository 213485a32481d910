//! Reading orders: the schema against every shipped order, and the reader against files that are no orders.

mod edits;
mod malformed;
mod places;
mod shipped;

//! The local page as a client meets it: who is let in, what is answered, what it survives.

mod answers;
mod attacks;
mod client;
mod connections;
mod finish;
mod folder;
mod security;

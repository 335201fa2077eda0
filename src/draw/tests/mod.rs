//! Drawings are read back and compared with the numbers they were made from.

mod apart;
mod assembled;
mod clear;
mod detail;
mod golden;
#[path = "../../../tests/proof/legible.rs"]
mod legible;
mod parts;
mod read;
mod sample;
mod sheet;
mod symbols;
mod told;

//! Drawings are read back and compared with the numbers they were made from.

mod apart;
mod assembled;
mod detail;
mod read;
mod sample;
mod sheet;

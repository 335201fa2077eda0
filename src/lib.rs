//! Benchleaf: part data and clamp-system rules in, a fit guide site out.
//!
//! The map, in the one direction that data flows; a folder imports only from those above it:
//! `base`, `built_in`, `quantity`, `kinds`, `catalogue`, `rules`, `reference`, `assembly`, `solve`, `guide`, `draw`, `site`,
//! `compile`, `disk`, `publish`, `watch`, `cli`.

pub mod assembly;
pub mod base;
pub mod built_in;
pub mod catalogue;
pub mod cli;
pub mod compile;
pub mod disk;
pub mod draw;
pub mod guide;
pub mod kinds;
pub mod publish;
pub mod quantity;
pub mod reference;
pub mod rules;
pub mod site;
pub mod solve;
pub mod watch;

/// A search makes thousands of short lists: how soon memory is had is a seventh of its time.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

//! The data file of all pairings in brief: who wants every number asks for a pairing as JSON. No words of its own.

use serde::Serialize;

use super::links::guide_path;
use super::numbers::{supply_word, verdict_word};
use crate::guide::Guide;

#[derive(Serialize)]
struct Pairing<'a> {
    fork: &'a str,
    system: &'a str,
    verdict: &'static str,
    supply: Option<&'static str>,
    /// From the site's root.
    page: String,
}

impl Pairing<'_> {
    fn of(guide: &Guide) -> Pairing<'_> {
        Pairing {
            fork: &guide.fork_id,
            system: &guide.system_id,
            verdict: verdict_word(guide.verdict),
            supply: guide.supply.map(supply_word),
            page: guide_path(&guide.fork_id, &guide.system_id),
        }
    }
}

/// One pairing a line.
pub fn json(guides: &[Guide]) -> Vec<u8> {
    let mut lines = String::from("{\"format\":1,\"pairings\":[\n");
    for (i, guide) in guides.iter().enumerate() {
        let line = serde_json::to_string(&Pairing::of(guide)).unwrap_or_default();
        lines.push_str(if i == 0 { "" } else { ",\n" });
        lines.push_str(&line);
    }
    lines.push_str("\n]}\n");
    lines.into_bytes()
}

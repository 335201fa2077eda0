//! Tells where a newer program brings other rules or pieces than the site was last compiled with, and which answers are
//! others. Knows the site's own data, nothing of how an answer is found.

use std::collections::BTreeMap;
use std::path::Path;

use super::compile::tell_warnings;
use crate::base::{Problem, Problems, Sources};
use crate::built_in::{RECORD, changed, unpacked_as};
use crate::disk::read_if_there;

const PAIRINGS: &str = "data/pairings.json";
/// Larger than the data of any site.
const MOST_BYTES: u64 = 256 << 20;
/// More answers than this nobody reads one by one.
const MOST_TOLD: usize = 20;

/// Before the new pages take the place of the old ones.
pub fn tell(into: &Path, pages: &BTreeMap<String, Vec<u8>>) {
    let old = |path: &str| read_if_there(&into.join(path), MOST_BYTES).ok().flatten();
    let (Some(now), Some(before)) = (pages.get(RECORD), old(RECORD)) else { return };
    let changed = changed(&before, now);
    if changed.is_empty() {
        return;
    }
    let answers = pages.get(PAIRINGS).zip(old(PAIRINGS)).map(|(now, before)| others(&before, now));
    let answers = answers.unwrap_or_default();
    let mut problems = Problems::default();
    for path in changed {
        let fact = "this file comes with the program, and is another than at the last compile";
        let problem = Problem::warning("built-in-changed", fact).in_file(path.clone());
        let more = answers.len().saturating_sub(MOST_TOLD);
        let problem =
            answers.iter().take(MOST_TOLD).fold(problem, |problem, line| problem.note(line.clone()));
        let problem = match (answers.is_empty(), more) {
            (true, _) => problem.note("every answer is what it was"),
            (false, 0) => problem,
            (false, more) => problem.note(format!("and {more} more answers are others")),
        };
        let name = unpacked_as(&path);
        problems.push(problem.mend(format!(
            "look at those guides again; `benchleaf unpack {name}` writes the rule into the book, and it stays as it is"
        )));
    }
    tell_warnings(&problems, &Sources::default());
}

type Verdicts = BTreeMap<(String, String), String>;

/// Pairings whose verdict is another.
fn others(before: &[u8], now: &[u8]) -> Vec<String> {
    let (before, now) = (verdicts(before), verdicts(now));
    let other = |((fork, system), verdict): (&(String, String), &String)| {
        let old = before.get(&(fork.clone(), system.clone())).filter(|old| *old != verdict)?;
        Some(format!("{fork} with {system}: {verdict}, was {old}"))
    };
    now.iter().filter_map(other).collect()
}

fn verdicts(data: &[u8]) -> Verdicts {
    let all: Vec<serde_json::Value> = serde_json::from_slice(data).unwrap_or_default();
    let text = |pairing: &serde_json::Value, key: &str| Some(pairing.get(key)?.as_str()?.to_string());
    all.iter().filter_map(|p| Some(((text(p, "fork")?, text(p, "system")?), text(p, "verdict")?))).collect()
}

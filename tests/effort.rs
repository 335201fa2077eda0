//! Answers that may cost next to nothing, a little and a little more: what they say is true, and where they say less than they would
//! they say that, too.

use benchleaf::assembly::Outcome;
use benchleaf::solve::{Alternative, Answer, Bench, Effort, ShopStrengths, Verdict};

use crate::trying;

const SHARES: [u64; 7] = [0, 300, 2_000, 8_000, 25_000, 80_000, 250_000];

fn outcome(answer: &Answer) -> Outcome {
    answer.stack.checks.iter().map(|c| c.outcome).max().unwrap_or(Outcome::Pass)
}

/// Nothing is claimed that the whole answer does not claim.
fn holds(little: &Answer, whole: &Answer) -> Result<(), &'static str> {
    match little.verdict {
        Verdict::No if !little.unfinished && whole.verdict != Verdict::No => return Err("a no that is none"),
        Verdict::Goes if outcome(little) != Outcome::Pass => return Err("goes, and a check does not pass"),
        Verdict::Measure if outcome(little) == Outcome::Fail => {
            return Err("to be measured, and a check fails");
        }
        _ => {}
    }
    if little.reason_smallest && little.verdict == Verdict::No && whole.verdict != Verdict::No {
        return Err("a reason where something goes");
    }
    let same_plan = little.verdict == whole.verdict && little.stack == whole.stack;
    if !same_plan {
        // It was not looked for to the end, and says so.
        return if little.unfinished || little.verdict == Verdict::No { Ok(()) } else { Err("another plan") };
    }
    if little.verdict != Verdict::No && little != whole && !little.unfinished {
        return Err("less than the whole, and nothing said");
    }
    let either_way = little.either_way.iter().all(|item| whole.either_way.contains(item));
    let known = |l: i64| whole.head_tube.iter().any(|tube| tube.least <= l && l <= tube.most);
    let tubes = little.head_tube.iter().all(|tube| known(tube.least) && known(tube.most));
    let part = |a: &Alternative| (a.slot, a.variant);
    let would_do = little.alternatives.iter().all(|a| whole.alternatives.iter().any(|b| part(a) == part(b)));
    match (either_way, tubes, would_do) {
        (false, ..) => Err("either way, and it does make a difference"),
        (_, false, _) => Err("a head tube with which it does not go"),
        (.., false) => Err("another part that would not do"),
        _ => Ok(()),
    }
}

#[test]
fn an_answer_that_may_cost_little_says_nothing_that_is_not_so() {
    let (mut cut, mut whole_ones) = (0, 0);
    for seed in 0..60 {
        let book = trying::book(seed);
        let strengths = ShopStrengths(&book.shop);
        let bench = book.bench(&strengths);
        for id in ["fork-a", "fork-b"] {
            let fork = book.variant(id);
            let whole = bench.answers_of(fork, 0);
            for most in SHARES {
                let effort = Effort::of(most);
                let little = Bench { effort: Some(&effort), ..bench }.answers_of(fork, 0);
                for (little, whole) in little.iter().zip(&whole) {
                    let held = holds(little, whole);
                    assert!(held.is_ok(), "book {seed}, {id}, {most}: {held:?}");
                    if little == whole { whole_ones += 1 } else { cut += 1 }
                }
            }
        }
    }
    assert!(cut > 100 && whole_ones > 100, "{cut} cut, {whole_ones} whole");
}

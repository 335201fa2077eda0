//! The words of the pairing format for what is one of a few. Must not know where they stand.

use crate::assembly::{Outcome, PutOnWord};
use crate::solve::{Answer, Supply, Verdict};

/// A *no* that was not proved is none.
pub fn verdict(answer: &Answer) -> &'static str {
    match answer.verdict {
        Verdict::No if answer.unfinished => "unsettled",
        settled => of_verdict(settled),
    }
}

pub fn of_verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Goes => "goes",
        Verdict::Measure => "measure",
        Verdict::No => "no",
    }
}

pub fn supply_word(supply: Supply) -> &'static str {
    match supply {
        Supply::AsBoxed => "as-boxed",
        Supply::ExtraParts => "extra-parts",
        Supply::PermanentChange => "permanent-change",
    }
}

pub fn put_on(word: PutOnWord) -> &'static str {
    match word {
        PutOnWord::Fixed => "fixed",
        PutOnWord::FromAbove => "from-above",
        PutOnWord::FromBelow => "from-below",
        PutOnWord::Threaded => "threaded",
        PutOnWord::Pressed => "pressed",
        PutOnWord::Chosen => "chosen",
    }
}

pub fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Pass => "pass",
        Outcome::Measure => "measure",
        Outcome::Fail => "fail",
    }
}

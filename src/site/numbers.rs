//! Quantities as pages show them, and the stable words of states. Must not know pages.

use crate::assembly::Outcome;
use crate::catalogue::OnHand;
use crate::guide::{Guide, GuideAnswer};
use crate::quantity::Length;
use crate::solve::{Supply, Verdict};

pub const UNSETTLED: &str = "unsettled";
/// It goes, but a part is changed for good.
pub const CHANGE: &str = "change";
/// Each revision has an answer of its own.
pub const DEPENDS: &str = "depends";

/// What is said of the pairing as a whole.
pub fn head_word(guide: &Guide) -> &'static str {
    if guide.depends { DEPENDS } else { verdict_word(guide.verdict) }
}

/// `None` where it depends, too.
pub fn head_supply(guide: &Guide) -> Option<&'static str> {
    guide.supply.filter(|_| !guide.depends).map(supply_word)
}

pub fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Goes => "goes",
        Verdict::Measure => "measure",
        Verdict::No => "no",
    }
}

/// Which shape stands for a guide's verdict: a *no* that was not proved is not shown as one.
pub fn shape_word(guide: &Guide) -> &'static str {
    // Of several revisions, the one that gave the guide its words.
    let unsettled = |a: &GuideAnswer| a.unfinished.is_some() && a.verdict_words == guide.verdict_words;
    match guide.verdict {
        _ if guide.depends => DEPENDS,
        Verdict::No if guide.answers.iter().any(unsettled) => UNSETTLED,
        Verdict::Goes if guide.supply == Some(Supply::PermanentChange) => CHANGE,
        verdict => verdict_word(verdict),
    }
}

pub fn answer_shape_word(answer: &GuideAnswer) -> &'static str {
    match (answer.verdict, answer.supply) {
        (Verdict::No, _) if answer.unfinished.is_some() => UNSETTLED,
        (Verdict::Goes, Some(Supply::PermanentChange)) => CHANGE,
        (verdict, _) => verdict_word(verdict),
    }
}

pub fn supply_word(supply: Supply) -> &'static str {
    match supply {
        Supply::AsBoxed => "as-boxed",
        Supply::ExtraParts => "extra-parts",
        Supply::PermanentChange => "permanent-change",
    }
}

pub fn outcome_word(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Pass => "pass",
        Outcome::Measure => "measure",
        Outcome::Fail => "fail",
    }
}

/// Exact, with at least two decimals: `28.60`, `28.575`.
pub fn millimetres(length: Length) -> String {
    let exact = length.to_mm(6);
    let kept = exact.trim_end_matches('0').len();
    let two = exact.find('.').map_or(exact.len(), |point| point + 3);
    exact[..kept.max(two).min(exact.len())].to_string()
}

/// `None` when no stock list knows it.
pub fn count_on_hand(on_hand: OnHand) -> Option<u32> {
    match on_hand {
        OnHand::Unknown => None,
        OnHand::Count(count) => Some(count),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_shown_exactly_and_with_two_decimals_at_least() {
        assert_eq!(millimetres(Length::um(28_600)), "28.60");
        assert_eq!(millimetres(Length::mm(45)), "45.00");
        assert_eq!(millimetres(Length::nm(28_575_000)), "28.575");
        assert_eq!(millimetres(Length::nm(-396_875)), "-0.396875");
    }
}

//! Rules of which the engine is told one thing wrongly, while builds are judged by the true one. Must not know how either judges.

use super::made::{Change, HERON, MOORHEN, Made, SLEEVED, STILT, held_sleeve, loose_sleeve, made, of_rule};
use super::sampled::Tried;
use super::vary::near_this_limit;
use crate::book::Numbers;
use crate::changed_demo::of_part;
use benchleaf::assembly::{Outcome, Setting};
use benchleaf::solve::ShopStrengths;

pub struct Wrongly {
    pub what: &'static str,
    truth: Made,
    told: Made,
    /// What is asked for where this is told wrongly: parts are made so that it is only just met.
    asked: Option<&'static str>,
}

/// Stacks tried of each, and builds of each stack.
const STACKS: usize = 24;
const BUILDS: usize = 60;

impl Wrongly {
    /// The first real build that contradicts what the engine says by what it was told, and what it says without being told anything
    /// wrongly of the same parts. `None`: none does.
    pub fn contradicted(&self) -> Option<String> {
        let strengths = ShopStrengths(&self.told.book.shop);
        let plan = &self.told.plans[0];
        let told = self.told.book.setting(plan.system, &strengths);
        let truth = &self.truth.book.rules[plan.system];
        let mut numbers = Numbers(self.what.len() as u64);
        for at in 0..STACKS {
            let near =
                if at == 0 { None } else { near_this_limit(told, &plan.picks, self.asked, &mut numbers) };
            let catalogue = near.as_ref().map_or(told.catalogue, |(_, made)| made);
            let told = Setting { catalogue, ..told };
            let right = Tried::of(Setting { rule: truth, ..told }, &plan.picks);
            assert!(right.sample(BUILDS, &mut numbers).is_ok(), "{}: told the truth", self.what);
            let tried = Tried::by_rule(truth, told, &plan.picks);
            if tried.said == Outcome::Pass
                && let Err(contradiction) = tried.sample(BUILDS, &mut numbers)
            {
                return Some(contradiction);
            }
        }
        None
    }
}

const WIDE_SHIM: &str = "content/systems/wide-shim.toml";
const STEPPED: &str = "content/systems/stepped-steerer.toml";
const THREADED: &str = "content/headsets/threaded.toml";

fn all_of(common: &[Change], more: Change) -> Vec<Change> {
    common.iter().cloned().chain([more]).collect()
}

/// A figure of a rule: as it is, and as it is told.
fn figure(
    what: &'static str,
    asked: &'static str,
    (file, from, to): (&str, &str, &str),
    plans: &str,
) -> Wrongly {
    Wrongly {
        what,
        truth: made(what, &[], plans),
        told: made(what, &[of_rule(file, from, to)], plans),
        asked: Some(asked),
    }
}

pub fn all() -> Vec<Wrongly> {
    let slit = |long: &str| {
        of_part(
            "parts/upper/bars.toml",
            "bars-broad",
            "slit_length = \"60 ±1\"",
            &format!("slit_length = \"{long}\""),
        )
    };
    let (short, long) = ([slit("39 ±1")], [slit("80 ±1")]);
    let past = of_rule(WIDE_SHIM, "past = \"3\"", "past = \"0\"");
    let bare = of_rule(WIDE_SHIM, "bare = \"25\"", "bare = \"30\"");
    let spare = of_rule(STEPPED, "spare = \"1\"", "spare = \"0\"");
    let within = |hand: &str| held_sleeve("2", "\"0\", \"2\"", hand);
    let pair = |what, truth: &[Change], told: &[Change], plans| Wrongly {
        what,
        truth: made(what, truth, plans),
        told: made(what, told, plans),
        asked: None,
    };
    let wide = |what, asked, from, to| figure(what, asked, (WIDE_SHIM, from, to), HERON);
    vec![
        pair("how far a slit reaches", &short, &all_of(&short, past), HERON),
        pair("how much of a slit shows", &long, &all_of(&long, bare), HERON),
        pair("a sleeve that is loose", &loose_sleeve("2"), &within("0.5"), SLEEVED),
        pair("how sure a hand is", &within("0.5"), &within("0"), SLEEVED),
        pair("what a bolt has to spare", &[], &[spare], STILT),
        wide("the closing gap", "closing gap", "gap = [\"2\"", "gap = [\"1\""),
        wide("a seat", "seat", "seat = \"0.5\"", "seat = \"0.1\""),
        wide("what stands still", "still against turning", "still = \"0.2\"", "still = \"0.1\""),
        wide("an overlap", "overlap", "overlap = \"40\"", "overlap = \"35\""),
        wide("a clearance", "clearance", "[\"0.01\", \"0.35\"]", "[\"0\", \"0.5\"]"),
        figure(
            "how far a nut is on",
            "engagement",
            (THREADED, "engaged = \"5\"", "engaged = \"3\""),
            MOORHEN,
        ),
    ]
}

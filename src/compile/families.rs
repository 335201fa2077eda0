//! Every set of bars of the book for a pairing, in families that come to the same plan. Must not know what is said of them.

use super::book::Book;
use super::kept::Kept;
use super::made_from::MadeFrom;
use crate::assembly::{Outcome, Pick};
use crate::catalogue::VariantIx;
use crate::guide::{ComesTo, WithBars};
use crate::kinds::Known;
use crate::solve::{Aim, Answer, Bench, Held, HeldPlan, Rider, ShopStrengths, Verdict, picks_of};

/// The sets of bars of a pairing that goes, or may go.
#[derive(Clone, Debug, Default)]
pub struct Families {
    /// In the order of the book.
    pub rows: Vec<WithBars>,
    /// For each family with a plan of its own, the first set of bars of it.
    pub own: Vec<VariantIx>,
}

/// What a plan is but for the bars; of one that was not settled only that. One for each answer.
type Plan = Vec<Option<(Outcome, Vec<Pick>)>>;

/// Figures that the steps of a plan tell; one list for each answer.
type Told = Vec<Option<Vec<(i64, i64)>>>;

impl Families {
    /// None where nothing goes, or only what is changed for good.
    pub fn of(book: &Book, kept: &Kept, answers: &[Answer]) -> Families {
        let nothing = answers.iter().all(|a| a.verdict == Verdict::No);
        if nothing || answers.iter().any(|a| !a.changes.is_empty()) {
            return Families::default();
        }
        let strengths = ShopStrengths(&book.shop);
        let bench = book.bench(&strengths);
        let in_guide: Plan = answers.iter().map(|answer| in_guide(book, answer)).collect();
        let mut found = Families::default();
        let mut plans: Vec<(Plan, Told, VariantIx)> = vec![];
        for bars in book.catalogue.variants_known_as(Known::Bars) {
            let held: Vec<HeldPlan> = answers.iter().map(|a| with(kept, &bench, a, bars)).collect();
            let as_told =
                answers.iter().zip(&held).all(|(answer, plan)| steps_hold(kept, &bench, answer, plan));
            let unsettled = held.contains(&HeldPlan::Unsettled);
            let found_picks = |(a, plan): (&Answer, &HeldPlan)| {
                plan.clone().found().map(|found| kept.told_in_steps(&bench, (a.fork, a.system), &found.1))
            };
            let told: Told = answers.iter().zip(&held).map(found_picks).collect();
            let plan: Plan = held.into_iter().map(|plan| but_for_the_bars(book, plan.found()?)).collect();
            // Where not every revision has a plan, the set is told by what it is at worst.
            let worst = plan.iter().flatten().map(|p| p.0).max();
            let outcome = worst.filter(|_| plan.iter().all(Option::is_some)).unwrap_or(Outcome::Measure);
            let each = |of: &Option<(Outcome, Vec<Pick>)>| of.as_ref().map(|p| p.0);
            let depends = !unsettled && plan.windows(2).any(|two| each(&two[0]) != each(&two[1]));
            let comes_to = if unsettled {
                ComesTo::Unsettled
            } else if worst.is_none() {
                ComesTo::Nothing
            } else if plan == in_guide && as_told {
                ComesTo::TheSame(outcome)
            } else {
                let known =
                    plans.iter().find(|known| known.0 == plan && known.1 == told).map(|known| known.2);
                let comes_to = if plan == in_guide { ComesTo::OtherFigures } else { ComesTo::Another };
                if known.is_none() {
                    plans.push((plan, told, bars));
                    found.own.push(bars);
                }
                comes_to(outcome, known.unwrap_or(bars))
            };
            found.rows.push(WithBars { bars, comes_to, depends });
        }
        found
    }
}

/// With these bars the steps of the guide are true as they stand.
fn steps_hold(kept: &Kept, bench: &Bench<'_>, answer: &Answer, with_bars: &HeldPlan) -> bool {
    with_bars.clone().found().is_none_or(|found| kept.steps_hold(bench, answer, &found.1).all())
}

fn in_guide(book: &Book, answer: &Answer) -> Option<(Outcome, Vec<Pick>)> {
    let outcome = match answer.verdict {
        Verdict::Goes => Outcome::Pass,
        Verdict::Measure => Outcome::Measure,
        Verdict::No => return None,
    };
    but_for_the_bars(book, (outcome, picks_of(&answer.stack)))
}

fn but_for_the_bars(book: &Book, (outcome, mut picks): (Outcome, Vec<Pick>)) -> Option<(Outcome, Vec<Pick>)> {
    picks.retain(|p| !book.catalogue.part_of(p.variant).is(Known::Bars));
    Some((outcome, picks))
}

fn with(kept: &Kept, bench: &Bench<'_>, answer: &Answer, bars: VariantIx) -> HeldPlan {
    let (owned, fixed) = ([(bars, 1)], [bars]);
    let held = Held {
        owned: &owned,
        boxed: &answer.boxed,
        fixed: &fixed,
        known: &[],
        at_best: Outcome::Pass,
        aim: Aim::Whole,
    };
    match bench.places(answer.system, &fixed) {
        Some(_) => kept.plan(bench, answer.fork, answer.system, &held),
        None => HeldPlan::No,
    }
}

/// The answers for these bars, as whole as those of the guide.
pub fn answers_with(
    book: &Book,
    kept: &Kept,
    from: MadeFrom,
    (fork, system): (usize, usize),
    bars: VariantIx,
) -> Vec<Answer> {
    let fork = book.forks[fork];
    let id = |part| book.catalogue.part(part).id.clone();
    let revision = bars.0;
    let bars_id = id(book.catalogue.variant(bars).part);
    let name = (id(fork), format!("{}/{bars_id}/{revision}", book.rules[system].id));
    if let Some(known) = kept.answers(&name, &from) {
        return known;
    }
    let strengths = ShopStrengths(&book.shop);
    let rider = Rider { owns: &[(bars, 1)], uses: &[bars] };
    let answers = Bench { rider, ..book.bench(&strengths) }.answers(fork, system);
    kept.keep(name, from, answers.clone());
    answers
}

//! A whole guide from the answers of one fork and one system. Must not know how it is printed.

use super::bench::{Bench, Book};
use super::page::{Guide, GuideAnswer, PartLine, RevisionText};
use super::{
    changing, funnel, glance, head_tube, measuring, numbers, reason, revisions, steps, supply, supposed,
    telling_apart,
};
use crate::base::Problems;
use crate::kinds::Known;
use crate::solve::{Answer, Supply, Verdict};

/// What is said of a fork with a system; `answers`: one for each revision of the fork, never empty.
/// A rule sentence that a plan has no value for is printed with a gap; [`guide_with_problems`] tells of it.
pub fn guide(book: &Book, answers: &[Answer]) -> Guide {
    guide_with_problems(book, answers, &mut Problems::default())
}

/// As [`guide`], with the mistakes in the rule file that show only when its sentences are filled.
pub fn guide_with_problems(book: &Book, answers: &[Answer], problems: &mut Problems) -> Guide {
    let told: Vec<(GuideAnswer, Vec<String>)> =
        answers.iter().enumerate().map(|(i, answer)| tell(book, i, answer, problems)).collect();
    let before_riding = union(told.iter().map(|(_, before)| before));
    let told: Vec<GuideAnswer> = told.into_iter().map(|(answer, _)| answer).collect();
    let (told, apart) = revisions::told_once(book, answers, told);
    let first = &answers[0];
    let (fork, rule) = (book.catalogue.part_of(first.fork), &book.rules[first.system]);
    let worst = &told[least_favourable(told.iter().map(promise))];
    let depends = depends(&told);
    Guide {
        with_bars: None,
        bars: vec![],
        fork_id: fork.id.clone(),
        fork_name: fork.name.clone(),
        system_id: rule.id.clone(),
        system_name: book.words.system(rule),
        system_short: rule.short.clone(),
        verdict: worst.verdict,
        supply: worst.supply,
        depends,
        verdict_words: match depends {
            true if alike(&told) => book.words.word("verdict.depends-alike"),
            true => book.words.word("verdict.depends"),
            false => worst.verdict_words.clone(),
        },
        summary: summary_of_all(book, &told, worst),
        before_riding,
        answers: told,
        apart,
    }
}

/// What an answer promises, the best first. A *no* that is not proved stands last: it never reads as one.
pub type Promise = (Verdict, Option<Supply>, bool);

pub fn promise(told: &GuideAnswer) -> Promise {
    (told.verdict, told.supply, told.verdict == Verdict::No && told.unfinished.is_some())
}

/// Whatever the revision, the answer has the same name; only what it is differs.
fn alike(told: &[GuideAnswer]) -> bool {
    told.iter().all(|answer| answer.verdict_words == told[0].verdict_words)
}

/// Several answers, of which some may go: what a rider has to look at first is which one is his.
fn depends(told: &[GuideAnswer]) -> bool {
    let first = told.first().map(promise);
    told.len() > 1 && told.iter().any(|t| Some(promise(t)) != first || t.verdict != Verdict::No)
}

/// Index of the answer that promises least: the first of equals.
pub fn least_favourable(answers: impl Iterator<Item = Promise>) -> usize {
    let mut worst: Option<(usize, Promise)> = None;
    for (index, answer) in answers.enumerate() {
        if worst.is_none_or(|(_, known)| answer > known) {
            worst = Some((index, answer));
        }
    }
    worst.map_or(0, |(index, _)| index)
}

fn tell(book: &Book, index: usize, answer: &Answer, problems: &mut Problems) -> (GuideAnswer, Vec<String>) {
    let bench = Bench::new(*book, answer);
    let numbers_of_parts = supply::part_numbers(&bench);
    let goes = answer.verdict != Verdict::No;
    let told = GuideAnswer {
        answer: index,
        revision: telling_apart::joined(book, &bench.revisions()),
        revisions: bench.revisions(),
        verdict: answer.verdict,
        supply: answer.supply,
        verdict_words: book.words.word(verdict_key(answer)),
        summary: summary(&bench),
        same: vec![],
        change: changing::warning(&bench),
        measuring: measuring::steps(&bench),
        steps: if goes { steps::steps(&bench, &numbers_of_parts, problems) } else { vec![] },
        parts: supply::parts(&bench, &numbers_of_parts),
        need: supply::need(&bench),
        use_from: if goes { supply::use_from(&bench) } else { vec![] },
        leave: supply::leave(&bench),
        spend: supply::spend(&bench, &answer.spend, !answer.buy.is_empty()),
        in_stock_note: answer.if_in_stock.as_ref().map(|instead| supply::in_stock_note(&bench, instead)),
        on_hand_note: answer.if_on_hand.as_ref().map(|instead| supply::on_hand_note(&bench, instead)),
        numbers: numbers::rows(&bench),
        reason: if goes { vec![] } else { reason::sentences(&bench) },
        funnel: match reason::is_of_the_fork(&bench) {
            true => vec![],
            false => answer.funnel.iter().filter_map(|row| funnel::funnel(&bench, row)).collect(),
        },
        wanted: answer.wanted.iter().map(|part| reason::wanted(&bench, part)).collect(),
        head_tube: head_tube::ranges(&bench),
        head_tube_here: head_tube::here(&bench),
        decks: vec![],
        alternatives: supply::alternatives(&bench),
        last_resort: changing::last_resort(&bench),
        assumed: numbers::assumed(&bench),
        tried: supposed::tried_all(&bench),
        coming: vec![],
        glance: glance::of(&bench),
        unfinished: answer.unfinished.then(|| book.words.word(limit_key(answer.verdict))),
    };
    let before = if goes { steps::before_riding(&bench, problems) } else { vec![] };
    (told, before)
}

/// How far it was looked: for a plan at all, or for what stands beside one.
fn limit_key(verdict: Verdict) -> &'static str {
    if verdict == Verdict::No { "summary.unsettled" } else { "summary.unfinished" }
}

/// A search that came to its limit never reads as "no".
pub fn verdict_key(answer: &Answer) -> &'static str {
    match (answer.verdict, answer.supply) {
        (Verdict::No, _) if answer.unfinished => "verdict.unsettled",
        (Verdict::No, _) => "verdict.no",
        (Verdict::Measure, Some(Supply::PermanentChange)) => "verdict.measure-change",
        (Verdict::Measure, _) => "verdict.measure",
        (Verdict::Goes, None) => "verdict.goes",
        (Verdict::Goes, Some(Supply::AsBoxed)) => "verdict.as-boxed",
        (Verdict::Goes, Some(Supply::ExtraParts)) => "verdict.extra-parts",
        (Verdict::Goes, Some(Supply::PermanentChange)) => "verdict.permanent-change",
    }
}

/// The answer as said over the counter.
fn summary(bench: &Bench) -> String {
    let (words, answer) = (bench.words(), bench.answer);
    match (answer.verdict, answer.supply) {
        (Verdict::No, _) if answer.unfinished => words.word("summary.unsettled"),
        (Verdict::No, _) => match reason::lead(bench) {
            Some(reason) => words.say("summary.no", &[("reason", &reason)]),
            None => words.word("summary.no-plain"),
        },
        (verdict, Some(Supply::PermanentChange)) => {
            let spend = supply::spend(bench, &answer.spend, !answer.buy.is_empty());
            let values = [("spend", spend.as_str())];
            let key = match verdict {
                Verdict::Measure => "summary.permanent-change-measure",
                _ => "summary.permanent-change",
            };
            words.say(key, if spend.is_empty() { &[] } else { &values })
        }
        (Verdict::Measure, _) if measuring::only_with_new_parts(bench) => {
            format!("{} {}", words.word("summary.perhaps"), to_buy(bench, "summary.measure-new"))
        }
        (Verdict::Measure, _) => {
            let measure = words.word("summary.measure");
            match answer.buy.is_empty() {
                true => measure,
                false => format!("{measure} {}", to_buy(bench, "summary.measure-buy")),
            }
        }
        (Verdict::Goes, Some(Supply::AsBoxed)) => words.word("summary.as-boxed"),
        (Verdict::Goes, _) if answer.buy.is_empty() => words.word("summary.goes"),
        (Verdict::Goes, _) => to_buy(bench, "summary.extra-parts"),
    }
}

fn to_buy(bench: &Bench, key: &str) -> String {
    let buy = &bench.answer.buy;
    let count = buy.iter().map(|b| b.count).sum();
    let name = |b: &crate::solve::Buy| {
        let name = supply::article(bench, b.article).1;
        if b.count > 1 { supply::several(bench, b.count, &name) } else { name }
    };
    let list = bench.words().joined("comma", &buy.iter().map(name).collect::<Vec<_>>());
    let mut values = vec![("list", list.as_str())];
    let spend = supply::spend(bench, &bench.answer.spend, true);
    if bench.answer.spend.unpriced == 0 {
        values.push(("spend", &spend));
    }
    bench.words().counted(key, count, &values)
}

fn summary_of_all(book: &Book, told: &[GuideAnswer], worst: &GuideAnswer) -> String {
    if told.len() == 1 || !depends(told) {
        return worst.summary.clone();
    }
    let label = |revision: &Option<RevisionText>| revision.as_ref().map_or("", |r| &r.label).to_owned();
    // A price for one deck beside a price for another is no difference of the revisions.
    let is_deck = |line: &&PartLine| {
        let part = book.catalogue.parts.iter().find(|part| part.id == line.part_id);
        part.is_some_and(|part| part.is(Known::Deck))
    };
    let decks: Vec<Option<&str>> =
        told.iter().map(|t| t.glance.built_on.iter().find(is_deck).map(|line| line.name.as_str())).collect();
    let mut bought =
        told.iter().zip(&decks).filter(|(t, _)| t.verdict == Verdict::Goes).map(|(_, deck)| deck);
    let first = bought.next();
    let other_decks = bought.any(|deck| Some(deck) != first);
    let one = |(t, &deck): (&GuideAnswer, &Option<&str>)| {
        let mut values = vec![("verdict", t.verdict_words.as_str())];
        let label = label(&t.revision);
        values.push(("label", &label));
        values.extend(deck.filter(|_| other_decks && !t.spend.is_empty()).map(|deck| ("deck", deck)));
        values.extend(
            Some(("spend", t.spend.as_str())).filter(|_| t.verdict == Verdict::Goes && !t.spend.is_empty()),
        );
        book.words.say("summary.revision", &values)
    };
    let list = book.words.joined("semicolon", &told.iter().zip(&decks).map(one).collect::<Vec<_>>());
    let key = if alike(told) { "summary.revisions-alike" } else { "summary.revisions" };
    book.words.say(key, &[("list", &list)])
}

/// In order of first mention, each once.
fn union<'a>(lists: impl Iterator<Item = &'a Vec<String>>) -> Vec<String> {
    let mut all: Vec<String> = vec![];
    for text in lists.flatten() {
        if !all.contains(text) {
            all.push(text.clone());
        }
    }
    all
}

//! What a guide page shows: the guide's own finished text, with links and drawings joined to it. Must not know a
//! template, nor word anything.

use serde::Serialize;

use super::DrawingWhat;
use super::else_view::{AlternativeView, BarsView, DeckView};
use super::glance_view::{GlanceView, InsteadView, Ruler, SafetyView, SourceView, instead, sources};
use super::index_view::{GuideLink, Named};
use super::links::guide_path;
use super::number_view::{NumberGroup, number_groups};
use super::numbers::{
    CHANGE, answer_shape_word, head_supply, head_word, shape_word, supply_word, verdict_word,
};
use super::pages::Book;
use super::step_view::{StepView, steps};
use super::theme::css_text;
use super::upgrades_view::ComingView;
use crate::guide::{
    ChangeText, Guide, GuideAnswer, LeaveRow, MeasuringStep, NeedRow, PartRow, PartSource, RevisionText,
    UseRow,
};
use crate::solve::Verdict;

#[derive(Serialize)]
pub(super) struct GuideView<'a> {
    fork_id: &'a str,
    system_id: &'a str,
    fork: Named<'a>,
    system: Named<'a>,
    system_short: String,
    verdict: &'static str,
    /// The verdict, or `unsettled`.
    shape: &'static str,
    supply: Option<&'static str>,
    /// Which answer holds rests on a part in a box, too.
    boxed: bool,
    verdict_words: &'a str,
    /// Pairing and shop for the margin of printed sheets, written for a style sheet.
    print_head: String,
    summary: &'a str,
    /// The bars that it is for, where these are not the cheapest.
    with_bars: Option<&'a str>,
    /// The page of the pairing itself.
    main: String,
    bars: Vec<BarsView<'a>>,
    answers: Vec<AnswerView<'a>>,
    before_riding: &'a [String],
    safety: SafetyView<'a>,
    /// Of the same fork, what goes or may go, cheapest first; on a page that says no.
    goes_instead: Vec<InsteadView<'a>>,
    /// One of these goes only with a permanent change.
    cut_instead: bool,
    /// With the same system, forks that go, cheapest first; on a page that says no.
    other_forks: Vec<InsteadView<'a>>,
    /// The same fork with every system, this one included.
    siblings: Vec<Sibling<'a>>,
    previous: Option<GuideLink<'a>>,
    next: Option<GuideLink<'a>>,
}

#[derive(Serialize)]
struct Sibling<'a> {
    here: bool,
    guide: GuideLink<'a>,
}

#[derive(Serialize)]
struct AnswerView<'a> {
    /// From 1.
    number: usize,
    /// Goes before every id of this answer, so that ids stay unique on the page.
    anchor: String,
    revision: Option<RevisionView<'a>>,
    verdict: &'static str,
    /// The verdict, or `unsettled`.
    shape: &'static str,
    supply: Option<&'static str>,
    verdict_words: &'a str,
    summary: &'a str,
    same: &'a [String],
    change: Option<ChangeView<'a>>,
    last_resort: Option<ChangeView<'a>>,
    measuring: Vec<MeasuringView<'a>>,
    assembled: Vec<&'a str>,
    #[serde(rename = "where")]
    whereabouts: Vec<&'a str>,
    why_not: Vec<&'a str>,
    exploded: Vec<&'a str>,
    steps: Vec<StepView<'a>>,
    parts: Vec<PartRowView<'a>>,
    /// Some part says where it comes from: the nearest attempt's parts do not.
    sourced: bool,
    need: Vec<NeedView<'a>>,
    use_from: Vec<UseView<'a>>,
    leave: Vec<LeaveView<'a>>,
    spend: &'a str,
    in_stock_note: Option<&'a str>,
    on_hand_note: Option<&'a str>,
    /// Every check, by what it protects.
    number_groups: Vec<NumberGroup<'a>>,
    /// Told first, in order.
    reason: &'a [String],
    /// What cannot hold together; after the last line of the reason that announces a list.
    facts: &'a [String],
    funnel: &'a [String],
    wanted: &'a [String],
    head_tube: &'a [String],
    decks: Vec<DeckView<'a>>,
    alternatives: Vec<AlternativeView<'a>>,
    assumed: &'a [String],
    tried: &'a [String],
    unfinished: Option<&'a str>,
    coming: Vec<ComingView<'a>>,
    /// What is needed, by where it comes from.
    sources: Vec<SourceView<'a>>,
    glance: GlanceView<'a>,
    ruler: Option<Ruler>,
}

#[derive(Serialize)]
struct RevisionView<'a> {
    label: &'a str,
    tell: Option<&'a str>,
}

#[derive(Serialize)]
struct ChangeView<'a> {
    warning: &'a str,
    why: &'a str,
    done: &'a [String],
    lost: &'a [String],
    no_cut: &'a str,
    plan: Option<&'a str>,
}

#[derive(Serialize)]
struct MeasuringView<'a> {
    text: &'a str,
    go: &'a str,
    no_go: Option<&'a str>,
    undecided: Option<&'a str>,
    new_parts: bool,
}

#[derive(Serialize)]
struct PartRowView<'a> {
    number: usize,
    part: Named<'a>,
    slot: &'a str,
    kind: &'a str,
    way: Option<&'a str>,
    revision: Option<RevisionView<'a>>,
    changed: Option<&'a str>,
    from: &'a str,
}

#[derive(Serialize)]
struct NeedView<'a> {
    article: Named<'a>,
    is_box: bool,
    count: u32,
    price: Option<&'a str>,
    stock: Option<&'a str>,
    supplies: &'a [String],
    /// In the drawing, where it is bought by itself.
    numbers: Vec<usize>,
}

/// What is used out of one box, or what one sentence says of parts in no box.
#[derive(Serialize)]
struct UseView<'a> {
    parts: Vec<Named<'a>>,
    from_box: Option<Named<'a>>,
    text: &'a str,
}

#[derive(Serialize)]
struct LeaveView<'a> {
    /// All that stay for the same reason.
    parts: Vec<Named<'a>>,
    from_box: Named<'a>,
    why: &'a str,
}

pub(super) fn guide_view<'b>(book: &'b Book<'b>, index: usize) -> GuideView<'b> {
    let guide = book.guide(index);
    let (page, index) = (index, book.main_guide(index));
    let same_fork = |&i: &usize| book.input.guides.get(i).is_some_and(|g| g.fork_id == guide.fork_id);
    let first = (0..index).rev().take_while(same_fork).last().unwrap_or(index);
    let siblings = (first..).take_while(same_fork);
    let goes_instead = instead(book, guide, |g| g.fork_id == guide.fork_id);
    GuideView {
        fork_id: &guide.fork_id,
        system_id: &guide.system_id,
        fork: Named { name: &guide.fork_name, href: book.links.fork(&guide.fork_id) },
        system: Named { name: &guide.system_name, href: book.links.system(&guide.system_id) },
        system_short: guide.system_short.join(", "),
        verdict: head_word(guide),
        shape: shape_word(guide),
        supply: head_supply(guide),
        boxed: guide.answers.iter().any(|a| a.revisions.iter().any(|r| r.part_id != guide.fork_id)),
        verdict_words: &guide.verdict_words,
        print_head: css_text(&format!(
            "{} · {} · {}",
            guide.fork_name, guide.system_name, guide.verdict_words
        )),
        summary: &guide.summary,
        with_bars: guide.with_bars.as_ref().map(|bars| bars.name.as_str()),
        main: guide_path(&guide.fork_id, &guide.system_id),
        bars: guide.bars.iter().map(|row| BarsView::of(book, guide, row)).collect(),
        answers: answers(book, guide, page),
        before_riding: &guide.before_riding,
        safety: SafetyView::of(book.safety_of(page), guide.verdict != Verdict::No || guide.depends),
        cut_instead: goes_instead.iter().any(|row| row.guide.shape == CHANGE),
        goes_instead,
        other_forks: instead(book, guide, |g| g.system_id == guide.system_id),
        siblings: siblings.map(|i| Sibling { here: i == page, guide: book.guide_link(i) }).collect(),
        previous: index.checked_sub(1).filter(same_fork).map(|i| book.guide_link(i)),
        next: Some(index + 1).filter(same_fork).map(|i| book.guide_link(i)),
    }
}

fn answers<'b>(book: &'b Book<'b>, guide: &'b Guide, index: usize) -> Vec<AnswerView<'b>> {
    let several = guide.answers.len() > 1;
    let view = |(i, answer): (usize, &'b GuideAnswer)| {
        let anchor = if several { format!("answer-{}-", i + 1) } else { String::new() };
        AnswerView::of(book, (guide, index), answer, i + 1, anchor)
    };
    guide.answers.iter().enumerate().map(view).collect()
}

impl<'b> AnswerView<'b> {
    /// `whose`: the guide, and its place among all that have pages.
    fn of(
        book: &'b Book<'b>,
        (whose, guide): (&'b Guide, usize),
        answer: &'b GuideAnswer,
        number: usize,
        anchor: String,
    ) -> Self {
        let drawn = |what: DrawingWhat| drawings(book, guide, answer.answer, what);
        let named = |id: &str, name: &'b str| Named { name, href: book.links.article(id) };
        let box_named = |id: &'b str| {
            let name = book.links.the_box(id).map_or(id, |b| b.name.as_str());
            named(id, name)
        };
        let (reason, facts) = reason_and_facts(&answer.reason);
        AnswerView {
            number,
            revision: answer.revision.as_ref().map(RevisionView::of),
            verdict: verdict_word(answer.verdict),
            shape: answer_shape_word(answer),
            supply: answer.supply.map(supply_word),
            verdict_words: &answer.verdict_words,
            summary: &answer.summary,
            same: &answer.same,
            change: answer.change.as_ref().map(ChangeView::of),
            last_resort: answer.last_resort.as_ref().map(ChangeView::of),
            measuring: measuring(answer),
            assembled: drawn(DrawingWhat::Assembled),
            whereabouts: drawn(DrawingWhat::Where(None)),
            why_not: drawn(DrawingWhat::WhyNot),
            exploded: drawn(DrawingWhat::Exploded),
            steps: steps(answer, &anchor, drawn),
            sourced: answer.parts.iter().any(|r| !r.from.is_empty()),
            parts: answer.parts.iter().map(|r| PartRowView::of(r, named(&r.part_id, &r.name))).collect(),
            need: answer
                .need
                .iter()
                .map(|r| NeedView {
                    numbers: bought(answer, &r.id),
                    ..NeedView::of(r, named(&r.id, &r.name))
                })
                .collect(),
            use_from: uses(&answer.use_from, named, box_named),
            leave: leave(&answer.leave, named, box_named),
            spend: &answer.spend,
            in_stock_note: answer.in_stock_note.as_deref(),
            on_hand_note: answer.on_hand_note.as_deref(),
            number_groups: number_groups(answer),
            reason,
            facts,
            funnel: &answer.funnel,
            wanted: &answer.wanted,
            head_tube: &answer.head_tube,
            decks: answer
                .decks
                .iter()
                .map(|r| DeckView::of(book, whose, r, named(&r.part_id, &r.name)))
                .collect(),
            alternatives: answer.alternatives.iter().map(|r| AlternativeView::of(r, named)).collect(),
            assumed: &answer.assumed,
            tried: &answer.tried,
            unfinished: answer.unfinished.as_deref(),
            coming: coming(book, guide, answer, number),
            sources: sources(answer, named, box_named),
            glance: GlanceView::of(book, answer),
            ruler: Ruler::of(book, answer),
            anchor,
        }
    }
}

/// Where the new parts are needed is said once, at the first reading that needs them.
fn measuring(answer: &GuideAnswer) -> Vec<MeasuringView<'_>> {
    let first = answer.measuring.iter().position(|step| step.new_parts);
    let view =
        |(at, step): (usize, _)| MeasuringView { new_parts: Some(at) == first, ..MeasuringView::of(step) };
    answer.measuring.iter().enumerate().map(view).collect()
}

/// Numbers of the parts that are bought loose under this id.
fn bought(answer: &GuideAnswer, id: &str) -> Vec<usize> {
    let loose = |row: &&PartRow| row.source == PartSource::Bought && row.part_id == id;
    answer.parts.iter().filter(loose).map(|row| row.number).collect()
}

fn coming<'b>(
    book: &'b Book<'b>,
    guide: usize,
    answer: &'b GuideAnswer,
    number: usize,
) -> Vec<ComingView<'b>> {
    let guide = book.guide(guide);
    let several = guide.answers.len() > 1;
    answer.coming.iter().map(|row| ComingView::of(book, &guide.fork_id, several, number - 1, row)).collect()
}

/// A line that ends in a colon announces the facts after it; without one, the first line is the reason.
fn reason_and_facts(lines: &[String]) -> (&[String], &[String]) {
    let announced = lines.iter().position(|line| line.ends_with(':')).map(|at| at + 1);
    lines.split_at(announced.unwrap_or(1).min(lines.len()))
}

/// Drawings of one answer, in the order given.
fn drawings<'b>(book: &'b Book<'b>, guide: usize, answer: usize, what: DrawingWhat) -> Vec<&'b str> {
    book.drawings_of(guide)
        .iter()
        .filter(|d| d.answer == answer && d.what == what)
        .map(|d| d.svg.as_str())
        .collect()
}

impl<'b> RevisionView<'b> {
    fn of(revision: &'b RevisionText) -> RevisionView<'b> {
        RevisionView { label: &revision.label, tell: revision.tell.as_deref() }
    }
}

impl<'b> ChangeView<'b> {
    fn of(change: &'b ChangeText) -> ChangeView<'b> {
        let ChangeText { warning, why, done, lost, no_cut, plan } = change;
        ChangeView { warning, why, done, lost, no_cut, plan: plan.as_deref() }
    }
}

impl<'b> MeasuringView<'b> {
    fn of(step: &'b MeasuringStep) -> MeasuringView<'b> {
        let (no_go, undecided) = (step.no_go.as_deref(), step.undecided.as_deref());
        MeasuringView { text: &step.text, go: &step.go, no_go, undecided, new_parts: step.new_parts }
    }
}

impl<'b> PartRowView<'b> {
    fn of(row: &'b PartRow, part: Named<'b>) -> PartRowView<'b> {
        PartRowView {
            number: row.number,
            part,
            slot: &row.slot,
            kind: &row.kind,
            way: row.way.as_deref(),
            revision: row.revision.as_ref().map(RevisionView::of),
            changed: row.changed.as_deref(),
            from: &row.from,
        }
    }
}

impl<'b> NeedView<'b> {
    fn of(row: &'b NeedRow, article: Named<'b>) -> NeedView<'b> {
        NeedView {
            article,
            is_box: row.is_box,
            count: row.count,
            price: row.price.as_deref(),
            stock: row.stock.as_deref(),
            supplies: &row.supplies,
            numbers: vec![],
        }
    }
}

/// Rows out of the same box together, in the order of its first; quadratic in the boxes, which are few.
fn uses<'b>(
    rows: &'b [UseRow],
    named: impl Fn(&str, &'b str) -> Named<'b>,
    box_named: impl Fn(&'b str) -> Named<'b>,
) -> Vec<UseView<'b>> {
    let mut views: Vec<(&UseRow, UseView)> = vec![];
    for row in rows {
        let part = named(&row.part_id, &row.name);
        let alike =
            |(first, _): &&mut (&UseRow, UseView)| (&first.box_id, &first.text) == (&row.box_id, &row.text);
        match views.iter_mut().find(alike) {
            Some((_, view)) => view.parts.push(part),
            None => {
                let from_box = row.box_id.as_deref().map(&box_named);
                views.push((row, UseView { parts: vec![part], from_box, text: &row.text }));
            }
        }
    }
    views.into_iter().map(|(_, view)| view).collect()
}

/// What stays in one box for one reason together, in the order of its first.
fn leave<'b>(
    rows: &'b [LeaveRow],
    named: impl Fn(&str, &'b str) -> Named<'b>,
    box_named: impl Fn(&'b str) -> Named<'b>,
) -> Vec<LeaveView<'b>> {
    let mut views: Vec<(&LeaveRow, LeaveView)> = vec![];
    for row in rows {
        let part = named(&row.part_id, &row.name);
        let alike =
            |(first, _): &&mut (&LeaveRow, LeaveView)| (&first.box_id, &first.why) == (&row.box_id, &row.why);
        match views.iter_mut().find(alike) {
            Some((_, view)) => view.parts.push(part),
            None => views.push((
                row,
                LeaveView { parts: vec![part], from_box: box_named(&row.box_id), why: &row.why },
            )),
        }
    }
    views.into_iter().map(|(_, view)| view).collect()
}

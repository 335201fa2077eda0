//! What stands first on a guide page: for what, with what, where each part comes from, the safety notes by their place,
//! and on a page that says no what goes instead. Must not know a template, nor word anything.

use serde::Serialize;

use super::index_view::{GuideLink, Named};
use super::pages::{Book, ProseView};
use crate::guide::{Caution, Guide, GuideAnswer, PartRow, PartSource};
use crate::solve::Verdict;

/// File names of safety notes that have a place of their own; every other one stands after the steps.
const START: &str = "before-you-start";
const RIDE: &str = "before-you-ride";
const NOTHING_BUILT: &str = "where-nothing-is-built";

#[derive(Serialize)]
pub(super) struct SafetyView<'a> {
    /// Before the first step.
    start: Option<&'a ProseView<'a>>,
    /// After the last one.
    ride: Option<&'a ProseView<'a>>,
    /// Where nothing is built.
    nothing: Option<&'a ProseView<'a>>,
    /// The same for the answers that say no on a page where something else is built.
    beside: Option<&'a ProseView<'a>>,
    others: Vec<&'a ProseView<'a>>,
}

impl<'a> SafetyView<'a> {
    pub fn of(notes: &'a [ProseView<'a>], built: bool) -> SafetyView<'a> {
        let named = |slug: &str| notes.iter().find(|note| note.slug == slug);
        let placed = [START, RIDE, NOTHING_BUILT];
        SafetyView {
            start: named(START).filter(|_| built),
            ride: named(RIDE).filter(|_| built),
            nothing: named(NOTHING_BUILT).filter(|_| !built),
            beside: named(NOTHING_BUILT).filter(|_| built),
            others: notes.iter().filter(|note| !placed.contains(&note.slug)).collect(),
        }
    }
}

#[derive(Serialize)]
pub(super) struct CautionView<'a> {
    signal: &'static str,
    word: &'a str,
    text: &'a str,
}

impl<'a> CautionView<'a> {
    pub fn of(caution: &'a Caution) -> CautionView<'a> {
        CautionView { signal: caution.signal, word: &caution.word, text: &caution.text }
    }
}

#[derive(Serialize)]
pub(super) struct GlanceView<'a> {
    built_on: Vec<BuiltOn<'a>>,
    tools: &'a [String],
    minutes: Option<&'a str>,
    skill: &'a str,
    cutting: Option<CautionView<'a>>,
}

#[derive(Serialize)]
struct BuiltOn<'a> {
    part: Named<'a>,
    text: &'a str,
}

impl<'a> GlanceView<'a> {
    pub fn of(book: &Book<'a>, answer: &'a GuideAnswer) -> GlanceView<'a> {
        let glance = &answer.glance;
        let built = glance.built_on.iter().map(|line| BuiltOn {
            part: Named { name: &line.name, href: book.links.article(&line.part_id) },
            text: &line.text,
        });
        GlanceView {
            built_on: built.collect(),
            tools: &glance.tools,
            minutes: glance.minutes.as_deref(),
            skill: &glance.skill,
            cutting: glance.cutting.as_ref().map(CautionView::of),
        }
    }
}

/// Parts of a plan that come from one place, with their numbers in the drawing.
#[derive(Serialize)]
pub(super) struct SourceView<'a> {
    /// `box`, `bought-box`, `bought`, `own`, or `none` where nothing is taken.
    from: &'static str,
    the_box: Option<Named<'a>>,
    parts: Vec<SourcePart<'a>>,
}

#[derive(Serialize)]
struct SourcePart<'a> {
    numbers: Vec<usize>,
    part: Named<'a>,
    kind: &'a str,
    revision: Option<&'a str>,
    tell: Option<&'a str>,
    changed: Option<&'a str>,
}

/// In the order: own boxes, what is bought, what the rider has. Alike parts stand once, with all their numbers.
pub(super) fn sources<'b>(
    answer: &'b GuideAnswer,
    named: impl Fn(&str, &'b str) -> Named<'b>,
    box_named: impl Fn(&'b str) -> Named<'b>,
) -> Vec<SourceView<'b>> {
    let mut found: Vec<(&PartSource, SourceView)> = vec![];
    for row in &answer.parts {
        let (from, the_box) = match &row.source {
            PartSource::None => ("none", None),
            PartSource::Box(id) => ("box", Some(id)),
            PartSource::BoughtBox(id) => ("bought-box", Some(id)),
            PartSource::Bought => ("bought", None),
            PartSource::Own => ("own", None),
        };
        let at = found.iter().position(|(source, _)| **source == row.source).unwrap_or_else(|| {
            let the_box = the_box.map(|id| box_named(id));
            found.push((&row.source, SourceView { from, the_box, parts: vec![] }));
            found.len() - 1
        });
        let parts = &mut found[at].1.parts;
        let part = SourcePart::of(row, named(&row.part_id, &row.name));
        match parts.iter_mut().find(|known| known.is_like(&part)) {
            Some(known) => known.numbers.extend(part.numbers),
            None => parts.push(part),
        }
    }
    let order = ["box", "bought-box", "bought", "own", "none"];
    found.sort_by_key(|(_, view)| order.iter().position(|o| *o == view.from));
    found.into_iter().map(|(_, view)| view).collect()
}

impl<'a> SourcePart<'a> {
    fn of(row: &'a PartRow, part: Named<'a>) -> SourcePart<'a> {
        SourcePart {
            numbers: vec![row.number],
            part,
            kind: &row.kind,
            revision: row.revision.as_ref().map(|r| r.label.as_str()),
            tell: row.revision.as_ref().and_then(|r| r.tell.as_deref()),
            changed: row.changed.as_deref(),
        }
    }

    fn is_like(&self, other: &SourcePart) -> bool {
        (self.part.name, self.revision, self.changed) == (other.part.name, other.revision, other.changed)
    }
}

/// Something that goes where the page says no.
#[derive(Serialize)]
pub(super) struct InsteadView<'a> {
    pub guide: GuideLink<'a>,
    /// What is to be bought; empty: nothing.
    spend: &'a str,
    /// The one answer that it is for, where another says no.
    only: Option<&'a str>,
}

/// The same of a page that says no, of one revision at least; nothing on any other.
pub(super) fn instead<'b>(
    book: &'b Book<'b>,
    of: &Guide,
    alike: impl Fn(&Guide) -> bool,
) -> Vec<InsteadView<'b>> {
    let says_no = of.answers.iter().any(|answer| answer.verdict == Verdict::No);
    let other = |guide: &Guide| !std::ptr::eq(guide, of) && alike(guide);
    if says_no { going(book, other) } else { vec![] }
}

/// In some revision at least.
pub(super) fn may_go(guide: &Guide) -> bool {
    guide.answers.iter().any(|answer| answer.verdict != Verdict::No)
}

/// Guides alike in one way that go or may go, those first that go whatever the revision; cheapest first, then by name.
pub(super) fn going<'b>(book: &'b Book<'b>, alike: impl Fn(&Guide) -> bool) -> Vec<InsteadView<'b>> {
    let mut found: Vec<&Guide> = book.input.guides.iter().filter(|g| alike(g) && may_go(g)).collect();
    let best = |g: &Guide| {
        let of = |a: &&GuideAnswer| (a.verdict, a.glance.cost.is_none(), a.glance.cost);
        g.answers.iter().min_by_key(of).map(|a| of(&a))
    };
    let says_no = |g: &Guide| g.answers.iter().any(|answer| answer.verdict == Verdict::No);
    found.sort_by_key(|g| (says_no(g), best(g), g.fork_id.clone(), g.system_id.clone()));
    let view = |g: &'b Guide| {
        let cheapest = g.answers.iter().filter(|a| a.verdict != Verdict::No).min_by_key(|a| a.glance.cost);
        let label = |a: &'b GuideAnswer| a.revision.as_ref().map(|revision| revision.label.as_str());
        InsteadView {
            guide: GuideLink::to(g),
            spend: cheapest.map_or("", |a| a.spend.as_str()),
            only: cheapest.and_then(label).filter(|_| says_no(g)),
        }
    };
    found.into_iter().map(view).collect()
}

/// Head tubes to scale: bars over a ruler, and the decks of the book as marks. Places in percent of the ruler.
#[derive(Serialize)]
pub(super) struct Ruler {
    planned: Vec<Span>,
    others: Vec<Span>,
    marks: Vec<Mark>,
}

#[derive(Serialize)]
struct Span {
    from: String,
    wide: String,
}

#[derive(Serialize)]
struct Mark {
    at: String,
    millimetres: i64,
}

/// Ends of the ruler are whole steps of this many millimetres.
const STEP: f64 = 10.0;

impl Ruler {
    /// `None` where nothing is known of head tubes, or only one range.
    pub fn of(_book: &Book, answer: &GuideAnswer) -> Option<Ruler> {
        let all = &answer.glance.head_tube;
        let least = all.iter().map(|t| t.least_mm).fold(f64::INFINITY, f64::min);
        let most = all.iter().map(|t| t.most_mm).fold(f64::NEG_INFINITY, f64::max);
        if all.len() < 2 || !least.is_finite() || !most.is_finite() {
            return None;
        }
        let (from, to) = ((least / STEP).floor() * STEP, (most / STEP).ceil() * STEP);
        let percent = |mm: f64| format!("{:.2}", (mm - from) / (to - from) * 100.0);
        let span = |(low, high): (f64, f64)| Span {
            from: percent(low),
            wide: format!("{:.2}", (high - low) / (to - from) * 100.0),
        };
        let of = |planned: bool| {
            let ranges = all.iter().filter(|t| t.as_planned == planned).map(|t| (t.least_mm, t.most_mm));
            joined(ranges.collect()).into_iter().map(span).collect()
        };
        let steps = ((to - from) / STEP).round() as i64;
        let every = (steps / 8).max(1);
        let mark = |i: i64| Mark {
            at: percent(from + i as f64 * STEP),
            millimetres: (from + i as f64 * STEP).round() as i64,
        };
        let marks = (0..=steps).filter(|i| i % every == 0).map(mark).collect();
        Some(Ruler { planned: of(true), others: of(false), marks })
    }
}

/// Ranges that touch or overlap as one, rising.
fn joined(mut ranges: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    ranges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut all: Vec<(f64, f64)> = vec![];
    for (low, high) in ranges {
        match all.last_mut() {
            Some(last) if low <= last.1 => last.1 = last.1.max(high),
            _ => all.push((low, high)),
        }
    }
    all
}

//! What the page of a clamp system shows: its slots and limits as rows, the theme has the words. Must not know a
//! template, nor how a limit is checked.

use serde::Serialize;

use super::index_view::GuideLink;
use super::links::system_path;
use super::numbers::millimetres;
use super::pages::Book;
use super::prose::parse_prose;
use crate::base::Problems;
use crate::quantity::Length;
use crate::rules::{PutOn, Rule, Slot, SurfaceRef};

#[derive(Serialize)]
pub(super) struct SystemView<'a> {
    id: &'a str,
    name: &'a str,
    short: String,
    href: String,
    summary: &'a str,
    /// As HTML; its heading is left to the page.
    prose: String,
    guides: Vec<GuideLink<'a>>,
    pulled: String,
    slots: Vec<SlotView<'a>>,
    limits: Vec<LimitView>,
    path: Vec<String>,
}

#[derive(Serialize)]
struct SlotView<'a> {
    name: String,
    kinds: &'a [&'static str],
    least: u8,
    most: u8,
    put_on: &'static str,
    /// `either`, `as-drawn`, `turned`.
    way: &'static str,
    brought: bool,
    rests_on: Vec<String>,
    host: Option<String>,
}

/// One limit: the theme says what `about` means between `of` and `with`.
#[derive(Serialize)]
struct LimitView {
    about: &'static str,
    of: String,
    with: Vec<String>,
    least: Option<String>,
    most: Option<String>,
}

/// Every system, for the overview.
#[derive(Serialize)]
pub(super) struct SystemsView<'a> {
    systems: Vec<SystemView<'a>>,
}

pub(super) fn systems<'a>(book: &Book<'a>) -> SystemsView<'a> {
    let count = book.input.rules.len();
    SystemsView { systems: (0..count).map(|i| system(book, i, "../")).collect() }
}

pub(super) fn system<'a>(book: &Book<'a>, index: usize, root: &str) -> SystemView<'a> {
    let rule = &book.input.rules[index];
    SystemView {
        id: &rule.id,
        name: &rule.name,
        short: rule.short.join(", "),
        href: system_path(&rule.id),
        summary: &rule.summary,
        prose: prose(rule, root),
        guides: book.guides_where(|g| g.system_id == rule.id),
        pulled: plain(&rule.slot(rule.pulled).name),
        slots: rule.slots.iter().map(|s| SlotView::of(rule, s)).collect(),
        limits: limits(rule),
        path: rule.path.iter().map(|p| plain(&rule.slot(p.slot).name)).collect(),
    }
}

/// The rule's own prose. Problems in it were told when the book was read, so they are dropped here.
fn prose(rule: &Rule, root: &str) -> String {
    parse_prose(&rule.id, &rule.prose, rule.span.file, &mut Problems::default()).html(root, 3)
}

/// A name of the rule file as a reader sees it.
fn plain(name: &str) -> String {
    name.replace(['-', '_'], " ")
}

fn surface(rule: &Rule, at: &SurfaceRef) -> String {
    format!("{}: {}", plain(&rule.slot(at.slot).name), plain(at.surface))
}

fn mm(length: Length) -> Option<String> {
    Some(format!("{} mm", millimetres(length)))
}

impl<'a> SlotView<'a> {
    fn of(rule: &'a Rule, slot: &'a Slot) -> SlotView<'a> {
        SlotView {
            name: plain(&slot.name),
            kinds: &slot.kinds,
            least: slot.least,
            most: slot.most,
            put_on: put_on_word(slot.put_on),
            way: match (slot.as_drawn, slot.turned) {
                (true, true) => "either",
                (true, false) => "as-drawn",
                (false, _) => "turned",
            },
            brought: slot.brought,
            rests_on: slot.rests_on.iter().map(|&s| plain(&rule.slot(s).name)).collect(),
            host: slot.host.map(|s| plain(&rule.slot(s).name)),
        }
    }
}

fn put_on_word(put_on: PutOn) -> &'static str {
    match put_on {
        PutOn::Fixed => "fixed",
        PutOn::FromAbove => "from-above",
        PutOn::FromBelow => "from-below",
        PutOn::Threaded => "threaded",
        PutOn::Pressed => "pressed",
        PutOn::Flush => "flush",
        PutOn::Chosen(_) => "chosen",
    }
}

fn limits(rule: &Rule) -> Vec<LimitView> {
    let mut rows = general_limits(rule);
    rows.extend(fit_limits(rule));
    rows.extend(hold_limits(rule));
    rows
}

fn row(about: &'static str, of: String, with: Vec<String>, ends: [Option<String>; 2]) -> LimitView {
    let [least, most] = ends;
    LimitView { about, of, with, least, most }
}

fn general_limits(rule: &Rule) -> Vec<LimitView> {
    let limits = &rule.limits;
    let pulled = plain(&rule.slot(rule.pulled).name);
    vec![
        row("closing-gap", pulled, vec![], [mm(limits.gap_least), limits.gap_most.and_then(mm)]),
        row("seat-width", String::new(), vec![], [mm(limits.seat_least), None]),
        row("still-clearance", String::new(), vec![], [mm(limits.still_least), None]),
    ]
}

fn fit_limits(rule: &Rule) -> Vec<LimitView> {
    let all = |list: &[SurfaceRef]| -> Vec<String> { list.iter().map(|s| surface(rule, s)).collect() };
    let mut rows = vec![];
    for sleeve in &rule.sleeves {
        let (of, with) = (surface(rule, &sleeve.outer), all(&sleeve.inner));
        let ends = [mm(sleeve.clearance_least), mm(sleeve.clearance_most)];
        rows.push(row("sleeve-clearance", of.clone(), with.clone(), ends));
        if let Some(overlap) = sleeve.overlap_least {
            rows.push(row("sleeve-overlap", of, with, [mm(overlap), None]));
        }
    }
    for press in &rule.presses {
        let ends = press.tightness.map_or([None, None], |(least, most)| [mm(least), mm(most)]);
        rows.push(row("press-tightness", surface(rule, &press.wall), all(&press.seat), ends));
    }
    for pair in &rule.threads {
        let (male, female) = (all(&pair.male), all(&pair.female));
        let ends = [pair.engagement_least.and_then(mm), None];
        rows.push(row("thread-engagement", male.join(", "), female.clone(), ends));
        if let Some(spare) = pair.spare_least {
            rows.push(row("bottoming", male.join(", "), female, [mm(spare), None]));
        }
    }
    rows
}

fn hold_limits(rule: &Rule) -> Vec<LimitView> {
    let mut rows = vec![];
    for grip in &rule.grips {
        for layer in &grip.layers {
            let held = vec![plain(&rule.slot(layer.slot).name)];
            rows.push(row("grip-length", surface(rule, &grip.by), held, [layer.least.and_then(mm), None]));
        }
    }
    for slit in &rule.slits {
        let bridge = slit.bridged_by.map(|s| plain(&rule.slot(s).name));
        let about = if slit.wanted { "slit-wanted" } else { "slit-unwanted" };
        rows.push(row(about, plain(&rule.slot(slit.slot).name), bridge.into_iter().collect(), [None, None]));
    }
    for stand in &rule.stand_outs {
        let of: Vec<String> = stand.surface.iter().map(|s| surface(rule, s)).collect();
        let above = stand.above.iter().map(|&s| plain(&rule.slot(s).name)).collect();
        rows.push(row("stand-out", of.join(", "), above, [mm(stand.least), None]));
    }
    rows
}

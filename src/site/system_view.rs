//! What the page of a clamp system shows: its slots and limits as rows, the theme has the words. Must not know a
//! template, nor how a limit is checked.

use serde::Serialize;

use super::index_view::GuideLink;
use super::links::system_path;
use super::names::Names;
use super::numbers::millimetres;
use super::pages::Book;
use super::prose::parse_prose;
use crate::base::Problems;
use crate::guide::capital;
use crate::quantity::Length;
use crate::rules::{PutOn, Rule, Slot, SlotIx, SurfaceRef};

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
    slots: Vec<SlotView>,
    limits: Vec<LimitView>,
    path: Vec<String>,
}

#[derive(Serialize)]
struct SlotView {
    name: String,
    kinds: Vec<KindLink>,
    least: u8,
    most: u8,
    put_on: &'static str,
    /// `either`, `as-drawn`, `turned`.
    way: &'static str,
    brought: bool,
    rests_on: Vec<String>,
    host: Option<String>,
}

/// A kind of part, with its place in the list of parts where the book has one of it.
#[derive(Serialize)]
struct KindLink {
    name: String,
    href: Option<String>,
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
        pulled: book.names.slot(rule, rule.pulled),
        slots: rule.slots.iter().map(|s| SlotView::of(book, rule, s)).collect(),
        limits: Limits { names: book.names, rule }.all(),
        path: rule.path.iter().map(|p| book.names.slot(rule, p.slot)).collect(),
    }
}

/// The rule's own prose. Problems in it were told when the book was read, so they are dropped here.
fn prose(rule: &Rule, root: &str) -> String {
    parse_prose(&rule.id, &rule.prose, rule.span.file, &mut Problems::default()).html(root, 3)
}

fn mm(length: Length) -> Option<String> {
    Some(format!("{} mm", millimetres(length)))
}

impl SlotView {
    fn of(book: &Book, rule: &Rule, slot: &Slot) -> SlotView {
        let said = |s: SlotIx| book.names.slot(rule, s);
        SlotView {
            name: capital(&book.names.slot_named(&slot.name)),
            kinds: slot.kinds.iter().map(|kind| KindLink::to(book, kind)).collect(),
            least: slot.least,
            most: slot.most,
            put_on: put_on_word(slot.put_on),
            way: match (slot.as_drawn, slot.turned) {
                (true, true) => "either",
                (true, false) => "as-drawn",
                (false, _) => "turned",
            },
            brought: slot.brought,
            rests_on: slot.rests_on.iter().map(|&s| said(s)).collect(),
            host: slot.host.map(said),
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

impl KindLink {
    fn to(book: &Book, kind: &str) -> KindLink {
        let there = book.input.catalogue.of_kind(kind).next().is_some();
        let href = there.then(|| format!("parts/index.html#kind-{kind}"));
        KindLink { name: book.names.kind(kind), href }
    }
}

/// What a rule asks for, row by row.
struct Limits<'a> {
    names: Names<'a>,
    rule: &'a Rule,
}

impl Limits<'_> {
    fn all(&self) -> Vec<LimitView> {
        let mut rows = self.of_the_pile();
        rows.extend(self.of_sleeves());
        rows.extend(self.of_presses_and_threads());
        rows.extend(self.of_holding());
        rows
    }

    fn slot(&self, slot: SlotIx) -> String {
        self.names.slot(self.rule, slot)
    }

    fn surface(&self, at: &SurfaceRef) -> String {
        self.names.surface(self.rule, at)
    }

    /// Each once: two surfaces may bear the same name.
    fn surfaces(&self, all: &[SurfaceRef]) -> Vec<String> {
        let mut names: Vec<String> = all.iter().map(|s| self.surface(s)).collect();
        let mut seen = std::collections::BTreeSet::new();
        names.retain(|name| seen.insert(name.clone()));
        names
    }

    fn of_the_pile(&self) -> Vec<LimitView> {
        let limits = &self.rule.limits;
        let gap = [mm(limits.gap_least), limits.gap_most.and_then(mm)];
        vec![
            row("closing-gap", self.slot(self.rule.pulled), vec![], gap),
            row("seat-width", String::new(), vec![], [mm(limits.seat_least), None]),
            row("still-clearance", String::new(), vec![], [mm(limits.still_least), None]),
        ]
    }

    fn of_sleeves(&self) -> Vec<LimitView> {
        let mut rows = vec![];
        for sleeve in &self.rule.sleeves {
            let (of, with) = (self.surface(&sleeve.outer), self.surfaces(&sleeve.inner));
            let ends = [mm(sleeve.clearance_least), mm(sleeve.clearance_most)];
            rows.push(row("sleeve-clearance", of.clone(), with.clone(), ends));
            if let Some(overlap) = sleeve.overlap_least {
                rows.push(row("sleeve-overlap", of, with, [mm(overlap), None]));
            }
        }
        rows
    }

    fn of_presses_and_threads(&self) -> Vec<LimitView> {
        let mut rows = vec![];
        for press in &self.rule.presses {
            let ends = press.tightness.map_or([None, None], |(least, most)| [mm(least), mm(most)]);
            rows.push(row("press-tightness", self.surface(&press.wall), self.surfaces(&press.seat), ends));
        }
        for pair in &self.rule.threads {
            let (male, female) = (self.surfaces(&pair.male).join(", "), self.surfaces(&pair.female));
            let ends = [pair.engagement_least.and_then(mm), None];
            rows.push(row("thread-engagement", male.clone(), female.clone(), ends));
            if let Some(spare) = pair.spare_least {
                rows.push(row("bottoming", male, female, [mm(spare), None]));
            }
        }
        rows
    }

    fn of_holding(&self) -> Vec<LimitView> {
        let mut rows = vec![];
        for grip in &self.rule.grips {
            for layer in &grip.layers {
                let held = vec![self.slot(layer.slot)];
                rows.push(row("grip-length", self.surface(&grip.by), held, [layer.least.and_then(mm), None]));
            }
        }
        for slit in &self.rule.slits {
            let bridge = slit.bridged_by.map(|s| self.slot(s));
            let about = if slit.wanted { "slit-wanted" } else { "slit-unwanted" };
            rows.push(row(about, self.slot(slit.slot), bridge.into_iter().collect(), [None, None]));
        }
        for stand in &self.rule.stand_outs {
            let above = stand.above.iter().map(|&s| self.slot(s)).collect();
            let of = self.surfaces(&stand.surface).join(", ");
            rows.push(row("stand-out", of, above, [mm(stand.least), None]));
        }
        rows
    }
}

fn row(about: &'static str, of: String, with: Vec<String>, ends: [Option<String>; 2]) -> LimitView {
    let [least, most] = ends;
    LimitView { about, of, with, least, most }
}

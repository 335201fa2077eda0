//! What the page of a clamp system shows: its slots and limits as rows, the theme has the words. Must not know a
//! template, nor how a limit is checked.

use serde::Serialize;

use super::index_view::GuideLink;
use super::links::system_path;
use super::numbers::millimetres;
use super::pages::{Book, drawn_part};
use super::wording::{Wording, capital};
use crate::quantity::Length;
use crate::rules::{PutOn, Rule, Slot, SlotIx, SurfaceRef};

#[derive(Serialize)]
pub(super) struct SystemView<'a> {
    id: &'a str,
    /// As shops call it, then what it is.
    name: String,
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

impl KindLink {
    fn to(book: &Book, kind: &str) -> KindLink {
        let there = book.input.catalogue.of_kind(kind).next().is_some();
        let href = there.then(|| format!("parts/index.html#kind-{kind}"));
        KindLink { name: book.wording().kind(kind), href }
    }
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
    let said = Said { rule, wording: book.wording() };
    SystemView {
        id: &rule.id,
        name: book.input.words.system(rule),
        short: rule.short.join(", "),
        href: system_path(&rule.id),
        summary: &rule.summary,
        prose: prose(book, rule, root),
        guides: book.guides_where(|g| g.system_id == rule.id),
        pulled: said.slot(rule.pulled),
        slots: slots(book, said),
        limits: limits(said),
        path: rule.path.iter().map(|p| said.slot(p.slot)).collect(),
    }
}

fn prose(book: &Book, rule: &Rule, root: &str) -> String {
    let own = book.input.prose.systems.iter().find(|p| p.slug == rule.id);
    own.map(|p| p.html(root, 3, &|page, sizes| drawn_part(book.input, page, sizes))).unwrap_or_default()
}

/// A rule with the words for its places and surfaces.
#[derive(Clone, Copy)]
struct Said<'a> {
    rule: &'a Rule,
    wording: Wording<'a>,
}

impl Said<'_> {
    fn slot(&self, slot: SlotIx) -> String {
        self.wording.slot(self.rule, slot)
    }

    fn surface(&self, at: &SurfaceRef) -> String {
        self.wording.surface(self.rule, at)
    }

    /// Each once, in the order given.
    fn surfaces(&self, list: &[SurfaceRef]) -> Vec<String> {
        let mut said: Vec<String> = vec![];
        for word in list.iter().map(|s| self.surface(s)) {
            if !said.contains(&word) {
                said.push(word);
            }
        }
        said
    }
}

fn mm(length: Length) -> Option<String> {
    Some(format!("{} mm", millimetres(length)))
}

/// As they are filled: the rule itself keeps slots of chosen height last.
fn slots(book: &Book, said: Said) -> Vec<SlotView> {
    let mut all: Vec<(usize, &Slot)> = said.rule.slots.iter().enumerate().collect();
    all.sort_by_key(|(_, slot)| slot.order);
    all.into_iter().map(|(i, slot)| SlotView::of(book, said, SlotIx(i as u16), slot)).collect()
}

impl SlotView {
    fn of(book: &Book, said: Said, ix: SlotIx, slot: &Slot) -> SlotView {
        SlotView {
            name: capital(&said.slot(ix)),
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
            rests_on: slot.rests_on.iter().map(|&s| said.slot(s)).collect(),
            host: slot.host.map(|s| said.slot(s)),
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
        PutOn::Loose => "loose",
        PutOn::Chosen(_) => "chosen",
    }
}

fn limits(said: Said) -> Vec<LimitView> {
    let mut rows = general_limits(said);
    rows.extend(fit_limits(said));
    rows.extend(hold_limits(said));
    rows
}

fn row(about: &'static str, of: String, with: Vec<String>, ends: [Option<String>; 2]) -> LimitView {
    let [least, most] = ends;
    LimitView { about, of, with, least, most }
}

fn general_limits(said: Said) -> Vec<LimitView> {
    let limits = &said.rule.limits;
    let pulled = said.slot(said.rule.pulled);
    let wish = limits.gap_wish.map(|wish| row("gap-wish", pulled.clone(), vec![], [None, mm(wish)]));
    let mut rows = vec![row("closing-gap", pulled, vec![], [mm(limits.gap_least), None])];
    rows.extend(wish);
    rows.extend([
        row("seat-width", String::new(), vec![], [mm(limits.seat_least), None]),
        row("still-clearance", String::new(), vec![], [mm(limits.still_least), None]),
    ]);
    rows
}

fn fit_limits(said: Said) -> Vec<LimitView> {
    let rule = said.rule;
    let mut rows = vec![];
    for size in &rule.sizes {
        rows.push(row("size", String::new(), said.surfaces(&size.surface), [mm(size.least), mm(size.most)]));
    }
    for sleeve in &rule.sleeves {
        let (of, with) = (said.surface(&sleeve.outer), said.surfaces(&sleeve.inner));
        let ends = [mm(sleeve.clearance_least), mm(sleeve.clearance_most)];
        rows.push(row("sleeve-clearance", of.clone(), with.clone(), ends));
        if let Some(overlap) = sleeve.overlap_least {
            rows.push(row("sleeve-overlap", of, with, [mm(overlap), None]));
        }
    }
    for press in &rule.presses {
        let ends = press.tightness.map_or([None, None], |(least, most)| [mm(least), mm(most)]);
        rows.push(row("press-tightness", said.surface(&press.wall), said.surfaces(&press.seat), ends));
    }
    for pair in &rule.threads {
        let (male, female) = (said.surfaces(&pair.male), said.surfaces(&pair.female));
        let ends = [pair.engagement_least.and_then(mm), None];
        rows.push(row("thread-engagement", male.join(", "), female.clone(), ends));
        if let Some(spare) = pair.spare_least {
            rows.push(row("bottoming", male.join(", "), female, [mm(spare), None]));
        }
    }
    rows
}

fn hold_limits(said: Said) -> Vec<LimitView> {
    let mut rows = vec![];
    for grip in &said.rule.grips {
        for layer in &grip.layers {
            let held = vec![said.slot(layer.slot)];
            rows.push(row("grip-length", said.surface(&grip.by), held, [layer.least.and_then(mm), None]));
        }
    }
    for slit in &said.rule.slits {
        let bridge = slit.bridged_by.map(|s| said.slot(s));
        let about = if slit.wanted { "slit-wanted" } else { "slit-unwanted" };
        rows.push(row(about, said.slot(slit.slot), bridge.into_iter().collect(), [None, None]));
    }
    for stand in &said.rule.stand_outs {
        let above = stand.above.iter().map(|&s| said.slot(s)).collect();
        rows.push(row("stand-out", said.surfaces(&stand.surface).join(", "), above, [mm(stand.least), None]));
    }
    rows
}

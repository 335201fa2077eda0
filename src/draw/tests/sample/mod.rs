//! Stacks built by hand for the tests of drawings. Sizes are invented, near common practice
//! (no source). Must not know how anything is drawn.

mod made;
mod stacks;

pub(in crate::draw) use made::made;
pub(in crate::draw) use stacks::{shelf_clamp, tight_shim, wide_shim};

use super::super::{DrawInput, DrawWords};
use crate::assembly::*;
use crate::base::{FileId, Span};
use crate::catalogue::*;
use crate::kinds::{Drive, Features, Shape, ThreadOn};
use crate::quantity::*;
use crate::rules::*;

pub(super) struct Sample {
    pub stack: Stack,
    pub rule: Rule,
    pub catalogue: Catalogue,
    pub numbers: Vec<(ItemIx, usize)>,
    pub told_ends: Vec<(ItemIx, bool)>,
    pub reading_order: Vec<String>,
}

impl Sample {
    /// One rests on the other, by whatever faces they have.
    pub fn rest(&mut self, upper: &str, lower: &str) {
        let (upper, item) = (self.item(upper), self.item(lower));
        self.stack.items[upper.0 as usize].rests_on.push(Support {
            item,
            column: "body",
            surface: "top",
            own_column: "body",
            contact: Contact::Flat,
            certain: true,
        });
    }

    pub fn input(&self) -> DrawInput<'_> {
        DrawInput {
            stack: &self.stack,
            rule: &self.rule,
            catalogue: &self.catalogue,
            numbers: &self.numbers,
            told_ends: &self.told_ends,
            words: DrawWords {
                title: "Heron with a wide shim",
                description: "Half section, bottom to top:",
                reading_order: &self.reading_order,
                ..DrawWords::default()
            },
            id_prefix: "a-",
        }
    }

    pub fn item(&self, name: &str) -> ItemIx {
        let found = self.stack.items.iter().position(|i| i.name == name);
        ItemIx(found.unwrap_or_else(|| panic!("no {name}")) as u16)
    }
}

/// A step as a rule file may have it.
pub(in crate::draw) fn told(id: &str, change: impl FnOnce(&mut Step)) -> Step {
    let mut step = Step {
        id: id.to_string(),
        slot: None,
        when: Vec::new(),
        say: String::new(),
        feel: None,
        held: None,
        undo: None,
        reach: None,
        closes: None,
        away_from: Vec::new(),
        view: None,
        upside_down: false,
        minutes: None,
        minutes_undone: None,
        span: span(),
    };
    change(&mut step);
    step
}

fn span() -> Span {
    Span::new(FileId(0), 0..0)
}

fn length(mm: f64) -> Length {
    Length::nm((mm * 1e6).round() as i64)
}

/// Length, bore at bottom and top, outside at bottom and top.
pub(super) type R = (f64, [f64; 2], [f64; 2]);

pub(super) struct Item<'a> {
    pub name: &'a str,
    pub kind: &'static str,
    pub landing: f64,
    pub columns: Vec<(&'static str, f64, Vec<R>)>,
    pub slot: Option<f64>,
    pub slit_to: Option<f64>,
    pub pinches: &'a [f64],
    /// Thread, on which ring of the first column, male.
    pub thread: Option<(&'a str, usize, bool)>,
    pub put_on: PutOn,
    pub turned: bool,
    /// Feature and whether it is at the top as drawn.
    pub mark: Option<(&'static str, bool)>,
    pub key: Option<f64>,
}

pub(super) fn item<'a>(name: &'a str, kind: &'static str, landing: f64, rings: Vec<R>) -> Item<'a> {
    Item {
        name,
        kind,
        landing,
        columns: vec![("body", 0.0, rings)],
        slot: None,
        slit_to: None,
        pinches: &[],
        thread: None,
        put_on: PutOn::FromAbove,
        turned: false,
        mark: None,
        key: None,
    }
}

pub(super) fn tube(long: f64, bore: f64, outside: f64) -> R {
    (long, [bore; 2], [outside; 2])
}

struct Builder {
    dims: Vec<ItemDim>,
    items: Vec<Placed>,
    parts: Vec<Part>,
    variants: Vec<Variant>,
    slots: Vec<Slot>,
}

impl Builder {
    /// A named dimension of its own, so that forms are really evaluated.
    fn form(&mut self, mm: f64) -> Form {
        let nominal = length(mm).as_nm();
        let ends = Ends { nominal, least: nominal - 50_000, most: nominal + 50_000 };
        let item = ItemIx(self.items.len() as u16);
        let name = format!("d{}", self.dims.len());
        self.dims.push(ItemDim { item, name, ends, origin: Origin::Stated, written: mm.to_string() });
        Form::dimension(self.dims.len() as u32 - 1)
    }

    fn wall(&mut self, surface: &'static str, diameters: [f64; 2], root: Option<f64>) -> PlacedWall {
        let diameter = diameters.map(|d| self.form(d));
        let root = root.map(|r| self.form(r));
        PlacedWall { surface, diameter, taper: None, root }
    }

    fn add(&mut self, item: &Item) {
        let thread = item.thread.map(|(name, ring, male)| (Thread::read(name).expect("thread"), ring, male));
        let mut columns = Vec::new();
        for (index, (name, start, rings)) in item.columns.iter().enumerate() {
            let start = self.form(*start);
            let segments = rings.iter().enumerate().map(|(i, &(long, bore, outside))| {
                let here = thread.filter(|t| index == 0 && t.1 == i);
                let male = here.filter(|t| t.2);
                let root = male.map(|_| outside[0] * 0.81);
                let bore_surface = if here.is_some_and(|t| !t.2) { "thread" } else { "bore" };
                PlacedSegment {
                    length: self.form(long),
                    bore: self.wall(bore_surface, bore, None),
                    outside: self.wall(if male.is_some() { "thread" } else { "outside" }, outside, root),
                }
            });
            let segments = segments.collect();
            columns.push(PlacedColumn { name, start, segments });
        }
        let high = |(_, start, rings): &(_, f64, Vec<R>)| start + rings.iter().map(|r| r.0).sum::<f64>();
        let high = item.columns.iter().map(high).fold(0.0, f64::max);
        let height = self.form(high);
        let cuts = item.slot.map(|width| PlacedCut {
            column: item.columns[0].0,
            width: self.form(width),
            from: Form::zero(),
            to: self.form(item.slit_to.unwrap_or(high)),
        });
        let cuts = cuts.into_iter().collect();
        let pinches = item.pinches.iter().map(|&p| self.form(p)).collect();
        let nominal = length(item.landing).as_nm();
        let landing = Some(Value { nominal, least: nominal - 100_000, most: nominal + 100_000, form: None });
        let index = self.items.len();
        self.items.push(Placed {
            name: item.name.to_string(),
            slot: SlotIx(index as u16),
            variant: VariantIx(index as u32),
            turned: item.turned,
            put_on: match item.put_on {
                PutOn::FromBelow => PutOnWord::FromBelow,
                _ => PutOnWord::FromAbove,
            },
            rides_with: None,
            still: false,
            still_columns: Vec::new(),
            landing,
            rests_on: Vec::new(),
            columns,
            height,
            mates: Vec::new(),
            cuts,
            pinches,
        });
        self.slots.push(slot(item));
        self.variants.push(Variant {
            part: PartIx(index as u32),
            revision: None,
            changed: None,
            shape: Shape { features: features(item, thread.map(|t| (t.0, t.2))), ..Shape::default() },
        });
        self.parts.push(part(item, index));
    }
}

fn slot(item: &Item) -> Slot {
    Slot {
        name: item.name.to_string(),
        order: 0,
        kinds: vec![item.kind],
        least: 1,
        most: 1,
        put_on: item.put_on,
        as_drawn: true,
        turned: true,
        brought: false,
        still: Vec::new(),
        rests_on: Vec::new(),
        may_touch: Vec::new(),
        host: None,
        span: span(),
    }
}

fn features(item: &Item, thread: Option<(Thread, bool)>) -> Features {
    let drive =
        item.key.map(|key| Drive { tool: "hex key", size: length(key), torque: None, torque_written: None });
    Features {
        threads: thread
            .map(|(thread, male)| ThreadOn { surface: "thread", thread, male })
            .into_iter()
            .collect(),
        drive,
        ..Features::default()
    }
}

fn part(item: &Item, index: usize) -> Part {
    Part {
        id: format!("{}-sample", item.name),
        kind: item.kind,
        name: item.name.to_string(),
        maker: None,
        about: None,
        price: None,
        loose: true,
        on_hand: OnHand::Unknown,
        colours: Vec::new(),
        variants: vec![VariantIx(index as u32)],
        span: span(),
    }
}

/// Numbers bottom to top by the middle of each item.
pub(super) fn build(items: &[Item], slits: &[&str]) -> Sample {
    let mut b = Builder {
        dims: Vec::new(),
        items: Vec::new(),
        parts: Vec::new(),
        variants: Vec::new(),
        slots: Vec::new(),
    };
    items.iter().for_each(|i| b.add(i));
    let slit_rules = slits.iter().map(|name| {
        let slot = b.slots.iter().position(|s| s.name == *name).expect("slot");
        SlitRule {
            slot: SlotIx(slot as u16),
            wanted: true,
            bridged_by: None,
            unbridged: Length::ZERO,
            bare: None,
            span: span(),
        }
    });
    let limits = Limits {
        gap_least: Length::mm(2),
        gap_wish: Some(Length::mm(5)),
        seat_least: Length::um(500),
        still_least: Length::um(200),
    };
    let rule = Rule {
        id: "sample".into(),
        name: "Sample".into(),
        short: Vec::new(),
        summary: String::new(),
        prose: String::new(),
        slits: slit_rules.collect(),
        slots: b.slots,
        sleeves: Vec::new(),
        presses: Vec::new(),
        threads: Vec::new(),
        grips: Vec::new(),
        stand_outs: Vec::new(),
        sizes: Vec::new(),
        pulled: SlotIx(0),
        path: Vec::new(),
        limits,
        changes: Vec::new(),
        steps: Vec::new(),
        before_riding: Vec::new(),
        span: span(),
    };
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by(|&a, &c| items[a].landing.total_cmp(&items[c].landing));
    let numbers = order.iter().enumerate().map(|(n, &i)| (ItemIx(i as u16), n + 1)).collect();
    let reading_order =
        order.iter().enumerate().map(|(n, &i)| format!("{} {}", n + 1, items[i].name)).collect();
    let stack = Stack {
        dims: b.dims,
        items: b.items,
        pushed: Vec::new(),
        checks: Vec::new(),
        windows: Vec::new(),
        merged: false,
        open: Vec::new(),
    };
    let catalogue = Catalogue { parts: b.parts, variants: b.variants, ..Catalogue::default() };
    let end = |item: &Item| item.mark.map(|(_, at_top)| at_top != item.turned);
    let marked = items.iter().enumerate().filter_map(|(i, item)| Some((ItemIx(i as u16), end(item)?)));
    let told_ends = marked.collect();
    Sample { stack, rule, catalogue, numbers, told_ends, reading_order }
}

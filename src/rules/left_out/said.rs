//! What a rule says in so many words: `[[free]]` for what nothing is asked of, `any_size` for what may have any
//! diameter. Must not know what has to be said.

use super::super::names::{Names, Wanted};
use super::super::{SlotIx, SurfaceRef};
use super::{Whole, held, kinds_of, wall};
use crate::base::{Problem, Problems, Span, Table};
use crate::kinds::Ask;

#[derive(Debug, Default)]
pub struct Said {
    pub frees: Vec<Free>,
    pub any_size: Vec<(SurfaceRef, Span)>,
}

#[derive(Debug)]
pub struct Free {
    pub what: What,
    /// Of a bore: free over these alone; empty: over anything.
    pub over: Vec<SurfaceRef>,
    pub span: Span,
}

#[derive(Debug, PartialEq)]
pub enum What {
    /// No sleeve, press, thread or grip need speak of it.
    Wall(SurfaceRef),
    /// The parts of this slot may have a slit or none.
    Slit(SlotIx),
    /// The part of this slot need not be in a grip.
    Grip(SlotIx),
}

impl Said {
    pub fn frees_wall(&self, surface: &SurfaceRef) -> bool {
        let free = |f: &Free| f.over.is_empty() && matches!(&f.what, What::Wall(wall) if wall == surface);
        self.frees.iter().any(free)
    }

    /// Whether the bore is free over this one outside.
    pub fn frees_over(&self, bore: &SurfaceRef, outside: &SurfaceRef) -> bool {
        let free = |f: &Free| f.over.contains(outside) && matches!(&f.what, What::Wall(wall) if wall == bore);
        self.frees.iter().any(free)
    }

    pub fn frees(&self, what: &What) -> bool {
        self.frees.iter().any(|f| f.what == *what)
    }
}

/// What headset and system say.
pub fn read(tables: &[Table<'_, '_>], names: &Names<'_>, problems: &mut Problems) -> Said {
    let mut said = Said::default();
    for table in tables {
        for free in table.tables("free", problems) {
            said.frees.extend(read_free(free, names, problems));
        }
        for text in table.texts("any_size", problems) {
            let surface = names.surface(&text, Wanted::Either, problems);
            said.any_size.extend(surface.map(|surface| (surface, text.span)));
        }
    }
    said
}

/// One entry may free several walls for the same reason.
fn read_free(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Vec<Free> {
    let of = "what is free";
    let is_there = |key| table.get(key).is_some();
    let keys = [is_there("surface"), is_there("slit"), is_there("grip")];
    let misread = keys.iter().filter(|there| **there).count() != 1 || is_there("over") && !keys[0];
    let wanted = if is_there("over") { Wanted::Bore } else { Wanted::Either };
    let mut walls = surfaces(&table, "surface", wanted, names, problems);
    let over = surfaces(&table, "over", Wanted::Outside, names, problems);
    let mut slot = |key| table.text(key, problems).and_then(|text| names.slot(&text, problems));
    let (slit, grip) = (slot("slit"), slot("grip"));
    table.needed_text("why", of, problems);
    let span = table.span;
    table.finish(of, &super::super::layouts::FREE, problems);
    if misread {
        problems.push(
            Problem::error("free-misread", "what is free is either walls, or one slit, or one grip")
                .at(span, "")
                .note("surface = \"SLOT.SURFACE\", or a list: walls; over = [\"SLOT.SURFACE\"] beside it: over these alone")
                .note("slit = \"SLOT\": its parts may have a slit or none; grip = \"SLOT\": nothing need hold it")
                .mend("write one of these, and why"),
        );
        return vec![];
    }
    let others = slit.map(What::Slit).into_iter().chain(grip.map(What::Grip));
    walls
        .drain(..)
        .map(What::Wall)
        .chain(others)
        .map(|what| Free { what, over: over.clone(), span })
        .collect()
}

/// Surfaces of a list, or one; a list of none says nothing and is refused.
fn surfaces(
    table: &Table<'_, '_>,
    key: &'static str,
    wanted: Wanted,
    names: &Names<'_>,
    problems: &mut Problems,
) -> Vec<SurfaceRef> {
    if let Some(entry) = table.get(key).filter(|entry| entry.items().is_empty()) {
        let _: Option<()> = entry.refuse("at least one SLOT.SURFACE", problems);
    }
    table.texts(key, problems).iter().filter_map(|t| names.surface(t, wanted, problems)).collect()
}

/// Declared free although it is spoken of, or nothing is asked of it: a slip, or a rest of an older rule.
pub fn idle(whole: &Whole<'_, '_, '_>, problems: &mut Problems) {
    for free in &whole.said.frees {
        let told = match &free.what {
            What::Wall(surface) if wall::needs_free(whole, surface, &free.over) => continue,
            What::Wall(surface) => whole.told(surface),
            other if held::needs_free(whole, other) => continue,
            What::Slit(slot) => format!("the slit of {}", whole.name(*slot)),
            What::Grip(slot) => format!("the grip on {}", whole.name(*slot)),
        };
        problems.push(
            Problem::error("free-idle", format!("{told} is declared free, and need not be"))
                .at(free.span, "")
                .note("the rule's other entries speak of it, or nothing has to")
                .mend("take this [[free]] out, or what speaks of it"),
        );
    }
    for (surface, span) in &whole.said.any_size {
        let sized = whole.lists.sizes.iter().any(|size| size.surface.contains(surface));
        let asked = kinds_of(whole.slot(surface.slot)).any(|k| k.asks(surface.surface).contains(&Ask::Size));
        let why = match (asked, sized) {
            (true, false) => continue,
            (true, true) => "a [[size]] speaks of it",
            (false, _) => "no size is asked of it",
        };
        problems.push(
            Problem::error("any-size-idle", format!("{} stands in any_size: {why}", whole.told(surface)))
                .at(*span, "")
                .mend("take it out of any_size"),
        );
    }
}

//! Walls that are asked for: each is spoken of by a sleeve, a press or a thread, its size by a size, or it is said to
//! be free. Must not know which kinds have which.

use super::super::{PutOn, Sleeve, SurfaceRef};
use super::{Whole, kinds_of};
use crate::base::{Problem, Problems, Table};
use crate::kinds::{Ask, Role};

pub fn check(whole: &Whole<'_, '_, '_>, problems: &mut Problems) {
    for (surface, role, asks) in asked(whole) {
        let free = whole.said.frees_wall(&surface);
        if asks.contains(&Ask::Fit) && !free && !spoken(whole, &surface) {
            unspoken(whole, &surface, role, problems);
        } else if asks.contains(&Ask::Grip) && !free && !gripped(whole, &surface) {
            no_grip(whole, &surface, problems);
        }
        let any_size = whole.said.any_size.iter().any(|(named, _)| *named == surface);
        let sized = whole.lists.sizes.iter().any(|size| size.surface.contains(&surface));
        if asks.contains(&Ask::Size) && !any_size && !sized {
            no_size(whole, &surface, problems);
        }
    }
    for sleeve in &whole.lists.sleeves {
        for (named, missing) in reaches_left_out(whole, sleeve) {
            reach_left_out(whole, sleeve, &named, &missing, problems);
        }
    }
    or_none(whole, problems);
    threads(whole, problems);
}

/// Each asked surface of each slot, once.
fn asked(whole: &Whole<'_, '_, '_>) -> Vec<(SurfaceRef, Role, &'static [Ask])> {
    let mut found: Vec<(SurfaceRef, Role, &'static [Ask])> = Vec::new();
    for (slot, its) in whole.all() {
        for kind in kinds_of(its) {
            for &(surface, asks) in kind.asked.surfaces {
                let named = SurfaceRef { slot, surface };
                let Some(role) = kind.role(surface) else { continue };
                if !found.iter().any(|(there, ..)| *there == named) {
                    found.push((named, role, asks));
                }
            }
        }
    }
    found
}

fn spoken(whole: &Whole<'_, '_, '_>, surface: &SurfaceRef) -> bool {
    let lists = whole.lists;
    lists.sleeves.iter().any(|s| s.outer == *surface || s.inner.contains(surface))
        || lists.presses.iter().any(|p| p.wall == *surface || p.seat.contains(surface))
        || lists.threads.iter().any(|t| t.male.contains(surface) || t.female.contains(surface))
}

fn gripped(whole: &Whole<'_, '_, '_>, surface: &SurfaceRef) -> bool {
    whole.lists.grips.iter().any(|grip| grip.by == *surface)
}

/// The bore's sleeves, where nothing need be there of what they name: then nothing is checked at times.
fn unsure<'a>(whole: &'a Whole<'_, '_, '_>, surface: &SurfaceRef) -> Vec<&'a Sleeve> {
    let sleeves: Vec<&Sleeve> = whole.lists.sleeves.iter().filter(|s| s.outer == *surface).collect();
    let sure = |inner: &SurfaceRef| {
        let slot = whole.slot(inner.slot);
        slot.least > 0 && kinds_of(slot).all(|kind| kind.always_has(inner.surface))
    };
    if sleeves.iter().any(|s| s.inner.iter().any(sure)) { vec![] } else { sleeves }
}

/// `or_none = "why"`: at times there is nothing in the bore that its sleeve names.
fn or_none(whole: &Whole<'_, '_, '_>, problems: &mut Problems) {
    let tables: Vec<Table<'_, '_>> = whole.tables.iter().flat_map(|t| t.tables("sleeve", problems)).collect();
    for (sleeve, table) in whole.lists.sleeves.iter().zip(&tables) {
        let unsure = unsure(whole, &sleeve.outer).iter().any(|s| s.span == sleeve.span);
        match (unsure, table.get("or_none")) {
            (true, None) => unsure_sleeve(whole, sleeve, problems),
            (false, Some(entry)) => problems.push(
                Problem::error(
                    "or-none-idle",
                    format!("there is always something in {}", whole.told(&sleeve.outer)),
                )
                .at(entry.key, "")
                .note("or_none says why nothing need be there of what the sleeve names")
                .mend("take or_none out"),
            ),
            _ => {}
        }
    }
}

/// How a wall is declared free.
fn free_words(told: &str) -> String {
    format!("[[free]] with surface = \"{told}\" and why = \"…\"")
}

fn unspoken(whole: &Whole<'_, '_, '_>, surface: &SurfaceRef, role: Role, problems: &mut Problems) {
    let told = whole.told(surface);
    let slot = whole.slot(surface.slot);
    let add = match role {
        Role::Bore => format!("[[sleeve]] with outer = \"{told}\""),
        Role::Outside => format!("\"{told}\" to the inner of a [[sleeve]]"),
        Role::MaleThread => format!("[[thread]] with male = [\"{told}\"]"),
        Role::FemaleThread => format!("[[thread]] with female = [\"{told}\"]"),
    };
    let mut problem = Problem::error("wall-left-out", format!("nothing is said of {told}"))
        .at(slot.span, "parts of this slot have it");
    // What meets the fork differs from system to system: which of them is silent is told.
    if slot.put_on == PutOn::Fixed {
        problem = problem.at(
            whole.slot(whole.pulled).span,
            format!("in this system, pulled by {}", whole.name(whole.pulled)),
        );
    }
    problems.push(
        problem
            .note(format!(
                "{}: no sleeve, press or thread names it, so nothing checks what it meets",
                role.word()
            ))
            .mend(format!("add {add}; or, where nothing is asked of it, {}", free_words(&told))),
    );
}

fn unsure_sleeve(whole: &Whole<'_, '_, '_>, sleeve: &Sleeve, problems: &mut Problems) {
    let told = whole.told(&sleeve.outer);
    let inner: Vec<String> = sleeve.inner.iter().map(|s| whole.told(s)).collect();
    problems.push(
        Problem::error("sleeve-unsure", format!("{told} may have nothing in it that its sleeve names"))
            .at(sleeve.span, "")
            .note(format!("it can be without {}, and then nothing is checked", inner.join(" and ")))
            .mend("add to inner what it goes over then; or, where that is nothing, or_none = \"why\""),
    );
}

fn no_grip(whole: &Whole<'_, '_, '_>, surface: &SurfaceRef, problems: &mut Problems) {
    let told = whole.told(surface);
    problems.push(
        Problem::error("grip-left-out", format!("no grip is by {told}"))
            .at(whole.slot(surface.slot).span, "parts of this slot have it")
            .note("pinch bolts close it; without a grip nothing checks what they hold")
            .mend(format!(
                "add [[grip]] with by = \"{told}\" and its layers; or, where it holds nothing, [[free]] with surface = \
                 \"{told}\" and why = \"…\""
            )),
    );
}

fn no_size(whole: &Whole<'_, '_, '_>, surface: &SurfaceRef, problems: &mut Problems) {
    let told = whole.told(surface);
    problems.push(
        Problem::error("size-left-out", format!("the rule does not say which {told} it takes"))
            .at(whole.slot(surface.slot).span, "parts of this slot differ by it")
            .note("systems are told apart by it: a [[size]] gives the limits, any_size says that there are none")
            .mend(format!(
                "add [[size]] with of = [\"{told}\"] and between = [\"least\", \"most\"], or \"{told}\" to any_size"
            )),
    );
}

/// What a sleeve names of a rod, and the reaches of it that it leaves out and that are not free.
fn reaches_left_out(whole: &Whole<'_, '_, '_>, sleeve: &Sleeve) -> Vec<(SurfaceRef, SurfaceRef)> {
    let mut found: Vec<(SurfaceRef, SurfaceRef)> = Vec::new();
    for named in &sleeve.inner {
        for kind in kinds_of(whole.slot(named.slot)) {
            for surface in kind.reaches(named.surface) {
                let reach = SurfaceRef { slot: named.slot, surface };
                let said = whole.said.frees_wall(&reach) || whole.said.frees_over(&sleeve.outer, &reach);
                // A wall of which nothing is said at all is told as that.
                if !said
                    && spoken(whole, &reach)
                    && !sleeve.inner.contains(&reach)
                    && !found.iter().any(|(_, r)| *r == reach)
                {
                    found.push((named.clone(), reach));
                }
            }
        }
    }
    found
}

fn reach_left_out(
    whole: &Whole<'_, '_, '_>,
    sleeve: &Sleeve,
    named: &SurfaceRef,
    missing: &SurfaceRef,
    problems: &mut Problems,
) {
    let (bore, named, missing) = (whole.told(&sleeve.outer), whole.told(named), whole.told(missing));
    problems.push(
        Problem::error("reach-left-out", format!("the sleeve of {bore} names {named} and not {missing}"))
            .at(sleeve.span, "")
            .note("both are of one rod, where parts have both: on which of them it ends up is not looked at")
            .mend(format!(
                "write \"{missing}\" in its inner, narrowest first; or, where it only passes, [[free]] with surface = \
                 \"{bore}\", over = [\"{missing}\"] and why = \"…\""
            )),
    );
}

/// A female thread with no male one there would be looked at by nothing, unless a size asks for it.
fn threads(whole: &Whole<'_, '_, '_>, problems: &mut Problems) {
    for thread in &whole.lists.threads {
        let sure = |male: &SurfaceRef| {
            let slot = whole.slot(male.slot);
            slot.put_on != PutOn::Fixed || kinds_of(slot).all(|k| k.always_has(male.surface))
        };
        let asked = whole.lists.sizes.iter().any(|size| size.surface.iter().all(|s| thread.male.contains(s)));
        if asked || thread.male.iter().any(sure) {
            continue;
        }
        let told: Vec<String> = thread.male.iter().map(|s| format!("\"{}\"", whole.told(s))).collect();
        problems.push(
            Problem::error("thread-unsure", format!("{} need not be there", told.join(" and ")))
                .at(thread.span, "this thread")
                .note("what screws onto it would have nothing to hold by, and nothing would say so")
                .mend(format!(
                    "add [[size]] with of = [{}] and between = [\"least\", \"most\"]",
                    told.join(", ")
                )),
        );
    }
}

/// Whether a `[[free]]` for this wall, over these alone, says anything.
pub fn needs_free(whole: &Whole<'_, '_, '_>, surface: &SurfaceRef, over: &[SurfaceRef]) -> bool {
    if !over.is_empty() {
        // Each of them is a reach that some sleeve of this bore leaves out.
        let left_out = |reach: &SurfaceRef, sleeve: &Sleeve| {
            let of_rod = |named: &SurfaceRef| {
                named.slot == reach.slot
                    && kinds_of(whole.slot(named.slot))
                        .any(|k| k.reaches(named.surface).contains(&reach.surface))
            };
            sleeve.outer == *surface && sleeve.inner.iter().any(of_rod) && !sleeve.inner.contains(reach)
        };
        return over.iter().all(|reach| whole.lists.sleeves.iter().any(|sleeve| left_out(reach, sleeve)));
    }
    let asks: Vec<Ask> = asked(whole)
        .into_iter()
        .filter(|(there, ..)| there == surface)
        .flat_map(|(.., asks)| asks.to_vec())
        .collect();
    asks.contains(&Ask::Fit) && !spoken(whole, surface)
        || asks.contains(&Ask::Grip) && !gripped(whole, surface)
}

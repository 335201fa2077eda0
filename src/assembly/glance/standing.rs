//! How high parts may stand on others, worked out face by face: each pair of faces once, whatever height they are at.
//!
//! Only bounds: in whatever plan that passes, they stand between them. Must not know what lies below.

use super::Glance;
use super::figure::{BUILDS, Figure};
use super::land::meeting_of;
use super::reach::{FAR, Reach, VIEWS, Views, views};
use super::ready::{Face, Ready};
use crate::rules::SlotIx;

/// For each kind of bottoms of a slot how high it may stand; `None`: not at all.
pub type Standings = Vec<Option<Stand>>;

/// How high one part may stand on another, and in which views it surely is no lower.
#[derive(Clone, Copy, Debug)]
pub struct Stand {
    pub reach: Reach,
    pub surely: [bool; VIEWS],
}

impl Stand {
    /// On this or on the other.
    pub fn or(self, other: Stand) -> Stand {
        let surely = [0, 1, 2, 3].map(|view: usize| self.surely[view] && other.surely[view]);
        Stand { reach: self.reach.with(other.reach), surely }
    }

    pub fn minus_shift(self, shift: Reach) -> Stand {
        Stand { reach: self.reach.minus_shift(shift), ..self }
    }
}

/// Two faces that may meet, both at height 0.
#[derive(Clone, Copy)]
struct Met {
    height: Figure,
    builds: [bool; BUILDS],
    /// In which views they surely meet.
    surely: [bool; VIEWS],
}

/// A face's number among those that differ in more than their height, and its height.
type At = (usize, Figure);

#[derive(Default)]
struct Faces {
    flat: Vec<Face>,
    parts: Vec<Vec<At>>,
}

impl Faces {
    fn of<'f>(parts: impl Iterator<Item = &'f [Face]>) -> Faces {
        let mut faces = Faces::default();
        for part in parts {
            let at = |face: &Face| (number(&mut faces.flat, face), face.line);
            let part = part.iter().map(at).collect();
            faces.parts.push(part);
        }
        faces
    }
}

fn number(known: &mut Vec<Face>, face: &Face) -> usize {
    let flat = Face { line: Figure::ZERO, lowest: 0, highest: 0, ..*face };
    known.iter().position(|k| *k == flat).unwrap_or_else(|| {
        known.push(flat);
        known.len() - 1
    })
}

impl Glance<'_> {
    /// How high above the bottom of each of these parts of `lower` those of `upper` may stand, in a plan that passes.
    pub(super) fn standings(
        &self,
        (lower, under): (SlotIx, &[&Ready]),
        (upper, over): (SlotIx, &[&Ready]),
    ) -> Vec<Standings> {
        let tops = Faces::of(under.iter().map(|part| &part.tops[..]));
        let bottoms = Faces::of(over.iter().map(|part| &part.bottoms[..]));
        let meets = |top: &Face, bottom: &Face| self.flat_meeting((lower, top), (upper, bottom));
        let table: Vec<Vec<Option<Met>>> = tops
            .flat
            .iter()
            .map(|top| bottoms.flat.iter().map(|bottom| meets(top, bottom)).collect())
            .collect();
        let on = |part: &Vec<At>| bottoms.parts.iter().map(|bottom| stands(&table, part, bottom)).collect();
        tops.parts.iter().map(on).collect()
    }

    /// `None` where they never meet in a plan that passes.
    fn flat_meeting(&self, (lower, top): (SlotIx, &Face), (upper, bottom): (SlotIx, &Face)) -> Option<Met> {
        let (met, surely) = meeting_of(top, bottom)?;
        let edges = ((upper, bottom.inner.surface), (lower, top.outer.surface));
        // Where the rule has the one slide over the other, it stands on it only when it is too tight.
        if self.slides(edges.0, edges.1) {
            return None;
        }
        let freed = self.named(edges.0, edges.1)
            || self.named((lower, top.inner.surface), (upper, bottom.outer.surface));
        let surely = views(met.common.sure, surely).map(|sure| sure && !freed);
        Some(Met { height: met.height, builds: met.common.builds, surely })
    }
}

fn stands(table: &[Vec<Option<Met>>], tops: &[At], bottoms: &[At]) -> Option<Stand> {
    let (mut possible, mut sure): (Option<Reach>, Views) = (None, [-FAR; VIEWS]);
    let mut anywhere = [false; VIEWS];
    for (over, top) in tops {
        for (under, bottom) in bottoms {
            let Some(met) = &table[*over][*under] else { continue };
            let reach = Reach::of(met.height.plus(*top).minus(*bottom), met.builds);
            for (view, surely) in met.surely.into_iter().enumerate() {
                if surely {
                    anywhere[view] = true;
                    sure[view] = sure[view].max(reach.low[view]);
                }
            }
            possible = Some(reach.with(possible.unwrap_or(Reach::NOWHERE)));
        }
    }
    // The highest meeting counts: none below one that is sure.
    possible.map(|mut reach| {
        for (low, sure) in reach.low.iter_mut().zip(sure) {
            *low = sure.max(*low);
        }
        Stand { reach, surely: anywhere }
    })
}

//! Dropping one item on the pile: its landing is the largest, over the diameters both have, of the pile's
//! top minus the item's underside. From below it is the same with the axis turned.
//!
//! Must not know what the landing is good for.

use super::build::Build;
use super::case::{Candidate, Case, Decision, Stand};
use super::meet::{Face, candidates, overlap};
use super::piece::{Bounds, Lie, Piece};
use super::report::ItemIx;
use crate::quantity::Form;
use std::ops::Deref;
use std::rc::Rc;

/// Two faces that can meet.
pub struct Meeting<'b> {
    pile: ItemIx,
    over: Lent<'b>,
    under: Lent<'b>,
    needs: Vec<Decision>,
}

/// An item's own piece, or one made of it. Pieces are large: a list of these is not.
enum Lent<'b> {
    Own(&'b Piece),
    Made(Box<Piece>),
}

impl Deref for Lent<'_> {
    type Target = Piece;

    fn deref(&self) -> &Piece {
        match self {
            Lent::Own(piece) => piece,
            Lent::Made(piece) => piece,
        }
    }
}

/// All faces of the pile that a face of the item can meet.
pub fn meetings<'b>(build: &'b Build<'_>, index: ItemIx, from_below: bool) -> Vec<Meeting<'b>> {
    let own = build.item(index);
    let own = if from_below { &own.tops } else { &own.bottoms };
    let mut found = Vec::new();
    for pile in build.all().rev().filter(|&i| i < index && !build.is_chosen(i)) {
        let item = build.item(pile);
        let pieces = if from_below { &item.bottoms } else { &item.tops };
        for over in pieces {
            for under in own {
                let apart = over.inner.bounds.least >= under.outer.bounds.most
                    || under.inner.bounds.least >= over.outer.bounds.most;
                if apart {
                    continue;
                }
                let (a, b) = (Face { item: pile, piece: over }, Face { item: index, piece: under });
                if let Some(needs) = overlap(a, b, build, &build.dims) {
                    let (over, under) = if from_below {
                        (Lent::Made(mirrored(over).into()), Lent::Made(mirrored(under).into()))
                    } else {
                        (Lent::Own(over), Lent::Own(under))
                    };
                    found.push(Meeting { pile, over, under, needs });
                }
            }
        }
    }
    found
}

fn mirrored(piece: &Piece) -> Piece {
    let mut mirrored = piece.clone();
    mirrored.height = piece.height.negated();
    mirrored.outer_height = piece.outer_height.as_ref().map(Form::negated);
    mirrored.reach = Bounds { least: -piece.reach.most, most: -piece.reach.least };
    if let Lie::Cone { half_angle, rising } = piece.lie {
        mirrored.lie = Lie::Cone { half_angle, rising: !rising };
        mirrored.slope = -piece.slope;
    }
    mirrored
}

/// Lets the item land in one case: it may become several.
pub fn settle(
    build: &Build<'_>,
    case: Case,
    meetings: &[Meeting<'_>],
    from_below: bool,
    out: &mut Vec<Case>,
) {
    let dims = &build.dims;
    let mut ranked: Vec<(i64, &Meeting<'_>, &Form)> = Vec::with_capacity(meetings.len());
    for meeting in meetings {
        let Some(bottom) = build.bottom(&case, meeting.pile) else { continue };
        let most = if from_below { bottom.negated().most(dims) } else { bottom.most(dims) };
        let loose = most + meeting.over.reach.most - meeting.under.reach.least;
        ranked.push((loose, meeting, bottom));
    }
    ranked.sort_by_key(|r| std::cmp::Reverse(r.0));
    let mut landings: Vec<Candidate<'_>> = Vec::with_capacity(8.min(ranked.len()));
    let mut best_sure = i64::MIN;
    for (loose, meeting, bottom) in ranked {
        if loose < best_sure {
            break;
        }
        let from = landings.len();
        let pile = Face { item: meeting.pile, piece: &meeting.over };
        candidates(pile, &meeting.under, meeting.needs.clone(), dims, &mut landings);
        for landing in &mut landings[from..] {
            let over = if from_below { landing.height.minus(bottom) } else { landing.height.plus(bottom) };
            landing.height = over;
            landing.shared_slack = bottom.slack;
            if landing.needs.is_empty() {
                best_sure = best_sure.max(landing.height.least(dims));
            }
        }
    }
    let first = out.len();
    case.settle(&landings, dims, out);
    if from_below {
        for case in &mut out[first..] {
            if let Some(last) = case.stands.pop() {
                case.stands.push(Rc::new(turned_back(&last)));
            }
        }
    }
}

fn turned_back(stand: &Stand) -> Stand {
    Stand {
        height: stand.height.as_ref().map(Form::negated),
        bounds: stand.bounds.map(|b| Bounds { least: -b.most, most: -b.least }),
        touches: stand.touches.clone(),
    }
}

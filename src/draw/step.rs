//! One step on the bench: what is there, what goes on now and from where, its telling end, the tool, the wrong way.
//! Must not know the order of steps.

use super::DrawInput;
use super::assembled::{MARGIN, NEAR, OVERHANG, Paper, extent, fit, number_of};
use super::cut_ways::{CutWays, cut_ways};
use super::depth::Depth;
use super::exploded::way_marks;
use super::figure::{figure, rim};
use super::gap;
use super::hatch;
use super::outline::{Band, silhouette};
use super::piece::{Look, Piece, Window, piece, window};
use super::reference::{Lettering, column, one_side};
use super::scene::{Frame, Mark, NUMBER_HEIGHT, Point, Scene, Sheet, pt};
use super::signs::{WRONG, arrow, jaw, level_arrow, notes, struck_out, tool_note};
use super::solid::{Solid, Travel, beside_bore, solids};
use super::trim::{self, bolt_heads};
use crate::assembly::ItemIx;
use crate::kinds::Known;
use crate::rules::{PutOn, Step, SurfaceRef};

/// Two step pictures beside each other on A5 are too small for gloves: one goes across a column of text.
const PAPER: Paper = Paper { width: 102.0, height: 88.0, greatest_scale: 1.5 };
/// With two views along the axis, one over the other, beside it.
const WITH_WAYS: f64 = 112.0;
/// How much of what is there is shown below and above the new part, millimetres.
const BELOW: f64 = 20.0;
const ABOVE: f64 = 12.0;
/// A new part longer than this is broken off.
const LONGEST: f64 = 75.0;
/// Between the figure and the wrong way up beside it, for arrows, and between it and the wrong way up under it, paper
/// millimetres.
const ASIDE: f64 = 12.0;
const ARROWS: f64 = 9.0;
const UNDER: f64 = 9.0;

/// `told` is the step as the rules have it, where they have one.
pub(super) fn scene(input: &DrawInput, already: &[ItemIx], now: ItemIx, told: Option<&Step>) -> Scene {
    let upside_down = told.is_some_and(|t| t.upside_down);
    let mut placed = solids(input);
    if upside_down {
        placed = placed.iter().map(Solid::upside_down).collect();
    }
    let hatches = hatch::choose(&placed, NEAR);
    let host = host(input, now);
    let there: Vec<&Solid> = match host.filter(|host| !already.contains(host)) {
        // It goes into something that lies beside the pile.
        Some(host) => placed.iter().filter(|s| s.item == host).collect(),
        None => {
            // What was driven into a part that lies beside the pile still lies there with it.
            let aside = |s: &Solid| {
                self::host(input, s.item).is_some_and(|host| host != now && !already.contains(&host))
            };
            let on_bench = |s: &&Solid| already.contains(&s.item) && s.item != now && !aside(s);
            placed.iter().filter(on_bench).collect()
        }
    };
    let in_place = already.contains(&now);
    let own = placed.iter().zip(&hatches).find(|(s, _)| s.item == now);
    // With its depth told it is shown set in: the dimension is to its face there.
    let set_in = host.is_some() && !input.words.depth.is_empty();
    let mut new = own.and_then(|(s, h)| new_piece(input, s, *h, &placed, in_place || set_in));
    if let (Some(new), Some(closes)) =
        (&mut new, told.filter(|t| !t.upside_down).and_then(|t| t.closes.as_ref()))
    {
        new.idle = idle_bolts(input, &new.solid, closes);
    }
    let away_from = told.map_or(&[][..], |t| &t.away_from);
    let ways = own.and_then(|(s, h)| cut_ways(input, s, away_from, &there, *h));
    let mut shown = new.as_ref().map_or_else(|| window(&placed), |n| around(n, &there));
    let depth = new.as_ref().and_then(|n| Depth::of(input, n, host, &placed));
    if let Some(depth) = &depth {
        (shown.low, shown.high) = (shown.low.min(depth.from - ABOVE), shown.high.max(depth.from + ABOVE));
    }
    let lift = new.as_ref().map_or(0.0, |n| n.lift);
    let already_there = there.iter().filter_map(|s| {
        // What was driven into the new part before comes with it.
        let lift = if self::host(input, s.item) == Some(now) { lift } else { 0.0 };
        let seen = Window { low: shown.low - lift, high: shown.high - lift, ..shown };
        piece(s, seen, lift, Look::Faint, hatch::Hatch::NONE)
    });
    let mut pieces: Vec<Piece> = already_there.collect();
    pieces.extend(new.clone());
    let wrong = new.as_ref().filter(|n| can_be_wrong(n)).map(|n| n.solid.turned_over());
    let own = extent(&pieces);
    let lettering = Lettering::new(NUMBER_HEIGHT);
    let beside = lettering.column() + 2.0 * ARROWS;
    let (with_ways, beside) = with_room(own, ways.as_ref(), beside);
    let (sheet, place) = match &wrong {
        None => (fit(with_ways, beside, paper(ways.as_ref())), Place::Beside),
        Some(wrong) => roomier(with_ways, wrong, beside),
    };
    let mut marks = figure(&pieces, sheet, &turned_away(input, &pieces));
    marks.push(trim::axis(own, sheet));
    let mut frame = own.grown(sheet.printed(OVERHANG));
    if let Some(depth) = &depth {
        marks.push(depth.mark(input.words.depth, &pieces, sheet, &mut frame));
    }
    if let Some(new) = &new {
        marks.extend(signs(input, new, &pieces, sheet, &mut frame));
        marks.extend(depth.map(|depth| way_in(&depth, new, &pieces, sheet, &mut frame)));
        marks.extend(told.and_then(|t| t.held.as_ref()).map(|_| kept(new, sheet, &mut frame)));
        let measured = told.filter(|_| new.lift != 0.0);
        marks.extend(
            measured
                .map(|t| gap::marks(t, new, &placed, (shown, own), sheet, &mut frame))
                .unwrap_or_default(),
        );
    }
    if let (Some(wrong), Some(new)) = (wrong, &new) {
        let to = match place {
            Place::Beside => {
                let aside = own.right + WRONG * wrong.widest() + sheet.printed(ARROWS + ASIDE);
                pt(aside, (wrong.bottom + wrong.top) / 2.0)
            }
            Place::Under => {
                pt(0.0, own.low - sheet.printed(UNDER) - WRONG * (wrong.top - wrong.bottom) / 2.0)
            }
        };
        marks.push(wrong_way(wrong, new, sheet, &mut frame, to));
    }
    if let Some(ways) = &ways {
        marks.extend(ways.marks(own.high, sheet, &mut frame));
    }
    marks.extend(notes(&[input.words.way], sheet, &mut frame));
    let turned_by = new.as_ref().and_then(|n| n.solid.turned_by);
    marks.extend(tool_note(input.words.tool, turned_by, sheet, &mut frame));
    let frame = frame.grown(sheet.printed(MARGIN));
    Scene { drawing: "step", sheet: Sheet { frame, ..sheet }, marks }
}

/// Beside the slot of a clamp slits stand on the far side, as the fitter turns them.
fn turned_away<'a>(input: &DrawInput<'a>, pieces: &[Piece]) -> Vec<&'a str> {
    let clamped = pieces.iter().any(|p| !p.solid.pinches.is_empty());
    let slits = input.rule.slits.iter().filter(|_| clamped);
    slits.map(|s| input.rule.slot(s.slot).name.as_str()).collect()
}

/// The figure with room for the cuts' ways beside it.
fn with_room(own: Frame, ways: Option<&CutWays>, beside: f64) -> (Frame, f64) {
    let Some(ways) = ways else { return (own, beside) };
    let (wide, high) = ways.room();
    (
        Frame { right: own.right + wide, low: own.low.min(own.high - high), ..own },
        beside + CutWays::besides().0,
    )
}

fn paper(ways: Option<&CutWays>) -> Paper {
    ways.map_or(PAPER, |_| Paper { height: WITH_WAYS - CutWays::besides().1, ..PAPER })
}

/// Pinch bolts that do not stand beside the bore that is closed.
fn idle_bolts(input: &DrawInput, shown: &Solid, closes: &SurfaceRef) -> Vec<f64> {
    let beside = beside_bore(input, shown.item, closes.surface);
    let turned = |h: f64| beside.iter().any(|(low, high)| *low <= h && h <= *high);
    shown.pinches.iter().copied().filter(|&h| !turned(h)).collect()
}

/// What an item is driven or screwed into.
fn host(input: &DrawInput, item: ItemIx) -> Option<ItemIx> {
    input.stack.items.get(item.0 as usize)?.rides_with
}

/// Where the wrong way up stands by the figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    Beside,
    Under,
}

/// Of the two places the one that lets everything be drawn larger: rings are wide and low, sleeves are not.
fn roomier(own: Frame, wrong: &Solid, beside: f64) -> (Sheet, Place) {
    let (wide, high) = (WRONG * 2.0 * wrong.widest(), WRONG * (wrong.top - wrong.bottom));
    let next_to = fit(Frame { right: own.right + wide, ..own }, beside + ASIDE, PAPER);
    let paper = Paper { height: PAPER.height - UNDER, ..PAPER };
    let below = fit(Frame { low: own.low - high, ..own }, beside, paper);
    if below.scale > next_to.scale { (below, Place::Under) } else { (next_to, Place::Beside) }
}

/// The new part a little away from its place, the way it comes; one that is there already, in its place.
fn new_piece(
    input: &DrawInput,
    solid: &Solid,
    hatch: hatch::Hatch,
    placed: &[Solid],
    in_place: bool,
) -> Option<Piece> {
    let fixed = input.stack.items.get(solid.item.0 as usize).map(|p| input.rule.slot(p.slot).put_on);
    let lift = match (fixed, solid.travel) {
        (Some(PutOn::Fixed), _) => return piece(solid, window(placed), 0.0, Look::Now, hatch),
        _ if in_place => return piece(solid, window(placed), 0.0, Look::Now, hatch),
        (_, Travel::Down) => 1.0,
        (_, Travel::Up) => -1.0,
    };
    let away = (0.5 * (solid.top - solid.bottom)).clamp(10.0, 24.0);
    let widest = window(placed).widest;
    let kept = match solid.travel {
        Travel::Down => Window { low: solid.bottom, high: solid.bottom + LONGEST, widest },
        Travel::Up => Window { low: solid.top - LONGEST, high: solid.top, widest },
    };
    piece(solid, kept, lift * away, Look::Now, hatch)
}

/// What is shown of the parts that are there.
fn around(new: &Piece, there: &[&Solid]) -> Window {
    let home = (new.solid.bottom - new.lift, new.solid.top - new.lift);
    let widest = there.iter().map(|s| s.widest()).fold(new.solid.widest(), f64::max);
    Window {
        low: home.0.min(new.solid.bottom) - BELOW,
        high: home.1.max(new.solid.top) + ABOVE,
        widest: widest.min(2.5 * new.solid.widest().max(16.0)),
    }
}

/// Its way up is told and hands can turn it over.
fn can_be_wrong(new: &Piece) -> bool {
    !new.solid.is(Known::OneWay)
        && new.solid.told_end.is_some()
        && new.broken == Default::default()
        && new.lift != 0.0
}

fn signs(input: &DrawInput, new: &Piece, pieces: &[Piece], sheet: Sheet, frame: &mut Frame) -> Vec<Mark> {
    let mut marks = Vec::new();
    let index = pieces.len().saturating_sub(1);
    let numbers: Vec<Option<usize>> =
        (0..pieces.len()).map(|i| number_of(input, &new.solid).filter(|_| i == index)).collect();
    let all: Vec<Solid> = pieces.iter().map(|p| p.solid.clone()).collect();
    let bands = silhouette(&all);
    let references = one_side(pieces, &bands, &numbers, false, sheet);
    let own = extent(pieces);
    let room = Frame { left: own.left - sheet.printed(ARROWS), ..own }.grown(rim(sheet));
    marks.extend(column(&references, room, 1.0, Lettering::new(NUMBER_HEIGHT), sheet, frame));
    if new.lift != 0.0 {
        let (from, to) = match new.lift > 0.0 {
            true => (new.solid.top, new.solid.bottom - new.lift),
            false => (new.solid.bottom, new.solid.top - new.lift),
        };
        let beside = |s: &&Solid| s.bottom < from.max(to) && s.top > from.min(to);
        let radius = all.iter().filter(beside).map(|s| s.widest()).fold(0.0, f64::max);
        let x = radius.min(own.right) + sheet.printed(5.5);
        marks.push(arrow(x, from, to, sheet));
        frame.right = frame.right.max(x + sheet.printed(2.0));
        // It ends where the part will be, and so may point beyond all that is there yet.
        frame.low = frame.low.min(from.min(to));
        frame.high = frame.high.max(from.max(to));
    }
    if new.lift == 0.0 {
        marks.extend(at_the_bolts(new, &bands, index, sheet, frame));
        return marks;
    }
    let end = if new.solid.told_end == Some(true) { new.solid.top - 0.3 } else { new.solid.bottom + 0.3 };
    let seen = bands.iter().any(|b| b.solid == index && b.low() < end && end < b.high());
    marks.extend(way_marks(new, if seen { 1.0 } else { -1.0 }, sheet));
    marks
}

/// From clear of its host's end to its face there.
fn way_in(depth: &Depth, new: &Piece, pieces: &[Piece], sheet: Sheet, frame: &mut Frame) -> Mark {
    let out = if new.solid.travel == Travel::Down { 1.0 } else { -1.0 };
    let radius = pieces.iter().map(|p| p.solid.widest()).fold(0.0, f64::max);
    let (x, from) = (radius + sheet.printed(5.5), depth.from + out * sheet.printed(9.0));
    frame.right = frame.right.max(x + sheet.printed(2.0));
    (frame.low, frame.high) = (frame.low.min(from), frame.high.max(from));
    arrow(x, from, depth.to, sheet)
}

/// It is kept where it was set: held from both sides, in the middle of its length.
fn kept(new: &Piece, sheet: Sheet, frame: &mut Frame) -> Mark {
    let (radius, long) = (new.solid.widest(), sheet.printed(4.0));
    let middle = (new.solid.bottom + new.solid.top) / 2.0;
    let jaws = [-1.0, 1.0].map(|side| jaw("jaw", pt(side * radius, middle), pt(-side, 0.0), long, sheet));
    frame.left = frame.left.min(-radius - long);
    frame.right = frame.right.max(radius + long);
    Mark::Group { class: "kept", facts: Vec::new(), marks: jaws.into() }
}

/// An arrow at each pinch bolt that is turned.
fn at_the_bolts(new: &Piece, bands: &[Band], index: usize, sheet: Sheet, frame: &mut Frame) -> Vec<Mark> {
    let own: Vec<&Band> = bands.iter().filter(|b| b.solid == index).collect();
    let heads = bolt_heads(new, &own).into_iter();
    let turned = heads.filter(|(height, _)| new.idle.iter().all(|i| (i - height).abs() > 1e-4));
    // Clear of the bolt's own axis.
    let arrows = turned.map(|(height, x)| {
        let to = pt(x + 2.0 + sheet.printed(0.7), height);
        let from = pt(to.x + sheet.printed(8.0), height);
        frame.right = frame.right.max(from.x);
        level_arrow(from, to, sheet)
    });
    arrows.collect()
}

/// The part the other way up, struck out, its middle at `to`. Nothing in it counts as a part in place.
fn wrong_way(wrong: Solid, new: &Piece, sheet: Sheet, frame: &mut Frame, to: Point) -> Mark {
    let over = sheet.printed(2.0);
    let radius = wrong.widest() + over;
    let strokes = Frame { left: -radius, right: radius, low: wrong.bottom - over, high: wrong.top + over };
    let turned = Piece { solid: wrong, look: Look::Faint, lift: 0.0, ..new.clone() };
    let mut marks: Vec<Mark> =
        figure(std::slice::from_ref(&turned), sheet, &[]).into_iter().map(Mark::nameless).collect();
    let axis = Frame { low: turned.solid.bottom, high: turned.solid.top, ..strokes };
    marks.push(trim::axis(axis, sheet));
    marks.push(struck_out(strokes));
    let middle = (turned.solid.bottom + turned.solid.top) / 2.0;
    let high = WRONG * (turned.solid.top - turned.solid.bottom) / 2.0 + over.max(sheet.printed(3.0));
    frame.right = frame.right.max(to.x + WRONG * radius);
    frame.low = frame.low.min(to.y - high);
    frame.high = frame.high.max(to.y + high);
    Mark::Group { class: "wrong-way", facts: Vec::new(), marks }.placed(WRONG, to.x, to.y - WRONG * middle)
}

//! Cut areas of whole plans at nominal sizes: no two parts have metal in one place, but for a thread in its mate.
//! Reads the placed half-sections alone; knows no landing rule.

use crate::book;

use benchleaf::assembly::{ItemIx, Mating, Placed, PlacedSegment, Stack};
use benchleaf::quantity::{Ends, Form};
use benchleaf::solve::{ShopStrengths, Verdict};
use book::Book;
use geo::{Area, BooleanOps, Coord, LineString, Polygon};

/// Square millimetres that rounding may leave: a micrometre along the whole of a steerer.
const NOTHING: f64 = 0.000_2;

struct Cut<'s> {
    segment: &'s PlacedSegment,
    area: Polygon<f64>,
}

fn millimetres(form: &Form, ends: &[Ends]) -> f64 {
    form.nominal(ends) as f64 / 1e6
}

/// One item's metal right of the axis, as radius and height.
fn cuts<'s>(item: &'s Placed, ends: &[Ends]) -> Vec<Cut<'s>> {
    let Some(landing) = &item.landing else { return vec![] };
    let mut found = vec![];
    for column in &item.columns {
        let mut low = landing.nominal as f64 / 1e6 + millimetres(&column.start, ends);
        for segment in &column.segments {
            let high = low + millimetres(&segment.length, ends);
            let [bore, outside] = [&segment.bore, &segment.outside]
                .map(|w| w.diameter.each_ref().map(|d| millimetres(d, ends) / 2.0));
            let corners = [(bore[0], low), (outside[0], low), (outside[1], high), (bore[1], high)];
            let ring = LineString::new(corners.iter().map(|&(x, y)| Coord { x, y }).collect());
            found.push(Cut { segment, area: Polygon::new(ring, vec![]) });
            low = high;
        }
    }
    found
}

/// The two walls are threads that are screwed together.
fn screwed(stack: &Stack, male: (usize, &Cut<'_>), female: (usize, &Cut<'_>)) -> bool {
    let mate = |own: usize, other: usize, surface: &str| {
        let with = ItemIx(other as u16);
        stack.items[own]
            .mates
            .iter()
            .any(|m| m.how == Mating::Thread && m.item == with && m.surface == surface)
    };
    mate(male.0, female.0, male.1.segment.outside.surface)
        && mate(female.0, male.0, female.1.segment.bore.surface)
}

/// Pairs of items with metal in one place, and how many pairs of areas were compared.
fn overlaps(stack: &Stack) -> (Vec<String>, usize) {
    let ends: Vec<Ends> = stack.dims.iter().map(|d| d.ends).collect();
    let all: Vec<Vec<Cut<'_>>> = stack.items.iter().map(|i| cuts(i, &ends)).collect();
    let (mut found, mut compared) = (vec![], 0);
    for a in 0..all.len() {
        for b in a + 1..all.len() {
            for (one, other) in all[a].iter().flat_map(|one| all[b].iter().map(move |other| (one, other))) {
                if screwed(stack, (a, one), (b, other)) || screwed(stack, (b, other), (a, one)) {
                    continue;
                }
                compared += 1;
                let area = one.area.intersection(&other.area).unsigned_area();
                if area > NOTHING {
                    found.push(format!("{} in {}: {area} mm2", stack.items[a].name, stack.items[b].name));
                }
            }
        }
    }
    (found, compared)
}

#[test]
fn no_two_parts_of_a_plan_that_goes_have_metal_in_one_place() {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    for (fork, system) in [("fork-heron", "wide-shim"), ("fork-moorhen", "locknut")] {
        let answer = book.bench(&strengths).answer(book.variant(fork), book.system(system));
        assert_eq!(answer.verdict, Verdict::Goes, "{fork} {system}");
        let (found, compared) = overlaps(&answer.stack);
        assert_eq!(found, Vec::<String>::new(), "{fork} {system}");
        assert!(compared > 100, "{compared}");
    }
}

#[test]
fn a_part_a_tenth_too_low_is_seen() {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let answer = book.bench(&strengths).answer(book.variant("fork-heron"), book.system("wide-shim"));
    let mut stack = answer.stack;
    let cap = stack.items.iter_mut().find(|i| i.name == "cap").unwrap();
    cap.landing.as_mut().unwrap().nominal -= 100_000;
    assert!(overlaps(&stack).0.iter().any(|o| o.starts_with("shim in cap")), "{:?}", overlaps(&stack).0);
}

//! Nothing is special about 45 degrees: cones of any equal angles seat, unequal ones do not, and where a cone ends is no
//! matter. Knows nothing of how heights are found.

use crate::angled;
use crate::book;
use crate::seventh;

use angled::{Angles, BOTH_45, angled, demo_at, usual};
use benchleaf::assembly::{Contact, Demand, Outcome, Stack, assemble};
use benchleaf::solve::{ShopStrengths, Verdict};
use book::Book;
use seventh::{PARTS, book_of, with_size};

fn stack_of(parts: &str) -> Stack {
    let book = book_of(parts);
    let strengths = ShopStrengths(&book.shop);
    assemble(book.setting(0, &strengths), &usual(&book))
}

/// What was asked of whom, and what came of it. What is far from what stands still has no line.
fn outcomes(stack: &Stack) -> Vec<(Demand, Vec<u16>, Outcome)> {
    let told = stack.checks.iter().filter(|c| c.demand != Demand::Still || c.outcome != Outcome::Pass);
    told.map(|c| (c.demand, c.about.iter().map(|i| i.0).collect(), c.outcome)).collect()
}

/// Every part rests where it rests whatever the sizes, none on an edge.
fn rests_surely(stack: &Stack, what: &str) {
    assert!(!stack.merged, "{what}");
    for item in &stack.items {
        for support in &item.rests_on {
            assert!(
                support.certain && support.contact != Contact::Edge,
                "{what}: {} on {support:?}",
                item.name
            );
        }
    }
}

#[test]
fn a_headset_of_any_equal_angles_comes_to_what_one_of_45_degrees_does() {
    let right = outcomes(&stack_of(PARTS));
    assert!(right.iter().all(|(.., outcome)| *outcome == Outcome::Pass), "{right:?}");
    for (inner, outer) in [(36.0, 36.0), (36.0, 45.0), (45.0, 36.0), (30.0, 30.0), (50.0, 50.0), (60.0, 30.0)]
    {
        let stack = stack_of(&angled(PARTS, Angles { inner, outer }));
        rests_surely(&stack, &format!("{inner} by {outer}"));
        assert_eq!(outcomes(&stack), right, "{inner} by {outer}");
    }
}

#[test]
fn at_no_angle_from_25_to_60_degrees_is_there_something_open_and_nothing_to_measure() {
    for tenths in (250..=600).step_by(7) {
        let inner = f64::from(tenths) / 10.0;
        let outer = 85.0 - inner;
        let stack = stack_of(&angled(PARTS, Angles { inner, outer }));
        rests_surely(&stack, &format!("{inner} by {outer}"));
        let open: Vec<_> = outcomes(&stack).into_iter().filter(|o| o.2 != Outcome::Pass).collect();
        assert!(open.is_empty(), "{inner} by {outer}: {open:?}");
    }
}

/// A race of 30.53 to 30.67 mm at its top under a bearing of 30.50 to 30.53 mm inside.
#[test]
fn a_race_that_ends_where_the_bore_begins_is_one_rim_with_its_seat() {
    let stack = stack_of(&with_size(PARTS, "race", "cone_height", "2 ±0.02"));
    rests_surely(&stack, "2 ±0.02");
    assert!(outcomes(&stack).iter().all(|o| o.2 == Outcome::Pass));
}

/// The top of the race passes by the edge of the bore, from well inside it to well within the bearing's chamfer.
#[test]
fn where_a_cone_ends_in_its_seat_is_no_matter_at_any_angle() {
    for inner in [45.0, 36.0, 33.3, 50.0] {
        let parts = angled(PARTS, Angles { inner, outer: 45.0 });
        let steep = 2.0 * f64::to_radians(inner).tan();
        for top in (3_030..3_080).step_by(1) {
            let height = (34.6 - f64::from(top) / 100.0) / steep;
            let parts = with_size(&parts, "race", "cone_height", &format!("{height:.3} ±0.02"));
            let stack = stack_of(&parts);
            rests_surely(&stack, &format!("{inner} degrees, {height:.3} high"));
            assert!(
                outcomes(&stack).iter().all(|o| o.2 == Outcome::Pass),
                "{inner} degrees, {height:.3} high"
            );
        }
    }
}

#[test]
fn cones_of_unequal_angles_do_not_seat() {
    let seat = |stack: &Stack, name: &str| {
        let about = |c: &&benchleaf::assembly::Check| {
            matches!(c.demand, Demand::Seat(_)) && stack.items[c.about[0].0 as usize].name == name
        };
        stack.checks.iter().find(about).unwrap().outcome
    };
    let parts = angled(PARTS, Angles { inner: 36.0, outer: 36.0 });
    let stack = stack_of(&with_size(&parts, "race", "angle", "38"));
    assert_eq!(seat(&stack, "lower-bearing"), Outcome::Fail);
    assert_eq!(seat(&stack, "ring"), Outcome::Pass);
    // As little as a thousandth of a degree is an edge.
    let stack = stack_of(&with_size(&parts, "deck", "seat_angle", "36.001"));
    assert_eq!(seat(&stack, "upper-bearing"), Outcome::Fail);
}

fn answer(book: &Book, fork: &str, system: &str) -> (Verdict, Vec<String>) {
    let strengths = ShopStrengths(&book.shop);
    let answer = book.bench(&strengths).answer(book.variant(fork), book.system(system));
    let part = |i: &benchleaf::assembly::Placed| book.catalogue.part_of(i.variant).id.clone();
    (answer.verdict, answer.stack.items.iter().map(part).collect())
}

#[test]
fn at_36_degrees_the_demo_book_answers_with_the_same_parts() {
    let steep = demo_at(Angles { inner: 36.0, outer: 36.0 });
    let usual = demo_at(BOTH_45);
    for (fork, system) in
        [("fork-heron", "wide-shim"), ("fork-moorhen", "locknut"), ("fork-tern", "cap-in-clamp")]
    {
        let right = answer(&usual, fork, system);
        assert_eq!(right.0, Verdict::Goes, "{fork} {system}");
        assert_eq!(answer(&steep, fork, system), right, "{fork} {system}");
    }
}

//! What a rider really has in hand when an answer's boxes are opened: of each part whose revision a box does not say, one is drawn. Must
//! not know how answers are found.

use crate::book::{Book, Numbers};
use benchleaf::assembly::Pick;
use benchleaf::catalogue::{BoxIx, Held, PartIx, VariantIx};
use benchleaf::solve::{Answer, Article, InBox, Verdict, Whose, picks_of};

/// Pieces of a part in a box that does not say in which revision they are.
struct Drawn {
    whose: Whose,
    of: BoxIx,
    part: PartIx,
    pieces: Vec<VariantIx>,
}

/// One thing that may be in all the boxes that somebody opens for this fork.
pub struct Opened<'b> {
    book: &'b Book,
    own: Option<BoxIx>,
    drawn: Vec<Drawn>,
}

/// Of a fork its owner knows the revision.
fn is_open(book: &Book, held: &Held) -> bool {
    let part = book.catalogue.part(held.part);
    held.revision.is_none() && part.variants.len() > 1 && part.kind != "fork"
}

fn draw(book: &Book, held: &Held, numbers: &mut Numbers) -> Vec<VariantIx> {
    let variants = &book.catalogue.part(held.part).variants;
    (0..held.count).map(|_| variants[numbers.below(variants.len())]).collect()
}

impl<'b> Opened<'b> {
    pub fn drawn(book: &'b Book, fork: VariantIx, numbers: &mut Numbers) -> Opened<'b> {
        let own = book.catalogue.boxes_with(book.catalogue.variant(fork).part).next();
        let bought = (0..book.catalogue.boxes.len()).map(|at| (Whose::Bought, BoxIx(at as u32)));
        let mut drawn = vec![];
        for (whose, of) in own.map(|of| (Whose::Own, of)).into_iter().chain(bought) {
            for held in book.catalogue.the_box(of).holds.iter().filter(|h| is_open(book, h)) {
                drawn.push(Drawn { whose, of, part: held.part, pieces: draw(book, held, numbers) });
            }
        }
        Opened { book, own, drawn }
    }

    /// The answer is given for what is in these boxes. (No pieces named: it counts on none.)
    pub fn is_meant_by(&self, answer: &Answer) -> bool {
        let agrees = |said: &InBox| {
            let mine = |d: &&Drawn| (d.whose, d.of, d.part) == (said.whose, said.of, said.part);
            let count = |d: &Drawn, v: VariantIx| d.pieces.iter().filter(|p| **p == v).count() as u32;
            let same = |d: &Drawn| said.pieces.iter().all(|&(v, n)| count(d, v) == n);
            self.drawn.iter().find(mine).is_some_and(same)
        };
        answer.boxed.iter().all(agrees)
    }

    fn pieces(&self, whose: Whose, of: BoxIx) -> Vec<VariantIx> {
        let mut pieces = vec![];
        for held in &self.book.catalogue.the_box(of).holds {
            let mine = |d: &&Drawn| (d.whose, d.of, d.part) == (whose, of, held.part);
            match (held.revision, self.drawn.iter().find(mine)) {
                (Some(said), _) => pieces.extend((0..held.count).map(|_| said)),
                (None, Some(drawn)) => pieces.extend(&drawn.pieces),
                (None, None) => {
                    let only = self.book.catalogue.part(held.part).variants[0];
                    pieces.extend((0..held.count).map(|_| only));
                }
            }
        }
        pieces
    }

    /// Everything that is on the bench once the answer's list was bought.
    fn on_the_bench(&self, answer: &Answer, numbers: &mut Numbers) -> Vec<VariantIx> {
        let mut there = match self.own {
            Some(own) => self.pieces(Whose::Own, own),
            None => vec![],
        };
        // Whatever revision is in the box, the fork asked about is this one.
        there.retain(|v| self.book.catalogue.part_of(*v).kind != "fork");
        there.push(answer.fork);
        for buy in &answer.buy {
            for nth in 0..buy.count {
                match buy.article {
                    Article::Part(variant) => there.push(variant),
                    Article::Box(of) if nth == 0 && self.own != Some(of) => {
                        there.extend(self.pieces(Whose::Bought, of));
                    }
                    Article::Box(of) => {
                        let again = Opened::drawn(self.book, answer.fork, numbers);
                        there.extend(again.pieces(Whose::Bought, of));
                    }
                }
            }
        }
        there
    }

    /// The plan as it is put together from that: what is not there in the revision that the plan has is taken in another.
    /// `Err`: there is no such part at all.
    pub fn put_together(&self, answer: &Answer, numbers: &mut Numbers) -> Result<Vec<Pick>, String> {
        let catalogue = &self.book.catalogue;
        let rule = &self.book.rules[answer.system];
        let mut there = self.on_the_bench(answer, numbers);
        let mut picks = picks_of(&answer.stack);
        let mut missing = vec![];
        for (at, pick) in picks.iter().enumerate().filter(|(_, p)| !rule.slot(p.slot).brought) {
            match there.iter().position(|v| *v == catalogue.as_made(pick.variant)) {
                Some(found) => drop(there.swap_remove(found)),
                None => missing.push(at),
            }
        }
        for at in missing {
            let part = catalogue.variant(picks[at].variant).part;
            let Some(found) = there.iter().position(|v| catalogue.variant(*v).part == part) else {
                return Err(format!("{} is nowhere", catalogue.part(part).id));
            };
            picks[at].variant = there.swap_remove(found);
        }
        Ok(picks)
    }
}

/// All that somebody may have in hand where it is said to go. `Err`: of what may be in the boxes nothing is said, or what is said
/// takes something that is not there. `heedless`: an answer is taken for one whatever is in the boxes.
pub fn in_hand(
    book: &Book,
    answers: &[Answer],
    draws: usize,
    heedless: bool,
    numbers: &mut Numbers,
) -> Result<Vec<Vec<Pick>>, String> {
    let mut forks: Vec<VariantIx> = answers.iter().map(|a| a.fork).collect();
    forks.dedup();
    let mut found = vec![];
    for fork in forks {
        for _ in 0..draws {
            let opened = Opened::drawn(book, fork, numbers);
            let here: Vec<&Answer> = answers.iter().filter(|a| a.fork == fork).collect();
            let meant = |a: &&&Answer| heedless || opened.is_meant_by(a);
            let meant: Vec<&&Answer> = here.iter().filter(meant).collect();
            if meant.is_empty() {
                return Err("nothing is said for what may be in the boxes".to_string());
            }
            for answer in meant.into_iter().filter(|a| a.verdict == Verdict::Goes) {
                found.push(opened.put_together(answer, numbers)?);
            }
        }
    }
    found.sort_by_key(|picks| picks.iter().map(|p| (p.slot, p.variant, p.turned)).collect::<Vec<_>>());
    found.dedup();
    Ok(found)
}

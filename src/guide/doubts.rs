//! What is doubtful in a book as finished text for the shop: warnings with their places, and the measuring list. Must
//! not find any doubt itself.

use super::bench::{Bench, Book};
use super::forces;
use super::lengths::Lengths;
use super::numbers;
use super::words::capital;
use crate::base::Problem;
use crate::catalogue::{PartIx, Shop, VariantIx};
use crate::kinds::NamedDim;
use crate::solve::{Answer, Doubts, Pair, ToMeasure, TorqueOver, Unused, WhyUnused};

/// One size of the measuring list, best first.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasureRow {
    pub part_id: String,
    /// "Rook fork", "Alder shim, revision 2"
    pub part: String,
    /// "outside of the steerer"
    pub dim: String,
    pub written: String,
    /// What it is taken as until somebody measures it.
    pub range: String,
    /// Fork and system of the guides that it would settle, that it may settle, and that lean on it.
    pub settles: Vec<(String, String)>,
    pub may_settle: Vec<(String, String)>,
    pub behind: Vec<(String, String)>,
}

/// Guides named in one note; the others are counted.
const NAMED: usize = 6;
/// Sizes that only stand behind verdicts, named in one warning.
const REST_NAMED: usize = 12;

pub struct Doubter<'a> {
    pub book: Book<'a>,
    pub shop: &'a Shop,
    /// Flat, as the doubts number them.
    pub answers: Vec<&'a Answer>,
}

impl<'a> Doubter<'a> {
    pub fn new(book: Book<'a>, shop: &'a Shop, answers: &[&'a [Answer]]) -> Doubter<'a> {
        Doubter { book, shop, answers: answers.iter().copied().flatten().collect() }
    }

    /// Warnings, in the order in which they are worth looking at.
    pub fn problems(&self, doubts: &Doubts) -> Vec<Problem> {
        let settling =
            doubts.measure.iter().take_while(|m| !(m.settles.is_empty() && m.may_settle.is_empty()));
        let count = settling.clone().count();
        let mut problems: Vec<Problem> =
            settling.enumerate().map(|(i, m)| self.measure(m, i + 1, count)).collect();
        problems.extend(self.measure_rest(&doubts.measure[count..]));
        problems.extend(doubts.torques.iter().map(|t| self.torque(t)));
        problems.extend(doubts.unused.iter().map(|u| self.unused(u, doubts.unsettled)));
        for &ix in &doubts.boxes {
            let the_box = self.book.catalogue.the_box(ix);
            problems.push(
                Problem::warning("box-unused", self.say("box", &[("box", &the_box.name)]))
                    .at(the_box.span, "")
                    .mend(self.say("box-mend", &[])),
            );
        }
        problems
    }

    pub fn measuring_list(&self, list: &[ToMeasure]) -> Vec<MeasureRow> {
        list.iter().map(|m| self.row(m)).collect()
    }

    fn row(&self, measure: &ToMeasure) -> MeasureRow {
        let named = self.dim(measure);
        let ids = |pairs: &[Pair]| {
            let id = |&(fork, system): &Pair| {
                (self.book.catalogue.part(fork).id.clone(), self.book.rules[system].id.clone())
            };
            pairs.iter().map(id).collect()
        };
        MeasureRow {
            part_id: self.book.catalogue.part_of(measure.variant).id.clone(),
            part: self.variant_name(measure.variant),
            dim: self.dim_word(&named.name),
            written: named.dimension.written.clone(),
            range: self.lengths().outward(named.dimension.least().as_nm(), named.dimension.most().as_nm()),
            settles: ids(&measure.settles),
            may_settle: ids(&measure.may_settle),
            behind: ids(&measure.behind),
        }
    }

    fn measure(&self, measure: &ToMeasure, rank: usize, ranks: usize) -> Problem {
        let row = self.row(measure);
        let (rank, ranks) = (rank.to_string(), ranks.to_string());
        let values = [("rank", &*rank), ("ranks", &*ranks), ("dim", &row.dim), ("part", &row.part)];
        let mut problem = Problem::warning("measure-next", self.say("measure", &values));
        problem = self.at_dim(problem, measure).note(self.row_words(&row));
        for (key, pairs) in [("settles", &measure.settles), ("may", &measure.may_settle)] {
            if !pairs.is_empty() {
                problem = problem.note(self.counted(key, pairs.len(), &[("list", &self.list(pairs))]));
            }
        }
        if !measure.behind.is_empty() {
            problem = problem.note(self.counted("behind", measure.behind.len(), &[]));
        }
        problem.mend(self.say("measure-mend", &[]))
    }

    fn measure_rest(&self, rest: &[ToMeasure]) -> Option<Problem> {
        let first = rest.first()?;
        let mut problem = Problem::warning("measure-rest", self.counted("measure-rest", rest.len(), &[]));
        problem = self.at_dim(problem, first);
        for measure in rest.iter().take(REST_NAMED) {
            problem = problem.note(self.row_words(&self.row(measure)));
        }
        Some(problem.mend(self.say("measure-mend", &[])))
    }

    fn row_words(&self, row: &MeasureRow) -> String {
        let values =
            [("dim", &*row.dim), ("part", &*row.part), ("written", &*row.written), ("range", &*row.range)];
        capital(&self.say("measure-row", &values))
    }

    fn at_dim(&self, problem: Problem, measure: &ToMeasure) -> Problem {
        let span = self.dim(measure).span.unwrap_or(self.book.catalogue.part_of(measure.variant).span);
        problem.at(span, "")
    }

    fn dim(&self, measure: &ToMeasure) -> &'a NamedDim {
        &self.book.catalogue.variant(measure.variant).shape.dims[measure.dim]
    }

    fn unused(&self, unused: &Unused, unsettled: usize) -> Problem {
        let part = self.book.catalogue.part(unused.part);
        let (key, code, mend) = match unused.why {
            WhyUnused::Fork => ("fork", "fork-unused", "fork-mend"),
            WhyUnused::CannotBeHad => ("unused", "part-unused", "cannot-be-had-mend"),
            _ => ("unused", "part-unused", "unused-mend"),
        };
        let fact = self.say(key, &[("part", &part.name)]);
        let mut problem = Problem::warning(code, fact).at(part.span, "");
        problem = match &unused.why {
            WhyUnused::Fork => problem,
            WhyUnused::NoPlace => problem.note(self.say("no-place", &[])),
            WhyUnused::CannotBeHad => problem.note(self.say("cannot-be-had", &[])),
            WhyUnused::NoPlan => problem.note(self.say("no-plan", &[])),
            WhyUnused::Fails { pair, answer, slot, check, .. } => {
                let bench = Bench::new(self.book, self.answers[*answer]);
                let (slot, fact) = (bench.slot_word(*slot), numbers::fact(&bench, check));
                let pair = self.pair(pair);
                problem.note(self.say("fails", &[("slot", &slot), ("pair", &pair), ("fact", &fact)]))
            }
        };
        if unsettled > 0 && !matches!(unused.why, WhyUnused::Fork | WhyUnused::NoPlace) {
            problem = problem.note(self.counted("unsettled", unsettled, &[]));
        }
        problem.mend(self.say(mend, &[]))
    }

    fn torque(&self, over: &TorqueOver) -> Problem {
        let part = self.book.catalogue.part_of(over.variant);
        let name = self.variant_name(over.variant);
        let percent = self.shop.bolts.proof_percent.to_string();
        let words = self.book.words;
        let (torque, pull) = (over.torque.to_string(), forces::scattered(words, over.pulls));
        let ceiling = forces::no_more_than(words, over.ceiling);
        let highest = over.highest.map(|t| t.to_string());
        let mut values =
            vec![("torque", &*torque), ("pull", &*pull), ("ceiling", &*ceiling), ("percent", &*percent)];
        values.extend(highest.as_deref().map(|t| ("highest", t)));
        let mut problem = Problem::warning("torque-over", self.say("torque", &[("part", &name)]))
            .at(part.span, "")
            .note(self.say("torque-note", &values));
        if let Some(class) = over.supposed {
            problem = problem.note(self.say("torque-class", &[("class", &class.to_string())]));
        }
        problem.mend(self.say("torque-mend", &[]))
    }

    fn variant_name(&self, variant: VariantIx) -> String {
        let part = self.book.catalogue.part_of(variant);
        let revision = self.book.catalogue.variant(variant).revision.as_ref();
        let mut values = vec![("name", part.name.as_str())];
        values.extend(revision.map(|r| ("revision", r.id.as_str())));
        self.say("part", &values)
    }

    fn pair(&self, (fork, system): &(PartIx, usize)) -> String {
        let fork = &self.book.catalogue.part(*fork).name;
        self.say("pair", &[("fork", fork), ("system", &self.book.rules[*system].name)])
    }

    fn list(&self, pairs: &[Pair]) -> String {
        let names: Vec<String> = pairs.iter().take(NAMED).map(|p| self.pair(p)).collect();
        let list = self.book.words.joined("semicolon", &names);
        match pairs.len().checked_sub(NAMED).filter(|more| *more > 0) {
            Some(more) => self.say("and-more", &[("list", &list), ("count", &more.to_string())]),
            None => list,
        }
    }

    fn dim_word(&self, name: &str) -> String {
        self.book.words.first(&[&format!("dim.{name}")]).unwrap_or_else(|| name.replace(['-', '_'], " "))
    }

    fn lengths(&self) -> Lengths<'a> {
        Lengths { words: self.book.words }
    }

    fn say(&self, key: &str, values: &[(&str, &str)]) -> String {
        self.book.words.say(&format!("doubt.{key}"), values)
    }

    fn counted(&self, key: &str, count: usize, values: &[(&str, &str)]) -> String {
        let count = u32::try_from(count).unwrap_or(u32::MAX);
        self.book.words.counted(&format!("doubt.{key}"), count, values)
    }
}

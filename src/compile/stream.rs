//! Every pairing in order, each handed over as soon as it and all before it are told. What is in memory at once does not grow
//! with the book's pairings. Must not know what becomes of them.

use super::book::Book;
use super::kept::Kept;
use super::made_from::Sorted;
use super::pairings::{self, Pairing};
use super::progress::Count;
use crate::base::Problems;
use crate::solve::{Answer, Rider, ShopStrengths};
use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::sync::mpsc;
use std::sync::{Mutex, PoisonError};

/// So many forks are under way for each thread: enough that none waits, few enough for any book.
const AHEAD: usize = 2;

/// What came of one fork.
struct OfFork {
    fork: usize,
    pairings: Vec<Pairing>,
    problems: Problems,
}

/// The answers of a fork, until it has all.
type Waiting = Mutex<Vec<Option<Vec<Answer>>>>;

pub fn hand_over(
    book: &Book,
    (sorted, kept): (&Sorted, &Kept),
    count: &Count<'_>,
    take: &mut dyn FnMut(Vec<Pairing>, Problems) -> ControlFlow<()>,
) {
    let (forks, systems) = (book.forks.len(), book.rules.len());
    if systems == 0 {
        return;
    }
    let waiting: Vec<Waiting> = (0..forks).map(|_| Mutex::new(vec![None; systems])).collect();
    let (tell, told) = mpsc::channel::<OfFork>();
    // From outside the pool: tasks are begun in the order in which they are put there.
    rayon::in_place_scope_fifo(|scope| {
        let begin = |fork: usize| {
            for system in 0..systems {
                let (tell, own) = (tell.clone(), &waiting[fork]);
                scope.spawn_fifo(move |_| {
                    let answers = count.one(answer(book, (sorted, kept), (fork, system)));
                    if let Some(all) = put(own, system, answers) {
                        // Where nobody takes any more nothing is lost.
                        let _ = tell.send(tell_fork(book, kept, fork, all));
                    }
                });
            }
        };
        let ahead = AHEAD * rayon::current_num_threads();
        (0..forks.min(ahead)).for_each(begin);
        let mut ready: BTreeMap<usize, OfFork> = BTreeMap::new();
        for next in 0..forks {
            while !ready.contains_key(&next) {
                let Some(found) = next_of(&told) else { return };
                ready.insert(found.fork, found);
            }
            let Some(found) = ready.remove(&next) else { return };
            if take(found.pairings, found.problems).is_break() {
                return;
            }
            if next + ahead < forks {
                begin(next + ahead);
            }
        }
    });
}

/// Waits for one more. A thread of the pool works on what is to be done meanwhile.
fn next_of(told: &mpsc::Receiver<OfFork>) -> Option<OfFork> {
    loop {
        match told.try_recv() {
            Ok(found) => return Some(found),
            Err(mpsc::TryRecvError::Disconnected) => return None,
            Err(mpsc::TryRecvError::Empty) => match rayon::yield_now() {
                None => return told.recv().ok(),
                Some(rayon::Yield::Executed) => {}
                Some(rayon::Yield::Idle) => std::thread::yield_now(),
            },
        }
    }
}

fn answer(book: &Book, (sorted, kept): (&Sorted, &Kept), (fork, system): (usize, usize)) -> Vec<Answer> {
    let from = sorted.pairing(book, book.forks[fork], system);
    let name = pairings::name(book, (fork, system));
    kept.answers(&name, &from).unwrap_or_else(|| {
        let strengths = ShopStrengths(&book.shop);
        let answers = book.bench(&strengths).answers(book.forks[fork], system);
        kept.keep(name, from, answers.clone());
        answers
    })
}

/// All of the fork's, once the last one has come.
fn put(waiting: &Waiting, system: usize, answers: Vec<Answer>) -> Option<Vec<Vec<Answer>>> {
    let mut all = waiting.lock().unwrap_or_else(PoisonError::into_inner);
    all[system] = Some(answers);
    all.iter().all(Option::is_some).then(|| all.drain(..).flatten().collect())
}

fn tell_fork(book: &Book, kept: &Kept, fork: usize, answers: Vec<Vec<Answer>>) -> OfFork {
    let pairs: Vec<(usize, usize)> = (0..book.rules.len()).map(|system| (fork, system)).collect();
    let mut problems = Problems::default();
    let pairings = pairings::told(book, (kept, Rider::default()), &pairs, answers, None, &mut problems);
    pairs.iter().for_each(|&pair| kept.forget(&pairings::name(book, pair)));
    OfFork { fork, pairings, problems }
}

//! The search for the shortest key, and the key written out. Must not know what is asked on a fork.

use std::collections::HashMap;

use super::profile::{Gives, Profile, Profiles};
use super::split::{Set, Split, Told, agrees, split};
use super::{Ask, ClassReading, ForkKey, Found, KeyClass, KeyEnd, KeyQuestion};

/// What a key for a set costs beyond its longest way; less is better, in this order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Cost {
    /// Forks that may be asked, summed over all questions.
    asked: usize,
    assumed: usize,
    readings: usize,
}

#[derive(Clone, Copy)]
struct Choice {
    cost: Cost,
    /// `None`: one class.
    question: Option<usize>,
}

/// Which question divides a set, by set and by how many questions may follow.
type Known = HashMap<(Set, u8), Option<Choice>>;

struct Search<'p> {
    profiles: &'p Profiles,
    told: Told,
    known: Known,
    limit: usize,
}

struct OutOfReach;

pub fn key(profiles: &Profiles, limit: usize) -> ForkKey {
    let all: Set = (0..profiles.all.len() as u16).collect();
    let mut search = Search { profiles, told: Told::of(profiles), known: Known::new(), limit };
    if all.is_empty() {
        return Writing::of(&search, &mut |_, _| None, false).key;
    }
    match search.shortest(&all) {
        Ok(depth) => {
            let known = std::mem::take(&mut search.known);
            let mut chosen = |set: &Set, left: u8| known.get(&(set.clone(), left))?.as_ref()?.question;
            Writing::of(&search, &mut chosen, true).whole(&all, depth)
        }
        Err(OutOfReach) => {
            let mut chosen = |set: &Set, _: u8| search.step_by_step(set);
            Writing::of(&search, &mut chosen, false).whole(&all, u8::MAX)
        }
    }
}

impl Search<'_> {
    /// The least number of questions on the longest way.
    fn shortest(&mut self, all: &Set) -> Result<u8, OutOfReach> {
        for depth in 0..u8::MAX {
            if self.best(all, depth)?.is_some() {
                return Ok(depth);
            }
        }
        Err(OutOfReach)
    }

    /// The best key for the set with at most `left` questions on its longest way; `None`: there is none so short.
    fn best(&mut self, set: &Set, left: u8) -> Result<Option<Choice>, OutOfReach> {
        if self.told.one_class(set) {
            return Ok(Some(Choice { cost: Cost::default(), question: None }));
        }
        if left == 0 {
            return Ok(None);
        }
        let asked = (set.clone(), left);
        if let Some(known) = self.known.get(&asked) {
            return Ok(*known);
        }
        if self.known.len() >= self.limit {
            return Err(OutOfReach);
        }
        let mut best: Option<Choice> = None;
        let mut divides = false;
        for question in 0..self.profiles.questions.len() {
            let Some(divided) = split(self.profiles, question, set) else { continue };
            divides = true;
            let Some(cost) = self.cost((set, question), &divided, left, best)? else { continue };
            if best.is_none_or(|b| cost < b.cost) {
                best = Some(Choice { cost, question: Some(question) });
            }
        }
        if !divides {
            // They could be told apart two by two, but no question has a meaning on all of them.
            best = Some(Choice { cost: Cost::default(), question: None });
        }
        self.known.insert(asked, best);
        Ok(best)
    }

    fn cost(
        &mut self,
        (set, question): (&Set, usize),
        divided: &Split,
        left: u8,
        best: Option<Choice>,
    ) -> Result<Option<Cost>, OutOfReach> {
        let reading = matches!(self.profiles.questions[question].ask, Ask::Read(_));
        let mut cost = Cost {
            asked: self.forks(set),
            assumed: usize::from(divided.assumed),
            readings: usize::from(reading),
        };
        for (_, part) in &divided.parts {
            if best.is_some_and(|b| cost >= b.cost) {
                return Ok(None);
            }
            let Some(below) = self.best(part, left - 1)? else { return Ok(None) };
            cost.asked += below.cost.asked;
            cost.assumed += below.cost.assumed;
            cost.readings += below.cost.readings;
        }
        Ok(Some(cost))
    }

    fn forks(&self, set: &Set) -> usize {
        set.iter().map(|&i| self.profiles.all[usize::from(i)].forks.len()).sum()
    }

    /// The question whose largest part is smallest; among equals the one that repeats the fewest forks.
    fn step_by_step(&self, set: &Set) -> Option<usize> {
        if self.told.one_class(set) {
            return None;
        }
        let worth = |question: usize| {
            let divided = split(self.profiles, question, set)?;
            let sizes = || divided.parts.iter().map(|(_, part)| part.len());
            Some((sizes().max(), sizes().sum::<usize>(), question))
        };
        (0..self.profiles.questions.len()).filter_map(worth).min().map(|(_, _, question)| question)
    }
}

/// The key while it is written out: questions in the order a reader meets them, equal ones once.
struct Writing<'s, 'p> {
    search: &'s Search<'p>,
    /// Which question is asked of a set with so many left.
    chosen: &'s mut dyn FnMut(&Set, u8) -> Option<usize>,
    /// By set and by how many questions may follow: with more to spare another one may cost less.
    written: HashMap<(Set, u8), (KeyEnd, Way)>,
    classes: HashMap<Set, KeyEnd>,
    key: ForkKey,
}

/// Longest way on from here, and forks asked on all of them.
#[derive(Clone, Copy, Default)]
struct Way {
    most: usize,
    asked: usize,
}

impl<'s, 'p> Writing<'s, 'p> {
    fn of(
        search: &'s Search<'p>,
        chosen: &'s mut dyn FnMut(&Set, u8) -> Option<usize>,
        proved: bool,
    ) -> Writing<'s, 'p> {
        let key = ForkKey {
            start: None,
            questions: vec![],
            classes: vec![],
            most_steps: 0,
            asked: 0,
            all_steps: 0,
            forks: search.profiles.all.iter().map(|p| p.forks.len()).sum(),
            proved_shortest: proved,
        };
        Writing { search, chosen, written: HashMap::new(), classes: HashMap::new(), key }
    }

    fn whole(mut self, all: &Set, left: u8) -> ForkKey {
        let (start, way) = self.write(all, left);
        self.key.start = Some(start);
        (self.key.most_steps, self.key.asked) = (way.most, way.asked);
        let all = &self.search.profiles.all;
        let longest = |profile: &Profile| longest(&self.key, self.search.profiles, profile, start);
        self.key.all_steps = all.iter().map(|p| longest(p) * p.forks.len()).sum();
        self.key
    }

    fn write(&mut self, set: &Set, left: u8) -> (KeyEnd, Way) {
        let place = (set.clone(), left);
        if let Some(there) = self.written.get(&place) {
            return *there;
        }
        let asked = (self.chosen)(set, left);
        let end = match asked.and_then(|q| Some((q, split(self.search.profiles, q, set)?))) {
            Some((question, divided)) => self.question((set, question), divided, left),
            None => self.class(set),
        };
        self.written.insert(place, end);
        end
    }

    fn class(&mut self, set: &Set) -> (KeyEnd, Way) {
        let (classes, profiles) = (&mut self.key.classes, self.search.profiles);
        let end = *self.classes.entry(set.clone()).or_insert_with(|| {
            classes.push(class(profiles, set));
            KeyEnd::Class(classes.len() - 1)
        });
        (end, Way::default())
    }

    fn question(&mut self, (set, question): (&Set, usize), divided: Split, left: u8) -> (KeyEnd, Way) {
        let here = self.key.questions.len();
        let about = self.search.profiles.questions[question];
        self.key.questions.push(KeyQuestion {
            ask: about.ask,
            caliper: about.caliper,
            assumed: divided.assumed,
            answers: vec![],
        });
        let mut way = Way { most: 0, asked: self.search.forks(set) };
        let mut answers: Vec<(Found, KeyEnd)> = vec![];
        for (found, part) in divided.parts {
            let (end, below) = self.write(&part, left.saturating_sub(1));
            way.most = way.most.max(below.most + 1);
            way.asked += below.asked;
            answers.push((found, end));
        }
        self.key.questions[here].answers = joined(answers);
        (KeyEnd::Question(self.once(here)), way)
    }
}

impl Writing<'_, '_> {
    /// The first question that is the same as this one. Then all that follows is the same too and was met before, so
    /// this one stands last and is taken back.
    fn once(&mut self, here: usize) -> usize {
        let questions = &mut self.key.questions;
        match questions[..here].iter().position(|q| *q == questions[here]) {
            Some(first) if here + 1 == questions.len() => {
                questions.pop();
                first
            }
            _ => here,
        }
    }
}

/// Questions on the longest way that a fork may take from here.
fn longest(key: &ForkKey, profiles: &Profiles, profile: &Profile, from: KeyEnd) -> usize {
    let KeyEnd::Question(number) = from else { return 0 };
    let Some(question) = key.questions.get(number) else { return 0 };
    let asked = profiles.questions.iter().position(|q| q.ask == question.ask);
    let gives = asked.map_or(Gives::Anything, |q| profile.gives[q]);
    let open = question.answers.iter().filter(|(found, _)| agrees(gives, *found));
    1 + open.map(|&(_, end)| longest(key, profiles, profile, end)).max().unwrap_or(0)
}

/// Neighbouring zones that lead to the same place are one.
fn joined(answers: Vec<(Found, KeyEnd)>) -> Vec<(Found, KeyEnd)> {
    let mut all: Vec<(Found, KeyEnd)> = vec![];
    for (found, end) in answers {
        match (all.last_mut(), found) {
            (Some((Found::Reads { below, .. }, before)), Found::Reads { below: next, .. })
                if *before == end =>
            {
                *below = next;
            }
            _ => all.push((found, end)),
        }
    }
    all
}

fn class(profiles: &Profiles, set: &Set) -> KeyClass {
    let members = || set.iter().map(|&i| &profiles.all[usize::from(i)]);
    let (mut readings, mut looks) = (vec![], vec![]);
    for (index, question) in profiles.questions.iter().enumerate() {
        let mut hull: Option<(i64, i64)> = None;
        let mut everywhere = true;
        for member in members() {
            match (member.gives[index], question.ask) {
                (Gives::Reads { least, most, .. }, _) => {
                    hull = Some(hull.map_or((least, most), |h| (h.0.min(least), h.1.max(most))));
                }
                (Gives::Seen(seen), Ask::See(look)) if !looks.contains(&(look, seen)) => {
                    looks.push((look, seen));
                }
                (Gives::Seen(_), _) => {}
                _ => everywhere = false,
            }
        }
        if let (Ask::Read(field), Some((least, most)), true) = (question.ask, hull, everywhere) {
            readings.push(ClassReading { field, least, most });
        }
    }
    KeyClass { forks: members().flat_map(|m| m.forks.iter().copied()).collect(), readings, looks }
}

//! Keys for sets of forks made by number: sound, and as short as trying everything can make them.

use super::profile::{Gives, Profile, Profiles, Question};
use super::split::{Set, Told, split};
use super::tree::key;
use super::*;

const MM: i64 = 1_000_000;
const FIELDS: [&str; 4] = ["a", "b", "c", "d"];

/// The splitmix64 step.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, count: u64) -> i64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % count) as i64
    }
}

/// Two looks, the second with a meaning only where the first is seen, and some sizes: the last one likewise.
fn forks(numbers: &mut Numbers, count: u32, sizes: usize) -> Profiles {
    let see = |look| Question { ask: Ask::See(look), caliper: 0 };
    let mut questions = vec![see(Look::Has("thread")), see(Look::InsertClosed)];
    questions.extend(FIELDS[..sizes].iter().map(|f| Question { ask: Ask::Read(f), caliper: 20_000 }));
    let mut all: Vec<Profile> = vec![];
    for fork in 0..count {
        let has = numbers.below(4) == 0;
        let second = if has { Gives::Seen(numbers.below(2) == 0) } else { Gives::Nothing };
        let mut gives = vec![Gives::Seen(has), second];
        for size in 0..sizes {
            let least = 20 * MM + numbers.below(12) * MM / 4;
            let wide = [0, MM / 10, MM / 2, 2 * MM][numbers.below(4) as usize];
            gives.push(match (size + 1 == sizes && !has, numbers.below(12)) {
                (true, _) => Gives::Nothing,
                (_, 0) => Gives::Anything,
                _ => Gives::Reads { least, most: least + wide, assumed: numbers.below(3) == 0 },
            });
        }
        match all.iter_mut().find(|p| p.gives == gives) {
            Some(same) => same.forks.push(VariantIx(fork)),
            None => all.push(Profile { forks: vec![VariantIx(fork)], gives }),
        }
    }
    Profiles { questions, all }
}

/// Forks asked by the best key with at most `left` questions on a way, by trying every question at every place.
fn by_trying(profiles: &Profiles, told: &Told, set: &Set, left: usize) -> Option<usize> {
    let splits = || (0..profiles.questions.len()).filter_map(|q| split(profiles, q, set));
    if told.one_class(set) || splits().next().is_none() {
        return Some(0);
    }
    if left == 0 {
        return None;
    }
    let forks = |part: &Set| part.iter().map(|&i| profiles.all[usize::from(i)].forks.len()).sum::<usize>();
    let below = |s: super::split::Split| {
        s.parts.iter().map(|(_, part)| by_trying(profiles, told, part, left - 1)).sum::<Option<usize>>()
    };
    splits().filter_map(below).min().map(|below| below + forks(set))
}

fn gives(profiles: &Profiles, profile: &Profile, ask: Ask) -> Gives {
    profiles.questions.iter().position(|q| q.ask == ask).map_or(Gives::Nothing, |q| profile.gives[q])
}

/// One real fork of the profile in the hand: every size read anywhere in its range, now and then at an end.
fn lead(profiles: &Profiles, profile: &Profile, made: &ForkKey, numbers: &mut Numbers) -> usize {
    let corner = numbers.below(3);
    let mut read = vec![];
    for field in FIELDS {
        read.push(match gives(profiles, profile, Ask::Read(field)) {
            Gives::Reads { least, most, .. } if corner == 0 && numbers.below(2) == 0 => least.min(most),
            Gives::Reads { most, .. } if corner == 0 => most,
            Gives::Reads { least, most, .. } => least + numbers.below((most - least + 1) as u64),
            _ => numbers.below(60) * MM,
        });
    }
    let unknown = numbers.below(2) == 0;
    let see = |look| match gives(profiles, profile, Ask::See(look)) {
        Gives::Seen(seen) => seen,
        _ => unknown,
    };
    let field = |name: &str| FIELDS.iter().position(|f| *f == name).map_or(0, |i| read[i]);
    made.led(see, field).expect("every finding leads somewhere")
}

#[test]
fn every_fork_of_generated_sets_is_led_to_a_class_that_it_is_in() {
    let mut numbers = Numbers(11);
    for round in 0..400 {
        let profiles = forks(&mut numbers, 2 + round % 14, 2 + (round % 3) as usize);
        let made = key(&profiles, 60_000);
        for profile in &profiles.all {
            for _ in 0..25 {
                let class = &made.classes[lead(&profiles, profile, &made, &mut numbers)];
                assert!(profile.forks.iter().all(|f| class.forks.contains(f)), "{round}: {profile:?}");
            }
        }
    }
}

#[test]
fn a_key_made_step_by_step_leads_as_surely_and_says_that_it_may_be_long() {
    let mut numbers = Numbers(5);
    for round in 0..200 {
        let profiles = forks(&mut numbers, 3 + round % 20, 4);
        let made = key(&profiles, 0);
        let trivial = made.questions.is_empty();
        assert!(trivial || !made.proved_shortest, "{round}");
        for profile in &profiles.all {
            for _ in 0..20 {
                let class = &made.classes[lead(&profiles, profile, &made, &mut numbers)];
                assert!(profile.forks.iter().all(|f| class.forks.contains(f)), "{round}: {profile:?}");
            }
        }
    }
}

#[test]
fn no_two_forks_of_a_class_can_be_told_apart_by_a_question_that_both_have() {
    let mut numbers = Numbers(23);
    let mut shared = 0;
    for _ in 0..300 {
        let profiles = forks(&mut numbers, 12, 3);
        let told = Told::of(&profiles);
        for class in key(&profiles, 60_000).classes {
            let of = |f: &VariantIx| profiles.all.iter().position(|p| p.forks.contains(f)).map(|i| i as u16);
            let mut set: Set = class.forks.iter().filter_map(of).collect();
            set.sort_unstable();
            set.dedup();
            shared += usize::from(set.len() > 1);
            let undivided = (0..profiles.questions.len()).all(|q| split(&profiles, q, &set).is_none());
            assert!(told.one_class(&set) || undivided, "{set:?}");
        }
    }
    assert!(shared > 20, "{shared} classes of more than one");
}

#[test]
fn a_key_is_as_short_as_trying_every_question_makes_it() {
    let mut numbers = Numbers(3);
    let mut deep = 0;
    for round in 0..250 {
        let profiles = forks(&mut numbers, 2 + round % 8, 2 + (round % 3) as usize);
        let told = Told::of(&profiles);
        let all: Set = (0..profiles.all.len() as u16).collect();
        let (longest, asked) = (0..20)
            .find_map(|d| by_trying(&profiles, &told, &all, d).map(|asked| (d, asked)))
            .expect("a key");
        let made = key(&profiles, 60_000);
        assert!(made.proved_shortest);
        assert_eq!((made.most_steps, made.asked), (longest, asked), "{round}");
        deep += usize::from(longest > 1);
    }
    assert!(deep > 50, "{deep} keys of more than one question");
}

/// Questions on the longest way from here; one more than `left` where there are more than that.
fn longest(made: &ForkKey, from: KeyEnd, left: usize) -> usize {
    let KeyEnd::Question(number) = from else { return 0 };
    if left == 0 {
        return 1;
    }
    let below = made.questions[number].answers.iter().map(|&(_, end)| longest(made, end, left - 1));
    1 + below.max().expect("an answer")
}

#[test]
fn every_answer_leads_onward_and_readings_leave_no_gap() {
    let mut numbers = Numbers(9);
    for _ in 0..200 {
        let made = key(&forks(&mut numbers, 10, 4), 60_000);
        let start = made.start.expect("a key");
        assert_eq!(longest(&made, start, made.most_steps), made.most_steps);
        for question in &made.questions {
            let mut reached = None;
            for (place, (found, _)) in question.answers.iter().enumerate() {
                if let Found::Reads { from, below } = found {
                    assert_eq!(*from, reached);
                    assert_eq!(below.is_none(), place + 1 == question.answers.len());
                    reached = *below;
                }
            }
        }
    }
}

#[test]
fn one_fork_needs_no_question_and_none_has_no_key() {
    let mut numbers = Numbers(1);
    let one = key(&forks(&mut numbers, 1, 2), 60_000);
    assert_eq!((one.start, one.questions.len()), (Some(KeyEnd::Class(0)), 0));
    let none = key(&forks(&mut numbers, 0, 2), 60_000);
    assert_eq!((none.start, none.classes.len()), (None, 0));
    assert_eq!(none.led(|_| true, |_| 0), None);
}

#[test]
fn a_book_of_many_forks_has_its_key_too() {
    let mut numbers = Numbers(31);
    for count in [40, 120, 300] {
        let profiles = forks(&mut numbers, count, 4);
        let made = key(&profiles, SETS_LIMIT);
        assert!(made.proved_shortest && made.most_steps <= 8, "{count}: {}", made.most_steps);
        for profile in &profiles.all {
            let class = &made.classes[lead(&profiles, profile, &made, &mut numbers)];
            assert!(profile.forks.iter().all(|f| class.forks.contains(f)), "{profile:?}");
        }
    }
}

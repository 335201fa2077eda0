//! What a rule leaves out: one entry after the other is taken out of every rule file of the demo book, and each time
//! the reader says so, or the rule asks for no less than before.
//!
//! An entry is a table of a list, a key of a table, or a member of a list. Not about checks, and passed over where the
//! reader is silent, is what is only worded or drawn ([`WORDED`]).

use crate::book;
use crate::entries;

use benchleaf::assembly::{Check, Outcome, Stack, assemble};
use benchleaf::base::{BookFiles, Problems, Sources};
use benchleaf::catalogue::PartIx;
use benchleaf::compile::{Kept, OneTyped, OwnTyped, Which, pair};
use benchleaf::rules::{Rule, read_rules};
use benchleaf::solve::{Answer, ShopStrengths, Verdict, picks_of};
use book::{Book, files_in};
use entries::{Asks, Entry, asks_no_less, entries_of};
use rayon::prelude::*;

/// Words, minutes and pictures: of a step its sentence and what its picture shows, a step without a slot, and what is
/// looked at before riding; of a change what is lost by it and how long it takes; the trade's short names.
const WORDED: [&str; 14] = [
    "short",
    "say",
    "feel",
    "undo",
    "minutes",
    "minutes_undone",
    "view",
    "turns",
    "to",
    "away_from",
    "lost",
    "before_riding",
    "step",
    "after",
];

struct Demo {
    files: BookFiles,
    systems: Vec<String>,
}

impl Demo {
    fn read() -> Demo {
        let files = files_in(std::path::Path::new(env!("CARGO_MANIFEST_DIR")), &["content", "parts"]);
        let name =
            |path: &String| Some(path.strip_prefix("content/systems/")?.strip_suffix(".toml")?.to_string());
        let systems = files.keys().filter_map(name).collect();
        Demo { files, systems }
    }

    fn text(&self, path: &str) -> &str {
        std::str::from_utf8(&self.files[path]).unwrap()
    }

    fn headset_of(&self, system: &str) -> String {
        let table: toml::Table = self.text(&system_path(system)).parse().unwrap();
        format!("content/headsets/{}.toml", table["headset"].as_str().unwrap())
    }

    /// The book with one system and its headset.
    fn with_only(&self, system: &str) -> BookFiles {
        let (own, headset) = (system_path(system), self.headset_of(system));
        let rule = |path: &str| path.starts_with("content/systems/") || path.starts_with("content/headsets/");
        let kept = self.files.iter().filter(|(path, _)| !rule(path) || **path == own || **path == headset);
        kept.map(|(path, bytes)| (path.clone(), bytes.clone())).collect()
    }

    /// Every entry of the files that make up a system.
    fn all(&self) -> Vec<(String, String, Entry)> {
        let of = |system: &String| {
            [system_path(system), self.headset_of(system)].into_iter().flat_map(|path| {
                let entries = entries_of(self.text(&path));
                entries.into_iter().map(move |entry| (path.clone(), entry)).collect::<Vec<_>>()
            })
        };
        let with = |system: &String| {
            of(system).map(|(path, entry)| (system.clone(), path, entry)).collect::<Vec<_>>()
        };
        self.systems.iter().flat_map(with).collect()
    }

    fn without(&self, system: &str, path: &str, entry: &Entry) -> BookFiles {
        let mut files = self.with_only(system);
        files.insert(path.to_string(), entry.left_out_of(self.text(path)).into_bytes());
        files
    }
}

fn system_path(system: &str) -> String {
    format!("content/systems/{system}.toml")
}

/// The rule, or what its author is told.
fn read(files: &BookFiles) -> Result<Rule, Problems> {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let rules = read_rules(files, &mut sources, &mut problems);
    match rules {
        Some(mut rules) if problems.0.is_empty() => Ok(rules.remove(0)),
        _ => Err(problems),
    }
}

/// What became of a rule by leaving an entry out.
enum Became {
    Told,
    Worded,
    /// The reader is silent: what is asked then.
    Silent(Result<Asks, String>),
}

fn became(demo: &Demo, base: &Rule, (system, path, entry): &(String, String, Entry)) -> Became {
    match read(&demo.without(system, path, entry)) {
        Err(_) => Became::Told,
        Ok(_) if entry.keys().iter().any(|key| WORDED.contains(key)) => Became::Worded,
        Ok(rule) => Became::Silent(asks_no_less(base, &rule)),
    }
}

fn bases(demo: &Demo) -> Vec<Rule> {
    demo.systems.iter().map(|s| read(&demo.with_only(s)).unwrap_or_else(|p| panic!("{:#?}", p.0))).collect()
}

/// Every entry, and what became of each rule without it.
fn each(demo: &Demo) -> Vec<((String, String, Entry), Became)> {
    let bases = bases(demo);
    let one = |left_out: (String, String, Entry)| {
        let base = bases.iter().find(|rule| rule.id == left_out.0).unwrap();
        let became = became(demo, base, &left_out);
        (left_out, became)
    };
    demo.all().into_par_iter().map(one).collect()
}

#[test]
fn an_entry_left_out_is_told_or_the_rule_asks_for_no_less() {
    let demo = Demo::read();
    let (mut told, mut worded, mut silent, mut wrong) = (0, 0, 0, vec![]);
    let all = each(&demo);
    for ((system, path, entry), became) in &all {
        match became {
            Became::Told => told += 1,
            Became::Worded => worded += 1,
            Became::Silent(Ok(_)) => silent += 1,
            Became::Silent(Err(why)) => wrong.push(format!("{system}: {path}: {entry}: {why}")),
        }
    }
    println!("{} entries: {told} told, {worded} worded, {silent} ask for no less", all.len());
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), all.len(), wrong.join("\n"));
    assert!(told > 2 * silent && silent > 20, "{told} told, {silent} silent");
}

/// Words are passed over above: none of them is what a check is made of.
#[test]
fn what_is_worded_changes_no_list_that_is_checked() {
    let demo = Demo::read();
    let bases = bases(&demo);
    for (system, path, entry) in demo.all() {
        if !entry.keys().iter().any(|key| WORDED.contains(key)) {
            continue;
        }
        let base = bases.iter().find(|rule| rule.id == system).unwrap();
        if let Ok(rule) = read(&demo.without(&system, &path, &entry)) {
            assert_eq!(asks_no_less(base, &rule), Ok(Asks::TheSame), "{system}: {path}: {entry}");
        }
    }
}

/// Checks of the one stack that the other has not, or with less asked.
fn lost(one: &Stack, other: &Stack) -> Vec<String> {
    let key = |stack: &Stack, c: &Check| {
        let about: Vec<&str> = c.about.iter().map(|i| stack.items[i.0 as usize].name.as_str()).collect();
        format!("{} {about:?} {:?}", c.demand.word(), c.surfaces)
    };
    let as_much = |c: &Check, o: &Check| {
        c.least.is_none_or(|least| o.least.is_some_and(|o| o >= least))
            && c.most.is_none_or(|most| o.most.is_some_and(|o| o <= most))
    };
    let there = |c: &&Check| {
        let mut alike = other.checks.iter().filter(|o| key(other, o) == key(one, c));
        alike.any(|o| as_much(c, o))
    };
    let lost = one.checks.iter().filter(|c| !there(c));
    lost.map(|c| format!("{} {:?} {:?}", key(one, c), c.least, c.most)).collect()
}

/// One system as the book has it, and its answer for each of so many forks.
struct Before {
    book: Book,
    answers: Vec<Answer>,
}

impl Before {
    fn of(demo: &Demo, system: &str, forks: usize) -> Before {
        let book = Book::read(&demo.with_only(system));
        let strengths = ShopStrengths(&book.shop);
        let parts: Vec<_> = book.catalogue.of_kind("fork").take(forks).collect();
        let fork = |part: &PartIx| book.bench(&strengths).answers(*part, 0);
        let answers = parts.par_iter().flat_map_iter(fork).collect();
        Before { answers, book }
    }

    /// What got better without the entry, or goes on with a check lost.
    fn without(&self, demo: &Demo, (system, path, entry): &(String, String, Entry)) -> Vec<String> {
        let (after, mut wrong) = (Book::read(&demo.without(system, path, entry)), vec![]);
        let strengths = ShopStrengths(&after.shop);
        let names = |book: &Book| book.rules[0].slots.iter().map(|s| s.name.clone()).collect::<Vec<_>>();
        for answer in self.answers.iter().filter(|answer| !answer.unfinished) {
            let told = format!("{system} on {:?}: {path}: {entry}", answer.fork);
            let was = match answer.verdict {
                Verdict::Goes => Outcome::Pass,
                Verdict::Measure => Outcome::Measure,
                Verdict::No => Outcome::Fail,
            };
            let is = after.bench(&strengths).settle(answer.fork, 0).outcome.unwrap_or(Outcome::Fail);
            if is < was {
                wrong.push(format!("{told}: {was:?} became {is:?}"));
            }
            if was == Outcome::Fail || !answer.changes.is_empty() || names(&self.book) != names(&after) {
                continue;
            }
            // The plan as it was, judged by the rule as it is.
            let again = assemble(after.setting(0, &strengths), &picks_of(&answer.stack));
            let lost = lost(&answer.stack, &again);
            if again.checks.iter().all(|c| c.outcome == Outcome::Pass) && !lost.is_empty() {
                wrong.push(format!("{told}: still goes without {lost:?}"));
            }
        }
        wrong
    }
}

/// Every one of these entries left out, with so many forks.
fn tried(demo: &Demo, left_out: &[(String, String, Entry)], forks: usize) -> Vec<String> {
    let before = |system: &String| (system.clone(), Before::of(demo, system, forks));
    let all: Vec<(String, Before)> = demo.systems.par_iter().map(before).collect();
    let one = |left_out: &(String, String, Entry)| {
        let before = all.iter().find(|(system, _)| *system == left_out.0);
        before.unwrap().1.without(demo, left_out)
    };
    left_out.par_iter().flat_map_iter(one).collect()
}

/// Entries without which the rule still reads, and that are more than words.
fn silent(demo: &Demo) -> Vec<((String, String, Entry), Asks)> {
    let silent = |(left_out, became)| match became {
        Became::Silent(Ok(asks)) => Some((left_out, asks)),
        _ => None,
    };
    each(demo).into_iter().filter_map(silent).collect()
}

/// Ways up are the one thing that is asked for otherwise, neither more nor less: there the answers are tried, each with
/// one fork here.
#[test]
fn where_a_rule_asks_for_another_way_up_nothing_gets_better_for_one_fork() {
    let demo = Demo::read();
    let other = silent(&demo).into_iter().filter(|(_, asks)| *asks == Asks::Otherwise);
    let other: Vec<_> = other.map(|(left_out, _)| left_out).collect();
    assert!(!other.is_empty());
    let wrong = tried(&demo, &other, 1);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// All silent entries with all forks: `cargo test --release --test library whatever -- --ignored --nocapture`.
#[test]
#[ignore = "two thousand searches, the better part of an hour"]
fn whatever_entry_is_left_out_nothing_gets_better_and_no_check_is_lost() {
    let demo = Demo::read();
    let all: Vec<_> = silent(&demo).into_iter().map(|(left_out, _)| left_out).collect();
    let wrong = tried(&demo, &all, usize::MAX);
    println!("{} entries tried", all.len());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Parts of a plan that goes or is to be measured and that no step of its guide puts on; the fork is in hand.
fn without_step(json: &str) -> Vec<String> {
    let pairing: serde_json::Value = serde_json::from_str(json).unwrap();
    // Where it depends each answer stands for itself.
    if pairing["verdict"] == "depends" {
        let all = pairing["by_revision"].as_array().unwrap();
        return all.iter().flat_map(|answer| without_step(&answer.to_string())).collect();
    }
    if pairing["verdict"] == "no" {
        return vec![];
    }
    let told = |item: &str| pairing["steps"].as_array().unwrap().iter().any(|step| step["item"] == item);
    let placed = pairing["placed"].as_array().unwrap().iter().map(|placed| placed["item"].as_str().unwrap());
    let lying: Vec<&str> = placed.filter(|item| *item != "fork" && !told(item)).collect();
    lying.iter().map(|item| format!("{} {}: {item}", pairing["fork"], pairing["system"])).collect()
}

#[test]
fn no_guide_has_a_part_that_no_step_puts_on() {
    let demo = Demo::read();
    let goes = [
        ("fork-heron", "cap-in-clamp"),
        ("fork-moorhen", "locknut"),
        ("fork-dipper", "pulled-from-below"),
        ("fork-stilt", "slim-shim"),
        ("fork-stilt", "stepped-steerer"),
        ("fork-heron", "wide-shim"),
    ];
    assert_eq!(goes.len(), demo.systems.len());
    for (fork, system) in goes {
        let which =
            Which::One(OneTyped { fork: fork.into(), system: system.into(), own: OwnTyped::default() });
        let paired = pair(&demo.with_only(system), &Kept::default(), which)
            .unwrap_or_else(|c| panic!("{:#?}", c.problems.0));
        assert!(paired[0].json.contains("\"verdict\":\"goes\""), "{fork} {system}");
        assert!(without_step(&paired[0].json).is_empty(), "{:?}", without_step(&paired[0].json));
    }
}

/// All of them: `cargo test --release --test library no_guide -- --ignored`.
#[test]
#[ignore = "every pairing of the demo book, some minutes"]
fn no_guide_of_the_demo_book_has_a_part_that_no_step_puts_on() {
    let all = pair(&Demo::read().files, &Kept::default(), Which::All)
        .unwrap_or_else(|c| panic!("{:#?}", c.problems.0));
    let lying: Vec<String> = all.iter().flat_map(|paired| without_step(&paired.json)).collect();
    assert!(all.len() >= 90 && lying.is_empty(), "{lying:?}");
}

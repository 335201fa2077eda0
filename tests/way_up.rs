//! What is told to go on either way up comes to the same turned over, and what is told by one of its ends has that end.
//! Shares with the telling only the finished stack and the judgement of another one.

use crate::book;
use crate::trying;

use benchleaf::assembly::{ItemIx, Outcome, Pick, Placed, PlacedSegment, Stack, assemble};
use benchleaf::catalogue::PartIx;
use benchleaf::guide::{self, Guide, Words};
use benchleaf::kinds::telling_end;
use benchleaf::quantity::Ends;
use benchleaf::rules::SlotIx;
use benchleaf::solve::{Answer, ShopStrengths, Verdict, picks_of};
use book::Book;
use rayon::prelude::*;
use trying::{RULE, book_of, texts};

/// Shims whose ends differ: bored out at one end, broken edges alike or on one end only, a flange that nothing minds.
const SHIMS: [&str; 4] = [
    "length = \"4\"\nbore = \"30 ±0.05\"\noutside = \"31.8 +0/-0.1\"\noutside_surface = \"outside\"\n",
    "length = \"0.5 ±0.05\"\nbore_bottom = \"29.6 ±0.05\"\nbore_angle = 45\nbore_opens = \"narrower\"\noutside = \"31.8 +0/-0.1\"\n\
     outside_surface = \"outside\"\n",
    "length = \"0.2 ±0.05\"\nbore = \"28.65 +0.1/0\"\nbore_surface = \"inside\"\noutside_bottom = \"31.4 ±0.05\"\noutside_angle = 45\n\
     outside_opens = \"wider\"\n",
    "length = \"2 ±0.05\"\nbore = \"28.65 +0.1/0\"\nbore_surface = \"inside\"\noutside = \"38\"\noutside_surface = \"lip\"\n",
];
const BODY: &str = "[[part.column.ring]]\nlength = \"30 ±0.1\"\nbore = \"28.65 +0.1/0\"\noutside = \"31.8 +0/-0.1\"\n\
                    bore_surface = \"inside\"\noutside_surface = \"outside\"\n";

/// A book made up by number whose cheapest shim is one of these, its end above or below, or the broken edge at both.
fn with_shim(seed: u64) -> Book {
    let (mut parts, stock) = texts(seed);
    let end = SHIMS[(seed % 4) as usize];
    let ring = format!("[[part.column.ring]]\n{end}");
    let over = ring
        .replace("bore_bottom", "bore_top")
        .replace("\"narrower\"", "\"turned\"")
        .replace("outside_bottom", "outside_top")
        .replace("\"wider\"", "\"narrower\"")
        .replace("\"turned\"", "\"wider\"");
    let rings = match seed / 4 % 3 {
        0 => format!("{ring}{BODY}"),
        1 => format!("{BODY}{over}"),
        _ => format!("{ring}{BODY}{over}"),
    };
    parts += &format!(
        "[[part]]\nid = \"shim-odd\"\nkind = \"custom\"\nstands_as = \"shim\"\nname = \"Odd shim\"\nprice = \"0.50\"\n\
         slot = \"3\"\n[[part.column]]\nname = \"body\"\nstart = \"0\"\n{rings}"
    );
    book_of(RULE, &parts, &stock)
}

fn outcomes(stack: &Stack) -> Vec<Outcome> {
    stack.checks.iter().map(|c| c.outcome).collect()
}

/// Every choice of these items, or where they are many each one, each two, and all.
fn choices(items: &[ItemIx]) -> Vec<Vec<ItemIx>> {
    if items.len() <= 6 {
        let chosen = |code: usize| (0..items.len()).filter(move |i| code >> i & 1 == 1).map(|i| items[i]);
        return (1..1 << items.len()).map(|code: usize| chosen(code).collect()).collect();
    }
    let pairs = items.iter().flat_map(|&a| items.iter().map(move |&b| vec![a, b]));
    pairs.chain([items.to_vec()]).collect()
}

/// How many choices were turned over; a fault where one comes to something else.
fn turned_over(book: &Book, answer: &Answer) -> Result<usize, String> {
    let strengths = ShopStrengths(&book.shop);
    let setting = book.setting(answer.system, &strengths);
    let picks = picks_of(&answer.stack);
    let all = choices(&answer.either_way);
    for choice in &all {
        let over = |(i, pick): (usize, &Pick)| {
            let turned = pick.turned != choice.contains(&ItemIx(i as u16));
            Pick { turned, ..*pick }
        };
        let turned: Vec<Pick> = picks.iter().enumerate().map(over).collect();
        let stack = assemble(setting, &turned);
        let names: Vec<&str> =
            choice.iter().map(|i| answer.stack.items[usize::from(i.0)].name.as_str()).collect();
        if outcomes(&stack) != outcomes(&answer.stack) {
            return Err(format!("{names:?} turned over come out otherwise"));
        }
        // Every deck that the guide says it goes with.
        let fillers = |kind| kind == "spacer" || kind == "riser";
        let own: Vec<_> = picks.iter().map(|p| p.variant).collect();
        let own: Vec<_> = own.into_iter().filter(|&v| fillers(book.catalogue.part_of(v).kind)).collect();
        for tube in answer.head_tube.iter().filter(|tube| tube.with == own) {
            let deck = picks.iter().find(|p| book.catalogue.part_of(p.variant).kind == "deck").unwrap();
            for length in [tube.least, tube.most] {
                let exact: [(SlotIx, &str, i64); 1] = [(deck.slot, "head_tube_length", length)];
                let stack = assemble(benchleaf::assembly::Setting { exact: &exact, ..setting }, &turned);
                if outcomes(&stack).iter().any(|o| *o != Outcome::Pass) {
                    return Err(format!("{names:?} turned over do not go with a head tube of {length}"));
                }
            }
        }
    }
    Ok(all.len())
}

/// Items told to go on either way up whose ends differ.
fn indifferent(book: &Book, answer: &Answer) -> usize {
    let differs = |item: &&ItemIx| {
        let placed = &answer.stack.items[usize::from(item.0)];
        !benchleaf::assembly::alike_turned(&book.catalogue.variant(placed.variant).shape)
    };
    answer.either_way.iter().filter(differs).count()
}

fn small_books(seeds: std::ops::Range<u64>) {
    let tried: Vec<(usize, usize, usize)> = seeds
        .into_par_iter()
        .map(|seed| {
            let book = with_shim(seed);
            let strengths = ShopStrengths(&book.shop);
            let answer = book.bench(&strengths).answer(book.variant("fork-a"), 0);
            let turned = turned_over(&book, &answer).unwrap_or_else(|wrong| panic!("book {seed}: {wrong}"));
            let odd = answer.stack.items.iter().position(|i| {
                book.catalogue.part_of(i.variant).id == "shim-odd" && answer.verdict == Verdict::Goes
            });
            let told = odd.filter(|&i| !answer.either_way.contains(&ItemIx(i as u16)));
            (turned, indifferent(&book, &answer), usize::from(told.is_some()))
        })
        .collect();
    let sum = |of: fn(&(usize, usize, usize)) -> usize| tried.iter().map(of).sum::<usize>();
    let (turned, indifferent, told) = (sum(|t| t.0), sum(|t| t.1), sum(|t| t.2));
    println!(
        "{turned} choices turned over; {indifferent} items with ends that do not matter, {told} with ends that do"
    );
    assert!(turned > tried.len() && indifferent > 0 && told > 0);
}

#[test]
fn what_goes_on_either_way_up_comes_to_the_same_in_made_up_books() {
    small_books(0..60);
}

#[test]
#[ignore = "some minutes"]
fn what_goes_on_either_way_up_comes_to_the_same_in_many_made_up_books() {
    small_books(60..1000);
}

fn demo_answers(book: &Book, every: usize) -> Vec<Vec<Answer>> {
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let forks: Vec<PartIx> = book.catalogue.of_kind("fork").collect();
    let systems = 0..book.rules.len();
    let pairs: Vec<(PartIx, usize)> =
        forks.iter().flat_map(|&fork| systems.clone().map(move |system| (fork, system))).collect();
    pairs.into_par_iter().step_by(every).map(|(fork, system)| bench.answers(fork, system)).collect()
}

fn told(book: &Book, words: &Words, answers: &[Answer]) -> Guide {
    let caliper = book.shop.defaults.caliper;
    let book = guide::Book { catalogue: &book.catalogue, rules: &book.rules, words, caliper };
    guide::guide(&book, answers)
}

fn demo(every: usize) {
    let (book, words) = (Book::demo(), Words::own());
    let mut named = 0;
    for answers in demo_answers(&book, every) {
        let guide = told(&book, &words, &answers);
        for answer in answers.iter().filter(|a| a.verdict != Verdict::No) {
            turned_over(&book, answer)
                .unwrap_or_else(|w| panic!("{} {}: {w}", guide.fork_id, guide.system_id));
        }
        for told in guide.answers.iter().filter(|a| a.verdict != Verdict::No) {
            named += ends_are_there(&book, &words, &answers[told.answer], told);
        }
    }
    println!("{named} ends named");
    assert!(named > 20);
}

#[test]
fn ways_up_of_the_demo_book_hold() {
    demo(9);
}

#[test]
#[ignore = "some minutes"]
fn ways_up_of_all_pairings_of_the_demo_book_hold() {
    demo(1);
}

/// How many parts of a guide are told by an end, each looked for on the part as it stands.
fn ends_are_there(book: &Book, words: &Words, answer: &Answer, told: &guide::GuideAnswer) -> usize {
    let ends: Vec<Ends> = answer.stack.dims.iter().map(|d| d.ends).collect();
    let mut named = 0;
    for row in &told.parts {
        let placed = &answer.stack.items[usize::from(row.item.0)];
        let either = answer.either_way.contains(&row.item);
        assert_eq!(row.way.is_some(), row.told_end.is_some());
        assert!(!either || row.way.is_none(), "{} has a way up", placed.name);
        let rule = &book.rules[answer.system];
        let speaks = |id: &str| rule.steps.iter().any(|s| s.id == id && s.say.contains("{way}"));
        for step in told.steps.iter().filter(|s| s.item == Some(row.item) && speaks(&s.id)) {
            let way = row.way.clone().unwrap_or_else(|| words.word("way.either"));
            assert!(either == row.way.is_none() && step.text.contains(&way), "{way}: {}", step.text);
        }
        if let Some(top) = row.told_end {
            let mark = telling_end(&book.catalogue.variant(placed.variant).shape);
            assert_eq!(top, mark.at_top != placed.turned);
            assert!(is_there(placed, &ends, &mark, top), "{} by its {}", placed.name, mark.feature);
            named += 1;
        }
    }
    named
}

fn is_there(placed: &Placed, ends: &[Ends], mark: &benchleaf::kinds::EndMark, top: bool) -> bool {
    let half = 500_000;
    let [(outside, bore), (other_outside, other_bore)] = [top, !top].map(|top| face(placed, ends, top));
    match mark.feature {
        "lip" | "wide-end" | "head" => outside - other_outside >= half,
        "cone" | "spigot" | "outer-chamfer" | "chamfered-end" | "hub" => other_outside - outside >= half,
        "recessed-end" | "wide-bore" | "bore-chamfer" | "skirt" | "recess" => bore - other_bore >= half,
        "to-shelf" => {
            let (long, short) = mark.reads.unwrap();
            let until = |top| until_shelf(placed, ends, top);
            (until(top), until(!top)) == (long, short) && long > short
        }
        "post" => true,
        other => panic!("nothing looks for {other}"),
    }
}

/// The widest outside and the narrowest bore in a face of the part.
fn face(placed: &Placed, ends: &[Ends], top: bool) -> (i64, i64) {
    let height = placed.height.nominal(ends);
    let mut found = (0, i64::MAX);
    for column in &placed.columns {
        let low = column.start.nominal(ends);
        let high = low + column.segments.iter().map(|s| s.length.nominal(ends)).sum::<i64>();
        let (ring, end): (&PlacedSegment, usize) = match top {
            true if high == height => (column.segments.last().unwrap(), 1),
            false if low == 0 => (&column.segments[0], 0),
            _ => continue,
        };
        found.0 = found.0.max(ring.outside.diameter[end].nominal(ends));
        found.1 = found.1.min(ring.bore.diameter[end].nominal(ends));
    }
    found
}

fn until_shelf(placed: &Placed, ends: &[Ends], top: bool) -> i64 {
    let mut rings: Vec<&PlacedSegment> = placed.columns[0].segments.iter().collect();
    if top {
        rings.reverse();
    }
    let bore = |ring: &PlacedSegment| ring.bore.diameter[0].nominal(ends);
    rings.iter().take_while(|r| bore(r) == bore(rings[0])).map(|r| r.length.nominal(ends)).sum()
}

#[test]
fn a_recessed_shim_is_told_by_its_recessed_end() {
    let (book, words) = (Book::demo(), Words::own());
    let strengths = ShopStrengths(&book.shop);
    let fork = book.catalogue.find("fork-stilt").unwrap();
    let answers = book.bench(&strengths).answers(fork, book.system("wide-shim"));
    let guide = told(&book, &words, &answers);
    let row = guide.answers[0].parts.iter().find(|p| p.part_id == "shim-rowan").unwrap();
    let step = guide.answers[0].steps.iter().find(|s| s.item == Some(row.item)).unwrap();
    println!("{}", step.text);
    let placed = &answers[0].stack.items[usize::from(row.item.0)];
    let ends: Vec<Ends> = answers[0].stack.dims.iter().map(|d| d.ends).collect();
    let low = face(placed, &ends, false).1 > face(placed, &ends, true).1;
    let way = if low { "recessed end down" } else { "recessed end up" };
    assert!(step.text.contains(way) && row.way.as_deref() == Some(way), "{}", step.text);
}

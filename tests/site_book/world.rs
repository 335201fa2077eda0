//! A small world for the site's tests: the repository's own book with guides made by hand, so that nothing has to
//! be solved. One part has markup for a name.

use std::collections::BTreeMap;
use std::path::Path;

use benchleaf::assembly::{ItemIx, Outcome};
use benchleaf::base::{BookFiles, Problems, Sources};
use benchleaf::catalogue::{Catalogue, Shop, read_catalogue, read_shop};
use benchleaf::guide::{
    AlternativeRow, ChangeText, DeckRow, Glance, Guide, GuideAnswer, GuideStep, LeaveRow, MeasureRow,
    MeasuringStep, NeedRow, NumberRow, OtherSteps, PartRow, PartSource, RevisionText, UseRow, Words,
};
use benchleaf::rules::{Rule, read_rules};
use benchleaf::site::{BookProse, Drawing, DrawingWhat, SiteInput, Theme, read_prose, read_theme, site};
use benchleaf::solve::{Supply, Verdict};

/// Name of the first shim in the book.
pub const HOSTILE: &str = r#"<b onclick="x()">Shim</b> & 'co' {{ root }}"#;

pub struct World {
    pub shop: Shop,
    pub catalogue: Catalogue,
    pub rules: Vec<Rule>,
    pub words: Words,
    pub guides: Vec<Guide>,
    pub drawings: Vec<Vec<Drawing>>,
    pub pairings: Vec<String>,
    pub measuring: Vec<MeasureRow>,
    pub prose: BookProse,
    pub theme: Theme,
    pub sources: Sources,
}

pub fn book_files() -> BookFiles {
    let mut files =
        benchleaf::disk::snapshot(Path::new(env!("CARGO_MANIFEST_DIR"))).expect("the book is there");
    files.retain(|path, _| !path.starts_with("themes/"));
    files
}

pub fn world() -> World {
    world_of(&book_files()).expect("the book has no errors")
}

pub fn world_of(files: &BookFiles) -> Result<World, Problems> {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let shop = read_shop(files, &mut sources, &mut problems).expect("shop");
    let rules = read_rules(files, &mut sources, &mut problems).expect("rules");
    let mut catalogue = read_catalogue(files, &shop, &mut sources, &mut problems).expect("catalogue");
    let prose = read_prose(files, &mut sources, &mut problems);
    let theme = read_theme(files, &shop.default_theme, &mut sources, &mut problems);
    if problems.any_error() {
        return Err(problems);
    }
    let shim = catalogue.of_kind("shim").next().expect("a shim");
    catalogue.parts[shim.0 as usize].name = HOSTILE.into();
    let guides = guides(&catalogue, &rules);
    let drawings = guides.iter().map(drawings).collect();
    let (pairings, measuring) = (vec![], vec![]);
    let theme = theme.expect("a theme without errors");
    Ok(World {
        shop,
        catalogue,
        rules,
        words: Words::own(),
        guides,
        drawings,
        pairings,
        measuring,
        prose,
        theme,
        sources,
    })
}

impl World {
    pub fn files(&self) -> BTreeMap<String, Vec<u8>> {
        self.try_files().expect("the site compiles")
    }

    pub fn try_files(&self) -> Result<BTreeMap<String, Vec<u8>>, Problems> {
        site(&SiteInput {
            for_bars: &[],
            shop: &self.shop,
            catalogue: &self.catalogue,
            rules: &self.rules,
            words: &self.words,
            guides: &self.guides,
            drawings: &self.drawings,
            upgrades: &[],
            shelf: Some(&benchleaf::site::Shelf::default()),
            part_drawings: &[],
            pairings: &self.pairings,
            measuring: &self.measuring,
            reference: None,
            prose: &self.prose,
            theme: &self.theme,
        })
    }
}

/// Every fork with every system; the verdicts go round, every third guide has two answers.
fn guides(catalogue: &Catalogue, rules: &[Rule]) -> Vec<Guide> {
    let forks: Vec<_> = catalogue.of_kind("fork").map(|ix| catalogue.part(ix)).collect();
    let pairs = forks.iter().flat_map(|fork| rules.iter().map(move |rule| (fork, rule)));
    let verdicts = [Verdict::Goes, Verdict::Measure, Verdict::No];
    pairs
        .enumerate()
        .map(|(i, (fork, rule))| {
            let verdict = verdicts[i % 3];
            let count = if i % 3 == 1 { 2 } else { 1 };
            Guide {
                with_bars: None,
                bars: vec![],
                fork_id: fork.id.clone(),
                fork_name: fork.name.clone(),
                system_id: rule.id.clone(),
                system_name: rule.name.clone(),
                system_short: rule.short.clone(),
                verdict,
                supply: (verdict == Verdict::Goes).then_some(Supply::ExtraParts),
                depends: false,
                verdict_words: format!("Verdict {}", i % 3),
                summary: "A summary.".into(),
                answers: (0..count).map(|n| answer(catalogue, &fork.id, verdict, n, count > 1)).collect(),
                apart: vec![],
                before_riding: vec!["Hold the front brake and rock it.".into()],
            }
        })
        .collect()
}

fn answer(catalogue: &Catalogue, fork: &str, verdict: Verdict, number: usize, several: bool) -> GuideAnswer {
    let shim = catalogue.part(catalogue.of_kind("shim").next().expect("a shim"));
    let the_box = catalogue.boxes.first().expect("a box");
    let no = verdict == Verdict::No;
    GuideAnswer {
        answer: number,
        revision: several.then(|| revision(fork, number)),
        revisions: several.then(|| revision(fork, number)).into_iter().collect(),
        verdict,
        supply: None,
        verdict_words: "As said".into(),
        summary: "In short.".into(),
        same: vec![],
        change: (number == 1).then(change),
        last_resort: (verdict == Verdict::Measure).then(change),
        measuring: if verdict == Verdict::Measure { vec![measuring()] } else { vec![] },
        steps: if no { vec![] } else { steps() },
        parts: vec![part_row(1, fork, "Fork"), part_row(2, &shim.id, &shim.name)],
        need: vec![need(&the_box.id, &the_box.name, true), need(&shim.id, &shim.name, false)],
        use_from: vec![UseRow {
            part_id: shim.id.clone(),
            name: shim.name.clone(),
            box_id: Some(the_box.id.clone()),
            text: "Take it.".into(),
        }],
        leave: vec![LeaveRow {
            part_id: catalogue.part(the_box.holds[0].part).id.clone(),
            name: "Left".into(),
            box_id: the_box.id.clone(),
            why: "No place for it.".into(),
        }],
        spend: "€24.50".into(),
        on_hand_note: Some("On hand, to be measured.".into()),
        in_stock_note: Some("Were it in stock.".into()),
        numbers: vec![number_row(Outcome::Pass), number_row(Outcome::Measure), number_row(Outcome::Fail)],
        reason: if no { vec!["It is too small.".into(), "Together:".into(), "Fact.".into()] } else { vec![] },
        funnel: if no { vec!["9 shims in the book".into()] } else { vec![] },
        wanted: if no { vec!["A shim 25 to 26 mm".into()] } else { vec![] },
        head_tube: vec!["92.0 to 95.7 mm".into()],
        head_tube_here: None,
        decks: vec![deck(catalogue)],
        alternatives: vec![alternative(catalogue)],
        assumed: vec!["Bore of the shim.".into()],
        tried: vec!["Clearance of the shim: tried.".into()],
        unfinished: None,
        coming: vec![],
        glance: Glance::default(),
    }
}

fn change() -> ChangeText {
    ChangeText {
        warning: "WARNING: for good".into(),
        why: "The last resort.".into(),
        done: vec!["The shim is cut.".into()],
        lost: vec!["The warranty.".into()],
        no_cut: "There is no other way.".into(),
        plan: Some("Built with a shim.".into()),
    }
}

fn revision(fork: &str, number: usize) -> RevisionText {
    let tell = Some(format!("a groove, number {number}"));
    let (label, short) = (format!("revision {number} (spring)"), format!("revision {number}"));
    RevisionText { part_id: fork.into(), id: number.to_string(), label, short, tell }
}

fn measuring() -> MeasuringStep {
    let (go, no_go) = ("Goes: 28 to 29.".into(), Some("Does not go: 30.".into()));
    MeasuringStep {
        text: "Measure the steerer.".into(),
        go,
        no_go,
        undecided: Some("Else.".into()),
        new_parts: false,
    }
}

/// Three steps; two share one rule step, as two spacers do.
fn steps() -> Vec<GuideStep> {
    let step = |(i, id): (usize, &str)| GuideStep {
        number: i + 1,
        id: id.into(),
        text: "Slide the shim on.".into(),
        also: vec![],
        held: None,
        warning: (i == 0).then(|| "WARNING: for good".into()),
        feel: Some("It slides by hand.".into()),
        item: Some(ItemIx(1)),
        part_number: Some(2),
        way: Some("lipped end up".into()),
        tool: Some("5 mm hex key".into()),
        torque: Some("8 N m".into()),
        depth: None,
        reach: Some("above".into()),
        cautions: vec![],
        changed_size: None,
        already: vec![ItemIx(0)],
    };
    ["shim-on", "spacer", "spacer"].into_iter().enumerate().map(step).collect()
}

fn part_row(number: usize, id: &str, name: &str) -> PartRow {
    PartRow {
        number,
        item: ItemIx(number as u16 - 1),
        part_id: id.into(),
        name: name.into(),
        slot: "place".into(),
        kind: "kind".into(),
        way: None,
        told_end: None,
        revision: None,
        changed: (number == 2).then(|| "changed for good: length 44 mm".into()),
        from: "rider's own".into(),
        source: PartSource::Own,
    }
}

fn need(id: &str, name: &str, is_box: bool) -> NeedRow {
    NeedRow {
        id: id.into(),
        is_box,
        name: name.into(),
        count: 2,
        price: Some("€12.00".into()),
        stock: Some("3 on hand".into()),
        supplies: vec!["shim".into()],
    }
}

fn number_row(outcome: Outcome) -> NumberRow {
    NumberRow {
        check: "closing-gap",
        what: "Closing gap".into(),
        value: "2.1 to 4.0 mm".into(),
        limit: "2 to 5 mm".into(),
        outcome,
        outcome_words: "holds".into(),
        assumes: vec!["length of the shim".into()],
        tried: Some("tried by hand".into()),
    }
}

fn deck(catalogue: &Catalogue) -> DeckRow {
    let deck = catalogue.part(catalogue.of_kind("deck").next().expect("a deck"));
    DeckRow {
        part_id: deck.id.clone(),
        key: deck.id.clone(),
        name: deck.name.clone(),
        head_tube: "95".into(),
        verdict: Verdict::Goes,
        words: "goes".into(),
        steps: vec![OtherSteps {
            with: Some("With the parts of this guide:".into()),
            lines: vec!["In place of step 1: Slide the other shim on.".into()],
        }],
    }
}

fn alternative(catalogue: &Catalogue) -> AlternativeRow {
    let spacer = catalogue.part(catalogue.of_kind("spacer").next().expect("a spacer"));
    AlternativeRow {
        slot: "spacer".into(),
        part_id: spacer.id.clone(),
        name: spacer.name.clone(),
        verdict: Verdict::Goes,
        text: "serves as well".into(),
    }
}

fn drawings(guide: &Guide) -> Vec<Drawing> {
    let drawing = |answer: usize, what: DrawingWhat, word: &str| Drawing {
        answer,
        what,
        svg: format!(
            "<svg data-drawing=\"{word}\" data-unit=\"mm\" xmlns=\"http://www.w3.org/2000/svg\" width=\"40\" \
             height=\"40\" viewBox=\"0 0 40 40\"><title>{word} {answer}</title><path d=\"M0 0H40V40z\"/></svg>"
        ),
    };
    let of_answer = |a: &GuideAnswer| {
        let mut all = vec![drawing(a.answer, DrawingWhat::Assembled, "assembled")];
        all.push(drawing(a.answer, DrawingWhat::Exploded, "exploded"));
        all.extend(a.steps.iter().map(|s| drawing(a.answer, DrawingWhat::Step(s.number), "step")));
        all
    };
    guide.answers.iter().flat_map(of_answer).collect()
}

//! A small invented book with guides made by hand: every block of a guide page is filled. Knows no page.

use std::collections::BTreeMap;

use benchleaf::assembly::{ItemIx, Outcome};
use benchleaf::base::{FileId, Problems, Sources};
use benchleaf::catalogue::{Catalogue, Shop, read_catalogue, read_shop};
use benchleaf::guide::{
    AlternativeRow, Caution, DeckRow, Glance, Guide, GuideAnswer, GuideStep, LeaveRow, MeasureRow,
    MeasuringStep, NeedRow, NumberRow, PartLine, PartRow, PartSource, RevisionText, UseRow, Words,
};
use benchleaf::rules::Rule;
use benchleaf::site::{
    BookProse, Drawing, DrawingWhat, GuideForBars, Prose, SiteInput, Theme, parse_prose, read_theme, site,
};
use benchleaf::solve::{Supply, Verdict};

#[path = "sample_rule.rs"]
mod sample_rule;
pub use sample_rule::rule;

/// Stands in the data as the name of the shim.
pub const MARKUP: &str = "Alder <b>wide</b> & \"slim\" 'shim' <script>alert(1)</script>";

const SHOP: &str = "name = \"Wharf & Sons\"\nlanguage = \"en\"\ncurrency = \"EUR\"\n";

const PARTS: &str = r#"
[[part]]
id = "fork-a"
kind = "fork"
name = "Fork A"
loose = false
crown_outside = "46"
crown_height = "32"
bottom_thickness = "8"
seat_diameter = "30.1 +0.05/+0"
seat_height = "6 ±0.1"
steerer_outside = "28.6 +0/-0.05"
steerer_bore = "22.4 ±0.1"
steerer_length = "148.5 ±0.1"

[[part.revision]]
id = "1"
since = "spring 2024"
tell = "no hole under the crown"

[[part.revision]]
id = "2"
tell = "a hole under the crown"
bottom_bore = "8.5 ±0.1"

[[part]]
id = "fork-b"
kind = "fork"
name = "Fork B"
price = "89.00"
crown_outside = "46"
crown_height = "32"
bottom_thickness = "8"
seat_diameter = "30.1"
seat_height = "6"
steerer_outside = "28.6"
steerer_bore = "22.4"
steerer_length = "136.5"

[[part]]
id = "shim-a"
kind = "shim"
name = """MARKUP"""
price = "6.50"
inside = "28.65 +0.08/+0"
outside = "31.75 +0/-0.05"
length = "50 ±0.1"

[[part]]
id = "shim-b"
kind = "shim"
name = "Spare shim"
price = "6.50"
inside = "28.65 +0.08/+0"
outside = "31.75 +0/-0.05"
length = "47 ±0.1"

[[part]]
id = "deck-a"
kind = "deck"
name = "Deck A"
head_tube_length = "95 ±0.1"
head_tube_outside = "50"
head_tube_bore = "37 ±0.1"
seat_bore = "41.95 ±0.03"
seat_depth = "6.5 ±0.04"
seat_angle = "45"

[[box]]
id = "box-a"
name = "Box A"
price = "269.00"
holds = ["fork-a", { part = "shim-a", count = 2 }, "shim-b"]
"#;

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
}

impl World {
    pub fn new() -> World {
        let mut files = BTreeMap::new();
        files.insert("content/shop.toml".to_string(), SHOP.as_bytes().to_vec());
        let parts = PARTS.replace("MARKUP", &MARKUP.replace('"', "\\\""));
        files.insert("parts/all.toml".to_string(), parts.into_bytes());
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        let shop = read_shop(&files, &mut sources, &mut problems);
        let shop = shop.unwrap_or_else(|| panic!("{problems:?}"));
        let catalogue = read_catalogue(&files, &shop, &mut sources, &mut problems);
        let catalogue = catalogue.unwrap_or_else(|| panic!("{problems:?}"));
        let theme = read_theme(&files, "bench", &mut sources, &mut problems);
        let theme = theme.unwrap_or_else(|| panic!("{problems:?}"));
        let rules = vec![rule("sys-a", "System A"), rule("sys-b", "System B")];
        let guides = vec![
            guide("fork-a", "Fork A", &rules[0], vec![goes(0, revision("1")), no(1, revision("2"))]),
            guide("fork-a", "Fork A", &rules[1], vec![goes(0, None)]),
            guide("fork-b", "Fork B", &rules[0], vec![measure(0)]),
            guide("fork-b", "Fork B", &rules[1], vec![no(0, None)]),
        ];
        World {
            drawings: guides.iter().enumerate().map(|(i, g)| drawings(i, g)).collect(),
            measuring: vec![measure_row()],
            pairings: guides.iter().map(|g| format!("{{\"fork\":\"{}\",\"n\":1}}\n", g.fork_id)).collect(),
            prose: BookProse {
                safety: vec![prose("stop", "# Stop <here>\n\nLook [at the words](pages/words.html).\n")],
                pages: vec![prose(
                    "words",
                    "# Words\n\n## Shim\n\nA tube.\n\n[Shop](https://example.org/)\n",
                )],
                systems: vec![prose("sys-a", "# Whatever\n\nA *shim*, see [words](pages/words.html).\n")],
            },
            words: Words::own(),
            shop,
            catalogue,
            rules,
            guides,
            theme,
        }
    }

    pub fn site(&self) -> Result<BTreeMap<String, Vec<u8>>, Problems> {
        self.site_for_bars(&[])
    }

    pub fn site_for_bars(&self, for_bars: &[GuideForBars]) -> Result<BTreeMap<String, Vec<u8>>, Problems> {
        site(&SiteInput {
            for_bars,
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

pub fn prose(slug: &str, text: &str) -> Prose {
    parse_prose(slug, text, FileId(0), &mut Problems::default())
}

fn drawings(number: usize, guide: &Guide) -> Vec<Drawing> {
    let mut all = vec![];
    for answer in &guide.answers {
        let mut draw = |what, word: &str, id: &str| {
            let id = format!("d{number}-{}-{id}", answer.answer);
            let svg = format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing\" data-drawing=\"{word}\" data-unit=\"mm\" \
                 viewBox=\"-60 -180 120 200\" width=\"120mm\" height=\"200mm\" role=\"img\" aria-labelledby=\"{id}\" \
                 fill=\"none\" stroke=\"#000\"><title id=\"{id}\">Section</title><g data-item=\"fork\" \
                 data-slot=\"fork\" data-part=\"fork-a\"><path d=\"M11 0V-148H14V0Z\"/><path d=\"M-11 0V-148H-14V0Z\"/>\
                 </g></svg>"
            );
            all.push(Drawing { answer: answer.answer, what, svg });
        };
        if answer.verdict == Verdict::No {
            draw(DrawingWhat::WhyNot, "assembled", "why");
        } else {
            draw(DrawingWhat::Assembled, "assembled", "pile");
            draw(DrawingWhat::Exploded, "exploded", "apart");
            draw(DrawingWhat::Step(1), "step", "step-1");
        }
    }
    all
}

fn guide(fork: &str, name: &str, rule: &Rule, answers: Vec<GuideAnswer>) -> Guide {
    let worst = answers.iter().max_by_key(|a| a.verdict).unwrap();
    Guide {
        with_bars: None,
        bars: vec![],
        fork_id: fork.into(),
        fork_name: name.into(),
        system_id: rule.id.clone(),
        system_name: rule.name.clone(),
        system_short: rule.short.clone(),
        verdict: worst.verdict,
        supply: worst.supply,
        depends: answers.len() > 1,
        verdict_words: match answers.len() {
            1 => worst.verdict_words.clone(),
            _ => "Depends on the revision".into(),
        },
        summary: worst.summary.clone(),
        before_riding: vec!["Lift the front and turn the bars: no play, no drag.".into()],
        answers,
        apart: vec![],
    }
}

fn revision(id: &str) -> Option<RevisionText> {
    let tell = Some("look under the crown".to_string());
    let short = format!("revision {id}");
    Some(RevisionText { part_id: "fork-a".into(), id: id.into(), label: id.into(), short, tell })
}

pub fn deck_row(verdict: Verdict, words: &str) -> DeckRow {
    DeckRow {
        part_id: "deck-a".into(),
        key: "deck-a".into(),
        name: "Deck A".into(),
        head_tube: "95 ±0.1".into(),
        verdict,
        words: words.into(),
        steps: vec![],
    }
}

fn goes(answer: usize, revision: Option<RevisionText>) -> GuideAnswer {
    GuideAnswer {
        answer,
        revisions: revision.iter().cloned().collect(),
        revision,
        verdict: Verdict::Goes,
        supply: Some(Supply::ExtraParts),
        verdict_words: "Goes with extra parts".into(),
        summary: "Yes, with one thing to buy for 6.50 €.".into(),
        same: vec![],
        change: None,
        last_resort: None,
        measuring: vec![],
        steps: vec![step(1, "shim", Some(2)), step(2, "shim", None)],
        parts: vec![part_row(1, "fork-a", "Fork A"), part_row(2, "shim-a", MARKUP)],
        need: vec![NeedRow {
            id: "box-a".into(),
            is_box: true,
            name: "Box A".into(),
            count: 2,
            price: Some("269.00 €".into()),
            stock: Some("none on hand".into()),
            supplies: vec![MARKUP.into()],
        }],
        use_from: vec![UseRow {
            part_id: "shim-a".into(),
            name: MARKUP.into(),
            box_id: Some("box-a".into()),
            text: "Take it from Box A.".into(),
        }],
        leave: vec![LeaveRow {
            part_id: "shim-b".into(),
            name: "Spare shim".into(),
            box_id: "box-a".into(),
            why: "It would do, but nothing needs it.".into(),
        }],
        spend: "538.00 €".into(),
        on_hand_note: None,
        in_stock_note: Some("Were Box A in stock, another plan would be better.".into()),
        numbers: vec![number("sleeve-clearance", Outcome::Pass), number("closing-gap", Outcome::Pass)],
        reason: vec![],
        funnel: vec![],
        wanted: vec![],
        head_tube: vec!["93.20 to 96.10 mm".into()],
        head_tube_here: None,
        decks: vec![deck_row(Verdict::Goes, "goes")],
        alternatives: vec![AlternativeRow {
            slot: "Shim".into(),
            part_id: "shim-b".into(),
            name: "Spare shim".into(),
            verdict: Verdict::Measure,
            text: "measure first, closing gap 0.10 to 2.40 mm".into(),
        }],
        assumed: vec!["outside of Fork B: written 28.6, taken as 28.55 to 28.60 mm".into()],
        tried: vec!["Clearance of the shim over the steerer: tried: slides on by hand".into()],
        unfinished: None,
        coming: vec![],
        glance: glance(),
    }
}

fn glance() -> Glance {
    let deck =
        PartLine { part_id: "deck-a".into(), name: "Deck A".into(), text: "head tube 93 to 96 mm".into() };
    Glance {
        built_on: vec![deck],
        tools: vec!["5 mm hex key".into()],
        minutes: Some("about 20 minutes".into()),
        skill: "hand tools".into(),
        cost: Some(650),
        cutting: Some(caution("Cut nothing.")),
        lead: None,
        head_tube: vec![],
    }
}

fn caution(text: &str) -> Caution {
    Caution { signal: "warning", word: "WARNING".into(), text: text.into() }
}

fn measure(answer: usize) -> GuideAnswer {
    GuideAnswer {
        verdict: Verdict::Measure,
        verdict_words: "Measure first".into(),
        summary: "Perhaps: measure before anything is bought.".into(),
        measuring: vec![MeasuringStep {
            text: "Measure the steerer length.".into(),
            go: "Goes: 136.50 to 137.00 mm.".into(),
            no_go: Some("Does not go: 135.00 mm or less.".into()),
            undecided: Some("Not decided by this reading: over 135.00 mm.".into()),
            new_parts: false,
        }],
        numbers: vec![number("closing-gap", Outcome::Measure)],
        ..goes(answer, None)
    }
}

fn no(answer: usize, revision: Option<RevisionText>) -> GuideAnswer {
    GuideAnswer {
        verdict: Verdict::No,
        supply: None,
        verdict_words: "Does not go".into(),
        summary: "No: the shim stops on the steerer.".into(),
        steps: vec![],
        need: vec![],
        use_from: vec![],
        leave: vec![],
        spend: String::new(),
        in_stock_note: None,
        numbers: vec![number("sleeve-clearance", Outcome::Fail)],
        reason: vec![
            "The shim stops on the steerer.".into(),
            "Together these cannot hold:".into(),
            "FACT-ONE.".into(),
            "FACT-TWO.".into(),
        ],
        funnel: vec!["Shim: 2 shims in the book; none slides over the steerer.".into()],
        wanted: vec!["One part would make it go: shim, inside diameter 28.65 to 28.70 mm.".into()],
        decks: vec![],
        unfinished: Some("Not known.".into()),
        glance: Glance::default(),
        ..goes(answer, revision)
    }
}

fn step(number: usize, id: &str, part_number: Option<usize>) -> GuideStep {
    GuideStep {
        number,
        id: id.into(),
        text: format!("Slide {MARKUP} over the steerer."),
        also: vec!["The same for another revision.".into()],
        warning: (number == 1).then(|| "WARNING: for good".into()),
        held: None,
        feel: Some("It slides by its own weight.".into()),
        item: Some(ItemIx(1)),
        part_number,
        way: Some("lipped end down".into()),
        tool: Some("5 mm hex key".into()),
        torque: Some("8 to 10 Nm".into()),
        depth: None,
        reach: Some("above".into()),
        cautions: vec![caution("It can pinch.")],
        changed_size: None,
        already: vec![ItemIx(0)],
    }
}

fn measure_row() -> MeasureRow {
    MeasureRow {
        part_id: "shim-a".into(),
        part: MARKUP.into(),
        dim: "outside diameter".into(),
        written: "31.8".into(),
        range: "31.74 to 31.80 mm".into(),
        settles: vec![("fork-a".into(), "sys-b".into())],
        may_settle: vec![("fork-b".into(), "sys-a".into())],
        behind: vec![("fork-b".into(), "sys-b".into())],
    }
}

fn part_row(number: usize, id: &str, name: &str) -> PartRow {
    PartRow {
        number,
        item: ItemIx(number as u16 - 1),
        part_id: id.into(),
        name: name.into(),
        slot: "shim".into(),
        kind: "shim".into(),
        way: (number > 1).then(|| "lipped end down".into()),
        told_end: (number > 1).then_some(false),
        revision: None,
        changed: (number == 2).then(|| "changed for good: length 44 mm".into()),
        from: "Box A".into(),
        source: PartSource::Box("box-a".into()),
    }
}

fn number(check: &'static str, outcome: Outcome) -> NumberRow {
    NumberRow {
        check,
        what: "Clearance of the shim over the steerer".into(),
        value: "0.05 to 0.18 mm".into(),
        limit: "0 to 0.30 mm".into(),
        outcome,
        outcome_words: "holds".into(),
        assumes: vec!["steerer outside".into()],
        tried: None,
    }
}

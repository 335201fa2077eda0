//! The drawings of a guide, with their words filled in. Must not know how anything is drawn.

use super::book::Book;
use super::step_drawings::Steps;
use crate::assembly::{ItemIx, Stack};
use crate::catalogue::{Part, Variant};
use crate::draw::{
    DrawInput, DrawWords, PartInput, PartWords, assembled, deciding, exploded, part, whereabouts, why_not,
};
use crate::guide::{Guide, GuideAnswer, is_ample_gap};
use crate::kinds::{HEAD_TUBE, Known, NamedDim};
use crate::rules::Rule;
use crate::site::{Drawing, DrawingWhat};
use crate::solve::{Answer, Verdict};
use rayon::prelude::*;

/// For each variant of the catalogue: the part by itself, with its dimensions.
pub fn part_drawings(book: &Book) -> Vec<Option<String>> {
    let variants = book.catalogue.variants.par_iter().enumerate();
    let own = |v: &Variant| v.changed.is_none();
    variants.map(|(index, v)| part_drawing(book, index, v).filter(|_| own(v))).collect()
}

fn part_drawing(book: &Book, index: usize, variant: &Variant) -> Option<String> {
    let (words, owner) = (&book.words, book.catalogue.part(variant.part));
    let dims: Vec<String> = variant
        .shape
        .dims
        .iter()
        .map(|dim| {
            let name = words.first(&[&format!("dim.{}", dim.name)]);
            let name = name.unwrap_or_else(|| dim.name.replace(['-', '_'], " "));
            words.say("drawing.dimension", &[("dim", &name), ("value", &dim.dimension.written)])
        })
        .collect();
    let title = words.say("drawing.part-alone", &[("part", &owner.name)]);
    let description = words.word("drawing.calipers");
    let part_words = PartWords { title: &title, description: &description, dims: &dims };
    part(&PartInput { part: owner, variant, words: part_words, id_prefix: &format!("v{index}-") })
}

/// A part as whoever writes it down sees it: its key has the lines of its file.
pub fn part_as_written(kind: &str, owner: &Part, variant: &Variant, description: &str) -> Option<String> {
    let line = |dim: &NamedDim| format!("{} = \"{}\"", dim.name, dim.dimension.written);
    let dims: Vec<String> = variant.shape.dims.iter().map(line).collect();
    let words = PartWords { title: &owner.name, description, dims: &dims };
    part(&PartInput { part: owner, variant, words, id_prefix: &format!("k-{kind}-") })
}

pub fn drawings(book: &Book, rule: &Rule, guide: &Guide, answers: &[Answer]) -> Vec<Drawing> {
    let told = guide.answers.iter().enumerate();
    told.flat_map(|(place, told)| of_answer(book, rule, guide, told, &answers[told.answer], place)).collect()
}

fn of_answer(
    book: &Book,
    rule: &Rule,
    guide: &Guide,
    told: &GuideAnswer,
    answer: &Answer,
    place: usize,
) -> Vec<Drawing> {
    let words = &book.words;
    let names = [("fork", guide.fork_name.as_str()), ("system", guide.system_name.as_str())];
    let numbers: Vec<(ItemIx, usize)> = told.parts.iter().map(|p| (p.item, p.number)).collect();
    let told_ends: Vec<(ItemIx, bool)> =
        told.parts.iter().filter_map(|p| Some((p.item, p.told_end?))).collect();
    let reading_order: Vec<String> = told
        .parts
        .iter()
        .map(|part| {
            let number = part.number.to_string();
            let named: Vec<String> = std::iter::once(part.name.clone()).chain(part.changed.clone()).collect();
            let named = words.joined("comma", &named);
            let mut values = vec![("number", number.as_str()), ("part", named.as_str())];
            values.extend(part.way.as_deref().map(|way| ("way", way)));
            words.say("drawing.part", &values)
        })
        .collect();
    // What fails is told first to those who do not see the picture.
    let fails = told.reason.first().filter(|_| told.verdict == Verdict::No).cloned();
    let description: Vec<String> = fails.into_iter().chain([words.word("drawing.scale")]).collect();
    let (description, mark) = (description.join(" "), words.word("drawing.mark"));
    let changed = words.word("drawing.changed");
    let prefix = |what: &str| format!("d{place}-{what}-");
    let input = |id_prefix: &str, draw_words: DrawWords<'_>, draw: &dyn Fn(&DrawInput<'_>) -> String| {
        draw(&DrawInput {
            stack: &answer.stack,
            rule,
            catalogue: &book.catalogue,
            numbers: &numbers,
            told_ends: &told_ends,
            words: draw_words,
            id_prefix,
        })
    };
    let whole = |key: &str, more: DrawWords<'_>, draw: &dyn Fn(&DrawInput<'_>) -> String| {
        let title = words.say(key, &names);
        let filled =
            DrawWords { title: &title, description: &description, reading_order: &reading_order, ..more };
        input(&prefix(key.trim_start_matches("drawing.")), filled, draw)
    };
    let made = |what, svg| Drawing { answer: told.answer, what, svg };
    if told.verdict == Verdict::No {
        let why: Vec<String> =
            (0..answer.stack.checks.len()).map(|check| failure(book, told, answer, check)).collect();
        let lead = told.glance.lead;
        let svg = whole("drawing.why-not", DrawWords { why: &why, lead, ..DrawWords::default() }, &why_not);
        return vec![made(DrawingWhat::WhyNot, svg)];
    }
    let mut sizes = deciding(&answer.stack, &book.catalogue);
    sizes.gap = sizes.gap.filter(|&gap| !is_ample_gap(rule, &answer.stack.checks[gap]));
    let [gap, clearance, engagement, ring_seat, shelf] = [
        ("drawing.gap", sizes.gap),
        ("drawing.clearance", sizes.clearance),
        (engagement_key(&answer.stack, sizes.engagement), sizes.engagement),
        ("drawing.ring-seat", sizes.ring_seat),
        ("drawing.shelf", sizes.shelf),
    ]
    .map(|(key, check)| size(book, told, answer, key, check));
    let (head_tube, head_tube_limit) = head_tube(book, told, answer);
    let sized = DrawWords {
        gap: &gap,
        clearance: &clearance,
        engagement: &engagement,
        ring_seat: &ring_seat,
        shelf: &shelf,
        head_tube: &head_tube,
        head_tube_limit: &head_tube_limit,
        changed: &changed,
        ..DrawWords::default()
    };
    let section = whole("drawing.assembled", sized, &assembled);
    let apart = DrawWords { mark: &mark, changed: &changed, ..DrawWords::default() };
    let apart = whole("drawing.exploded", apart, &exploded);
    let mut all = vec![made(DrawingWhat::Assembled, section), made(DrawingWhat::Exploded, apart)];
    let told_steps = Steps { book, rule, told, answer, reading_order: &reading_order };
    let drawn = |what: &str, words: DrawWords<'_>, draw: &dyn Fn(&DrawInput<'_>) -> String| {
        input(&prefix(what), words, draw)
    };
    for (number, svg) in told_steps.drawings(&drawn) {
        all.push(made(DrawingWhat::Step(number), svg));
    }
    for (number, svg) in told_steps.whereabouts(&drawn) {
        all.push(made(DrawingWhat::Where(Some(number)), svg));
    }
    let section =
        drawn("where", DrawWords::default(), &|input| whereabouts(input, None, false).unwrap_or_default());
    if !section.is_empty() {
        all.push(made(DrawingWhat::Where(None), section));
    }
    all
}

/// Value and limit of a check as the numbers table has them.
fn size(book: &Book, told: &GuideAnswer, answer: &Answer, key: &str, check: Option<usize>) -> String {
    let rows = Some(&told.numbers).filter(|rows| rows.len() == answer.stack.checks.len());
    let row = check.zip(rows).and_then(|(check, rows)| rows.get(check));
    row.map_or_else(String::new, |row| {
        book.words.say(key, &[("what", &row.what), ("value", &row.value), ("limit", &row.limit)])
    })
}

/// What a failed check is, with its value and limit where it has them.
fn failure(book: &Book, told: &GuideAnswer, answer: &Answer, check: usize) -> String {
    let lead = told.glance.lead;
    if let Some(said) = told.reason.first().filter(|_| lead == Some(check)) {
        return said.clone();
    }
    // Beside what the page opens with, only what it also blames.
    let blamed = answer.stack.checks.get(check).is_some_and(|c| answer.reason.contains(c));
    if lead.is_some() && !blamed {
        return String::new();
    }
    let valued = answer.stack.checks.get(check).is_some_and(|c| c.value.is_some());
    size(book, told, answer, if valued { "drawing.fails" } else { "drawing.fails-fact" }, Some(check))
}

/// The deck's head tube as written, and the range it may have. No height is sure while the plan is to be measured.
fn head_tube(book: &Book, told: &GuideAnswer, answer: &Answer) -> (String, String) {
    let variants = answer.stack.items.iter().map(|item| book.catalogue.variant(item.variant));
    let deck = variants.into_iter().find(|v| book.catalogue.part(v.part).is(Known::Deck));
    let length = deck.and_then(|v| v.shape.dims.iter().find(|d| d.name == HEAD_TUBE));
    let Some(length) = length else { return Default::default() };
    let limit = match &told.head_tube_here {
        Some(range) => range.clone(),
        None => book.words.word("drawing.head-tube-open"),
    };
    (book.words.say("drawing.head-tube", &[("value", &length.dimension.written)]), limit)
}

/// Where a part's height is chosen the length is told as drawn.
fn engagement_key(stack: &Stack, check: Option<usize>) -> &'static str {
    let check = check.and_then(|index| stack.checks.get(index));
    match check.is_some_and(|check| stack.chosen(check).is_some()) {
        true => "drawing.engagement-drawn",
        false => "drawing.engagement",
    }
}

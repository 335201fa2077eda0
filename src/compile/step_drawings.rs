//! The pictures of a guide's steps, with their words filled in. Must not know how anything is drawn.

use super::book::Book;
use crate::assembly::ItemIx;
use crate::draw::{DrawInput, DrawWords, change, step, step_of, view, whereabouts};
use crate::guide::{GuideAnswer, GuideStep};
use crate::rules::{Rule, Step, View};
use crate::solve::Answer;

/// Draws with these words, under an id made from the first.
pub type Draw<'d> = dyn Fn(&str, DrawWords<'_>, &dyn Fn(&DrawInput<'_>) -> String) -> String + 'd;

/// One answer's steps.
pub struct Steps<'a> {
    pub book: &'a Book,
    pub rule: &'a Rule,
    pub told: &'a GuideAnswer,
    pub answer: &'a Answer,
    /// A line for each of the answer's parts, in their order.
    pub reading_order: &'a [String],
}

impl Steps<'_> {
    /// Number and picture of each step that has one.
    pub fn drawings(&self, draw: &Draw<'_>) -> Vec<(usize, String)> {
        let pictures = self.told.steps.iter().filter_map(|told| {
            let by_rule = self.rule.steps.iter().find(|step| step.id == told.id);
            let svg = match told.item {
                Some(item) => Some(self.of_part(told, by_rule, item, draw)),
                None => self.of_view(told, by_rule?.view?, draw),
            };
            Some((told.number, svg?))
        });
        pictures.collect()
    }

    /// Number of each step about a part, and where on the scooter that is.
    pub fn whereabouts(&self, draw: &Draw<'_>) -> Vec<(usize, String)> {
        let of = |told: &GuideStep| {
            let by_rule = self.rule.steps.iter().find(|step| step.id == told.id);
            let item = told.item?;
            // What goes into a part that is not on yet is done with that part in the hand.
            let host = self.answer.stack.items.get(usize::from(item.0)).and_then(|placed| placed.rides_with);
            let on_scooter = host.is_none_or(|host| told.already.contains(&host));
            let upside_down = on_scooter && by_rule.is_some_and(|step| step.upside_down);
            let made = draw("where", DrawWords::default(), &|input| {
                whereabouts(input, Some(item), upside_down).unwrap_or_default()
            });
            Some((told.number, made)).filter(|(_, svg)| !svg.is_empty())
        };
        self.told.steps.iter().filter_map(of).collect()
    }

    fn of_part(&self, told: &GuideStep, by_rule: Option<&Step>, item: ItemIx, draw: &Draw<'_>) -> String {
        let words = &self.book.words;
        // A part that is there already is worked on where it is.
        let in_place = told.already.contains(&item);
        let part =
            self.told.parts.iter().find(|p| p.item == item).map(|p| p.name.as_str()).unwrap_or_default();
        let number = told.number.to_string();
        let title = words.say("drawing.step", &[("number", &number), ("part", part)]);
        let description = self.description(told, item, in_place);
        // The way up is told as it stands in the end: not of what is drawn upside down.
        let turned = by_rule.is_some_and(|step| step.upside_down);
        let upside_down = words.word("drawing.upside-down");
        let way = if turned { Some(upside_down.as_str()) } else { told.way.as_deref().filter(|_| !in_place) };
        let step_words = DrawWords {
            title: &title,
            description: &description,
            way: way.unwrap_or_default(),
            depth: told.depth.as_deref().unwrap_or_default().trim_end_matches(','),
            tool: told.tool.as_deref().unwrap_or_default(),
            changed_size: told.changed_size.as_deref().unwrap_or_default(),
            ..DrawWords::default()
        };
        draw(&format!("step{number}"), step_words, &|input| {
            // Before anything is built.
            let alone = if told.already.is_empty() { change(input, item) } else { None };
            alone.unwrap_or_else(|| match by_rule {
                Some(by_rule) => step_of(input, by_rule, &told.already, item),
                None => step(input, &told.already, item),
            })
        })
    }

    /// `None` where nothing of it is drawn.
    fn of_view(&self, told: &GuideStep, shown: View, draw: &Draw<'_>) -> Option<String> {
        let words = &self.book.words;
        let order = self.order_of_use();
        let (description, lines) = match shown {
            View::LaidOut => {
                (words.word("drawing.step-laid-out"), order.iter().filter_map(|&i| self.line(i)).collect())
            }
            View::FromAbove { turns, .. } => {
                let placed = self.answer.stack.items.iter().position(|placed| placed.slot == turns);
                let part = self.line(ItemIx(placed? as u16)).unwrap_or_default();
                (words.say("drawing.step-above", &[("part", &part)]), Vec::new())
            }
        };
        let number = told.number.to_string();
        let title = words.say("drawing.step-view", &[("number", &number), ("step", &told.text)]);
        let view_words = DrawWords {
            title: &title,
            description: &description,
            reading_order: &lines,
            ..DrawWords::default()
        };
        let made = draw(&format!("step{number}"), view_words, &|input| {
            view(input, shown, &order).unwrap_or_default()
        });
        Some(made).filter(|svg| !svg.is_empty())
    }

    /// "4: Fenn bearing, chamfer up"
    fn line(&self, item: ItemIx) -> Option<String> {
        let place = self.told.parts.iter().position(|part| part.item == item)?;
        self.reading_order.get(place).cloned()
    }

    /// What goes on or is worked on, with what, and the numbers of what is there.
    fn description(&self, told: &GuideStep, item: ItemIx, in_place: bool) -> String {
        let words = &self.book.words;
        let part = self.line(item).unwrap_or_default();
        let there = self.told.parts.iter().filter(|p| p.item != item && told.already.contains(&p.item));
        let there: Vec<String> = there.map(|p| p.number.to_string()).collect();
        let there = words.joined("comma", &there);
        let mut values = vec![("part", part.as_str())];
        values.extend(told.tool.as_deref().map(|tool| ("tool", tool)));
        values.extend((!there.is_empty()).then_some(("there", there.as_str())));
        words.say(if in_place { "drawing.step-here" } else { "drawing.step-now" }, &values)
    }

    /// Every part once: the fork first, then as the steps use them; what no step names, where it stands in the pile.
    fn order_of_use(&self) -> Vec<ItemIx> {
        let mut order: Vec<ItemIx> = vec![ItemIx(0)];
        for item in self.told.steps.iter().filter_map(|step| step.item) {
            if !order.contains(&item) {
                order.push(item);
            }
        }
        for item in (0..self.answer.stack.items.len() as u16).map(ItemIx) {
            if !order.contains(&item) {
                let after = order.iter().rposition(|used| *used < item).map_or(0, |at| at + 1);
                order.insert(after, item);
            }
        }
        order
    }
}

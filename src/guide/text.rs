//! The guide as plain text for a terminal, at most [`WIDTH`] columns wide, no colour. Must not compute anything.

use super::page::{
    AlternativeRow, ChangeText, ComingRow, DeckRow, Guide, GuideAnswer, GuideStep, MeasuringStep, NumberRow,
    OtherSteps, PartLine, PartRow,
};
use super::words::{Values, Words};
use crate::solve::Verdict;

pub const WIDTH: usize = 100;

/// The plan a person reads: verdict, measuring, what to buy and use, steps, numbers.
pub fn plain(guide: &Guide, words: &Words) -> String {
    let mut page = Page { words, text: String::new() };
    let short = words.joined("comma", &guide.system_short);
    let mut values = vec![("fork", guide.fork_name.as_str()), ("system", &guide.system_name)];
    if !short.is_empty() {
        values.push(("short", &short));
    }
    page.line(&page.say("pairing", &values));
    page.line(&guide.verdict_words);
    page.blank();
    page.line(&guide.summary);
    for answer in &guide.answers {
        page.answer(answer, guide.answers.len() > 1);
    }
    page.list("before-riding", &guide.before_riding);
    let bars = guide.bars.iter().map(|b| page.row(&b.name, &b.words)).collect::<Vec<_>>();
    page.list("bars", &bars);
    page.text
}

/// Lines with their marks (how far in), wrapped in the same way.
pub fn wrapped(lines: &[(&str, String)], words: &Words) -> String {
    let mut page = Page { words, text: String::new() };
    for (mark, text) in lines {
        match text.as_str() {
            "" => page.blank(),
            text => page.item(mark, text),
        }
    }
    page.text
}

struct Page<'w> {
    words: &'w Words,
    text: String,
}

impl Page<'_> {
    fn answer(&mut self, answer: &GuideAnswer, several: bool) {
        if let Some(revision) = answer.revision.as_ref().filter(|_| several) {
            self.blank();
            self.line(&self.say("revision", &[("label", &revision.label)]));
            if let Some(tell) = &revision.tell {
                self.line(&self.say("tell", &[("tell", tell)]));
            }
            self.line(&answer.verdict_words);
            self.line(&answer.summary);
        }
        let built_on = answer.glance.built_on.iter().map(|line| match line.text.as_str() {
            "" => line.name.clone(),
            text => self.words.say("item.named", &[("word", &line.name), ("name", text)]),
        });
        let built_on: Vec<String> = built_on.collect();
        if !built_on.is_empty() {
            self.line(&self.say("for", &[("list", &self.words.joined("semicolon", &built_on))]));
        }
        if let Some(limit) = answer.unfinished.as_ref().filter(|_| answer.verdict != Verdict::No) {
            self.line(limit);
        }
        answer.same.iter().for_each(|line| self.line(line));
        self.change("change", answer.change.as_ref());
        self.section("measuring", &answer.measuring, |page, step| page.measuring(step));
        self.list("reason", &answer.reason);
        self.list("funnel", &answer.funnel);
        self.list("wanted", &answer.wanted);
        self.supply(answer);
        let parts = if answer.verdict == Verdict::No { "parts-attempt" } else { "parts" };
        self.section(parts, &answer.parts, |page, row| page.item("  ", &page.part_row(row)));
        self.section("steps", &answer.steps, |page, step| page.step(step));
        self.list("head-tube", &answer.head_tube);
        self.section("decks", &answer.decks, |page, row| page.deck(row));
        let numbers = answer.numbers.iter().map(|row| self.number_row(row)).collect::<Vec<_>>();
        self.list("numbers", &numbers);
        let others = answer.alternatives.iter().filter(|a| a.verdict != Verdict::No);
        let others = others.map(|a| self.alternative(a)).collect::<Vec<_>>();
        self.list("alternatives", &others);
        self.change("last-resort", answer.last_resort.as_ref());
        self.list("assumed", &answer.assumed);
        self.list("tried", &answer.tried);
        answer.coming.iter().for_each(|row| self.coming(row));
    }

    fn deck(&mut self, row: &DeckRow) {
        self.item("- ", &self.row(&row.name, &row.words));
        row.steps.iter().for_each(|steps| self.other_steps(steps));
    }

    fn other_steps(&mut self, steps: &OtherSteps) {
        steps.with.iter().for_each(|with| self.item("  ", with));
        steps.lines.iter().for_each(|line| self.item("    ", line));
    }

    fn change(&mut self, heading: &str, change: Option<&ChangeText>) {
        let Some(change) = change else { return };
        self.blank();
        self.line(&self.words.word(&format!("heading.{heading}")));
        if heading != "change" {
            self.item("! ", &change.warning);
        }
        self.item("! ", &change.why);
        change.done.iter().for_each(|text| self.item("! ", text));
        self.item("! ", &self.say("lost", &[("list", &change.lost.join(" "))]));
        self.item("! ", &change.no_cut);
        change.plan.iter().for_each(|text| self.item("! ", text));
    }

    fn coming(&mut self, row: &ComingRow) {
        let words = self.words;
        let mut values = vec![("system", row.system_name.as_str())];
        values.extend(row.revision.as_deref().map(|revision| ("revision", revision)));
        self.blank();
        self.line(&words.say("coming.heading", &values));
        let listed = |lines: &[PartLine]| {
            let one = |l: &PartLine| words.say("item.named", &[("word", &l.name), ("name", &l.text)]);
            words.joined("comma", &lines.iter().map(one).collect::<Vec<_>>())
        };
        for own in &row.own_deck {
            self.item("- ", &words.say("coming.own-deck-line", &[("text", &own.text)]));
            own.steps.iter().for_each(|steps| self.other_steps(steps));
        }
        for own in &row.other_decks {
            self.item("- ", &words.say("coming.own-deck-line", &[("text", &own.text)]));
            own.steps.iter().for_each(|steps| self.other_steps(steps));
        }
        row.no_way_on.iter().for_each(|text| self.item("- ", text));
        let mut say = |key: &str, place: &str, text: &str| {
            if !text.is_empty() {
                self.item("- ", &words.say(&format!("coming.{key}"), &[(place, text)]));
            }
        };
        say("take-off-list", "list", &listed(&row.take_off));
        say("keep-list", "list", &listed(&row.keep));
        say("add-list", "list", &listed(&row.add));
        let mut spend = vec![("spend", row.spend.as_str())];
        spend.extend(row.new_deck.as_deref().map(|deck| ("deck", deck)));
        self.item("- ", &words.say("coming.spend-line", &spend));
        let mut say = |key: &str, place: &str, text: &str| {
            if !text.is_empty() {
                self.item("- ", &words.say(&format!("coming.{key}"), &[(place, text)]));
            }
        };
        say("tools-line", "list", &words.joined("comma", &row.tools));
        say("minutes-line", "minutes", row.minutes.as_deref().unwrap_or_default());
        row.brought.iter().for_each(|text| self.item("- ", text));
        for (number, text) in row.undo.iter().enumerate() {
            self.item(&format!("{:>2}. ", number + 1), text);
        }
        self.item("    ", &row.then);
    }

    fn supply(&mut self, answer: &GuideAnswer) {
        let bought = |row: &super::page::NeedRow| {
            let name = match row.count {
                1 => row.name.clone(),
                n => self.words.say("item.several", &[("count", &n.to_string()), ("name", &row.name)]),
            };
            let mut texts = vec![name];
            texts.extend(row.price.clone());
            texts.extend(row.stock.clone());
            self.words.joined("comma", &texts)
        };
        let need: Vec<String> = answer.need.iter().map(bought).collect();
        self.list("need", &need);
        if !answer.spend.is_empty() {
            self.item("  ", &self.say("spend", &[("spend", &answer.spend)]));
        }
        if let Some(note) = &answer.on_hand_note {
            self.item("  ", note);
        }
        if let Some(note) = &answer.in_stock_note {
            self.item("  ", note);
        }
        let used = answer.use_from.iter().map(|u| self.row(&u.name, &u.text)).collect::<Vec<_>>();
        self.list("use", &used);
        let left = answer.leave.iter().map(|l| self.row(&l.name, &l.why)).collect::<Vec<_>>();
        self.list("leave", &left);
    }

    fn measuring(&mut self, step: &MeasuringStep) {
        self.item("- ", &step.text);
        let zones = [Some(&step.go), step.no_go.as_ref(), step.undecided.as_ref()];
        zones.into_iter().flatten().for_each(|zone| self.item("    ", zone));
    }

    fn step(&mut self, step: &GuideStep) {
        let mark = format!("{:>2}. ", step.number);
        match &step.warning {
            Some(warning) => {
                self.item(&mark, warning);
                self.item("    ", &step.text);
            }
            None => self.item(&mark, &step.text),
        }
        step.also.iter().for_each(|text| self.item("    ", text));
        if let Some(held) = &step.held {
            self.item("    ", &self.say("held", &[("held", held)]));
        }
        if let Some(feel) = &step.feel {
            self.item("    ", &self.say("feel", &[("feel", feel)]));
        }
    }

    fn part_row(&self, row: &PartRow) -> String {
        let number = format!("{:>2}", row.number);
        let mut values = vec![("number", number.as_str()), ("slot", &row.slot), ("name", &row.name)];
        values.extend(row.way.as_deref().map(|way| ("way", way)));
        values.extend(row.revision.as_ref().map(|r| ("revision", r.label.as_str())));
        values.extend(row.changed.as_deref().map(|changed| ("changed", changed)));
        if !row.from.is_empty() {
            values.push(("from", &row.from));
        }
        self.say("part-row", &values)
    }

    fn number_row(&self, row: &NumberRow) -> String {
        let mut values = vec![("what", row.what.as_str())];
        if row.value != self.words.word("number.none") {
            values.push(("value", &row.value));
        }
        if !row.limit.is_empty() {
            values.push(("limit", &row.limit));
        }
        values.push(("outcome", &row.outcome_words));
        self.say("number-row", &values)
    }

    fn alternative(&self, other: &AlternativeRow) -> String {
        let values = [("slot", other.slot.as_str()), ("name", &other.name), ("text", &other.text)];
        self.say("alternative-row", &values)
    }

    fn row(&self, name: &str, text: &str) -> String {
        self.say("row", &[("name", name), ("text", text)])
    }

    fn say(&self, key: &str, values: Values) -> String {
        self.words.say(&format!("heading.{key}"), values)
    }

    fn list(&mut self, heading: &str, texts: &[String]) {
        self.section(heading, texts, |page, text| page.item("- ", text));
    }

    fn section<T>(&mut self, heading: &str, rows: &[T], each: impl Fn(&mut Self, &T)) {
        if rows.is_empty() {
            return;
        }
        self.blank();
        self.line(&self.words.word(&format!("heading.{heading}")));
        rows.iter().for_each(|row| each(self, row));
    }

    fn blank(&mut self) {
        self.text.push('\n');
    }

    fn line(&mut self, text: &str) {
        self.item("", text);
    }

    /// Wrapped; lines after the first stand under the first word.
    fn item(&mut self, mark: &str, text: &str) {
        let indent = mark.chars().count();
        let mut line = mark.to_owned();
        let mut empty = true;
        for word in clean(text).split(' ').filter(|w| !w.is_empty()) {
            let wide = line.chars().count() + usize::from(!empty) + word.chars().count() > WIDTH;
            if wide && !empty {
                self.text.push_str(&line);
                self.text.push('\n');
                line = " ".repeat(indent);
                empty = true;
            }
            if !empty {
                line.push(' ');
            }
            line.push_str(word);
            empty = false;
        }
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }
}

/// Names come from data: nothing in them may move a terminal's cursor.
fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_text_is_wrapped_under_its_first_word() {
        let words = Words::own();
        let mut page = Page { words: &words, text: String::new() };
        page.item("- ", &"word ".repeat(30));
        let lines: Vec<&str> = page.text.lines().collect();
        assert_eq!(lines.len(), 2);
        assert!(lines.iter().all(|line| line.chars().count() <= WIDTH));
        assert!(lines[0].starts_with("- word") && lines[1].starts_with("  word"));
    }

    #[test]
    fn nothing_in_a_name_moves_the_cursor() {
        let words = Words::own();
        let mut page = Page { words: &words, text: String::new() };
        page.line("Heron\u{1b}[2J fork\r\n");
        assert_eq!(page.text, "Heron [2J fork\n");
    }
}

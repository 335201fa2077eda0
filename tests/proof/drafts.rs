//! Texts of small books made up by number: parts sold or not, boxes, a stock list. Knows nothing of what goes.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use std::fmt::Write;

use crate::book::Numbers;

/// A part of the book as text, sold or not, dear or cheap.
struct Draft<'n> {
    numbers: &'n mut Numbers,
    text: String,
    ids: Vec<String>,
    revisions: Revisions,
    /// Parts made in two revisions.
    revised: Vec<String>,
}

/// What of a book is made in several revisions, and which boxes leave open what they hold.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Revisions {
    None,
    /// The box of the first fork alone, which cannot be bought.
    OwnBox,
    /// Boxes that are bought, too.
    AnyBox,
}

impl Draft<'_> {
    fn pick<'t>(&mut self, of: &[&'t str]) -> &'t str {
        of[self.numbers.below(of.len())]
    }

    fn part(&mut self, kind: &str, fields: &str) {
        let id = format!("{kind}-{}", (b'a' + self.ids.len() as u8) as char);
        write!(self.text, "[[part]]\nid = \"{id}\"\nkind = \"{kind}\"\nname = \"{id}\"\n{fields}").unwrap();
        let sold = match self.numbers.below(6) {
            0 => "loose = false\n".to_string(),
            1 => "loose = true\n".to_string(),
            _ => format!("price = \"{}.00\"\n", self.numbers.between(2, 9)),
        };
        if kind != "fork" {
            self.text += &sold;
        }
        if self.revisions != Revisions::None && self.revised.len() < 2 {
            self.revise(kind, &id);
        }
        self.text.push('\n');
        self.ids.push(id);
    }

    /// In a second revision with another size; the first may be sold no more.
    fn revise(&mut self, kind: &str, id: &str) {
        let other = match kind {
            "spacer" => ["length = \"4 ±0.05\"", "length = \"7 ±0.1\""],
            "shim" => ["inside = \"28.5 +0.15/0\"", "outside = \"31.8 +0.2/-0.1\""],
            "clamp" => ["length = \"47 ±0.1\"", "length = \"54 ±0.1\""],
            "cap" => ["spigot_depth = \"4 ±0.05\"", "spigot_depth = \"9 ±0.05\""],
            _ => return,
        };
        if !self.numbers.one_in(2) {
            return;
        }
        let other = self.pick(&other);
        let sold = self.pick(&["", "sold = false\n"]);
        write!(self.text, "[[part.revision]]\nid = \"1\"\n{sold}[[part.revision]]\nid = \"2\"\n{other}\n")
            .unwrap();
        self.revised.push(id.to_string());
    }

    /// How a box names a part: with its revision, or without.
    fn held(&mut self, id: &str, own: bool) -> String {
        let count = self.numbers.between(1, 2);
        if !self.revised.iter().any(|r| r == id) {
            return format!("{{ part = \"{id}\", count = {count} }}");
        }
        let open = (own || self.revisions == Revisions::AnyBox) && !self.numbers.one_in(4);
        let said = if open { "" } else { self.pick(&["revision = \"1\", ", "revision = \"2\", "]) };
        format!("{{ part = \"{id}\", {said}count = {count} }}")
    }

    fn boxes(&mut self) {
        let others: Vec<String> = self.ids.iter().filter(|i| !i.starts_with("fork")).cloned().collect();
        for index in 0..self.numbers.between(1, 4) {
            let mut holds: Vec<String> = (0..self.numbers.between(1, 4))
                .map(|_| others[self.numbers.below(others.len())].clone())
                .collect();
            if index == 0 {
                holds.push("fork-a".into());
                holds.extend(self.revised.iter().cloned());
            }
            holds.sort();
            holds.dedup();
            let price = match self.numbers.below(5) {
                0 => String::new(),
                _ => format!("price = \"{}.00\"\n", self.numbers.between(3, 15)),
            };
            let sold = match self.revisions {
                Revisions::OwnBox if index == 0 => "sold = false\n",
                _ => "",
            };
            let list: Vec<String> = holds.iter().map(|h| self.held(h, index == 0)).collect();
            write!(
                self.text,
                "[[box]]\nid = \"box-{index}\"\nname = \"Box\"\n{price}{sold}holds = [{}]\n",
                list.join(", ")
            )
            .unwrap();
        }
    }

    fn stock(&mut self) -> String {
        let mut list = "id,on_hand\n".to_string();
        for id in &self.ids {
            if self.numbers.one_in(6) {
                writeln!(list, "{id},0").unwrap();
            }
        }
        list
    }
}

/// A book as text: one or two forks, two or three parts for every slot, boxes, a stock list.
pub fn texts(seed: u64) -> (String, String) {
    texts_with(seed, Revisions::None)
}

pub fn texts_with(seed: u64, revisions: Revisions) -> (String, String) {
    let mut numbers = Numbers(seed);
    let mut draft =
        Draft { numbers: &mut numbers, text: String::new(), ids: vec![], revisions, revised: vec![] };
    let off = ["±0.05", "±0.1", "±0.1", "±0.5"];
    for _ in 0..2 {
        let (long, off) = (draft.pick(&["61", "63", "64"]), draft.pick(&off));
        draft.part("fork", &format!(
            "crown_outside = \"46\"\ncrown_height = \"32\"\nbottom_thickness = \"8\"\nseat_diameter = \"30.1 +0.05/0\"\n\
             seat_height = \"6\"\nsteerer_outside = \"28.6 +0/-0.05\"\nsteerer_bore = \"22\"\nsteerer_length = \"{long} {off}\"\n"
        ));
    }
    for _ in 0..draft.numbers.between(1, 2) {
        let thick = draft.pick(&["10 ±0.05", "12 ±0.05"]);
        draft.part("washer", &format!("bore = \"30.3 +0.1/0\"\noutside = \"44\"\nthickness = \"{thick}\"\n"));
    }
    draft.part("riser", "bore = \"28.8 +0.1/0\"\noutside = \"42\"\nlength = \"5 ±0.05\"\n");
    for _ in 0..2 {
        let long = draft.pick(&["3 ±0.05", "4 ±0.05", "5 ±0.1", "6 ±0.1", "8 ±0.3"]);
        let wide = draft.pick(&["36", "40"]);
        draft.part("spacer", &format!("bore = \"28.8 +0.1/0\"\noutside = \"{wide}\"\nlength = \"{long}\"\n"));
    }
    draft.part(
        "liner",
        "inside = \"28.65 +0.1/0\"\noutside = \"29.8 +0/-0.05\"\nlength = \"35\"\nslot = \"3\"\n",
    );
    for _ in 0..2 {
        let inside = draft.pick(&["28.65 +0.1/0", "28.65 +0.1/0", "29.85 +0.1/0", "28.5 +0.15/0"]);
        let outside = draft.pick(&["31.8 +0/-0.1", "31.8 +0/-0.1", "31.8 +0.2/-0.1"]);
        let long = draft.pick(&["30", "34", "40"]);
        let lip = draft.pick(&["", "lip_outside = \"38\"\nlip_height = \"2 ±0.05\"\n"]);
        draft.part(
            "shim",
            &format!(
                "inside = \"{inside}\"\noutside = \"{outside}\"\nlength = \"{long}\"\nslot = \"3\"\n{lip}"
            ),
        );
    }
    for _ in 0..2 {
        let (long, off) = (draft.pick(&["46", "49", "50", "52"]), draft.pick(&off));
        draft.part("clamp", &format!(
            "bore = \"31.85 +0.1/0\"\noutside = \"44\"\nlength = \"{long} {off}\"\nslot = \"4\"\npinch_heights = [\"12\", \"26\"]\n\
             pinch_key = 5\npinch_thread = \"M6\"\n"
        ));
    }
    for _ in 0..2 {
        let deep = draft.pick(&["2 ±0.05", "3 ±0.05", "6 ±0.05"]);
        draft.part("cap", &format!(
            "outside = \"40\"\nthickness = \"5\"\nhole = \"8.5\"\nspigot_outside = \"31.6 ±0.05\"\nspigot_depth = \"{deep}\"\n"
        ));
    }
    draft.boxes();
    let stock = draft.stock();
    (draft.text, stock)
}

//! Markets made up by number: the parts of a small book copied many times over with other lengths. Knows no search.

use crate::book::Numbers;
use toml::{Table, Value};

/// How the lengths of copies differ.
#[derive(Clone, Copy, PartialEq)]
pub enum Sizes {
    /// In whole and half millimetres: many parts are alike.
    Gridded,
    /// In thousandths: hardly any two parts are alike.
    Distinct,
}

/// A kind, and the parts of the templates that are copied for it.
pub struct Like {
    pub kind: &'static str,
    pub ids: &'static [&'static str],
    /// Only the first of them, as it is.
    pub one: bool,
}

/// What is asked of the market.
#[derive(Clone, Copy)]
pub struct Market {
    /// Of each kind but the fork.
    pub parts: usize,
    pub forks: usize,
    pub sizes: Sizes,
    /// Steerers so much too short that next to nothing goes.
    pub hopeless: bool,
    pub seed: u64,
}

/// Lengths along the axis that differ from copy to copy, and by how much at most, thousandths of a millimetre.
const LENGTHS: [(&str, &str, i64); 14] = [
    ("fork", "steerer_length", 4_000),
    ("deck", "head_tube_length", 3_000),
    ("bearing", "height", 500),
    ("crown-race", "flange_height", 500),
    ("top-cap", "height", 1_500),
    ("spacer", "length", 1_000),
    ("riser", "length", 2_500),
    ("shim", "length", 4_000),
    ("liner", "length", 4_000),
    ("clamp", "length", 3_000),
    ("cap", "spigot_depth", 1_000),
    ("bars", "tube_length", 20_000),
    ("star-nut", "height", 1_000),
    ("bolt", "length", 3_000),
];

/// So much too short, next to nothing of the market makes up for it; of one too long a piece might be cut off.
const HOPELESS: i64 = -45_000;

/// `templates`: files of parts. Copies have no boxes; each is sold loose at a price of its own.
pub fn market(templates: &[&str], kinds: &[Like], market: Market) -> String {
    let mut numbers = Numbers(market.seed);
    let all: Vec<Table> = templates.iter().flat_map(|text| parts(text)).collect();
    let mut made: Vec<Value> = vec![];
    for like in kinds {
        let named = |id: &&str| all.iter().find(|p| p["id"].as_str() == Some(id));
        let of_kind: Vec<&Table> = like.ids.iter().filter_map(named).collect();
        assert_eq!(of_kind.len(), like.ids.len(), "a template of {} is missing", like.kind);
        let count = match (like.kind, like.one) {
            (_, true) => 1,
            ("fork", false) => market.forks,
            _ => market.parts,
        };
        for at in 0..count {
            let mut part = of_kind[at % of_kind.len()].clone();
            let id = format!("{}-{at}", like.kind);
            part.insert("name".into(), Value::String(id.clone()));
            part.insert("id".into(), Value::String(id));
            if !like.one {
                vary(&mut part, like.kind, market, &mut numbers);
            }
            if like.kind != "fork" {
                part.insert("price".into(), Value::String(format!("{}.00", numbers.between(1, 60))));
            }
            made.push(Value::Table(part));
        }
    }
    toml::to_string(&Table::from_iter([("part".to_string(), Value::Array(made))])).unwrap()
}

/// Plain parts of a file, without what ties them to other files.
fn parts(text: &str) -> Vec<Table> {
    let file: Table = text.parse().unwrap();
    let list = file.get("part").and_then(Value::as_array).cloned().unwrap_or_default();
    let tables = list.into_iter().filter_map(|p| p.as_table().cloned());
    let plain = tables.filter(|p| !p.contains_key("revision") && !p.contains_key("column"));
    let bare = |mut p: Table| {
        for tie in ["loose", "price", "on_hand", "box"] {
            p.remove(tie);
        }
        p
    };
    plain.map(bare).collect()
}

fn vary(part: &mut Table, kind: &str, market: Market, numbers: &mut Numbers) {
    for (_, field, most) in LENGTHS.iter().filter(|l| l.0 == kind) {
        let Some(written) = part.get(*field).and_then(Value::as_str).map(str::to_string) else { continue };
        let (size, rest) = written.split_once(' ').unwrap_or((&written, ""));
        let step = if market.sizes == Sizes::Gridded { 500 } else { 1 };
        let off = numbers.between(-most / step, most / step) * step;
        let far = if market.hopeless && kind == "fork" { HOPELESS } else { 0 };
        let um = (size.parse::<f64>().unwrap() * 1000.0).round() as i64 + off + far;
        let value = format!("{}.{:03} {rest}", um / 1000, um % 1000).trim_end().to_string();
        // Threaded over its whole length, it stays so.
        if part.get("thread_length").is_some_and(|thread| thread.as_str() == Some(&written)) {
            part.insert("thread_length".into(), Value::String(value.clone()));
        }
        part.insert(field.to_string(), Value::String(value));
    }
}

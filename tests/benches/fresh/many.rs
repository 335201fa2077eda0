//! Books of any number of guides, made of the demo book's own parts by number: the same number, the same book. Knows neither what
//! goes nor how long anything takes.
//!
//! The first forks are the demo book's. Each round over them adds every fork once more under a name of its own, with another
//! length of its steerer, in a box like its own; so what goes, what does not and what is to be measured first come in shares like
//! the demo book's. Shims, clamps and bars grow more slowly: twice as many forks are made for much the same pieces.
#![allow(dead_code, reason = "each bench uses its own share of this")]

use std::fs;
use std::io;
use std::path::Path;

use benchleaf::base::BookFiles;
use toml::{Table, Value};

use crate::book::{Numbers, files_in};

const SEED: u64 = 18;

/// Before the name of a fork of a later round; with a number once these are used up.
const FIRST_NAMES: [&str; 24] = [
    "Marsh", "Winter", "Little", "Northern", "Grey", "Tide", "Reed", "Moor", "Copse", "Hill", "River",
    "Shore", "Heath", "Dusk", "Dawn", "Frost", "Rain", "Cloud", "Stone", "Sand", "Salt", "Mist", "Summer",
    "Southern",
];

/// What a later piece differs in, and by how much at most, in half millimetres.
const PIECES: [(&str, &str, i64); 3] =
    [("shim", "length", 8), ("clamp", "length", 4), ("bars", "tube_length", 40)];
/// A steerer, in half millimetres.
const STEERER: i64 = 8;

/// So many forks of a later round stand in one file, with their boxes.
const FORKS_IN_A_FILE: usize = 40;

/// At least so many guides, and fewer than one fork more; the demo book's are the fewest. The theme is the program's own.
pub fn many(guides: usize) -> BookFiles {
    let mut files = files_in(Path::new(env!("CARGO_MANIFEST_DIR")), &["content", "parts"]);
    let is_system = |path: &&String| path.starts_with("content/systems/") && path.ends_with(".toml");
    let systems = files.keys().filter(is_system).count();
    let tables: Vec<Table> = files
        .iter()
        .filter(|(path, _)| path.starts_with("parts/") && path.ends_with(".toml"))
        .map(|(_, bytes)| String::from_utf8_lossy(bytes).parse().expect("the demo book"))
        .collect();
    let parts: Vec<Table> = tables.iter().flat_map(|file| list(file, "part")).collect();
    let boxes: Vec<Table> = tables.iter().flat_map(|file| list(file, "box")).collect();
    let forks: Vec<&Table> = parts.iter().filter(|part| text(part, "kind") == "fork").collect();
    let wanted = guides.div_ceil(systems);
    let mut numbers = Numbers(SEED);
    let more: Vec<(Table, Table)> = (forks.len()..wanted)
        .map(|at| another(forks[at % forks.len()], at / forks.len(), &boxes, &mut numbers))
        .collect();
    for (at, some) in more.chunks(FORKS_IN_A_FILE).enumerate() {
        let (parts, boxes) = some.iter().cloned().unzip();
        files.insert(format!("parts/forks/more-{:03}.toml", at + 1), written(parts, boxes));
    }
    let pieces = pieces(&parts, wanted as f64 / forks.len() as f64, &mut numbers);
    if !pieces.is_empty() {
        files.insert("parts/upper/more.toml".to_string(), written(pieces, vec![]));
    }
    files
}

/// The book into a folder, which need not be there.
pub fn put(folder: &Path, files: &BookFiles) -> io::Result<()> {
    for (path, bytes) in files {
        let path = folder.join(path);
        fs::create_dir_all(path.parent().unwrap_or(folder))?;
        fs::write(path, bytes)?;
    }
    Ok(())
}

fn list(file: &Table, key: &str) -> Vec<Table> {
    let list = file.get(key).and_then(Value::as_array);
    list.into_iter().flatten().filter_map(|entry| entry.as_table().cloned()).collect()
}

fn text<'t>(table: &'t Table, key: &str) -> &'t str {
    table.get(key).and_then(Value::as_str).unwrap_or_default()
}

fn set(table: &mut Table, key: &str, text: String) {
    table.insert(key.to_string(), Value::String(text));
}

fn written(parts: Vec<Table>, boxes: Vec<Table>) -> Vec<u8> {
    let values = |all: Vec<Table>| Value::Array(all.into_iter().map(Value::Table).collect());
    let mut file = Table::from_iter([("part".to_string(), values(parts))]);
    if !boxes.is_empty() {
        file.insert("box".to_string(), values(boxes));
    }
    toml::to_string(&file).expect("tables can be written").into_bytes()
}

fn holds(the_box: &Table, id: &str) -> bool {
    let held = the_box.get("holds").and_then(Value::as_array);
    held.into_iter().flatten().any(|held| held.as_str() == Some(id))
}

/// A fork of a later round with its box, by itself where it has none.
fn another(fork: &Table, round: usize, boxes: &[Table], numbers: &mut Numbers) -> (Table, Table) {
    let (mut fork, id, name) = (fork.clone(), text(fork, "id").to_string(), text(fork, "name").to_string());
    let (first, again) = (FIRST_NAMES[(round - 1) % FIRST_NAMES.len()], (round - 1) / FIRST_NAMES.len());
    let number = if again == 0 { String::new() } else { format!(" {}", again + 1) };
    let end = format!("{first}{number}").to_lowercase().replace(' ', "-");
    let new_id = format!("{id}-{end}");
    set(&mut fork, "id", new_id.clone());
    set(&mut fork, "name", format!("{first} {}{number}", name));
    longer(&mut fork, "steerer_length", STEERER, numbers);
    let own = boxes.iter().find(|the_box| holds(the_box, &id)).cloned();
    let mut own = own.unwrap_or_else(|| {
        let holds = Value::Array(vec![Value::String(id.clone())]);
        Table::from_iter([("holds".to_string(), holds)])
    });
    set(&mut own, "id", format!("box-{new_id}"));
    set(&mut own, "name", format!("{first} {}{number} box", name));
    set(&mut own, "price", format!("{}.00", numbers.between(60, 280)));
    if let Some(Value::Array(held)) = own.get_mut("holds") {
        for held in held.iter_mut().filter(|held| held.as_str() == Some(&id)) {
            *held = Value::String(new_id.clone());
        }
    }
    (fork, own)
}

/// As many more shims, clamps and bars as the root of what forks have grown by.
fn pieces(parts: &[Table], grown: f64, numbers: &mut Numbers) -> Vec<Table> {
    let more = (grown.max(1.0).sqrt() - 1.0).round() as usize;
    let mut all = vec![];
    for (kind, field, most) in PIECES {
        let plain = |part: &&Table| text(part, "kind") == kind && !part.contains_key("revision");
        let like: Vec<&Table> = parts.iter().filter(plain).collect();
        for at in 0..more {
            let mut piece = like[numbers.below(like.len())].clone();
            let (id, name) = (text(&piece, "id").to_string(), text(&piece, "name").to_string());
            set(&mut piece, "id", format!("{id}-{}", at + 2));
            set(&mut piece, "name", format!("{} {name} {}", FIRST_NAMES[at % FIRST_NAMES.len()], at + 2));
            set(&mut piece, "price", format!("{}.50", numbers.between(4, 60)));
            piece.remove("loose");
            longer(&mut piece, field, most, numbers);
            all.push(piece);
        }
    }
    all
}

/// Or shorter, by whole half millimetres; as precise as it was.
fn longer(part: &mut Table, field: &str, most: i64, numbers: &mut Numbers) {
    let off = numbers.between(-most, most);
    let before = text(part, field).to_string();
    let (size, rest) = before.split_once(' ').unwrap_or((&before, ""));
    let Ok(size) = size.parse::<f64>() else { return };
    let halves = (size * 2.0).round() as i64 + off;
    let size = format!("{}.{}", halves / 2, if halves % 2 == 0 { 0 } else { 5 });
    set(part, field, format!("{size} {rest}").trim_end().to_string());
}

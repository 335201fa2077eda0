//! Examples from the demo book's own files, as they were when the program was built: nothing is written twice.

use crate::kinds::{Field, FieldType, Kind};
use crate::quantity::Nature;

macro_rules! parts {
    ($($path:literal),* $(,)?) => { [$(include_str!(concat!("../../parts/", $path))),*] };
}

static PARTS: [&str; 12] = parts![
    "forks/standard.toml",
    "forks/slim.toml",
    "forks/others.toml",
    "decks.toml",
    "headset/integrated.toml",
    "headset/spacers.toml",
    "headset/threaded.toml",
    "upper/shims.toml",
    "upper/clamps.toml",
    "upper/caps-and-bolts.toml",
    "upper/bars.toml",
    "boxes.toml",
];

/// The first part of that kind, with its header and all that belongs to it.
pub fn part(kind: &str) -> String {
    let line = format!("\nkind = \"{kind}\"\n");
    let found = all_parts().find(|part| part.contains(&line));
    found.map(|part| format!("[[part]]\n{}\n", part.trim_end())).unwrap_or_default()
}

/// Id and text of the same part without what only a shop says of it (price, material): to be read by itself.
pub fn bare_part(kind: &str) -> Option<(String, String)> {
    let text = part(kind);
    let own =
        |line: &str| ["price", "material", "loose"].iter().any(|f| line.starts_with(&format!("{f} = ")));
    let id = text.lines().find_map(|line| line.strip_prefix("id = \"")?.strip_suffix('"'))?.to_string();
    let lines: Vec<&str> = text.lines().filter(|line| !own(line)).collect();
    Some((id, lines.join("\n") + "\n"))
}

fn all_parts() -> impl Iterator<Item = &'static str> {
    PARTS.iter().flat_map(|text| text.split("[[part]]\n").skip(1))
}

/// The field as some part of the kind has it; else a value of the right form.
pub fn field(kind: &Kind, field: &Field) -> String {
    let of_kind = format!("\nkind = \"{}\"\n", kind.name);
    let start = format!("{} = ", field.name);
    let lines = all_parts().filter(|part| part.contains(&of_kind)).flat_map(str::lines);
    let found = lines.filter_map(|line| line.strip_prefix(&start)).next();
    found.map_or_else(|| made(kind, field), str::to_string)
}

/// In the middle of what is usual for such a field.
fn made(kind: &Kind, field: &Field) -> String {
    let middle = || {
        let (least, most) =
            crate::kinds::usual_size(kind.name, field.name).unwrap_or((10_000_000, 10_000_000));
        (least + (most - least) / 2) / 1_000_000
    };
    match field.what {
        FieldType::Dimension(Nature::Cast) => format!("\"{} ±0.5\"", middle()),
        FieldType::Dimension(_) => format!("\"{} ±0.1\"", middle()),
        FieldType::Dimensions(_) => format!("[\"{} ±0.1\"]", middle()),
        FieldType::Angle => "\"45\"".into(),
        FieldType::Thread => "\"M8\"".into(),
        FieldType::Torque => "\"8 N m\"".into(),
        FieldType::KeySize => "\"5\"".into(),
        FieldType::Flag => "true".into(),
        FieldType::Text => "\"shim\"".into(),
        FieldType::Choice(choices) => format!("\"{}\"", choices.first().unwrap_or(&"")),
        FieldType::Columns => "[[part.column]]".into(),
    }
}

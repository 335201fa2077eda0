//! Every topic, made from the tables. Must not know any of them by name but the ways of writing.

use super::{FORMS, Row, Sort, Topic, examples};
use crate::base::{Holds, Key, Layout, Wanted};
use crate::catalogue::layouts as parts;
use crate::kinds::{self, Field, FieldType, Kind, Need};
use crate::quantity::Nature;
use crate::rules::{CHANGE_PLACES, PLACES, layouts as rules};

/// All of them, sort by sort, each in the order of its table.
pub fn topics() -> Vec<Topic> {
    let mut all = writing();
    all.extend(kinds::all().iter().map(of_kind));
    let (shop, of_parts): (Vec<&Layout>, Vec<&Layout>) =
        parts::ALL.into_iter().partition(|layout| layout.place.contains("shop.toml"));
    all.extend(of_parts.into_iter().chain([&kinds::COLUMN, &kinds::RING]).map(|l| of_layout(l, Sort::Parts)));
    all.extend(shop.into_iter().map(|l| of_layout(l, Sort::Shop)));
    all.extend(rules::ALL.into_iter().map(|l| of_layout(l, Sort::Rules)));
    all
}

/// One topic for each quantity, and one for the places of a sentence.
fn writing() -> Vec<Topic> {
    let mut all: Vec<Topic> = vec![];
    for form in &FORMS {
        // `[[size]]` and `[[thread]]` are entries of rule files.
        let name = format!("{}s", form.of);
        if all.last().is_none_or(|topic| topic.name != name) {
            all.push(Topic {
                name,
                about: format!("ways of writing {}", article(form.of)),
                sort: Sort::Writing,
                header: String::new(),
                place: "wherever one belongs".into(),
                rows: vec![],
                notes: vec![],
                example: String::new(),
            });
        }
        let quoted = toml::Value::from(form.example).to_string();
        let row = Row {
            name: quoted.clone(),
            about: form.about.into(),
            holds: String::new(),
            need: String::new(),
            example: quoted,
        };
        if let Some(topic) = all.last_mut() {
            topic.rows.push(row);
        }
    }
    all.push(places());
    all
}

/// What a place is filled with; empty for one that nobody told here.
pub(super) fn meaning(place: &str) -> &'static str {
    match place {
        "part" => "the name of the part",
        "way" => "which way up it goes on, by a mark that one finds on it",
        "under" => "what it comes to rest on",
        "into" => "the part that it is set in",
        "tool" => "the key or spanner that its bolt takes",
        "torque" => "the maker's torque for that bolt",
        "depth" => "how far below the end of its host it is set",
        "gap" => {
            "how far the step's part can still go down before it meets the fork; without such a part the closing gap"
        }
        "drop" => {
            "the same, read before the part goes on, from what it will rest on: more by as much as the part reaches below that"
        }
        "leastgap" => "the same, of a part that may be the first to meet the fork; in square brackets",
        "window" => "from where to where its height, or the changed size, may be",
        "revision" => "which revision of the part it is",
        "size" => "the size that it is brought to",
        "within" => "how exactly that has to be done",
        "off" => "how much comes off",
        _ => "",
    }
}

fn places() -> Topic {
    let row = |place: &&str| Row {
        name: format!("{{{place}}}"),
        about: meaning(place).into(),
        holds: match (PLACES.contains(place), CHANGE_PLACES.contains(place)) {
            (true, true) => "in a [[step]] or a [[change]]",
            (true, false) => "in a [[step]]",
            _ => "in a [[change]]",
        }
        .into(),
        need: String::new(),
        example: format!("{{{place}}}"),
    };
    let further = CHANGE_PLACES.iter().filter(|place| !PLACES.contains(place));
    Topic {
        name: "place".into(),
        about: "places in the sentences of rule files that are filled in".into(),
        sort: Sort::Writing,
        header: String::new(),
        place: "say, feel and held of a [[step]] or [[change]]".into(),
        rows: PLACES.iter().chain(further).map(row).collect(),
        notes: vec![],
        example: String::new(),
    }
}

fn of_layout(layout: &Layout, sort: Sort) -> Topic {
    let also = layout.also.iter().map(|other| format!("it takes the keys of `{}` as well", other.name));
    let fields = [&parts::PART, &parts::REVISION].iter().any(|with| with.name == layout.name);
    let kind = fields.then(|| "it takes the fields of its kind as well".to_string());
    Topic {
        name: layout.name.into(),
        about: layout.about.into(),
        sort,
        header: layout.header.into(),
        place: layout.place.into(),
        rows: layout.keys.iter().map(key_row).collect(),
        notes: also.chain(kind).collect(),
        example: String::new(),
    }
}

pub(super) fn key_row(key: &Key) -> Row {
    let example = match key.holds {
        Holds::Table(_) | Holds::Tables(_) | Holds::NamedTables(_)
            if key.example.starts_with('[') && !key.example.contains('{') =>
        {
            key.example.to_string()
        }
        _ => format!("{} = {}", key.name, key.example),
    };
    Row {
        name: key.name.into(),
        about: key.about.into(),
        holds: holds(key.holds),
        need: match key.need {
            Wanted::Always => "needed".into(),
            Wanted::May => "may be left out".into(),
            Wanted::Else(value) => format!("left out: {value}"),
            Wanted::Where(case) => format!("where {case}"),
        },
        example,
    }
}

fn holds(holds: Holds) -> String {
    match holds {
        Holds::Text => "a text".into(),
        Holds::Texts => "a text, or a list of texts".into(),
        Holds::Flag => "true or false".into(),
        Holds::Count(u32::MAX) => "a whole number".into(),
        Holds::Count(most) => format!("a whole number to {most}"),
        Holds::Counts(most) => format!("[least, most], whole numbers to {most}"),
        Holds::Length => "a length".into(),
        Holds::LengthOrNone => "a length, or \"none\"".into(),
        Holds::Lengths => "[least, most], lengths".into(),
        Holds::LeastAndMost => "a length, or [least, most]".into(),
        Holds::Size => "a size".into(),
        Holds::Number => "a number".into(),
        Holds::Price => "a price".into(),
        Holds::Choice(choices) => format!("one of: {}", choices.join(", ")),
        Holds::Table(layout) => format!("a table: `{}`", layout.name),
        Holds::Tables(layout) => format!("tables: `{}`", layout.name),
        Holds::TextsOrTables(layout) => format!("a list of texts or of tables: `{}`", layout.name),
        Holds::NamedTables(layout) => format!("names of your own, each with a table: `{}`", layout.name),
        Holds::Sizes => "fields with their sizes".into(),
    }
}

fn of_kind(kind: &Kind) -> Topic {
    let list = |names: Vec<&str>| names.join(", ");
    let mut notes = vec!["it takes the keys of `part` as well".to_string()];
    if !kind.surfaces.is_empty() {
        let surfaces = kind.surfaces.iter().map(|(name, role)| format!("{name} ({})", role.word()));
        notes.push(format!("surfaces for rule files: {}", surfaces.collect::<Vec<_>>().join(", ")));
    }
    if !kind.columns.is_empty() {
        notes.push(format!("columns: {}", list(kind.columns.to_vec())));
    }
    if !kind.marks.is_empty() {
        notes.push(format!("told its way up by: {}", list(kind.marks.to_vec())));
    }
    Topic {
        name: kind.name.into(),
        about: kind.about.into(),
        sort: Sort::Kind,
        header: "[[part]]".into(),
        place: format!("kind = \"{}\"", kind.name),
        rows: kind.fields.iter().map(|field| field_row(kind, field)).collect(),
        notes,
        example: examples::part(kind.name),
    }
}

pub(super) fn field_row(kind: &Kind, field: &Field) -> Row {
    let usual = kinds::usual_size(kind.name, field.name).map(|(least, most)| {
        let mm = |nm: i64| crate::quantity::Length::nm(nm);
        format!("; usual {} to {} mm", mm(least), mm(most))
    });
    Row {
        name: field.name.into(),
        about: format!("{}{}", field.about, usual.unwrap_or_default()),
        holds: field_holds(field.what),
        need: match field.need {
            Need::Required => "needed".into(),
            Need::Optional => "may be left out".into(),
            Need::Together(group) => format!("all or none of: {}", group_of(kind, group)),
            Need::Unless(other, _) => format!("needed where there is no {other}"),
            Need::When(other, value) => format!("where {other} = {value}"),
        },
        example: match field.what {
            FieldType::Columns => examples::field(kind, field),
            _ => format!("{} = {}", field.name, examples::field(kind, field)),
        },
    }
}

fn group_of(kind: &Kind, group: &str) -> String {
    let of = |f: &&Field| matches!(f.need, Need::Together(g) if g == group);
    kind.fields.iter().filter(of).map(|f| f.name).collect::<Vec<_>>().join(", ")
}

fn field_holds(what: FieldType) -> String {
    let nature = |nature: Nature| match nature {
        Nature::Bore => "a bore",
        Nature::Outside => "an outside",
        Nature::Depth => "a depth",
        Nature::Height => "a height",
        Nature::Cast => "cast or cut",
    };
    match what {
        FieldType::Dimension(of) => format!("a size: {}", nature(of)),
        FieldType::Dimensions(of) => format!("a list of sizes: {}", nature(of)),
        FieldType::Angle => "an angle".into(),
        FieldType::Thread => "a thread".into(),
        FieldType::Torque => "a torque".into(),
        FieldType::KeySize => "a length".into(),
        FieldType::Flag => "true or false".into(),
        FieldType::Text => "a text".into(),
        FieldType::Choice(choices) => format!("one of: {}", choices.join(", ")),
        FieldType::Columns => "tables: `column`".into(),
    }
}

fn article(word: &str) -> String {
    let an = word.starts_with(['a', 'e', 'i', 'o', 'u']);
    format!("{} {word}", if an { "an" } else { "a" })
}

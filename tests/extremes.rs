//! Numbers end somewhere: values nobody means in every field of every kind, every length of every rule file, the shop's
//! file, boxes and the stock list. Each is told at its place; none is counted over. Built with overflow checks.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use benchleaf::base::{BookFiles, Problems, Severity, Sources};
use benchleaf::catalogue::{read_catalogue, read_shop};
use benchleaf::compile::{Kept, Which, compile, inspect, pair};
use benchleaf::kinds::{self, FieldType};
use benchleaf::rules::{MOST_SLOTS, read_rules};
use walkdir::WalkDir;

/// No number, or none that is held.
const WITHOUT_END: [&str; 12] = [
    "9223372036854.775 ±0.9",
    "9223372036854.775807",
    "-9223372036854.775808",
    "99999999999999999999999999999999999999999",
    "1000.000001",
    "1e308",
    "5 ±9223372036854.775",
    "5 +9223372036854.775/-9223372036854.775",
    "0.0000001",
    "363123944414.3 in",
    "9223372036854775807/9223372036854775806 in",
    "5 to 9223372036854.775807",
];

/// Numbers that are held, at the ends of what is.
const AT_THE_END: [&str; 7] =
    ["0", "0.000001", "1000", "1000 +0/-1000", "500 ±500", "0 to 1000", "39.370078 in"];

const SHOP: &str = "name = \"Quay Bench\"\ncurrency = \"EUR\"\n";

fn demo(folder: &str) -> BTreeMap<String, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let files = WalkDir::new(root.join(folder)).sort_by_file_name().into_iter().flatten();
    let files = files.filter(|entry| entry.path().extension().is_some_and(|e| e == "toml" || e == "csv"));
    let name = |path: &Path| path.strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/");
    files.map(|entry| (name(entry.path()), fs::read_to_string(entry.path()).unwrap())).collect()
}

fn book<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> BookFiles {
    files.into_iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect()
}

/// Lines of this file on which an error is told. Every problem has a place inside its file.
fn told(problems: &Problems, sources: &Sources, path: &str) -> Vec<usize> {
    let errors = problems.0.iter().filter(|p| p.severity == Severity::Error);
    let places = errors.filter_map(|p| p.places.first());
    let lines = places.filter(|place| sources.get(place.span.file).path == path);
    lines.map(|place| sources.line_column(place.span).0).collect()
}

fn read_parts(parts: &str) -> (Problems, Sources, bool) {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let files = book([("content/shop.toml", SHOP), ("parts/all.toml", parts)]);
    let shop = read_shop(&files, &mut sources, &mut problems).expect("a shop");
    let there = read_catalogue(&files, &shop, &mut sources, &mut problems).is_some();
    (problems, sources, there)
}

#[test]
fn every_field_of_every_kind_tells_what_it_cannot_hold() {
    let mut fields = 0;
    for kind in kinds::all() {
        for value in WITHOUT_END {
            let mut text = format!("[[part]]\nid = \"x\"\nkind = \"{}\"\nname = \"X\"\n", kind.name);
            text.push_str(&format!("price = \"{value}\"\n"));
            let mut lines = vec![5];
            for (at, field) in kind.fields.iter().enumerate() {
                text.push_str(&format!("{} = \"{value}\"\n", field.name));
                if field.what != FieldType::Text {
                    lines.push(at + 6);
                }
            }
            let (problems, sources, _) = read_parts(&text);
            let found = told(&problems, &sources, "parts/all.toml");
            for line in lines {
                // A price of a thousand and a bit is one; so is a field that the value's own words fit.
                let may = line == 5 && value == "1000.000001";
                assert!(may || found.contains(&line), "{} line {line}: {value}\n{text}", kind.name);
            }
            fields += kind.fields.len();
        }
    }
    assert!(fields / WITHOUT_END.len() >= 100, "{fields}");
}

#[test]
fn the_sizes_of_raw_columns_end_where_all_others_do() {
    for value in WITHOUT_END {
        for name in ["start", "length", "bore", "outside", "bore_angle", "outside_bottom"] {
            let mut column = String::from("start = \"0\"\n");
            let mut ring = String::from("length = \"50\"\nbore = \"25.5\"\noutside = \"31.8\"\n");
            match name {
                "start" => column = format!("start = \"{value}\"\n"),
                "bore_angle" => {
                    ring = ring.replace(
                        "bore = ",
                        &format!("bore_angle = \"{value}\"\nbore_opens = \"wider\"\nbore_top = "),
                    );
                }
                "outside_bottom" => {
                    let cone = format!(
                        "outside_bottom = \"{value}\"\noutside_angle = \"45\"\noutside_opens = \"wider\""
                    );
                    ring = ring.replace("outside = \"31.8\"", &cone);
                }
                _ => {
                    let lines = ring.lines().map(|l| match l.starts_with(&format!("{name} = ")) {
                        true => format!("{name} = \"{value}\"\n"),
                        false => format!("{l}\n"),
                    });
                    ring = lines.collect();
                }
            }
            let text = format!(
                "[[part]]\nid = \"x\"\nkind = \"custom\"\nname = \"X\"\nstands_as = \"shim\"\n[[part.column]]\nname = \"body\"\n\
                 {column}[[part.column.ring]]\n{ring}"
            );
            let line = text.lines().position(|l| l.contains(value)).expect("the value") + 1;
            let (problems, sources, _) = read_parts(&text);
            assert!(told(&problems, &sources, "parts/all.toml").contains(&line), "{name}: {value}\n{text}");
        }
    }
}

/// Values in quotes that begin with a digit, by byte ranges of what stands between the quotes.
fn numbers(text: &str) -> Vec<std::ops::Range<usize>> {
    let quotes: Vec<usize> = text.match_indices('"').map(|(at, _)| at).collect();
    let pairs = quotes.windows(2).map(|w| w[0] + 1..w[1]);
    let plain = |t: &str| t.starts_with(|c: char| c.is_ascii_digit()) && t.len() < 30 && !t.contains("tpi");
    pairs.filter(|at| text.get(at.clone()).is_some_and(plain)).collect()
}

fn with(text: &str, at: &std::ops::Range<usize>, value: &str) -> (String, usize) {
    let line = text[..at.start].matches('\n').count() + 1;
    (format!("{}{value}{}", &text[..at.start], &text[at.end..]), line)
}

#[test]
fn every_length_of_every_rule_file_tells_what_it_cannot_hold() {
    let files = demo("content");
    let rules: Vec<&String> =
        files.keys().filter(|path| path.contains("/systems/") || path.contains("/headsets/")).collect();
    let mut lengths = 0;
    for path in rules {
        let text = &files[path];
        for at in numbers(text) {
            lengths += 1;
            for value in WITHOUT_END.into_iter().chain(AT_THE_END) {
                let (changed, line) = with(text, &at, value);
                let mut book = book(files.iter().map(|(p, t)| (p.as_str(), t.as_str())));
                book.insert(path.clone(), changed.into_bytes());
                let (mut sources, mut problems) = (Sources::default(), Problems::default());
                read_rules(&book, &mut sources, &mut problems);
                let found = told(&problems, &sources, path);
                let needs = WITHOUT_END.contains(&value);
                assert!(!needs || found.contains(&line), "{path}:{line}: {value} for {}", &text[at.clone()]);
            }
        }
    }
    assert!(lengths > 100, "{lengths}");
}

/// Every part of the demo book with each of its values at the ends of what is held: a shape, or a message.
#[test]
fn every_value_of_a_part_may_stand_at_the_end_of_what_is_held() {
    let mut tried = 0;
    let mut kinds_seen: BTreeMap<String, usize> = BTreeMap::new();
    for text in demo("parts").values() {
        for part in text.split("[[part]]").skip(1) {
            let kind = part.lines().find_map(|l| l.strip_prefix("kind = ")).unwrap_or("").to_string();
            let count = kinds_seen.entry(kind).or_default();
            *count += 1;
            if *count > 3 {
                continue;
            }
            let part = part.split("[[box]]").next().unwrap_or("");
            let part: String =
                part.lines().filter(|l| !l.starts_with("material")).map(|l| format!("{l}\n")).collect();
            let part = format!("[[part]]{part}");
            for at in numbers(&part) {
                for value in AT_THE_END {
                    let (changed, line) = with(&part, &at, value);
                    let (problems, sources, there) = read_parts(&changed);
                    assert!(there || problems.any_error());
                    for problem in &problems.0 {
                        let span = problem.places.first().expect("a place").span;
                        assert!(sources.line_column(span).0 >= 1, "{line}");
                    }
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 2_000, "{tried}");
}

/// The one good book with each length of its rules, and each size of its parts, at the ends: answered, or told.
#[test]
fn a_whole_answer_survives_lengths_at_the_end_of_what_is_held() {
    let files: BTreeMap<String, String> = demo("tests/good/plain")
        .into_iter()
        .map(|(path, text)| (path.replace("tests/good/plain/", ""), text))
        .collect();
    let mut answered = 0;
    for (path, text) in &files {
        for at in numbers(text) {
            for value in AT_THE_END {
                let (changed, _) = with(text, &at, value);
                let mut book = book(files.iter().map(|(p, t)| (p.as_str(), t.as_str())));
                book.insert(path.clone(), changed.into_bytes());
                match pair(&book, &Kept::default(), Which::All) {
                    Ok(paired) => answered += paired.len(),
                    Err(compiled) => assert!(compiled.problems.any_error(), "{path} {value}"),
                }
            }
        }
    }
    assert!(answered > 10, "{answered}");
}

#[test]
fn the_shops_own_numbers_boxes_and_stock_end_somewhere() {
    for value in ["99999999999999999999", "-1", "1e9", "9223372036854775807", "0x7fffffffffffffff"] {
        let shop = format!(
            "{SHOP}[caliper]\noutside = \"{value}\"\ninside = \"{value}\"\ndepth = \"{value}\"\n[bolts]\n\
             torque_factor = \"{value}\"\nproof_fraction = \"{value}\"\n[materials]\nsteel = {{ strength = {} }}\n",
            value.trim_start_matches('-').replace("1e9", "1000000000")
        );
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        assert!(read_shop(&book([("content/shop.toml", &*shop)]), &mut sources, &mut problems).is_none());
        let found = told(&problems, &sources, "content/shop.toml");
        for line in [4, 5, 6, 8, 9, 11] {
            assert!(found.contains(&line), "{value}: {line} of {shop}");
        }
    }
    let parts = "[[part]]\nid = \"a\"\nkind = \"spacer\"\nname = \"A\"\nbore = \"28.7\"\noutside = \"36\"\nlength = \"5\"\n\
                 [[box]]\nid = \"b\"\nname = \"B\"\nholds = [{ part = \"a\", count = 4294967296 }]\n\
                 price = \"99999999999999999999\"\n";
    let stock = "id;price;on_hand\na;99999999999999999999;99999999999999999999\n";
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let files = book([("content/shop.toml", SHOP), ("parts/all.toml", parts), ("parts/stock.csv", stock)]);
    let shop = read_shop(&files, &mut sources, &mut problems).expect("a shop");
    assert!(read_catalogue(&files, &shop, &mut sources, &mut problems).is_none());
    let found = told(&problems, &sources, "parts/all.toml");
    assert!(found.contains(&11) && found.contains(&12), "{problems:?}");
    assert!(told(&problems, &sources, "parts/stock.csv").contains(&2), "{problems:?}");
}

/// The good book with so many slots in its rule file; those that are more than it has are for washers it does not have.
fn with_slots(count: usize) -> BookFiles {
    let files = demo("tests/good/plain");
    let extra: String = (0..count - 3)
        .map(|n| {
            format!(
                "[[slot]]\nname = \"washer-{n}\"\nkinds = [\"washer\"]\ncount = [0, 1]\nput_on = \"from-above\"\nrests_on = [\"*\"]\n\
                 [[sleeve]]\nouter = \"washer-{n}.bore\"\ninner = [\"fork.steerer\"]\nclearance = [\"0\", \"1\"]\noverlap = \"none\"\n\
                 [[step]]\nid = \"washer-{n}\"\nslot = \"washer-{n}\"\nreach = \"above\"\nsay = \"Slide the {{part}} on.\"\n"
            )
        })
        .collect();
    files
        .iter()
        .map(|(path, text)| {
            let path = path.replace("tests/good/plain/", "");
            let text = if path.contains("systems") { format!("{text}{extra}") } else { text.clone() };
            (path, text.into_bytes())
        })
        .collect()
}

#[test]
fn a_rule_of_as_many_slots_as_there_may_be_is_answered_and_one_more_is_told() {
    let paired = pair(&with_slots(MOST_SLOTS), &Kept::default(), Which::All)
        .unwrap_or_else(|c| panic!("{:?}", c.problems));
    assert_eq!(paired.len(), 1);
    let plain =
        pair(&with_slots(3), &Kept::default(), Which::All).unwrap_or_else(|c| panic!("{:?}", c.problems));
    let verdict = |json: &str| serde_json::from_str::<serde_json::Value>(json).unwrap()["verdict"].clone();
    assert_eq!(verdict(&paired[0].json), verdict(&plain[0].json));
    let (problems, _) = inspect(&with_slots(MOST_SLOTS + 1));
    let codes: Vec<&str> = problems.0.iter().map(|p| p.code).collect();
    assert_eq!(codes, ["slots-many"]);
}

#[test]
fn a_value_out_of_the_ordinary_is_told_by_inspect_and_compile_and_stops_neither() {
    let mut files = with_slots(3);
    let forks = String::from_utf8(files["parts/forks.toml"].clone()).unwrap();
    files.insert("parts/forks.toml".to_string(), forks.replace("\"150\"", "\"55 ±0.1\"").into_bytes());
    let (problems, _) = inspect(&files);
    let told: Vec<_> = problems.0.iter().map(|p| (p.code, p.severity)).collect();
    assert_eq!(told, [("value-unusual", Severity::Warning)]);
    let compiled = compile(&files, &|_| ());
    assert_eq!(compiled.problems, problems);
    assert!(!compiled.pages.is_empty());
}

#[test]
fn nothing_in_the_demo_book_is_out_of_the_ordinary() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = BookFiles::new();
    for folder in ["content", "parts", "themes"] {
        for entry in WalkDir::new(root.join(folder)).into_iter().flatten().filter(|e| e.file_type().is_file())
        {
            let path = entry.path().strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/");
            files.insert(path, fs::read(entry.path()).unwrap());
        }
    }
    let (problems, _) = inspect(&files);
    assert!(problems.0.is_empty(), "{problems:?}");
}

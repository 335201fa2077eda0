//! Books changed as a slip, a hurry or malice changes them, each from a number: any file, one to three changes. Knows what
//! an entry, a key and a value are, and nothing of what they mean.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use std::ops::Range;

use benchleaf::base::BookFiles;

use crate::book::Numbers;

/// Values that nobody means.
const ODD: [&str; 26] = [
    "",
    "0",
    "-1",
    "1",
    "1e308",
    "NaN",
    "inf",
    "0.000001",
    "1000",
    "99999999999999999999",
    "9223372036854.775807",
    "-9223372036854775808",
    "5 ±1000",
    "28.6 +0/-2",
    "28.6 +0/-1.1",
    "1 to 400",
    "1-1/8 in",
    "45 cm",
    "45°",
    "h9",
    "\\u0000",
    "\\u202Eabc",
    "<script>x()</script>",
    "{{ root }}",
    "../../x",
    "con",
];

const UNITS: [&str; 8] = [" in", " mm", " cm", " m", "°", " µm", " measured", " h9"];

const OFF: [&str; 9] =
    [" ±0", " ±0.2", " ±1", " ±5", " +0/-2", " +1.1/0", " +0.5/+0.6", " -0.1/+0.1", " ±99"];

const ODD_LINES: [&str; 6] =
    ["[[part]]", "= = =", "\"\"\"", "id = \"index\"", "[a.b.c", "\u{feff}\u{200b}x = 1"];

/// The book with some changes, and what was done.
pub fn mutated(book: &BookFiles, seed: u64) -> (BookFiles, Vec<String>) {
    let mut numbers = Numbers(seed.wrapping_mul(0x9E37_79B9).wrapping_add(7));
    let mut files = book.clone();
    let mut done = vec![];
    for _ in 0..[1, 1, 1, 2, 3][numbers.below(5)] {
        let path = any_path(&files, &mut numbers);
        done.push(change(&mut files, &path, &mut numbers));
    }
    (files, done)
}

/// Kinds of files come as often, however many of them there are.
fn any_path(files: &BookFiles, numbers: &mut Numbers) -> String {
    let places = [
        "parts/",
        "parts/",
        "parts/",
        "content/systems/",
        "content/systems/",
        "content/shop.toml",
        "content/words/",
        "content/headsets/",
        "content/pages/",
        "content/safety/",
        "themes/",
        "",
    ];
    let place = places[numbers.below(places.len())];
    let there: Vec<&String> = files.keys().filter(|path| path.starts_with(place)).collect();
    match there.len() {
        0 => files.keys().next().cloned().unwrap_or_default(),
        count => there[numbers.below(count)].clone(),
    }
}

fn change(files: &mut BookFiles, path: &str, numbers: &mut Numbers) -> String {
    if numbers.one_in(40) {
        return change_of_files(files, path, numbers);
    }
    let text = String::from_utf8_lossy(files.get(path).map_or(&[], Vec::as_slice)).into_owned();
    let data = path.ends_with(".toml") || path.ends_with(".csv");
    let (what, changed) = match numbers.below(if data { 20 } else { 4 }) {
        0 => bytes(&text, numbers),
        1 | 2 => lines(&text, numbers),
        3 if data => keys(&text, numbers),
        3 => lines(&text, numbers),
        4..=6 => entries(&text, files, numbers),
        _ => value(&text, path, numbers),
    };
    files.insert(path.to_string(), changed);
    format!("{path}: {what}")
}

/// A file that is gone, empty, twice there or named otherwise.
fn change_of_files(files: &mut BookFiles, path: &str, numbers: &mut Numbers) -> String {
    let bytes = files.remove(path).unwrap_or_default();
    let ending = path.rsplit('.').next().unwrap_or("toml");
    match numbers.below(5) {
        0 => format!("{path} is gone"),
        1 => {
            files.insert(path.to_string(), vec![]);
            format!("{path} is empty")
        }
        2 => {
            let twin = path.replace(&format!(".{ending}"), &format!("-2.{ending}"));
            files.insert(twin, bytes.clone());
            files.insert(path.to_string(), bytes);
            format!("{path} is there twice")
        }
        3 => {
            let odd =
                ["content/pages/ä b.md", "parts/CON.toml", "content/systems/a.b.toml", "themes/bench/x.html"];
            let named = odd[numbers.below(odd.len())];
            files.insert(named.to_string(), bytes);
            format!("{path} is named {named}")
        }
        _ => {
            let twice: Vec<u8> = [&bytes[..], b"\n", &bytes[..]].concat();
            files.insert(path.to_string(), twice);
            format!("{path} says everything twice")
        }
    }
}

/// Cut anywhere, or with bytes that are no text.
fn bytes(text: &str, numbers: &mut Numbers) -> (String, Vec<u8>) {
    let mut bytes = text.as_bytes().to_vec();
    let at = numbers.below(bytes.len() + 1);
    match numbers.below(3) {
        0 => bytes.truncate(at),
        1 => bytes.insert(at, [0, 0xff, 0xc3, b'"', b'\\', b'{', b'%'][numbers.below(7)]),
        _ if at < bytes.len() => bytes[at] ^= 1 << numbers.below(8),
        _ => bytes.push(b'['),
    }
    (format!("bytes at {at}"), bytes)
}

fn lines(text: &str, numbers: &mut Numbers) -> (String, Vec<u8>) {
    let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
    let at = numbers.below(lines.len().max(1));
    if lines.is_empty() {
        return ("a line more".to_string(), b"x\n".to_vec());
    }
    let what = match numbers.below(5) {
        0 => {
            lines.remove(at);
            "without line"
        }
        1 => {
            let chars: Vec<char> = lines[at].chars().collect();
            lines[at] = chars[..numbers.below(chars.len() + 1)].iter().collect();
            "cut line"
        }
        2 => {
            let line = lines[at].clone();
            lines.insert(at, line);
            "twice line"
        }
        3 => {
            let other = numbers.below(lines.len());
            lines.swap(at, other);
            "changed places of line"
        }
        _ => {
            lines.insert(at, ODD_LINES[numbers.below(ODD_LINES.len())].to_string());
            "an odd line before line"
        }
    };
    (format!("{what} {}", at + 1), (lines.join("\n") + "\n").into_bytes())
}

/// A key misspelt, or another's.
fn keys(text: &str, numbers: &mut Numbers) -> (String, Vec<u8>) {
    let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
    let keyed: Vec<usize> = (0..lines.len()).filter(|&at| key(&lines[at]).is_some()).collect();
    if keyed.is_empty() {
        return bytes(text, numbers);
    }
    let at = keyed[numbers.below(keyed.len())];
    let own = key(&lines[at]).unwrap_or_default().to_string();
    let new = match numbers.below(3) {
        0 => key(&lines[keyed[numbers.below(keyed.len())]]).unwrap_or_default().to_string(),
        1 => own.chars().rev().collect(),
        _ => own[..own.len() - 1].to_string(),
    };
    lines[at] = lines[at].replacen(&own, &new, 1);
    (format!("line {}: {own} is called {new}", at + 1), (lines.join("\n") + "\n").into_bytes())
}

fn key(line: &str) -> Option<&str> {
    let (key, _) = line.split_once('=')?;
    let key = key.trim();
    (!key.is_empty() && key.is_ascii() && !key.starts_with('#')).then_some(key)
}

/// Where each entry of a file is: from a line that begins one to the next such line.
fn entries_of(text: &str) -> Vec<Range<usize>> {
    let mut begins: Vec<usize> = vec![];
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        if line.starts_with('[') {
            begins.push(at);
        }
        at += line.len();
    }
    begins.push(text.len());
    begins.windows(2).map(|w| w[0]..w[1]).collect()
}

/// An entry dropped, repeated, moved, or taken from another file.
fn entries(text: &str, files: &BookFiles, numbers: &mut Numbers) -> (String, Vec<u8>) {
    let all = entries_of(text);
    if all.is_empty() {
        return lines(text, numbers);
    }
    let at = all[numbers.below(all.len())].clone();
    let to = all[numbers.below(all.len())].start;
    let (before, own, after) = (&text[..at.start], &text[at.clone()], &text[at.end..]);
    let (what, changed) = match numbers.below(4) {
        0 => ("dropped", format!("{before}{after}")),
        1 => ("twice", format!("{before}{own}\n{own}{after}")),
        2 => {
            let rest = format!("{before}{after}");
            let to = if to > at.start { to.saturating_sub(own.len()).max(at.start) } else { to };
            ("moved", format!("{}{own}{}", &rest[..to], &rest[to..]))
        }
        _ => {
            let others: Vec<&Vec<u8>> =
                files.iter().filter(|(path, _)| path.ends_with(".toml")).map(|(_, bytes)| bytes).collect();
            let other = String::from_utf8_lossy(others[numbers.below(others.len().max(1))]).into_owned();
            let theirs = entries_of(&other);
            let theirs = match theirs.len() {
                0 => "",
                count => &other[theirs[numbers.below(count)].clone()],
            };
            ("joined by another file's", format!("{}{theirs}\n{}", &text[..to], &text[to..]))
        }
    };
    let line = text[..at.start].matches('\n').count() + 1;
    (format!("entry of line {line} {what}"), changed.into_bytes())
}

/// What stands between quotes, and numbers and words without; cells of a table.
fn values_of(text: &str, path: &str) -> Vec<Range<usize>> {
    let mut found = vec![];
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let begin = match path.ends_with(".csv") {
            true => Some(0),
            false => line.split_once('=').map(|(key, _)| key.len() + 1),
        };
        let Some(begin) = begin.filter(|_| !line.starts_with('#')) else {
            at += line.len();
            continue;
        };
        let mut word: Option<usize> = None;
        for (inner, letter) in line[begin..].char_indices() {
            let inner = at + begin + inner;
            let ends = if path.ends_with(".csv") {
                ",;\r\n".contains(letter)
            } else {
                "\"[]{},\r\n#".contains(letter)
            };
            if !ends {
                word = word.or(Some(inner));
            } else if let Some(from) = word.take() {
                let trimmed = text[from..inner].trim();
                let from = from + text[from..inner].find(trimmed).unwrap_or(0);
                if !trimmed.is_empty() && !trimmed.ends_with('=') {
                    found.push(from..from + trimmed.len());
                }
            }
        }
        at += line.len();
    }
    found
}

fn value(text: &str, path: &str, numbers: &mut Numbers) -> (String, Vec<u8>) {
    let all = values_of(text, path);
    if all.is_empty() {
        return lines(text, numbers);
    }
    let at = all[numbers.below(all.len())].clone();
    let old = &text[at.clone()];
    let new = match numbers.below(8) {
        0 => text[all[numbers.below(all.len())].clone()].to_string(),
        1 => format!("{old}{}", UNITS[numbers.below(UNITS.len())]),
        2 => format!("{}{}", old.split(' ').next().unwrap_or(old), OFF[numbers.below(OFF.len())]),
        3 => ODD[numbers.below(ODD.len())].to_string(),
        4 => old.replacen('.', "", 1) + if old.contains('.') { "" } else { "0" },
        _ => slipped(old, numbers),
    };
    let line = text[..at.start].matches('\n').count() + 1;
    let changed = format!("{}{new}{}", &text[..at.start], &text[at.end..]);
    (format!("line {line}: {old:?} is {new:?}"), changed.into_bytes())
}

/// One letter or digit less, more, another, or two changed places; of a number the point moved.
fn slipped(old: &str, numbers: &mut Numbers) -> String {
    let mut letters: Vec<char> = old.chars().collect();
    let at = numbers.below(letters.len());
    let digit = char::from(b'0' + numbers.below(10) as u8);
    match numbers.below(5) {
        0 => {
            letters.remove(at);
        }
        1 => letters.insert(at, digit),
        2 => letters[at] = digit,
        3 if at > 0 => letters.swap(at - 1, at),
        _ => letters.insert(at, '.'),
    }
    letters.into_iter().collect()
}

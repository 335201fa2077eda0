//! Every drawing of a compiled site, parsed back from its pages: metal against the numbers in `data/pairings.json`,
//! hatching of parts that touch, sheets, letters, labels. Reads the site alone and knows no rule of drawing.
//!
//! `BENCHLEAF_SITE` names a compiled site; without it the demo book is compiled first.

use crate::legible;

use benchleaf::base::BookFiles;
use legible::{check_clear, check_sheet, paths, radii_at, with_class};
use roxmltree::{Document, Node};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use walkdir::WalkDir;

/// Millimetres that a drawn wall may be off.
const NEAR: f64 = 0.01;

type Files = BTreeMap<String, String>;

fn texts(root: &Path, folders: &[&str]) -> BookFiles {
    let files = folders.iter().flat_map(|f| WalkDir::new(root.join(f)).sort_by_file_name()).flatten();
    let files = files.filter(|f| f.file_type().is_file());
    let name = |path: &Path| path.strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/");
    files.map(|f| (name(f.path()), std::fs::read(f.path()).unwrap())).collect()
}

/// Guide and part pages and the data, by their path in the site.
fn site() -> Files {
    let wanted = |path: &str| {
        path.starts_with("guides/") || path.starts_with("parts/") || path.ends_with("pairings.json")
    };
    let all: BookFiles = match std::env::var_os("BENCHLEAF_SITE") {
        Some(folder) => texts(&PathBuf::from(folder), &["guides", "parts", "data"]),
        None => {
            let book = texts(Path::new(env!("CARGO_MANIFEST_DIR")), &["content", "parts", "themes"]);
            benchleaf::compile::compile(&book, &|_| {}).pages.into_iter().collect()
        }
    };
    let text = |(path, bytes): (String, Vec<u8>)| (path, String::from_utf8(bytes).unwrap());
    all.into_iter().filter(|(path, _)| wanted(path)).map(text).collect()
}

fn drawings(page: &str) -> Vec<&str> {
    let starts = page.match_indices("<svg").map(|(at, _)| &page[at..]);
    let whole = starts.map(|rest| &rest[..rest.find("</svg>").unwrap() + 6]);
    whole.filter(|svg| svg.contains("data-drawing=\"")).collect()
}

fn mm(length: &Value) -> f64 {
    length["nominal"].as_i64().unwrap() as f64 / 1e6
}

/// One ring as the data has it: heights, bore and outside radii at both.
struct Ring {
    bottom: f64,
    top: f64,
    bore: [f64; 2],
    outside: [f64; 2],
}

/// Column by column, at its height.
fn rings(placed: &Value) -> Vec<(String, Vec<Ring>)> {
    let columns = placed["half_section"].as_array().unwrap().iter().map(|column| {
        let mut bottom = mm(&placed["landing"]) + mm(&column["start"]);
        let rings = column["segments"].as_array().unwrap().iter().map(|segment| {
            let top = bottom + mm(&segment["length"]);
            let radii = |wall: &str| [0, 1].map(|end| mm(&segment[wall][end]) / 2.0);
            let ring = Ring { bottom, top, bore: radii("bore"), outside: radii("outside") };
            bottom = top;
            ring
        });
        (column["column"].as_str().unwrap().to_string(), rings.collect())
    });
    columns.collect()
}

fn fact(node: Node, name: &str) -> f64 {
    node.attribute(name).map_or(0.0, |v| v.parse().unwrap())
}

/// Every wall of every outline in a drawing, at three heights a ring, brought back to its place; how many.
fn check_metal(doc: &Document, answer: &Value, what: &str) -> usize {
    let mut compared = 0;
    for group in doc.descendants().filter(|n| n.has_attribute("data-item")) {
        let name = group.attribute("data-item").unwrap();
        let placed = answer["placed"].as_array().unwrap().iter().find(|p| p["item"] == name);
        let placed = placed.unwrap_or_else(|| panic!("{what}: {name} is not in the data"));
        assert_eq!(group.attribute("data-part"), placed["part"].as_str(), "{what}: {name}");
        assert_eq!(group.attribute("data-slot"), placed["slot"].as_str(), "{what}: {name}");
        let (lift, aside) = (fact(group, "data-lift"), fact(group, "data-aside"));
        // What is drawn upside down has its heights below nothing.
        let way = if group.has_attribute("data-upside-down") { -1.0 } else { 1.0 };
        let columns = rings(placed);
        for path in group.children().filter(|n| n.has_attribute("data-column")) {
            let (outline, closed) = paths(path.attribute("d").unwrap()).remove(0);
            assert!(closed, "{what}: {name}");
            let home: Vec<(f64, f64)> = outline.iter().map(|(x, y)| (x - aside, way * (y + lift))).collect();
            let column = columns.iter().find(|c| path.attribute("data-column") == Some(&c.0)).unwrap();
            let broken = path.attribute("data-broken").unwrap_or("");
            let (low, high) = home.iter().fold((f64::MAX, f64::MIN), |(l, h), p| (l.min(-p.1), h.max(-p.1)));
            let (bottom, top) = (column.1[0].bottom, column.1[column.1.len() - 1].top);
            let (foot, head) = if way < 0.0 { ("top", "bottom") } else { ("bottom", "top") };
            assert!(broken.contains(foot) || (low - bottom).abs() < NEAR, "{what}: {name} begins at {low}");
            assert!(broken.contains(head) || (high - top).abs() < NEAR, "{what}: {name} ends at {high}");
            for ring in &column.1 {
                for share in [0.1, 0.5, 0.9] {
                    let height = ring.bottom + (ring.top - ring.bottom) * share;
                    if ring.top - ring.bottom < 0.05 || height <= low + NEAR || height >= high - NEAR {
                        continue;
                    }
                    let at = |wall: [f64; 2]| wall[0] + (wall[1] - wall[0]) * share;
                    let (bore, outside) = (at(ring.bore), at(ring.outside));
                    let drawn = radii_at(&home, height);
                    let cut = broken.contains("side") && drawn.last().is_some_and(|&o| o < outside);
                    let near = |a: f64, b: f64| (a - b).abs() < NEAR;
                    let right = drawn.len() == 2 && near(drawn[0], bore) && (cut || near(drawn[1], outside));
                    assert!(right, "{what}: {name} at {height}: {bore} to {outside} is drawn {drawn:?}");
                    compared += 1;
                }
            }
        }
    }
    compared
}

/// Direction and field, or direction and written-out pitch, of each hatched part.
fn hatchings(doc: &Document) -> BTreeMap<String, String> {
    let groups = doc.descendants().filter(|n| n.has_attribute("data-item"));
    let told = groups.filter_map(|group| {
        let own = group.children().find(|n| n.attribute("class").is_some_and(|c| c.starts_with("hatch")))?;
        let how = match own.first_element_child() {
            Some(field) => field.attribute("href")?.to_string(),
            None => written_out(own, fact(doc.root_element(), "data-scale"))?,
        };
        Some((group.attribute("data-item").unwrap().to_string(), how))
    });
    told.collect()
}

/// The name that the page's own field of the same hatching has.
fn written_out(own: Node, scale: f64) -> Option<String> {
    let rising = own.attribute("class")?.contains("rising");
    let slope = if rising { 1.0 } else { -1.0 };
    let lines = paths(own.attribute("d")?);
    let mut offsets: Vec<f64> = lines.iter().map(|(p, _)| -p[0].1 - slope * p[0].0).collect();
    offsets.sort_by(f64::total_cmp);
    let steps = offsets.windows(2).map(|w| w[1] - w[0]).filter(|s| *s > 0.1);
    let pitch = steps.fold(f64::MAX, f64::min) * scale / std::f64::consts::SQRT_2;
    let known = [1.1, 1.5, 2.2, 3.0].iter().position(|p| (p - pitch).abs() < 0.1);
    let way = if rising { "rising" } else { "falling" };
    match known {
        Some(index) => Some(format!("#hatch-{}-{way}", index + 1)),
        None => (pitch < 100.0).then(|| format!("{pitch:.1} {way}")),
    }
}

/// Parts whose metal meets are never hatched alike; how many pairs meet.
fn check_hatching(doc: &Document, answer: &Value, what: &str) -> usize {
    let hatched = hatchings(doc);
    let placed: Vec<(&str, Vec<Ring>)> = answer["placed"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|p| !p["landing"].is_null())
        .map(|p| (p["item"].as_str().unwrap(), rings(p).into_iter().flat_map(|c| c.1).collect()))
        .collect();
    let meet = |a: &Ring, b: &Ring| {
        let along = a.top.min(b.top) - a.bottom.max(b.bottom);
        let least = |wall: [f64; 2]| wall[0].min(wall[1]);
        let most = |wall: [f64; 2]| wall[0].max(wall[1]);
        let across = most(a.outside).min(most(b.outside)) - least(a.bore).max(least(b.bore));
        along > -0.05 && across > -0.05
    };
    let mut pairs = 0;
    for (i, (a, own)) in placed.iter().enumerate() {
        for (b, other) in &placed[..i] {
            let (Some(one), Some(two)) = (hatched.get(*a), hatched.get(*b)) else { continue };
            if own.iter().any(|p| other.iter().any(|q| meet(p, q))) {
                assert_ne!(one, two, "{what}: {a} and {b} are hatched alike");
                pairs += 1;
            }
        }
    }
    pairs
}

fn has_gap(answer: &Value) -> bool {
    let mut checks = answer["checks"].as_array().unwrap().iter();
    checks.any(|check| check["check"] == "closing-gap" && !check["value"].is_null())
}

/// The answers of a guide in the order of its page.
fn answers(pairing: &Value) -> Vec<&Value> {
    match pairing["revisions"].as_array() {
        Some(own) if !own.is_empty() => own.iter().collect(),
        _ => vec![pairing],
    }
}

/// Verdict, and each part with its way up.
fn plan(answer: &Value) -> Vec<&Value> {
    let placed = answer["placed"].as_array().unwrap().iter();
    placed.flat_map(|p| [&p["item"], &p["part"], &p["way_up"]]).chain([&answer["verdict"]]).collect()
}

#[test]
#[ignore = "a long run: the whole demo book is compiled, some minutes"]
fn every_drawing_of_the_site_is_true_and_can_be_read() {
    let files = site();
    let data: Value = serde_json::from_str(&files["data/pairings.json"]).unwrap();
    let pairings = data.as_array().or_else(|| data["pairings"].as_array()).unwrap();
    let (mut walls, mut pairs, mut labels, mut drawn, mut largest, mut heaviest) = (0, 0, 0, 0, 0, 0);
    for pairing in pairings {
        let path = format!(
            "guides/{}/{}.html",
            pairing["fork"].as_str().unwrap(),
            pairing["system"].as_str().unwrap()
        );
        let all = drawings(&files[&path]);
        heaviest = heaviest.max(all.iter().map(|svg| svg.len()).sum());
        let steps = files[&path].matches("<p class=\"say\">").count();
        let pictured = all.iter().filter(|svg| svg.contains("data-drawing=\"step\"")).count();
        assert_eq!(pictured, steps, "{path}: each step has its picture");
        let answers = answers(pairing);
        // An answer's first drawing is its section.
        let mut answer = usize::MAX;
        for (index, svg) in all.iter().enumerate() {
            let what = format!("{path}, drawing {}", index + 1);
            let doc = Document::parse(svg).unwrap_or_else(|e| panic!("{what}: {e}"));
            let sort = doc.root_element().attribute("data-drawing").unwrap();
            answer = if sort == "assembled" { answer.wrapping_add(1) } else { answer };
            let own = answers[answer];
            check_sheet(svg);
            labels += check_clear(svg, &what);
            walls += check_metal(&doc, own, &what);
            if sort == "assembled" && own["verdict"] != "no" && has_gap(own) {
                assert!(
                    svg.contains("data-size=\"closing-gap\""),
                    "{what}: the closing gap has its dimension"
                );
            }
            if sort != "step" {
                pairs += check_hatching(&doc, own, &what);
            }
            let words = doc.descendants().find(|n| n.has_tag_name("desc")).and_then(|n| n.text());
            assert!(words.is_some_and(|w| !w.trim().is_empty()), "{what}: told in words");
            largest = largest.max(svg.len());
            drawn += 1;
        }
        let told = answer.wrapping_add(1);
        // Revisions that come to one plan are told once, with the section of the first.
        let once = told == 1 && answers.iter().all(|other| plan(other) == plan(answers[0]));
        assert!(once || told == answers.len(), "{path}: {told} sections for {} answers", answers.len());
    }
    for (path, page) in files.iter().filter(|(path, _)| path.starts_with("parts/")) {
        for svg in drawings(page) {
            check_sheet(svg);
            labels += check_clear(svg, path);
            assert!(with_class(&Document::parse(svg).unwrap(), "metal").next().is_some(), "{path}");
            drawn += 1;
        }
    }
    assert!(largest < 60_000 && heaviest < 200_000, "{largest} {heaviest}");
    println!(
        "{drawn} drawings: {walls} walls, {pairs} touching pairs, {labels} labels; the largest drawing {largest} bytes, \
         the drawings of one guide {heaviest} bytes at most"
    );
    assert!(drawn > pairings.len() && walls > 100 * pairings.len() && pairs > 5 * pairings.len());
}

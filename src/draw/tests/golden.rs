//! Pictures as they were when somebody looked at them and found them right. Without their texts: faces differ from
//! machine to machine. Must not know what is in them.
//!
//! After a wanted change: set `BENCHLEAF_NEW_PICTURES` to a folder, run these tests, look at every picture in it, and
//! copy those that are right over the old ones.

use super::super::*;
use super::read::*;
use super::sample::{Sample, made, shelf_clamp, tight_shim, wide_shim};
use resvg::tiny_skia::Pixmap;
use std::path::{Path, PathBuf};

/// Dots an inch: lines stay about a dot wide, a picture a few kilobytes.
const DPI: f32 = 48.0;
/// Levels of grey that one dot may be off, and the share of dots that may be off by more.
const GREY: i32 = 48;
const SHARE: f64 = 0.001;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/drawings")
}

fn without_texts(svg: &str) -> String {
    let mut rest = svg;
    let mut kept = String::new();
    while let Some(at) = rest.find("<text") {
        kept.push_str(&rest[..at]);
        rest = rest[at..].split_once("</text>").map_or("", |(_, after)| after);
    }
    kept + rest
}

/// Grey, as bytes: what a laser printer is given.
fn grey(picture: &Pixmap) -> Vec<i32> {
    picture
        .pixels()
        .iter()
        .map(|p| (i32::from(p.red()) + i32::from(p.green()) + i32::from(p.blue())) / 3)
        .collect()
}

fn compare(name: &str, svg: &str) -> Result<(), String> {
    let now = raster(&without_texts(svg), DPI);
    if let Some(new) = std::env::var_os("BENCHLEAF_NEW_PICTURES") {
        now.save_png(Path::new(&new).join(format!("{name}.png"))).map_err(|e| e.to_string())?;
        return Ok(());
    }
    let then = Pixmap::load_png(folder().join(format!("{name}.png"))).map_err(|e| format!("{name}: {e}"))?;
    if (now.width(), now.height()) != (then.width(), then.height()) {
        return Err(format!(
            "{name}: {}x{} was {}x{}",
            now.width(),
            now.height(),
            then.width(),
            then.height()
        ));
    }
    let (a, b) = (grey(&now), grey(&then));
    let off = a.iter().zip(&b).filter(|(a, b)| (*a - *b).abs() > GREY).count();
    let share = off as f64 / a.len() as f64;
    if share > SHARE { Err(format!("{name}: {off} dots of {} differ", a.len())) } else { Ok(()) }
}

fn pictures() -> Vec<(String, String)> {
    let head_tube = ["100", "92.0 to 105.7 mm"];
    let (wide, shelf, tight, other) = (wide_shim(), shelf_clamp(), tight_shim(), made(3));
    let worded = |sample| super::clear::worded(sample, head_tube);
    let on = |sample: &Sample, name: &str| {
        let now = sample.item(name);
        let already: Vec<ItemIx> = (0..now.0).map(ItemIx).collect();
        step(&super::clear::worded(sample, head_tube), &already, now)
    };
    let mut all = vec![
        ("assembled-wide-shim", assembled(&worded(&wide))),
        ("assembled-shelf", assembled(&worded(&shelf))),
        ("assembled-made", assembled(&worded(&other))),
        ("exploded-wide-shim", exploded(&worded(&wide))),
        ("exploded-made", exploded(&worded(&other))),
        ("why-not-tight-shim", why_not(&worded(&tight))),
        ("step-bearing", on(&wide, "lower-bearing")),
        ("step-shim", on(&wide, "shim")),
        ("step-clamp", on(&shelf, "clamp")),
        ("step-bolt", on(&shelf, "bolt")),
        ("step-star-nut", on(&shelf, "star-nut")),
    ];
    all.extend(super::told::pictures());
    all.extend(super::parts::pictures());
    all.into_iter().map(|(name, svg)| (name.to_string(), svg)).collect()
}

#[test]
fn pictures_are_as_they_were_when_they_were_found_right() {
    let all = pictures();
    assert!(all.len() >= 12);
    let changed: Vec<String> = all.iter().filter_map(|(name, svg)| compare(name, svg).err()).collect();
    assert!(changed.is_empty(), "{}", changed.join("\n"));
}

/// The comparison sees one part a millimetre away from where it was.
#[test]
fn a_part_a_millimetre_higher_is_seen() {
    if std::env::var_os("BENCHLEAF_NEW_PICTURES").is_some() {
        return;
    }
    let mut sample = shelf_clamp();
    let cap = sample.item("cap");
    sample.stack.items[cap.0 as usize].landing.as_mut().unwrap().nominal += 1_000_000;
    let head_tube = ["100", "92.0 to 105.7 mm"];
    let svg = assembled(&super::clear::worded(&sample, head_tube));
    assert!(compare("assembled-shelf", &svg).is_err());
}

//! What holds of every drawing: size of sheet and letters, safe text, same bytes, no failure on odd stacks.

use super::super::*;
use super::read::*;
use super::sample::{build, tight_shim, wide_shim};
use roxmltree::Document;

#[test]
fn letters_print_at_least_two_and_a_half_millimetres_high_and_the_sheet_within_a5() {
    for (_, sample) in samples() {
        let mut input = sample.input();
        (input.words.mark, input.words.way, input.words.tool) =
            ("this end", "lipped end down", "5 mm hex key");
        check_sheet(&assembled(&input));
        check_sheet(&exploded(&input));
        steps(&sample, &input).iter().for_each(|svg| check_sheet(svg));
    }
}

#[test]
fn every_drawing_rasterises_and_shows_something() {
    for (_, sample) in samples() {
        let input = sample.input();
        for svg in steps(&sample, &input).into_iter().chain([assembled(&input), exploded(&input)]) {
            let pixels = raster(&svg, 96.0);
            let dark = pixels.pixels().iter().filter(|p| p.red() < 100).count();
            assert!(dark > 500, "{dark}");
        }
    }
}

#[test]
fn hostile_text_stays_text() {
    let sample = wide_shim();
    let mut input = sample.input();
    input.words.title = "a <script> & \"b\" \u{1} \u{7f}";
    let svg = assembled(&input);
    let doc = Document::parse(&svg).unwrap();
    assert_eq!(with_tag(&doc, "title").text(), Some("a <script> & \"b\"    "));
    assert!(with_tag(&doc, "desc").text().unwrap().ends_with("\n13 cap"));
}

#[test]
fn an_empty_stack_is_an_empty_sheet() {
    let sample = build(&[], &[]);
    assert!(Document::parse(&assembled(&sample.input())).is_ok());
}

#[test]
fn a_part_with_no_landing_is_not_drawn() {
    let mut sample = wide_shim();
    let cap = sample.item("cap");
    sample.stack.items[cap.0 as usize].landing = None;
    let input = sample.input();
    for svg in [assembled(&input), exploded(&input), step(&input, &[ItemIx(0)], cap)] {
        assert!(!svg.contains("data-item=\"cap\""));
        assert!(Document::parse(&svg).is_ok());
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let (a, b) = (wide_shim(), wide_shim());
    assert_eq!(assembled(&a.input()), assembled(&b.input()));
    assert_eq!(exploded(&a.input()), exploded(&b.input()));
}

/// Writes the pictures into the folder named by DRAWINGS when compiling, to be looked at.
#[test]
fn drawings_for_the_eye() {
    let Some(folder) = option_env!("DRAWINGS") else { return };
    let tight = tight_shim();
    let mut input = tight.input();
    let why = vec!["The shim's bore is 0.9 mm too small for the steerer".to_string()];
    input.words.why = &why;
    save(folder, "why-not", &why_not(&input));
    for (name, sample) in samples() {
        let mut input = sample.input();
        save(folder, name, &assembled(&input));
        input.words.gap = "Closing gap 3.15 mm; 2 to 5 mm is right";
        save(folder, &format!("{name}-gap"), &assembled(&input));
        input.words.mark = "this end tells which way up";
        save(folder, &format!("{name}-exploded"), &exploded(&input));
        input.words.way = "lipped end down";
        input.words.tool = "5 mm hex key";
        for now in 0..sample.stack.items.len() as u16 {
            let already: Vec<ItemIx> = (0..now).map(ItemIx).collect();
            save(folder, &format!("{name}-step-{now}"), &step(&input, &already, ItemIx(now)));
        }
    }
}

fn save(folder: &str, name: &str, svg: &str) {
    raster(svg, 260.0).save_png(format!("{folder}/{name}.png")).unwrap();
}

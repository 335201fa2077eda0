//! The data of a pairing: its order, its words, and that its lengths can be computed again from its dimensions.

use serde_json::Value as Json;

use super::build::guide;
use super::data::pairing_json;
use super::sample_for_tests::{NARROW, PLAN, Sample, sample};
use super::text::plain;
use crate::assembly::{Check, Demand, Value};
use crate::solve::{Answer, Verdict};

fn data(sample: &Sample, answers: &[Answer]) -> Json {
    pairing_json(&sample.book(), answers, &guide(&sample.book(), answers))
}

fn plan(sample: &Sample) -> Json {
    data(sample, &[sample.answer(Verdict::Goes, sample.stack(&PLAN))])
}

/// Every length with a form, wherever it stands.
fn lengths<'j>(json: &'j Json, found: &mut Vec<&'j Json>) {
    match json {
        Json::Object(map) => {
            if map.get("form").is_some_and(|form| form.is_object()) {
                found.push(json);
            }
            map.values().for_each(|inner| lengths(inner, found));
        }
        Json::Array(list) => list.iter().for_each(|inner| lengths(inner, found)),
        _ => {}
    }
}

#[test]
fn fields_stand_in_the_order_of_the_format() {
    let sample = sample();
    let json = plan(&sample);
    let keys: Vec<&str> = json.as_object().unwrap().keys().map(String::as_str).collect();
    let format = [
        "format",
        "fork",
        "system",
        "verdict",
        "supply",
        "dims",
        "placed",
        "pushed",
        "checks",
        "head_tube",
        "buy",
        "use",
        "leave",
        "measure",
        "try",
        "reason",
        "wanted",
        "steps",
    ];
    assert_eq!(keys[..format.len()], format);
    let placed: Vec<&str> = json["placed"][2].as_object().unwrap().keys().map(String::as_str).collect();
    let format = [
        "item",
        "slot",
        "part",
        "revision",
        "way_up",
        "put_on",
        "rides_with",
        "turns",
        "landing",
        "rests_on",
        "half_section",
        "mates",
    ];
    assert_eq!(placed[..format.len()], format);
}

#[test]
fn every_length_can_be_computed_again_from_the_dimensions() {
    let sample = sample();
    let json = plan(&sample);
    let mut found = vec![];
    lengths(&json, &mut found);
    assert!(found.len() > 50);
    for length in found {
        let form = &length["form"];
        let slack = form["slack"].as_f64().unwrap_or(0.0);
        let value = |end: fn(bool) -> &'static str| {
            let terms = form["terms"].as_object().unwrap().iter();
            let sum: f64 = terms
                .map(|(name, k)| {
                    let k = k.as_f64().unwrap();
                    k * json["dims"][name][end(k > 0.0)].as_f64().unwrap()
                })
                .sum();
            form["const"].as_f64().unwrap() + sum
        };
        let near = |key: &str, computed: f64| {
            let written = length[key].as_f64().unwrap();
            assert!((written - computed).abs() <= 1.0, "{key} {written} {computed}: {length}");
        };
        near("nominal", value(|_| "nominal"));
        near("least", value(|grows| if grows { "least" } else { "most" }) - slack);
        near("most", value(|grows| if grows { "most" } else { "least" }) + slack);
    }
}

#[test]
fn every_dimension_of_every_item_is_listed_by_item() {
    let sample = sample();
    let answer = sample.answer(Verdict::Goes, sample.stack(&PLAN));
    let json = data(&sample, std::slice::from_ref(&answer));
    assert_eq!(json["dims"].as_object().unwrap().len(), answer.stack.dims.len());
    assert_eq!(json["dims"]["spacer-2.length"]["source"], "assumed");
    assert_eq!(json["dims"]["shim.inside"]["least"], 28_650_000);
}

#[test]
fn whole_coefficients_are_written_whole() {
    let sample = sample();
    let json = plan(&sample);
    let mut found = vec![];
    lengths(&json, &mut found);
    let written: Vec<String> = found
        .iter()
        .flat_map(|length| length["form"]["terms"].as_object().unwrap().values())
        .map(ToString::to_string)
        .collect();
    assert!(written.iter().any(|k| k == "1") && written.iter().all(|k| k != "1.0"));
    assert!(written.iter().any(|k| k == "0.5" || k == "-0.5"), "{written:?}");
}

#[test]
fn items_are_said_with_the_words_of_the_format() {
    let sample = sample();
    let json = plan(&sample);
    let shim = &json["placed"][4];
    assert_eq!((&shim["way_up"], &shim["either_way"]), (&"turned".into(), &false.into()));
    assert_eq!(json["placed"][2]["either_way"], true, "a plain spacer");
    assert_eq!(shim["put_on"], "from-above");
    assert_eq!(shim["turns"], true);
    assert_eq!(shim["rests_on"][0]["item"], "spacer-2");
    assert_eq!(json["placed"][1]["turns"], false);
    assert_eq!(json["placed"][0]["put_on"], "fixed");
    assert_eq!(json["placed"][0]["revision"], "1");
    assert_eq!(json["placed"][6]["mates"][0]["how"], "thread");
    assert_eq!(json["steps"][3]["item"], "shim");
    assert_eq!(json["supply"], "as-boxed");
}

#[test]
fn revisions_that_differ_stand_in_full_and_the_pairing_depends() {
    let sample = sample();
    let answers = [
        sample.answer(Verdict::Goes, sample.stack_of_revision(&PLAN, 0)),
        sample.answer(Verdict::Measure, sample.stack_of_revision(&PLAN, 1)),
    ];
    let json = data(&sample, &answers);
    assert_eq!((&json["verdict"], &json["supply"]), (&Json::from("depends"), &Json::Null));
    let by: Vec<(&str, &str)> = json["by_revision"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| (one["revision"]["id"].as_str().unwrap(), one["verdict"].as_str().unwrap()))
        .collect();
    assert_eq!(by, [("1", "goes"), ("2", "measure")]);
    assert_eq!(json["by_revision"][0]["revision"]["tell"], "two grooves round the crown");
    let told: Vec<(&str, &str)> = json["revisions"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| (one["fork_revision"].as_str().unwrap(), one["verdict"].as_str().unwrap()))
        .collect();
    assert_eq!(told, [("1", "goes"), ("2", "measure")]);
    assert!(json["revisions"][0]["placed"].as_array().unwrap().len() == PLAN.len());
}

#[test]
fn a_reason_from_another_stack_points_at_no_item() {
    let sample = sample();
    let mut answer = sample.answer(Verdict::No, sample.stack(&NARROW));
    let shown = answer.stack.checks.iter().find(|c| matches!(c.demand, Demand::SleeveClearance(_))).unwrap();
    let value = Some(Value { nominal: -1, least: -1, most: -1, form: None });
    answer.reason = vec![shown.clone(), Check { value, ..shown.clone() }];
    let json = data(&sample, &[answer]);
    assert_eq!(json["reason"][0]["about"], serde_json::json!(["shim", "fork"]));
    assert_eq!(json["reason"][1]["about"], serde_json::json!([]));
    assert_eq!(json["supply"], Json::Null);
}

#[test]
fn a_plan_beside_which_not_everything_was_looked_through_says_so() {
    let sample = sample();
    let mut answer = sample.answer(Verdict::Goes, sample.stack(&PLAN));
    answer.unfinished = true;
    let told = guide(&sample.book(), std::slice::from_ref(&answer));
    assert!(plain(&told, &sample.words).contains("Not every way was tried"));
    let json = data(&sample, &[answer]);
    assert_eq!((&json["verdict"], &json["unfinished"]), (&Json::from("goes"), &Json::from(true)));
}

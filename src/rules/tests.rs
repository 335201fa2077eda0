//! One small system read whole, and what each change to it comes to.

use super::*;
use crate::base::{BookFiles, Problems, Sources};

const HEADSET: &str = r#"
[limits]
seat = "0.4"
still = "0.2"

[[slot]]
name = "fork"
kinds = ["fork"]
put_on = "fixed"

[[path]]
slot = "fork"

[[step]]
id = "look"
say = "Look the {part} over."

[[before_riding]]
say = "Turn the bars."
"#;

const SYSTEM: &str = r#"
name = "Plain clamp"
short = ["plain"]
summary = "A clamp."
headset = "bare"
pulled = "clamp"
any_size = ["fork.bottom-bore", "fork.steerer", "fork.upper"]

[limits]
gap = ["2"]
seat = "0.5"

[[slot]]
name = "nut"
kinds = ["star-nut"]
count = [0, 1]
put_on = "chosen"
host = "clamp"
into = "top"
depth = ["8", "40"]
by_hand = "0"

[[slot]]
name = "clamp"
kinds = ["clamp", "custom"]
put_on = "from-above"
way = "either"
rests_on = ["fork"]

[[sleeve]]
outer = "clamp.bore"
inner = ["fork.steerer", "fork.thread"]
clearance = ["0", "0.4"]
overlap = "none"

[[grip]]
by = "clamp.bore"
layers = [{ slot = "fork", least = "30" }]
past = "3"

[[press]]
wall = "nut.fins"
seat = ["clamp.bore"]

[[thread]]
male = ["fork.thread"]
female = ["nut.thread"]
engaged = "computed"
spare = 1

[[size]]
of = ["fork.thread"]
between = ["25", "29"]

[[free]]
surface = ["fork.bottom-bore", "fork.seat", "fork.steerer-bore", "fork.upper", "fork.insert-thread"]
why = "Nothing goes there."

[[free]]
surface = ["clamp.upper-bore", "clamp.shelf"]
why = "Nothing goes there."

[[step]]
id = "bolts"
after = ["clamp-on"]
when = ["no nut"]
say = "Tighten."

[[step]]
id = "clamp-on"
slot = "clamp"
say = "Slide the {part} on."
reach = "above"

[[step]]
id = "nut-in"
slot = "nut"
say = "Turn the {part} in."
reach = "above"

[[step]]
id = "grip"
slot = "clamp"
say = "Tighten."
reach = "side"
closes = "clamp.bore"
"#;

fn read(files: &[(&str, &str)]) -> (Option<Vec<Rule>>, Problems) {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let book: BookFiles = files.iter().map(|(p, t)| (p.to_string(), t.as_bytes().to_vec())).collect();
    (read_rules(&book, &mut sources, &mut problems), problems)
}

fn system(text: &str) -> (Option<Vec<Rule>>, Problems) {
    read(&[
        ("content/systems/plain.toml", text),
        ("content/headsets/bare.toml", HEADSET),
        ("content/systems/plain.md", "# Plain\n"),
    ])
}

fn good(text: &str) -> Rule {
    let (rules, problems) = system(text);
    assert_eq!(problems, Problems::default());
    rules.expect("rules").remove(0)
}

fn codes(text: &str) -> Vec<&'static str> {
    let (rules, problems) = system(text);
    assert_eq!(rules, None);
    problems.0.iter().map(|p| p.code).collect()
}

#[test]
fn the_headset_comes_first_and_the_systems_own_limits_win() {
    let rule = good(SYSTEM);
    let slots: Vec<&str> = rule.slots.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(slots, ["fork", "clamp", "nut"]);
    assert_eq!(rule.limits.seat_least, Length::um(500));
    assert_eq!(rule.limits.still_least, Length::um(200));
    assert_eq!((rule.limits.gap_least, rule.limits.gap_wish), (Length::mm(2), None));
    assert_eq!((rule.id.as_str(), rule.prose.as_str()), ("plain", "# Plain\n"));
    assert_eq!(rule.before_riding.len(), 1);
}

#[test]
fn steps_stand_in_file_order_moved_only_as_after_asks() {
    let rule = good(SYSTEM);
    let ids: Vec<&str> = rule.steps.iter().map(|s| s.id.as_str()).collect();
    assert_eq!(ids, ["look", "clamp-on", "bolts", "nut-in", "grip"]);
    assert_eq!(rule.steps[2].when, [Condition::Empty(SlotIx(2))]);
}

#[test]
fn a_step_says_what_its_picture_shows() {
    let views = SYSTEM
        .replacen(
            "say = \"Tighten.\"",
            "say = \"Turn.\"\nview = \"from-above\"\nturns = \"clamp\"\nto = \"rear\"",
            1,
        )
        .replace("closes = \"clamp.bore\"", "closes = \"clamp.bore\"\naway_from = [\"fork\"]");
    let rule = good(&views);
    let [look, clamp, turn, _, grip] = &rule.steps[..] else { panic!("five steps") };
    assert_eq!((look.view, clamp.view), (None, None));
    assert_eq!(turn.view, Some(View::FromAbove { turns: SlotIx(1), to: Heading::Rear }));
    assert_eq!(clamp.closes, None);
    assert_eq!(grip.closes, Some(SurfaceRef { slot: SlotIx(1), surface: "bore" }));
    assert_eq!(grip.away_from, [SlotIx(0)]);
    let laid_out = SYSTEM.replacen("say = \"Tighten.\"", "say = \"Lay out.\"\nview = \"laid-out\"", 1);
    assert_eq!(good(&laid_out).steps[2].view, Some(View::LaidOut));
}

#[test]
fn a_slot_of_chosen_height_stands_last_and_keeps_its_place_in_the_file() {
    let rule = good(SYSTEM);
    let (clamp, nut) = (&rule.slots[1], &rule.slots[2]);
    assert_eq!((nut.name.as_str(), nut.order, clamp.order), ("nut", 1, 2));
    assert_eq!(nut.host, Some(SlotIx(1)));
    let choice = Choice {
        into: Some(End::Top),
        depth_least: Length::mm(8),
        depth_most: Some(Length::mm(40)),
        by_hand: Length::ZERO,
    };
    assert_eq!(nut.put_on, PutOn::Chosen(choice));
    assert!(clamp.as_drawn && clamp.turned);
}

#[test]
fn computed_engagement_is_no_length() {
    let rule = good(SYSTEM);
    assert_eq!((rule.threads[0].engagement_least, rule.threads[0].spare_least), (None, Some(Length::mm(1))));
    let stated = good(&SYSTEM.replace("\"computed\"", "\"6\""));
    assert_eq!(stated.threads[0].engagement_least, Some(Length::mm(6)));
}

#[test]
fn a_system_without_prose_has_none() {
    let (rules, problems) =
        read(&[("content/systems/plain.toml", SYSTEM), ("content/headsets/bare.toml", HEADSET)]);
    assert_eq!(problems, Problems::default());
    assert_eq!(rules.expect("rules")[0].prose, "");
}

#[test]
fn a_mistake_in_a_slot_causes_no_second_message() {
    assert_eq!(codes(&SYSTEM.replace("\"clamp\", \"custom\"", "\"calmp\"")), ["kind-unknown"]);
    assert_eq!(codes(&SYSTEM.replace("way = \"either\"", "way = \"up\"")), ["choice-unknown"]);
    assert_eq!(codes(&SYSTEM.replace("clearance = ", "clearence = ")), ["field-unknown"]);
}

#[test]
fn a_length_that_cannot_be_read_is_placed_at_its_character() {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let text = SYSTEM.replace("least = \"30\"", "least = \"30 cm\"");
    let book = BookFiles::from([
        ("content/systems/plain.toml".to_string(), text.into_bytes()),
        ("content/headsets/bare.toml".to_string(), HEADSET.as_bytes().to_vec()),
    ]);
    assert_eq!(read_rules(&book, &mut sources, &mut problems), None);
    assert_eq!(problems.0.len(), 1);
    assert_eq!(sources.text_at(problems.0[0].places[0].span), "cm");
}

#[test]
fn an_unused_headset_is_a_doubt_and_no_error() {
    let (rules, problems) = read(&[
        ("content/systems/plain.toml", SYSTEM),
        ("content/headsets/bare.toml", HEADSET),
        ("content/headsets/spare.toml", HEADSET),
    ]);
    assert!(rules.is_some());
    assert_eq!(problems.0.iter().map(|p| p.code).collect::<Vec<_>>(), ["headset-unused"]);
}

#[test]
fn a_headset_that_is_no_toml_is_told_once() {
    let (rules, problems) = read(&[
        ("content/systems/one.toml", SYSTEM),
        ("content/systems/two.toml", &SYSTEM.replace("Plain clamp", "Other clamp")),
        ("content/headsets/bare.toml", "[[slot]]\nname = = 1\n"),
    ]);
    assert_eq!((rules, problems.0.len()), (None, 1));
}

#[test]
fn a_limit_out_of_the_ordinary_is_asked_about_with_the_likely_slip() {
    let asked = |from: &str, to: &str| -> Vec<(String, String)> {
        assert!(SYSTEM.contains(from));
        let system = SYSTEM.replace(from, to);
        let (rules, problems) =
            read(&[("content/systems/plain.toml", &system), ("content/headsets/bare.toml", HEADSET)]);
        assert!(rules.is_some(), "{problems:#?}");
        problems.0.into_iter().map(|problem| (problem.fact, problem.mend)).collect()
    };
    assert_eq!(asked("\"0.4\"]", "\"0.4\"]"), []);
    let [(fact, mend)] = &asked("\"0.4\"]", "\"0.03\"]")[..] else { panic!("one question") };
    assert!(
        fact.contains("clearance of 0.03 mm") && mend.contains("0.3 mm would be usual"),
        "{fact}: {mend}"
    );
    let [(fact, mend)] = &asked("gap = [\"2\"]", "gap = [\"200\"]")[..] else { panic!("one question") };
    assert!(fact.contains("gap of 200 mm") && mend.contains("a slip of a hundred? 2 mm"), "{fact}: {mend}");
}

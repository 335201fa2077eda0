//! Of a guide's text what fits a screen: the answer, what to measure and to buy, the steps. Knows headings by the words
//! that they are made of, nothing else of the text.

use crate::guide::Words;

/// Headings of what is left out.
const REST: [&str; 10] = [
    "use",
    "leave",
    "parts",
    "parts-attempt",
    "head-tube",
    "decks",
    "numbers",
    "alternatives",
    "assumed",
    "tried",
];

/// The text without those sections, and whether anything was left out.
pub fn brief(text: &str, words: &Words) -> (String, bool) {
    let rest: Vec<String> = REST.iter().map(|key| words.word(&format!("heading.{key}"))).collect();
    let coming = words.say("coming.heading", &[("system", PLACE)]);
    let coming = coming.split(PLACE).next().unwrap_or_default();
    let steps = words.word("heading.steps");
    let feel = words.say("heading.feel", &[("feel", PLACE)]);
    let feel = feel.split(PLACE).next().unwrap_or_default();
    let mut kept: Vec<String> = vec![];
    let mut left_out = false;
    for block in text.split("\n\n") {
        let heading = block.lines().next().unwrap_or_default();
        let hidden =
            rest.iter().any(|known| known == heading) || !coming.is_empty() && heading.starts_with(coming);
        left_out |= hidden;
        if !hidden {
            kept.push(if heading == steps {
                without_feel(block, feel)
            } else {
                block.trim_end().to_string()
            });
        }
    }
    (kept.join("\n\n") + "\n", left_out)
}

/// Stands where a name would.
const PLACE: &str = "\u{1}";

/// Each step without what to feel, which comes last in it.
fn without_feel(steps: &str, feel: &str) -> String {
    let mut lines: Vec<&str> = vec![];
    let mut in_feel = false;
    for line in steps.lines() {
        let numbered =
            line.trim_start().split_once(". ").is_some_and(|(n, _)| n.bytes().all(|b| b.is_ascii_digit()));
        in_feel =
            !numbered && (in_feel || !feel.is_empty() && line.trim_start().starts_with(feel.trim_end()));
        if !in_feel {
            lines.push(line);
        }
    }
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_answer_what_to_buy_and_the_steps_stay_and_the_rest_goes() {
        let words = Words::own();
        let heading = |key: &str| words.word(&format!("heading.{key}"));
        let feel = words.say("heading.feel", &[("feel", "no wobble, which takes\n    two lines.")]);
        let text = format!(
            "Heron with Wide shim\nGoes\n\nYes.\n\n{}\n- Shim, €6.50\n\n{}\n  1. fork\n\n{}\n 1. Slide it on.\n    {feel}\n 2. Ride.\n\n{}\n- a number\n",
            heading("need"),
            heading("parts"),
            heading("steps"),
            heading("numbers"),
        );
        let (short, left_out) = brief(&text, &words);
        assert!(left_out);
        let expected = format!(
            "Heron with Wide shim\nGoes\n\nYes.\n\n{}\n- Shim, €6.50\n\n{}\n 1. Slide it on.\n 2. Ride.\n",
            heading("need"),
            heading("steps")
        );
        assert_eq!(short, expected);
    }
}

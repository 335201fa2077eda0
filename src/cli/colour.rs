//! Colours for whole lines of a plan; where no colours are wanted the stream takes them out again. Knows no words.

use crate::compile::Tone;

const PLAIN: &str = "\x1b[0m";

fn colour(tone: Tone) -> &'static str {
    match tone {
        Tone::Goes => "\x1b[1;32m",
        Tone::Measure | Tone::Depends => "\x1b[1;33m",
        Tone::No => "\x1b[1;31m",
        Tone::Heading => "\x1b[1m",
    }
}

/// The text with those of its lines in colour that are among `tones`. The text must be clean already.
pub fn coloured(text: &str, tones: &[(String, Tone)]) -> String {
    let line = |line: &str| match tones.iter().find(|(words, _)| words == line) {
        Some(&(_, tone)) => format!("{}{line}{PLAIN}\n", colour(tone)),
        None => format!("{line}\n"),
    };
    text.lines().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_whole_lines_that_say_a_verdict_are_coloured() {
        let tones = [("Goes".to_string(), Tone::Goes)];
        let text = coloured("Heron\nGoes\nGoes on\n", &tones);
        assert_eq!(text, "Heron\n\x1b[1;32mGoes\x1b[0m\nGoes on\n");
    }
}

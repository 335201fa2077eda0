//! What was edited in a book and which pages that changed, as lines for a person. Decides nothing.

use super::clean_text::clean;
use crate::compile::{Edit, What};
use crate::publish::Published;

/// So many edits are told one by one.
const MOST_EDITS: usize = 8;
/// So many pages are named.
const MOST_PAGES: usize = 4;
/// A longer value is not told: it is a text, and stands in the file.
const MOST_LETTERS: usize = 60;

/// "3 guides: parts/shims.toml Holm shim outside 28.55 to 28.60", and which pages.
pub fn told(edits: &[Edit], published: &Published) -> String {
    let pages = pages(published);
    let mut lines = match edits {
        [one] => vec![format!("{pages}: {}", line(one))],
        several => {
            let mut lines = vec![format!("{pages}: {} edits", several.len())];
            lines.extend(several.iter().take(MOST_EDITS).map(|edit| format!("  {}", line(edit))));
            let more = several.len().saturating_sub(MOST_EDITS);
            lines.extend((more > 0).then(|| format!("  and {more} more")));
            lines
        }
    };
    if !published.written.is_empty() {
        let (mut first, others): (Vec<&str>, Vec<&str>) =
            published.written.iter().map(String::as_str).partition(|page| is_guide(page));
        first.extend(others);
        let first = first.into_iter().take(MOST_PAGES).collect::<Vec<_>>().join(", ");
        let more = match published.written.len().saturating_sub(MOST_PAGES) {
            0 => String::new(),
            more => format!(", and {more} more"),
        };
        lines.push(format!("written: {first}{more}"));
    }
    clean(&lines.join("\n")).into_owned()
}

/// "3 guides, 2 other pages".
fn pages(published: &Published) -> String {
    let guides = published.written.iter().filter(|page| is_guide(page)).count();
    let others = published.written.len() - guides;
    let counts = [
        (guides, ["guide", "guides"]),
        (others, if guides > 0 { ["other page", "other pages"] } else { ["page", "pages"] }),
        (published.removed.len(), ["page removed", "pages removed"]),
    ];
    let told: Vec<String> = counts
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, [one, several])| format!("{count} {}", if count == 1 { one } else { several }))
        .collect();
    if told.is_empty() { "no page is another".to_string() } else { told.join(", ") }
}

fn is_guide(page: &str) -> bool {
    page.starts_with("guides/")
}

fn line(edit: &Edit) -> String {
    let Edit { path, what } = edit;
    match what {
        What::NewFile => format!("{path} is new"),
        What::FileGone => format!("{path} is gone"),
        What::New { of } => format!("{path} {of} is new"),
        What::Gone { of } => format!("{path} {of} is gone"),
        What::Text => format!("{path} reads otherwise"),
        What::Field { of, field, from, to } => {
            let of = if of.is_empty() { String::new() } else { format!("{of} ") };
            format!("{path} {of}{field} {}", change(from.as_deref(), to.as_deref()))
        }
    }
}

fn change(from: Option<&str>, to: Option<&str>) -> String {
    let short = |text: &Option<&str>| text.is_none_or(|text| text.chars().count() <= MOST_LETTERS);
    match (from, to) {
        (from, to) if !short(&from) || !short(&to) => "reads otherwise".into(),
        (Some(from), Some(to)) => format!("{from} to {to}"),
        (None, Some(to)) => format!("{to}, not there before"),
        (Some(from), None) => format!("{from}, not there any more"),
        (None, None) => "reads otherwise".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(from: &str, to: &str) -> Edit {
        let (from, to) = (Some(from.to_string()), Some(to.to_string()));
        let what = What::Field { of: "Holm shim".into(), field: "outside".into(), from, to };
        Edit { path: "parts/shims.toml".into(), what }
    }

    #[test]
    fn one_edit_is_told_on_the_line_of_its_pages_and_several_below_it() {
        let written = ["forks/a.html", "guides/a/b.html", "guides/a/c.html"].map(str::to_string).to_vec();
        let published = Published { written, unchanged: 3, removed: vec![] };
        let one = field("28.55", "28.60");
        assert_eq!(
            told(std::slice::from_ref(&one), &published),
            "2 guides, 1 other page: parts/shims.toml Holm shim outside 28.55 to 28.60\n\
             written: guides/a/b.html, guides/a/c.html, forks/a.html"
        );
        let many = vec![one; 10];
        let text = told(&many, &Published::default());
        assert_eq!(text.lines().count(), 10);
        assert!(text.starts_with("no page is another: 10 edits\n") && text.ends_with("  and 2 more"));
    }

    #[test]
    fn a_text_is_not_told_and_what_a_terminal_does_not_bear_is_taken_out() {
        let long = field("28.55", &"word ".repeat(20));
        assert_eq!(line(&long), "parts/shims.toml Holm shim outside reads otherwise");
        assert!(!told(&[field("a", "b\u{1b}[31m")], &Published::default()).contains('\u{1b}'));
    }
}

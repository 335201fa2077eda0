//! What a person typed for a fork or a clamp system, found among the book's: by id, name, short name, or a beginning that
//! only one has. Must not know what a fork or a system is.

use crate::base::{Problem, suggest};

/// Something that can be meant, with all that it is called; the id first.
pub struct Called {
    pub id: String,
    pub names: Vec<String>,
}

/// So many are told where several are meant or near.
const MOST_TOLD: usize = 8;

/// Index of the one that is meant. Else why not: several may be, or none is.
pub fn find(
    typed: &str,
    what: &str,
    codes: [&'static str; 2],
    among: &[Called],
) -> Result<usize, Box<Problem>> {
    let wanted = plain(typed);
    let is = |names: &dyn Fn(&Called) -> Vec<String>, fits: &dyn Fn(&str) -> bool| -> Vec<usize> {
        (0..among.len()).filter(|&i| names(&among[i]).iter().any(|name| fits(name))).collect()
    };
    let ids = |called: &Called| vec![called.id.clone()];
    let all = |called: &Called| called.all();
    let tails = |called: &Called| called.all().iter().flat_map(|name| tails(name)).collect();
    let same = |name: &str| name == wanted;
    let begins = |name: &str| !wanted.is_empty() && name.starts_with(&wanted);
    let exact = |id: &str| id == typed;
    for (names, fits) in [
        (&ids as &dyn Fn(&Called) -> Vec<String>, &exact as &dyn Fn(&str) -> bool),
        (&all, &same),
        (&tails, &same),
        (&all, &begins),
        (&tails, &begins),
    ] {
        match is(names, fits).as_slice() {
            [] => {}
            [one] => return Ok(*one),
            several => return Err(Box::new(ambiguous(typed, what, codes[1], among, several))),
        }
    }
    Err(Box::new(unknown(typed, what, codes[0], among)))
}

impl Called {
    /// Id and names, alike in letters and hyphens.
    fn all(&self) -> Vec<String> {
        std::iter::once(&self.id)
            .chain(&self.names)
            .map(|name| plain(name))
            .filter(|n| !n.is_empty())
            .collect()
    }

    fn told(&self) -> String {
        format!("{} ({})", self.id, self.names.join(", "))
    }
}

/// Small letters, words parted by one blank.
fn plain(text: &str) -> String {
    let apart = |c: char| c.is_whitespace() || c == '-' || c == '_';
    let words: Vec<String> = text.split(apart).filter(|w| !w.is_empty()).map(str::to_lowercase).collect();
    words.join(" ")
}

/// `fork heron` ends in `heron`, and `heron fork` is begun by it as well.
fn tails(name: &str) -> Vec<String> {
    let words: Vec<&str> = name.split(' ').collect();
    (1..words.len()).map(|from| words[from..].join(" ")).collect()
}

fn ambiguous(typed: &str, what: &str, code: &'static str, among: &[Called], several: &[usize]) -> Problem {
    let problem = Problem::error(code, format!("\"{typed}\" may be more than one {what}"));
    listed(problem, several.iter().map(|&i| &among[i]), several.len())
        .mend("write more of its name, or its id")
}

fn unknown(typed: &str, what: &str, code: &'static str, among: &[Called]) -> Problem {
    let wanted = plain(typed);
    let words = |called: &Called| -> Vec<String> {
        called.all().iter().flat_map(|name| std::iter::once(name.clone()).chain(tails(name))).collect()
    };
    let near = |called: &&Called| suggest(&wanted, words(called).iter().map(String::as_str)).is_some();
    let found: Vec<&Called> = among.iter().filter(near).collect();
    let problem = Problem::error(code, format!("the book has no {what} \"{typed}\""));
    match found.as_slice() {
        [] => listed(problem, among.iter(), among.len()).mend(format!("name a {what} of the book")),
        [one] => {
            let mend = format!("try {}", one.id);
            problem.note(one.told()).mend(mend)
        }
        several => {
            let first = several.first().map_or(String::new(), |one| format!("try {}", one.id));
            listed(problem, several.iter().copied(), several.len()).mend(first)
        }
    }
}

fn listed<'c>(problem: Problem, all: impl Iterator<Item = &'c Called>, count: usize) -> Problem {
    let problem = all.take(MOST_TOLD).fold(problem, |problem, one| problem.note(one.told()));
    match count.saturating_sub(MOST_TOLD) {
        0 => problem,
        more => problem.note(format!("and {more} more: `benchleaf ids` lists all")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn called(id: &str, names: &[&str]) -> Called {
        Called { id: id.into(), names: names.iter().map(|n| n.to_string()).collect() }
    }

    fn systems() -> Vec<Called> {
        vec![
            called("slim-shim", &["Slim shim", "mini HIC"]),
            called("wide-shim", &["Wide shim", "HIC"]),
            called("cap-in-clamp", &["Cap in clamp", "SCS"]),
        ]
    }

    fn found(typed: &str, among: &[Called]) -> Result<String, (String, usize)> {
        find(typed, "clamp system", ["unknown", "several"], among)
            .map(|i| among[i].id.clone())
            .map_err(|p| (p.code.to_string(), p.notes.len()))
    }

    #[test]
    fn ids_names_short_names_and_beginnings_that_only_one_has_are_understood() {
        let all = systems();
        for (typed, id) in [
            ("wide-shim", "wide-shim"),
            ("wide shim", "wide-shim"),
            ("Wide_Shim", "wide-shim"),
            ("hic", "wide-shim"),
            ("mini hic", "slim-shim"),
            ("mini", "slim-shim"),
            ("scs", "cap-in-clamp"),
            ("w", "wide-shim"),
            ("clamp", "cap-in-clamp"),
        ] {
            assert_eq!(found(typed, &all), Ok(id.to_string()), "{typed}");
        }
        let forks = [called("fork-heron", &["Heron fork"]), called("fork-heath", &["Heath fork"])];
        assert_eq!(found("heron", &forks), Ok("fork-heron".to_string()));
        assert_eq!(found("her", &forks), Ok("fork-heron".to_string()));
    }

    #[test]
    fn what_several_may_be_is_told_with_all_of_them_and_what_none_is_with_the_near_ones() {
        let all = systems();
        assert_eq!(found("shim", &all), Err(("several".into(), 2)));
        assert_eq!(found("wide-shin", &all), Err(("unknown".into(), 1)));
        assert_eq!(found("quill", &all), Err(("unknown".into(), 3)));
        assert_eq!(found("", &all), Err(("unknown".into(), 3)));
    }
}

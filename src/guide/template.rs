//! Sentences with places to be filled: `{part}`, and clauses `[, {way}]` that are left out when a place in them
//! has no value. Doubled brackets print as themselves. Knows no sentence and no place by name.

use std::ops::Range;

/// A sentence, checked once and filled often.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Template {
    pieces: Vec<Piece>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum Piece {
    Text(String),
    Place(String),
    Clause(Vec<Piece>),
}

/// A sentence that cannot be read: where (bytes of its text), what is wrong, what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    pub at: Range<usize>,
    pub fact: String,
    pub mend: &'static str,
}

impl Template {
    /// Refused: a bracket without its partner, a clause in a clause, a place with no or an odd name.
    pub fn read(text: &str) -> Result<Template, Fault> {
        let mut reader = Reader { text, at: 0 };
        let pieces = reader.pieces(None)?;
        Ok(Template { pieces })
    }

    /// Every place, in order, with repetition.
    pub fn places(&self) -> Vec<&str> {
        fn walk<'t>(pieces: &'t [Piece], into: &mut Vec<&'t str>) {
            for piece in pieces {
                match piece {
                    Piece::Text(_) => {}
                    Piece::Place(name) => into.push(name),
                    Piece::Clause(inner) => walk(inner, into),
                }
            }
        }
        let mut names = vec![];
        walk(&self.pieces, &mut names);
        names
    }

    /// The finished sentence, or the first place outside a clause that has no value.
    pub fn fill(&self, value: &dyn Fn(&str) -> Option<String>) -> Result<String, String> {
        fill(&self.pieces, value)
    }
}

fn fill(pieces: &[Piece], value: &dyn Fn(&str) -> Option<String>) -> Result<String, String> {
    let mut text = String::new();
    for piece in pieces {
        match piece {
            Piece::Text(plain) => text.push_str(plain),
            Piece::Place(name) => text.push_str(&value(name).ok_or_else(|| name.clone())?),
            Piece::Clause(inner) => text.push_str(&fill(inner, value).unwrap_or_default()),
        }
    }
    Ok(text)
}

struct Reader<'t> {
    text: &'t str,
    at: usize,
}

impl Reader<'_> {
    /// Up to the end, or up to the `]` of the clause opened at `clause`.
    fn pieces(&mut self, clause: Option<usize>) -> Result<Vec<Piece>, Fault> {
        let mut pieces = vec![];
        let mut plain = String::new();
        while let Some(next) = self.text[self.at..].chars().next() {
            let start = self.at;
            self.at += next.len_utf8();
            let doubled = "{}[]".contains(next) && self.text[self.at..].starts_with(next);
            if doubled {
                self.at += next.len_utf8();
                plain.push(next);
                continue;
            }
            match next {
                '{' => {
                    flush(&mut plain, &mut pieces);
                    pieces.push(Piece::Place(self.name(start)?));
                }
                '[' if clause.is_some() => {
                    return Err(fault(
                        start..self.at,
                        "a clause in a clause",
                        "close the first with ] before",
                    ));
                }
                '[' => {
                    flush(&mut plain, &mut pieces);
                    pieces.push(Piece::Clause(self.pieces(Some(start))?));
                }
                ']' if clause.is_some() => {
                    flush(&mut plain, &mut pieces);
                    return Ok(pieces);
                }
                '}' | ']' => {
                    let fact = format!("`{next}` with nothing opened before it");
                    return Err(fault(start..self.at, fact, "write it twice if it is to be printed"));
                }
                other => plain.push(other),
            }
        }
        flush(&mut plain, &mut pieces);
        match clause {
            Some(start) => {
                Err(fault(start..start + 1, "a clause that is not closed", "close it with ], or write [["))
            }
            None => Ok(pieces),
        }
    }

    /// After a `{` at `start`: the name up to `}`.
    fn name(&mut self, start: usize) -> Result<String, Fault> {
        let rest = &self.text[self.at..];
        let Some(length) = rest.find('}') else {
            return Err(fault(
                start..start + 1,
                "a place that is not closed",
                "close it with }, or write {{",
            ));
        };
        let name = &rest[..length];
        self.at += length + 1;
        let odd = |c: char| !(c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
        if name.is_empty() || name.contains(odd) {
            let fact = format!("`{{{name}}}` is no place's name");
            return Err(fault(start..self.at, fact, "write a name of small letters between { and }"));
        }
        Ok(name.to_owned())
    }
}

fn flush(plain: &mut String, pieces: &mut Vec<Piece>) {
    if !plain.is_empty() {
        pieces.push(Piece::Text(std::mem::take(plain)));
    }
}

fn fault(at: Range<usize>, fact: impl Into<String>, mend: &'static str) -> Fault {
    Fault { at, fact: fact.into(), mend }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled(text: &str) -> Result<String, String> {
        let value = |name: &str| (name == "part").then(|| "shim".to_owned());
        Template::read(text).unwrap().fill(&value)
    }

    #[test]
    fn a_place_is_filled_and_doubled_brackets_print_as_themselves() {
        assert_eq!(filled("Slide the {part} on {{so}} [[so]].").unwrap(), "Slide the shim on {so} [so].");
    }

    #[test]
    fn a_clause_goes_when_a_place_in_it_has_no_value_and_stays_otherwise() {
        assert_eq!(filled("On[, {way}][ the {part}].").unwrap(), "On the shim.");
    }

    #[test]
    fn a_place_without_a_value_outside_a_clause_is_refused_by_name() {
        assert_eq!(filled("On, {way}."), Err("way".to_owned()));
    }

    #[test]
    fn every_unbalanced_bracket_is_refused_where_it_stands() {
        for (text, at) in
            [("a {b", 2), ("a } b", 2), ("a [b", 2), ("a ]", 2), ("[a [b]]", 3), ("{A}", 0), ("{}", 0)]
        {
            assert_eq!(Template::read(text).unwrap_err().at.start, at, "{text}");
        }
    }

    #[test]
    fn places_are_listed_also_from_clauses() {
        assert_eq!(Template::read("{a}[ {b}] {a}").unwrap().places(), ["a", "b", "a"]);
    }
}

//! What is wrong or doubtful, as plain data: never printed here, never an exception.

use super::{Sources, Span};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// The book cannot be compiled.
    Error,
    /// The book compiles, but somebody should look.
    Warning,
}

/// A place with the words that belong to it ("first listed here").
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    pub span: Span,
    pub label: String,
}

/// One mistake, told once: a code, a one-line fact, places in the author's files, what was
/// compared, and one next action.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    pub severity: Severity,
    /// Short, hyphenated, stable: `field-unknown`.
    pub code: &'static str,
    pub fact: String,
    /// First the offending text, then places that explain it. Empty only when the whole book is meant.
    pub places: Vec<Place>,
    /// The numbers compared, with units; what was expected.
    pub notes: Vec<String>,
    /// One next action. Empty when there is none to give.
    pub mend: String,
    /// A file that could not be read as text at all is named here, since it has no spans.
    pub path: Option<String>,
}

impl Problem {
    pub fn error(code: &'static str, fact: impl Into<String>) -> Problem {
        Problem::new(Severity::Error, code, fact.into())
    }

    pub fn warning(code: &'static str, fact: impl Into<String>) -> Problem {
        Problem::new(Severity::Warning, code, fact.into())
    }

    fn new(severity: Severity, code: &'static str, fact: String) -> Problem {
        Problem { severity, code, fact, places: vec![], notes: vec![], mend: String::new(), path: None }
    }

    pub fn at(mut self, span: Span, label: impl Into<String>) -> Problem {
        self.places.push(Place { span, label: label.into() });
        self
    }

    pub fn in_file(mut self, path: impl Into<String>) -> Problem {
        self.path = Some(path.into());
        self
    }

    pub fn note(mut self, note: impl Into<String>) -> Problem {
        self.notes.push(note.into());
        self
    }

    pub fn mend(mut self, mend: impl Into<String>) -> Problem {
        self.mend = mend.into();
        self
    }
}

/// Every problem of one run.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problems(pub Vec<Problem>);

impl Problems {
    pub fn push(&mut self, problem: Problem) {
        self.0.push(problem);
    }

    /// For readers that look at one place twice: the same problem is not told again.
    pub fn push_new(&mut self, problem: Problem) {
        if !self.0.contains(&problem) {
            self.0.push(problem);
        }
    }

    /// The number of errors so far.
    pub fn errors(&self) -> usize {
        self.0.iter().filter(|p| p.severity == Severity::Error).count()
    }

    pub fn any_error(&self) -> bool {
        self.0.iter().any(|p| p.severity == Severity::Error)
    }

    /// By file and place, errors and warnings mixed as the author reads the file; same order on every machine.
    pub fn sort(&mut self, sources: &Sources) {
        self.0.sort_by_cached_key(|p| {
            let place = p.places.first().map(|p| (sources.get(p.span.file).path.clone(), p.span));
            (p.path.clone(), place, p.code, p.fact.clone())
        });
        self.0.dedup();
    }
}

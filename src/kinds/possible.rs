//! Whether a shape can be made: metal between every bore and outside, length in every ring, over the whole
//! tolerance range. Must not know any kind.

use super::{NamedDim, Segment, Shape};
use crate::base::{Problem, Span};
use crate::quantity::{Ends, Form, Length, ONE};

/// A shape that cannot be, and the dimensions that make it so.
#[derive(Clone, Debug, PartialEq)]
pub struct Impossible {
    pub fact: String,
    pub note: String,
    pub mend: String,
    /// What each dimension's place is labelled with.
    pub about: Vec<(Option<Span>, String)>,
}

impl Impossible {
    pub fn new(fact: impl Into<String>, note: impl Into<String>, mend: impl Into<String>) -> Impossible {
        Impossible { fact: fact.into(), note: note.into(), mend: mend.into(), about: vec![] }
    }

    pub(super) fn about(mut self, forms: &[&Form], dims: &[NamedDim]) -> Impossible {
        let mut numbers: Vec<u32> = vec![];
        for &(number, _) in forms.iter().flat_map(|f| &f.terms) {
            if !numbers.contains(&number) {
                numbers.push(number);
            }
        }
        for dim in numbers.iter().filter_map(|&n| dims.get(n as usize)) {
            let place = (dim.span, label(dim));
            if !self.about.iter().any(|(span, _)| *span == dim.span) {
                self.about.push(place);
            }
        }
        self
    }

    pub(super) fn at(mut self, span: Option<Span>, label: &str) -> Impossible {
        self.about.push((span, label.to_string()));
        self
    }

    /// As a problem of the part at `part`.
    pub fn problem(&self, part: Span) -> Problem {
        let mut problem = Problem::error("shape-impossible", self.fact.clone());
        for (span, label) in &self.about {
            if let Some(span) = span {
                problem = problem.at(*span, label.clone());
            }
        }
        if problem.places.is_empty() {
            problem = problem.at(part, "");
        }
        if !self.note.is_empty() {
            problem = problem.note(self.note.clone());
        }
        problem.mend(self.mend.clone())
    }
}

pub(super) fn ends(dims: &[NamedDim]) -> Vec<Ends> {
    let of = |d: &NamedDim| Ends {
        nominal: d.dimension.nominal.as_nm(),
        least: d.dimension.least().as_nm(),
        most: d.dimension.most().as_nm(),
    };
    dims.iter().map(of).collect()
}

pub(super) fn check(shape: &Shape) -> Vec<Impossible> {
    let mut found: Vec<Impossible> = vec![];
    for segment in shape.columns.iter().flat_map(|c| &c.segments) {
        found.extend(no_length(segment, shape));
        found.extend(no_metal(segment, shape));
    }
    let mut kept: Vec<Impossible> = vec![];
    for impossible in found {
        if !kept.iter().any(|k| k.about == impossible.about) {
            kept.push(impossible);
        }
    }
    kept
}

/// `form` can fall under `least` nanometres.
pub(super) fn under(form: &Form, least: i64, dims: &[NamedDim], what: &str) -> Option<Impossible> {
    let worst = form.least(&ends(dims));
    if worst >= least {
        return None;
    }
    let note = format!("{} leaves {} mm at worst", words(form, dims), Length::nm(worst));
    Some(Impossible::new(what, note, "correct one of these sizes, or their tolerances").about(&[form], dims))
}

fn no_length(segment: &Segment, shape: &Shape) -> Option<Impossible> {
    let surface = [segment.outside.surface, segment.bore.surface].into_iter().find(|s| !s.is_empty());
    let what = match (surface, segment.length.terms.len()) {
        (_, 1) => "this length can be nothing".to_string(),
        (Some(surface), _) => format!("no length is left for {surface}"),
        (None, _) => "no length is left".to_string(),
    };
    under(&segment.length, 1, &shape.dims, &what)
}

fn no_metal(segment: &Segment, shape: &Shape) -> Option<Impossible> {
    let ends = ends(&shape.dims);
    for end in [0, 1] {
        let (bore, outside) = (&segment.bore.diameter[end], &segment.outside.diameter[end]);
        let metal = outside.minus(bore);
        let worst = metal.least(&ends);
        if worst > 0 {
            continue;
        }
        let fact = match metal.nominal(&ends) > 0 {
            true => "the bore can be as large as the outside",
            false => "the bore is larger than the outside",
        };
        let note = format!(
            "bore up to {} mm, outside down to {} mm{}",
            Length::nm(bore.most(&ends)),
            Length::nm(outside.least(&ends)),
            if segment.outside.taper.is_some() { " at the thin end of the cone" } else { "" }
        );
        let mend = "correct one of these sizes, or their tolerances";
        return Some(Impossible::new(fact, note, mend).about(&[bore, outside], &shape.dims));
    }
    None
}

fn label(dim: &NamedDim) -> String {
    let (least, most) = (dim.dimension.least(), dim.dimension.most());
    if least == most { format!("{} {least}", dim.name) } else { format!("{} {least} to {most}", dim.name) }
}

/// `length - 2 × lip_height`.
fn words(form: &Form, dims: &[NamedDim]) -> String {
    let mut text = String::new();
    let mut terms: Vec<&(u32, i64)> = form.terms.iter().collect();
    terms.sort_by_key(|(_, k)| *k < 0);
    for &&(number, coefficient) in &terms {
        let name = dims.get(number as usize).map_or("?", |d| d.name.as_str());
        match (text.is_empty(), coefficient < 0) {
            (true, true) => text.push('-'),
            (false, true) => text.push_str(" - "),
            (false, false) => text.push_str(" + "),
            (true, false) => {}
        }
        if coefficient.abs() != ONE {
            text.push_str(&format!("{} × ", Length::nm(coefficient.abs())));
        }
        text.push_str(name);
    }
    if form.constant != 0 || text.is_empty() {
        let sign = if form.constant < 0 { "-" } else { "+" };
        text.push_str(&format!(" {sign} {}", Length::nm(form.constant.abs())));
    }
    text
}

//! Shapes from short forms as a book writes them, for tests here and above.

use super::*;
use crate::base::{Document, Layout, Problems, Sources};
use crate::quantity::Defaults;

static NOTHING_ELSE: Layout = Layout { name: "", header: "", place: "", about: "", keys: &[], also: &[] };

/// The shape, or every fact told on the way.
pub fn shape(kind: &str, text: &str) -> Result<Shape, Vec<String>> {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let file = sources.add("parts/a.toml", text);
    let document = Document::parse(&sources, file, &mut problems);
    let table = document.root();
    let kind = find(kind).expect("a kind");
    let defaults = Defaults::usual().expect("usual classes");
    let written = read_fields(kind, &table, &defaults, &mut problems);
    let at = table.span;
    complete(kind, &written, "it", at, &mut problems);
    let own: Vec<&'static str> = kind.fields.iter().map(|field| field.name).collect();
    table.finish_with("it", &NOTHING_ELSE, &own, &mut problems);
    let told = |problems: &Problems| problems.0.iter().map(|p| p.fact.clone()).collect::<Vec<_>>();
    if problems.any_error() {
        return Err(told(&problems));
    }
    let fields = Fields::assemble(kind, written).expect("whole fields");
    build(kind, &fields).map_err(|found| found.into_iter().map(|i| i.fact).collect())
}

pub fn good(kind: &str, text: &str) -> Shape {
    shape(kind, text).unwrap_or_else(|facts| panic!("{kind}: {facts:?}"))
}

//! Reads one `[[part]]` with its revisions. Must not know other parts.

use super::{OnHand, Part, Revision, Shop, layouts};
use crate::base::{Entry, Place, Problem, Problems, Span, Table, Text, suggest};
use crate::kinds::{
    self, Fields, Kind, Shape, UNUSUAL, Written, WrittenFields, WrittenValue, about_price, complete,
    misread_problem, must_change, read_fields, suggest_kind,
};
use crate::quantity::{Currency, Money, read_money, read_money_loose};

/// A part before it has an index. `loose` as written: a price decides where it is not.
pub(super) struct ReadPart {
    pub part: Part,
    pub loose: Option<bool>,
    pub variants: Vec<(Option<Revision>, Shape)>,
}

/// What all variants of a part have in common while it is read.
struct Context<'c> {
    kind: &'static Kind,
    /// `shim "wide-shim-alder"`.
    of: String,
    at: Span,
    base: WrittenFields,
    material: Option<String>,
    shop: &'c Shop,
}

pub(super) fn read_part(
    table: Table,
    id: Option<String>,
    shop: &Shop,
    problems: &mut Problems,
) -> Option<ReadPart> {
    let kind = read_kind(&table, problems)?;
    let of = match &id {
        Some(id) => format!("the {} {id}", kind.name),
        None => format!("a {}", kind.name),
    };
    let name = table.needed_text("name", &of, problems).and_then(|text| filled(text, problems));
    let maker = table.text("maker", problems).map(|t| t.value);
    let about = table.text("about", problems).map(|t| t.value);
    let price = table.get("price").and_then(|e| price(&e, shop.currency, problems));
    let loose = table.flag("loose", problems);
    let colours = table.texts("colours", problems).into_iter().map(|t| t.value).collect();
    let material = material(&table, shop, problems);
    let revisions = table.tables("revision", problems);
    let mut base = read_fields(kind, &table, &shop.defaults, problems);
    let at = table.span;
    let stands_as = stands_as(kind, &base, &table, problems);
    let own = field_names(kind);
    note_meant(kind, &mut base, table.finish_with(&of, &layouts::PART, &own, problems));
    let context = Context { kind, of, at, base, material, shop };
    let variants = variants(&context, revisions, problems)?;
    let part = Part {
        id: id?,
        kind: stands_as?,
        name: name?.value,
        maker,
        about,
        price,
        loose: false,
        on_hand: OnHand::Unknown,
        colours,
        variants: vec![],
        span: at,
    };
    Some(ReadPart { part, loose, variants })
}

/// A misspelt field is there, though it could not be read: it is not also missing.
fn note_meant(kind: &Kind, fields: &mut WrittenFields, meant: Vec<(&'static str, Span)>) {
    for (name, span) in meant {
        if kind.field(name).is_some() {
            fields.insert(name, Written { value: WrittenValue::Misread, span });
        }
    }
}

fn field_names(kind: &Kind) -> Vec<&'static str> {
    kind.fields.iter().map(|field| field.name).collect()
}

fn read_kind(table: &Table, problems: &mut Problems) -> Option<&'static Kind> {
    let text = table.needed_text("kind", "a part", problems)?;
    let kind = kinds::find(&text.value);
    if kind.is_none() {
        problems.push(kind_unknown(&text, suggest_kind(&text.value)));
    }
    kind
}

pub(crate) fn kind_unknown(text: &Text, near: Option<&str>) -> Problem {
    let names: Vec<&str> = kinds::all().iter().map(|k| k.name).collect();
    let mend = near.map_or("write one of these".to_string(), |near| format!("write \"{near}\""));
    Problem::error("kind-unknown", format!("there is no kind of part \"{}\"", text.value))
        .at(text.span, "")
        .note(format!("kinds: {}", names.join(", ")))
        .mend(mend)
}

/// The kind whose place the part takes: its own, or for custom parts the one they say.
fn stands_as(
    kind: &'static Kind,
    base: &WrittenFields,
    table: &Table,
    problems: &mut Problems,
) -> Option<&'static str> {
    let Some(written) = base.get("stands_as") else { return Some(kind.name) };
    let WrittenValue::Text(name) = &written.value else { return None };
    let found = kinds::find(name).filter(|k| k.name != kind.name);
    if found.is_none()
        && let Some(text) = table.text("stands_as", problems)
    {
        problems.push(kind_unknown(&text, suggest_kind(name)));
    }
    for surface in found.map(|kind| kinds::walls_missing(kind, base)).unwrap_or_default() {
        problems.push(wall_missing(name, surface, written.span));
    }
    found.map(|k| k.name)
}

/// A rule speaks of the walls of a kind by their names: of others nothing would be checked.
fn wall_missing(kind: &str, surface: &str, at: Span) -> Problem {
    let bore = kinds::find(kind).and_then(|k| k.role(surface)).is_some_and(|role| role.is_bore());
    let key = if bore { "bore_surface" } else { "outside_surface" };
    Problem::error("wall-missing", format!("it stands as a {kind}, and no ring of it has the wall {surface}"))
        .at(at, "")
        .note(format!(
            "rule files ask how the {surface} of a {kind} fits; without one nothing would be checked"
        ))
        .mend(format!("write {key} = \"{surface}\" in the rings that have it"))
}

/// A name that is there has letters in it.
pub(super) fn filled(text: Text, problems: &mut Problems) -> Option<Text> {
    if !text.value.trim().is_empty() {
        return Some(text);
    }
    problems.push(
        Problem::error("name-empty", "this name is empty")
            .at(text.span, "")
            .mend("write the name it has on pages"),
    );
    None
}

pub(super) fn price(entry: &Entry, currency: Currency, problems: &mut Problems) -> Option<Money> {
    let text = entry.size(problems)?;
    let money = read_money(&text.value, currency);
    let money = money.map_err(|misread| {
        let problem = misread_problem(&text, misread, "price-misread");
        // As a till would write it: what is meant is sure, and has to be written plainly here.
        problems.push(match read_money_loose(&text.value, currency) {
            Ok(meant) => problem.mend(format!("write \"{}\"", meant.plain())),
            Err(_) => problem,
        });
    });
    let money = money.ok();
    problems.0.extend(money.and_then(about_price).map(|question| question.problem(text.span)));
    money
}

fn material(table: &Table, shop: &Shop, problems: &mut Problems) -> Option<String> {
    let text = table.text("material", problems)?;
    if shop.materials.contains_key(&text.value) {
        return Some(text.value);
    }
    let names = || shop.materials.keys().map(String::as_str);
    let mend = match suggest(&text.value, names()) {
        Some(near) => format!("write \"{near}\""),
        None => {
            format!(
                "add \"{}\" = {{ strength = … }} to [materials] in content/shop.toml, in MPa; or leave material out: for a \
                 thread the weakest is assumed then",
                text.value
            )
        }
    };
    let fact = format!("the shop's file has no material \"{}\"", text.value);
    // One line that is missing there is one slip, however many parts name it.
    if let Some(told) = problems.0.iter_mut().find(|p| p.code == "material-unknown" && p.fact == fact) {
        told.places.push(Place { span: text.span, label: "and here".into() });
        return None;
    }
    problems.push(
        Problem::error("material-unknown", fact)
            .at(text.span, "")
            .note(format!("materials: {}", names().collect::<Vec<_>>().join(", ")))
            .mend(mend),
    );
    None
}

/// Every variant's shape; `None` when one of them cannot be.
fn variants(
    context: &Context,
    revisions: Vec<Table>,
    problems: &mut Problems,
) -> Option<Vec<(Option<Revision>, Shape)>> {
    if revisions.is_empty() {
        return shape(context, context.base.clone(), problems).map(|shape| vec![(None, shape)]);
    }
    let count = revisions.len();
    let mut ids: Vec<(String, Span)> = vec![];
    let mut read = vec![];
    for table in revisions {
        let span = table.span;
        let (revision, fields) = read_revision(context, table, problems);
        let shape = shape(context, fields, problems);
        let Some((revision, id_span)) = revision else { continue };
        if let Some((_, first)) = ids.iter().find(|(id, _)| *id == revision.id) {
            problems.push(
                Problem::error(
                    "revision-twice",
                    format!("{} has two revisions \"{}\"", context.of, revision.id),
                )
                .at(id_span, "listed again here")
                .at(*first, "first listed here")
                .mend("give one of them another id"),
            );
        }
        ids.push((revision.id.clone(), if id_span.range().is_empty() { span } else { id_span }));
        read.extend(shape.map(|shape| (Some(revision), shape)));
    }
    (read.len() == count).then_some(read)
}

/// The revision with the place of its id, and all fields with its own over the part's.
fn read_revision(
    context: &Context,
    table: Table,
    problems: &mut Problems,
) -> (Option<(Revision, Span)>, WrittenFields) {
    let of = format!("a revision of {}", context.of);
    let id = table.needed_text("id", &of, problems);
    let since = table.text("since", problems).map(|t| t.value);
    let tell = table.text("tell", problems).map(|t| t.value);
    let sold = table.flag("sold", problems).unwrap_or(true);
    let mut fields = context.base.clone();
    fields.extend(read_fields(context.kind, &table, &context.shop.defaults, problems));
    let own = field_names(context.kind);
    note_meant(context.kind, &mut fields, table.finish_with(&of, &layouts::REVISION, &own, problems));
    let revision = id.map(|id| (Revision { id: id.value, since, tell, sold }, id.span));
    (revision, fields)
}

/// Reports what all revisions share once.
fn shape(context: &Context, fields: WrittenFields, problems: &mut Problems) -> Option<Shape> {
    let mut found = Problems::default();
    let mut shape = None;
    if complete(context.kind, &fields, &context.of, context.at, &mut found) {
        let fields = Fields::assemble(context.kind, fields)?;
        match kinds::build(context.kind, &fields) {
            Ok(built) => shape = Some(built),
            Err(reasons) => {
                found.0.extend(reasons.iter().map(|reason| {
                    let problem = reason.problem(context.at);
                    Problem { fact: format!("{}: {}", context.of, problem.fact), ..problem }
                }));
            }
        }
    }
    for problem in found.0 {
        if !explained(&problem, problems) {
            problems.push_new(problem);
        }
    }
    let mut shape = shape?;
    shape.features.material = context.material.clone();
    Some(shape)
}

/// Where one of the sizes of an impossible shape is unusual, that is the mistake: it is told once, as one.
fn explained(problem: &Problem, problems: &mut Problems) -> bool {
    let spans: Vec<Span> = problem.places.iter().map(|p| p.span).collect();
    let asks = |p: &&mut Problem| p.code == UNUSUAL && p.places.iter().any(|p| spans.contains(&p.span));
    let Some(question) = problems.0.iter_mut().find(asks).filter(|_| problem.code == "shape-impossible")
    else {
        return false;
    };
    must_change(question, problem.fact.clone());
    true
}

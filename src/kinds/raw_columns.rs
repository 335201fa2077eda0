//! Reads `[[part.column]]` and its rings. Must not know what they are for.

use super::custom::{WallShape, WrittenColumn, WrittenRing, WrittenWall};
use super::questions::about_column_angle;
use super::reading::{asked, located, placed_dimension};
use super::shape::Cone;
use super::table::{self, Role};
use crate::base::{Entry, Problem, Problems, Table, suggest};
use crate::quantity::{Angle, Defaults, Dimension, Nature, Thread};

const RING: &str = "a ring of a column";
const COLUMN: &str = "a column";

pub(super) fn read_columns(
    entry: &Entry,
    defaults: &Defaults,
    problems: &mut Problems,
) -> Option<Vec<WrittenColumn>> {
    let items = entry.items();
    let mut columns = vec![];
    for item in &items {
        let Some(table) = item.table(problems) else { continue };
        columns.extend(read_column(table, defaults, problems));
    }
    (columns.len() == items.len() && !columns.is_empty()).then_some(columns)
}

fn read_column(table: Table, defaults: &Defaults, problems: &mut Problems) -> Option<WrittenColumn> {
    let name = column_name(&table, problems);
    let start = match table.get("start") {
        Some(entry) => placed_dimension(&entry, Nature::Height, defaults, problems),
        None => Some((Dimension::exactly(crate::quantity::Length::ZERO), table.span)),
    };
    let tables = match table.needed("ring", COLUMN, problems) {
        Some(_) => table.tables("ring", problems),
        None => vec![],
    };
    let count = tables.len();
    let rings: Vec<WrittenRing> =
        tables.into_iter().filter_map(|ring| read_ring(ring, defaults, problems)).collect();
    table.finish(COLUMN, &super::layouts::COLUMN, problems);
    (rings.len() == count && count > 0).then_some(WrittenColumn { name: name?, start: start?, rings })
}

fn column_name(table: &Table, problems: &mut Problems) -> Option<&'static str> {
    let text = table.needed_text("name", COLUMN, problems)?;
    let known: Vec<&str> = table::all().iter().flat_map(|k| k.columns).copied().collect();
    let found = table::column(&text.value);
    if found.is_none() {
        problems.push(unknown("column-unknown", "column", &text.value, &known).at(text.span, ""));
    }
    found
}

fn read_ring(table: Table, defaults: &Defaults, problems: &mut Problems) -> Option<WrittenRing> {
    let length = table
        .needed("length", RING, problems)
        .and_then(|entry| placed_dimension(&entry, Nature::Height, defaults, problems));
    let bore = read_wall(&table, &BORE, defaults, problems);
    let outside = read_wall(&table, &OUTSIDE, defaults, problems);
    table.finish(RING, &super::layouts::RING, problems);
    Some(WrittenRing { length: length?, bore: bore?, outside: outside? })
}

/// The field names of one wall.
struct WallFields {
    nature: Nature,
    plain: &'static str,
    bottom: &'static str,
    top: &'static str,
    angle: &'static str,
    opens: &'static str,
    thread: &'static str,
    surface: &'static str,
}

const BORE: WallFields = WallFields {
    nature: Nature::Bore,
    plain: "bore",
    bottom: "bore_bottom",
    top: "bore_top",
    angle: "bore_angle",
    opens: "bore_opens",
    thread: "bore_thread",
    surface: "bore_surface",
};

const OUTSIDE: WallFields = WallFields {
    nature: Nature::Outside,
    plain: "outside",
    bottom: "outside_bottom",
    top: "outside_top",
    angle: "outside_angle",
    opens: "outside_opens",
    thread: "outside_thread",
    surface: "outside_surface",
};

fn read_wall(
    table: &Table,
    names: &WallFields,
    defaults: &Defaults,
    problems: &mut Problems,
) -> Option<WrittenWall> {
    let surface = read_surface(table, names, problems);
    let given: Vec<Entry> =
        [names.plain, names.bottom, names.top, names.thread].iter().filter_map(|n| table.get(n)).collect();
    let (angle, opens) = (table.get(names.angle), table.get(names.opens));
    let [one] = given.as_slice() else {
        let at = given.last().map_or(table.span, |e| e.span);
        let expected =
            format!("exactly one of {}, {}, {} and {}", names.plain, names.bottom, names.top, names.thread);
        let fact = if given.is_empty() { "this wall has no diameter" } else { "this wall has two diameters" };
        problems.push(
            Problem::error("wall-unclear", fact)
                .at(at, "")
                .note(format!("expected {expected}"))
                .mend(format!("write {} = … alone", names.plain)),
        );
        return None;
    };
    let shape = if table.get(names.thread).is_some() {
        let text = one.text(problems)?;
        WallShape::Thread(located(&text, problems, "thread-misread", Thread::read)?)
    } else if table.get(names.plain).is_some() {
        let diameter = placed_dimension(one, names.nature, defaults, problems);
        if let Some(stray) = angle.or(opens) {
            let fact = format!("a cone has {} or {}, not {}", names.bottom, names.top, names.plain);
            problems.push(Problem::error("wall-unclear", fact).at(stray.key, "").mend("name the end"));
            return None;
        }
        WallShape::Cylinder(diameter?)
    } else {
        let gauge = placed_dimension(one, names.nature, defaults, problems);
        let half_angle = read_slope(table, names, problems);
        let cone = read_opens(table, names, problems);
        let at_top = table.get(names.top).is_some();
        WallShape::Cone { gauge: gauge?, at_top, half_angle: half_angle?, cone: cone? }
    };
    Some(WrittenWall { surface: surface?, shape })
}

fn read_slope(table: &Table, names: &WallFields, problems: &mut Problems) -> Option<Angle> {
    let text = table.needed(names.angle, RING, problems)?.size(problems)?;
    let angle = located(&text, problems, "angle-misread", Angle::read)?;
    if angle.tan2_micro().is_none() {
        problems.push(
            Problem::error("angle-misread", format!("{angle} is no half angle of a cone"))
                .at(text.span, "")
                .note("expected over 0 and under 90 degrees")
                .mend("write 45"),
        );
        return None;
    }
    asked(about_column_angle(angle), text.span, problems)?;
    Some(angle)
}

fn read_opens(table: &Table, names: &WallFields, problems: &mut Problems) -> Option<Cone> {
    let text = table.needed_text(names.opens, RING, problems)?;
    match text.value.as_str() {
        "wider" => Some(Cone::Wider),
        "narrower" => Some(Cone::Narrower),
        other => {
            let problem = unknown("choice-unknown", "way of a cone", other, &["wider", "narrower"]);
            problems.push(problem.at(text.span, "seen from below upward"));
            None
        }
    }
}

fn read_surface(table: &Table, names: &WallFields, problems: &mut Problems) -> Option<&'static str> {
    let Some(entry) = table.get(names.surface) else {
        return Some(if names.nature == Nature::Bore { "bore" } else { "outside" });
    };
    let text = entry.text(problems)?;
    let fits = |role: &Role| role.is_bore() == (names.nature == Nature::Bore);
    let known: Vec<&'static str> = table::all()
        .iter()
        .flat_map(|k| k.surfaces)
        .filter(|(_, role)| fits(role))
        .map(|(surface, _)| *surface)
        .collect();
    let found = known.iter().copied().find(|s| *s == text.value);
    let sort = if names.nature == Nature::Bore { "bore surface" } else { "outside surface" };
    if found.is_none() {
        problems.push(unknown("surface-unknown", sort, &text.value, &known).at(text.span, ""));
    }
    found
}

fn unknown(code: &'static str, what: &str, word: &str, known: &[&str]) -> Problem {
    let mut names: Vec<&str> = known.to_vec();
    names.sort_unstable();
    names.dedup();
    let near = suggest(word, names.iter().copied());
    let mend = near.map_or_else(|| "write one of these".to_string(), |near| format!("write \"{near}\""));
    Problem::error(code, format!("there is no {what} \"{word}\""))
        .note(format!("known: {}", names.join(", ")))
        .mend(mend)
}

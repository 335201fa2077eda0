//! Reads one `[[box]]`. Must not know whether what it holds exists.

use super::layouts;
use super::part::{filled, price};
use super::{OnHand, PartBox, Shop};
use crate::base::{Entry, Problem, Problems, Table, Text};

/// A box with the ids it holds as written.
pub(super) struct WrittenBox {
    pub the_box: PartBox,
    pub holds: Vec<WrittenHeld>,
}

/// A part as a box names it, and which revision of it, where the box says so.
pub(super) struct WrittenHeld {
    pub part: Text,
    pub revision: Option<Text>,
    pub count: u32,
}

pub(super) fn read_box(
    table: Table,
    id: Option<String>,
    shop: &Shop,
    problems: &mut Problems,
) -> Option<WrittenBox> {
    let of = id.as_ref().map_or("a box".to_string(), |id| format!("the box {id}"));
    let name = table.needed_text("name", &of, problems).and_then(|text| filled(text, problems));
    let maker = table.text("maker", problems).map(|t| t.value);
    let about = table.text("about", problems).map(|t| t.value);
    let price = table.get("price").and_then(|e| price(&e, shop.currency, problems));
    let sold = table.flag("sold", problems).unwrap_or(true);
    let holds = table.needed("holds", &of, problems);
    let held = holds.map(|e| e.items()).unwrap_or_default();
    if let Some(holds) = holds.filter(|_| held.is_empty()) {
        problems.push(
            Problem::error("box-empty", format!("{of} holds nothing"))
                .at(holds.span, "")
                .mend("list the ids of the parts in it, or take the box out"),
        );
    }
    let holds: Vec<WrittenHeld> = held.iter().filter_map(|entry| read_held(entry, problems)).collect();
    let span = table.span;
    table.finish(&of, &layouts::BOX, problems);
    let the_box = PartBox {
        id: id?,
        name: name?.value,
        maker,
        about,
        price,
        sold,
        on_hand: OnHand::Unknown,
        holds: vec![],
        span,
    };
    Some(WrittenBox { the_box, holds })
}

/// `"star-nut-28"` or `{ part = "star-nut-28", revision = "2", count = 2 }`.
fn read_held(entry: &Entry, problems: &mut Problems) -> Option<WrittenHeld> {
    if !entry.is_table() {
        return Some(WrittenHeld { part: entry.text(problems)?, revision: None, count: 1 });
    }
    let of = "what a box holds";
    let table = entry.table(problems)?;
    let part = table.needed_text("part", of, problems);
    let revision = table.text("revision", problems);
    let count = match table.get("count") {
        Some(entry) => entry
            .count(1_000, problems)
            .and_then(|n| if n == 0 { entry.refuse("a whole number over 0", problems) } else { Some(n) }),
        None => Some(1),
    };
    table.finish(of, &layouts::HELD, problems);
    Some(WrittenHeld { part: part?, revision, count: count? })
}

//! What a part drawn ring by ring must have to stand as a kind: the walls that rule files speak of. Must not know rules.

use super::custom::WallShape;
use super::{Ask, Kind, WrittenFields, WrittenValue};

/// Walls that every part of the kind has and by which it fits, and that none of the part's rings is named as. Empty
/// where its columns are not there, or could not be read.
pub fn walls_missing(kind: &'static Kind, fields: &WrittenFields) -> Vec<&'static str> {
    let Some(WrittenValue::Columns(columns)) = fields.get("column").map(|written| &written.value) else {
        return vec![];
    };
    let solid = |shape: &WallShape| matches!(shape, WallShape::Cylinder((d, _)) if d.most().as_nm() == 0);
    let rings = || columns.iter().flat_map(|column| &column.rings);
    let walls = || rings().flat_map(|ring| [&ring.bore, &ring.outside]).filter(|wall| !solid(&wall.shape));
    let asked =
        kind.asked.surfaces.iter().filter(|(name, asks)| asks.contains(&Ask::Fit) && kind.always_has(name));
    asked.map(|(name, _)| *name).filter(|name| walls().all(|wall| wall.surface != *name)).collect()
}

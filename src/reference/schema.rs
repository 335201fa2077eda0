//! JSON Schemas of the files of a book, made from the same tables, so that an editor completes and underlines. They are
//! a help and never stricter than the reader; what a size says is left to the reader.

use super::topics::{field_row, key_row};
use crate::base::{Holds, Key, Layout, Wanted};
use crate::catalogue::layouts::{PART, PARTS_FILE, REVISION, SHOP};
use crate::kinds::{self, Field, FieldType, Kind, Need};
use crate::rules::layouts::{HEADSET, SYSTEM};
use serde_json::{Map, Value, json};

/// Sorts of files that have one.
pub const SCHEMAS: [&str; 4] = ["parts", "shop", "system", "headset"];

/// The schema of one sort of file as text; empty for another name.
pub fn schema(name: &str) -> String {
    let mut root = match name {
        "parts" => of_layout(&PARTS_FILE),
        "shop" => of_layout(&SHOP),
        "system" => of_layout(&SYSTEM),
        "headset" => of_layout(&HEADSET),
        _ => return String::new(),
    };
    if let Some(map) = root.as_object_mut() {
        let mut head = Map::new();
        head.insert("$schema".into(), json!("http://json-schema.org/draft-07/schema#"));
        head.insert("title".into(), json!(format!("{name} file of a book")));
        head.append(map);
        *map = head;
    }
    let text = serde_json::to_string_pretty(&root).unwrap_or_default();
    text + "\n"
}

fn of_layout(layout: &Layout) -> Value {
    if layout.name == PART.name {
        return part();
    }
    let mut properties = Map::new();
    for key in layout.all_keys() {
        properties.insert(key.name.into(), of_key(key));
    }
    if layout.name == REVISION.name {
        return json!({ "type": "object", "properties": properties, "required": required(layout) });
    }
    json!({
        "type": "object",
        "description": layout.about,
        "properties": properties,
        "required": required(layout),
        "additionalProperties": false,
    })
}

/// Limits may stand in the headset alone, and lists in either.
fn required(layout: &Layout) -> Vec<&'static str> {
    let needed = |key: &&Key| key.need == Wanted::Always;
    match layout.name {
        "limits" => vec![],
        // The fork's slot has no rests_on; some entries are told by what they leave out.
        "slot" => vec!["name", "kinds", "put_on"],
        "sleeve" => vec!["outer", "inner", "clearance"],
        "thread" => vec!["male", "female", "engaged"],
        _ => layout.all_keys().filter(needed).map(|key| key.name).collect(),
    }
}

fn of_key(key: &Key) -> Value {
    let mut value = holds(key.holds);
    describe(&mut value, &key_row(key));
    value
}

fn describe(value: &mut Value, row: &super::Row) {
    let text = format!("{} ({}; {})\n{}", row.about, row.holds, row.need, row.example);
    if let Some(map) = value.as_object_mut() {
        map.insert("description".into(), json!(text));
    }
}

fn list_of(one: Value) -> Value {
    json!({ "anyOf": [one.clone(), { "type": "array", "items": one }] })
}

fn number() -> Value {
    json!({ "type": ["string", "number"] })
}

fn holds(holds: Holds) -> Value {
    match holds {
        Holds::Text => json!({ "type": "string" }),
        Holds::Texts => list_of(json!({ "type": "string" })),
        Holds::Flag => json!({ "type": "boolean" }),
        Holds::Count(most) => json!({ "type": "integer", "minimum": 0, "maximum": most }),
        Holds::Counts(most) => {
            json!({ "type": "array", "items": { "type": "integer", "minimum": 0, "maximum": most } })
        }
        Holds::Length | Holds::LengthOrNone | Holds::Size | Holds::Number | Holds::Price => number(),
        Holds::Lengths => json!({ "type": "array", "items": number(), "minItems": 2, "maxItems": 2 }),
        Holds::LeastAndMost => list_of(number()),
        Holds::Choice(choices) => json!({ "enum": choices }),
        Holds::Table(layout) => of_layout(layout),
        Holds::Tables(layout) => json!({ "type": "array", "items": of_layout(layout) }),
        Holds::TextsOrTables(layout) => {
            list_of(json!({ "anyOf": [{ "type": "string" }, of_layout(layout)] }))
        }
        Holds::NamedTables(layout) => json!({ "type": "object", "additionalProperties": of_layout(layout) }),
        Holds::Sizes => json!({ "type": "object", "additionalProperties": number() }),
    }
}

/// By its kind: all fields listed, needed ones asked for unless a revision may have them.
fn part() -> Value {
    let names: Vec<&str> = kinds::all().iter().map(|kind| kind.name).collect();
    let cases: Vec<Value> = kinds::all()
        .iter()
        .map(|kind| {
            json!({
                "if": { "properties": { "kind": { "const": kind.name } }, "required": ["kind"] },
                "then": of_kind(kind),
            })
        })
        .collect();
    json!({
        "type": "object",
        "description": PART.about,
        "properties": { "kind": { "enum": names, "description": "what it is" } },
        "required": ["kind", "id", "name"],
        "allOf": cases,
    })
}

fn of_kind(kind: &Kind) -> Value {
    let mut fields = Map::new();
    for field in kind.fields {
        fields.insert(field.name.into(), of_field(kind, field));
    }
    let mut revision = of_layout(&REVISION);
    if let Some(own) = revision.get_mut("properties").and_then(Value::as_object_mut) {
        own.extend(fields.clone());
    }
    revision["additionalProperties"] = json!(false);
    let mut properties = Map::new();
    for key in PART.keys {
        properties.insert(key.name.into(), if key.name == "revision" { Value::Null } else { of_key(key) });
    }
    properties.insert("revision".into(), json!({ "type": "array", "items": revision }));
    properties.insert("kind".into(), json!({ "const": kind.name, "description": kind.about }));
    properties.extend(fields);
    let needed: Vec<&str> = kind.fields.iter().filter(|f| f.need == Need::Required).map(|f| f.name).collect();
    json!({
        "description": kind.about,
        "properties": properties,
        "additionalProperties": false,
        "anyOf": [{ "required": ["revision"] }, { "required": needed }],
    })
}

fn of_field(kind: &Kind, field: &Field) -> Value {
    let mut value = match field.what {
        FieldType::Dimension(_)
        | FieldType::Angle
        | FieldType::Thread
        | FieldType::Torque
        | FieldType::KeySize
        | FieldType::Text => number(),
        FieldType::Dimensions(_) => list_of(number()),
        FieldType::Flag => json!({ "type": "boolean" }),
        FieldType::Choice(choices) => json!({ "enum": choices }),
        FieldType::Columns => holds(Holds::Tables(&kinds::COLUMN)),
    };
    describe(&mut value, &field_row(kind, field));
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sort_of_file_has_a_schema_and_no_other_has() {
        assert!(SCHEMAS.iter().all(|name| schema(name).contains("properties")));
        assert!(schema("stock").is_empty());
    }
}

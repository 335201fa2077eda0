//! The JSON Schemas that editors are given, held to every file of the demo book and to slips, by a schema validator.

use std::fs;
use std::path::Path;

use benchleaf::reference::{SCHEMAS, schema};
use boon::{Compiler, SchemaIndex, Schemas};
use serde_json::Value;
use walkdir::WalkDir;

struct Held {
    schemas: Schemas,
    parts: SchemaIndex,
    shop: SchemaIndex,
    system: SchemaIndex,
    headset: SchemaIndex,
}

fn held() -> Held {
    let mut schemas = Schemas::new();
    let mut compiler = Compiler::new();
    let mut made = |name: &str| {
        let url = format!("http://benchleaf.example/{name}.json");
        compiler.add_resource(&url, serde_json::from_str(&schema(name)).unwrap()).unwrap();
        compiler.compile(&url, &mut schemas).unwrap_or_else(|error| panic!("{name}: {error:#}"))
    };
    let [parts, shop, system, headset] = ["parts", "shop", "system", "headset"].map(&mut made);
    Held { schemas, parts, shop, system, headset }
}

impl Held {
    /// By where the file lies; nothing for words.
    fn sort(&self, path: &str) -> Option<SchemaIndex> {
        match path {
            "content/shop.toml" => Some(self.shop),
            _ if path.starts_with("parts/") => Some(self.parts),
            _ if path.starts_with("content/systems/") => Some(self.system),
            _ if path.starts_with("content/headsets/") => Some(self.headset),
            _ => None,
        }
    }

    fn check(&self, sort: SchemaIndex, text: &str) -> Result<(), String> {
        let table: toml::Table = text.parse().unwrap();
        let json: Value = serde_json::to_value(table).unwrap();
        self.schemas.validate(&json, sort).map_err(|error| format!("{error:#}"))
    }
}

#[test]
fn every_file_of_the_demo_book_and_of_a_new_one_is_as_its_schema_says() {
    let held = held();
    let home = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut checked = 0;
    for (root, inside) in
        [(home.to_path_buf(), ["content", "parts"]), (home.join("tests/good/plain"), ["content", "parts"])]
    {
        for folder in inside {
            for entry in WalkDir::new(root.join(folder)).sort_by_file_name().into_iter().flatten() {
                let path = entry.path().strip_prefix(&root).unwrap().to_str().unwrap().replace('\\', "/");
                let Some(sort) = held.sort(&path).filter(|_| path.ends_with(".toml")) else { continue };
                let text = fs::read_to_string(entry.path()).unwrap();
                held.check(sort, &text).unwrap_or_else(|error| panic!("{path}: {error}"));
                checked += 1;
            }
        }
    }
    assert!(checked >= 20, "{checked}");
}

#[test]
fn slips_are_underlined() {
    let held = held();
    let shim = "[[part]]\nid = \"a\"\nkind = \"shim\"\nname = \"A\"\ninside = \"28.7\"\noutside = 31.8\nlength = \"50\"\n";
    assert_eq!(held.check(held.parts, shim), Ok(()));
    for (sort, text) in [
        (held.parts, shim.replace("inside", "insied")),
        (held.parts, shim.replace("\"shim\"", "\"schim\"")),
        (held.parts, shim.replace("length = \"50\"\n", "")),
        (held.parts, shim.replace("31.8", "true")),
        (held.parts, format!("{shim}steerer_bore = \"22\"\n")),
        (held.parts, "[[parts]]\nid = \"a\"\n".into()),
        (held.shop, "name = \"A\"\n".into()),
        (held.shop, "name = \"A\"\ncurrency = \"EUR\"\nunits = \"inch\"\n".into()),
        (held.system, "name = \"A\"\nsummary = \"A.\"\npulled = \"cap\"\n[[slot]]\nname = \"x\"\nkinds = [\"cap\"]\nput_on = \"above\"\n".into()),
        (held.headset, "name = \"A\"\n".into()),
    ] {
        assert!(held.check(sort, &text).is_err(), "{text}");
    }
}

#[test]
fn the_program_writes_each_schema() {
    for name in SCHEMAS {
        let mut program = assert_cmd::Command::new(env!("CARGO_BIN_EXE_benchleaf"));
        let output = program.args(["reference", "--schema", name]).output().unwrap();
        assert_eq!(String::from_utf8(output.stdout).unwrap(), schema(name));
    }
}

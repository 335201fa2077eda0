//! A share of the demo book: two forks, two systems, a headset and what goes on them. Knows nothing of what goes.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use std::path::Path;

use benchleaf::base::BookFiles;

use crate::book::files_in;

const PARTS: [&str; 28] = [
    "fork-heron",
    "fork-tern",
    "race-30",
    "bearing-45",
    "bearing-36",
    "ring-standard",
    "ring-low",
    "top-cap-standard",
    "top-cap-tall",
    "deck-curlew",
    "deck-dunlin",
    "spacer-28-5",
    "spacer-28-2",
    "riser-28-9",
    "bars-mere",
    "bars-broad",
    "bars-fen",
    "sleeve-28",
    "cap-pan",
    "cap-dish",
    "bolt-m8-30",
    "bolt-m8-40",
    "bolt-m8-60",
    "star-nut-22",
    "clamp-hatch",
    "clamp-sluice",
    "shim-alder",
    "liner-willow",
];

const SYSTEMS: [&str; 2] = ["cap-in-clamp", "wide-shim"];

/// All of it but the theme, which is the program's own.
pub fn files() -> BookFiles {
    files_with(&[])
}

/// With some more parts of the demo book.
pub fn files_with(more: &[&str]) -> BookFiles {
    let ids: Vec<&str> = PARTS.iter().chain(more).copied().collect();
    let mut files = files_in(Path::new(env!("CARGO_MANIFEST_DIR")), &["content", "parts"]);
    let texts: Vec<String> = files
        .iter()
        .filter(|(path, _)| path.starts_with("parts/") && path.ends_with(".toml"))
        .map(|(_, bytes)| String::from_utf8_lossy(bytes).into_owned())
        .collect();
    let blocks = texts.iter().flat_map(|text| text.split("[[part]]\n").skip(1));
    let own = |block: &&str| ids.iter().any(|id| block.starts_with(&format!("id = \"{id}\"\n")));
    let parts: Vec<&str> =
        blocks.filter(own).map(|block| block.split("\n[[box]]").next().unwrap_or(block)).collect();
    assert_eq!(parts.len(), ids.len(), "a part of the demo book is gone");
    let parts: String = parts.iter().map(|part| format!("[[part]]\n{part}")).collect();
    let system = |path: &str| SYSTEMS.iter().any(|id| path.starts_with(&format!("content/systems/{id}.")));
    files.retain(|path, _| {
        // It leads to parts that are not here.
        path != "content/pages/words.md"
            && !path.starts_with("parts/")
            && (!path.starts_with("content/systems/") || system(path))
            && path != "content/headsets/threaded.toml"
    });
    let boxes = "[[box]]\nid = \"box-tern\"\nname = \"Tern front end\"\nprice = \"99.00\"\n\
                 holds = [\"fork-tern\", \"race-30\", { part = \"bearing-45\", count = 2 }, \"cap-pan\"]\n";
    files.insert("parts/all.toml".to_string(), format!("{parts}\n{boxes}").into_bytes());
    files.insert(
        "parts/stock.csv".to_string(),
        b"id,price,on_hand\nspacer-28-5,1.00,0\ncap-dish,9.00,2\n".to_vec(),
    );
    files
}

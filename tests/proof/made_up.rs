//! Small books made from a number, with a file of every sort. Knows nothing of what goes.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use benchleaf::base::BookFiles;

/// A book of every kind of file: two forks, one system, some fifteen parts, boxes, a stock list.
pub fn made_up(seed: u64) -> BookFiles {
    let (parts, stock) = crate::drafts::texts(seed);
    let texts: [(&str, &str); 9] = [
        ("content/shop.toml", include_str!("../../content/shop.toml")),
        ("content/systems/capped.toml", include_str!("small.toml")),
        ("content/systems/capped.md", "# Capped clamp\n\nA *cap* lies on top, see the bench.\n"),
        ("content/words/en.toml", "[verdict]\ngoes = \"It goes\"\n\n[length]\nvalue = \"{value} mm\"\n"),
        ("content/pages/about.md", "# About\n\nA bench, | a | b |\n\n- one\n- two\n"),
        ("content/safety/before-you-ride.md", include_str!("../../content/safety/before-you-ride.md")),
        ("themes/bench/prose.html", include_str!("../../themes/bench/prose.html")),
        ("parts/all.toml", &parts),
        ("parts/stock.csv", &stock),
    ];
    texts.iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect()
}

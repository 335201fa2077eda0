//! Headset pieces of usual sizes: parts of the demo book without what is its own (maker, price, material, colours), so
//! that a book begins with a headset and measures its own later. Must not know what kinds of parts there are.

use super::File;

/// Parts that are asked for together.
pub struct Pieces {
    pub name: &'static str,
    /// One line on what is in it.
    pub about: &'static str,
    /// Ids of its parts.
    ids: &'static [&'static str],
}

/// All sets, in the order in which they are told.
pub static PIECES: [Pieces; 3] = [
    Pieces {
        name: "headset",
        about: "crown race, bearing, compression rings and top caps for conical seats of 45 degrees",
        ids: &[
            "race-30",
            "bearing-45",
            "ring-standard",
            "ring-slim",
            "top-cap-standard",
            "top-cap-tall",
            "top-cap-slim",
            "top-cap-slim-tall",
        ],
    },
    Pieces {
        name: "spacers",
        about: "spacers for steerers of 28.6 mm and of 25.4 mm",
        ids: &[
            "spacer-28-2",
            "spacer-28-3",
            "spacer-28-5",
            "spacer-28-10",
            "spacer-25-1",
            "spacer-25-2",
            "spacer-25-5",
            "spacer-25-10",
        ],
    },
    Pieces {
        name: "threaded-headset",
        about: "threaded races, washers and locknuts for steerers with a thread on the outside",
        ids: &["threaded-race-28", "threaded-race-25", "washer-28", "washer-25", "locknut-28", "locknut-25"],
    },
];

const FILES: [File; 3] = [
    ("parts/headset/integrated.toml", include_str!("../../parts/headset/integrated.toml")),
    ("parts/headset/spacers.toml", include_str!("../../parts/headset/spacers.toml")),
    ("parts/headset/threaded.toml", include_str!("../../parts/headset/threaded.toml")),
];

/// Fields that are the demo shop's own.
const OWN: [&str; 5] = ["maker", "about", "price", "material", "colours"];

const HEAD: &str = "\
# Usual sizes of headset pieces (from memory, no source). They are a beginning: measure yours with a caliper, and write
# what it shows over what stands here.
";

impl Pieces {
    /// Its parts as a parts file: sizes as the demo book has them, sold loose, without a price.
    pub fn text(&self) -> String {
        let parts = FILES.iter().flat_map(|(_, text)| text.split("\n[[part]]\n").skip(1));
        let ours =
            parts.filter(|part| self.ids.iter().any(|id| part.starts_with(&format!("id = \"{id}\"\n"))));
        ours.fold(HEAD.to_string(), |text, part| text + "\n[[part]]\n" + &usual(part))
    }
}

/// One part without what is the demo shop's own.
fn usual(part: &str) -> String {
    let own = |line: &str| OWN.iter().any(|field| line.starts_with(&format!("{field} = ")));
    let mut text = String::new();
    for line in part.lines().take_while(|line| !line.is_empty()).filter(|line| !own(line)) {
        text.push_str(line);
        text.push('\n');
        if line.starts_with("name = ") {
            text.push_str("about = \"Usual sizes, from memory, no source: measure yours.\"\nloose = true\n");
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_set_has_all_its_parts_and_nothing_of_the_demo_shop() {
        for set in &PIECES {
            let text = set.text();
            for id in set.ids {
                assert!(text.contains(&format!("\nid = \"{id}\"\n")), "{}: {id}", set.name);
            }
            assert_eq!(text.matches("\nloose = true\n").count(), set.ids.len());
            for field in ["maker", "price", "material", "colours"] {
                assert!(!text.contains(&format!("\n{field} = ")), "{}: {field}", set.name);
            }
            assert!(text.parse::<toml::Table>().is_ok(), "{}", set.name);
        }
    }
}

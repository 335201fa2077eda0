//! The page for whoever keeps the book: every topic of the reference, and for each kind an example drawn with its
//! calipers. Must not know what a topic says.

use super::book::Book;
use super::drawings::part_as_written;
use crate::base::{BookFiles, Problems, Sources};
use crate::catalogue::{Catalogue, read_catalogue, read_shop};
use crate::kinds;
use crate::reference::{bare_part, topics};
use crate::site::Reference;
use std::collections::BTreeMap;

/// A shop that sets nothing: sizes are as they stand in the example.
const PLAIN_SHOP: &str = "name = \"examples\"\ncurrency = \"EUR\"\n";

/// Nothing unless the shop's file asks for it.
pub fn reference(book: &Book) -> Option<Reference> {
    let description = book.words.word("drawing.calipers");
    book.shop.reference.then(|| Reference { topics: topics(), drawings: drawings(&description) })
}

/// By kind; a kind of which no example can be drawn has none.
fn drawings(description: &str) -> BTreeMap<String, String> {
    let mut drawn = BTreeMap::new();
    for kind in kinds::all() {
        let Some((id, text)) = bare_part(kind.name) else { continue };
        let Some(catalogue) = example(&text) else { continue };
        let Some(part) = catalogue.find(&id).map(|ix| catalogue.part(ix)) else { continue };
        let variant = part.variants.first().map(|ix| catalogue.variant(*ix));
        let svg = variant.and_then(|variant| part_as_written(kind.name, part, variant, description));
        drawn.extend(svg.map(|svg| (kind.name.to_string(), svg)));
    }
    drawn
}

fn example(text: &str) -> Option<Catalogue> {
    let files = BookFiles::from([
        ("content/shop.toml".to_string(), PLAIN_SHOP.as_bytes().to_vec()),
        ("parts/example.toml".to_string(), text.as_bytes().to_vec()),
    ]);
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let shop = read_shop(&files, &mut sources, &mut problems)?;
    read_catalogue(&files, &shop, &mut sources, &mut problems)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_an_example_that_can_be_drawn_with_its_calipers() {
        let drawn = drawings("");
        for kind in kinds::all() {
            assert!(
                drawn.get(kind.name).is_some_and(|svg| svg.contains("data-drawing=\"part\"")),
                "{}",
                kind.name
            );
        }
    }
}

//! Small books for tests, read whole from texts. Knows nothing of what is asked of them.

use super::{Rule, read_rules};
use crate::base::{BookFiles, Problems, Sources};
use crate::catalogue::{Catalogue, Shop, read_catalogue, read_shop};

/// Shop, rules and parts of files by path; a mistake in them fails the test.
pub fn read(texts: &[(&str, &str)]) -> (Shop, Vec<Rule>, Catalogue) {
    let files: BookFiles =
        texts.iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect();
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let shop = read_shop(&files, &mut sources, &mut problems);
    let rules = read_rules(&files, &mut sources, &mut problems);
    let catalogue = shop.as_ref().and_then(|shop| read_catalogue(&files, shop, &mut sources, &mut problems));
    match (shop, rules, catalogue) {
        (Some(shop), Some(rules), Some(catalogue)) => (shop, rules, catalogue),
        _ => panic!("{:#?}", problems.0),
    }
}

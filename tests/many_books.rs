//! The books that the benches make: as many guides as asked for, the same each time, and nothing wrong in them.

use benchleaf::compile::{ids, inspect};

use crate::many::many;

#[test]
fn a_made_book_has_as_many_guides_as_asked_for_and_no_error_and_is_the_same_each_time() {
    for guides in [90, 100, 2_000] {
        let book = many(guides);
        let (problems, _) = inspect(&book);
        assert!(!problems.any_error(), "{guides}: {:#?}", problems.0);
        let listed = ids(&book).ok().unwrap();
        let count = |sort: &str| listed.iter().filter(|one| one.sort == sort).count();
        let made = count("fork") * count("systems");
        assert!((guides..guides + count("systems")).contains(&made), "{guides}: {made}");
    }
    assert!(many(2_000) == many(2_000));
    let (fewer, more) = (many(90), many(2_000));
    assert!(fewer.iter().all(|(path, bytes)| more.get(path) == Some(bytes)), "all of the demo book is in it");
}

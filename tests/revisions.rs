//! Parts in boxes that say which revision they hold, or leave it open: each a fact about a small book. Knows nothing of how
//! answers are found.

use crate::book;
use crate::seventh;

use benchleaf::base::{BookFiles, Problems, Sources};
use benchleaf::catalogue::{VariantIx, read_catalogue, read_shop};
use benchleaf::solve::{Answer, Article, ShopStrengths, Supply, Verdict};
use book::Book;
use seventh::{PARTS, SHOP, book_of, with};

/// Revision 1 of the shim goes; revision 2 does not go over the steerer. `sold`: of the first.
const NARROW: &str = "[[part.revision]]\nid = \"1\"\ntell = \"a groove\"\n{sold}\n[[part.revision]]\nid = \"2\"\ninside = \"27 ±0.1\"\n";
/// Both go.
const LONGER: &str =
    "[[part.revision]]\nid = \"1\"\n\n[[part.revision]]\nid = \"2\"\nlength = \"50.05 ±0.1\"\n";

/// The shim in these revisions, sold loose or not, and the fork's box with everything else.
fn parts(revisions: &str, loose: &str, shim: &str, more: &str) -> String {
    let parts = with(PARTS, "shim", "loose", loose);
    let from = parts.find("id = \"collar\"").unwrap() - "[[part]]\n".len();
    let held =
        "\"fork\", \"race\", { part = \"bearing\", count = 2 }, \"ring\", \"top-cap\", \"cap\", \"bolt\"";
    format!(
        "{}{revisions}\n{}\n[[box]]\nid = \"box-fork\"\nname = \"Fork box\"\nprice = \"99\"\nholds = [{held}{shim}]\n{more}",
        &parts[..from],
        &parts[from..]
    )
}

fn narrow(sold: &str) -> String {
    NARROW.replace("{sold}", sold)
}

fn answers(parts: &str) -> (Book, Vec<Answer>) {
    let book = book_of(parts);
    let strengths = ShopStrengths(&book.shop);
    let answers = book.bench(&strengths).answers(book.catalogue.find("fork").unwrap(), 0);
    (book, answers)
}

fn verdicts(answers: &[Answer]) -> Vec<(Verdict, Option<Supply>)> {
    answers.iter().map(|a| (a.verdict, a.supply)).collect()
}

fn revision(book: &Book, v: VariantIx) -> &str {
    book.catalogue.variant(v).revision.as_ref().map_or("", |r| &r.id)
}

/// In which revision each answer has the shim.
fn shims<'b>(book: &'b Book, answers: &[Answer]) -> Vec<&'b str> {
    let shim = |a: &Answer| {
        let item = a.stack.items.iter().find(|i| i.name == "shim").unwrap();
        revision(book, item.variant)
    };
    answers.iter().map(shim).collect()
}

const BOXED: (Verdict, Option<Supply>) = (Verdict::Goes, Some(Supply::AsBoxed));
const EXTRA: (Verdict, Option<Supply>) = (Verdict::Goes, Some(Supply::ExtraParts));
const NO: (Verdict, Option<Supply>) = (Verdict::No, None);

#[test]
fn what_goes_with_one_revision_that_may_be_in_the_box_never_goes() {
    let (book, answers) = answers(&parts(&narrow(""), "false", ", \"shim\"", ""));
    assert_eq!(verdicts(&answers), [BOXED, NO]);
    let taken: Vec<&str> = answers.iter().map(|a| revision(&book, a.boxed[0].pieces[0].0)).collect();
    assert_eq!(taken, ["1", "2"]);
}

#[test]
fn a_box_that_says_which_revision_it_holds_holds_no_other() {
    let said = |id: &str| format!(", {{ part = \"shim\", revision = \"{id}\" }}");
    let (_, first) = answers(&parts(&narrow(""), "false", &said("1"), ""));
    assert_eq!(verdicts(&first), [BOXED]);
    let (_, second) = answers(&parts(&narrow(""), "false", &said("2"), ""));
    assert_eq!(verdicts(&second), [NO]);
}

#[test]
fn a_revision_that_is_made_no_more_is_owned_only_where_its_box_says_so() {
    let own_second = ", { part = \"shim\", revision = \"2\" }";
    let (_, owned) = answers(&parts(&narrow("sold = false"), "true", own_second, ""));
    assert_eq!(verdicts(&owned), [NO], "the first would go, but nobody has or sells it");
    let own_first = ", { part = \"shim\", revision = \"1\" }";
    let (_, owned) = answers(&parts(&narrow("sold = false"), "true", own_first, ""));
    assert_eq!(verdicts(&owned), [BOXED]);
}

#[test]
fn a_shop_hands_over_the_revision_that_is_asked_for() {
    let (book, answers) = answers(&parts(&narrow(""), "true", "", ""));
    assert_eq!(verdicts(&answers), [EXTRA]);
    let Article::Part(bought) = answers[0].buy[0].article else { panic!("a part is bought") };
    assert_eq!((revision(&book, bought), answers[0].boxed.len()), ("1", 0));
}

#[test]
fn with_the_wrong_revision_in_the_own_box_the_right_one_is_bought() {
    let (book, answers) = answers(&parts(&narrow(""), "true", ", \"shim\"", ""));
    assert_eq!(verdicts(&answers), [BOXED, EXTRA]);
    assert_eq!(shims(&book, &answers), ["1", "1"]);
}

#[test]
fn one_plan_for_both_revisions_that_may_be_in_the_box_goes_as_boxed_with_each() {
    let (book, answers) = answers(&parts(LONGER, "false", ", \"shim\"", ""));
    assert_eq!(verdicts(&answers), [BOXED, BOXED]);
    assert_eq!(shims(&book, &answers), ["1", "2"]);
}

#[test]
fn of_a_box_still_to_be_bought_a_plan_without_it_comes_first_where_it_goes_with_some_only() {
    let kit = "[[box]]\nid = \"box-kit\"\nname = \"Kit\"\nprice = \"1.00\"\nholds = [\"shim\"]\n";
    let (book, dearer) = answers(&parts(&narrow(""), "true", "", kit));
    assert_eq!((verdicts(&dearer), shims(&book, &dearer)), (vec![EXTRA], vec!["1"]));
    assert!(matches!(dearer[0].buy[0].article, Article::Part(_)), "{:?}", dearer[0].buy);
    // Sold in no other way it depends on what is in the kit.
    let (_, kit_only) = answers(&parts(&narrow(""), "false", "", kit));
    assert_eq!(verdicts(&kit_only), [EXTRA, NO]);
    // Where either goes the kit is bought, whatever is in it.
    let (book, either) = answers(&parts(LONGER, "true", "", kit));
    assert_eq!((verdicts(&either), shims(&book, &either)), (vec![EXTRA, EXTRA], vec!["1", "2"]));
    assert!(either.iter().all(|a| matches!(a.buy[0].article, Article::Box(_))));
}

#[test]
fn a_box_can_say_only_revisions_that_there_are() {
    let text = parts(&narrow(""), "true", ", { part = \"shim\", revision = \"3\" }", "");
    let files: BookFiles = [("content/shop.toml", SHOP), ("parts/all.toml", text.as_str())]
        .map(|(path, text)| (path.to_string(), text.as_bytes().to_vec()))
        .into();
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let shop = read_shop(&files, &mut sources, &mut problems).unwrap();
    assert!(read_catalogue(&files, &shop, &mut sources, &mut problems).is_none());
    assert_eq!(problems.0[0].fact, "shim has no revision \"3\"");
    assert_eq!(problems.0[0].notes, ["its revisions: 1, 2"]);
}

#[test]
fn crake_pulled_from_below_goes_with_the_revision_that_is_drilled_and_not_with_the_other() {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let fork = book.catalogue.find("fork-crake").unwrap();
    let answers = book.bench(&strengths).answers(fork, book.system("pulled-from-below"));
    assert_eq!(verdicts(&answers), [NO, EXTRA]);
}

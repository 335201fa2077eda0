//! What an author is told of an edit: the file, the part, the field, from what to what; and that the reason told for an answer
//! found anew is the one for which it was.

use benchleaf::base::BookFiles;
use benchleaf::compile::{Decision, Kept, What, compile_again, edits, find_page, why};

use crate::small_demo;

fn book(texts: &[(&str, &str)]) -> BookFiles {
    texts.iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect()
}

/// One line each, of one file that reads so and then so.
fn told(path: &str, before: &str, now: &str) -> Vec<String> {
    let all = edits(&book(&[(path, before)]), &book(&[(path, now)]));
    let line = |what: What| match what {
        What::Field { of, field, from, to } => {
            let value = |value: Option<String>| value.unwrap_or("-".into());
            format!("{of}.{field}: {} > {}", value(from), value(to))
        }
        other => format!("{other:?}"),
    };
    all.into_iter()
        .map(|edit| {
            assert_eq!(edit.path, path);
            line(edit.what)
        })
        .collect()
}

#[test]
fn fields_of_parts_and_of_their_revisions_are_told_with_both_values() {
    let before = "[[part]]\nid = \"a\"\nname = \"Holm\"\noutside = \"28.55\"\nprice = 3\n\
                  [[part]]\nid = \"b\"\nname = \"Fen\"\n[[part.revision]]\nid = \"1\"\nlength = \"9\"\n";
    let now = "[[part]]\nid = \"b\"\nname = \"Fen\"\n[[part.revision]]\nid = \"1\"\nlength = \"10\"\n\
               [[part]]\nid = \"a\"\nname = \"Holm\"\noutside = \"28.60\"\nloose = true\n\
               [[part]]\nid = \"c\"\nname = \"Wold\"\n";
    assert_eq!(
        told("parts/all.toml", before, now),
        [
            "Holm.loose: - > true",
            "Holm.outside: 28.55 > 28.60",
            "Holm.price: 3 > -",
            "Fen, revision 1.length: 9 > 10",
            "New { of: \"Wold\" }",
        ]
    );
}

#[test]
fn rows_of_a_list_are_told_by_their_ids_and_texts_and_comments_by_their_file() {
    let before = "id,price,on_hand\ncap,9.00,2\nrod,4.00,1\n";
    let now = "id,price,on_hand\ncap,9.50,2\nnut,1.00,\n";
    assert_eq!(
        told("parts/stock.csv", before, now),
        ["cap.price: 9.00 > 9.50", "New { of: \"nut\" }", "Gone { of: \"rod\" }"]
    );
    assert_eq!(told("content/pages/a.md", "# A\n", "# B\n"), ["Text"]);
    assert_eq!(told("parts/a.toml", "x = 1\n", "x = 1 # counted\n"), ["Text"]);
    assert_eq!(told("parts/a.toml", "x = = 1\n", "x = 1\n"), ["Text"]);
    assert_eq!(told("content/shop.toml", "[t]\nx = [1, 2]\n", "[t]\nx = [1]\n"), [".t.x: [1, 2] > [1]"]);
    // Two rows that nobody can tell apart.
    assert_eq!(told("parts/stock.csv", "id,price\na,1\na,2\n", "id,price\na,1\na,3\n"), ["Text"]);
}

#[test]
fn files_that_come_and_go_are_told_and_the_same_book_is_no_edit() {
    let (one, two) = (book(&[("parts/a.toml", "x = 1")]), book(&[("parts/b.toml", "x = 1")]));
    let all: Vec<_> = edits(&one, &two).into_iter().map(|edit| (edit.path, edit.what)).collect();
    assert_eq!(all, [("parts/a.toml".into(), What::FileGone), ("parts/b.toml".into(), What::NewFile)]);
    assert_eq!(edits(&one, &one), []);
}

/// The book with this text for that in a file of it.
fn with(files: &BookFiles, path: &str, from: &str, to: &str) -> BookFiles {
    let text = String::from_utf8(files[path].clone()).unwrap();
    assert!(text.contains(from), "{path} has no {from}");
    let mut files = files.clone();
    files.insert(path.to_owned(), text.replacen(from, to, 1).into_bytes());
    files
}

#[test]
fn the_reason_told_of_a_page_is_the_one_for_which_its_answers_were_found_anew() {
    let begin = small_demo::files();
    let kept = Kept::default();
    compile_again(&begin, &kept, &|_| ());
    let guide = "guides/fork-heron/wide-shim.html";
    let first = why(&begin, &kept, guide).unwrap();
    let own = ("fork-heron".to_string(), "wide-shim".to_string());
    assert_eq!(first.answers[0], (own.clone(), Decision::NothingKept));
    assert!(first.made_from["parts/all.toml"].contains("shim-alder"));
    // All of it, though there is a change in it that every answer reads.
    assert!(first.made_from["content/systems/wide-shim.toml"].is_empty());
    // It tells the ways from the fork's other systems, whose parts count for it, too; another fork's do not.
    assert!(first.made_from.contains_key("content/systems/cap-in-clamp.toml"));
    assert!(!first.made_from["parts/all.toml"].contains("fork-tern"));

    // As from one process to the next.
    let kept = Kept::from_bytes(&kept.to_bytes([7; 32]), [7; 32]);
    let decisions = |files: &BookFiles, page: &str| -> Vec<Decision> {
        compile_again(files, &kept, &|_| ());
        why(files, &kept, page).unwrap().answers.into_iter().map(|(_, decision)| decision).collect()
    };
    let others = |names: &[&str]| Decision::Others(names.iter().map(|name| name.to_string()).collect());
    // Only the other system has a place for a bar sleeve.
    let sleeve = with(&begin, "parts/all.toml", "length = \"64 ±0.2\"", "length = \"63 ±0.2\"");
    assert_eq!(decisions(&sleeve, guide), [Decision::Kept, others(&["parts/all.toml sleeve-28"])]);
    let stock = with(&sleeve, "parts/stock.csv", "9.00,2", "9.50,2");
    let row = others(&["parts/stock.csv cap-dish"]);
    assert_eq!(decisions(&stock, guide), [row.clone(), row]);
    assert_eq!(decisions(&stock, "systems/wide-shim.html"), [Decision::Kept, Decision::Kept]);
    let sentence = with(&stock, "parts/all.toml", "name = \"Heron fork\"", "name = \"Heron\"");
    assert_eq!(decisions(&sentence, "index.html"), vec![Decision::Kept; 4]);
    assert_eq!(decisions(&sentence, "pages/about.html"), []);
}

#[test]
fn a_guide_that_leads_to_other_forks_rests_on_their_answers_and_a_page_on_the_parts_that_it_draws() {
    let mut files = small_demo::files();
    files.insert("content/pages/drawn.md".to_owned(), b"# Drawn\n\n![](/parts/cap-dish.html)\n".to_vec());
    let kept = Kept::default();
    let pages = compile_again(&files, &kept, &|_| ()).pages;
    let (forks, systems) = (["fork-heron", "fork-tern"], ["cap-in-clamp", "wide-shim"]);
    let mut led = 0;
    for (fork, other) in [(forks[0], forks[1]), (forks[1], forks[0])] {
        for system in systems {
            let guide = format!("guides/{fork}/{system}.html");
            let told = why(&files, &kept, &guide).unwrap();
            assert_eq!(told.answers.len(), systems.len(), "{guide}");
            let others: Vec<_> = told.others.iter().map(|(pair, _)| pair.clone()).collect();
            let leads =
                String::from_utf8_lossy(&pages[&guide]).contains(&format!("guides/{other}/{system}.html"));
            if leads {
                led += 1;
                assert_eq!(others, [(other.to_string(), system.to_string())], "{guide}");
                assert!(told.made_from["parts/all.toml"].contains(other), "{guide}");
            }
        }
    }
    assert!(led > 0, "no guide of the book leads to another fork");
    let shown = |page: &str| why(&files, &kept, page).unwrap().shown_with;
    assert!(shown("pages/drawn.html").contains(&"parts/all.toml".to_string()));
    assert!(!shown("pages/about.html").contains(&"parts/all.toml".to_string()));
    // All routes lead to other forks.
    assert_eq!(why(&files, &kept, "upgrades/fork-tern.html").unwrap().answers.len(), 4);
}

#[test]
fn a_page_is_found_by_its_path_or_a_piece_of_it_that_no_other_has() {
    let pages =
        ["guides/a/x.html", "guides/a/x/wide.html", "guides/b/x.html", "index.html", "parts/index.html"];
    let pages = pages.map(String::from);
    let found =
        |typed: &str| find_page(typed, pages.iter()).map_err(|problem| (problem.code, problem.notes.len()));
    for (typed, page) in [
        ("guides/a/x.html", "guides/a/x.html"),
        ("guides/a/x", "guides/a/x.html"),
        ("/index.html", "index.html"),
        ("b/x", "guides/b/x.html"),
        ("wide", "guides/a/x/wide.html"),
        ("in", "index.html"),
    ] {
        assert_eq!(found(typed), Ok(page), "{typed}");
    }
    assert_eq!(found("guides/"), Err(("why-page-several", 3)));
    assert_eq!(found("gides/a/x.html"), Err(("why-page-unknown", 0)));
    assert_eq!(found(""), Err(("why-page-unknown", 0)));
}

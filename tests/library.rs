//! The tests that ask the library, as one program: built and linked once, and shared out over all cores. Above what they
//! share, below one file for each thing that is held.
//!
//! Two programs, this and `program.rs` (what runs the program itself), so that they are linked twice and not fifty times; a
//! new file is named in one of them. Test names are facts. A test that takes the real disk uses a temporary folder.

#[path = "proof/angled.rs"]
mod angled;
#[path = "proof/book.rs"]
mod book;
#[path = "proof/changed_demo.rs"]
mod changed_demo;
#[path = "proof/drafts.rs"]
mod drafts;
#[path = "proof/entries.rs"]
mod entries;
#[path = "proof/hand/mod.rs"]
mod hand;
#[path = "proof/legible.rs"]
mod legible;
#[path = "proof/linear.rs"]
mod linear;
#[path = "proof/made_up.rs"]
mod made_up;
#[path = "benches/fresh/many.rs"]
mod many;
#[path = "proof/market.rs"]
mod market;
#[path = "proof/mutating.rs"]
mod mutating;
#[path = "proof/pile.rs"]
mod pile;
#[path = "proof/programme.rs"]
mod programme;
#[path = "site/sample.rs"]
mod sample;
#[path = "proof/seventh.rs"]
mod seventh;
#[path = "proof/small_demo.rs"]
mod small_demo;
#[path = "proof/trying.rs"]
mod trying;
#[path = "site_book/world.rs"]
mod world;

mod angles;
mod bad_books;
mod boxed_revisions;
mod brute_force;
mod builds;
mod by_hand;
mod coming;
mod daggers;
mod determinism;
mod doubts;
mod drawings;
mod drawn_site;
mod edits;
mod effort;
mod ends;
mod exact;
mod extremes;
mod glance;
mod head_tube;
mod held;
mod kept;
mod key;
mod last_resort;
mod left_out;
mod many_books;
mod mutants;
mod own;
mod own_demo;
mod readings;
mod reasons;
mod revisions;
mod routes;
mod sampling;
mod schemas;
mod sections;
mod sheets;
mod site;
mod site_book;
mod site_decks;
mod standards;
mod tidy;
mod wanted;
mod way_up;

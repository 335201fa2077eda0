//! The tests that run the program itself, as one program: built and linked once.

#[path = "proof/book.rs"]
mod book;
#[path = "faults/books.rs"]
mod books;
#[path = "proof/small_demo.rs"]
mod small_demo;

mod begin;
mod memory;
mod packages;
mod shell_cli;
mod shell_disk;
mod shell_faults;
mod shell_fresh;
mod shell_left;
mod shell_preview;
mod shell_publish;
mod shell_watch;

//! The site from the outside: a book and hand-made guides in, pages out.

mod pages;
mod theme;
mod world;

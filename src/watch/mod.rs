//! Compiles again whenever a book changes. Knows when, never what.

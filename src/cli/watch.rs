//! `watch`: to come.
use super::Ending;
use super::args;
pub fn run(_typed: &args::Watch) -> Ending {
    Ending::Done
}

//! Completions and the manual page, made from the command line's own description. Knows no command.

use clap::CommandFactory;

use super::args::{Asked, Completions};
use super::{Ending, say};

pub fn completions(typed: &Completions) -> Ending {
    let mut text = vec![];
    clap_complete::generate(typed.shell, &mut Asked::command(), "benchleaf", &mut text);
    say::results([String::from_utf8_lossy(&text).as_ref()].into_iter(), Ending::Done)
}

/// The program's page, and one section for each command.
pub fn manual() -> Ending {
    let mut text = vec![];
    let mut command = Asked::command();
    command.build();
    let written = clap_mangen::Man::new(command.clone()).render(&mut text).and_then(|()| {
        command.get_subcommands().try_for_each(|sub| {
            let page = clap_mangen::Man::new(sub.clone());
            page.render_synopsis_section(&mut text)?;
            page.render_description_section(&mut text)?;
            page.render_options_section(&mut text)
        })
    });
    match written {
        Ok(()) => say::results([String::from_utf8_lossy(&text).as_ref()].into_iter(), Ending::Done),
        Err(error) => super::broken_machine::tell("making the manual page", &error),
    }
}

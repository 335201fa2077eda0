//! The program's door: hands the command line over and passes the exit code back. Knows nothing else.

use std::process::ExitCode;

fn main() -> ExitCode {
    benchleaf::cli::main()
}

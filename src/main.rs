//! The program: everything is in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    // What it was built from; nothing where that is no checkout.
    ladderday::cli::run(git_version::git_version!(
        args = ["--always", "--dirty=+", "--exclude=*"],
        fallback = ""
    ))
}

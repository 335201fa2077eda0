//! What is handed out can be made, holds what it should, and works: `.ci/packages/make` on the program that the tests built.
//! On machines without `bash` and GNU `tar` there is nothing to test.
#![cfg(target_os = "linux")]

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

/// Standard output; fails with all that was said.
fn run(program: &str, arguments: &[&str], in_folder: &Path) -> String {
    let output = Command::new(program)
        .args(arguments)
        .current_dir(in_folder)
        .env("BENCHLEAF_PROGRAM", env!("CARGO_BIN_EXE_benchleaf"))
        .output()
        .unwrap_or_else(|error| panic!("{program}: {error}"));
    let said = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    assert!(output.status.success(), "{}\n{}", said(&output.stdout), said(&output.stderr));
    said(&output.stdout)
}

#[test]
fn the_archive_and_the_debian_package_have_all_that_belongs_in_them_and_their_programs_work() {
    let project = Path::new(env!("CARGO_MANIFEST_DIR"));
    let scratch = tempfile::tempdir().unwrap();
    let out = scratch.path().join("out");
    // It uses what it packed, and fails where that does not work.
    let told = run("bash", &[".ci/packages/make", "--check", out.to_str().unwrap()], project);
    assert!(told.contains(concat!("benchleaf ", env!("CARGO_PKG_VERSION"), ": ")), "{told}");

    let name = concat!("benchleaf-", env!("CARGO_PKG_VERSION"));
    let archive = run("tar", &["-tzf", &format!("{name}.tar.gz")], &out);
    let archive: BTreeSet<&str> = archive.lines().collect();
    let wanted = "benchleaf benchleaf.1 README.md CHANGELOG.md LICENSE-MIT LICENSE-APACHE completions/benchleaf.bash \
                  completions/benchleaf.fish completions/benchleaf.zsh schemas/parts.json schemas/shop.json \
                  schemas/system.json schemas/headset.json demo/content/shop.toml demo/public/index.html \
                  demo/public/reference.html";
    let wanted = wanted.split_whitespace();
    let absent: Vec<&str> =
        wanted.filter(|path| !archive.contains(format!("{name}/{path}").as_str())).collect();
    assert_eq!(absent, Vec::<&str>::new(), "{archive:#?}");

    let Ok(_) = Command::new("dpkg-deb").arg("--version").output() else { return };
    let deb = run("dpkg-deb", &["-c", &format!("benchleaf_{}.deb", env!("CARGO_PKG_VERSION"))], &out);
    for path in [
        "./usr/bin/benchleaf",
        "./usr/share/man/man1/benchleaf.1.gz",
        "./usr/share/doc/benchleaf/copyright",
        "./usr/share/bash-completion/completions/benchleaf",
    ] {
        assert!(deb.lines().any(|line| line.ends_with(path)), "{path} is not in\n{deb}");
    }
}

//! What the program is built of: licences that go with its own, one registry, nothing that is not used.

use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn output(program: &str, arguments: &[&str]) -> String {
    let made = Command::new(program).args(arguments).current_dir(root()).output().unwrap();
    assert!(made.status.success(), "{program}: {}", String::from_utf8_lossy(&made.stderr));
    String::from_utf8(made.stdout).unwrap()
}

/// Every package that is built on this machine, tests and benches included.
fn packages() -> Vec<Value> {
    let version = output(&std::env::var("RUSTC").unwrap_or("rustc".into()), &["-vV"]);
    let host = version.lines().find_map(|l| l.strip_prefix("host: ")).unwrap();
    let text = output(env!("CARGO"), &["metadata", "--format-version", "1", "--locked", "--filter-platform", host]);
    serde_json::from_str::<Value>(&text).unwrap()["packages"].as_array().unwrap().clone()
}

/// The licences `deny.toml` allows.
fn allowed() -> BTreeSet<String> {
    let text = fs::read_to_string(root().join("deny.toml")).unwrap();
    let list = text.split_once("allow = [").unwrap().1.split_once(']').unwrap().0;
    list.split(',').map(|l| l.trim().trim_matches('"').to_owned()).filter(|l| !l.is_empty()).collect()
}

/// Whether an expression such as `(MIT OR Apache-2.0) AND Unicode-3.0` can be met with these licences; `/` is an older way of writing OR.
fn is_met(expression: &str, allowed: &BTreeSet<String>) -> bool {
    let plain = expression.replace('/', " OR ").replace(['(', ')'], " ");
    let parts = plain.split(" AND ");
    parts.into_iter().all(|part| part.split(" OR ").any(|one| allowed.contains(one.trim())))
}

#[test]
fn licences_go_with_ours() {
    let allowed = allowed();
    let packages = packages();
    assert!(packages.len() > 50, "only {} packages were listed", packages.len());
    for package in packages {
        let licence = package["license"].as_str().unwrap_or_else(|| panic!("{} names no licence", package["name"]));
        assert!(is_met(licence, &allowed), "{} is under {licence}", package["name"]);
    }
}

#[test]
fn an_expression_is_met_by_one_of_or_and_each_of_and() {
    let allowed = ["MIT", "Zlib"].map(str::to_owned).into();
    for met in ["MIT", "GPL-3.0 OR MIT", "GPL-3.0/MIT", "(GPL-3.0 OR MIT) AND Zlib"] {
        assert!(is_met(met, &allowed), "{met}");
    }
    for unmet in ["GPL-3.0", "MIT AND GPL-3.0", "(MIT OR Zlib) AND GPL-3.0"] {
        assert!(!is_met(unmet, &allowed), "{unmet}");
    }
}

#[test]
fn everything_comes_from_the_one_registry() {
    for package in packages() {
        let source = package["source"].as_str().unwrap_or("");
        let is_ours = package["name"] == "wheeldraft" && source.is_empty();
        assert!(is_ours || source.starts_with("registry+"), "{} comes from `{source}`", package["name"]);
    }
}

/// Packages that the library is built of with these features, itself left out.
fn built_of(features: &[&str]) -> BTreeSet<String> {
    let fixed = ["tree", "--locked", "--edges", "normal", "--prefix", "none", "--no-default-features"];
    let text = output(env!("CARGO"), &[&fixed, features].concat());
    text.lines().filter_map(|l| l.split(' ').next()).filter(|n| *n != "wheeldraft").map(str::to_owned).collect()
}

#[test]
fn the_numbers_alone_are_built_of_under_fifty_packages() {
    let (numbers, all) = (built_of(&[]), built_of(&["--features", "cli,web,pdf"]));
    assert!(numbers.len() < 50, "{} packages: {numbers:?}", numbers.len());
    assert!(numbers.contains("serde_json") && !numbers.contains("pdf-writer") && !numbers.contains("clap"));
    assert!(all.len() > 2 * numbers.len() && all.is_superset(&numbers));
}

/// Names of the packages under a heading of Cargo.toml.
fn named_under(heading: &str) -> Vec<String> {
    let text = fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let rest = text.split_once(&format!("[{heading}]\n")).unwrap().1;
    rest.lines().take_while(|l| !l.starts_with('[')).filter_map(|l| Some(l.split_once(" =")?.0.to_owned())).collect()
}

fn sources(folders: &[&str]) -> String {
    fn read(path: &Path, into: &mut String) {
        for entry in fs::read_dir(path).unwrap() {
            let path = entry.unwrap().path();
            match path.is_dir() {
                true => read(&path, into),
                false if path.extension().is_some_and(|e| e == "rs") => {
                    into.push_str(&fs::read_to_string(path).unwrap())
                }
                false => {}
            }
        }
    }
    let mut all = String::new();
    folders.iter().for_each(|f| read(&root().join(f), &mut all));
    all
}

#[test]
fn nothing_is_built_that_is_not_used() {
    for (heading, folders) in
        [("dependencies", &["src"][..]), ("dev-dependencies", &["src", "tests", "benches", "fuzz/src"][..])]
    {
        let code = sources(folders);
        let named = named_under(heading);
        assert!(!named.is_empty());
        for name in named {
            let path = format!("{}::", name.replace('-', "_"));
            assert!(code.contains(&path), "{name} is among the {heading} and no code uses it");
        }
    }
}

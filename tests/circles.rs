//! No two files of the program need each other, neither directly nor by way of others: each can be read after those it uses.
//!
//! A module and the files of its own folder count as one whole: they share their names upwards and downwards.

use super::architecture::sources;
use std::collections::{BTreeMap, BTreeSet};

type Path = Vec<String>;

/// The paths that begin with `crate`, `super` or `self`, a braced list taken apart.
fn paths(code: &str) -> Vec<Path> {
    let mut found = Vec::new();
    for root in ["crate", "super", "self"] {
        for (at, _) in code.match_indices(&format!("{root}::")) {
            let before = code[..at].chars().next_back();
            if !before.is_some_and(|c| c.is_alphanumeric() || matches!(c, '_' | ':' | '$')) {
                tree(&code[at..], &[], &mut found);
            }
        }
    }
    found
}

/// Reads one branch of a path, and gives what follows it.
fn tree<'a>(text: &'a str, before: &[String], found: &mut Vec<Path>) -> &'a str {
    let text = text.trim_start();
    let length = text.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(text.len());
    let (name, rest) = text.split_at(length);
    let path: Path = before.iter().cloned().chain((!name.is_empty()).then(|| name.to_owned())).collect();
    let Some(rest) = rest.strip_prefix("::") else {
        found.push(path);
        return rest;
    };
    let Some(mut rest) = rest.trim_start().strip_prefix('{') else { return tree(rest, &path, found) };
    while !rest.trim_start().starts_with('}') && !rest.is_empty() {
        rest = tree(rest, &path, found);
        // a new name, `as …`, is passed over
        rest = &rest[rest.find([',', '}']).unwrap_or(rest.len())..];
        rest = rest.strip_prefix(',').unwrap_or(rest);
    }
    rest.trim_start().strip_prefix('}').unwrap_or(rest)
}

/// The module that a path written in another one leads to; `None` where it leads to none of the program's.
fn led_to(path: &[String], from: &[String], known: &BTreeSet<Path>) -> Option<Path> {
    let mut at: Path = match path[0].as_str() {
        "crate" => Vec::new(),
        _ => from.to_vec(),
    };
    for step in path {
        match step.as_str() {
            "crate" | "self" => {}
            "super" => drop(at.pop()),
            name => at.push(name.to_owned()),
        }
    }
    while !at.is_empty() && !known.contains(&at) {
        at.pop();
    }
    (!at.is_empty()).then_some(at)
}

/// Which modules each one uses, those above and below it left out.
fn uses(modules: &[(Path, String)]) -> BTreeMap<Path, BTreeSet<Path>> {
    let known: BTreeSet<Path> = modules.iter().map(|(path, _)| path.clone()).collect();
    let used = |(from, code): &(Path, String)| {
        let to = paths(code).into_iter().filter_map(|path| led_to(&path, from, &known));
        (from.clone(), to.filter(|to| !to.starts_with(from) && !from.starts_with(to)).collect())
    };
    modules.iter().map(used).collect()
}

/// A way that comes back to where it began; `None` where there is none.
fn circle(uses: &BTreeMap<Path, BTreeSet<Path>>) -> Option<String> {
    fn follow<'a>(
        at: &'a Path,
        uses: &'a BTreeMap<Path, BTreeSet<Path>>,
        way: &mut Vec<&'a Path>,
        done: &mut BTreeSet<&'a Path>,
    ) -> Option<String> {
        if let Some(first) = way.iter().position(|p| *p == at) {
            let names = way[first..].iter().copied().chain([at]).map(|path| path.join("::"));
            return Some(names.collect::<Vec<_>>().join(" → "));
        }
        if !done.insert(at) {
            return None;
        }
        way.push(at);
        let found = uses.get(at)?.iter().find_map(|next| follow(next, uses, way, done));
        way.pop();
        found
    }
    let mut done = BTreeSet::new();
    uses.keys().find_map(|from| follow(from, uses, &mut Vec::new(), &mut done))
}

#[test]
fn no_circle_of_files() {
    let modules: Vec<(Path, String)> = sources()
        .into_iter()
        .filter(|s| !matches!(s.room.as_str(), "main" | "lib"))
        .map(|s| {
            let mut path: Path = s.path.with_extension("").iter().map(|p| p.to_string_lossy().into_owned()).collect();
            path.pop_if(|last| last == "mod");
            (path, s.code)
        })
        .collect();
    assert_eq!(circle(&uses(&modules)), None);
}

/// The test itself: lists in braces, paths within functions, a way over three files, and what is no circle.
#[test]
fn a_circle_is_found_where_there_is_one() {
    let module = |path: &str, code: &str| (path.split("::").map(str::to_owned).collect::<Path>(), code.to_owned());
    let of = |modules: &[(Path, String)]| circle(&uses(modules));
    let a = module("room::a", "use super::{b::{One as Other, two}, Top};");
    let b = module("room::b", "fn f() { super::c::g(); }");
    assert_eq!(of(&[a.clone(), b.clone(), module("room::c", "use crate::room::{Top, d};"), module("room", "")]), None);
    let c = module("room::c", "use crate::room::{Top, d,\n    a::Three};");
    assert_eq!(of(&[a, b, c, module("room", "")]).as_deref(), Some("room::a → room::b → room::c → room::a"));
    // a folder's own file and the files of the folder
    assert_eq!(of(&[module("room", "use crate::room::a::One;"), module("room::a", "use super::Top;")]), None);
}

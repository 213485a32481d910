//! The house rules of the source, held by reading it: ranks of the rooms, module docs, no printing, no clock, no unwrap, no endless files.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The rooms, lowest rank first; a room uses only rooms of lower ranks.
const RANKS: &[&[&str]] = &[
    &["both", "quantity", "tolerance"],
    &["certainty", "language", "money", "size"],
    &["geometry"],
    &["drawing"],
    &["json", "list"],
    &["order"],
    &["profile"],
    &["wheel"],
    &["section"],
    &["groove"],
    &["reach"],
    &["side_view"],
    &["solid"],
    &["properties"],
    &["rules"],
    &["state"],
    &["dossier"],
    &["report"],
    &["sheet", "cutting", "shop"],
    &["book", "intake", "quote", "repeat", "takeoff"],
    &["simulate"],
    &["course"],
    &["export"],
    &["pack"],
    &["front"],
    &["web"],
    &["cli"],
];

/// A writer of file formats knows only what it writes.
const ONLY_FOR_EXPORT: &[&str] = &["drawing", "report", "geometry", "quantity", "solid"];

/// The doors: they alone print, and know files, clock and environment.
const DOORS: &[&str] = &["cli", "web", "main", "lib"];

/// Most lines of a source file.
const MOST_LINES: usize = 600;

/// Most lines of a function, its signature and closing brace included.
const MOST_LINES_OF_A_FUNCTION: usize = 60;

/// What may panic, and why.
const MAY_PANIC: &[(&str, &str)] = &[
    // the font's bytes are compiled in, and a test parses them
    ("drawing/font.rs", ".expect("),
    // the limits and the guide are compiled in, and tests read them
    ("rules/shop/mod.rs", "panic!("),
    ("rules/guide.rs", "panic!("),
];

/// One source file without comments and without its tests.
pub struct Source {
    pub path: PathBuf,
    pub room: String,
    /// Folders between `src` and the file, the file's own module included.
    depth: usize,
    text: String,
    pub code: String,
}

fn rust_files(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            rust_files(&path, into);
        } else if path.extension().is_some_and(|e| e == "rs") {
            into.push(path);
        }
    }
}

pub fn sources() -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    rust_files(&root, &mut files);
    files.sort();
    assert!(files.len() > 20, "the source is not where it is looked for");
    files.iter().map(|path| source(&root, path)).collect()
}

fn source(root: &Path, path: &Path) -> Source {
    let text = fs::read_to_string(path).unwrap();
    let relative = path.strip_prefix(root).unwrap();
    let mut parts: Vec<String> =
        relative.with_extension("").components().map(|c| c.as_os_str().to_string_lossy().into_owned()).collect();
    if parts.last().is_some_and(|p| p == "mod") {
        parts.pop();
    }
    let code = code_of(&text);
    Source { path: relative.to_owned(), room: parts[0].clone(), depth: parts.len(), text, code }
}

/// The code up to the tests at the end of the file, comments left out. A `//` inside a text hides the rest of its line, which only makes the
/// check blind for that line.
fn code_of(text: &str) -> String {
    let code = text.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
    code.lines().map(|l| l.split("//").next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}

/// Names after `crate::`, also those of a braced list.
fn rooms_used(code: &str) -> BTreeSet<String> {
    let word = |s: &str| s.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let mut found = BTreeSet::new();
    for (at, _) in code.match_indices("crate::") {
        // `$crate::` and names such as `my_crate::` are something else
        if code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let rest = code[at + "crate::".len()..].trim_start();
        let Some(list) = rest.strip_prefix('{') else {
            found.insert(word(rest));
            continue;
        };
        let (mut depth, mut begins) = (0, true);
        for (i, c) in list.char_indices() {
            match c {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => begins = true,
                c if begins && !c.is_whitespace() => {
                    found.insert(word(&list[i..]));
                    begins = false;
                }
                _ => {}
            }
        }
    }
    found
}

fn rank(room: &str) -> Option<usize> {
    RANKS.iter().position(|r| r.contains(&room))
}

/// What is wrong with a room's use of others.
fn rank_faults(room: &str, used: &BTreeSet<String>) -> Vec<String> {
    let Some(own) = rank(room) else { return vec![format!("`{room}` has no rank; add it to RANKS and to lib.rs")] };
    let mut faults = Vec::new();
    for other in used.iter().filter(|u| *u != room) {
        match rank(other) {
            // a macro or an item of lib.rs itself
            None => faults.push(format!("`{room}` uses `crate::{other}`, which is no room")),
            Some(r) if r >= own => faults.push(format!("`{room}` uses `{other}`, which is not of a lower rank")),
            Some(_) if room == "export" && !ONLY_FOR_EXPORT.contains(&other.as_str()) => {
                faults.push(format!("`export` uses `{other}`; it may use only {ONLY_FOR_EXPORT:?}"));
            }
            Some(_) => {}
        }
    }
    faults
}

#[track_caller]
fn none(faults: &[String]) {
    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
}

#[test]
fn a_room_uses_only_lower_ranks() {
    let mut faults = Vec::new();
    for s in sources().iter().filter(|s| !matches!(s.room.as_str(), "main" | "lib")) {
        for fault in rank_faults(&s.room, &rooms_used(&s.code)) {
            faults.push(format!("{}: {fault}", s.path.display()));
        }
        // so many supers in a row leave the room
        if s.code.contains(&"super::".repeat(s.depth)) {
            faults.push(format!("{}: leaves its room by `super::`; write `crate::`", s.path.display()));
        }
    }
    none(&faults);
}

#[test]
fn quantity_uses_nothing() {
    for s in sources().iter().filter(|s| matches!(s.room.as_str(), "quantity" | "tolerance")) {
        assert!(rooms_used(&s.code).iter().all(|u| *u == s.room), "{}", s.path.display());
    }
}

#[test]
fn lib_names_every_room_and_every_room_exists() {
    let sources = sources();
    let lib = &sources.iter().find(|s| s.room == "lib").unwrap().code;
    let rooms: BTreeSet<&str> =
        sources.iter().map(|s| s.room.as_str()).filter(|r| !matches!(*r, "lib" | "main")).collect();
    for room in rooms {
        assert!(lib.contains(&format!("mod {room};")), "lib.rs does not declare `{room}`");
    }
}

#[test]
fn every_module_says_what_it_is() {
    let silent = sources().into_iter().filter(|s| !s.text.starts_with("//! "));
    none(&silent.map(|s| format!("{} does not start with //!", s.path.display())).collect::<Vec<_>>());
}

#[test]
fn only_the_doors_print_or_know_the_world() {
    let world = [
        "println!",
        "print!",
        "eprintln!",
        "eprint!",
        "dbg!",
        "stdout()",
        "stderr()",
        "stdin()",
        "std::env",
        "env::var",
        "std::fs",
        "std::net",
        "std::process",
        "std::time",
        "SystemTime",
        "Instant::",
        "std::thread",
        "tokio::",
        "File::open",
        "File::create",
    ];
    let mut faults = Vec::new();
    for s in sources().iter().filter(|s| !DOORS.contains(&s.room.as_str())) {
        // threads are begun in one place
        let is_allowed = |word: &str| s.room == "both" && word == "std::thread";
        for word in world.iter().filter(|w| s.code.contains(**w) && !is_allowed(w)) {
            faults.push(format!("{}: {word}", s.path.display()));
        }
    }
    none(&faults);
}

#[test]
fn nothing_outside_tests_unwraps_or_panics() {
    let mut faults = Vec::new();
    for s in sources() {
        for word in [".unwrap()", ".expect(", "panic!(", "todo!(", "unimplemented!(", "unreachable!("] {
            if s.code.contains(word) && !MAY_PANIC.iter().any(|(f, w)| s.path == Path::new(f) && *w == word) {
                faults.push(format!("{}: {word}", s.path.display()));
            }
        }
    }
    none(&faults);
}

#[test]
fn no_file_is_endless() {
    let mut files = Vec::new();
    for folder in ["src", "tests", "examples", "benches"] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        if folder.is_dir() {
            rust_files(&folder, &mut files);
        }
    }
    let long =
        files.iter().map(|f| (f, fs::read_to_string(f).unwrap().lines().count())).filter(|(_, n)| *n > MOST_LINES);
    none(&long.map(|(f, n)| format!("{} has {n} lines, more than {MOST_LINES}", f.display())).collect::<Vec<_>>());
}

/// A small number has a name, a unit and a reason.
#[test]
fn small_numbers_stand_in_tolerance_alone() {
    let is_small = |word: &str| {
        word.split_once("e-").is_some_and(|(a, b)| {
            let digits = |t: &str| t.starts_with(|c: char| c.is_ascii_digit());
            digits(a) && digits(b)
        })
    };
    let words = |line: &str| -> Vec<String> {
        line.split(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_'))).map(str::to_owned).collect()
    };
    let mut faults = Vec::new();
    for s in sources().iter().filter(|s| !matches!(s.room.as_str(), "tolerance" | "quantity")) {
        for line in s.code.lines().filter(|l| words(l).iter().any(|w| is_small(w))) {
            faults.push(format!("{}: {}", s.path.display(), line.trim()));
        }
    }
    none(&faults);
    assert!(is_small("1e-9") && is_small("2.5e-12") && !is_small("e-9") && !is_small("one-2"));
}

/// Tests in the documentation: the front door is shown at every step.
#[test]
fn the_front_door_is_shown_in_tested_documentation() {
    let fences = |s: &Source| s.text.lines().filter(|l| l.trim_start().starts_with("/// ```")).count();
    let tests: usize = sources().iter().map(|s| fences(s) / 2).sum();
    assert!(tests >= 30, "{tests} tests in the documentation");
}

/// Functions with the number of their lines, found by the indentation that formatting gives.
fn functions(code: &str) -> Vec<(String, usize)> {
    let lines: Vec<&str> = code.lines().collect();
    let mut found = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let indent = &line[..line.len() - line.trim_start().len()];
        let words: Vec<&str> = line.split_whitespace().collect();
        let Some(at) = words.iter().position(|w| *w == "fn") else { continue };
        let plain = words[..at].iter().all(|w| w.starts_with("pub") || ["const", "super)", "crate)"].contains(w));
        if !plain || line.ends_with(['}', ';']) {
            continue;
        }
        let end = lines[i..].iter().position(|l| *l == format!("{indent}}}"));
        let name = words.get(at + 1).map_or("", |w| w.split(['(', '<']).next().unwrap_or(""));
        found.push((name.to_owned(), end.map_or(1, |n| n + 1)));
    }
    found
}

#[test]
fn no_function_is_endless() {
    let mut faults = Vec::new();
    for s in sources() {
        for (name, lines) in functions(&s.code).into_iter().filter(|(_, n)| *n > MOST_LINES_OF_A_FUNCTION) {
            faults.push(format!("{}: {name} has {lines} lines", s.path.display()));
        }
    }
    none(&faults);
}

/// A checker that cannot find anything would keep everything green.
#[test]
fn the_checks_find_what_they_look_for() {
    let used = rooms_used(
        "use crate::{order::{self, Order}, wheel, cli::files as f};\nlet x = crate::geometry::Point::ORIGIN;",
    );
    assert_eq!(used.iter().map(String::as_str).collect::<Vec<_>>(), ["cli", "geometry", "order", "wheel"]);
    let set = |names: &[&str]| names.iter().map(|s| (*s).to_owned()).collect::<BTreeSet<_>>();
    assert_eq!(rank_faults("order", &set(&["quantity", "order", "tolerance"])), Vec::<String>::new());
    assert_eq!(rank_faults("order", &set(&["wheel"])).len(), 1);
    assert_eq!(rank_faults("sheet", &set(&["cutting"])).len(), 1);
    assert_eq!(rank_faults("export", &set(&["order"])).len(), 1);
    assert_eq!(rank_faults("nowhere", &set(&[])).len(), 1);
    assert_eq!(code_of("a // b.unwrap()\nc\n#[cfg(test)]\nmod tests { x.unwrap() }"), "a \nc");
    let code = "fn a() {\n    x\n}\nimpl B {\n    pub(super) fn b<T>(\n        t: T,\n    ) {\n        if t {\n        }\n    }\n    fn c() {}\n}\n";
    assert_eq!(functions(code), [("a".to_owned(), 3), ("b".to_owned(), 6)]);
}

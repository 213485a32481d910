//! Names of files that hold on every system a shop's folder may be copied to.

use super::failure::{Failure, shown};
use std::collections::HashSet;
use std::path::Path;

/// Names that stand for devices on some systems, whatever their ending (Microsoft, Naming Files, Paths, and Namespaces).
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
/// Names that do so with a digit from 1 to 9 behind them.
const PORTS: [&str; 2] = ["com", "lpt"];

/// That files may be written under these names.
///
/// # Errors
/// Where one is a device's on some system, or two differ only by capitals, which some systems take for one.
pub fn check<'a>(files: impl IntoIterator<Item = &'a Path>) -> Result<(), Failure> {
    let mut seen = HashSet::new();
    for file in files {
        if is_device(file) {
            let message = format!("{} is the name of a device on some systems", shown(file));
            return Err(Failure::new(message, "give the file another name"));
        }
        if !seen.insert(file.to_string_lossy().to_lowercase()) {
            let message = format!("two files would be named {}: some systems take capitals for small letters", shown(file));
            return Err(Failure::new(message, "give them names that differ by more than capitals"));
        }
    }
    Ok(())
}

fn is_device(file: &Path) -> bool {
    let name = file.file_name().map(|n| n.to_string_lossy().to_lowercase()).unwrap_or_default();
    let stem = name.split('.').next().unwrap_or_default().trim_end();
    let is_port = |port: &str| stem.strip_prefix(port).is_some_and(|n| n.len() == 1 && ("1"..="9").contains(&n));
    DEVICES.contains(&stem) || PORTS.iter().any(|port| is_port(port))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn devices_and_twins_are_told_from_plain_names() {
        let one = |name: &str| check([Path::new(name)]).is_ok();
        for name in ["con", "CON.svg", "out/nul.pdf", "com1", "Lpt9.json", "aux .svg"] {
            assert!(!one(name), "{name}");
        }
        for name in ["control.svg", "com0", "com10.svg", "console", "con-A.svg", "nul/a.svg", "1042.pdf"] {
            assert!(one(name), "{name}");
        }
        assert!(check(["a/B.svg", "a/b.svg"].map(Path::new)).is_err());
        assert!(check(["a/b.svg", "b.svg"].map(Path::new)).is_ok());
    }
}

//! The order files that a command is given: single ones, and those of folders.

use super::Failure;
use crate::profile;
use std::path::PathBuf;

/// Files of a shop that may lie beside its orders.
const NOT_ORDERS: [&str; 3] = ["rates.json", "shop.json", "shop-rules.json"];

/// The order files; of a folder every `.json` that is no approval record.
pub(super) fn orders(named: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut files = Vec::new();
    for path in named {
        if path.as_os_str() == "-" {
            return Err(Failure::new("orders of a batch are not read from standard input", "name the order files"));
        }
        if !path.is_dir() {
            files.push(path.clone());
            continue;
        }
        // a shop's folder holds its orders in a folder of their own
        let inner = path.join(profile::ORDERS);
        let path = if path.join(profile::NAME).is_file() && inner.is_dir() { &inner } else { path };
        let failed = |e: std::io::Error| Failure::io("read", path, &e);
        let mut inside = Vec::new();
        for entry in std::fs::read_dir(path).map_err(failed)? {
            let file = entry.map_err(failed)?.path();
            let is_other = file.file_name().is_some_and(|n| NOT_ORDERS.iter().any(|other| n == *other));
            if file.extension().is_some_and(|e| e == "json") && !is_other {
                inside.push(file);
            }
        }
        inside.sort();
        files.extend(inside);
    }
    // `orders/*.json` also names the approvals that lie beside the orders
    files.retain(|f| !f.to_string_lossy().ends_with(".approval.json"));
    if files.is_empty() {
        return Err(Failure::new(
            "there is no order among these files",
            "name order files, or a folder that holds some",
        ));
    }
    Ok(files)
}

//! `batch`: many orders, one bad one stops nobody, whole packs only, nothing done twice.

use super::{crankshaft, put, run, wheeldraft};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;
use std::time::SystemTime;
use tempfile::TempDir;

fn plain(number: &str) -> Value {
    json!({
        "order": {"number": number, "revision": "A"}, "units": "mm", "wheel": {"outside_diameter": 350, "thickness": 25, "bore": 127},
        "blank": {"marking": "A 60 L 5 V", "max_operating_speed": "35 m/s"}, "machine": {"spindle_rpm": 1500}
    })
}

/// A folder of orders: two good ones, one that is stopped, one that cannot be read, one that has the number of another.
fn orders(folder: &Path) {
    let orders = folder.join("orders");
    fs::create_dir(&orders).unwrap();
    put(&orders, "a.json", &plain("1"));
    put(&orders, "b.json", &plain("2"));
    put(&orders, "c.json", &plain("1"));
    let mut stopped = crankshaft();
    stopped["mount"]["flange_diameter"] = json!(7);
    put(&orders, "d.json", &stopped);
    fs::write(orders.join("e.json"), "{\"order\": ").unwrap();
    fs::write(orders.join("a.approval.json"), "not an order").unwrap();
}

fn batch(folder: &Path) -> super::Ran {
    run(wheeldraft()
        .arg("batch")
        .arg(folder.join("orders"))
        .arg("-o")
        .arg(folder.join("packs"))
        .args(["--format", "json", "--jobs", "2"]))
}

fn results(ran: &super::Ran) -> Vec<String> {
    ran.json()["packs"].as_array().unwrap().iter().map(|p| p["result"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn one_bad_order_stops_nobody() {
    let folder = TempDir::new().unwrap();
    orders(folder.path());
    fs::remove_file(folder.path().join("orders/a.approval.json")).unwrap();
    let ran = batch(folder.path());
    assert_eq!(ran.code, 1);
    assert_eq!(results(&ran), ["packed", "packed", "failed", "stopped", "failed"]);
    let messages: Vec<String> =
        ran.json()["packs"].as_array().unwrap().iter().map(|p| p["message"].as_str().unwrap().to_owned()).collect();
    assert!(messages[2].contains("a.json has the same number and revision"), "{messages:?}");
    assert!(messages[4].contains("line 1"), "{messages:?}");
    let mut packs: Vec<String> = fs::read_dir(folder.path().join("packs"))
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    packs.sort();
    assert_eq!(packs, ["1-A", "1042-B", "2-A", "batch.csv"]);
    assert_eq!(run(wheeldraft().arg("verify").arg(folder.path().join("packs"))).code, 0);
}

#[test]
fn packs_that_are_current_are_left_alone() {
    let folder = TempDir::new().unwrap();
    let orders = folder.path().join("orders");
    fs::create_dir(&orders).unwrap();
    for n in 1..=4 {
        put(&orders, &format!("{n}.json"), &plain(&n.to_string()));
    }
    assert_eq!(results(&batch(folder.path())), ["packed"; 4]);
    let time = |n: u32| -> SystemTime {
        fs::metadata(folder.path().join(format!("packs/{n}-A/manifest.json"))).unwrap().modified().unwrap()
    };
    let before: Vec<SystemTime> = (1..=4).map(time).collect();
    // one order changes, one pack is altered, one file is lost, one stays
    let mut changed = plain("1");
    changed["wheel"]["bore"] = json!(130);
    put(&orders, "1.json", &changed);
    fs::write(folder.path().join("packs/2-A/2-A-check.json"), "{}").unwrap();
    fs::remove_file(folder.path().join("packs/3-A/3-A-traveller.pdf")).unwrap();
    let ran = batch(folder.path());
    assert_eq!((ran.code, results(&ran)), (0, ["packed", "packed", "packed", "current"].map(str::to_owned).to_vec()));
    assert_eq!(time(4), before[3]);
    assert!(time(1) != before[0]);
    // other wishes, other packs
    let ran = run(wheeldraft().arg("batch").arg(&orders).arg("-o").arg(folder.path().join("packs")).args([
        "--format",
        "json",
        "--altered-by",
        "Tern & Anvil",
    ]));
    assert_eq!(results(&ran), ["packed"; 4]);
}

#[test]
fn batch_and_pack_write_the_same() {
    let folder = TempDir::new().unwrap();
    let orders = folder.path().join("orders");
    fs::create_dir(&orders).unwrap();
    let order = put(&orders, "1.json", &plain("1"));
    batch(folder.path());
    let alone = folder.path().join("alone");
    assert_eq!(run(wheeldraft().arg("pack").arg(&order).arg("-o").arg(&alone)).code, 0);
    for entry in fs::read_dir(&alone).unwrap() {
        let entry = entry.unwrap();
        let other = folder.path().join("packs/1-A").join(entry.file_name());
        assert!(fs::read(entry.path()).unwrap() == fs::read(&other).unwrap(), "{}", other.display());
    }
}

#[test]
fn the_table_ends_it_and_no_bar_goes_into_a_pipe() {
    let folder = TempDir::new().unwrap();
    orders(folder.path());
    let ran =
        run(wheeldraft().arg("batch").arg(folder.path().join("orders")).arg("-o").arg(folder.path().join("packs")));
    assert_eq!(ran.code, 1);
    // one has a record of approval that is none: nobody may cut by it
    assert!(ran.out.contains("5 orders: 1 packed, 1 stopped, 3 FAILED"), "{}", ran.out);
    assert!(!ran.err.contains("left") && !ran.out.contains('█'), "{}", ran.err);
}

/// Interrupted in the middle: what is there is whole, and the next run goes on.
#[cfg(unix)]
#[test]
fn an_interrupted_run_leaves_only_whole_packs() {
    let folder = TempDir::new().unwrap();
    let orders = folder.path().join("orders");
    fs::create_dir(&orders).unwrap();
    const COUNT: usize = 40;
    for n in 1..=COUNT {
        put(&orders, &format!("{n}.json"), &plain(&n.to_string()));
    }
    let packs = folder.path().join("packs");
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_wheeldraft"))
        .arg("batch")
        .arg(&orders)
        .arg("-o")
        .arg(&packs)
        .args(["--jobs", "1", "--format", "json"])
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    let done = || {
        fs::read_dir(&packs).map_or(0, |d| {
            d.map(Result::unwrap)
                .filter(|e| e.path().is_dir() && !e.file_name().to_string_lossy().starts_with('.'))
                .count()
        })
    };
    while done() < 3 && child.try_wait().unwrap().is_none() {
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    let status = child.wait().unwrap();
    assert_eq!(status.code(), Some(1));
    let finished = done();
    assert!((3..COUNT).contains(&finished), "{finished}");
    assert_eq!(run(wheeldraft().arg("verify").arg(&packs)).code, 0);
    let hidden = fs::read_dir(&packs)
        .unwrap()
        .filter(|e| e.as_ref().unwrap().file_name().to_string_lossy().starts_with('.'))
        .count();
    assert_eq!(hidden, 0);
    let ran = batch(folder.path());
    assert_eq!(ran.code, 0);
    let current = results(&ran).iter().filter(|r| *r == "current").count();
    assert_eq!((current, done()), (finished, COUNT));
}

/// The table says of every order which blank it gets, its price and its days; the csv beside the packs says the same.
#[test]
fn a_shops_folder_is_packed_and_priced() {
    let folder = TempDir::new().unwrap();
    let at = folder.path();
    let typed = |line: &[&str]| run(wheeldraft().current_dir(at).args(line));
    assert_eq!(typed(&["new", "--shop", "shop", "--name", "Heron Quay Wheel Works"]).code, 0);
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    fs::copy(demo.join("stock.csv"), at.join("shop/stock.csv")).unwrap();
    fs::copy(demo.join("1042.json"), at.join("shop/orders/1042.json")).unwrap();
    let mut single: Value = serde_json::from_slice(&fs::read(demo.join("1042.json")).unwrap()).unwrap();
    (single["order"]["number"], single["order"]["revision"], single["order"]["quantity"]) =
        (json!("1"), json!("A"), json!(1));
    put(&at.join("shop/orders"), "1.json", &single);
    let ran = typed(&["batch", "shop", "--format", "json"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let lines = ran.json()["packs"].as_array().unwrap().clone();
    let of = |number: &str| lines.iter().find(|l| l["order"] == number).unwrap().clone();
    assert_eq!(of("1042-B")["blanks"], "3 × S-101, 1 × S-103");
    assert!(of("1042-B")["each"].as_str().unwrap().contains('.') && of("1042-B")["days"].as_u64().unwrap() > 0);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(at.join("shop/packs/batch.csv")).unwrap();
    let heads = reader.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.unwrap()).collect();
    let column = |name: &str| heads.iter().position(|h| h == name).unwrap();
    let row = rows.iter().find(|r| &r[column("order")] == "1042-B").unwrap();
    for name in ["blanks", "each", "total", "currency"] {
        assert_eq!(&row[column(name)], of("1042-B")[name].as_str().unwrap(), "{name}");
    }
    // the price of the wheel that is made of one sort is that of the quotation with that blank
    let id = of("1-A")["blanks"].as_str().unwrap().trim_start_matches("1 × ").to_owned();
    let quoted = typed(&["quote", "shop/orders/1.json", "--blank", &id, "--format", "json"]).json();
    let price = quoted["prices"].as_array().unwrap().iter().find(|p| p["quantity"] == 1).unwrap().clone();
    assert_eq!(of("1-A")["each"].as_str().unwrap().parse::<f64>().ok(), price["each"].as_f64());
    assert!(at.join("shop/packs/1042-B/manifest.json").exists());
    assert_eq!(typed(&["verify", "shop/packs"]).code, 0);
    let table = typed(&["batch", "shop"]).out;
    assert!(table.contains("1 × S-103") && table.contains("2 orders: 2 current"), "{table}");
}

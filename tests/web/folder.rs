//! The page in a folder of orders: what it lists, opens and saves, and what it never writes over.

use super::client::{Page, Reply};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

const ORDER: &str = include_str!("../../demo-data/1042.json");

fn served(folder: &Path) -> Page {
    Page::start_with(&[folder.to_str().unwrap()])
}

fn save(page: &Page, file: &str, text: &str, version: &Value) -> Reply {
    let asked = json!({ "file": file, "text": text, "version": version });
    page.post("/folder", asked.to_string().as_bytes())
}

#[test]
fn orders_are_listed_with_their_state_and_the_next_step() {
    let folder = tempfile::tempdir().unwrap();
    let orders = folder.path().join("orders");
    fs::create_dir(&orders).unwrap();
    let write = |name: &str, text: &str| fs::write(orders.join(name), text).unwrap();
    write("1042.json", ORDER);
    write("1043.json", &ORDER.replace("\"flange_diameter\": 12", "\"flange_diameter\": 6"));
    write("half.json", &ORDER[..400]);
    write("1042.approval.json", "{}");
    write("notes.txt", "no order");
    fs::write(folder.path().join("beside.json"), ORDER).unwrap();
    let told = served(folder.path()).get("/folder").json();
    let mut rows: Vec<[&str; 4]> = told["orders"]
        .as_array()
        .unwrap()
        .iter()
        .map(|o| ["file", "name", "state", "next"].map(|k| o[k].as_str().unwrap()))
        .collect();
    rows.sort_unstable();
    assert_eq!(rows.len(), 3, "{rows:?}");
    assert_eq!(rows[0], ["1042.json", "1042-B", "clear", "send the drawing for approval"]);
    assert_eq!((rows[1][0], rows[1][2]), ("1043.json", "stop"));
    assert!(rows[1][3].starts_with("findings to put right"), "{rows:?}");
    assert_eq!((rows[2][0], rows[2][2]), ("half.json", "unfinished"));
}

#[test]
fn an_order_is_saved_in_place_unless_it_was_changed_meanwhile() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("1042.json");
    fs::write(&file, ORDER).unwrap();
    let page = served(folder.path());
    let opened = page.get("/folder/1042.json").json();
    assert_eq!(opened["text"], ORDER);
    let mine = ORDER.replace("\"bore\": 8,", "\"bore\": 7,");
    let saved = save(&page, "1042.json", &mine, &opened["version"]);
    assert_eq!(saved.status, 200);
    assert_eq!(fs::read_to_string(&file).unwrap(), mine);
    // the version goes on from what was saved
    let again = save(&page, "1042.json", ORDER, &saved.json()["version"]);
    assert_eq!(again.status, 200);
    // another program writes; what was opened before is not written over that
    let theirs = ORDER.replace("\"bore\": 8,", "\"bore\": 9,");
    fs::write(&file, &theirs).unwrap();
    let refused = save(&page, "1042.json", &mine, &again.json()["version"]);
    assert_eq!(refused.status, 409);
    assert_eq!(refused.json()["theirs"]["text"], theirs);
    assert_eq!(fs::read_to_string(&file).unwrap(), theirs);
    // a new file never takes the place of one that is there, one that went away is not made again unasked
    assert_eq!(save(&page, "1042.json", &mine, &Value::Null).status, 409);
    fs::remove_file(&file).unwrap();
    assert_eq!(save(&page, "1042.json", &mine, &opened["version"]).status, 409);
    assert!(!file.exists());
    assert_eq!(save(&page, "1042-C.json", &mine, &Value::Null).status, 200);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing half written stays");
}

#[test]
fn nothing_outside_the_folder_is_read_or_written() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("orders");
    fs::create_dir(&folder).unwrap();
    fs::write(place.path().join("secret.json"), ORDER).unwrap();
    fs::write(folder.join("1042.approval.json"), "{}").unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(place.path().join("secret.json"), folder.join("link.json")).unwrap();
    let page = served(&folder);
    for name in
        ["..%2fsecret.json", "link.json", "1042.approval.json", "%2e%2e%2fsecret.json", "..%5csecret.json", "none.json"]
    {
        let reply = page.get(&format!("/folder/{name}"));
        assert_eq!(reply.status, 404, "{name}");
        assert!(reply.json()["refused"].is_string(), "{name}");
    }
    for name in
        ["../secret.json", "../new.json", "link.json", "1042.approval.json", "shop.json", "a.txt", "", "/etc/x.json"]
    {
        assert_eq!(save(&page, name, "{}", &Value::Null).status, 400, "{name}");
    }
    assert_eq!(fs::read_to_string(place.path().join("secret.json")).unwrap(), ORDER);
    assert!(!place.path().join("new.json").exists());
    assert_eq!(page.get("/folder").json()["orders"].as_array().unwrap().len(), 0);
    // without a folder there is none
    assert_eq!(Page::start().get("/folder").status, 404);
}

//! What the page answers is what the command line prints and writes.

use super::client::Page;
use crate::cli::{program, run};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use std::path::Path;

const ORDERS: [&str; 2] = ["demo-data/1042.json", "demo-data/1043.json"];

fn read(order: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(order)).unwrap()
}

/// The files of a folder.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap());
    entries.map(|e| (e.file_name().into_string().unwrap(), std::fs::read(e.path()).unwrap())).collect()
}

/// A sheet without the font in it, which the page has.
fn fontless(sheet: &[u8]) -> Vec<u8> {
    let text = std::str::from_utf8(sheet).unwrap();
    let (before, style) = text.split_once("<style>").expect("a font");
    let (_, after) = style.split_once("</style>").unwrap();
    let family = before.split_once(" class=\"").unwrap().1.split_once('"').unwrap().0;
    let head = before.trim_end().replace(&format!(" class=\"{family}\""), "");
    format!("{head}{}", after.replace(&format!("{family}, "), "")).into_bytes()
}

#[test]
fn sheets_are_those_of_draw() {
    let page = Page::start();
    for order in ORDERS {
        let folder = tempfile::tempdir().unwrap();
        let drawn = folder.path().join("sheet.svg");
        run(&["draw", order, "-o", drawn.to_str().unwrap(), "-q"]);
        let want: Vec<Vec<u8>> = files(folder.path()).into_values().map(|sheet| fontless(&sheet)).collect();
        let first = page.post("/draw/sheet", &read(order)).json();
        assert_eq!(first["sheets"], want.len(), "{order}");
        let mut got: Vec<Vec<u8>> = (1..=want.len())
            .map(|n| {
                page.post(&format!("/draw/sheet/{n}"), &read(order)).json()["svg"].as_str().unwrap().as_bytes().to_vec()
            })
            .collect();
        assert_eq!(got[0], first["svg"].as_str().unwrap().as_bytes());
        // those to be printed are the same, all at once
        let printed = page.post("/sheets/sheet", &read(order)).json();
        let printed: Vec<&str> = printed["svgs"].as_array().unwrap().iter().map(|s| s.as_str().unwrap()).collect();
        assert!(got.iter().map(|s| std::str::from_utf8(s).unwrap()).eq(printed), "{order}");
        let mut want = want;
        got.sort();
        want.sort();
        assert!(got == want, "{order}");
        // more than there are gives the last
        assert_eq!(page.post("/draw/sheet/99", &read(order)).json()["sheet"], want.len());
    }
}

#[test]
fn findings_and_problems_are_those_of_check() {
    let page = Page::start();
    let bad = r#"{"order": {"number": "1", "revision": "A"}, "units": "in", "wheel": {"outside_diameter": 26, "thicknes": 2, "bore": "8 in"}}"#;
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("bad.json");
    std::fs::write(&file, bad).unwrap();
    for order in [ORDERS[0], ORDERS[1], file.to_str().unwrap()] {
        let want: Value = serde_json::from_str(&run(&["check", order, "--format", "json"]).out).unwrap();
        let got = page.post("/draw/section", &read(order)).json();
        for (key, value) in want.as_object().unwrap() {
            assert_eq!(&got[key], value, "{order} {key}");
        }
    }
}

#[test]
fn figures_are_those_of_recess_and_grooves() {
    let page = Page::start();
    let told = page.post("/figures", &read(ORDERS[0])).json();
    let recess: Value = serde_json::from_str(&run(&["recess", ORDERS[0], "--format", "json"]).out).unwrap();
    assert_eq!(told["recess"], recess);
    let swept: Value = serde_json::from_str(
        &run(&["grooves", "--sweep", ORDERS[0], "--side", "b", "--from", "170", "--to", "190", "--format", "json"]).out,
    )
    .unwrap();
    let side_b = told["counts"].as_array().unwrap().iter().find(|c| c["place"] == "side B").unwrap();
    assert_eq!((&side_b["now"], &side_b["field"]), (&json!(180), &json!("/wheel/side_b/grooves")));
    let mut compared = 0;
    for want in swept["choices"].as_array().unwrap() {
        let got = side_b["choices"].as_array().unwrap().iter().find(|c| c["count"] == want["count"]);
        assert_eq!(got, Some(want));
        compared += 1;
    }
    assert_eq!(compared, 21);
    let stages = told["wear"]["stages"].as_array().unwrap();
    assert!(
        stages.len() > 32 && stages.windows(2).all(|w| w[0]["diameter_mm"].as_f64() > w[1]["diameter_mm"].as_f64())
    );
    assert!(told["paper"]["parts"].as_array().unwrap().len() > 5);
}

/// The files of a zip.
fn unzipped(bytes: &[u8]) -> BTreeMap<String, Vec<u8>> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    (0..archive.len())
        .map(|i| {
            let mut file = archive.by_index(i).unwrap();
            let mut bytes = Vec::new();
            file.read_to_end(&mut bytes).unwrap();
            (file.name().unwrap().into_owned(), bytes)
        })
        .collect()
}

#[track_caller]
fn same(want: &BTreeMap<String, Vec<u8>>, got: &BTreeMap<String, Vec<u8>>, what: &str) {
    assert_eq!(want.keys().collect::<Vec<_>>(), got.keys().collect::<Vec<_>>(), "{what}");
    for (name, bytes) in want {
        assert!(bytes == &got[name], "{what}: {name} differs");
    }
}

#[test]
fn packs_are_those_of_the_command_line() {
    let page = Page::start();
    let folder = tempfile::tempdir().unwrap();
    let order = folder.path().join("1042.json");
    std::fs::write(&order, read(ORDERS[0])).unwrap();
    let text = String::from_utf8(read(ORDERS[0])).unwrap();
    let pack = |name: &str, more: &[&str]| {
        let to = folder.path().join(name);
        let done = program().args(["pack", "-q"]).arg(&order).arg("-o").arg(&to).args(more).status().unwrap();
        assert_eq!(done.code(), Some(0));
        files(&to)
    };
    let zip = |asked: &Value| {
        let reply = page.post("/pack/zip", asked.to_string().as_bytes());
        assert_eq!(reply.header("content-type"), Some("application/zip"), "{}", String::from_utf8_lossy(&reply.body));
        assert_eq!(reply.header("content-disposition"), Some("attachment; filename=\"1042-B.zip\""));
        reply.body
    };
    let plain = pack("plain", &[]);
    let asked = json!({ "order": text });
    same(&plain, &unzipped(&zip(&asked)), "not approved");
    assert_eq!(zip(&asked), zip(&asked), "the same files give the same archive");
    let unapproved = json!({ "order": text, "unapproved": true });
    same(&pack("unapproved", &["--unapproved"]), &unzipped(&zip(&unapproved)), "--unapproved");
    for (name, bytes) in &plain {
        let reply = page.post(&format!("/pack/file/{name}"), asked.to_string().as_bytes());
        assert_eq!((reply.status, &reply.body), (200, bytes), "{name}");
    }
    let list = page.post("/pack/list", asked.to_string().as_bytes()).json();
    let manifest: Value = serde_json::from_slice(&plain["manifest.json"]).unwrap();
    assert_eq!(list["manifest"], manifest);
    assert_eq!(page.post("/pack/file/..%2fsecret", asked.to_string().as_bytes()).status, 404);

    let by = [
        "approve",
        order.to_str().unwrap(),
        "--by",
        "R. Adeyemi",
        "--date",
        "2026-03-04",
        "--open-questions",
        "settled at mounting",
        "-q",
    ];
    assert_eq!(run(&by).code, 0);
    let record = std::fs::read_to_string(folder.path().join("1042.approval.json")).unwrap();
    let approved = json!({ "order": text, "approval": record });
    let want = pack("approved", &[]);
    assert!(want.keys().any(|n| n.ends_with("-profile_mm.dxf")));
    same(&want, &unzipped(&zip(&approved)), "approved");
    let other = json!({ "order": text.replace("\"quantity\": 4", "\"quantity\": 5"), "approval": record });
    let told = page.post("/pack/list", other.to_string().as_bytes()).json();
    assert!(told["manifest"]["withheld"][0]["why"].as_str().unwrap().contains("void"), "{told}");
}

#[test]
fn an_order_with_a_title_block_of_the_shop_is_drawn_with_the_built_in_one_and_says_so() {
    let page = Page::start();
    let order = String::from_utf8(read(ORDERS[0]))
        .unwrap()
        .replace("\"title_block\": \"example\"", "\"title_block\": \"../../etc/passwd\"");
    let told = page.post("/draw/sheet", order.as_bytes()).json();
    assert!(told["svg"].is_string());
    assert!(told["remarks"].to_string().contains("the page reads no files"), "{}", told["remarks"]);
    let packed = page.post("/pack/zip", json!({ "order": order }).to_string().as_bytes()).json();
    assert!(packed["failure"].as_str().unwrap().contains("title block"), "{packed}");
}

#[test]
fn a_view_at_once_is_the_same_as_with_the_findings() {
    let page = Page::start();
    for look in ["section", "side-a", "side-b", "pictorial"] {
        let at_once = page.post(&format!("/view/{look}"), &read(ORDERS[0])).json();
        assert_eq!(at_once["svg"], page.post(&format!("/draw/{look}"), &read(ORDERS[0])).json()["svg"], "{look}");
        assert!(at_once["svg"].as_str().unwrap().len() > 5000 && at_once["findings"].is_null(), "{look}");
    }
    assert_eq!(page.post("/view/sheet", &read(ORDERS[0])).status, 404);
    assert!(page.post("/view/section", b"{}").json()["problems"].is_array());
}

#[test]
fn every_view_alone_is_drawn() {
    let page = Page::start();
    for look in ["section", "side-a", "side-b", "face", "pictorial", "calculation"] {
        let told = page.post(&format!("/draw/{look}"), &read(ORDERS[0])).json();
        assert!(told["svg"].as_str().is_some_and(|s| s.contains("<path")), "{look}: {}", told["failure"]);
    }
    let told = page.post("/draw/face", &read("templates/straight.json")).json();
    assert!(told["failure"].as_str().unwrap().contains("no grooves"), "{told}");
    assert_eq!(page.post("/draw/elsewhere", &read(ORDERS[0])).status, 404);
}

#[test]
fn the_form_is_made_from_the_schema_of_the_command() {
    let page = Page::start();
    let want: Value = serde_json::from_str(&run(&["schema"]).out).unwrap();
    assert_eq!(page.get("/schema.json").json(), want);
    let listed: Value = serde_json::from_str(&run(&["new", "--list", "--format", "json"]).out).unwrap();
    let got = page.get("/templates.json").json();
    for (want, got) in listed["templates"].as_array().unwrap().iter().zip(got["templates"].as_array().unwrap()) {
        assert_eq!((&want["name"], &want["about"]), (&got["name"], &got["about"]));
        assert_eq!(got["text"].as_str().unwrap(), run(&["new", want["name"].as_str().unwrap(), "-q"]).out);
    }
}

#[test]
fn a_port_that_is_taken_is_named() {
    let page = Page::start();
    let said = run(&["serve", "--port", &page.port.to_string()]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains(&page.port.to_string()) && said.err.contains("--port 0"), "{}", said.err);
}

/// The part of a glb that says what is in it.
fn document(glb: &[u8]) -> Value {
    assert!(glb.starts_with(b"glTF"));
    let length = u32::from_le_bytes(glb[12..16].try_into().unwrap()) as usize;
    serde_json::from_slice(&glb[20..20 + length]).unwrap()
}

#[test]
fn the_solid_names_its_features_and_their_fields_or_says_why_there_is_none() {
    let page = Page::start();
    let order = json!({
        "order": { "number": "7", "revision": "A" }, "units": "mm",
        "wheel": { "outside_diameter": 300, "thickness": 40, "bore": 76, "bore_chamfer": 1,
            "side_a": { "recess": [{ "diameter": 150, "depth": 8, "fillet_radius": 2 }], "taper": { "from_diameter": 200, "to_diameter": 300, "depth": 2 }, "corner": { "radius": 3 } },
            "side_b": { "grooves": { "count": 6, "width": 5, "depth": 4, "inner_diameter": 200 } },
            "face": { "grooves": { "count": 4, "width": 5, "depth": 4 } } },
        "blank": { "outside_diameter": 305, "bore": 51 }
    });
    let reply = page.post("/solid", order.to_string().as_bytes());
    assert_eq!(reply.header("content-type"), Some("model/gltf-binary"));
    let told = document(&reply.body);
    let scene = &told["scenes"][0]["extras"];
    assert_eq!(scene["wheel"], json!({ "outside_diameter": 300.0, "thickness": 40.0, "bore": 76.0 }));
    assert_eq!(scene["blank"], json!({ "outside_diameter": 305.0, "thickness": 40.0, "bore": 51.0 }));
    let primitives = told["meshes"][0]["primitives"].as_array().unwrap();
    let named: Vec<&str> = primitives.iter().filter_map(|p| p["extras"]["feature"].as_str()).collect();
    let is_given = |field: &str| order.pointer(field).is_some();
    for name in &named {
        let field = scene["fields"][*name].as_str().unwrap_or_else(|| panic!("{name} has no field"));
        assert!(is_given(field), "{name}: {field}");
    }
    for (name, field) in [
        ("outside diameter", "/wheel/outside_diameter"),
        ("side A recess fillet 1", "/wheel/side_a/recess/0/fillet_radius"),
        ("side A taper", "/wheel/side_a/taper"),
        ("side B groove bottom", "/wheel/side_b/grooves/depth"),
        ("side B groove end", "/wheel/side_b/grooves/inner_diameter"),
        ("face groove", "/wheel/face/grooves/depth"),
    ] {
        assert!(named.contains(&name), "{name} of {named:?}");
        assert_eq!(scene["fields"][name], field);
    }
    let mut through = order.clone();
    through["wheel"]["side_a"]["recess"][0]["depth"] = json!(38);
    let refused = page.post("/solid", through.to_string().as_bytes()).json();
    assert!(
        refused["failure"].as_str().unwrap().starts_with("the grooves of the sides cannot be made as a solid"),
        "{refused}"
    );
    assert!(page.post("/solid", b"{}").json()["problems"].is_array());
}

#[test]
fn tension_is_that_of_the_calculation() {
    let page = Page::start();
    let told = page.post("/solid/tension", &read(ORDERS[0])).json();
    let paper = page.post("/figures", &read(ORDERS[0])).json()["paper"].clone();
    let rows = paper["parts"].as_array().unwrap().iter().find(|p| p["title"] == "Stress at the marked speed").unwrap()
        ["rows"]
        .clone();
    let most =
        rows.as_array().unwrap().iter().find(|r| r["label"] == "Greatest tension").unwrap()["value"].as_f64().unwrap();
    let greatest = told["greatest"].as_f64().unwrap();
    assert!((greatest / most - 1.0).abs() < 0.01, "{greatest} {most}");
    let values: Vec<f64> = told["values"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
    assert!((values.iter().copied().fold(0.0, f64::max) - greatest).abs() < 1e-9);
    assert_eq!(told["nodes"].as_array().unwrap().len(), values.len());
    let corners = told["triangles"].as_array().unwrap().iter().flat_map(|t| t.as_array().unwrap());
    assert!(corners.map(|n| n.as_u64().unwrap() as usize).all(|n| n < values.len()));
    assert_eq!(told["unit"], "MPa at the marked speed, a guide");
    // without a speed only shares of the greatest are known
    let mut order: Value = serde_json::from_slice(&read(ORDERS[0])).unwrap();
    order["blank"].as_object_mut().unwrap().remove("max_operating_speed");
    let shares = page.post("/solid/tension", order.to_string().as_bytes()).json();
    assert_eq!((&shares["greatest"], &shares["unit"]), (&json!(100.0), &json!("% of the greatest")));
    let parts = page.post("/figures", order.to_string().as_bytes()).json()["paper"]["parts"].clone();
    let lines = parts.as_array().unwrap().iter().find(|p| p["levels"].is_array()).unwrap().clone();
    assert_eq!((&lines["greatest"]["value"], &lines["unit"]), (&json!(100.0), &json!("%")));
    assert!(page.post("/solid/tension", b"{}").json()["problems"].is_array());
}

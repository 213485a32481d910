//! `pack` and `verify`: everything of one fingerprint, nothing that must not be there, every later change noticed.

use super::{crankshaft, put, run, wheeldraft};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

struct Shop {
    folder: TempDir,
    order: PathBuf,
    pack: PathBuf,
}

impl Shop {
    fn new(order: &Value) -> Shop {
        let folder = TempDir::new().unwrap();
        let (order, pack) = (put(folder.path(), "1042.json", order), folder.path().join("packs/1042-B"));
        Shop { folder, order, pack }
    }

    fn approve(&self) {
        let ran = run(wheeldraft().arg("approve").arg(&self.order).args([
            "--by",
            "R. Adeyemi",
            "--date",
            "2026-03-04",
            "--open-questions",
            "settled at mounting",
        ]));
        assert_eq!(ran.code, 0, "{}", ran.err);
    }

    fn pack(&self, more: &[&str]) -> super::Ran {
        run(wheeldraft().arg("pack").arg(&self.order).arg("-o").arg(&self.pack).args(more))
    }

    fn verify(&self, more: &[&str]) -> super::Ran {
        run(wheeldraft().arg("verify").arg(&self.pack).args(["--format", "json"]).args(more))
    }

    fn names(&self) -> Vec<String> {
        contents(&self.pack).into_keys().collect()
    }

    fn manifest(&self) -> Value {
        serde_json::from_slice(&fs::read(self.pack.join("manifest.json")).unwrap()).unwrap()
    }
}

fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder).unwrap().map(|e| e.unwrap());
    entries.map(|e| (e.file_name().into_string().unwrap(), fs::read(e.path()).unwrap())).collect()
}

fn stopped() -> Value {
    let mut order = crankshaft();
    order["mount"]["flange_diameter"] = json!(7);
    order
}

#[test]
fn an_approved_order_gets_everything_of_one_fingerprint() {
    let shop = Shop::new(&crankshaft());
    shop.approve();
    let ran = shop.pack(&[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let names = shop.names();
    for name in [
        "1042-B-approval.pdf",
        "1042-B-approval.svg",
        "1042-B-approved.json",
        "1042-B-calculation.pdf",
        "1042-B-check.json",
        "1042-B-inspection.csv",
        "1042-B-inspection.pdf",
        "1042-B-label.pdf",
        "1042-B-order.json",
        "1042-B-profile_mm.dxf",
        "1042-B-grooves-side-a_mm.dxf",
        "1042-B-grooves-side-b_mm.dxf",
        "1042-B-index-side-a.csv",
        "1042-B-properties.json",
        "1042-B-traveller.pdf",
        "manifest.json",
    ] {
        assert!(names.iter().any(|n| n == name), "{name} is not in {names:?}");
    }
    let manifest = shop.manifest();
    let files = contents(&shop.pack);
    assert_eq!(manifest["files"].as_array().unwrap().len() + 1, files.len());
    for entry in manifest["files"].as_array().unwrap() {
        let bytes = &files[entry["name"].as_str().unwrap()];
        let hash: String = Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(
            (entry["sha256"].as_str().unwrap(), entry["bytes"].as_u64().unwrap()),
            (hash.as_str(), bytes.len() as u64)
        );
    }
    let print = manifest["fingerprint"].as_str().unwrap();
    assert_eq!(print, crate::support::job(&crankshaft()).fingerprint().full());
    assert_eq!(manifest["approved"]["name"], "R. Adeyemi");
    for text in ["1042-B-approval.svg", "1042-B-inspection.csv", "1042-B-check.json", "1042-B-properties.json"] {
        let text = String::from_utf8(files[text].clone()).unwrap();
        assert!(text.contains(print) || text.contains(&print[..8]), "{text}");
    }
    assert_eq!(files["1042-B-order.json"], fs::read(&shop.order).unwrap());
    let verified = shop.verify(&[]);
    assert_eq!(verified.code, 0, "{}", verified.out);
}

/// No invented firm on a real paper: without the shop's own name the approved order is not released, and every file of its pack says so.
#[test]
fn without_the_shops_own_title_block_a_pack_is_not_released() {
    let mut order = crankshaft();
    order["drawing"].as_object_mut().unwrap().remove("title_block");
    let shop = Shop::new(&order);
    // before the approval it is what it was: nothing of it is released yet
    assert_eq!(shop.pack(&[]).code, 0);
    let text = |name: &str| String::from_utf8(contents(&shop.pack)[name].clone()).unwrap();
    let svg = text("1042-B-approval.svg");
    assert!(svg.contains("UNAPPROVED") && svg.contains("(no title block of") && !svg.contains("Quarry Lane"), "{svg}");
    shop.approve();
    for more in [&[][..], &["--unapproved"]] {
        let ran = shop.pack(more);
        assert!(ran.code == 1 && ran.err.contains("NOT RELEASED: no title block of the shop's own"), "{}", ran.err);
        assert!(!shop.names().iter().any(|n| n.ends_with(".dxf") || n.contains("label")), "{:?}", shop.names());
    }
    for name in shop.names().iter().filter(|n| n.contains("-approval") && n.ends_with(".svg")) {
        assert!(text(name).contains("NOT RELEASED, no title block"), "{name}");
    }
    assert!(text("1042-B-inspection.csv").contains("# State: NOT RELEASED, no title block of the shop's own"));
    assert_eq!(shop.manifest()["state"]["held"], "no title block of the shop's own");
    assert_eq!(shop.verify(&[]).code, 0);
    // a file of the shop's own; the words that stand for a missing name are none
    let block = include_str!("../../templates/title-blocks/example.json");
    let (own, none) = (
        block.replace("Tern & Anvil Wheel Works", "Heron Quay Wheel Works"),
        block.replace("Tern & Anvil Wheel Works", "(name)"),
    );
    for (block, code) in [(own, 0), (none, 1)] {
        fs::write(shop.folder.path().join("block.json"), block).unwrap();
        order["drawing"]["title_block"] = json!("block.json");
        put(shop.folder.path(), "1042.json", &order);
        let ran = shop.pack(&[]);
        assert_eq!(ran.code, code, "the approval holds for any title block: {}", ran.err);
    }
}

#[test]
fn the_same_order_gives_the_same_bytes() {
    let shop = Shop::new(&crankshaft());
    shop.approve();
    shop.pack(&[]);
    let first = contents(&shop.pack);
    shop.pack(&[]);
    assert_eq!(contents(&shop.pack), first);
    // nothing of the writing is left beside it
    let left: Vec<_> =
        fs::read_dir(shop.folder.path().join("packs")).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left, ["1042-B"]);
}

#[test]
fn single_commands_write_the_same_papers_as_the_pack() {
    let shop = Shop::new(&crankshaft());
    shop.approve();
    shop.pack(&[]);
    let packed = contents(&shop.pack);
    for (command, file, name) in [
        (&["traveller"][..], "t.pdf", "1042-B-traveller.pdf"),
        (&["label"], "l.pdf", "1042-B-label.pdf"),
        (&["inspect"], "i.csv", "1042-B-inspection.csv"),
        (&["inspect"], "i.pdf", "1042-B-inspection.pdf"),
        (&["draw"], "d.pdf", "1042-B-approval.pdf"),
        (&["draw", "--calculation"], "c.pdf", "1042-B-calculation.pdf"),
    ] {
        let target = shop.folder.path().join(file);
        let ran = run(wheeldraft().args(command).arg(&shop.order).arg("-o").arg(&target));
        assert_eq!(ran.code, 0, "{command:?}: {}", ran.err);
        assert!(fs::read(&target).unwrap() == packed[name], "{command:?} writes something else than {name}");
    }
    let machine = shop.folder.path().join("machine");
    assert_eq!(run(wheeldraft().arg("cut").arg(&shop.order).arg("-o").arg(&machine)).code, 0);
    for (name, bytes) in contents(&machine) {
        assert!(packed[&name] == bytes, "{name}");
    }
}

#[test]
fn without_an_approval_there_are_no_machine_files_unless_asked_for_by_name() {
    let shop = Shop::new(&crankshaft());
    let ran = shop.pack(&[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("no machine files: not approved"), "{}", ran.err);
    assert!(!shop.names().iter().any(|n| n.ends_with(".dxf") || n.contains("index")), "{:?}", shop.names());
    assert_eq!(shop.manifest()["withheld"][0]["kind"], "machine");
    shop.pack(&["--unapproved"]);
    let machine: Vec<String> = shop.names().into_iter().filter(|n| n.ends_with(".dxf")).collect();
    assert!(!machine.is_empty() && machine.iter().all(|n| n.contains("-UNAPPROVED")), "{machine:?}");
    // approved for another state: void, and what has changed is said
    shop.approve();
    let mut changed = crankshaft();
    changed["wheel"]["bore"] = json!(8.01);
    put(shop.folder.path(), "1042.json", &changed);
    let ran = shop.pack(&[]);
    assert!(ran.err.contains("void") && ran.err.contains("bore"), "{}", ran.err);
    assert!(!shop.names().iter().any(|n| n.ends_with(".dxf")), "{:?}", shop.names());
}

#[test]
fn a_stopped_order_gets_its_drawing_marked_and_no_machine_file() {
    let shop = Shop::new(&stopped());
    let ran = shop.pack(&["--unapproved"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    let names = shop.names();
    assert!(!names.iter().any(|n| n.ends_with(".dxf") || n.contains("index") || n.contains("label")), "{names:?}");
    let svg = fs::read_to_string(shop.pack.join("1042-B-approval.svg")).unwrap();
    assert!(svg.contains("NOT RELEASED"));
    assert_eq!(shop.manifest()["verdict"], "stop");
    assert_eq!(shop.verify(&[]).code, 0);
}

#[test]
fn verify_finds_what_is_altered_missing_foreign_and_stale() {
    let shop = Shop::new(&crankshaft());
    shop.approve();
    shop.pack(&[]);
    let found = |ran: &super::Ran| -> Vec<(String, String)> {
        let list = ran.json()["packs"][0]["found"].as_array().unwrap().clone();
        let text = |f: &Value, key: &str| f[key].as_str().unwrap().to_owned();
        list.iter().map(|f| (text(f, "fault"), text(f, "name"))).collect()
    };
    let file = shop.pack.join("1042-B-grooves-side-a_mm.dxf");
    let good = fs::read(&file).unwrap();
    let mut bad = good.clone();
    let last = bad.len() - 10;
    bad[last] ^= 1;
    fs::write(&file, &bad).unwrap();
    let ran = shop.verify(&[]);
    assert_eq!((ran.code, found(&ran)), (1, vec![("altered".to_owned(), "1042-B-grooves-side-a_mm.dxf".to_owned())]));
    fs::remove_file(&file).unwrap();
    assert_eq!(found(&shop.verify(&[]))[0].0, "missing");
    fs::write(&file, &good).unwrap();
    fs::write(shop.pack.join("note.txt"), "call Anna").unwrap();
    assert_eq!(found(&shop.verify(&[])), [("foreign".to_owned(), "note.txt".to_owned())]);
    fs::remove_file(shop.pack.join("note.txt")).unwrap();
    // a drawing of another state of the order, carried in from elsewhere
    let mut changed = crankshaft();
    changed["wheel"]["side_a"]["recess"][0]["depth"] = json!(0.55);
    let other = put(shop.folder.path(), "other.json", &changed);
    let target = shop.pack.join("1042-B-approval.svg");
    let drawing = fs::read(&target).unwrap();
    let elsewhere = shop.folder.path().join("elsewhere.svg");
    assert_eq!(run(wheeldraft().arg("draw").arg(&other).arg("-o").arg(&elsewhere)).code, 0);
    fs::copy(&elsewhere, &target).unwrap();
    assert_eq!(found(&shop.verify(&[])), [("stale".to_owned(), "1042-B-approval.svg".to_owned())]);
    fs::write(&target, drawing).unwrap();
    assert_eq!(shop.verify(&[]).code, 0);
    // the order went on, the pack did not
    let ran = shop.verify(&["--order", other.to_str().unwrap()]);
    assert_eq!((ran.code, found(&ran)), (1, vec![("stale".to_owned(), "manifest.json".to_owned())]));
    // the order inside the pack was edited
    fs::write(shop.pack.join("1042-B-order.json"), changed.to_string()).unwrap();
    let faults: Vec<String> = found(&shop.verify(&[])).into_iter().map(|f| f.0).collect();
    assert_eq!(faults, ["altered", "stale"]);
}

/// Whoever changes a file may mend its hash in the list as well: the order still makes another one.
#[test]
fn a_forged_file_with_a_mended_hash_is_found() {
    let shop = Shop::new(&crankshaft());
    shop.approve();
    shop.pack(&["--nc"]);
    assert_eq!(shop.verify(&[]).json()["packs"][0]["proof"], "remade");
    let (list, files) = (shop.manifest(), contents(&shop.pack));
    let mut kinds = Vec::new();
    for (i, entry) in list["files"].as_array().unwrap().iter().enumerate() {
        let name = entry["name"].as_str().unwrap();
        let mut forged = files[name].clone();
        // the last digit of the file becomes another one
        let at = forged.iter().rposition(u8::is_ascii_digit).unwrap();
        forged[at] = if forged[at] == b'9' { b'1' } else { forged[at] + 1 };
        fs::write(shop.pack.join(name), &forged).unwrap();
        let mut mended = list.clone();
        mended["files"][i]["sha256"] =
            json!(Sha256::digest(&forged).iter().map(|b| format!("{b:02x}")).collect::<String>());
        fs::write(shop.pack.join("manifest.json"), mended.to_string()).unwrap();
        let ran = shop.verify(&[]);
        assert_eq!(ran.code, 1, "{name}: {}", ran.out);
        let found = ran.json()["packs"][0]["found"].as_array().unwrap().clone();
        let of = |f: &&Value| f["name"] == name || f["fault"] == "unproved";
        let is_source = ["order", "approval", "rules", "title-block", "traveller-template", "controls"]
            .contains(&entry["kind"].as_str().unwrap());
        // a plate of the dividing head that no place needs shows in the recipe alone, which the list holds
        let in_list = entry["kind"] == "controls" && found.iter().any(|f| f["name"] == "manifest.json");
        assert!(found.iter().any(|f| of(&f)) || is_source && found.len() > 1 || in_list, "{name}: {found:?}");
        fs::write(shop.pack.join(name), &files[name]).unwrap();
        kinds.push(entry["kind"].clone());
    }
    fs::write(shop.pack.join("manifest.json"), &files["manifest.json"]).unwrap();
    assert_eq!(shop.verify(&[]).code, 0);
    kinds.dedup();
    assert!(kinds.len() >= 14, "{kinds:?}");
}

/// A line taken off the list together with its file, and one put on it.
#[test]
fn a_list_that_was_shortened_or_lengthened_is_found() {
    let shop = Shop::new(&crankshaft());
    shop.approve();
    shop.pack(&[]);
    let (list, files) = (shop.manifest(), contents(&shop.pack));
    let name = "1042-B-index-side-a.csv";
    let mut shorter = list.clone();
    shorter["files"].as_array_mut().unwrap().retain(|e| e["name"] != name);
    fs::remove_file(shop.pack.join(name)).unwrap();
    fs::write(shop.pack.join("manifest.json"), shorter.to_string()).unwrap();
    let ran = shop.verify(&[]);
    assert!(ran.code == 1 && ran.out.contains("neither in the list nor in the folder"), "{}", ran.out);
    fs::write(shop.pack.join(name), &files[name]).unwrap();
    let more = b"G0 X0\n";
    fs::write(shop.pack.join("more_mm.nc"), more).unwrap();
    let mut longer = list.clone();
    let hash: String = Sha256::digest(more).iter().map(|b| format!("{b:02x}")).collect();
    longer["files"]
        .as_array_mut()
        .unwrap()
        .push(json!({"name": "more_mm.nc", "kind": "machine", "sha256": hash, "bytes": 6}));
    fs::write(shop.pack.join("manifest.json"), longer.to_string()).unwrap();
    let ran = shop.verify(&[]);
    assert!(ran.code == 1 && ran.out.contains("the order makes no such file"), "{}", ran.out);
}

/// A pack of another version cannot be made again: that is said, and its hashes still hold. A list that only claims another version is not believed.
#[test]
fn a_pack_of_another_version_is_compared_by_its_hashes() {
    let shop = Shop::new(&crankshaft());
    shop.pack(&["--unapproved"]);
    let own = shop.manifest()["made_by"].as_str().unwrap().to_owned();
    let mut list = shop.manifest();
    list["made_by"] = json!("wheeldraft 0.0.1");
    fs::write(shop.pack.join("manifest.json"), list.to_string()).unwrap();
    let ran = shop.verify(&[]);
    assert!(
        ran.code == 1 && ran.out.contains("the list says wheeldraft 0.0.1 made it; the file does not"),
        "{}",
        ran.out
    );
    // every file says the other version, as if it had made them
    for (i, (name, bytes)) in contents(&shop.pack).into_iter().filter(|(n, _)| n != "manifest.json").enumerate() {
        let entry = list["files"]
            .as_array()
            .unwrap()
            .iter()
            .position(|e| e["name"] == name.as_str())
            .unwrap_or_else(|| panic!("{i}"));
        let Ok(text) = String::from_utf8(bytes) else { continue };
        let other = text.replace(&own, "wheeldraft 0.0.1");
        list["files"][entry]["sha256"] =
            json!(Sha256::digest(&other).iter().map(|b| format!("{b:02x}")).collect::<String>());
        fs::write(shop.pack.join(&name), other).unwrap();
    }
    fs::write(shop.pack.join("manifest.json"), list.to_string()).unwrap();
    let ran = run(wheeldraft().arg("verify").arg(&shop.pack));
    assert!(ran.code == 0 && ran.out.contains("by its hashes alone: wheeldraft 0.0.1 made it"), "{}", ran.out);
    fs::write(shop.pack.join("1042-B-label.pdf"), "no label").unwrap();
    assert_eq!(shop.verify(&[]).code, 1);
}

/// The solids an order asks for are in its pack, or the pack says why not.
#[test]
fn a_pack_holds_the_solids_of_the_order_or_says_why_not() {
    let mut plain = crankshaft();
    for side in ["side_a", "side_b"] {
        plain["wheel"][side].as_object_mut().unwrap().remove("grooves");
    }
    plain["wheel"].as_object_mut().unwrap().remove("face");
    plain["drawing"]["solid"] = json!(["step", "stl", "step"]);
    let shop = Shop::new(&plain);
    let ran = shop.pack(&["--unapproved", "--with", "glb,STEP"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let solids = |shop: &Shop| shop.names().into_iter().filter(|n| n.contains("solid")).collect::<Vec<_>>();
    assert_eq!(solids(&shop), ["1042-B-solid.glb", "1042-B-solid.step", "1042-B-solid.stl"]);
    let step = fs::read_to_string(shop.pack.join("1042-B-solid.step")).unwrap();
    assert!(step.starts_with("ISO-10303-21;") && step.contains("UNAPPROVED"));
    // made again from what the list says was asked for
    assert_eq!(shop.verify(&[]).code, 0);
    let mut forged = fs::read(shop.pack.join("1042-B-solid.stl")).unwrap();
    forged[100] ^= 1;
    fs::write(shop.pack.join("1042-B-solid.stl"), forged).unwrap();
    assert_eq!(shop.verify(&[]).code, 1);

    // grooves that end upon the wall of a recess
    let edge = include_str!("../reference/orders/grooves-from-the-edge-of-a-recess.json");
    plain["wheel"] = serde_json::from_str::<Value>(edge).unwrap()["wheel"].clone();
    for part in ["blank", "mount", "machine"] {
        plain.as_object_mut().unwrap().remove(part);
    }
    plain["units"] = json!("mm");
    let shop = Shop::new(&plain);
    let ran = shop.pack(&["--unapproved"]);
    assert!(ran.err.contains("no solid as stl: the grooves cannot be made"), "{}", ran.err);
    assert_eq!(solids(&shop), [""; 0]);
    let withheld = shop.manifest()["withheld"].as_array().unwrap().clone();
    assert_eq!(withheld.iter().filter(|w| w["kind"] == "solid").count(), 2, "{withheld:?}");
    assert_eq!(shop.verify(&[]).code, 0);
    assert!(shop.pack(&["--with", "dwg"]).err.contains("give step, 3mf, stl or glb"));
}

/// Links, pipes and folders in a pack neither stop the look nor pass for files of it.
#[cfg(unix)]
#[test]
fn odd_files_do_not_stop_verify() {
    let shop = Shop::new(&crankshaft());
    shop.pack(&["--unapproved"]);
    let label = shop.pack.join("1042-B-label.pdf");
    let elsewhere = shop.folder.path().join("label.pdf");
    fs::rename(&label, &elsewhere).unwrap();
    std::os::unix::fs::symlink(&elsewhere, &label).unwrap();
    fs::File::create(shop.pack.join("huge.bin")).unwrap().set_len(65 << 20).unwrap();
    std::os::unix::fs::symlink("/dev/zero", shop.pack.join("endless")).unwrap();
    assert!(std::process::Command::new("mkfifo").arg(shop.pack.join("pipe")).status().unwrap().success());
    let ran = shop.verify(&[]);
    assert_eq!(ran.code, 1);
    for name in
        ["1042-B-label.pdf (no plain file)", "endless (no plain file)", "pipe (no plain file)", "huge.bin (larger"]
    {
        assert!(ran.out.contains(name), "{name}: {}", ran.out);
    }
}

#[test]
fn a_pack_replaces_an_earlier_one_and_keeps_what_is_not_its_own() {
    let shop = Shop::new(&crankshaft());
    shop.pack(&["--unapproved"]);
    fs::write(shop.pack.join("photo.jpg"), [1, 2, 3]).unwrap();
    fs::create_dir(shop.pack.join("mails")).unwrap();
    fs::write(shop.pack.join("mails/1.txt"), "hello").unwrap();
    shop.approve();
    shop.pack(&[]);
    let names: Vec<_> =
        fs::read_dir(&shop.pack).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    assert!(!names.iter().any(|n| n.contains("UNAPPROVED")), "{names:?}");
    assert_eq!(fs::read(shop.pack.join("photo.jpg")).unwrap(), [1, 2, 3]);
    assert_eq!(fs::read_to_string(shop.pack.join("mails/1.txt")).unwrap(), "hello");
    let ran = shop.verify(&[]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("photo.jpg") && ran.out.contains("mails/"));
}

/// What lies where a file of the pack belongs, and no pack made it so, is kept under a numbered name, said, and no foreign file.
#[test]
fn what_is_in_the_way_of_a_pack_is_set_aside() {
    let shop = Shop::new(&crankshaft());
    fs::create_dir_all(&shop.pack).unwrap();
    fs::write(shop.pack.join("1042-B-label.pdf"), "mine").unwrap();
    fs::create_dir(shop.pack.join("1042-B-check.json")).unwrap();
    fs::write(shop.pack.join("manifest.json"), "{\"of\": \"another program\"}").unwrap();
    let kept = |name: &str| fs::read_to_string(shop.pack.join(name)).unwrap();
    let ran = shop.pack(&["--unapproved"]);
    assert!(
        ran.code == 0
            && ran
                .err
                .contains("1042-B-label.pdf was not as a pack makes it: it is kept as 1042-B-label.pdf.set-aside-1"),
        "{}",
        ran.err
    );
    assert_eq!(kept("1042-B-label.pdf.set-aside-1"), "mine");
    assert!(
        shop.pack.join("1042-B-check.json.set-aside-1").is_dir()
            && kept("manifest.json.set-aside-1").contains("another program")
    );
    fs::remove_dir(shop.pack.join("1042-B-check.json.set-aside-1")).unwrap();
    assert_eq!(shop.verify(&[]).code, 0, "what was set aside is known");
    // written into since, also where the next pack has no such file, and once more
    for (name, text) in [
        ("1042-B-traveller.pdf", "signed"),
        ("1042-B-profile-UNAPPROVED_mm.dxf", "edited"),
        ("1042-B-label.pdf", "mine again"),
    ] {
        fs::write(shop.pack.join(name), text).unwrap();
    }
    shop.approve();
    assert_eq!(shop.pack(&[]).code, 0);
    assert_eq!(kept("1042-B-traveller.pdf.set-aside-1"), "signed");
    assert_eq!(kept("1042-B-profile-UNAPPROVED_mm.dxf.set-aside-1"), "edited");
    assert_eq!(kept("1042-B-label.pdf.set-aside-2"), "mine again");
    assert_eq!(shop.verify(&[]).code, 0);
    assert!(!shop.pack(&[]).err.contains("kept as"), "nothing is set aside twice");
}

/// What a command files in a pack's folder is no foreign file, packing again leaves it there, and a change of it is found.
#[test]
fn a_certificate_filed_in_a_pack_is_known_and_stays() {
    let shop = Shop::new(&crankshaft());
    shop.approve();
    shop.pack(&[]);
    let sheet = shop.pack.join("1042-B-2.csv");
    let inspect = |more: &[&std::ffi::OsStr]| run(wheeldraft().arg("inspect").arg(&shop.order).args(more));
    assert_eq!(inspect(&["--wheel".as_ref(), "2".as_ref(), "-o".as_ref(), sheet.as_ref()]).code, 0);
    assert_eq!(shop.verify(&[]).code, 0);
    let filled = |text: &str| {
        text.lines()
            .map(|l| format!("{l}{}\n", if l.starts_with("balance_reading,") { "4.5" } else { "" }))
            .collect::<String>()
    };
    let text = fs::read_to_string(&sheet).unwrap();
    fs::write(&sheet, filled(&text)).unwrap();
    assert!(shop.verify(&[]).out.contains("it is not as it was filed"));
    // a sheet with something in it is not written over
    let again = inspect(&["--wheel".as_ref(), "2".as_ref(), "-o".as_ref(), sheet.as_ref()]);
    assert!(again.code == 2 && again.err.contains("somebody has filled in"), "{}", again.err);
    // also the sheet of the pack itself, once it is judged
    let own = shop.pack.join("1042-B-inspection.csv");
    fs::write(&own, filled(&fs::read_to_string(&own).unwrap())).unwrap();
    assert_eq!(shop.verify(&[]).code, 1);
    let verdicts = shop.pack.join("verdicts.csv");
    for measured in [&sheet, &own] {
        assert_eq!(inspect(&[measured.as_ref(), "-o".as_ref(), verdicts.as_ref()]).code, 1);
    }
    let ran = shop.verify(&[]);
    assert_eq!(ran.code, 0, "{}", ran.out);
    let refused = shop.pack(&["--altered-by", "Heron Quay"]);
    assert!(refused.code == 2 && refused.err.contains("1042-B-inspection.csv was filled in"), "{}", refused.err);
    fs::rename(&own, shop.folder.path().join("filled.csv")).unwrap();
    assert_eq!(shop.pack(&["--altered-by", "Heron Quay"]).code, 0);
    assert!(shop.names().contains(&"verdicts.csv".to_owned()) && fs::read_to_string(&sheet).unwrap().contains("4.5"));
    assert_eq!(shop.verify(&[]).code, 0);
    // every paper that is made there is known, whatever becomes of it
    for (paper, name) in [("label", "labels.svg"), ("ship", "note.svg"), ("traveller", "at-the-lathe.pdf")] {
        run(wheeldraft().arg(paper).arg(&shop.order).arg("-o").arg(shop.pack.join(name)));
    }
    assert_eq!(shop.verify(&[]).code, 0, "{}", shop.verify(&[]).out);
    let filed = fs::read_to_string(shop.pack.join("filed.jsonl")).unwrap();
    assert!(filed.lines().all(|line| line.contains("\"event\":\"filed\"")), "{filed}");
    fs::write(&verdicts, "PASSED").unwrap();
    assert!(shop.verify(&[]).out.contains("it is not as it was filed"));
    fs::remove_file(&verdicts).unwrap();
    assert!(shop.verify(&[]).out.contains("and is gone"));
}

#[test]
fn a_folder_of_packs_is_verified_pack_by_pack_and_no_pack_is_refused() {
    let shop = Shop::new(&crankshaft());
    shop.pack(&[]);
    let packs = shop.folder.path().join("packs");
    let ran = run(wheeldraft().arg("verify").arg(&packs));
    assert_eq!(ran.code, 0);
    assert!(ran.out.contains("in order"));
    let ran = run(wheeldraft().arg("verify").arg(shop.folder.path()));
    assert_eq!(ran.code, 2);
    fs::write(shop.pack.join("manifest.json"), "{}").unwrap();
    let ran = run(wheeldraft().arg("verify").arg(&shop.pack));
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("cannot be read"));
}

/// What the inspector wrote is not lost by packing again, whatever has changed meanwhile.
#[test]
fn a_sheet_that_was_filled_in_is_never_replaced() {
    let shop = Shop::new(&crankshaft());
    shop.pack(&["--unapproved"]);
    let name = fs::read_dir(&shop.pack)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .find(|n| n.ends_with("inspection.csv"))
        .unwrap();
    let filled = fs::read_to_string(shop.pack.join(&name)).unwrap() + "what the inspector wrote\r\n";
    fs::write(shop.pack.join(&name), &filled).unwrap();
    let before = fs::read_dir(&shop.pack).unwrap().count();
    shop.approve();
    let ran = run(wheeldraft().arg("pack").arg(&shop.order).arg("-o").arg(&shop.pack));
    assert!(ran.code == 2 && ran.err.contains(&name) && ran.err.contains("filled in"), "{}", ran.err);
    assert_eq!(fs::read_to_string(shop.pack.join(&name)).unwrap(), filled);
    assert_eq!(fs::read_dir(&shop.pack).unwrap().count(), before, "nothing else was written");
    fs::remove_file(shop.pack.join(&name)).unwrap();
    shop.pack(&[]);
}

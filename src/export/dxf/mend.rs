//! Puts right what the `dxf` crate (0.6.2) writes, in one pass over its output.
//!
//! | as written | mended |
//! | --- | --- |
//! | header with the clock's date, random identifiers and a hundred settings in inches | only the settings named in [`HEADER`] stay |
//! | release 12 with subclass markers and records later releases brought | left out |
//! | tables without handle, entities without owner, `DIMSTYLE` handle as group 5 | handles given anew, owners added, group 105 |
//! | line types without element kinds, layers of line weight 0 | group 74 added, weight as asked or the default |
//! | entities of release 2004 on with a transparency of 0 | left out |
//! | no blocks for model and paper space, empty `OBJECTS` | made here |

use super::DxfError;
use super::handles::Handles;
use super::objects;
use super::pairs::{self, Pair, Record};
use super::paths::{Owned, Paths};
use std::collections::BTreeMap;

/// Settings of the header that stay.
const HEADER: [&str; 15] = [
    "$ACADVER",
    "$DWGCODEPAGE",
    "$INSBASE",
    "$EXTMIN",
    "$EXTMAX",
    "$LIMMIN",
    "$LIMMAX",
    "$LTSCALE",
    "$CLAYER",
    "$LUNITS",
    "$LUPREC",
    "$HANDLING",
    "$INSUNITS",
    "$MEASUREMENT",
    "$TILEMODE",
];

/// Tables of release 12, and of release 2000, in their order.
const TABLES_R12: [&str; 4] = ["VPORT", "LTYPE", "LAYER", "STYLE"];
const TABLES_R2000: [&str; 9] =
    ["VPORT", "LTYPE", "LAYER", "STYLE", "VIEW", "UCS", "APPID", "DIMSTYLE", "BLOCK_RECORD"];

/// Records the crate adds of its own that mean nothing without what they belong to.
const NOISE: [&str; 4] = ["ANNOTATIVE", "ACADANNOTATIVE", "ACAD_MLEADERVER", "ACAD_NAV_VCDISPLAY"];

/// What the pass is told besides the file.
pub(super) struct Mending {
    /// Whether the file is of release 12.
    pub r12: bool,
    /// Comments at the head of the file, ASCII.
    pub comments: Vec<String>,
    /// Line widths by layer, hundredths of a millimetre; the reader's default elsewhere.
    pub line_weights: BTreeMap<String, i32>,
}

/// The file put right, with the paths as the last of its entities.
pub(super) fn mend(written: &[u8], paths: &Paths, mending: &Mending) -> Result<Vec<u8>, DxfError> {
    let text = String::from_utf8_lossy(written);
    let parsed =
        pairs::parse(&text).map_err(|bad| DxfError::Refused(format!("line {} holds no group code", bad.line)))?;
    let sections = sections(pairs::records(parsed));
    let body = if mending.r12 { body_r12(&sections, paths) } else { body_r2000(&sections, paths, mending) };
    let mut out = String::with_capacity(written.len() + body.paths.len());
    for comment in &mending.comments {
        pairs::write(&mut out, 999, comment);
    }
    let header = sections.get("HEADER").and_then(|records| records.first());
    write_record(&mut out, &Record { name: "SECTION".into(), pairs: header_pairs(header, &body.seed) });
    pairs::write(&mut out, 0, "ENDSEC");
    for (name, records) in &body.sections {
        write_record(&mut out, &Record::new("SECTION", [(2, (*name).to_owned())]));
        records.iter().for_each(|record| write_record(&mut out, record));
        if *name == "ENTITIES" {
            out.push_str(&body.paths);
        }
        pairs::write(&mut out, 0, "ENDSEC");
    }
    pairs::write(&mut out, 0, "EOF");
    Ok(out.into_bytes())
}

/// All after the header.
struct Body {
    sections: Vec<(&'static str, Vec<Record>)>,
    /// The paths as written.
    paths: String,
    /// The next free handle; empty where the file has none.
    seed: String,
}

/// The records of each section by its name; the header's settings follow its `SECTION` record.
fn sections(records: Vec<Record>) -> BTreeMap<String, Vec<Record>> {
    let mut sections: BTreeMap<String, Vec<Record>> = BTreeMap::new();
    let mut current = String::new();
    for record in records {
        match record.name.as_str() {
            "SECTION" => {
                current = record.get(2).unwrap_or_default().to_owned();
                let records = sections.entry(current.clone()).or_default();
                if current == "HEADER" {
                    records.push(record);
                }
            }
            "ENDSEC" | "EOF" => {}
            _ => sections.entry(current.clone()).or_default().push(record),
        }
    }
    sections
}

fn header_pairs(header: Option<&Record>, seed: &str) -> Vec<Pair> {
    let mut kept = vec![Pair::new(2, "HEADER")];
    let mut keeps = false;
    for pair in header.iter().flat_map(|record| &record.pairs).skip(1) {
        if pair.code == 9 {
            keeps = HEADER.contains(&pair.value.as_str());
        }
        if keeps {
            kept.push(pair.clone());
        }
    }
    if !seed.is_empty() {
        kept.extend([Pair::new(9, "$HANDSEED"), Pair::new(5, seed)]);
    }
    kept
}

fn write_record(out: &mut String, record: &Record) {
    pairs::write(out, 0, &record.name);
    record.pairs.iter().for_each(|pair| pairs::write(out, pair.code, &pair.value));
}

/// The records of a table, without its head and end and without noise.
fn table<'a>(sections: &'a BTreeMap<String, Vec<Record>>, name: &'a str) -> impl Iterator<Item = &'a Record> {
    let tables = sections.get("TABLES").into_iter().flatten();
    tables.filter(move |record| record.name == name && !NOISE.contains(&record.get(2).unwrap_or_default()))
}

/// A record without the groups of these codes.
fn without(record: &Record, codes: &[i32]) -> Vec<Pair> {
    record.pairs.iter().filter(|pair| !codes.contains(&pair.code)).cloned().collect()
}

fn body_r12(sections: &BTreeMap<String, Vec<Record>>, paths: &Paths) -> Body {
    /// Handle, owner, subclass marker: brought by later releases.
    const LATER: [i32; 3] = [5, 330, 100];
    let mut tables = Vec::new();
    for name in TABLES_R12 {
        let by_reference = |record: &Record| matches!(record.get(2), Some("BYLAYER" | "BYBLOCK"));
        let records: Vec<Record> = table(sections, name)
            .filter(|record| !by_reference(record))
            .map(|record| Record { name: record.name.clone(), pairs: without(record, &LATER) })
            .collect();
        tables.push(Record::new("TABLE", [(2, name.to_owned()), (70, records.len().to_string())]));
        tables.extend(records);
        tables.push(Record::new("ENDTAB", []));
    }
    let entities = sections.get("ENTITIES").into_iter().flatten();
    let entities = entities.map(|e| Record { name: e.name.clone(), pairs: without(e, &LATER) }).collect();
    let mut written = String::new();
    paths.write(&mut written, None);
    let sections = vec![("TABLES", tables), ("BLOCKS", vec![]), ("ENTITIES", entities)];
    Body { sections, paths: written, seed: String::new() }
}

fn body_r2000(sections: &BTreeMap<String, Vec<Record>>, paths: &Paths, mending: &Mending) -> Body {
    let mut handles = Handles::default();
    let spaces = objects::Spaces::new(&mut handles);
    let mut tables = Vec::new();
    for name in TABLES_R2000 {
        let handle = handles.next();
        let records: Vec<Record> = if name == "BLOCK_RECORD" {
            spaces.block_records(&handle)
        } else {
            let mut owned = |record| table_record(record, &handle, &mut handles, mending);
            table(sections, name).map(&mut owned).collect()
        };
        tables.push(table_head(name, handle, records.len()));
        tables.extend(records);
        tables.push(Record::new("ENDTAB", []));
    }
    let blocks = spaces.blocks(&mut handles);
    let entities = sections.get("ENTITIES").map_or(&[][..], Vec::as_slice);
    let entities = owned_entities(entities, &spaces.model, &mut handles);
    let mut written = String::new();
    paths.write(&mut written, Some(Owned { handles: &mut handles, owner: &spaces.model }));
    let objects = spaces.objects(&mut handles);
    let sections =
        vec![("CLASSES", vec![]), ("TABLES", tables), ("BLOCKS", blocks), ("ENTITIES", entities), ("OBJECTS", objects)];
    Body { sections, paths: written, seed: handles.next() }
}

fn table_head(name: &str, handle: String, count: usize) -> Record {
    let mut head = Record::new(
        "TABLE",
        [
            (2, name.to_owned()),
            (5, handle),
            (330, "0".into()),
            (100, "AcDbSymbolTable".into()),
            (70, count.to_string()),
        ],
    );
    if name == "DIMSTYLE" {
        head.pairs.extend([Pair::new(100, "AcDbDimStyleTable"), Pair::new(71, "0")]);
    }
    head
}

/// A table's record with a handle and its table as owner.
fn table_record(record: &Record, table: &str, handles: &mut Handles, mending: &Mending) -> Record {
    // handles of other things: style, arrow blocks, plot style
    let own = without(record, &[5, 105, 330, 340, 341, 342, 343, 344, 370, 390]);
    let code = if record.name == "DIMSTYLE" { 105 } else { 5 };
    let mut pairs = vec![Pair::new(code, handles.next()), Pair::new(330, table)];
    for pair in own {
        let element = pair.code == 49;
        pairs.push(pair);
        if element {
            pairs.push(Pair::new(74, "0"));
        }
    }
    if record.name == "LAYER" {
        let weight = record.get(2).and_then(|name| mending.line_weights.get(name)).unwrap_or(&-3);
        pairs.push(Pair::new(370, weight.to_string()));
    }
    Record { name: record.name.clone(), pairs }
}

/// The crate's entities with handles, owned by model space.
fn owned_entities(entities: &[Record], model: &str, handles: &mut Handles) -> Vec<Record> {
    let mut owned = |entity: &Record| {
        let mut pairs = vec![Pair::new(5, handles.next()), Pair::new(330, model)];
        pairs.extend(without(entity, &[5, 330, 370, 440]));
        Record { name: entity.name.clone(), pairs }
    };
    entities.iter().map(&mut owned).collect()
}

//! What a file of release 2000 must have besides tables and entities: blocks of the two spaces, the root dictionary, the layouts.

use super::handles::Handles;
use super::pairs::Record;

/// The names readers look for.
const MODEL: &str = "*Model_Space";
const PAPER: &str = "*Paper_Space";

/// Handles of the two spaces and of their layouts.
pub(super) struct Spaces {
    /// Block record of model space: owner of every entity.
    pub model: String,
    paper: String,
    model_layout: String,
    paper_layout: String,
}

impl Spaces {
    pub fn new(handles: &mut Handles) -> Spaces {
        let mut next = || handles.next();
        Spaces { model: next(), paper: next(), model_layout: next(), paper_layout: next() }
    }

    /// Name, block record and layout of model space and of paper space.
    fn both(&self) -> [(&'static str, &str, &str); 2] {
        [(MODEL, &self.model, &self.model_layout), (PAPER, &self.paper, &self.paper_layout)]
    }

    /// The records of the table `BLOCK_RECORD`.
    pub fn block_records(&self, table: &str) -> Vec<Record> {
        let record = |(name, handle, layout): (&str, &str, &str)| {
            let pairs = [
                (5, handle),
                (330, table),
                (100, "AcDbSymbolTableRecord"),
                (100, "AcDbBlockTableRecord"),
                (2, name),
                (340, layout),
            ];
            Record::new("BLOCK_RECORD", pairs.map(owned))
        };
        self.both().map(record).into()
    }

    /// An empty block for each space; what is drawn in them stands in the section `ENTITIES`.
    pub fn blocks(&self, handles: &mut Handles) -> Vec<Record> {
        let mut blocks = Vec::new();
        for (name, record, _) in self.both() {
            let (begin, end) = (handles.next(), handles.next());
            let common = |handle| vec![(5, handle), (330, record), (100, "AcDbEntity"), (8, "0")];
            let mut pairs = common(begin.as_str());
            pairs.extend([(100, "AcDbBlockBegin"), (2, name), (70, "0"), (10, "0"), (20, "0"), (30, "0")]);
            pairs.extend([(3, name), (1, "")]);
            blocks.push(Record::new("BLOCK", pairs.into_iter().map(owned)));
            let mut pairs = common(end.as_str());
            pairs.push((100, "AcDbBlockEnd"));
            blocks.push(Record::new("ENDBLK", pairs.into_iter().map(owned)));
        }
        blocks
    }

    /// The root dictionary, which has to come first, and what it leads to.
    pub fn objects(&self, handles: &mut Handles) -> Vec<Record> {
        let (root, groups, layouts) = (handles.next(), handles.next(), handles.next());
        let [model, paper] = [&self.model_layout, &self.paper_layout].map(String::as_str);
        vec![
            dictionary(&root, "0", &[("ACAD_GROUP", &groups), ("ACAD_LAYOUT", &layouts)]),
            dictionary(&groups, &root, &[]),
            dictionary(&layouts, &root, &[("Layout1", paper), ("Model", model)]),
            layout("Model", 0, model, &layouts, &self.model),
            layout("Layout1", 1, paper, &layouts, &self.paper),
        ]
    }
}

fn owned((code, value): (i32, &str)) -> (i32, String) {
    (code, value.to_owned())
}

fn dictionary(handle: &str, owner: &str, entries: &[(&str, &str)]) -> Record {
    let mut pairs = vec![(5, handle), (330, owner), (100, "AcDbDictionary"), (281, "1")];
    for &(name, entry) in entries {
        pairs.extend([(3, name), (350, entry)]);
    }
    Record::new("DICTIONARY", pairs.into_iter().map(owned))
}

/// A layout with neutral plot settings: millimetres, 1:1, no printer.
fn layout(name: &str, tab: usize, handle: &str, owner: &str, space: &str) -> Record {
    let mut pairs = vec![(5, handle), (330, owner), (100, "AcDbPlotSettings"), (1, ""), (2, ""), (4, ""), (6, "")];
    // margins, paper size, origins, window
    pairs.extend([40, 41, 42, 43, 44, 45, 46, 47, 48, 49, 140, 141].map(|code| (code, "0")));
    // scale 1:1; 1024: the settings of model space; 72: millimetres; 74: plot what is shown
    let kind = if tab == 0 { "1024" } else { "0" };
    pairs.extend([(142, "1"), (143, "1"), (70, kind), (72, "1"), (73, "0"), (74, "0"), (7, "")]);
    pairs.extend([(75, "16"), (147, "1"), (148, "0"), (149, "0"), (100, "AcDbLayout"), (1, name), (70, "1")]);
    let tab = tab.to_string();
    pairs.push((71, &tab));
    // limits, insertion base, extents (empty: least above greatest), elevation, axes
    pairs.extend([(10, "0"), (20, "0"), (11, "420"), (21, "297"), (12, "0"), (22, "0"), (32, "0")]);
    pairs.extend([(14, "1e20"), (24, "1e20"), (34, "1e20"), (15, "-1e20"), (25, "-1e20"), (35, "-1e20"), (146, "0")]);
    pairs.extend([(13, "0"), (23, "0"), (33, "0"), (16, "1"), (26, "0"), (36, "0"), (17, "0"), (27, "1"), (37, "0")]);
    pairs.extend([(76, "0"), (330, space)]);
    Record::new("LAYOUT", pairs.into_iter().map(owned))
}

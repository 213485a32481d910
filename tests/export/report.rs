//! Tables and papers as CSV and JSON from the same rows.

use wheeldraft::export::{csv, json};
use wheeldraft::report::{Column, Content, Paper, Row, Table, Value};

#[test]
fn csv_reads_back() {
    let columns = vec![Column::new("What", ""), Column::new("Value", "mm")];
    let line = |label: &str, value| vec![Value::text(label), value];
    let lines = vec![
        line("Outside diameter", Value::number(660.4, 2)),
        line("Mass, \"as cut\"", Value::number(0.125, 2)),
        line("=cmd()", Value::Unknown),
        line("Offset", Value::number(-3.0, 1)),
    ];
    let bytes = csv::table(&Table { columns, lines, source: String::new() }).unwrap();
    let mut reader = ::csv::Reader::from_reader(bytes.as_slice());
    assert_eq!(reader.headers().unwrap().iter().collect::<Vec<_>>(), ["What", "Value [mm]"]);
    let rows: Vec<Vec<String>> = reader.records().map(|r| r.unwrap().iter().map(str::to_owned).collect()).collect();
    assert_eq!(rows[0], ["Outside diameter", "660.40"]);
    assert_eq!(rows[1], ["Mass, \"as cut\"", "0.13"]);
    assert_eq!(rows[2], ["'=cmd()", ""], "a formula stays a text");
    assert_eq!(rows[3][1], "-3.0");
}

#[test]
fn lines_must_fit_the_headings() {
    assert!(csv::lines(&["a", "b"], [vec!["1".to_owned()]]).is_err());
    let bytes = csv::lines(&["a", "b"], [vec!["1".to_owned(), "+0.1/-0.2".to_owned()]]).unwrap();
    assert_eq!(bytes, b"a,b\r\n1,+0.1/-0.2\r\n");
}

#[test]
fn a_paper_holds_its_parts() {
    let columns = vec![Column::new("Groove", ""), Column::new("Angle", "°")];
    let lines =
        vec![vec![Value::number(1.0, 0), Value::number(0.0, 2)], vec![Value::number(10.0, 0), Value::number(20.5, 2)]];
    let table = Table { columns, lines, source: String::new() };
    assert_eq!(csv::table(&table).unwrap(), b"Groove,Angle [\xC2\xB0]\r\n1,0.00\r\n10,20.50\r\n");
    let mut paper = Paper::new("Index");
    paper.push("Angles", Content::Table(table));
    paper.notes("Notes", vec!["Indexed from the mark.".into()]);
    paper.rows("Sizes", vec![Row::new("Depth", Value::number(0.125, 2), "mm"), Row::new("Mass", Value::Unknown, "kg")]);
    let json = json::paper(&paper);
    assert_eq!(json["parts"][0]["lines"][1][1], 20.5);
    assert_eq!(json["parts"][1]["notes"][0], "Indexed from the mark.");
    // numbers whole, not as they are printed
    assert_eq!(json["parts"][2]["rows"][0]["value"], 0.125);
    assert!(json["parts"][2]["rows"][1]["value"].is_null());
}

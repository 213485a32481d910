//! Reports as CSV, JSON and text from the same rows.

use wheeldraft::export::{csv, json, text};
use wheeldraft::report::{Column, Content, Paper, Report, Row, Table, Value};

fn report() -> Report {
    let rows = vec![
        Row::new("Outside diameter", Value::number(660.4, 2), "mm")
            .symbol("D")
            .source("order, /wheel/outside_diameter"),
        Row::new("Mass, \"as cut\"", Value::number(0.125, 2), "kg"),
        Row::new("Marking", Value::Text("A 54 K 6 V".into()), ""),
        Row::new("=cmd()", Value::Unknown, "m/s"),
        Row::new("Offset", Value::number(-3.0, 1), "mm"),
    ];
    Report { title: "Größen".into(), rows }
}

#[test]
fn csv_reads_back() {
    let bytes = csv::csv(&report()).unwrap();
    let mut reader = ::csv::Reader::from_reader(bytes.as_slice());
    assert_eq!(reader.headers().unwrap().iter().collect::<Vec<_>>(), ["label", "symbol", "value", "unit", "source"]);
    let rows: Vec<Vec<String>> = reader.records().map(|r| r.unwrap().iter().map(str::to_owned).collect()).collect();
    assert_eq!(rows[0], ["Outside diameter", "D", "660.40", "mm", "order, /wheel/outside_diameter"]);
    assert_eq!(rows[1][0], "Mass, \"as cut\"");
    assert_eq!(rows[1][2], "0.13");
    assert_eq!(rows[3][0], "'=cmd()", "a formula stays a text");
    assert_eq!((rows[3][2].as_str(), rows[4][2].as_str()), ("", "-3.0"));
}

#[test]
fn lines_must_fit_the_headings() {
    assert!(csv::lines(&["a", "b"], [vec!["1".to_owned()]]).is_err());
    let bytes = csv::lines(&["a", "b"], [vec!["1".to_owned(), "+0.1/-0.2".to_owned()]]).unwrap();
    assert_eq!(bytes, b"a,b\r\n1,+0.1/-0.2\r\n");
}

#[test]
fn json_keeps_whole_numbers() {
    let json = json::json(&report());
    assert_eq!(json["title"], "Größen");
    assert_eq!(json["rows"][1]["value"], 0.125);
    assert_eq!(json["rows"][2]["value"], "A 54 K 6 V");
    assert!(json["rows"][3]["value"].is_null());
}

#[test]
fn text_aligns_points() {
    let want = "\
Größen
──────
Outside diameter  D  660.40      mm   order, /wheel/outside_diameter
Mass, \"as cut\"         0.13      kg
Marking              A 54 K 6 V
=cmd()               –           m/s
Offset                -3.0       mm
";
    assert_eq!(text::text(&report()), want);
    assert_eq!(text::text(&Report::default()), "");
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
    let want = "Index\n═════\n\nAngles\n──────\nGroove  Angle [°]\n 1       0.00\n10      20.50\n\nNotes\n─────\n- Indexed from the mark.\n";
    assert_eq!(text::paper(&paper), want);
    let json = json::paper(&paper);
    assert_eq!(json["parts"][0]["lines"][1][1], 20.5);
    assert_eq!(json["parts"][1]["notes"][0], "Indexed from the mark.");
}

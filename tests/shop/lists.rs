//! Lists as spreadsheets of all countries write them: sign, encoding, decimal comma, capitals, cells too many, cells no terminal may show.

use wheeldraft::list::{List, key, read};
use wheeldraft::shop::stock;

const PLAIN: &str =
    "id,outside_diameter,thickness,bore,cost\nS-1,660 mm,63.5 mm,203.2 mm,12.50\n\nS-2,26 in,2-1/2 in,8 in,9.00\n";

fn utf16(text: &str, big: bool) -> Vec<u8> {
    let mark: &[u8] = if big { &[0xFE, 0xFF] } else { &[0xFF, 0xFE] };
    let units = text.encode_utf16().flat_map(|unit| if big { unit.to_be_bytes() } else { unit.to_le_bytes() });
    mark.iter().copied().chain(units).collect()
}

fn by_semicolon() -> String {
    PLAIN.replace(',', ";").replace('.', ",")
}

fn list_of(text: &str) -> List {
    read(text.as_bytes()).unwrap()
}

#[test]
fn every_spreadsheets_file_is_the_same_list() {
    let plain = stock::read(PLAIN.as_bytes()).unwrap();
    assert!(plain.wheels.len() == 2 && plain.problems.is_empty(), "{:?}", plain.problems);
    let trailing = PLAIN.lines().map(|l| format!("{l},,,\r\n")).collect::<String>();
    let capitals = PLAIN.replacen("id,outside_diameter", "ID,Outside Diameter", 1);
    let files: Vec<Vec<u8>> = vec![
        by_semicolon().into_bytes(),
        PLAIN.replace(',', "\t").into_bytes(),
        trailing.into_bytes(),
        capitals.into_bytes(),
        [b"\xEF\xBB\xBF", PLAIN.as_bytes()].concat(),
        utf16(PLAIN, false),
        utf16(&by_semicolon(), true),
        PLAIN.replace(',', "|").into_bytes(),
    ];
    for (i, file) in files.into_iter().enumerate() {
        let file = if i == 7 { [b"sep=|\r\n".as_slice(), &file].concat() } else { file };
        let list = stock::read(&file).unwrap_or_else(|e| panic!("{i}: {e:?}"));
        assert!(list.problems.is_empty(), "{i}: {:?}", list.problems);
        let mut wheels = list.wheels;
        // the line `sep=` counts
        wheels.iter_mut().for_each(|w| w.line -= u64::from(i == 7));
        assert_eq!(wheels, plain.wheels, "{i}");
    }
}

#[test]
fn rows_keep_the_line_of_the_file() {
    let list = list_of("# remark\n\nitem;place;measured\n1;;2,5\n\n\n2;\"a\nb\";3\n3;;4\n");
    assert_eq!((list.line, list.sign), (3, b';'));
    assert_eq!(list.rows.iter().map(|r| r.line).collect::<Vec<_>>(), [4, 7, 9]);
    let quoted = list_of("\"a;b\",c\n1,2\n");
    assert_eq!((quoted.heading.len(), quoted.sign), (2, b','));
    assert!(list_of("").heading.is_empty());
    assert_eq!(key(" Outside-Diameter "), "outside_diameter");
}

#[test]
fn a_comma_is_a_decimal_sign_where_it_can_be_nothing_else() {
    let (semicolon, comma, tab) = (list_of("a;b\n"), list_of("a,b\n"), list_of("a\tb\n"));
    assert_eq!(semicolon.number("25,413").unwrap(), "25.413");
    assert_eq!(tab.number("25,41 mm").unwrap(), "25.41 mm");
    assert_eq!(comma.number("0,413").unwrap(), "0.413");
    assert_eq!(comma.number("2-1/2 in").unwrap(), "2-1/2 in");
    for (list, odd) in
        [(&tab, "1,234"), (&comma, "25,413"), (&semicolon, "1.234,5"), (&semicolon, "1,234.5"), (&tab, "1,234,567")]
    {
        assert!(list.number(odd).is_err_and(|(what, _)| what.contains("two ways")), "{odd}");
    }
}

#[test]
fn what_no_terminal_may_show_stays_in_the_file() {
    let list = list_of("id,place\nS-1,\u{1b}[2J\nS-2,\"shelf\n4\"\nS-3,\u{9b}31m\n");
    assert_eq!(list.problems.iter().map(|p| p.line).collect::<Vec<_>>(), [2, 5]);
    assert!(list.problems.iter().all(|p| !p.message.chars().any(char::is_control)), "{:?}", list.problems);
    assert_eq!(list.rows[0].cells, ["S-2", "shelf 4"]);
    assert!(read(b"i\x1bd,place\n").is_err() && read(b"\xFF\xFEa").is_err() && read(b"\xFF\xFE\x00\xD8").is_err());
    let half = read(b"id,place\nS-1,\xFF\nS-2,shelf\n").unwrap();
    assert!(half.problems[0].message.contains("UTF-8") && half.rows.len() == 1);
}

/// Lines are counted on, not anew for every row: a hundred thousand rows in the test build take no minutes.
#[test]
fn a_long_list_is_read_in_one_go() {
    let text: String = (0..100_000).map(|n| format!("{n},D1,{n}.5\n")).collect();
    let begun = std::time::Instant::now();
    let list = read(format!("item,place,measured\n{text}").as_bytes()).unwrap();
    assert_eq!((list.rows.len(), list.rows.last().unwrap().line), (100_000, 100_001));
    assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
}

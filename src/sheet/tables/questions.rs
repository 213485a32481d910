//! What the customer has to answer before the order can be made, with a box for each answer.

use super::SMALL;
use crate::language::Language;
use crate::sheet::table::{Column, Table};

/// Width of the box for an answer, mm.
const ANSWER: f64 = 55.0;

/// The questions; `None` where nothing is open.
pub fn questions(asked: Vec<String>, language: Language) -> Option<Table> {
    let say = |key: &str| language.text(key);
    let columns = vec![
        Column::centred(say("sheet.number"), 10.0),
        Column::left(say("note.questions"), 95.0),
        Column::left(say("sheet.answer"), ANSWER).at_least(ANSWER),
    ];
    let row = |(i, question): (usize, String)| vec![format!("{}", i + 1), question, String::new()];
    let rows: Vec<Vec<String>> = asked.into_iter().enumerate().map(row).collect();
    (!rows.is_empty()).then(|| Table { id: super::QUESTIONS.to_owned(), title: String::new(), columns, rows, size: SMALL })
}

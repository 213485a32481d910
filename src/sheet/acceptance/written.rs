//! What is lettered of a size, in its own group or, where only its letter stands there, in its row of a table: the value, and both deviations.

use super::collect::{Lettered, Owning, Parts};
use super::held::{Held, numbers_in, says};
use crate::sheet::view::DrawnDimension;
use crate::tolerance::SAME_ROW;
use crate::wheel::Requirement;

/// A size as it is lettered on the sheets.
pub struct Written<'a> {
    /// What it is held to.
    pub held: Held<'a>,
    /// The order's requirement; `None` for a reference.
    pub requirement: Option<&'a Requirement>,
    /// The sheets.
    pub sheets: &'a [Parts],
}

impl Written<'_> {
    /// What is wrong with value and deviations.
    pub fn wrong(&self, owner: &Owning, drawn: &DrawnDimension) -> Vec<String> {
        let own = |s: &Parts, o: Option<usize>| o.is_some_and(|o| s.owners[o].subject == owner.subject);
        let in_group = self.sheets.iter().flat_map(|s| s.texts.iter().filter(move |t| own(s, t.owner)));
        let texts: Vec<&str> = in_group.map(|t| t.content.as_str()).collect();
        let name = owner.subject;
        if !texts.iter().any(|t| says(t, &drawn.printed)) {
            return vec![format!("{name}: `{}` is not lettered in its group", drawn.printed)];
        }
        let letter = drawn.printed.split(", ").next().unwrap_or_default();
        let by_letter = self.requirement.is_some_and(|r| !r.letter.is_empty() && letter == r.letter);
        let mut found = Vec::new();
        let told = if by_letter { self.row(letter) } else { texts };
        let printed = if by_letter { told.join(" ") } else { drawn.printed.clone() };
        if !numbers_in(&printed).any(|n| self.held.is(n)) {
            found.push(format!("{name} is printed as `{printed}`, which is not {:.4}", self.held.value));
        }
        if let Some(deviation) = self.requirement.and_then(|r| r.deviation) {
            // a nil deviation is a plain 0, or zeros with a sign
            let rest: Vec<f64> = told.iter().flat_map(|t| numbers_in(t)).collect();
            for limit in [deviation.upper, deviation.lower] {
                let same = |n: &f64| self.held.within(n.abs(), limit.abs());
                if !rest.iter().any(same) {
                    found.push(format!("{name} stands without its deviation of {limit:.4} mm"));
                }
            }
        }
        found
    }

    /// The texts of a letter's row in the tables.
    fn row(&self, letter: &str) -> Vec<&str> {
        self.sheets.iter().flat_map(|s| row_of(s, letter)).collect()
    }
}

fn row_of<'a>(sheet: &'a Parts, letter: &str) -> Vec<&'a str> {
    let tabled = |t: &&Lettered| sheet.tops[t.top].id.starts_with("table-");
    let numbered = |t: &Lettered| t.content == letter || t.content.ends_with(&format!(" {letter}"));
    let Some(head) = sheet.texts.iter().filter(tabled).find(|t| numbered(t)) else { return Vec::new() };
    let level = |t: &&Lettered| (t.bounds.centre().y - head.bounds.centre().y).abs() < SAME_ROW;
    let beside = sheet.texts.iter().filter(|t| t.top == head.top && t.bounds.min.x > head.bounds.min.x);
    beside.filter(level).map(|t| t.content.as_str()).collect()
}

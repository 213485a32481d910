//! An order made of an earlier one: sizes and agreements are taken over, what belonged to that one order alone is not. The text stays as a person
//! wrote it.

use crate::dossier::Dossier;
use crate::json::{Edit, Problem, Problems, edited};
use crate::order::Answer;
use crate::rules::{Answered, Outcome, ShopRules};
use crate::wheel::Job;

/// What the new order is called, and what is different in it.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'a> {
    /// Its number.
    pub number: &'a str,
    /// Its revision.
    pub revision: &'a str,
    /// Its date, YYYY-MM-DD; none where absent.
    pub date: Option<&'a str>,
    /// Fields that are set or taken away.
    pub settings: &'a [Edit],
    /// The shop's rules: sizes left open count as is usual there.
    pub shop: &'a ShopRules,
}

/// A new order.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeated {
    /// Its text: an order without problems.
    pub text: String,
    /// What it reads as.
    pub job: Job,
    /// What was not taken over, in words.
    pub left_out: Vec<String>,
}

/// A starting order under its own number, with these fields set.
///
/// # Errors
/// Everything wrong with the order that would come of it.
pub fn started(text: &str, wanted: &Wanted) -> Result<Repeated, Problems> {
    let mut left_out = Vec::new();
    let text = with_settings(changed(text, &heading(wanted))?, wanted.settings, &mut left_out)?;
    Ok(Repeated { job: wanted.shop.open(text.as_bytes())?, text, left_out })
}

/// An order that repeats an earlier one, of which `text` is the file. Not taken over are number, date, due date, the customer's own order number,
/// what is said of that one blank (stock, place, lot, expiry), notes with a date, and answers to questions that are not asked any more or not so.
///
/// # Errors
/// Everything wrong with the order that would come of it; also where it would be the earlier one itself.
pub fn repeat(old: &Dossier, text: &str, wanted: &Wanted) -> Result<Repeated, Problems> {
    let stem = old.job.file_stem();
    if stem == format!("{}-{}", wanted.number, wanted.revision) {
        let message = format!("{stem} is the order that is repeated");
        return Err(alone(Problem::new("/order/number", message, "give another number, or another revision")));
    }
    let mut left_out = Vec::new();
    let mut edits = heading(wanted);
    edits.push(Edit::text("/order/based_on", &stem));
    edits.extend(passed(&old.job, &mut left_out));
    let text = with_settings(changed(text, &edits)?, wanted.settings, &mut left_out)?;
    let mut job = wanted.shop.open(text.as_bytes())?;
    let mut text = text;
    if let Some(consent) = outgrown_consent(&old.job, &job) {
        left_out.push(format!("the maker's consent {consent}, given for the wheel as it was"));
        text = changed(&text, &[Edit::remove(MAKER_AGREEMENT)])?;
        job = wanted.shop.open(text.as_bytes())?;
    }
    let stale = stale_answers(old, &job)?;
    let of = |i: &usize| old.job.answers.get(*i).map(|a| format!("the answer to {} ({}, {})", a.question, a.by, a.date));
    left_out.extend(stale.iter().filter_map(of));
    let text = changed(&text, &without("/answers", &stale, old.job.answers.len()))?;
    Ok(Repeated { job: wanted.shop.open(text.as_bytes())?, text, left_out })
}

const MAKER_AGREEMENT: &str = "/blank/maker_agreement";

/// The maker's consent to the earlier alteration, where the new wheel has another shape.
fn outgrown_consent(old: &Job, new: &Job) -> Option<String> {
    let of = |job: &Job| job.blank.as_ref().and_then(|b| b.maker_agreement.clone());
    of(old).filter(|consent| old.wheel != new.wheel && of(new).as_ref() == Some(consent))
}

fn heading(wanted: &Wanted) -> Vec<Edit> {
    let date = wanted.date.map_or_else(|| Edit::remove("/order/date"), |date| Edit::text("/order/date", date));
    vec![Edit::text("/order/number", wanted.number), Edit::text("/order/revision", wanted.revision), date]
}

/// What belonged to the earlier order alone.
fn passed(old: &Job, left_out: &mut Vec<String>) -> Vec<Edit> {
    let (head, blank) = (&old.head, old.blank.as_ref());
    let gone = [
        ("/order/due", "the due date", head.due.clone()),
        ("/order/customer_order", "the customer's order number", head.customer_order.clone()),
        ("/blank/stock", "the stock wheel", blank.and_then(|b| b.stock.clone())),
        ("/blank/place", "its place", blank.and_then(|b| b.place.clone())),
        ("/blank/lot", "the lot", blank.and_then(|b| b.lot.clone())),
        ("/blank/expires", "the blank's expiry", blank.and_then(|b| b.expires).map(|day| day.to_string())),
    ];
    let mut edits: Vec<Edit> = Vec::new();
    for (field, what, value) in gone {
        left_out.extend(value.map(|value| format!("{what} {value}")));
        edits.push(Edit::remove(field));
    }
    let dated: Vec<usize> = (0..head.notes.len()).filter(|&i| is_dated(&head.notes[i])).collect();
    left_out.extend(dated.iter().map(|&i| format!("the note {}", crate::quantity::quoted(&head.notes[i]))));
    edits.extend(without("/order/notes", &dated, head.notes.len()));
    edits
}

/// Takes these entries of a list away, the last first; the whole list where none would stay.
fn without(list: &str, entries: &[usize], of: usize) -> Vec<Edit> {
    if entries.len() == of && of > 0 {
        return vec![Edit::remove(list)];
    }
    entries.iter().rev().map(|i| Edit::remove(format!("{list}/{i}"))).collect()
}

/// Fields of which only one can stand: the first takes the others' place.
const EITHER: [(&str, &[&str]); 6] = [
    ("grooves/count", &["pitch_deg"]),
    ("grooves/pitch_deg", &["count"]),
    ("corner/radius", &["chamfer", "angle_deg"]),
    ("corner/chamfer", &["radius"]),
    ("taper/depth", &["angle_deg"]),
    ("taper/angle_deg", &["depth"]),
];

/// The text with the fields set; what a set field takes the place of goes, unless it is set too.
fn with_settings(mut text: String, settings: &[Edit], left_out: &mut Vec<String>) -> Result<String, Problems> {
    for setting in settings {
        let others = EITHER.iter().find(|(one, _)| setting.field.ends_with(one)).map_or(&[][..], |(_, others)| others);
        let place = setting.field.rsplit_once('/').map_or("", |(place, _)| place);
        let others = others.iter().map(|other| format!("{place}/{other}")).filter(|_| setting.value.is_some());
        for other in others.filter(|other| settings.iter().all(|s| s.field != *other)) {
            let less = changed(&text, &[Edit::remove(&*other)])?;
            if less != text {
                left_out.push(format!("{other}, which {} takes the place of", setting.field));
                text = less;
            }
        }
        text = changed(&text, std::slice::from_ref(setting))?;
    }
    Ok(text)
}

/// The answers of the earlier order that do not hold for the new one: the question is not asked any more, or its numbers have changed.
fn stale_answers(old: &Dossier, new: &Job) -> Result<Vec<usize>, Problems> {
    // who sets the answers says which hold
    if old.job.answers.is_empty() || old.job.answers != new.answers {
        return Ok(Vec::new());
    }
    let new = Dossier::of(new.clone(), old.shop).map_err(|e| alone(Problem::new("/wheel", e.to_string(), "")))?;
    let holds = |answer: &Answer| {
        let before = settled(&old.outcome, answer);
        let after = settled(&new.outcome, answer);
        before.zip(after).is_some_and(|(a, b)| a.finding.feature == b.finding.feature && a.finding.message == b.finding.message)
    };
    Ok((0..old.job.answers.len()).filter(|&i| !holds(&old.job.answers[i])).collect())
}

fn settled<'a>(outcome: &'a Outcome, answer: &Answer) -> Option<&'a Answered> {
    outcome.answered.iter().find(|settled| settled.answer == *answer)
}

fn changed(text: &str, edits: &[Edit]) -> Result<String, Problems> {
    edited(text, edits).map_err(alone)
}

/// A problem that stands nowhere in a file.
fn alone(problem: Problem) -> Problems {
    Problems::without_place(problem)
}

/// Names of months in the languages of the customer's papers, with their English abbreviations.
const MONTHS: &str = "jan feb mar apr jun jul aug sep sept oct nov dec january february march april june july august september october november \
    december januar februar märz mai juni juli oktober dezember janvier février mars avril juin juillet août septembre octobre novembre \
    décembre enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre";

/// Whether a note names a day: `2026-03-02`, `2.3.2026`, `3/2/2026`, `12 March 2026`, `March 12`.
fn is_dated(note: &str) -> bool {
    let parts = note.split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '(' | ')' | ':'));
    let words: Vec<&str> = parts.map(|word| word.trim_end_matches('.')).filter(|word| !word.is_empty()).collect();
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let in_figures = |word: &&str| {
        ['-', '.', '/'].iter().any(|sign| {
            let parts: Vec<&str> = word.split(*sign).collect();
            parts.len() == 3
                && parts.iter().all(|part| digits(part))
                && parts.iter().any(|part| part.len() == 4 || *sign != '-')
        })
    };
    // `may` is a word too
    let is_month = |word: &str| word == "May" || MONTHS.split_whitespace().any(|month| month == word.to_lowercase());
    let in_words = words.windows(2).any(|pair| {
        let number = |word: &str| digits(word.trim_end_matches(|c: char| c.is_ascii_lowercase()));
        is_month(pair[0]) && number(pair[1]) || number(pair[0]) && is_month(pair[1])
    });
    words.iter().any(in_figures) || in_words
}

#[cfg(test)]
mod tests {
    use super::is_dated;

    #[test]
    fn a_note_with_a_day_is_dated_and_sizes_are_no_days() {
        for note in [
            "Blotters sent 2026-03-02.",
            "seit dem 2.3.2026 vereinbart",
            "called on 3/2/2026",
            "agreed 12 March 2026",
            "March 12th: softer mark",
            "until 5 Dec.",
            "agreed on 5 May",
            "Am 3. Oktober besprochen",
        ] {
            assert!(is_dated(note), "{note}");
        }
        for note in [
            "Keep the blank's arrow on side A.",
            "Runs at 2000 rpm.",
            "Marked A 54 K 6 V",
            "Grooves 1-1/4 in apart, 3/8 deep",
            "Mark the wheel 1042-B-3",
            "Side A may 0.2 mm more",
            "Mark 5 wheels with paint, 3 marks each",
            "Grooves may 2 mm deeper; 12 separate boxes",
        ] {
            assert!(!is_dated(note), "{note}");
        }
    }
}

//! Questions that the order itself answers: they are agreed, and not asked again unless what they are about has changed.

use super::draft;
use super::finding::{Answered, Finding, Severity};
use crate::order::Answer;

/// What became of the answers of an order.
#[derive(Debug, Default)]
pub(super) struct Settled {
    pub answered: Vec<Answered>,
    /// Answers to nothing that is asked, or to one of several without saying which.
    pub idle: Vec<Answer>,
    /// Answers to questions that name other values by now.
    pub outdated: Vec<Answer>,
}

/// Takes the answered questions out of the findings. An answer names a finding's id, with its field behind it where several have that id.
pub(super) fn settle(answers: &[Answer], findings: &mut Vec<Finding>) -> Settled {
    let mut settled = Settled::default();
    for answer in answers {
        let asked: Vec<usize> = (0..findings.len()).filter(|&i| is_about(answer, &findings[i])).collect();
        match asked.as_slice() {
            [one] if holds(answer, &findings[*one]) => {
                settled.answered.push(Answered { finding: findings.remove(*one), answer: answer.clone() });
            }
            [one] => {
                let Answer { answer: said, by, date, .. } = answer;
                findings[*one].hint += &format!(" {by} answered \"{said}\" on {date}, for other values than these.");
                settled.outdated.push(answer.clone());
            }
            _ => settled.idle.push(answer.clone()),
        }
    }
    settled
}

/// Whether an answer was given for the values that the question names now; one that does not say what was asked holds.
fn holds(answer: &Answer, finding: &Finding) -> bool {
    answer.asked.as_ref().is_none_or(|asked| values(asked) == values(&finding.message))
}

/// The figures and fractions of a question, in their order: its words may change with the program, what it is about does not.
fn values(text: &str) -> Vec<&str> {
    let parts = text.split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '/')));
    let bare = parts.map(|part| part.trim_matches(|c: char| !c.is_ascii_digit()));
    bare.filter(|part| !part.is_empty()).collect()
}

fn is_about(answer: &Answer, finding: &Finding) -> bool {
    // an open size is decided in its own field, not beside it
    finding.severity == Severity::Ask && finding.id != draft::ID && is_named(&answer.question, finding)
}

/// Whether a person means this finding: by its id, with its field behind it where several have that id.
pub fn is_named(question: &str, finding: &Finding) -> bool {
    let mut words = question.split_whitespace();
    let id = words.next() == Some(finding.id);
    id && words.next().is_none_or(|field| path(field) == path(&finding.feature)) && words.next().is_none()
}

/// A field however it is written: `/wheel/side_a/taper`, `wheel.side_a.taper`.
fn path(field: &str) -> String {
    field.replace('/', ".").trim_matches('.').to_owned()
}

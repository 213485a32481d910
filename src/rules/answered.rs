//! Questions that the order itself answers: they are agreed, and not asked again.

use super::draft;
use super::finding::{Answered, Finding, Severity};
use crate::order::Answer;

/// Takes the answered questions out of the findings. An answer names a finding's id, with its field behind it where several have that id. What
/// answers nothing that is asked comes back as the second list.
pub(super) fn settle(answers: &[Answer], findings: &mut Vec<Finding>) -> (Vec<Answered>, Vec<Answer>) {
    let mut answered = Vec::new();
    let mut idle = Vec::new();
    for answer in answers {
        let asked: Vec<usize> = (0..findings.len()).filter(|&i| is_about(answer, &findings[i])).collect();
        match asked.as_slice() {
            [one] => answered.push(Answered { finding: findings.remove(*one), answer: answer.clone() }),
            // an answer to one of several does not say which
            _ => idle.push(answer.clone()),
        }
    }
    (answered, idle)
}

fn is_about(answer: &Answer, finding: &Finding) -> bool {
    let mut words = answer.question.split_whitespace();
    let id = words.next() == Some(finding.id);
    let field = words.next().is_none_or(|field| path(field) == path(&finding.feature));
    // an open size is decided in its own field, not beside it
    finding.severity == Severity::Ask && finding.id != draft::ID && id && field && words.next().is_none()
}

/// A field however it is written: `/wheel/side_a/taper`, `wheel.side_a.taper`.
fn path(field: &str) -> String {
    field.replace('/', ".").trim_matches('.').to_owned()
}

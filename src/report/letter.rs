//! The open questions of an order as a letter that can be sent as it stands.

use crate::dossier::Dossier;
use crate::rules::{Addressee, Finding};

/// The letter to whoever has to answer; without any question it says so.
pub fn questions(dossier: &Dossier, to: Addressee) -> String {
    let head = &dossier.job.head;
    let item = head.item.as_deref().map_or(String::new(), |item| format!(", {item}"));
    let mut out = format!("Order {}, revision {}{item}\n", head.number, head.revision);
    let theirs = head.customer_order.as_ref().filter(|_| to == Addressee::Customer);
    out.extend(theirs.map(|number| format!("Your order {number}\n")));
    let name = match to {
        Addressee::Customer => head.contact.as_ref().or(head.customer.as_ref()).map(String::as_str),
        Addressee::Shop => None,
    };
    let asked: Vec<&Finding> = dossier.outcome.questions(to).collect();
    out += &match name {
        Some(name) => format!("\nTo {name}\n\n"),
        None => "\n".to_owned(),
    };
    out += &match (asked.len(), to) {
        (0, _) => return out + "No question is open.\n",
        (1, Addressee::Customer) => "Before the wheel can be made we need your answer to one question:\n".to_owned(),
        (n, Addressee::Customer) => format!("Before the wheel can be made we need your answers to {n} questions:\n"),
        (_, Addressee::Shop) => "To settle in the shop before the wheel is made:\n".to_owned(),
    };
    for (i, finding) in asked.iter().enumerate() {
        out += &format!("\n{}. {}\n   Answer: ______________________________\n", i + 1, finding.message);
    }
    out +=
        &format!("\nThese questions are about the order with the fingerprint {}.\n", dossier.job.fingerprint().short());
    out.extend(head.prepared_by.as_ref().filter(|_| to == Addressee::Customer).map(|by| format!("\n{by}\n")));
    out
}

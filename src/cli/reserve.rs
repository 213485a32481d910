//! Blanks kept for orders: what the shop's journal says is left, and the plan written into it.

use super::{Desk, Failure, journal, premises};
use crate::book::{self, Event, Kept, Kind};
use crate::shop::stock::{Planned, StockList, StockWheel};
use crate::wheel::Job;

/// The list without what is kept for other orders than these; in a shop's folder only.
///
/// # Errors
/// Where the shop's files cannot be read.
pub fn left(mut list: StockList, jobs: &[&Job], desk: &Desk) -> Result<StockList, Failure> {
    let Some(shop) = desk.premises()? else { return Ok(list) };
    let book = journal::read(&shop.folder.join(book::NAME))?;
    let stems: Vec<String> = jobs.iter().map(|job| job.file_stem()).collect();
    let others = book::kept(&book.entries).into_iter().filter(|kept| !stems.iter().any(|stem| stem == kept.order));
    for kept in others {
        let Kept { order, stock, blanks } = kept;
        for count in kept.out_of(&mut list) {
            desk.remark(&format!("{stock}: {blanks} of {count} are kept for {order}."));
        }
    }
    Ok(list)
}

/// Writes the plan into the shop's journal, in place of what was kept for these orders before.
///
/// # Errors
/// Where no shop's folder is in use, or its journal cannot be written.
pub fn keep(planned: &Planned, desk: &Desk) -> Result<(), Failure> {
    let Some(shop) = desk.premises()? else {
        let hint = "name orders of a shop's folder, or give --shop DIR; `wheeldraft new --shop DIR` makes one";
        return Err(Failure::new("--reserve writes into the journal of a shop's folder, and none is in use", hint));
    };
    let book = journal::read(&shop.folder.join(book::NAME))?;
    let before = book::kept(&book.entries);
    let mut events = Vec::new();
    for (i, job) in planned.jobs.iter().enumerate() {
        let stem = job.file_stem();
        if before.iter().any(|kept| kept.order == stem) {
            events.push(premises::event(Kind::Released, job, None)?);
        }
        for share in planned.plan.shares.iter().filter(|share| share.order == i) {
            events.push(kept_for(job, &planned.stock[share.stock], share.wheels)?);
        }
    }
    let reserved = events.iter().filter(|e| e.event == Kind::Reserved).filter_map(|e| e.blanks).sum::<u32>();
    desk.enter(|| Ok(events))?;
    desk.remark(&format!("{reserved} blanks are kept for these orders."));
    Ok(())
}

fn kept_for(job: &Job, wheel: &StockWheel, wheels: u32) -> Result<Event, Failure> {
    let event = premises::event(Kind::Reserved, job, None)?;
    Ok(Event { stock: Some(wheel.id.clone()), blanks: Some(wheels), lot: wheel.lot.clone(), ..event })
}

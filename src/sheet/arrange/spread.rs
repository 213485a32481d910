//! Several sheets: the main views on the first, side views out of projection on the next, the other views and the lettering wherever there is room, and no more sheets than that needs.

use super::fill::{Fill, Sheet};
use super::pack::{Load, Settings};
use super::words::{Laid, Prepared};
use crate::sheet::block::Block;
use std::rc::Rc;

/// Widths that notes are tried at, mm; the first is the easiest to read.
const NOTE_WIDTHS: [f64; 3] = [120.0, 165.0, 90.0];
/// Fewest rows or lines that are parted from the rest.
const FEWEST_ROWS: usize = 4;

/// The fewest sheets, `most` of them at most, that hold everything, with the largest details such few sheets have room for; `None` where
/// something fits on no sheet.
pub fn spread<'a>(settings: &Settings, load: &Load<'a>, most: usize) -> Option<Vec<Sheet<'a>>> {
    let deepest = load.views.iter().map(Vec::len).max().unwrap_or(1).max(1);
    let tries = (0..deepest).filter_map(|smaller| Stack::filled(settings, load, [smaller, 0], most));
    let mut fewest = tries.min_by_key(Stack::cost)?;
    // lettering that would stand alone on a sheet gets views beside it, the least dear ones first
    for held in 1..=load.views.len() {
        if fewest.words_alone() == 0 {
            break;
        }
        let tries = (0..deepest).filter_map(|smaller| Stack::filled(settings, load, [smaller, held], most));
        fewest = tries.chain([fewest]).min_by_key(Stack::cost)?;
    }
    fewest.sheets.iter_mut().for_each(Fill::settle);
    Some(fewest.sheets.into_iter().map(Fill::sheet).collect())
}

/// Sheets being filled.
struct Stack<'a, 's, 'p> {
    settings: &'s Settings<'p>,
    most: usize,
    sheets: Vec<Fill<'a>>,
}

impl<'a, 's, 'p> Stack<'a, 's, 'p> {
    /// How many sheets carry no view.
    fn words_alone(&self) -> usize {
        self.sheets.iter().filter(|fill| fill.rows.is_empty()).count()
    }

    /// What is to be least: the number of sheets, then those of words alone.
    fn cost(&self) -> (usize, usize) {
        (self.sheets.len(), self.words_alone())
    }

    /// Everything placed, the largest sizes of views passed over; so many of the last views stand on a further sheet.
    fn filled(
        settings: &'s Settings<'p>,
        load: &Load<'a>,
        [smaller, held]: [usize; 2],
        most: usize,
    ) -> Option<Self> {
        let mut first = Fill::new(&settings.format, &settings.corners[0]);
        first.main(&load.main)?;
        let mut stack = Stack { settings, most, sheets: vec![first] };
        for row in &load.apart {
            let mut fresh = stack.fresh();
            fresh.main(row)?;
            stack.open(fresh)?;
        }
        for (i, sizes) in load.views.iter().enumerate() {
            let sizes = &sizes[smaller.min(sizes.len() - 1)..];
            let on = |sheets: &mut [Fill<'a>]| sizes.iter().any(|row| sheets.iter_mut().any(|f| f.view(row)));
            let from = usize::from(i + held >= load.views.len());
            if !on(&mut stack.sheets[from..]) {
                stack.open(stack.fresh())?;
                let last = stack.sheets.len() - 1;
                on(&mut stack.sheets[last..]).then_some(())?;
            }
        }
        stack.sheets.iter_mut().for_each(Fill::begin_words);
        settings.parts.iter().all(|part| stack.part(part).is_some()).then_some(stack)
    }

    fn fresh(&self) -> Fill<'a> {
        Fill::new(&self.settings.format, &self.settings.corners[1])
    }

    fn open(&mut self, fresh: Fill<'a>) -> Option<()> {
        self.sheets.push(fresh);
        (self.sheets.len() <= self.most).then_some(())
    }

    /// A part as a whole where that is possible, otherwise in pieces.
    fn part(&mut self, part: &Prepared) -> Option<()> {
        let laid = tried(part);
        if laid.iter().any(|l| self.put(l.whole())) {
            return Some(());
        }
        // a table is parted only where no sheet holds it, notes wherever lines have room
        if !part.flows() {
            let mut fresh = self.fresh();
            fresh.begin_words();
            if fresh.block(laid[0].whole()) {
                return self.open(fresh);
            }
        }
        self.pieces(laid.first()?)
    }

    fn pieces(&mut self, laid: &Laid) -> Option<()> {
        let mut first = 0;
        while first < laid.len() {
            let rest = laid.len() - first;
            let rows = |fill: &Fill| {
                let wide = fill.space.free().iter().filter(|f| f.width() >= laid.width);
                wide.map(|f| laid.fitting(first, f.height())).max().unwrap_or(0)
            };
            let wanted = |n: usize| n >= FEWEST_ROWS.min(rest) && n > 0;
            let found = self.sheets.iter().map(rows).find(|&n| wanted(n));
            match found {
                Some(n) if self.put(&Rc::new(laid.block(first..first + n.min(rest)))) => first += n.min(rest),
                _ if self.sheets.last().is_some_and(Fill::is_fresh) => return None,
                _ => {
                    let mut fresh = self.fresh();
                    fresh.begin_words();
                    self.open(fresh)?;
                }
            }
        }
        Some(())
    }

    fn put(&mut self, block: &Rc<Block>) -> bool {
        self.sheets.iter_mut().any(|f| f.block(block))
    }
}

/// A part at the widths it is tried at, the best first.
fn tried(part: &Prepared) -> Vec<Rc<Laid>> {
    match part.flows() {
        true => NOTE_WIDTHS.iter().map(|&width| part.at(width)).collect(),
        false => vec![part.at(0.0)],
    }
}

//! Several sheets: the main views on the first, side views out of projection on the next, the other views and the lettering wherever there is room, and no more sheets than that needs.

use super::fill::{Fill, Sheet};
use super::pack::{Load, Settings};
use super::words::{Laid, Prepared};
use crate::sheet::block::Block;
use std::rc::Rc;

/// Widths that notes are tried at, mm; the first is the easiest to read.
const NOTE_WIDTHS: [f64; 5] = [120.0, 165.0, 90.0, 74.0, 56.0];
/// So many sheets are usual; for fewer than more than these the views are placed in other orders too.
const USUAL: usize = 2;
/// Fewest rows or lines that are parted from the rest.
const FEWEST_ROWS: usize = 4;
/// Most views that are held back for the next sheet so that lettering need not be parted.
const HELD_FOR_WHOLE: usize = 3;

/// Sheets that hold everything.
pub struct Spread<'a> {
    /// The sheets.
    pub sheets: Vec<Sheet<'a>>,
    /// How many parts of the contract found no room on the first one.
    pub displaced: usize,
    /// How many times a table or notes go on elsewhere.
    pub parted: usize,
}

/// The fewest sheets, `most` of them at most, that hold everything, with the largest details such few sheets have room for; `None` where
/// something fits on no sheet.
pub fn spread<'a>(settings: &Settings, load: &Load<'a>, most: usize) -> Option<Spread<'a>> {
    let deepest = load.views.iter().map(Vec::len).max().unwrap_or(1).max(1);
    let tries = |order: Order, held: usize| {
        (0..deepest).filter_map(move |smaller| Stack::filled(settings, load, Way { smaller, held, order }, most))
    };
    let mut fewest = tries(Order::Dearest, 0).min_by_key(Stack::cost)?;
    for order in [Order::Largest, Order::Tallest, Order::Widest] {
        if fewest.sheets.len() > USUAL {
            fewest = [fewest].into_iter().chain(tries(order, 0)).min_by_key(Stack::cost)?;
        }
    }
    // lettering that would stand alone on a sheet, or in pieces, gets views beside it there, the least dear ones first
    for held in 1..=load.views.len() {
        if fewest.words_alone() == 0 && (fewest.parted == 0 || held > HELD_FOR_WHOLE) {
            break;
        }
        fewest = tries(Order::Dearest, held).chain([fewest]).min_by_key(Stack::cost)?;
    }
    fewest.sheets.iter_mut().for_each(Fill::settle);
    let (displaced, parted) = (fewest.displaced, fewest.parted);
    Some(Spread { sheets: fewest.sheets.into_iter().map(Fill::sheet).collect(), displaced, parted })
}

/// In which order views are placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Order {
    /// As the plan has them.
    Dearest,
    /// By area, which fills sheets better.
    Largest,
    /// By height.
    Tallest,
    /// By width.
    Widest,
}

impl Order {
    /// The places of the views in this order.
    fn of(self, load: &Load) -> Vec<usize> {
        let mut order: Vec<usize> = (0..load.views.len()).collect();
        let size = |i: &usize| match self {
            Order::Dearest => 0.0,
            Order::Largest => load.views[*i][0].area(),
            Order::Tallest => load.views[*i][0].height,
            Order::Widest => load.views[*i][0].width,
        };
        order.sort_by(|a, b| size(b).total_cmp(&size(a)));
        order
    }
}

/// One way of filling sheets.
#[derive(Debug, Clone, Copy)]
struct Way {
    /// How many of the largest sizes of each view are passed over.
    smaller: usize,
    /// How many of the last views stand on a further sheet.
    held: usize,
    order: Order,
}

/// Sheets being filled.
struct Stack<'a, 's, 'p> {
    settings: &'s Settings<'p>,
    most: usize,
    sheets: Vec<Fill<'a>>,
    /// Parts of the contract without room on the first sheet.
    displaced: usize,
    /// How many times a part goes on elsewhere.
    parted: usize,
}

impl<'a, 's, 'p> Stack<'a, 's, 'p> {
    /// How many sheets carry no view.
    fn words_alone(&self) -> usize {
        self.sheets.iter().filter(|fill| fill.rows.is_empty()).count()
    }

    /// What is to be least: the number of sheets beyond the usual, then those of words alone, then the pieces of what is parted.
    fn cost(&self) -> (usize, usize, usize, usize) {
        (self.sheets.len().max(USUAL), self.words_alone(), self.parted, self.sheets.len())
    }

    /// Everything placed.
    fn filled(settings: &'s Settings<'p>, load: &Load<'a>, way: Way, most: usize) -> Option<Self> {
        let mut first = Fill::new(&settings.format, &settings.corners[0]);
        first.main(&load.main)?;
        // what is agreed before anything else: it belongs on this sheet
        first.begin_words();
        let (agreed, mut parts): (Vec<&Prepared>, Vec<&Prepared>) = settings.parts.iter().partition(|p| p.agreed);
        let displaced: Vec<&Prepared> =
            agreed.into_iter().filter(|part| !tried(part).iter().any(|laid| first.block(laid.whole()))).collect();
        first.begin_views();
        let mut stack = Stack { settings, most, sheets: vec![first], displaced: displaced.len(), parted: 0 };
        parts.splice(0..0, displaced);
        for row in &load.apart {
            let mut fresh = stack.fresh();
            fresh.main(row)?;
            stack.open(fresh)?;
        }
        for i in way.order.of(load) {
            let sizes = &load.views[i];
            let sizes = &sizes[way.smaller.min(sizes.len() - 1)..];
            let on = |sheets: &mut [Fill<'a>]| sizes.iter().any(|row| sheets.iter_mut().any(|f| f.view(row)));
            let from = usize::from(i + way.held >= load.views.len());
            if !on(&mut stack.sheets[from..]) {
                stack.open(stack.fresh())?;
                let last = stack.sheets.len() - 1;
                on(&mut stack.sheets[last..]).then_some(())?;
            }
        }
        stack.sheets.iter_mut().for_each(Fill::begin_words);
        parts.into_iter().all(|part| stack.part(part).is_some()).then_some(stack)
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
        if laid.iter().any(|l| self.put(l.whole(), &mut 0)) {
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
        // in what is free of the sheets there are, before another is taken for it
        let before = self.sheets.clone();
        for laid in laid.iter().filter(|_| part.flows()) {
            if self.pieces(laid, before.len()).is_some() {
                return Some(());
            }
            self.sheets.clone_from(&before);
        }
        self.pieces(laid.first()?, self.most)
    }

    /// The part in pieces, on no more sheets than this.
    fn pieces(&mut self, laid: &Laid, most: usize) -> Option<()> {
        let (mut first, mut parted, mut from) = (0, self.parted, 0);
        while first < laid.len() {
            let rest = laid.len() - first;
            let rows = |fill: &Fill| {
                let wide = fill.space.free().iter().filter(|f| f.width() >= laid.width);
                let n = wide.map(|f| laid.fitting(first, f.height())).max().unwrap_or(0);
                // a sentence longer than a sheet is parted where the sheet ends
                let whole = laid.whole_sentences(first, n);
                if whole == 0 && fill.is_fresh() { n } else { whole }
            };
            let wanted = |n: usize| n >= FEWEST_ROWS.min(rest) && n > 0;
            let found = self.sheets[from..].iter().map(rows).find(|&n| wanted(n));
            // a line or two alone elsewhere would look lost
            let found = found.map(|n| Some(scrapless(n, rest)).filter(|&m| laid.whole_sentences(first, m) == m).unwrap_or(n));
            match found {
                Some(n) if self.put(&Rc::new(laid.block(first..first + n)), &mut from) => {
                    first += n;
                    parted += usize::from(first < laid.len());
                }
                _ if self.sheets.len() >= most || self.sheets.last().is_some_and(Fill::is_fresh) => return None,
                _ => {
                    let mut fresh = self.fresh();
                    fresh.begin_words();
                    self.open(fresh)?;
                }
            }
        }
        self.parted = parted;
        Some(())
    }

    /// Puts a block on the first sheet that has room, from a place on, which becomes that sheet's: what goes on is not read backwards.
    fn put(&mut self, block: &Rc<Block>, from: &mut usize) -> bool {
        let found = self.sheets[*from..].iter_mut().position(|f| f.block(block));
        *from += found.unwrap_or(0);
        found.is_some()
    }
}

/// How many rows stand in a piece that has room for `n` of the `rest`: as many, or fewer so that what follows is no scrap.
fn scrapless(n: usize, rest: usize) -> usize {
    let scrap = n < rest && rest - n < FEWEST_ROWS && rest >= 2 * FEWEST_ROWS;
    if scrap { rest - FEWEST_ROWS } else { n.min(rest) }
}

/// A part at the widths it is tried at, the best first.
fn tried(part: &Prepared) -> Vec<Rc<Laid>> {
    match part.flows() {
        true => NOTE_WIDTHS.iter().map(|&width| part.at(width)).collect(),
        false => vec![part.at(0.0)],
    }
}

//! Several sheets: the main views on the first, side views out of projection on the next, the other views and the lettering wherever there is room, and no more sheets than that needs.

use super::fill::{Corner, Fill, Lean, Sheet};
use super::pack::{Load, Settings};
use super::words::{Laid, Prepared};
use crate::geometry::Bounds;
use crate::sheet::block::Block;
use std::rc::Rc;

/// Widths that notes are tried at, mm; the first is the easiest to read.
const NOTE_WIDTHS: [f64; 5] = [120.0, 165.0, 90.0, 74.0, 56.0];
/// So many sheets are usual; for fewer than more than these the views are placed in other orders too.
const USUAL: usize = 2;
/// Fewest rows or lines that are parted from the rest.
const FEWEST_ROWS: usize = 4;
/// Most views that are held back for the next sheet so that lettering need not be parted, or so that one there is not alone.
const HELD_FOR_WHOLE: usize = 3;
const HELD_FOR_COMPANY: usize = 3;
/// Share of a sheet from which on a view fills it.
const FILLING: f64 = 0.4;

/// In which ways lettering may lean that has no room on the first sheet as it usually stands.
const LEANS: [Lean; 3] = [Lean { right: 1.0, low: 1.0 }, Lean { right: 1.0, low: 0.01 }, Lean { right: 0.01, low: 1.0 }];

/// Fewest rows of a table that may stand on the first sheet in two parts.
const LONG: usize = 14;

/// What is done to make room for the contract on the first sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tightness {
    /// Tables are as wide as their texts ask for.
    Usual,
    /// Those that have no room so have narrower columns.
    Narrow,
    /// All have narrower columns.
    AllNarrow,
    /// Those that have no room otherwise have narrower columns, and one of them stands in two parts.
    InTwo,
}

/// Sheets that hold everything.
pub struct Spread<'a> {
    /// The sheets.
    pub sheets: Vec<Sheet<'a>>,
    /// How many parts of the contract found no room on the first one.
    pub displaced: usize,
    /// How many times a table or notes go on elsewhere.
    pub parted: usize,
}

/// What is asked of sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Care {
    /// How many there are, and what they hold.
    Counted,
    /// To be drawn.
    Drawn,
}

/// The fewest sheets, `most` of them at most, that hold everything, with the largest details such few sheets have room for; `None` where
/// something fits on no sheet.
pub fn spread<'a>(settings: &Settings, load: &Load<'a>, most: usize, care: Care) -> Option<Spread<'a>> {
    let deepest = load.views.iter().map(Vec::len).max().unwrap_or(1).max(1);
    let begun = &Begun::of(settings, load)?;
    let ways = |order: Order, held: usize, each: bool| {
        (0..deepest).filter_map(move |smaller| Stack::filled(settings, load, begun, Way { smaller, held, order, each, care }, most))
    };
    let tries = |order: Order, held: usize| ways(order, held, false);
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
    if care == Care::Drawn {
        if fewest.words_alone() > 0 {
            fewest = [fewest].into_iter().chain(ways(Order::Dearest, 0, true)).min_by_key(Stack::cost)?;
        }
        for held in 1..=load.views.len().min(HELD_FOR_COMPANY) {
            if fewest.lonely() == 0 {
                break;
            }
            fewest = [fewest].into_iter().chain(tries(Order::Dearest, held)).min_by_key(|s| (s.cost(), s.lonely()))?;
        }
        fewest.sheets.iter_mut().for_each(Fill::settle);
    }
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
    /// Whether each table of the contract without room on the first sheet begins one of its own, so that views stand beside it.
    each: bool,
    care: Care,
}

/// The first sheet with the main views and the contract.
struct Begun<'a, 's> {
    sheet: Fill<'a>,
    /// What of the contract has no room there: the sheet says on which one it stands.
    displaced: Vec<&'s Prepared>,
    /// How many tables stand there in two parts.
    parted: usize,
}

impl<'a, 's> Begun<'a, 's> {
    /// With all of the contract in the order in which it is read, or in another; otherwise with as much of it as has room, and with the words of
    /// where the rest stands.
    fn of(settings: &'s Settings, load: &Load<'a>) -> Option<Self> {
        let contract: Vec<&Prepared> = settings.parts.iter().filter(|p| p.agreed).collect();
        let sorted = |by: fn(&Block) -> f64| {
            let mut sorted = contract.clone();
            sorted.sort_by(|a, b| by(b.at(0.0).whole()).total_cmp(&by(a.at(0.0).whole())));
            sorted
        };
        let orders = [contract.clone(), sorted(|b| b.height), sorted(|b| b.width)];
        let ways: Vec<(&[&Prepared], Lean)> = orders.iter().flat_map(|order| LEANS.map(|lean| (&order[..], lean))).collect();
        let with_main = |corner: &Corner| {
            let mut sheet = Fill::new(&settings.format, corner);
            sheet.main(&load.main)?;
            sheet.begin_words();
            Some(sheet)
        };
        let first = with_main(&settings.corners.first)?;
        let could_hold = first.could_hold(contract.iter().map(|part| part.smallest()));
        let mut begun = match could_hold.then(|| Self::whole(&first, &ways)).flatten() {
            Some(whole) => whole,
            None => {
                let sheet = with_main(&settings.corners.naming)?;
                ways.iter().map(|&(order, lean)| Self::as_much(&sheet, order, lean)).min_by_key(|b| b.displaced.len())?
            }
        };
        begun.sheet.begin_views();
        Some(begun)
    }

    /// With all of the contract, in the first of these ways in which it has room.
    fn whole(sheet: &Fill<'a>, ways: &[(&[&'s Prepared], Lean)]) -> Option<Self> {
        let whole = |&(order, lean): &(&[&Prepared], Lean), effort: Tightness| {
            let (mut sheet, mut parted) = (sheet.clone(), 0);
            let all = order.iter().all(|part| {
                let laid = part.at(0.0);
                let narrow = |sheet: &mut Fill| part.narrow().any(|laid| sheet.block_towards(laid.whole(), lean));
                let usual = |sheet: &mut Fill| sheet.block_towards(laid.whole(), lean);
                match effort {
                    Tightness::Usual => usual(&mut sheet),
                    Tightness::Narrow => usual(&mut sheet) || narrow(&mut sheet),
                    Tightness::AllNarrow => narrow(&mut sheet) || usual(&mut sheet),
                    Tightness::InTwo => {
                        let whole = usual(&mut sheet) || narrow(&mut sheet);
                        parted += usize::from(!whole);
                        whole || (parted == 1 && in_two(&mut sheet, &laid))
                    }
                }
            });
            all.then_some(Begun { sheet, displaced: Vec::new(), parted })
        };
        let efforts = [Tightness::Usual, Tightness::Narrow, Tightness::AllNarrow, Tightness::InTwo];
        efforts.into_iter().find_map(|effort| ways.iter().find_map(|way| whole(way, effort)))
    }

    /// With those parts of the contract that have room one after the other.
    fn as_much(sheet: &Fill<'a>, order: &[&'s Prepared], lean: Lean) -> Self {
        let mut sheet = sheet.clone();
        let mut fits = |part: &Prepared| {
            let usual = part.at(0.0);
            std::iter::once(&usual).chain(part.narrow()).any(|laid| sheet.block_towards(laid.whole(), lean))
        };
        let displaced = order.iter().copied().filter(|part| !fits(part)).collect();
        Begun { sheet, displaced, parted: 0 }
    }
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
    care: Care,
}

impl<'a, 's, 'p> Stack<'a, 's, 'p> {
    /// How many sheets carry no view.
    fn words_alone(&self) -> usize {
        self.sheets.iter().filter(|fill| fill.rows.is_empty()).count()
    }

    /// How many further sheets carry one view that does not fill them.
    fn lonely(&self) -> usize {
        let alone = |fill: &&Fill| match &fill.rows[..] {
            [(row, spot)] => row.views.len() == 1 && spot.width() * spot.height() < FILLING * fill.area.width() * fill.area.height(),
            _ => false,
        };
        self.sheets.iter().skip(1).filter(alone).count()
    }

    /// What is to be least: the number of sheets beyond the usual, then those of words alone, then the pieces of what is parted.
    fn cost(&self) -> (usize, usize, usize, usize) {
        (self.sheets.len().max(USUAL), self.words_alone(), self.parted, self.sheets.len())
    }

    /// Everything placed.
    fn filled(settings: &'s Settings<'p>, load: &Load<'a>, begun: &Begun<'a, 's>, way: Way, most: usize) -> Option<Self> {
        let sheets = vec![begun.sheet.clone()];
        let mut stack = Stack { settings, most, sheets, displaced: begun.displaced.len(), parted: begun.parted, care: way.care };
        if !begun.displaced.is_empty() {
            let mut second = stack.fresh();
            second.begin_words();
            stack.open(second)?;
            for (i, part) in begun.displaced.iter().enumerate() {
                if way.each && i > 0 {
                    let mut fresh = stack.fresh();
                    fresh.begin_words();
                    stack.open(fresh)?;
                }
                let from = if way.each { stack.sheets.len() - 1 } else { 1 };
                stack.part_from(part, from)?;
            }
            stack.sheets.iter_mut().for_each(Fill::begin_views);
        }
        let parts = settings.parts.iter().filter(|p| !p.agreed);
        for row in &load.apart {
            // beside what of the contract stands there, but never with another section
            if stack.sheets[1..].iter_mut().any(|sheet| sheet.rows.is_empty() && sheet.main(row).is_some()) {
                continue;
            }
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
        Fill::new(&self.settings.format, &self.settings.corners.further)
    }

    fn open(&mut self, fresh: Fill<'a>) -> Option<()> {
        self.sheets.push(fresh);
        (self.sheets.len() <= self.most).then_some(())
    }

    /// A part as a whole where that is possible, otherwise in pieces.
    fn part(&mut self, part: &Prepared) -> Option<()> {
        self.part_from(part, 0)
    }

    /// The same on a sheet from one on.
    fn part_from(&mut self, part: &Prepared, first: usize) -> Option<()> {
        let laid = tried(part);
        if laid.iter().any(|l| self.sheets[first..].iter_mut().any(|sheet| sheet.block(l.whole()))) {
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
        if part.flows() && self.fewest_pieces(&laid) {
            return Some(());
        }
        self.pieces(laid.first()?, self.most)
    }

    /// The part on the sheets there are, laid out so that it is in the fewest pieces; whether that is possible.
    fn fewest_pieces(&mut self, laid: &[Rc<Laid>]) -> bool {
        let (before, parted) = (self.sheets.clone(), self.parted);
        let mut best: Option<(Vec<Fill<'a>>, usize)> = None;
        for laid in laid {
            let fits = self.pieces(laid, before.len()).is_some();
            if fits && self.care == Care::Counted {
                return true;
            }
            if fits && best.as_ref().is_none_or(|(_, fewest)| self.parted < *fewest) {
                best = Some((self.sheets.clone(), self.parted));
            }
            self.sheets.clone_from(&before);
            self.parted = parted;
        }
        best.map(|(sheets, parted)| (self.sheets, self.parted) = (sheets, parted)).is_some()
    }

    /// The part in pieces, on no more sheets than this.
    fn pieces(&mut self, laid: &Laid, most: usize) -> Option<()> {
        let (mut first, mut parted, mut from) = (0, self.parted, (0, None));
        while first < laid.len() {
            let rest = laid.len() - first;
            let rows = |(i, fill): (usize, &Fill)| {
                let after = from.1.filter(|_| i == 0);
                let rooms = fill.rooms(after).into_iter().filter(|f| f.width() >= laid.width);
                let n = rooms.map(|f| laid.fitting(first, f.height())).max().unwrap_or(0);
                // a sentence longer than a sheet is parted where the sheet ends
                let whole = laid.whole_sentences(first, n);
                if whole == 0 && fill.is_fresh() { n } else { whole }
            };
            let wanted = |n: usize| n >= FEWEST_ROWS.min(rest) && n > 0;
            let found = self.sheets[from.0..].iter().enumerate().map(rows).find(|&n| wanted(n));
            // a line or two alone elsewhere would look lost
            let found = found.map(|n| Some(scrapless(n, rest)).filter(|&m| laid.whole_sentences(first, m) == m).unwrap_or(n));
            match found {
                Some(n) if self.put_piece(&Rc::new(laid.block(first..first + n)), &mut from) => {
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

    /// Puts a piece on the first sheet that has room, from a sheet and a place there on, which become its own: what goes on is not read backwards.
    fn put_piece(&mut self, block: &Rc<Block>, from: &mut (usize, Option<Bounds>)) -> bool {
        let (sheet, after) = *from;
        let fills = self.sheets[sheet..].iter_mut().enumerate();
        let found = fills.filter_map(|(i, f)| Some((sheet + i, f.piece(block, after.filter(|_| i == 0))?))).next();
        *from = found.map_or(*from, |(sheet, spot)| (sheet, Some(spot)));
        found.is_some()
    }
}

/// Puts a long table in two parts, read one after the other; whether they fit.
fn in_two(sheet: &mut Fill, laid: &Laid) -> bool {
    let rows = laid.len();
    if rows < LONG {
        return false;
    }
    let wide = sheet.space.free().iter().filter(|f| f.width() >= laid.width);
    let mut firsts: Vec<usize> = wide.map(|f| laid.fitting(0, f.height()).min(rows - FEWEST_ROWS)).filter(|n| *n >= FEWEST_ROWS).collect();
    firsts.sort_unstable();
    firsts.dedup();
    firsts.into_iter().rev().any(|n| {
        let mut tried = sheet.clone();
        let first = tried.piece(&Rc::new(laid.block(0..n)), None);
        let fits = first.is_some() && tried.piece(&Rc::new(laid.block(n..rows)), first).is_some();
        if fits {
            *sheet = tried;
        }
        fits
    })
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

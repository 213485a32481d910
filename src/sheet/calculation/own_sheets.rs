//! A paper on sheets of its own: frame, tables and plots in columns, no title block.

use super::{MOST_SHEETS, flow, lettered};
use crate::drawing::{About, Drawing, Item};
use crate::report::Paper;
use crate::sheet::approval::SheetError;
use crate::sheet::format::Format;
use crate::sheet::view::Style;

/// Draws a paper that belongs to no drawing, such as the groove planner's, on the usual format of the style.
///
/// # Errors
/// Where a part is too large for an empty column.
pub fn sheets_of(paper: &Paper, style: &Style, about: &About) -> Result<Vec<Drawing>, SheetError> {
    let format = Format::usual(style.dimensioning)[0];
    let columns = flow::Columns::of(&format, &[]);
    let parts = lettered::parts(paper, style, columns.width);
    let sheets = flow::fill(&columns, parts, MOST_SHEETS)
        .ok_or_else(|| SheetError::NoRoom(vec![format!("{} does not fit on {}", paper.title, format.name())]))?;
    let count = sheets.len();
    let draw = |(i, blocks): (usize, Vec<_>)| {
        let mut items = vec![Item::Group(format.draw(&[]))];
        items.extend(
            blocks.into_iter().map(|(block, at): (crate::sheet::block::Block, _)| Item::Group(block.group.moved(at))),
        );
        Drawing {
            title: format!("{}, sheet {} of {count}", paper.title, i + 1),
            description: format!("{}: a table of counts, and curves over them.", paper.title),
            width: format.width,
            height: format.height,
            pen: style.pen,
            items,
            about: about.clone(),
        }
    };
    Ok(sheets.into_iter().enumerate().map(draw).collect())
}

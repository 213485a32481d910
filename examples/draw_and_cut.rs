//! Draws and cuts: `cargo run --example draw_and_cut -- demo-data/1042.json FOLDER`.

use std::error::Error;
use std::path::Path;
use wheeldraft::Shop;

fn main() -> Result<(), Box<dyn Error>> {
    let [order, folder] = [1, 2].map(|n| std::env::args_os().nth(n).unwrap_or_default());
    draw_and_cut(order.as_ref(), folder.as_ref())
}

/// Writes the approval drawing of an order file and its machine files into a folder.
pub fn draw_and_cut(order: &Path, folder: &Path) -> Result<(), Box<dyn Error>> {
    let shop = Shop::built_in()?;
    let order = shop.open(&std::fs::read(order)?)?;
    std::fs::write(folder.join(format!("{}.pdf", order.name())), order.approval_drawing()?.pdf()?)?;
    for file in order.machine_files()? {
        std::fs::write(folder.join(&file.name), &file.bytes)?;
    }
    Ok(())
}

//! `serve`: the local page.

use super::draw;
use super::failure::shown;
use super::lent::Counter;
use super::packing::traveller_template;
use super::{Desk, Done, Failure, Outcome};
use crate::front::Shop;
use crate::sheet::template::Template;
use crate::shop::inspection::USUAL_SAMPLE;
use crate::web::{self, Folder, Lent};
use serde_json::json;
use std::net::{Ipv4Addr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The port where none is named: the browser keeps unsaved work by address, so it should not change from day to day.
const USUAL_PORT: u16 = 7525;

/// Arguments of `serve`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft serve\n  wheeldraft serve our-orders\n  wheeldraft serve --port 0\n  wheeldraft serve --shop-rules our-rules.json\n\n\
    Open the address it prints in a browser on this computer; other computers cannot reach it. Ctrl-C ends it. \
    With a folder the page lists the orders in it (in its `orders`, where it has such), opens them and saves them in place; a file that was changed \
    meanwhile is never written over. In a shop's folder machine cards, stock, rates, packs and the book are used too. Without one it reads and writes no files here: orders are opened, saved and downloaded by the browser."
)]
pub struct Args {
    /// The folder of orders to work in.
    folder: Option<PathBuf>,
    /// The port on 127.0.0.1; 0 takes any free one.
    #[arg(long, value_name = "N", default_value_t = USUAL_PORT)]
    port: u16,
    /// Operations and texts of the traveller, in place of the built-in ones.
    #[arg(long, value_name = "FILE")]
    traveller: Option<PathBuf>,
    /// Who altered the wheel, for the label; the name of the shop's folder, or a line to write on, if absent.
    #[arg(long, value_name = "NAME")]
    altered_by: Option<String>,
    /// Grooves measured of each set, for the inspection sheet.
    #[arg(long, value_name = "N", default_value_t = USUAL_SAMPLE, value_parser = clap::value_parser!(u32).range(1..))]
    sample: u32,
}

/// Serves until it is asked to stop.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let premises = desk.premises()?.cloned();
    let of_shop = || premises.as_ref().map_or_else(String::new, |shop| shop.profile.name.clone());
    let title_block = match desk.own(None, |shop| shop.title_block.as_ref())? {
        Some(file) => draw::title_block(&file)?,
        None => Template::plain().map_err(|e| draw::wrong("plain", e))?,
    };
    let shop = Shop {
        rules: desk.rules()?,
        title_block,
        traveller: traveller_template(args.traveller.as_ref(), desk)?,
        altered_by: args.altered_by.clone().unwrap_or_else(of_shop),
        groove_sample: args.sample,
    };
    let lent: Arc<dyn Lent> = Arc::new(Counter { shop: premises });
    let folder = args.folder.as_deref().map(|path| folder_of(path, Arc::clone(&lent))).transpose()?;
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, args.port)).map_err(|e| {
        let hint = "name another port with --port, or let --port 0 take a free one";
        Failure::new(format!("port {} of 127.0.0.1 cannot be opened: {e}", args.port), hint)
    })?;
    let failed = |e: std::io::Error| Failure::new(format!("the page cannot be served: {e}"), "");
    let url = format!("http://{}/", listener.local_addr().map_err(failed)?);
    if desk.is_json() {
        desk.print_json(&json!({ "format": 1, "url": url }))?;
    } else {
        desk.print(&format!("{url}\n"))?;
        desk.remark("Open this address in a browser on this computer; Ctrl-C ends the page.");
    }
    web::serve(listener, shop, folder, lent).map_err(failed)?;
    Ok(Outcome::Made)
}

fn folder_of(path: &Path, lent: Arc<dyn Lent>) -> Result<Folder, Failure> {
    if !path.is_dir() {
        let hint = "name a folder that is there, or none";
        return Err(Failure::new(format!("{} is no folder", shown(path)), hint));
    }
    Ok(Folder::new(path, lent))
}

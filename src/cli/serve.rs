//! `serve`: the local page.

use super::failure::shown;
use super::packing::traveller_template;
use super::{Desk, Done, Failure, Outcome, files};
use crate::front::Shop;
use crate::sheet::template::Template;
use crate::shop::inspection::USUAL_SAMPLE;
use crate::web::{self, Folder};
use serde_json::json;
use std::net::{Ipv4Addr, TcpListener};
use std::path::{Path, PathBuf};

/// The port where none is named: the browser keeps unsaved work by address, so it should not change from day to day.
const USUAL_PORT: u16 = 7525;

/// Arguments of `serve`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft serve\n  wheeldraft serve our-orders\n  wheeldraft serve --port 0\n  wheeldraft serve --shop-rules our-rules.json\n\n\
    Open the address it prints in a browser on this computer; other computers cannot reach it. Ctrl-C ends it. \
    With a folder the page lists the orders in it (in its `orders`, where it has such), opens them and saves them in place; a file that was changed \
    meanwhile is never written over. Without one it reads and writes no files here: orders are opened, saved and downloaded by the browser."
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
    /// Who altered the wheel, for the label; a line to write on, if absent.
    #[arg(long, value_name = "NAME", default_value = "", hide_default_value = true)]
    altered_by: String,
    /// Grooves measured of each set, for the inspection sheet.
    #[arg(long, value_name = "N", default_value_t = USUAL_SAMPLE, value_parser = clap::value_parser!(u32).range(1..))]
    sample: u32,
}

/// Serves until it is asked to stop.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let shop = Shop {
        rules: desk.rules()?,
        title_block: Template::plain().map_err(|e| Failure::new(e.message, e.hint))?,
        traveller: traveller_template(args.traveller.as_ref(), desk)?,
        altered_by: args.altered_by.clone(),
        groove_sample: args.sample,
    };
    let folder = args.folder.as_deref().map(folder_of).transpose()?;
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
    web::serve(listener, shop, folder).map_err(failed)?;
    Ok(Outcome::Made)
}

fn folder_of(path: &Path) -> Result<Folder, Failure> {
    if !path.is_dir() {
        let hint = "name a folder that is there, or none";
        return Err(Failure::new(format!("{} is no folder", shown(path)), hint));
    }
    Ok(Folder::new(path, |file, bytes| files::write(file, bytes).map_err(Failure::words)))
}

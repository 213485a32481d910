//! `serve`: the local page.

use super::packing::traveller_template;
use super::{Desk, Done, Failure, Outcome};
use crate::front::Shop;
use crate::sheet::template::Template;
use crate::shop::inspection::USUAL_SAMPLE;
use crate::web;
use serde_json::json;
use std::net::{Ipv4Addr, TcpListener};
use std::path::PathBuf;

/// The port where none is named: the browser keeps unsaved work by address, so it should not change from day to day.
const USUAL_PORT: u16 = 7525;

/// Arguments of `serve`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft serve\n  wheeldraft serve --port 0\n  wheeldraft serve --shop-rules our-rules.json\n\n\
    Open the address it prints in a browser on this computer; other computers cannot reach it. Ctrl-C ends it. \
    The page reads and writes no files here: orders are opened, saved and downloaded by the browser."
)]
pub struct Args {
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
        traveller: traveller_template(args.traveller.as_deref(), desk)?,
        altered_by: args.altered_by.clone(),
        groove_sample: args.sample,
    };
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
    web::serve(listener, shop).map_err(failed)?;
    Ok(Outcome::Made)
}

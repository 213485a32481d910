//! The page and its parts, compiled in: plain HTML, style sheets and scripts, and the font the sheets are lettered in.

use super::Door;
use super::reply::{self, Named, Refusal};
use crate::drawing::Lettering;
use crate::drawing::font::Font;
use crate::order::{TEMPLATES, schema as order_schema};
use crate::rules;
use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::Response;
use serde_json::{Value, json};
use std::sync::Arc;

/// The demonstration order.
const DEMO: &str = include_str!("../../demo-data/1042.json");
const HTML: &str = "text/html; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";
const PICTURE: &str = "image/svg+xml";
const FONT: &str = "font/ttf";

/// What others wrote, as it comes from its package registry, its licence beside it: `tests/browser/vendored.mjs` holds it against the package.
const VENDORED: [(&str, &str); 2] = [
    ("three.core.min.js", include_str!("vendored/three/three.core.min.js")),
    ("three.module.min.js", include_str!("vendored/three/three.module.min.js")),
];

macro_rules! parts {
    ($($kind:ident $name:literal)*) => { [$(($name, $kind, include_str!(concat!("assets/", $name)))),*] };
}

const PARTS: [(&str, &str, &str); 63] = parts! {
    SCRIPT "approval.js"
    SCRIPT "ask.js"
    SCRIPT "atonce.js"
    CSS "base.css"
    SCRIPT "broken.js"
    SCRIPT "compare.js"
    SCRIPT "convert.js"
    SCRIPT "cutting.js"
    SCRIPT "dom.js"
    SCRIPT "downloads.js"
    SCRIPT "drafts.js"
    SCRIPT "explore.js"
    SCRIPT "field.js"
    SCRIPT "files.js"
    SCRIPT "findings.js"
    SCRIPT "folder.js"
    CSS "form.css"
    SCRIPT "form.js"
    SCRIPT "glb.js"
    SCRIPT "grips.js"
    SCRIPT "guide.js"
    SCRIPT "hints.js"
    SCRIPT "inplace.js"
    SCRIPT "interview.js"
    SCRIPT "json.js"
    SCRIPT "keep.js"
    SCRIPT "lit.js"
    SCRIPT "looks.js"
    SCRIPT "machines.js"
    SCRIPT "main.js"
    SCRIPT "marks.js"
    SCRIPT "markup.js"
    SCRIPT "mending.js"
    SCRIPT "notice.js"
    SCRIPT "now.js"
    SCRIPT "offers.js"
    SCRIPT "order.js"
    SCRIPT "paper.js"
    SCRIPT "picked.js"
    SCRIPT "plot.js"
    SCRIPT "pointer.js"
    SCRIPT "price.js"
    CSS "print.css"
    SCRIPT "printing.js"
    SCRIPT "repeat.js"
    SCRIPT "schema.js"
    SCRIPT "sheet.js"
    SCRIPT "scene.js"
    CSS "solid.css"
    SCRIPT "solid.js"
    SCRIPT "source.js"
    SCRIPT "stock.js"
    SCRIPT "store.js"
    SCRIPT "tabs.js"
    SCRIPT "tension.js"
    SCRIPT "theme.js"
    SCRIPT "title.js"
    SCRIPT "toolpath.js"
    SCRIPT "turning.js"
    SCRIPT "units.js"
    CSS "view.css"
    PICTURE "wheel.svg"
    SCRIPT "words.js"
};

/// `GET /`.
pub async fn page() -> Response {
    fresh(reply::bytes(HTML, include_str!("assets/index.html")))
}

/// `GET /page/NAME`.
pub async fn part(Named(name): Named<String>) -> Result<Response, Refusal> {
    if let Some((_, kind, text)) = PARTS.iter().find(|(known, ..)| *known == name) {
        return Ok(fresh(reply::bytes(kind, *text)));
    }
    if let Some((_, text)) = VENDORED.iter().find(|(known, _)| *known == name) {
        return Ok(fresh(reply::bytes(SCRIPT, *text)));
    }
    let font = match name.as_str() {
        "plain.ttf" => Lettering::Plain,
        "bold.ttf" => Lettering::Bold,
        _ => return Err(Refusal::unknown()),
    };
    let mut response = reply::bytes(FONT, Font::of(font).data());
    // the sheets' font does not change with the program
    response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("max-age=86400"));
    Ok(response)
}

/// `GET /schema.json`.
pub async fn schema() -> Response {
    fresh(reply::json(order_schema()))
}

/// `GET /templates.json`: the starting orders, the demonstration order, the folder the page works in, and what each rule is called.
pub async fn templates(State(door): State<Arc<Door>>) -> Response {
    let all: Vec<Value> =
        TEMPLATES.iter().map(|t| json!({ "name": t.name, "about": t.about, "text": t.text })).collect();
    let rules: serde_json::Map<String, Value> = rules::all().map(|rule| (rule.id.to_owned(), json!(rule.title))).collect();
    let folder = door.folder.as_ref().map(|f| f.place());
    fresh(reply::json(&json!({ "format": 1, "templates": all, "demo": DEMO, "folder": folder, "rules": rules })))
}

/// Asked for again each time, so that a newer program shows its own page.
fn fresh(mut response: Response) -> Response {
    response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("no-cache"));
    response
}

//! Bytes as a request to the page, answered in process: no socket, but everything behind it, from the guard to the last byte of the body.
//!
//! The first line is `METHOD PATH`, the next ones are headers, and after an empty line comes the body. What a browser adds by itself is added where the
//! bytes do not say otherwise, so that most requests are let in. A body `%…` is the order its bytes choose.

use super::orders;
use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, Method, Request, StatusCode, header, request};
use serde_json::Value;
use std::path::Path;
use std::sync::{Arc, OnceLock};
use tokio::runtime::{Builder, Runtime};
use tower::ServiceExt;
use wheeldraft::front::Shop;
use wheeldraft::quantity::Date;
use wheeldraft::web;

const PORT: u16 = 7525;
/// The names the page may be called by.
const HOSTS: [&str; 2] = ["127.0.0.1:7525", "localhost:7525"];
/// Of an answer, bytes; a pack has less than a tenth.
const LONGEST_ANSWER: usize = 64 << 20;

/// The request, if these bytes are one that could come in over HTTP.
pub fn request(data: &[u8]) -> Option<Request<Body>> {
    let end = data.windows(2).position(|w| w == b"\n\n");
    let (head, body) = end.map_or((data, &[][..]), |end| (&data[..end], &data[end + 2..]));
    let mut lines = std::str::from_utf8(head).ok()?.lines();
    let (method, path) = lines.next()?.split_once(' ')?;
    let mut request = Request::builder().method(method).uri(path);
    for line in lines {
        let (name, value) = line.split_once(':')?;
        request = request.header(name, value.trim());
    }
    let body = match body {
        [b'%', choices @ ..] => orders::order(choices).to_string().into_bytes(),
        _ => body.to_vec(),
    };
    with_usual_headers(request).body(Body::from(body)).ok()
}

fn with_usual_headers(mut request: request::Builder) -> request::Builder {
    let usual = [
        (header::HOST, HOSTS[0]),
        (header::ORIGIN, "http://127.0.0.1:7525"),
        (header::CONTENT_TYPE, "application/json"),
    ];
    for (name, value) in usual {
        if request.headers_ref().is_some_and(|all| !all.contains_key(&name)) {
            request = request.header(name, value);
        }
    }
    request
}

/// No folder, no clock, and nothing may be written.
#[derive(Debug)]
struct Nothing;

impl web::Lent for Nothing {
    fn write(&self, path: &Path, _bytes: &[u8]) -> Result<(), String> {
        panic!("{} is written without a folder", path.display())
    }

    fn days(&self) -> Option<(Date, Date)> {
        None
    }
}

/// What the page answers, whole.
pub fn answer(request: Request<Body>) -> Answer {
    static WAITING: OnceLock<(Runtime, Router)> = OnceLock::new();
    let (runtime, router) = WAITING.get_or_init(|| {
        let runtime = Builder::new_current_thread().thread_stack_size(web::STACK).enable_time().build();
        (runtime.unwrap_or_else(|e| panic!("{e}")), web::router(shop(), PORT, None, Arc::new(Nothing)))
    });
    runtime.block_on(async {
        let response = router.clone().oneshot(request).await.unwrap_or_else(|never| match never {});
        let (parts, body) = response.into_parts();
        let body = to_bytes(body, LONGEST_ANSWER).await.unwrap_or_else(|e| panic!("{e}"));
        Answer { status: parts.status, headers: parts.headers, body: body.to_vec() }
    })
}

/// An answer of the page.
pub struct Answer {
    status: StatusCode,
    headers: HeaderMap,
    body: Vec<u8>,
}

impl Answer {
    /// Panics where the page met a fault of its own, let someone in or sent something it must not.
    pub fn judge(&self, method: &Method, path: &str, host: Option<&str>) {
        let what = format!("{method} {path}: {}", self.status);
        assert!(!self.status.is_server_error(), "{what}: {}", String::from_utf8_lossy(&self.body));
        let policy = self.header("content-security-policy");
        assert!(
            policy.is_some_and(|p| p.starts_with("default-src 'none'") && !p.contains("unsafe")),
            "{what}: {policy:?}"
        );
        assert_eq!(self.header("x-content-type-options"), Some("nosniff"), "{what}");
        assert_eq!(self.header("access-control-allow-origin"), None, "{what}");
        let is_ours = host.is_some_and(|h| HOSTS.contains(&h));
        assert!(is_ours || self.status == StatusCode::FORBIDDEN, "{what} for {host:?}");
        if method != Method::HEAD {
            self.judge_body(&what);
        }
    }

    fn judge_body(&self, what: &str) {
        match self.header("content-type") {
            Some("application/json") => {
                let value: Value = serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{what}: {e}"));
                let refused = value["refused"].as_str().is_some_and(|words| !words.is_empty());
                assert!(self.status.is_success() || refused, "{what}: {value}");
                if let Some(problems) = value["problems"].as_array() {
                    assert!(!problems.is_empty(), "{what}: refused without a reason");
                }
            }
            Some("application/zip") => assert!(self.body.starts_with(b"PK"), "{what}: no archive"),
            _ => assert!(self.body.is_empty() || self.header("content-type").is_some(), "{what}: bytes of no type"),
        }
    }

    fn header(&self, name: &str) -> Option<&str> {
        self.headers.get(name).and_then(|value| value.to_str().ok())
    }
}

fn shop() -> Shop {
    Shop::built_in().unwrap_or_else(|e| panic!("{e}")).groove_sample(3)
}

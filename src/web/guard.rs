//! Who is let in, and what the browser is told to allow.
//!
//! The page listens on the loopback only. A foreign page in the same browser could still reach it: by a name of its own that points to 127.0.0.1
//! (then `Host` is not ours), or by posting across (then `Origin` is not ours; and the content type asked for cannot be sent across without
//! asking first, which nobody here answers).

use super::Door;
use super::reply::Refusal;
use axum::body::{Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;
use std::time::Duration;

/// Longest body, bytes. An order has about two thousand; the command line takes longer ones.
pub const LONGEST_BODY: usize = 256 << 10;
/// How long a body may take to arrive.
const ARRIVAL: Duration = Duration::from_secs(10);

/// Everything from here and nothing from elsewhere; no script or style in the markup itself; nobody frames the page.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; font-src 'self'; \
    connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const HEADERS: [(HeaderName, &str); 7] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (header::X_FRAME_OPTIONS, "DENY"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (
        HeaderName::from_static("permissions-policy"),
        "camera=(), geolocation=(), microphone=(), payment=(), usb=(), serial=()",
    ),
];

/// Lets a request through, or refuses it; either way the answer carries what the browser is to allow.
pub async fn guarded(State(door): State<Arc<Door>>, request: Request, next: Next) -> Response {
    let let_in = admitted(request.method(), request.uri().authority().is_some(), request.headers(), &door.hosts);
    let mut response = match let_in {
        Ok(()) => next.run(request).await,
        Err(refusal) => refusal.into_response(),
    };
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

/// Whether a request comes from the page itself or from someone who types its address.
fn admitted(method: &Method, absolute: bool, headers: &HeaderMap, hosts: &[String; 2]) -> Result<(), Refusal> {
    let forbidden = |why: &str| Err(Refusal::new(StatusCode::FORBIDDEN, why));
    let host = match only(headers, &header::HOST) {
        Some(host) if !absolute && hosts.iter().any(|h| h == host) => host,
        _ => return forbidden("the page answers to 127.0.0.1 and localhost only"),
    };
    if *method == Method::GET || *method == Method::HEAD {
        return Ok(());
    }
    if only(headers, &header::ORIGIN) != Some(format!("http://{host}").as_str()) {
        return forbidden("only the page itself may ask this");
    }
    let fetched = headers.get("sec-fetch-site").is_none_or(|site| site == "same-origin");
    if !fetched {
        return forbidden("only the page itself may ask this");
    }
    let kind = only(headers, &header::CONTENT_TYPE).unwrap_or_default();
    if *method == Method::POST && kind.split(';').next().unwrap_or_default().trim() != "application/json" {
        return Err(Refusal::new(StatusCode::UNSUPPORTED_MEDIA_TYPE, "send the order as application/json"));
    }
    Ok(())
}

/// The value of a header that stands exactly once.
fn only<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    let mut values = headers.get_all(name).iter();
    let first = values.next()?.to_str().ok()?;
    values.next().is_none().then_some(first)
}

/// The whole body of a request.
///
/// # Errors
/// Where it is too long, or does not arrive.
pub async fn body(request: Request) -> Result<Bytes, Refusal> {
    let too_long = || {
        let most = LONGEST_BODY >> 10;
        let message =
            format!("the order is longer than {most} KiB; the page takes no longer ones, the command line does");
        Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, message)
    };
    let announced = only(request.headers(), &header::CONTENT_LENGTH).and_then(|n| n.parse::<usize>().ok());
    if announced.is_some_and(|n| n > LONGEST_BODY) {
        return Err(too_long());
    }
    match tokio::time::timeout(ARRIVAL, to_bytes(request.into_body(), LONGEST_BODY)).await {
        Ok(Ok(bytes)) => Ok(bytes),
        Ok(Err(_)) => Err(too_long()),
        Err(_) => Err(Refusal::new(StatusCode::REQUEST_TIMEOUT, "the order did not arrive")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(method: Method, pairs: &[(&'static str, &str)]) -> Result<(), Refusal> {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(*name, HeaderValue::from_str(value).unwrap());
        }
        admitted(&method, false, &headers, &["127.0.0.1:7525".into(), "localhost:7525".into()])
    }

    #[test]
    fn only_its_own_names_and_its_own_pages() {
        let json = ("content-type", "application/json");
        for host in ["127.0.0.1:7525", "localhost:7525"] {
            let own = format!("http://{host}");
            assert!(asked(Method::GET, &[("host", host)]).is_ok());
            assert!(asked(Method::POST, &[("host", host), ("origin", &own), json]).is_ok());
        }
        let us = ("host", "127.0.0.1:7525");
        for other in ["evil.example:7525", "127.0.0.1", "127.0.0.1:80", "127.0.0.1.evil.example:7525", "[::1]:7525", ""]
        {
            assert!(asked(Method::GET, &[("host", other)]).is_err(), "{other}");
        }
        assert!(asked(Method::GET, &[]).is_err());
        assert!(asked(Method::GET, &[us, ("host", "evil.example")]).is_err());
        for origin in
            ["http://evil.example", "https://127.0.0.1:7525", "http://localhost:7525", "null", "http://127.0.0.1:80"]
        {
            assert!(asked(Method::POST, &[us, ("origin", origin), json]).is_err(), "{origin}");
        }
        let own = ("origin", "http://127.0.0.1:7525");
        assert!(asked(Method::POST, &[us, json]).is_err());
        for kind in ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", ""] {
            assert!(asked(Method::POST, &[us, own, ("content-type", kind)]).is_err(), "{kind}");
        }
        assert!(asked(Method::POST, &[us, own, json, ("sec-fetch-site", "cross-site")]).is_err());
        assert!(asked(Method::POST, &[us, own, json, ("sec-fetch-site", "same-origin")]).is_ok());
        assert!(asked(Method::OPTIONS, &[us, ("origin", "http://evil.example")]).is_err());
    }
}

//! Answers and refusals as HTTP.

use axum::body::Body;
use axum::extract::{FromRequestParts, Path};
use axum::http::request::Parts;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

/// Why a request is not answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    status: StatusCode,
    message: String,
}

impl Refusal {
    /// A refusal in words.
    pub fn new(status: StatusCode, message: impl Into<String>) -> Refusal {
        Refusal { status, message: message.into() }
    }

    /// There is nothing of that name.
    pub fn unknown() -> Refusal {
        Refusal::new(StatusCode::NOT_FOUND, "there is no such page")
    }

    /// It is asked for in the wrong way.
    pub fn method() -> Refusal {
        Refusal::new(StatusCode::METHOD_NOT_ALLOWED, "this is not asked for in that way")
    }
}

/// The names in an address. One that cannot be read names nothing there is.
#[derive(Debug, Clone)]
pub struct Named<T>(pub T);

impl<T: DeserializeOwned + Send, S: Send + Sync> FromRequestParts<S> for Named<T> {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Named<T>, Refusal> {
        Path::from_request_parts(parts, state).await.map(|Path(names)| Named(names)).map_err(|_| Refusal::unknown())
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let mut response = json(&json!({ "format": 1, "refused": self.message }));
        *response.status_mut() = self.status;
        response
    }
}

/// A JSON object.
pub fn json(value: &Value) -> Response {
    bytes("application/json", value.to_string().into_bytes())
}

/// Bytes of a type.
pub fn bytes(kind: &'static str, bytes: impl Into<Body>) -> Response {
    let mut response = Response::new(bytes.into());
    response.headers_mut().insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    response
}

/// A file to be kept.
pub fn download(kind: &'static str, name: &str, content: Vec<u8>) -> Response {
    let mut response = bytes(kind, content);
    // the parts of a name are letters, digits, `-`, `_` and `.`
    if let Ok(value) = HeaderValue::from_str(&format!("attachment; filename=\"{name}\"")) {
        response.headers_mut().insert(header::CONTENT_DISPOSITION, value);
    }
    response
}

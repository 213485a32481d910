//! A connection on which every refusal is JSON: one of a head that cannot be read comes from the HTTP library, with a status and nothing else.

use std::io;
use std::pin::Pin;
use std::task::{Context, Poll, ready};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};

/// How such a refusal begins, and what it is told as.
const BARE: [(&[u8], &str, &str); 3] = [
    (b"HTTP/1.1 400 ", "400 Bad Request", "this is no request that can be read"),
    (b"HTTP/1.1 414 ", "414 URI Too Long", "the address is too long"),
    (b"HTTP/1.1 431 ", "431 Request Header Fields Too Large", "the head of the request is too long"),
];
/// Refusals of our own have a body; bare ones say that they have none.
const NO_BODY: &[u8] = b"content-length: 0\r\n";

/// A stream with its bare refusals put into words.
#[derive(Debug)]
pub struct Spoken<S> {
    stream: S,
    /// What is left to be written in place of a bare refusal.
    instead: Vec<u8>,
}

impl<S> Spoken<S> {
    /// Of a stream.
    pub fn of(stream: S) -> Spoken<S> {
        Spoken { stream, instead: Vec::new() }
    }
}

/// What is said in place of a bare refusal; `None` where these bytes are none.
fn in_words(bytes: &[u8]) -> Option<Vec<u8>> {
    let (_, status, said) = BARE.iter().find(|(start, ..)| bytes.starts_with(start))?;
    if !bytes.windows(NO_BODY.len()).any(|part| part.eq_ignore_ascii_case(NO_BODY)) {
        return None;
    }
    let body = serde_json::json!({ "format": 1, "refused": said }).to_string();
    let head = format!("HTTP/1.1 {status}\r\ncontent-type: application/json\r\nconnection: close\r\ncontent-length: {}\r\n\r\n", body.len());
    Some([head, body].concat().into_bytes())
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Spoken<S> {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        if self.instead.is_empty() {
            match in_words(bytes) {
                Some(words) => self.instead = words,
                None => return Pin::new(&mut self.stream).poll_write(cx, bytes),
            }
        }
        let this = &mut *self;
        while !this.instead.is_empty() {
            let written = ready!(Pin::new(&mut this.stream).poll_write(cx, &this.instead))?;
            if written == 0 {
                return Poll::Ready(Err(io::ErrorKind::WriteZero.into()));
            }
            this.instead.drain(..written);
        }
        Poll::Ready(Ok(bytes.len()))
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(cx)
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Spoken<S> {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, into: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(cx, into)
    }
}

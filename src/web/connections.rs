//! Connections: how many there may be, how long one may be silent, how long it lives. Whoever holds one open and says nothing loses it.

use super::spoken::Spoken;
use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, watch};
use tokio::time::{sleep, timeout};

/// Most connections at a time. A browser opens six; several tabs share them.
const MOST: usize = 64;
/// How long a request's head may take to arrive, and how long a connection may be idle between two requests.
const SILENCE: Duration = Duration::from_secs(20);
/// How long a connection lives; a browser then opens another one. Longer than an answer takes.
const LIFE: Duration = Duration::from_secs(120);
/// How long the answer under way may still take at the end of it.
const LAST_ANSWER: Duration = Duration::from_secs(30);
/// How long the accepting of connections rests after it failed: there are no more files to be had.
const REST: Duration = Duration::from_millis(100);

/// What one connection too many is told: the head and the JSON of a refusal.
const TOO_MANY: &[u8] = b"HTTP/1.1 503 Service Unavailable\r\nContent-Type: application/json\r\nConnection: close\r\nContent-Length: 78\r\n\r\n\
    {\"format\":1,\"refused\":\"too many connections are open; try again in a moment\"}\n";
/// How long it is listened to and told for.
const GOODBYE: Duration = Duration::from_secs(1);

/// Answers connections until `stop` is done, then lets the answers under way come to their end.
pub async fn serve(listener: TcpListener, router: Router, stop: impl Future<Output = ()>) {
    let places = Arc::new(Semaphore::new(MOST));
    let (running, ended) = watch::channel(());
    tokio::pin!(stop);
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = stop.as_mut() => break,
        };
        match (accepted, Arc::clone(&places).try_acquire_owned()) {
            (Err(_), _) => sleep(REST).await,
            (Ok((stream, _)), Ok(place)) => drop(tokio::spawn(answered(stream, router.clone(), ended.clone(), place))),
            (Ok((stream, _)), Err(_)) => drop(tokio::spawn(turned_away(stream))),
        }
    }
    drop(running);
    // every connection gives its place back when it ends; nobody closes the semaphore
    let _all = places.acquire_many(u32::try_from(MOST).unwrap_or(u32::MAX)).await;
}

/// One connection, until it ends, lives too long, or the page is asked to stop.
async fn answered(stream: TcpStream, router: Router, mut ended: watch::Receiver<()>, _place: OwnedSemaphorePermit) {
    let mut server = http1::Builder::new();
    server.timer(TokioTimer::new()).header_read_timeout(SILENCE);
    let connection = server.serve_connection(TokioIo::new(Spoken::of(stream)), TowerToHyperService::new(router));
    tokio::pin!(connection);
    tokio::select! {
        // whatever went wrong with it, it is over
        _ = connection.as_mut() => return,
        // fails as soon as the page is asked to stop
        _ = ended.changed() => {}
        () = sleep(LIFE) => {}
    }
    connection.as_mut().graceful_shutdown();
    let _late = timeout(LAST_ANSWER, connection).await;
}

async fn turned_away(mut stream: TcpStream) {
    let told = async {
        stream.write_all(TOO_MANY).await?;
        stream.shutdown().await?;
        // closing with something unread would take the answer back
        let mut unread = [0; 1024];
        while stream.read(&mut unread).await? > 0 {}
        std::io::Result::Ok(())
    };
    let _ = timeout(GOODBYE, told).await;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_connection_too_many_is_told_in_json_of_the_length_it_names() {
        let text = std::str::from_utf8(TOO_MANY).unwrap();
        let (head, body) = text.split_once("\r\n\r\n").unwrap();
        assert!(head.contains(&format!("Content-Length: {}\r\n", body.len())) || head.ends_with(&format!("Content-Length: {}", body.len())), "{}", body.len());
        assert!(serde_json::from_str::<serde_json::Value>(body).unwrap()["refused"].is_string());
    }
}

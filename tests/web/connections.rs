//! Who holds connections open and says nothing loses them; there are not so many that nobody else is answered.

use super::client::Page;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

fn open(page: &Page) -> TcpStream {
    let stream = TcpStream::connect(("127.0.0.1", page.port)).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    stream
}

/// How long until the other side closes.
fn until_closed(mut stream: TcpStream, from: Instant) -> Duration {
    let mut back = Vec::new();
    // closed in order or with something unread: both end it
    let _ = stream.read_to_end(&mut back);
    from.elapsed()
}

#[test]
fn silent_connections_are_closed() {
    let page = Page::start();
    let host = page.host();
    let from = Instant::now();
    let (silent, mut half, mut slow, mut idle) = (open(&page), open(&page), open(&page), open(&page));
    half.write_all(b"POST /draw/sheet HTTP/1.1\r\nHost: ").unwrap();
    slow.write_all(b"GET / HTTP/1.1\r\n").unwrap();
    idle.write_all(format!("GET /schema.json HTTP/1.1\r\nHost: {host}\r\n\r\n").as_bytes()).unwrap();
    // a letter every second keeps no connection
    let dripping = std::thread::spawn(move || {
        while from.elapsed() < Duration::from_secs(50) && slow.write_all(b"A").is_ok() {
            std::thread::sleep(Duration::from_secs(1));
        }
        from.elapsed()
    });
    for (what, stream) in [("silent", silent), ("half a head", half), ("idle", idle)] {
        let took = until_closed(stream, from);
        assert!((10..40).contains(&took.as_secs()), "{what}: {took:?}");
    }
    assert!(dripping.join().unwrap() < Duration::from_secs(45));
    assert_eq!(page.get("/").status, 200);
}

#[test]
fn connections_are_limited_and_the_rest_is_told_so_in_json() {
    let page = Page::start();
    let mut held: Vec<TcpStream> = (0..64).map(|_| open(&page)).collect();
    // each is being served once it answers
    for stream in &mut held {
        stream.write_all(format!("GET /page/wheel.svg HTTP/1.1\r\nHost: {}\r\n\r\n", page.host()).as_bytes()).unwrap();
        assert!(stream.read(&mut [0; 16]).unwrap() > 0);
    }
    let refused = page.get("/");
    assert_eq!(refused.status, 503);
    assert!(refused.json()["refused"].as_str().unwrap().contains("too many"));
    held.truncate(60);
    let patience = Instant::now();
    while page.get("/").status != 200 {
        assert!(patience.elapsed() < Duration::from_secs(10));
    }
}

#[test]
fn every_error_is_json() {
    let page = Page::start();
    let (host, origin) = (page.host(), format!("http://{}", page.host()));
    let headers = [("Host", host.as_str()), ("Origin", &origin), ("Content-Type", "application/json")];
    let posts = [
        "/draw/sheet/first",
        "/draw/sheet/-1",
        "/draw/%ff",
        "/sheets/%ff",
        "/pack/file/%ff",
        "/nothing",
        "/",
        "/folder",
    ];
    let replies = posts.map(|path| (path, page.request("POST", path, &headers, b"{}")));
    let gets = ["/page/%ff", "/page/a/b", "/folder", "/folder/%ff", "/draw/sheet", "/%00"];
    let gets = gets.map(|path| (path, page.get(path)));
    let others =
        ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"].map(|m| (m, page.request(m, "/draw/sheet", &headers, b"")));
    for (what, reply) in replies.iter().chain(&gets).chain(&others) {
        assert!((400..500).contains(&reply.status), "{what}: {}", reply.status);
        assert_eq!(reply.header("content-type"), Some("application/json"), "{what}");
        assert!(reply.json()["refused"].is_string(), "{what}");
    }
}

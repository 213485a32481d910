//! A page of its own for each test, and a small client that can also misbehave.

use crate::cli::program;
use serde_json::Value;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Stdio};
use std::time::Duration;

/// A running page; it ends with the test.
pub struct Page {
    pub child: Child,
    pub port: u16,
}

/// What came back.
pub struct Reply {
    pub status: u16,
    pub head: Vec<(String, String)>,
    pub body: Vec<u8>,
}

impl Reply {
    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.iter().find(|(n, _)| n.eq_ignore_ascii_case(name)).map(|(_, v)| v.as_str())
    }

    #[track_caller]
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&self.body)))
    }
}

impl Page {
    pub fn start() -> Page {
        Page::start_with(&[])
    }

    pub fn start_with(more: &[&str]) -> Page {
        let mut command = program();
        command.args(["serve", "--port", "0", "--format", "json"]).args(more);
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        // one JSON object over several lines
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut text = String::new();
        while !text.trim_end().ends_with('}') {
            assert!(out.read_line(&mut text).unwrap() > 0, "the page does not start: {text}");
        }
        let said: Value = serde_json::from_str(&text).unwrap();
        let url = said["url"].as_str().unwrap();
        let port = url.strip_prefix("http://127.0.0.1:").and_then(|r| r.strip_suffix('/')).unwrap().parse().unwrap();
        Page { child, port }
    }

    pub fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    /// Sends bytes as they are and reads until the other side closes.
    pub fn raw(&self, bytes: &[u8]) -> Vec<u8> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        // the other side may close before everything is written
        let _ = stream.write_all(bytes);
        let mut back = Vec::new();
        let _ = stream.read_to_end(&mut back);
        back
    }

    /// A request with exactly these headers.
    pub fn request(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Reply {
        let mut request =
            format!("{method} {path} HTTP/1.1\r\nConnection: close\r\nContent-Length: {}\r\n", body.len());
        for (name, value) in headers {
            request += &format!("{name}: {value}\r\n");
        }
        request += "\r\n";
        let mut bytes = request.into_bytes();
        bytes.extend(body);
        parsed(&self.raw(&bytes))
    }

    pub fn get(&self, path: &str) -> Reply {
        self.request("GET", path, &[("Host", &self.host())], b"")
    }

    /// As the page itself posts.
    pub fn post(&self, path: &str, body: &[u8]) -> Reply {
        let (host, origin) = (self.host(), format!("http://{}", self.host()));
        let headers = [("Host", host.as_str()), ("Origin", &origin), ("Content-Type", "application/json")];
        self.request("POST", path, &headers, body)
    }

    /// Memory in use, KiB; `None` where the system does not tell.
    pub fn memory(&self) -> Option<u64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).ok()?;
        status.lines().find_map(|l| l.strip_prefix("VmRSS:"))?.trim().strip_suffix("kB")?.trim().parse().ok()
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[track_caller]
fn parsed(bytes: &[u8]) -> Reply {
    let end = bytes.windows(4).position(|w| w == b"\r\n\r\n").expect("an HTTP answer");
    let head = String::from_utf8(bytes[..end].to_vec()).unwrap();
    let mut lines = head.split("\r\n");
    let status = lines.next().unwrap().split(' ').nth(1).unwrap().parse().unwrap();
    let head: Vec<(String, String)> =
        lines.map(|l| l.split_once(':').unwrap()).map(|(n, v)| (n.to_owned(), v.trim().to_owned())).collect();
    Reply { status, head, body: bytes[end + 4..].to_vec() }
}

//! What somebody might try on the page from another site or on the wire, by name: each is declined in words, gives nothing away and leaves it running.

use super::client::{Page, Reply};
use serde_json::json;
use std::fs;

const ORDER: &str = include_str!("../../demo-data/1042.json");
/// What lies beside the folder; who sends it knows it and still gets no further.
fn hidden() -> String {
    ORDER.replace("Kestrel Bay Journal Works", "Hidden Hollow Works")
}

const KIND: (&str, &str) = ("Content-Type", "application/json");

/// A page in a folder beside which something secret lies.
struct Door {
    page: Page,
    host: String,
    own: String,
}

impl Door {
    fn get(&self, path: &str) -> Reply {
        self.page.get(path)
    }

    /// A question as the page asks it, but for these headers besides.
    fn posed(&self, path: &str, headers: &[(&str, &str)]) -> Reply {
        let mut all = vec![("Host", self.host.as_str())];
        all.extend(headers);
        self.page.request("POST", path, &all, ORDER.as_bytes())
    }

    fn own(&self, path: &str, body: &str) -> Reply {
        self.page.post(path, body.as_bytes())
    }

    fn named(&self, host: &str) -> Reply {
        self.page.request("GET", "/schema.json", &[("Host", host)], b"")
    }
}

type Attack = (&'static str, fn(&Door) -> Reply);

const ATTACKS: [Attack; 28] = [
    ("a site whose name is pointed at this computer", |d| d.named(&format!("evil.example:{}", d.page.port))),
    ("a name that only begins like this computer's", |d| d.named(&format!("127.0.0.1.evil.example:{}", d.page.port))),
    ("this computer at another port", |d| d.named("127.0.0.1:80")),
    ("no name at all", |d| d.page.request("GET", "/schema.json", &[], b"")),
    ("two names", |d| d.page.request("GET", "/schema.json", &[("Host", &d.host), ("Host", "evil.example")], b"")),
    ("the address of another site", |d| {
        d.page.request("GET", "http://evil.example/schema.json", &[("Host", &d.host)], b"")
    }),
    ("a question from nowhere", |d| d.posed("/draw/sheet", &[KIND])),
    ("a question from another site", |d| d.posed("/draw/sheet", &[KIND, ("Origin", "http://evil.example")])),
    ("a question from a page without an origin", |d| d.posed("/draw/sheet", &[KIND, ("Origin", "null")])),
    ("a question from the same name over another protocol", |d| {
        d.posed("/draw/sheet", &[KIND, ("Origin", &d.own.replace("http", "https"))])
    }),
    ("a question with two origins", |d| {
        d.posed("/draw/sheet", &[KIND, ("Origin", &d.own), ("Origin", "http://evil.example")])
    }),
    ("a question that the browser marks as another site's", |d| {
        d.posed("/draw/sheet", &[KIND, ("Origin", &d.own), ("Sec-Fetch-Site", "cross-site")])
    }),
    ("a form of another site, as plain text", |d| {
        d.posed("/folder", &[("Origin", &d.own), ("Content-Type", "text/plain")])
    }),
    ("the same as fields", |d| {
        d.posed("/folder", &[("Origin", &d.own), ("Content-Type", "application/x-www-form-urlencoded")])
    }),
    ("the same in parts", |d| {
        d.posed("/folder", &[("Origin", &d.own), ("Content-Type", "multipart/form-data; boundary=application/json")])
    }),
    ("asking beforehand whether another site may", |d| {
        let asks =
            [("Host", d.host.as_str()), ("Origin", "http://evil.example"), ("Access-Control-Request-Method", "POST")];
        d.page.request("OPTIONS", "/folder", &asks, b"")
    }),
    ("having the request sent back", |d| d.page.request("TRACE", "/", &[("Host", &d.host), ("Origin", &d.own)], b"")),
    ("a part of the page above the page's own", |d| d.get("/page/../../Cargo.toml")),
    ("the same with its slashes written otherwise", |d| d.get("/page/..%2f..%2fCargo.toml")),
    ("an order above the folder", |d| d.get("/folder/..%2fsecret.json")),
    ("the same with the other slash", |d| d.get("/folder/..%5csecret.json")),
    ("an order that leads out of the folder", |d| d.get("/folder/link.json")),
    ("saving above the folder", |d| d.own("/folder", &json!({ "file": "../secret.json", "text": "{}" }).to_string())),
    ("saving anywhere on this computer", |d| {
        d.own("/folder", &json!({ "file": "/etc/x.json", "text": "{}" }).to_string())
    }),
    ("an approval of what lies above the folder", |d| {
        d.own(
            "/approve",
            &json!({ "order": hidden(), "file": "../secret.json", "by": "E. Vale", "date": "2026-03-05" }).to_string(),
        )
    }),
    ("a pack of what lies above the folder", |d| {
        d.own("/pack/put", &json!({ "order": hidden(), "file": "../secret.json" }).to_string())
    }),
    ("a body without end", |d| d.own("/draw/sheet", &" ".repeat(300 << 10))),
    ("a head without end", |d| d.page.request("GET", "/", &[("Host", &d.host), ("Cookie", &"a".repeat(1 << 20))], b"")),
];

#[test]
fn each_is_declined_in_words_and_leaves_the_page_running() {
    let place = tempfile::tempdir().unwrap();
    let (folder, secret) = (place.path().join("orders"), place.path().join("secret.json"));
    fs::create_dir(&folder).unwrap();
    fs::write(&secret, hidden()).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(&secret, folder.join("link.json")).unwrap();
    let page = Page::start_with(&[folder.to_str().unwrap()]);
    let (host, own) = (page.host(), format!("http://{}", page.host()));
    let door = Door { page, host, own };
    for (what, tried) in ATTACKS {
        let reply = tried(&door);
        let told = reply.json();
        // a question of the page itself is answered by what is wrong with it
        let declined = (400..500).contains(&reply.status) && told["refused"].is_string();
        assert!(declined || told["failure"].is_string(), "{what}: {} {told}", reply.status);
        let said = told.to_string();
        assert!(!said.contains("properties") && !said.contains("Hidden Hollow"), "{what}: {said}");
        assert_eq!(reply.header("access-control-allow-origin"), None, "{what}");
        assert_eq!(door.get("/schema.json").status, 200, "after {what}");
    }
    assert_eq!(fs::read_to_string(&secret).unwrap(), hidden());
    let left: Vec<_> = fs::read_dir(place.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left.len(), 2, "{left:?}");
    assert_eq!(door.own("/draw/sheet", ORDER).status, 200);
}

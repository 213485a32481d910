//! Nobody but the page itself is answered, nothing brings it down, and it lets go of what it has answered.

use super::client::{Page, Reply};
use std::process::Command;

const ORDER: &str = include_str!("../../demo-data/1042.json");

#[track_caller]
fn guarded(what: &str, reply: &Reply) {
    let policy = reply.header("content-security-policy").unwrap_or_else(|| panic!("{what}: no policy"));
    for part in
        ["default-src 'none'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'", "base-uri 'none'"]
    {
        assert!(policy.contains(part), "{what}: {policy}");
    }
    assert!(!policy.contains("unsafe"), "{what}: {policy}");
    assert_eq!(reply.header("x-content-type-options"), Some("nosniff"), "{what}");
    assert_eq!(reply.header("referrer-policy"), Some("no-referrer"), "{what}");
    assert_eq!(reply.header("x-frame-options"), Some("DENY"), "{what}");
    assert_eq!(reply.header("cross-origin-resource-policy"), Some("same-origin"), "{what}");
    assert_eq!(reply.header("access-control-allow-origin"), None, "{what}");
}

#[test]
fn every_answer_says_what_the_browser_may_do() {
    let page = Page::start();
    for path in ["/", "/page/main.js", "/page/base.css", "/page/plain.ttf", "/schema.json", "/templates.json"] {
        let reply = page.get(path);
        assert_eq!(reply.status, 200, "{path}");
        guarded(path, &reply);
    }
    for path in ["/nothing", "/page/nothing.js", "/page/..%2f..%2fCargo.toml", "/../Cargo.toml", "/draw/sheet"] {
        let reply = page.get(path);
        assert!((400..500).contains(&reply.status), "{path}: {}", reply.status);
        guarded(path, &reply);
    }
    guarded("draw", &page.post("/draw/sheet", ORDER.as_bytes()));
    guarded("refused", &page.request("GET", "/", &[("Host", "evil.example")], b""));
}

#[test]
fn the_page_and_its_parts_name_nothing_outside() {
    let page = Page::start();
    let html = String::from_utf8(page.get("/").body).unwrap();
    assert!(html.contains("/page/main.js"));
    let asset_folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/web/assets");
    let mut seen = 0;
    for entry in std::fs::read_dir(asset_folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let reply = page.get(&if name == "index.html" { "/".to_owned() } else { format!("/page/{name}") });
        assert_eq!(reply.status, 200, "{name} is not served");
        let text = String::from_utf8(reply.body).unwrap();
        let outside = text.replace("http://www.w3.org/", "");
        for word in [
            "http://",
            "https://",
            "eval(",
            "innerHTML",
            "outerHTML",
            "insertAdjacentHTML",
            "document.write",
            " style=",
            "onclick=\"",
        ] {
            assert!(!outside.contains(word), "{name}: {word}");
        }
        assert!(text.lines().count() <= 260, "{name} is long");
        seen += 1;
    }
    assert!(seen > 15, "{seen}");
}

#[test]
fn foreign_names_and_pages_are_turned_away() {
    let page = Page::start();
    let (host, own) = (page.host(), format!("http://{}", page.host()));
    let local = format!("localhost:{}", page.port);
    let json = ("Content-Type", "application/json");
    assert_eq!(page.request("GET", "/", &[("Host", &local)], b"").status, 200);
    let port = page.port;
    for name in [
        format!("evil.example:{port}"),
        "evil.example".into(),
        "127.0.0.1".into(),
        format!("127.0.0.1.evil.example:{port}"),
        String::new(),
    ] {
        let reply = page.request("GET", "/schema.json", &[("Host", &name)], b"");
        assert!(matches!(reply.status, 400 | 403), "{name}: {}", reply.status);
        assert!(!String::from_utf8_lossy(&reply.body).contains("properties"), "{name}");
    }
    assert_eq!(page.request("GET", "/", &[("Host", &host), ("Host", "evil.example")], b"").status, 403);
    assert!(page.request("GET", &format!("http://evil.example:{port}/"), &[("Host", &host)], b"").status >= 400);
    let body = ORDER.as_bytes();
    for path in ["/draw/sheet", "/figures", "/pack/list", "/pack/zip", "/pack/file/manifest.json"] {
        let post = |headers: &[(&str, &str)]| page.request("POST", path, headers, body).status;
        let us = ("Host", host.as_str());
        assert_eq!(post(&[us, json]), 403, "{path} without origin");
        for origin in [
            "http://evil.example",
            "null",
            "https://127.0.0.1",
            &own.replace("http", "https"),
            &format!("http://{local}"),
        ] {
            assert_eq!(post(&[us, ("Origin", origin), json]), 403, "{path} from {origin}");
        }
        for kind in ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"] {
            assert_eq!(post(&[us, ("Origin", &own), ("Content-Type", kind)]), 415, "{path} as {kind}");
        }
        assert_eq!(post(&[us, ("Origin", &own), json, ("Sec-Fetch-Site", "cross-site")]), 403, "{path}");
        // a browser asks first before it sends JSON across; nobody allows it
        let asked = page.request(
            "OPTIONS",
            path,
            &[us, ("Origin", "http://evil.example"), ("Access-Control-Request-Method", "POST")],
            b"",
        );
        assert!(asked.status >= 400 && asked.header("access-control-allow-origin").is_none(), "{path}");
    }
    assert_eq!(page.post("/draw/sheet", body).status, 200);
}

#[test]
fn it_listens_on_the_loopback_only() {
    let page = Page::start();
    let table = std::fs::read_to_string("/proc/net/tcp").unwrap_or_default();
    let port = format!(":{:04X}", page.port);
    let listening: Vec<&str> =
        table.lines().filter_map(|l| l.split_whitespace().nth(1)).filter(|a| a.ends_with(&port)).collect();
    // 127.0.0.1 in the byte order of the table
    assert!(listening.iter().all(|a| a.starts_with("0100007F")), "{listening:?}");
    let six = std::fs::read_to_string("/proc/net/tcp6").unwrap_or_default();
    assert!(!six.lines().filter_map(|l| l.split_whitespace().nth(1)).any(|a| a.ends_with(&port)));
}

#[test]
fn long_bodies_are_refused_with_words() {
    let page = Page::start();
    let long = vec![b' '; 300 << 10];
    for path in ["/draw/sheet", "/figures", "/pack/zip"] {
        let reply = page.post(path, &long);
        assert_eq!(reply.status, 413, "{path}");
        assert!(reply.json()["refused"].as_str().unwrap().contains("256 KiB"));
    }
    // the same without saying beforehand how long it is
    let (host, mut request) = (page.host(), Vec::new());
    request.extend(
        format!("POST /draw/sheet HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nConnection: close\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n")
            .bytes(),
    );
    for _ in 0..40 {
        request.extend(b"4000\r\n");
        request.extend([b' '; 0x4000]);
        request.extend(b"\r\n");
    }
    request.extend(b"0\r\n\r\n");
    let back = String::from_utf8_lossy(&page.raw(&request)).into_owned();
    assert!(back.starts_with("HTTP/1.1 413"), "{}", back.lines().next().unwrap_or_default());
    assert_eq!(page.post("/draw/sheet", ORDER.as_bytes()).status, 200);
}

/// Orders broken in many ways: cut off, with bytes exchanged, with values of other kinds, nested without end, no text at all.
fn malformed() -> Vec<Vec<u8>> {
    let order = ORDER.as_bytes();
    let mut all: Vec<Vec<u8>> = (1..40).map(|i| order[..order.len() * i / 40].to_vec()).collect();
    for i in 0..40 {
        let mut turned = order.to_vec();
        let at = turned.len() * i / 40;
        turned[at] = [b'"', b'{', 0xFF, b'9', 0][i % 5];
        all.push(turned);
    }
    for value in
        ["null", "[]", "{}", "-1", "1e400", "\"\"", "\"26 furlongs\"", "true", "[[26]]", "NaN", "Infinity", "0.0"]
    {
        all.push(ORDER.replace("\"outside_diameter\": 26", &format!("\"outside_diameter\": {value}")).into_bytes());
    }
    for open in ["[", "{\"wheel\":", "{\"a\":[", "\"\\"] {
        all.push(open.repeat(20_000).into_bytes());
    }
    all.extend(
        ["", " ", "null", "[]", "{}", "0", "\"", "\u{feff}", "<script>", "\0\0\0"].map(|s| s.as_bytes().to_vec()),
    );
    all.push(vec![0xFF; 5000]);
    all.push("9".repeat(100_000).into_bytes());
    all.push(ORDER.replace("\"pitch_deg\": 2", "\"pitch_deg\": 1e-300").into_bytes());
    all.push(ORDER.replace("\"count\": 180", "\"count\": 4294967295").into_bytes());
    all
}

#[test]
fn a_hundred_malformed_orders_leave_it_running() {
    let page = Page::start();
    let bodies = malformed();
    assert!(bodies.len() >= 100, "{}", bodies.len());
    let mut wrong = 0;
    for (i, body) in bodies.iter().enumerate() {
        let reply = page.post("/draw/sheet", body);
        assert_eq!(reply.status, 200, "body {i}");
        let told = reply.json();
        // a changed byte in a note leaves a good order
        wrong += usize::from(told["problems"].as_array().is_some_and(|p| !p.is_empty()));
        assert!(told["problems"].is_array() || told["verdict"].is_string(), "body {i}: {told}");
        if i % 4 == 0 && told["problems"].is_array() {
            assert_eq!(page.post("/figures", body).status, 200, "body {i}");
            assert_eq!(page.post("/pack/list", body).status, 400, "body {i} is no wish for a pack");
        }
    }
    assert!(wrong > bodies.len() * 9 / 10, "{wrong} of {}", bodies.len());
    for garbage in [
        &b"\x16\x03\x01\x02\x00\x01\x00"[..],
        b"GET",
        b"\r\n\r\n\r\n",
        &[0; 4096],
        b"POST /draw/sheet HTTP/9.9\r\n\r\n",
    ] {
        page.raw(garbage);
    }
    assert!(page.post("/draw/sheet", ORDER.as_bytes()).json()["svg"].as_str().unwrap().starts_with("<svg"));
}

#[test]
fn orders_too_large_to_draw_while_typing_are_named() {
    let page = Page::start();
    let steps: Vec<String> = (0..60)
        .map(|i| format!("{{\"diameter\": {}, \"depth\": {}}}", 20.0 - 0.1 * f64::from(i), 0.01 + 0.01 * f64::from(i)))
        .collect();
    let order = |wheel: &str, notes: &str| {
        format!(
            "{{\"order\": {{\"number\": \"1\", \"revision\": \"A\", \"notes\": [{notes}]}}, \"units\": \"in\", \
             \"wheel\": {{\"outside_diameter\": 26, \"thickness\": 4, \"bore\": 8 {wheel}}}}}"
        )
    };
    let note = format!("\"{}\"", "x".repeat(150));
    let cases = [
        (
            order(
                ", \"side_a\": {\"grooves\": {\"count\": 36000, \"width\": 0.001, \"depth\": 0.1, \"inner_diameter\": 17}}",
                "",
            ),
            "/wheel/side_a/grooves/count",
        ),
        (
            order(", \"face\": {\"grooves\": {\"count\": 9000, \"width\": 0.001, \"depth\": 0.1}}", ""),
            "/wheel/face/grooves/count",
        ),
        (
            order(
                ", \"side_a\": {\"grooves\": {\"count\": 90, \"width\": 0.05, \"depth\": 0.1, \"inner_diameter\": 17, \"skew_deg\": 20}}, \
                 \"face\": {\"grooves\": {\"count\": 89, \"width\": 0.05, \"depth\": 0.2, \"helix_deg\": 20}}",
                "",
            ),
            "/wheel/face/grooves/count",
        ),
        (
            order(
                ", \"side_a\": {\"grooves\": {\"count\": 360, \"width\": 0.1, \"depth\": 0.1, \"inner_diameter\": 10, \"omit\": [3]}}",
                "",
            ),
            "/wheel/side_a/grooves/omit",
        ),
        (order(&format!(", \"side_b\": {{\"recess\": [{}]}}", steps.join(",")), ""), "/wheel/side_b/recess"),
        (order("", &vec![note; 101].join(",")), "/order/notes"),
    ];
    for (order, field) in cases {
        let told = page.post("/draw/sheet", order.as_bytes()).json();
        let problems = told["problems"].as_array().unwrap_or_else(|| panic!("{field}: {told}"));
        assert!(
            problems.iter().any(|p| p["field"] == field && p["hint"].as_str().unwrap().contains("command line")),
            "{problems:?}"
        );
    }
}

#[test]
fn answers_leave_nothing_behind() {
    let page = Page::start();
    let order = |i: u32| ORDER.replace("\"thickness\": 2,", &format!("\"thickness\": 2.{i:03},"));
    let redraw = |from: u32, to: u32| {
        (from..to).for_each(|i| assert_eq!(page.post("/draw/sheet", order(i).as_bytes()).status, 200))
    };
    redraw(0, 30);
    let Some(before) = page.memory() else { return };
    redraw(30, 150);
    let after = page.memory().unwrap();
    // one sheet's answer has 0.1 MiB: 120 kept ones would show
    assert!(after < before + 6 * 1024, "{before} KiB before, {after} KiB after");
}

#[test]
fn it_ends_when_asked_to() {
    let mut page = Page::start();
    assert_eq!(page.get("/").status, 200);
    let asked = Command::new("kill").args(["-TERM", &page.child.id().to_string()]).status().unwrap();
    assert!(asked.success());
    assert_eq!(page.child.wait().unwrap().code(), Some(0));
}

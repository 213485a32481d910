//! The targets. What may be refused is refused with words; what is accepted goes to the end.

use super::{orders, requests};
use std::sync::OnceLock;
use wheeldraft::dossier::Dossier;
use wheeldraft::export::dxf::Flavour;
use wheeldraft::json::{Located, Problems};
use wheeldraft::pack::machine::{self, MachineError, Wishes};
use wheeldraft::pack::verify::verify;
use wheeldraft::pack::{self, Approved, Options, PackError};
use wheeldraft::quantity::{LengthUnit, parse_length};
use wheeldraft::rules::ShopRules;
use wheeldraft::sheet::template::{Logo, Template};
use wheeldraft::shop::{approval, compare, inspection, stock, traveller};
use wheeldraft::solid::Solid;
use wheeldraft::wheel::Job;
use wheeldraft::{export, properties};

fn open(order: &[u8]) -> Result<Job, Problems> {
    ShopRules::built_in().open(order)
}

/// A target: its name and what it does with any bytes.
pub type Target = (&'static str, fn(&[u8]));

/// Every target, the quick ones first.
pub const TARGETS: [Target; 10] = [
    ("length", length),
    ("order", order),
    ("stock", stock_list),
    ("measured", measured),
    ("limits", limits),
    ("title_block", title_block),
    ("machine_file", machine_file),
    ("request", request),
    ("options", options),
    ("wheel", wheel),
];

/// Any text as a length: a finite number of millimetres or a refusal with words.
pub fn length(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    for unit in [LengthUnit::Inch, LengthUnit::Millimetre] {
        match parse_length(text, unit) {
            Ok(mm) => assert!(mm.is_finite(), "{text:?} is {mm} mm"),
            Err(why) => assert!(!why.message.is_empty(), "{text:?} is refused without a word"),
        }
    }
}

/// Any bytes as an order file.
pub fn order(data: &[u8]) {
    match open(data) {
        Ok(job) => numbers(&job),
        Err(problems) => told(&problems, data),
    }
}

/// Any bytes as a stock list.
pub fn stock_list(data: &[u8]) {
    let (wheels, problems) = match stock::read(data) {
        Ok(list) => (list.wheels, list.problems),
        Err(problems) => (Vec::new(), problems),
    };
    problems.iter().for_each(|p| assert!(!p.message.is_empty(), "{p:?}"));
    assert!(stock::choose(sample(), &wheels, stock::Ranking::Cost).is_ok());
}

/// Any bytes as a filled-in inspection sheet.
pub fn measured(data: &[u8]) {
    let job = sample();
    if let Ok(measured) = inspection::read(data, job, &[]) {
        let dossier = Dossier::of(job.clone(), shop()).unwrap_or_else(|e| panic!("{e}"));
        let judged = inspection::judge(&dossier, measured, None);
        inspection::verdict_rows(job, &judged);
    }
}

/// Any text as the shop's limits, operations and approval record.
pub fn limits(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    if let Err(problems) = ShopRules::read(text) {
        told(&problems, data);
    }
    if let Err(problems) = traveller::Template::read(text) {
        told(&problems, data);
    }
    let _ = approval::Record::read(text).map(|record| record.now(sample(), &ShopRules::built_in()));
}

/// Any text as a title block, and as the logo in one.
pub fn title_block(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let _ = Template::parse(text, None);
    let _ = Logo::parse(text);
}

/// Any bytes as a machine file.
pub fn machine_file(data: &[u8]) {
    let _ = export::dxf::read_back(data);
}

/// Any bytes as a request to the page.
pub fn request(data: &[u8]) {
    let Some(request) = requests::request(data) else { return };
    let (method, path) = (request.method().clone(), request.uri().to_string());
    let mut hosts = request.headers().get_all("host").iter().map(|h| h.to_str().unwrap_or_default().to_owned());
    let (host, another) = (hosts.next(), hosts.next());
    requests::answer(request).judge(&method, &path, host.filter(|_| another.is_none()).as_deref());
}

/// The bytes choose a wheel; what is accepted must go through every paper and every check of itself.
pub fn wheel(data: &[u8]) {
    let text = orders::order(data).to_string();
    match open(text.as_bytes()) {
        Ok(job) => {
            numbers(&job);
            papers(&job, text.as_bytes());
        }
        Err(problems) => told(&problems, text.as_bytes()),
    }
}

fn numbers(job: &Job) {
    let Ok(p) = properties::of(job) else { return };
    let w = &p.wheel;
    assert!(w.volume > 0.0 && w.volume <= p.plain.volume * (1.0 + 1e-9), "volume {} of {}", w.volume, p.plain.volume);
    assert!(w.groove_volume >= 0.0 && w.polar_moment > 0.0 && w.transverse_moment > 0.0);
    assert!((0.0..=job.wheel.thickness).contains(&w.centroid_z), "centroid at {}", w.centroid_z);
}

fn papers(job: &Job, text: &[u8]) {
    let options = Options {
        order: text,
        shop: shop(),
        title_block: title(),
        traveller: operations(),
        approved: Approved::Not("nobody was asked".into()),
        unapproved: true,
        altered_by: String::new(),
        groove_sample: 3,
        with: Vec::new(),
        programs: None,
    };
    match pack::build(job, &options) {
        Ok(pack) => {
            let sound = verify(&pack.files, Some(job)).unwrap_or_else(|e| panic!("{e}"));
            assert!(sound.found.is_empty(), "{:?}", sound.found);
        }
        // an edge too short for any machine is refused with words; a wheel that no paper shows is not
        Err(PackError::Machine(MachineError::Cutting(_))) => {}
        Err(why) => panic!("{why}\n{}", String::from_utf8_lossy(text)),
    }
}

/// The first bytes choose what the commands are asked for, the others the wheel they are asked it of.
pub fn options(data: &[u8]) {
    let (asked, wheel) = data.split_at(data.len().min(ASKED));
    let at = |i: usize| asked.get(i).copied().unwrap_or(0);
    let Ok(job) = open(orders::order(wheel).to_string().as_bytes()) else { return };
    let Ok(dossier) = Dossier::of(job.clone(), shop()) else { return };
    let wishes = Wishes {
        flavour: [Flavour::R12, Flavour::R12Joined, Flavour::R2000][usize::from(at(0) % 3)],
        compensate: length_of(at(1)),
        programs: !at(2).is_multiple_of(2),
        approved: at(2) % 4 > 1,
        over_run: length_of(at(3)),
        depth_per_pass: length_of(at(4)),
        allowance: length_of(at(5)),
        state: Vec::new(),
        controls: None,
    };
    match machine::files(&job, &wishes) {
        Ok(made) => {
            assert!(made.files.iter().all(|f| !f.bytes.is_empty()), "an empty file");
            machine::program_sheets(&dossier, &made.courses).unwrap_or_else(|why| panic!("{why}"));
        }
        Err(why @ (MachineError::Cutting(_) | MachineError::Objection { .. })) => assert!(!why.to_string().is_empty()),
        Err(why) => panic!("{why}\n{wishes:?}"),
    }
    beside(&job, &dossier, at(6));
}

/// How many bytes choose what is asked.
const ASKED: usize = 7;

/// A length from a hair to a metre, mm, as fine near nothing as it is wide; `None` for every fourth.
fn length_of(byte: u8) -> Option<f64> {
    (!byte.is_multiple_of(4)).then(|| 10f64.powf(f64::from(byte) / 255.0 * 7.0 - 4.0))
}

/// What else is asked of a wheel: the stock, another order beside it, its solid.
fn beside(job: &Job, dossier: &Dossier, byte: u8) {
    let ranking = if byte.is_multiple_of(2) { stock::Ranking::Cost } else { stock::Ranking::Removed };
    assert!(stock::choose(job, stock_wheels(), ranking).is_ok());
    let other = Dossier::of(sample().clone(), shop()).unwrap_or_else(|e| panic!("{e}"));
    let comparison = compare::compare(&other, dossier);
    assert!(!compare::picture(&other, dossier, &comparison).is_empty());
    if let Err(why) = Solid::of(job, &dossier.section) {
        assert!(!why.to_string().is_empty());
    }
}

fn stock_wheels() -> &'static [stock::StockWheel] {
    static STOCK: OnceLock<Vec<stock::StockWheel>> = OnceLock::new();
    STOCK.get_or_init(|| {
        stock::read(include_bytes!("../../demo-data/stock.csv")).map(|list| list.wheels).unwrap_or_default()
    })
}

fn told(problems: &[Located], data: &[u8]) {
    assert!(!problems.is_empty(), "refused without a reason");
    let lines = data.iter().filter(|&&b| b == b'\n').count() + 1;
    for p in problems {
        assert!(!p.problem.message.is_empty(), "{p:?}");
        assert!((1..=lines).contains(&p.place.line) && p.place.column >= 1, "{p:?} of {lines} lines");
    }
}

fn sample() -> &'static Job {
    static JOB: OnceLock<Job> = OnceLock::new();
    JOB.get_or_init(|| open(include_bytes!("../../demo-data/1042.json")).unwrap_or_else(|p| panic!("{p:?}")))
}

fn shop() -> &'static ShopRules {
    static SHOP: OnceLock<ShopRules> = OnceLock::new();
    SHOP.get_or_init(ShopRules::built_in)
}

fn title() -> &'static Template {
    static TITLE: OnceLock<Template> = OnceLock::new();
    TITLE.get_or_init(|| Template::plain().unwrap_or_else(|e| panic!("{e}")))
}

fn operations() -> &'static traveller::Template {
    static OPERATIONS: OnceLock<traveller::Template> = OnceLock::new();
    OPERATIONS.get_or_init(|| traveller::Template::built_in().unwrap_or_else(|p| panic!("{p:?}")))
}

//! The colour profile the archival standard asks for: grey with the white of print and a gamma of 2.2, in the layout of ICC.1:2001-04.

/// What it is called.
pub(super) const NAME: &str = "Grey, gamma 2.2";
/// The standard illuminant D50 as fixed-point numbers with 16 bits after the point (ICC.1:2001-04, 6.1.6): 0.9642, 1, 0.8249.
const D50: [u32; 3] = [0x0000_F6D6, 0x0001_0000, 0x0000_D32D];
/// 2.2 as a number with 8 bits after the point.
const GAMMA: u16 = 0x0233;
/// Bytes of the head.
const HEAD: usize = 128;

/// The profile's bytes.
pub(super) fn profile() -> Vec<u8> {
    let parts = [(*b"desc", description()), (*b"wtpt", white()), (*b"kTRC", curve()), (*b"cprt", text(b"Free to use"))];
    let mut table = (parts.len() as u32).to_be_bytes().to_vec();
    let mut body = Vec::new();
    let start = HEAD + 4 + 12 * parts.len();
    for (name, part) in parts {
        table.extend(name);
        table.extend([start + body.len(), part.len()].map(|n| (n as u32).to_be_bytes()).concat());
        body.extend(part);
        body.resize(body.len().next_multiple_of(4), 0);
    }
    let mut profile = head(start + body.len());
    profile.extend(table);
    profile.extend(body);
    profile
}

fn head(size: usize) -> Vec<u8> {
    let mut head = (size as u32).to_be_bytes().to_vec();
    head.extend([0; 4]);
    head.extend([2, 0x10, 0, 0]);
    head.extend(b"mntrGRAYXYZ ");
    // a date of its own, so that every file has the same bytes
    head.extend([2001_u16, 4, 1, 0, 0, 0].map(u16::to_be_bytes).concat());
    head.extend(b"acsp");
    head.resize(68, 0);
    head.extend(D50.map(u32::to_be_bytes).concat());
    head.resize(HEAD, 0);
    head
}

fn tag(kind: &[u8; 4]) -> Vec<u8> {
    [kind.as_slice(), &[0; 4]].concat()
}

fn text(words: &[u8]) -> Vec<u8> {
    [&tag(b"text"), words, &[0]].concat()
}

fn description() -> Vec<u8> {
    let mut part = tag(b"desc");
    part.extend((NAME.len() as u32 + 1).to_be_bytes());
    part.extend(NAME.bytes());
    // its end, no text in Unicode (8 bytes), none in the script of an old system (3 and 67)
    part.resize(part.len() + 1 + 8 + 3 + 67, 0);
    part
}

fn white() -> Vec<u8> {
    [tag(b"XYZ "), D50.map(u32::to_be_bytes).concat()].concat()
}

fn curve() -> Vec<u8> {
    [tag(b"curv"), 1_u32.to_be_bytes().to_vec(), GAMMA.to_be_bytes().to_vec()].concat()
}

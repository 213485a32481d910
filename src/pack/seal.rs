//! A file that tells by itself whether it is as it was written: a line of it holds the hash of all the rest. It finds what was edited by hand; it is no
//! signature.

use super::digest;

/// The line as it stands while the hash is taken.
pub const LINE: &str = "Seal: 000000000000";

/// What comes before the digits, whatever its capitals: some controls know no small letters.
const WORD: &[u8] = b"SEAL: ";
const DIGITS: usize = 12;
const OPEN: [u8; DIGITS] = [b'0'; DIGITS];

/// The bytes with the hash in place of the open digits; without such digits as they were.
pub fn sealed(mut bytes: Vec<u8>) -> Vec<u8> {
    let hash = hash(&bytes);
    put(&mut bytes, &OPEN, &hash);
    bytes
}

/// Whether a file is as it was when it was sealed; one that never was is not.
pub fn holds(bytes: &[u8]) -> bool {
    let is_hash = |said: &[u8; DIGITS]| {
        let mut open = bytes.to_vec();
        put(&mut open, said, &OPEN);
        *said != OPEN && hash(&open) == *said
    };
    said(bytes).iter().any(|(_, said)| is_hash(said))
}

/// Writes digits wherever others stand behind the word.
fn put(bytes: &mut [u8], instead_of: &[u8; DIGITS], digits: &[u8; DIGITS]) {
    for (at, _) in said(bytes).into_iter().filter(|(_, said)| said == instead_of) {
        bytes[at..at + DIGITS].copy_from_slice(digits);
    }
}

/// Where digits stand behind the word, and which.
fn said(bytes: &[u8]) -> Vec<(usize, [u8; DIGITS])> {
    // few bytes of a file end the word: the others are passed over quickly
    let ends = bytes.iter().enumerate().filter(|(_, byte)| **byte == b':').map(|(at, _)| at + 2);
    let found = ends.filter_map(|at| {
        let word = bytes.get(at.checked_sub(WORD.len())?..at)?;
        let digits = bytes.get(at..at + DIGITS)?.try_into().ok()?;
        word.eq_ignore_ascii_case(WORD).then_some((at, digits))
    });
    found.collect()
}

/// The first digits of a hash, in capitals.
fn hash(bytes: &[u8]) -> [u8; DIGITS] {
    let hash = digest(bytes).to_ascii_uppercase();
    std::array::from_fn(|i| hash.as_bytes()[i])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_whole_until_a_byte_of_it_changes() {
        let whole = sealed(b"G0 X1\n(SEAL: 000000000000)\nG1 X2 (Seal: 000000000000)".to_vec());
        assert!(holds(&whole));
        for i in 0..whole.len() {
            let mut edited = whole.clone();
            edited[i] ^= 1;
            assert!(!holds(&edited) || edited[i].eq_ignore_ascii_case(&whole[i]), "byte {i}");
        }
        assert!(!holds(&[whole.as_slice(), b"M30"].concat()));
    }

    #[test]
    fn what_was_never_sealed_is_not_whole() {
        assert!(!holds(b"G0 X1") && !holds(LINE.as_bytes()) && !holds(b"Seal: "));
        assert_eq!(sealed(b"Seal: of the shop, none".to_vec()), b"Seal: of the shop, none");
    }
}

//! A bare word of the file: a number, `true`, `false`, `null`, or what a person meant by it.

use crate::quantity::quoted;

/// What a bare word is.
#[derive(Debug, PartialEq)]
pub(super) enum Word {
    Null,
    Bool(bool),
    Number(f64),
    Wrong { message: String, hint: String },
}

/// Longest text repeated in a hint, characters.
const LONGEST: usize = 40;

/// The beginning of a text, for hints.
pub(super) fn clip(text: &str) -> String {
    let mut out: String = text.chars().filter(|c| !c.is_control()).take(LONGEST).collect();
    if text.chars().nth(LONGEST).is_some() {
        out.push('…');
    }
    out
}

/// Reads a word.
pub(super) fn read(raw: &str) -> Word {
    match raw {
        "null" => return Word::Null,
        "true" => return Word::Bool(true),
        "false" => return Word::Bool(false),
        _ => {}
    }
    match raw.parse::<f64>() {
        Ok(x) if x.is_finite() && is_json_number(raw) => Word::Number(x),
        Ok(x) if x.is_finite() => wrong(raw, "is not how JSON writes a number", format!("write {x}")),
        Ok(x) if x.is_nan() || !raw.bytes().any(|b| b.is_ascii_digit()) => {
            wrong(raw, "is not a finite number", "give a number".to_owned())
        }
        Ok(_) => wrong(raw, "is too large for a number", "give a smaller number".to_owned()),
        Err(_) => unquoted(raw),
    }
}

fn unquoted(raw: &str) -> Word {
    let lower = raw.to_ascii_lowercase();
    let meant = match lower.as_str() {
        "true" | "yes" | "on" => Some("true"),
        "false" | "no" | "off" => Some("false"),
        _ => None,
    };
    if let Some(meant) = meant {
        return wrong(raw, "is no JSON value", format!("write {meant}"));
    }
    if matches!(lower.as_str(), "none" | "nil" | "null" | "undefined") {
        return wrong(raw, "is no JSON value", "remove the field".to_owned());
    }
    if lower.starts_with("0x") {
        return wrong(raw, "is not how JSON writes a number", "write it with the digits 0 to 9".to_owned());
    }
    let shown = clip(raw).replace('"', " in");
    wrong(raw, "must stand in quotes", format!("write \"{shown}\""))
}

fn wrong(raw: &str, what: &str, hint: String) -> Word {
    Word::Wrong { message: format!("{} {what}", quoted(raw)), hint }
}

/// The grammar of RFC 8259, section 6.
fn is_json_number(raw: &str) -> bool {
    let raw = raw.strip_prefix('-').unwrap_or(raw);
    let (mantissa, exponent) = raw.split_once(['e', 'E']).map_or((raw, None), |(m, e)| (m, Some(e)));
    let (whole, fraction) = mantissa.split_once('.').map_or((mantissa, None), |(w, f)| (w, Some(f)));
    let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    digits(whole)
        && (whole == "0" || !whole.starts_with('0'))
        && fraction.is_none_or(digits)
        && exponent.is_none_or(|e| digits(e.strip_prefix(['+', '-']).unwrap_or(e)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_follow_the_grammar() {
        for (raw, value) in [("0", 0.0), ("-2.5", -2.5), ("1e3", 1000.0), ("1.5E-2", 0.015), ("180.0", 180.0)] {
            assert_eq!(read(raw), Word::Number(value), "{raw}");
        }
        for raw in
            [".5", "5.", "+5", "05", "-.5", "NaN", "Infinity", "-inf", "1e400", "0x10", "2-1/2 in", "26in", "1 2"]
        {
            assert!(matches!(read(raw), Word::Wrong { .. }), "{raw}");
        }
    }

    #[test]
    fn a_slip_is_answered_with_what_would_be_right() {
        for (raw, hint) in [
            (".03", "write 0.03"),
            ("5.", "write 5"),
            ("2-1/2 in", "write \"2-1/2 in\""),
            ("26\"", "write \"26 in\""),
            ("True", "write true"),
            ("NaN", "give a number"),
        ] {
            let Word::Wrong { hint: got, .. } = read(raw) else { panic!("{raw} was taken") };
            assert_eq!(got, hint, "{raw}");
        }
    }
}

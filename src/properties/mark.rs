//! The specification mark of a wheel, by the fields of ISO 525: abrasive, grit, grade, structure, bond.

use crate::quantity::quoted;

/// What the bond is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bond {
    /// V.
    Vitrified,
    /// S.
    Silicate,
    /// E.
    Shellac,
    /// R, or RF where reinforced.
    Rubber {
        /// RF.
        reinforced: bool,
    },
    /// B, or BF where reinforced.
    Resinoid {
        /// BF.
        reinforced: bool,
    },
    /// O.
    Oxychloride,
    /// Mg.
    Magnesia,
    /// P, in ISO's list also PL.
    Plastic,
}

impl Bond {
    /// Letters and bonds, the longer letters first.
    const LETTERS: [(&'static str, Bond); 11] = [
        ("RF", Bond::Rubber { reinforced: true }),
        ("BF", Bond::Resinoid { reinforced: true }),
        ("MG", Bond::Magnesia),
        ("PL", Bond::Plastic),
        ("V", Bond::Vitrified),
        ("S", Bond::Silicate),
        ("E", Bond::Shellac),
        ("R", Bond::Rubber { reinforced: false }),
        ("B", Bond::Resinoid { reinforced: false }),
        ("O", Bond::Oxychloride),
        ("P", Bond::Plastic),
    ];

    /// Whether the bond is organic: it ages, gives no clear ring, and wheels of it expire.
    pub fn is_organic(self) -> bool {
        match self {
            Bond::Shellac | Bond::Rubber { .. } | Bond::Resinoid { .. } | Bond::Plastic => true,
            Bond::Vitrified | Bond::Silicate | Bond::Oxychloride | Bond::Magnesia => false,
        }
    }
}

/// A specification mark, read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// The maker's own sign before the abrasive; mostly empty.
    pub prefix: String,
    /// A (alumina), C (silicon carbide) or Z (zirconia).
    pub abrasive: char,
    /// Grit designation.
    pub grit: u32,
    /// Grade, A soft to Z hard.
    pub grade: char,
    /// Structure, 0 dense to 99 open; `None` where it is not marked.
    pub structure: Option<u32>,
    /// Bond.
    pub bond: Bond,
    /// The maker's own sign after the bond; mostly empty.
    pub suffix: String,
}

/// Why a text is no specification mark.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct MarkError {
    /// Which field: `abrasive`, `grit`, `grade`, `structure` or `bond`.
    pub field: &'static str,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub hint: &'static str,
}

/// Finest and coarsest grit that the field takes.
const GRIT: std::ops::RangeInclusive<u32> = 8..=1200;

/// Reads marks such as `A 54 K 6 V`, `A54-K6V`, `38A60K8VX`.
///
/// # Errors
/// The first field, in reading order, that is not as the standard has it.
pub fn parse(text: &str) -> Result<Mark, MarkError> {
    let mut rest: Vec<char> = text
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '–' | '—' | '/' | '.' | '_' | '·'))
        .flat_map(char::to_uppercase)
        .collect();
    rest.reverse();
    let mut scan = Scan { rest };
    let prefix = scan.digits();
    let letters = scan.letters();
    let abrasive = match letters.as_str() {
        "A" | "C" | "Z" => letters.chars().next().unwrap_or('A'),
        _ => {
            let found = if letters.is_empty() { quoted(text) } else { quoted(&letters) };
            return Err(error(
                "abrasive",
                format!("{found} names no abrasive"),
                "begin with A (alumina), C (silicon carbide) or Z (zirconia)",
            ));
        }
    };
    let digits = scan.digits();
    let grit = digits.parse().ok().filter(|g| GRIT.contains(g)).ok_or_else(|| {
        let found = if digits.is_empty() { String::from("nothing") } else { quoted(&digits) };
        error("grit", format!("{found} is no grit"), "give a grit of 8 to 1200 after the abrasive")
    })?;
    let grade = scan.letter().ok_or_else(|| {
        error("grade", "the grade is missing".into(), "give a letter A (soft) to Z (hard) after the grit")
    })?;
    let digits = scan.digits();
    let structure = match digits.parse::<u32>() {
        Ok(n) if n <= 99 => Some(n),
        Ok(_) => {
            return Err(error(
                "structure",
                format!("{} is no structure", quoted(&digits)),
                "give 0 to 99 after the grade",
            ));
        }
        Err(_) => None,
    };
    let bond = scan.bond().ok_or_else(|| {
        error("bond", "the bond is missing or unknown".into(), "end with V, S, E, R, RF, B, BF, O, P, PL or Mg")
    })?;
    let suffix = scan.rest.iter().rev().collect();
    Ok(Mark { prefix, abrasive, grit, grade, structure, bond, suffix })
}

fn error(field: &'static str, message: String, hint: &'static str) -> MarkError {
    MarkError { field, message, hint }
}

/// What is left of a mark, the next character last.
struct Scan {
    rest: Vec<char>,
}

impl Scan {
    fn take(&mut self, wanted: impl Fn(char) -> bool) -> Option<char> {
        self.rest.pop_if(|c| wanted(*c))
    }

    fn digits(&mut self) -> String {
        std::iter::from_fn(|| self.take(|c| c.is_ascii_digit())).collect()
    }

    fn letter(&mut self) -> Option<char> {
        self.take(|c| c.is_ascii_uppercase())
    }

    fn letters(&mut self) -> String {
        std::iter::from_fn(|| self.letter()).collect()
    }

    fn bond(&mut self) -> Option<Bond> {
        let ahead: String = self.rest.iter().rev().take(2).collect();
        let (letters, bond) = Bond::LETTERS.into_iter().find(|(letters, _)| ahead.starts_with(letters))?;
        self.rest.truncate(self.rest.len() - letters.len());
        Some(bond)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_as_they_are_written() {
        for text in ["A 54 K 6 V", "A54K6V", "A-54-K-6-V", "A – 54 – K – 6 – V", "a 54 k 6 v"] {
            let mark = parse(text).unwrap();
            assert_eq!((mark.abrasive, mark.grit, mark.grade, mark.structure), ('A', 54, 'K', Some(6)), "{text}");
            assert_eq!((mark.bond, mark.prefix.as_str(), mark.suffix.as_str()), (Bond::Vitrified, "", ""));
        }
        let mark = parse("51A36L5V23").unwrap();
        assert_eq!((mark.prefix.as_str(), mark.grit, mark.structure, mark.suffix.as_str()), ("51", 36, Some(5), "23"));
        assert_eq!(parse("C 60 J V").unwrap().structure, None);
        assert_eq!(parse("A 24 R BF").unwrap().bond, Bond::Resinoid { reinforced: true });
        assert_eq!(parse("A 24 R RF").unwrap().bond, Bond::Rubber { reinforced: true });
        assert_eq!(parse("A 60 M 99 Mg").unwrap().bond, Bond::Magnesia);
        assert_eq!(parse("A 60 M O").unwrap().bond, Bond::Oxychloride);
        assert_eq!(
            (parse("A 60 M 5 P").unwrap().bond, parse("A 60 M 5 PL").unwrap().bond),
            (Bond::Plastic, Bond::Plastic)
        );
        assert_eq!(parse("Z 1200 A 0 E").unwrap().grit, 1200);
        assert_eq!(parse("A 8 Z S").unwrap().grit, 8);
    }

    #[test]
    fn the_wrong_field_is_named() {
        for (text, field) in [
            ("", "abrasive"),
            ("54 K 6 V", "abrasive"),
            ("X 54 K 6 V", "abrasive"),
            ("A K 6 V", "abrasive"),
            ("A", "grit"),
            ("A 7 K 6 V", "grit"),
            ("A 1201 K 6 V", "grit"),
            ("A 54", "grade"),
            ("A 54 K 100 V", "structure"),
            ("A 54 K 6", "bond"),
            ("A 54 K 6 Q", "bond"),
            ("A 54 V", "bond"),
        ] {
            assert_eq!(parse(text).unwrap_err().field, field, "{text}");
        }
    }
}

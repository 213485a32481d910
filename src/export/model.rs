//! What files of a solid say besides its shape, and the colours of its faces.

/// What the file says besides the geometry.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Label {
    /// Name of the product and of the file: order number and revision.
    pub name: String,
    /// Revision.
    pub revision: String,
    /// What the wheel is, in the customer's words; may be empty.
    pub description: String,
    /// Day of the order, YYYY-MM-DD; empty where it gives none.
    pub date: String,
    /// Who prepared the order; may be empty.
    pub author: String,
    /// What the file says of its state, a line each.
    pub state: Vec<String>,
    /// The program and its version.
    pub made_by: String,
    /// Volume, mm³.
    pub volume: f64,
    /// Density, kg/m³; `None` where the order gives none.
    pub density: Option<f64>,
}

/// How a face came to be, as its colour shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Colour {
    /// Altering made it.
    Cut,
    /// The blank had it.
    Uncut,
    /// The order does not tell.
    Unknown,
}

impl Colour {
    /// All, in the order of files.
    pub const ALL: [Colour; 3] = [Colour::Cut, Colour::Uncut, Colour::Unknown];

    /// Of a face.
    pub fn of(is_cut: Option<bool>) -> Colour {
        match is_cut {
            Some(true) => Colour::Cut,
            Some(false) => Colour::Uncut,
            None => Colour::Unknown,
        }
    }

    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Colour::Cut => "cut",
            Colour::Uncut => "not cut",
            Colour::Unknown => "cut or not",
        }
    }

    /// Red, green, blue from 0 to 1.
    pub fn parts(self) -> [f64; 3] {
        match self {
            Colour::Cut => [0.85, 0.62, 0.35],
            Colour::Uncut => [0.62, 0.64, 0.68],
            Colour::Unknown => [0.75, 0.75, 0.75],
        }
    }
}

//! The trade's words and units for the fields of a resolved order.

use crate::quantity::{LengthUnit, trimmed};
use crate::shop::written::{length, speed};

/// Words for a field, by its JSON pointer in the resolved order: `/wheel/side_a/recess/0/depth` gives `side A, recess step 1, depth`.
pub fn label(pointer: &str) -> String {
    let mut parts: Vec<String> = Vec::new();
    for key in pointer.split('/').filter(|k| !k.is_empty()) {
        if let Ok(index) = key.parse::<usize>() {
            let one = parts.pop().map_or("item".to_owned(), |p| if p == "recess" { "recess step".into() } else { p });
            parts.push(format!("{one} {}", index + 1));
            continue;
        }
        let word = match key {
            "wheel" | "head" | "pattern" => continue,
            "side_a" => "side A",
            "side_b" => "side B",
            "sheets" => "drawing",
            "work" => "work",
            "tolerances" => "tolerance",
            "places" => "groove places on the circle",
            "start_deg" => "direction of the first groove",
            "omit" => "places left ungrooved",
            "pitch_deg" | "groove_pitch_deg" => "groove pitch",
            "run" => "run along the radius",
            "size" => "sheet",
            "open" => "open size",
            other => {
                parts.push(other.trim_end_matches("_deg").replace('_', " "));
                continue;
            }
        };
        parts.push(word.to_owned());
    }
    parts.join(", ")
}

/// What a number of a field counts in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Millimetres.
    Length,
    /// Degrees.
    Angle,
    /// A plain number.
    Count,
    /// kg/m³, shown in g/cm³.
    Density,
    /// Kilograms.
    Mass,
    /// m/s.
    Speed,
    /// 1/min.
    Rotation,
    /// Hz.
    Frequency,
    /// Rockwell C.
    Hardness,
}

impl Kind {
    /// Of a field.
    pub fn of(pointer: &str) -> Kind {
        let last = pointer.rsplit('/').find(|k| k.parse::<usize>().is_err()).unwrap_or_default();
        match last {
            "places" | "omit" | "quantity" | "count" => Kind::Count,
            "density" => Kind::Density,
            "weight" => Kind::Mass,
            "max_operating_speed" => Kind::Speed,
            "spindle_rpm" => Kind::Rotation,
            "natural_frequencies_hz" => Kind::Frequency,
            "hardness_hrc" => Kind::Hardness,
            _ if last.ends_with("_deg") || pointer.contains("/groove_pitch_deg/") => Kind::Angle,
            _ => Kind::Length,
        }
    }

    /// A number in words, with its unit.
    pub fn show(self, value: f64, unit: LengthUnit) -> String {
        match self {
            Kind::Length => length(value, unit),
            Kind::Angle => format!("{}°", trimmed(value, 4)),
            Kind::Count => trimmed(value, 0),
            Kind::Density => format!("{} g/cm³", trimmed(value / 1000.0, 3)),
            Kind::Mass => format!("{} kg", trimmed(value, 3)),
            Kind::Speed => speed(value),
            Kind::Rotation => format!("{} 1/min", trimmed(value, 1)),
            Kind::Frequency => format!("{} Hz", trimmed(value, 1)),
            Kind::Hardness => format!("{} HRC", trimmed(value, 1)),
        }
    }

    /// A difference in words, with its sign.
    pub fn show_difference(self, value: f64, unit: LengthUnit) -> String {
        let text = self.show(value.abs(), unit);
        format!("{}{text}", if value < 0.0 { '−' } else { '+' })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_have_words_and_units() {
        assert_eq!(label("/wheel/side_a/recess/0/depth"), "side A, recess step 1, depth");
        assert_eq!(label("/wheel/side_b/grooves/pattern/start_deg"), "side B, grooves, direction of the first groove");
        assert_eq!(label("/tolerances/outside_diameter/upper"), "tolerance, outside diameter, upper");
        assert_eq!(label("/head/notes/1"), "notes 2");
        assert_eq!(Kind::of("/wheel/side_a/taper/depth").show(1.524, LengthUnit::Inch), "0.06 in");
        assert_eq!(Kind::of("/blank/density").show(2150.0, LengthUnit::Inch), "2.15 g/cm³");
        assert_eq!(Kind::of("/machine/natural_frequencies_hz/0"), Kind::Frequency);
        assert_eq!(Kind::of("/tolerances/groove_pitch_deg/upper"), Kind::Angle);
        assert_eq!(Kind::Length.show_difference(-2.54, LengthUnit::Inch), "−0.1 in");
    }
}

//! The columns a customer's list may have: where a cell goes in the order, how it is read, and what people call it.

/// How a cell is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Text as it stands.
    Text,
    /// A whole number.
    Count,
    /// A plain number: degrees, rotations.
    Number,
    /// A length with a unit of its own, of its heading or of its row.
    Length,
    /// A speed with its unit, of the cell or of the heading.
    Speed,
    /// The unit of the row.
    Unit,
}

/// One column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Its heading in the template.
    pub heading: &'static str,
    /// Where it goes, a JSON pointer of the order.
    pub field: &'static str,
    /// How it is read.
    pub kind: Kind,
    /// Other headings, small letters without signs.
    pub words: &'static [&'static str],
}

const fn column(heading: &'static str, field: &'static str, kind: Kind, words: &'static [&'static str]) -> Column {
    Column { heading, field, kind, words }
}

use Kind::{Count, Length, Number, Speed, Text, Unit};

/// All columns, in the order of the template.
pub const COLUMNS: &[Column] = &[
    column("number", "/order/number", Text, &["no", "nr", "order", "order no", "order number", "pos", "position", "line", "item no", "auftrag"]),
    column("revision", "/order/revision", Text, &["rev"]),
    column("quantity", "/order/quantity", Count, &["qty", "pcs", "pieces", "wheels", "count", "menge", "anzahl", "stuck", "quantite", "cantidad"]),
    column("customer", "/order/customer", Text, &["company", "firm", "kunde", "client", "cliente"]),
    column("contact", "/order/contact", Text, &["buyer", "asked by"]),
    column("item", "/order/item", Text, &["description", "text", "name", "designation", "bezeichnung", "descripcion"]),
    column("customer order", "/order/customer_order", Text, &["po", "po no", "purchase order", "your order", "bestellung"]),
    column("due", "/order/due", Text, &["due date", "delivery", "wanted", "needed by", "termin"]),
    column("ship to", "/order/ship_to", Text, &["delivery address", "address"]),
    column("unit", "", Unit, &["units", "uom", "einheit", "unite", "unidad"]),
    column("outside diameter", "/wheel/outside_diameter", Length, &["od", "d", "dia", "diameter", "outer diameter", "o d", "durchmesser", "aussendurchmesser", "diametre", "diametro"]),
    column("thickness", "/wheel/thickness", Length, &["t", "width", "w", "breite", "epaisseur", "espesor"]),
    column("bore", "/wheel/bore", Length, &["h", "hole", "id", "bore diameter", "arbor", "bohrung", "alesage", "agujero"]),
    column("bore chamfer", "/wheel/bore_chamfer", Length, &["chamfer of the bore"]),
    column("recess diameter a", "/wheel/side_a/recess/0/diameter", Length, &["recess diameter", "recess dia", "p", "recess dia a", "recess od"]),
    column("recess depth a", "/wheel/side_a/recess/0/depth", Length, &["recess depth", "f"]),
    column("recess fillet a", "/wheel/side_a/recess/0/fillet_radius", Length, &["recess fillet", "recess radius", "fillet radius"]),
    column("recess diameter b", "/wheel/side_b/recess/0/diameter", Length, &["recess dia b"]),
    column("recess depth b", "/wheel/side_b/recess/0/depth", Length, &["g"]),
    column("recess fillet b", "/wheel/side_b/recess/0/fillet_radius", Length, &["recess radius b"]),
    column("corner radius a", "/wheel/side_a/corner/radius", Length, &["radius a", "corner a", "ra"]),
    column("corner radius b", "/wheel/side_b/corner/radius", Length, &["radius b", "corner b", "rb"]),
    column("grooves a", "/wheel/side_a/grooves/count", Count, &["grooves", "slots", "groove count", "groove count a", "number of grooves", "nuten"]),
    column("groove width a", "/wheel/side_a/grooves/width", Length, &["groove width", "slot width"]),
    column("groove depth a", "/wheel/side_a/grooves/depth", Length, &["groove depth", "slot depth"]),
    column("groove inner diameter a", "/wheel/side_a/grooves/inner_diameter", Length, &["groove inner diameter", "grooves from"]),
    column("grooves b", "/wheel/side_b/grooves/count", Count, &["groove count b"]),
    column("groove width b", "/wheel/side_b/grooves/width", Length, &[]),
    column("groove depth b", "/wheel/side_b/grooves/depth", Length, &[]),
    column("groove inner diameter b", "/wheel/side_b/grooves/inner_diameter", Length, &[]),
    column("mark", "/blank/marking", Text, &["marking", "specification", "spec", "grade", "specification mark", "spezifikation"]),
    column("maximum operating speed", "/blank/max_operating_speed", Speed, &["max speed", "mos", "speed", "maximum speed", "max operating speed"]),
    column("spindle rpm", "/machine/spindle_rpm", Number, &["rpm", "spindle speed", "drehzahl"]),
    column("flange diameter", "/mount/flange_diameter", Length, &["flange", "flange dia"]),
    column("note", "/order/notes/0", Text, &["notes", "remark", "remarks", "comment", "comments", "bemerkung"]),
];

/// A heading in small letters, accents and signs left out, without the unit in brackets; and that unit.
pub fn plain(heading: &str) -> (String, Option<&'static str>) {
    let (name, bracket) = match heading.find(['(', '[']) {
        Some(at) => heading.split_at(at),
        None => (heading, ""),
    };
    let inside: String = bracket.chars().filter(|c| c.is_alphanumeric() || matches!(c, '/' | '"')).collect();
    let mut unit = unit(&inside);
    let small: String = name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { bare(c) } else { ' ' }).collect();
    let mut words: Vec<&str> = small.split_whitespace().collect();
    // "od in" and "thickness mm" name their unit without brackets
    if let (None, Some(last), true) = (unit, words.last().and_then(|w| self::unit(w)), words.len() > 1) {
        unit = Some(last);
        words.pop();
    }
    (words.join(" "), unit)
}

/// A letter without its accent.
fn bare(c: char) -> char {
    match c {
        'ä' | 'à' | 'á' | 'â' => 'a',
        'ö' | 'ó' | 'ô' => 'o',
        'ü' | 'ú' | 'û' => 'u',
        'é' | 'è' | 'ê' => 'e',
        'í' => 'i',
        'ñ' => 'n',
        c => c,
    }
}

/// A unit by any of its usual names.
pub fn unit(text: &str) -> Option<&'static str> {
    match text.trim().to_lowercase().trim_end_matches('.') {
        "in" | "inch" | "inches" | "\"" | "zoll" | "pouce" | "pouces" | "pulgada" | "pulgadas" => Some("in"),
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Some("mm"),
        "m/s" | "ms" => Some("m/s"),
        "ft/min" | "sfpm" | "fpm" => Some("ft/min"),
        _ => None,
    }
}

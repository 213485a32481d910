//! Starting orders, built in; a shop starts from a file of its own just as well.

/// A starting order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Template {
    /// Its name.
    pub name: &'static str,
    /// What wheel it is, in a line.
    pub about: &'static str,
    /// The order file.
    pub text: &'static str,
}

macro_rules! template {
    ($name:literal, $about:literal) => {
        Template { name: $name, about: $about, text: include_str!(concat!("../../templates/", $name, ".json")) }
    };
}

/// All of them, the plainest first.
pub const TEMPLATES: [Template; 6] = [
    template!("straight", "plain straight wheel, new bore and thickness"),
    template!("recessed-one-side", "recessed one side, with a fillet in the recess"),
    template!("recessed-both-sides-stepped", "stepped recess on one side, single recess on the other"),
    template!("tapered-corner-radii", "both sides tapered towards the rim, corner radii"),
    template!("recessed-grooved-both-sides", "recessed, coolant grooves every 2° in both sides"),
    template!("face-grooved", "grooves across the face at a helix angle"),
];

//! 3MF: the mesh in millimetres as XML in a zip, by the core specification; a base material for each colour.

use super::archive;
use super::model::{Colour, Label};
use crate::quantity::trimmed;
use crate::solid::{Face, Mesh};
use std::fmt::Write;

/// Decimals of a coordinate, mm.
const DECIMALS: usize = 7;
/// Number of the colours and of the wheel in the file.
const COLOURS: usize = 1;
const WHEEL: usize = 2;

const TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
"#;
const RELATIONS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
"#;

/// The file of a mesh with these faces.
///
/// # Errors
/// Where the zip cannot be made.
pub fn three_mf(mesh: &Mesh, faces: &[Face], label: &Label) -> Result<Vec<u8>, String> {
    let model = model(mesh, faces, label);
    archive::zipped([
        ("[Content_Types].xml", TYPES.as_bytes()),
        ("_rels/.rels", RELATIONS.as_bytes()),
        ("3D/3dmodel.model", model.as_bytes()),
    ])
}

fn model(mesh: &Mesh, faces: &[Face], label: &Label) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" xml:lang=\"en\" xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n",
    );
    let state = label.state.join("\n");
    let title = if label.description.is_empty() { label.name.clone() } else { format!("{}: {}", label.name, label.description) };
    for (name, words) in
        [("Title", title.as_str()), ("Designer", &label.author), ("Description", &state), ("CreationDate", &label.date), ("Application", &label.made_by)]
    {
        if !words.is_empty() {
            put(&mut out, format_args!("<metadata name=\"{name}\">{}</metadata>\n", escaped(words)));
        }
    }
    put(&mut out, format_args!("<resources>\n<basematerials id=\"{COLOURS}\">\n"));
    for colour in Colour::ALL {
        let [r, g, b] = colour.parts().map(|part| (part * f64::from(u8::MAX)).round() as u8);
        put(&mut out, format_args!("<base name=\"{}\" displaycolor=\"#{r:02X}{g:02X}{b:02X}\"/>\n", colour.word()));
    }
    put(
        &mut out,
        format_args!(
            "</basematerials>\n<object id=\"{WHEEL}\" type=\"model\" name=\"{}\" pid=\"{COLOURS}\" pindex=\"0\">\n<mesh>\n<vertices>\n",
            escaped(&label.name)
        ),
    );
    for p in &mesh.points {
        let [x, y, z] = [p.x, p.y, p.z].map(|v| trimmed(v, DECIMALS));
        put(&mut out, format_args!("<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>\n"));
    }
    out.push_str("</vertices>\n<triangles>\n");
    for ([a, b, c], face) in &mesh.triangles {
        let colour = Colour::of(faces[*face].is_cut) as usize;
        put(&mut out, format_args!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\" pid=\"{COLOURS}\" p1=\"{colour}\"/>\n"));
    }
    put(
        &mut out,
        format_args!("</triangles>\n</mesh>\n</object>\n</resources>\n<build>\n<item objectid=\"{WHEEL}\"/>\n</build>\n</model>\n"),
    );
    out
}

fn put(out: &mut String, words: std::fmt::Arguments) {
    // writing to a text cannot fail
    let _ = out.write_fmt(words);
}

fn escaped(words: &str) -> String {
    let clean = words.chars().filter(|c| !c.is_control() || *c == '\n').collect::<String>();
    clean.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

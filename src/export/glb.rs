//! Binary glTF 2.0: triangles by colour and feature, the solid's edges as lines, for viewers and web pages.
//!
//! Points stay millimetres in the wheel's own axes; one node makes them metres and turns side A to the viewer, angle 0 to the right.

use super::model::{Colour, Label};
use crate::solid::{Face, Mesh};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Codes of the format: its name, its version, its two chunks.
const MAGIC: &[u8] = b"glTF";
const VERSION: u32 = 2;
const JSON: &[u8] = b"JSON";
const BINARY: &[u8] = b"BIN\0";
/// Bytes that each chunk is a multiple of.
const ALIGNED: usize = 4;
/// Codes of what a buffer holds: corners, and numbers of corners.
const CORNERS: u32 = 34962;
const NUMBERS: u32 = 34963;
/// Codes of 32-bit numbers, and of lines.
const FLOAT: u32 = 5126;
const UNSIGNED: u32 = 5125;
const LINES: u32 = 1;
/// A millimetre in metres.
const MILLIMETRE: f64 = 0.001;

/// The file of a mesh with these faces. `scene` is what else its scene says, for whoever knows it.
pub fn glb(mesh: &Mesh, faces: &[Face], label: &Label, scene: &Value) -> Vec<u8> {
    let mut parts = Parts::default();
    parts.corners(mesh);
    let mut primitives = Vec::new();
    let mut materials = Vec::new();
    for colour in Colour::ALL {
        let of_colour = mesh.triangles.iter().filter(|(_, f)| Colour::of(faces[*f].is_cut) == colour);
        let mut features: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for (triangle, face) in of_colour {
            features.entry(&faces[*face].name).or_default().extend(triangle);
        }
        for (feature, numbers) in &features {
            let indices = parts.numbers(numbers);
            let extras = json!({ "feature": feature });
            primitives.push(json!({ "attributes": { "POSITION": 0 }, "indices": indices, "material": materials.len(), "extras": extras }));
        }
        if !features.is_empty() {
            materials.push(material(colour.word(), colour.parts()));
        }
    }
    let lines: Vec<usize> = mesh.edges.iter().flat_map(|e| e.windows(2).flatten().copied()).collect();
    let indices = parts.numbers(&lines);
    primitives.push(json!({ "attributes": { "POSITION": 0 }, "indices": indices, "material": materials.len(), "mode": LINES }));
    materials.push(material("edges", [0.0; 3]));
    let about = json!({ "order": label.name, "revision": label.revision, "description": label.description, "state": label.state });
    let mut scenes = json!({ "nodes": [0] });
    if !scene.is_null() {
        scenes["extras"] = scene.clone();
    }
    let document = json!({
        "asset": { "version": "2.0", "generator": label.made_by },
        "scene": 0,
        "scenes": [scenes],
        // half a turn about x
        "nodes": [{ "name": label.name, "mesh": 0, "scale": [MILLIMETRE, MILLIMETRE, MILLIMETRE], "rotation": [1.0, 0.0, 0.0, 0.0], "extras": about }],
        "meshes": [{ "name": label.name, "primitives": primitives }],
        "materials": materials,
        "accessors": parts.accessors,
        "bufferViews": parts.views,
        "buffers": [{ "byteLength": parts.bytes.len() }],
    });
    file(document.to_string().into_bytes(), parts.bytes)
}

fn material(name: &str, [r, g, b]: [f64; 3]) -> Value {
    json!({ "name": name, "pbrMetallicRoughness": { "baseColorFactor": [r, g, b, 1.0], "metallicFactor": 0.0, "roughnessFactor": 1.0 } })
}

/// The binary chunk as it grows, and what the document says of it.
#[derive(Default)]
struct Parts {
    bytes: Vec<u8>,
    views: Vec<Value>,
    accessors: Vec<Value>,
}

impl Parts {
    fn corners(&mut self, mesh: &Mesh) {
        let places: Vec<[f32; 3]> = mesh.points.iter().map(|p| [p.x as f32, p.y as f32, p.z as f32]).collect();
        let extreme = |f: fn(f32, f32) -> f32| {
            let all = places.iter().copied().reduce(|a, b| [f(a[0], b[0]), f(a[1], b[1]), f(a[2], b[2])]);
            all.unwrap_or_default()
        };
        self.part(places.iter().flatten().flat_map(|v| v.to_le_bytes()).collect(), CORNERS);
        self.accessors.push(json!({
            "bufferView": 0, "componentType": FLOAT, "count": places.len(), "type": "VEC3", "min": extreme(f32::min), "max": extreme(f32::max),
        }));
    }

    /// Adds numbers of corners; which accessor has them.
    fn numbers(&mut self, numbers: &[usize]) -> usize {
        let view = self.views.len();
        self.part(numbers.iter().flat_map(|&n| (n as u32).to_le_bytes()).collect(), NUMBERS);
        self.accessors.push(json!({ "bufferView": view, "componentType": UNSIGNED, "count": numbers.len(), "type": "SCALAR" }));
        self.accessors.len() - 1
    }

    fn part(&mut self, bytes: Vec<u8>, target: u32) {
        self.views.push(json!({ "buffer": 0, "byteOffset": self.bytes.len(), "byteLength": bytes.len(), "target": target }));
        self.bytes.extend(bytes);
    }
}

fn file(mut document: Vec<u8>, mut binary: Vec<u8>) -> Vec<u8> {
    document.resize(document.len().next_multiple_of(ALIGNED), b' ');
    binary.resize(binary.len().next_multiple_of(ALIGNED), 0);
    let mut chunks = Vec::new();
    for (kind, bytes) in [(JSON, document), (BINARY, binary)] {
        chunks.extend((bytes.len() as u32).to_le_bytes());
        chunks.extend(kind);
        chunks.extend(bytes);
    }
    let head = MAGIC.len() + 2 * size_of::<u32>();
    let mut out = MAGIC.to_vec();
    out.extend(VERSION.to_le_bytes());
    out.extend(((head + chunks.len()) as u32).to_le_bytes());
    out.extend(chunks);
    out
}

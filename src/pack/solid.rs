//! The wheel as a solid, as a file: one way for the command and for the pack.

use crate::dossier::Dossier;
use crate::export::model::Label;
use crate::export::{glb, step, stl, three_mf};
use crate::order::SolidFormat;
use crate::section::Section;
use crate::solid::{self, Mesh, Solid, SolidError};
use crate::state::version;
use crate::tolerance::SCREEN_DEVIATION;
use crate::wheel::Job;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// The wheel as a file of a format; `deviation`, mm, is how far the triangles of a mesh may lie from the true surfaces.
///
/// # Errors
/// Where a feature of the wheel cannot be made exactly.
pub fn file(dossier: &Dossier, format: SolidFormat, deviation: f64) -> Result<Vec<u8>, SolidError> {
    let solid = Solid::of(&dossier.job, &dossier.section)?;
    let label = label(dossier);
    let mesh = || Mesh::closed(&solid, deviation);
    let zip = |why: String| SolidError { feature: "the 3mf file".to_owned(), why };
    Ok(match format {
        SolidFormat::Step => step::step(&solid, &label).into_bytes(),
        SolidFormat::ThreeMf => three_mf::three_mf(&mesh()?, &solid.faces, &label).map_err(zip)?,
        SolidFormat::Stl => stl::stl(&mesh()?, &label),
        SolidFormat::Glb => glb::glb(&mesh()?, &solid.faces, &label, &Value::Null),
    })
}

/// The wheel for a screen, as glb: `scene` goes into the extras of its scene, with `fields`, the order's field by the name of each feature. Without the numbers and verdicts that a file for others states.
///
/// # Errors
/// Where a feature of the wheel cannot be made exactly.
pub fn for_screen(job: &Job, section: &Section, mut scene: Value) -> Result<Vec<u8>, SolidError> {
    let solid = Solid::of(job, section)?;
    let mesh = Mesh::of(&solid, SCREEN_DEVIATION * job.wheel.outside_diameter)?;
    let label = Label { name: job.file_stem(), revision: job.head.revision.clone(), made_by: version(), ..Label::default() };
    let names: BTreeSet<&str> = solid.faces.iter().map(|face| face.name.as_str()).collect();
    scene["fields"] = names.into_iter().map(|name| (name.to_owned(), json!(solid::field(name, section)))).collect();
    Ok(glb::glb(&mesh, &solid.faces, &label, &scene))
}

fn label(dossier: &Dossier) -> Label {
    let head = &dossier.job.head;
    Label {
        name: dossier.job.file_stem(),
        revision: head.revision.clone(),
        description: head.item.clone().unwrap_or_default(),
        date: head.date.clone().unwrap_or_default(),
        author: head.prepared_by.clone().unwrap_or_default(),
        state: dossier.state().lines(),
        made_by: version(),
        volume: dossier.numbers.wheel.volume,
        density: dossier.job.density(),
    }
}

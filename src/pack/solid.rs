//! The wheel as a solid, as a file: one way for the command and for the pack.

use crate::dossier::Dossier;
use crate::export::model::Label;
use crate::export::{glb, step, stl, three_mf};
use crate::order::SolidFormat;
use crate::solid::{Mesh, Solid, SolidError};
use crate::state::version;

/// The wheel as a file of a format; `deviation`, mm, is how far the triangles of a mesh may lie from the true surfaces.
///
/// # Errors
/// Where a feature of the wheel cannot be made exactly.
pub fn file(dossier: &Dossier, format: SolidFormat, deviation: f64) -> Result<Vec<u8>, SolidError> {
    let solid = Solid::of(&dossier.job, &dossier.section)?;
    let label = label(dossier);
    let mesh = || Mesh::of(&solid, deviation);
    let zip = |why: String| SolidError { feature: "the 3mf file".to_owned(), why };
    Ok(match format {
        SolidFormat::Step => step::step(&solid, &label).into_bytes(),
        SolidFormat::ThreeMf => three_mf::three_mf(&mesh()?, &solid.faces, &label).map_err(zip)?,
        SolidFormat::Stl => stl::stl(&mesh()?, &label),
        SolidFormat::Glb => glb::glb(&mesh()?, &solid.faces, &label),
    })
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

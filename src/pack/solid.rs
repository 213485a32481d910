//! The wheel as a solid, as a file: one way for the command and for the pack.

use crate::dossier::Dossier;
use crate::export::step;
use crate::solid::{Solid, SolidError};
use crate::state::version;

/// The wheel as a STEP file.
///
/// # Errors
/// Where a feature of the wheel cannot be made exactly.
pub fn step(dossier: &Dossier) -> Result<Vec<u8>, SolidError> {
    let solid = Solid::of(&dossier.job, &dossier.section)?;
    let head = &dossier.job.head;
    let label = step::Label {
        name: dossier.job.file_stem(),
        revision: head.revision.clone(),
        description: head.item.clone().unwrap_or_default(),
        date: head.date.clone().unwrap_or_default(),
        author: head.prepared_by.clone().unwrap_or_default(),
        state: dossier.state().lines(),
        made_by: version(),
        volume: dossier.numbers.wheel.volume,
        density: dossier.job.density(),
    };
    Ok(step::step(&solid, &label).into_bytes())
}

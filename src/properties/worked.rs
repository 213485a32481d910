//! What every room reads of one wheel, worked out once.

use super::density::{self, Density, Structures};
use super::mark::{self, Mark, MarkError};
use super::{Properties, of_section};
use crate::section::{Section, SectionError};
use crate::wheel::Job;

/// Section, density and numbers of one wheel.
#[derive(Debug, Clone, PartialEq)]
pub struct Worked {
    /// The half-section.
    pub section: Section,
    /// The blank's specification mark, read; `None` where the order gives none.
    pub mark: Option<Result<Mark, MarkError>>,
    /// The density as given, weighed or estimated from the mark.
    pub density: Option<Density>,
    /// The numbers, masses by that density.
    pub numbers: Properties,
}

impl Worked {
    /// Of an order; `structures` is what a density is estimated by.
    ///
    /// # Errors
    /// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
    pub fn of(job: &Job, structures: &Structures) -> Result<Worked, SectionError> {
        let section = Section::of(&job.wheel)?;
        let mark = job.blank.as_ref().and_then(|b| b.marking.as_deref()).map(mark::parse);
        let read = mark.as_ref().and_then(|m| m.as_ref().ok());
        let density = density::of(job, read, structures);
        let numbers = of_section(&job.wheel, &section, density.map(|d| d.value));
        Ok(Worked { section, mark, density, numbers })
    }
}

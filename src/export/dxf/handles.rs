//! Handles of a DXF file's objects (DXF reference, group code 5).

/// Handles counted upwards; each is used once in a file.
#[derive(Default)]
pub(super) struct Handles(u32);

impl Handles {
    /// The next one, in hexadecimal digits.
    pub fn next(&mut self) -> String {
        self.0 += 1;
        format!("{:X}", self.0)
    }
}

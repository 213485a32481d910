//! From the bytes of a file to an order as written.

use super::{Order, schema};
use crate::json::{self, Edit, Form, Problem, Reading};
use std::sync::LazyLock;

/// Words of the shop floor for fields of the format.
const OTHER_NAMES: [(&str, &[&str]); 12] = [
    ("outside_diameter", &["od", "diameter", "d", "outer_diameter", "dia"]),
    ("thickness", &["width", "t", "height"]),
    ("bore", &["hole", "h", "id", "inside_diameter", "inner_diameter", "bore_diameter", "arbor"]),
    ("grooves", &["slots", "groove", "slot"]),
    ("recess", &["recesses", "relief", "counterbore"]),
    ("corner", &["radius", "corner_radius", "chamfer", "corners"]),
    ("fillet_radius", &["radius", "fillet", "r"]),
    ("count", &["number", "n", "quantity"]),
    ("max_operating_speed", &["mos", "speed", "max_speed"]),
    ("marking", &["specification", "spec", "mark", "grade"]),
    ("spindle_rpm", &["rpm", "speed", "spindle_speed"]),
    ("units", &["unit"]),
];

/// An order file, as its reader knows it.
fn form() -> &'static Form {
    static FORM: LazyLock<Form> = LazyLock::new(|| Form {
        thing: "an order",
        start: "start with `wheeldraft new`",
        remarks: "remove it; remarks go into `notes` of `order`",
        open: "only lengths, counts and pitches are left open with `?`; leave this out: what a feature needs and lacks is asked",
        whole: "the order itself, beside `wheel`",
        schema: schema(),
        other_names: &OTHER_NAMES,
    });
    &FORM
}

/// Reads an order file. Quantities stay as typed; `wheel::open` reads and resolves in one step and is what most callers want.
pub fn read(bytes: &[u8]) -> Reading<Order> {
    json::read(bytes, form())
}

/// The change of an order's text that `PATH=VALUE` asks for, such as `wheel.thickness=2.5`, `wheel.side_a.grooves.width=0.06 in` or `order.due=`.
///
/// # Errors
/// Where an order has no such field, or the field takes no such value.
pub fn setting(typed: &str) -> Result<Edit, Problem> {
    json::setting(form(), typed)
}

//! Exact integrals of a contour of one's own: a slot of 20 × 8 mm with round ends, 30 mm from the axis.

#![allow(clippy::print_stdout)]

use std::error::Error;
use std::f64::consts::PI;
use wheeldraft::geometry::{Contour, Edge, Point, Turn};

fn main() -> Result<(), Box<dyn Error>> {
    print!("{}", told()?);
    Ok(())
}

/// What it prints.
pub fn told() -> Result<String, Box<dyn Error>> {
    let (a, b) = (Point::new(30.0, -4.0), Point::new(42.0, -4.0));
    let (c, d) = (Point::new(42.0, 4.0), Point::new(30.0, 4.0));
    let slot = Contour::new(vec![
        Edge::line(a, b),
        Edge::arc(b, c, Point::new(42.0, 0.0), 4.0, Turn::Left)?,
        Edge::line(c, d),
        Edge::arc(d, a, Point::new(30.0, 0.0), 4.0, Turn::Left)?,
    ])?;
    let m = slot.moments();
    let area = format!("area      {:.9} mm²  (12·8 + π·4² = {:.9})", m.area, 96.0 + PI * 16.0);
    let centroid = format!("centroid  {:.9} mm from the axis", m.x / m.area);
    let revolved =
        format!("revolved  {:.6} mm³  (Pappus: 2π·36·area = {:.6})", 2.0 * PI * m.x, 2.0 * PI * 36.0 * m.area);
    Ok(format!("{area}\n{centroid}\n{revolved}\n"))
}

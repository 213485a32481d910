//! Points (also used as vectors) and bounding boxes of the plane.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or vector of the plane.
#[derive(Debug, Clone, Copy, PartialEq, Default, serde::Serialize)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Upwards.
    pub y: f64,
}

impl Point {
    /// The origin.
    pub const ORIGIN: Point = Point { x: 0.0, y: 0.0 };

    /// The point (x, y).
    pub const fn new(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    /// The point at distance `radius` from the origin in direction `angle`, radians counter-clockwise from +x.
    pub fn polar(radius: f64, angle: f64) -> Point {
        let (sin, cos) = angle.sin_cos();
        Point::new(radius * cos, radius * sin)
    }

    /// Length as a vector.
    pub fn length(self) -> f64 {
        self.x.hypot(self.y)
    }

    /// Distance to another point.
    pub fn distance(self, other: Point) -> f64 {
        (self - other).length()
    }

    /// Scalar product.
    pub fn dot(self, other: Point) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// Cross product; positive where `other` lies to the left (counter-clockwise) of `self`.
    pub fn cross(self, other: Point) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// Direction, radians counter-clockwise from +x, in (−π, π].
    pub fn angle(self) -> f64 {
        self.y.atan2(self.x)
    }

    /// The vector turned a quarter counter-clockwise.
    pub fn left(self) -> Point {
        Point::new(-self.y, self.x)
    }

    /// The vector scaled to length 1; `None` for the zero vector.
    pub fn unit(self) -> Option<Point> {
        let length = self.length();
        (length > 0.0).then(|| self * (1.0 / length))
    }

    /// The vector turned counter-clockwise about the origin by `angle` radians.
    pub fn rotated(self, angle: f64) -> Point {
        let (sin, cos) = angle.sin_cos();
        Point::new(self.x * cos - self.y * sin, self.x * sin + self.y * cos)
    }

    /// The point a share `t` of the way to `other` (0 here, 1 there).
    pub fn lerp(self, other: Point, t: f64) -> Point {
        self + (other - self) * t
    }

    /// Whether both coordinates are finite.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl Add for Point {
    type Output = Point;
    fn add(self, other: Point) -> Point {
        Point::new(self.x + other.x, self.y + other.y)
    }
}

impl Sub for Point {
    type Output = Point;
    fn sub(self, other: Point) -> Point {
        Point::new(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Point {
    type Output = Point;
    fn mul(self, factor: f64) -> Point {
        Point::new(self.x * factor, self.y * factor)
    }
}

impl Neg for Point {
    type Output = Point;
    fn neg(self) -> Point {
        Point::new(-self.x, -self.y)
    }
}

/// The smallest upright rectangle around something.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Bounds {
    /// Lower left corner.
    pub min: Point,
    /// Upper right corner.
    pub max: Point,
}

impl Bounds {
    /// The box that holds exactly the two corners.
    pub fn of(a: Point, b: Point) -> Bounds {
        Bounds { min: Point::new(a.x.min(b.x), a.y.min(b.y)), max: Point::new(a.x.max(b.x), a.y.max(b.y)) }
    }

    /// The smallest box around both.
    pub fn union(self, other: Bounds) -> Bounds {
        Bounds {
            min: Point::new(self.min.x.min(other.min.x), self.min.y.min(other.min.y)),
            max: Point::new(self.max.x.max(other.max.x), self.max.y.max(other.max.y)),
        }
    }

    /// The box grown by `margin` on every side (shrunk where negative).
    pub fn grown(self, margin: f64) -> Bounds {
        let by = Point::new(margin, margin);
        Bounds { min: self.min - by, max: self.max + by }
    }

    /// Extent along x.
    pub fn width(self) -> f64 {
        self.max.x - self.min.x
    }

    /// Extent along y.
    pub fn height(self) -> f64 {
        self.max.y - self.min.y
    }

    /// The middle.
    pub fn centre(self) -> Point {
        self.min.lerp(self.max, 0.5)
    }

    /// Whether the boxes share more than a border.
    pub fn overlaps(self, other: Bounds) -> bool {
        self.min.x < other.max.x && other.min.x < self.max.x && self.min.y < other.max.y && other.min.y < self.max.y
    }

    /// Whether `other` lies inside, border included.
    pub fn contains(self, other: Bounds) -> bool {
        self.min.x <= other.min.x && self.min.y <= other.min.y && self.max.x >= other.max.x && self.max.y >= other.max.y
    }
}

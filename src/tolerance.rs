//! Every numerical tolerance of the program: its name, its unit, and why it has that size.
//!
//! Nothing else in the source compares with a bare small number.

/// Share of (radius + distance of the centre from the origin) by which an arc's end may be off its circle: rounding of a few additions
/// and one square root of doubles (2⁻⁵² each), with a margin of about a thousand. Dimensionless.
pub const ARC_FIT: f64 = 1e-12;

/// Lengths nearer than this are the same length, mm: a tenth of a nanometre, far below anything that can be ground, far above the rounding
/// of a 10 m coordinate (1.8e-12 mm). Used where the order's numbers meet (a fillet exactly as large as its wall).
pub const SAME_LENGTH: f64 = 1e-7;

/// Boxes on a sheet that overlap or miss by less than this abut, mm of paper: the rounding of the sums that placed them, far below any line.
pub const ABUTTING: f64 = 1e-9;

/// Angles nearer than this are the same angle, radians: 0.2 µm at ten metres; directions of up to 36 000 places are computed to 1e-15.
pub const SAME_ANGLE: f64 = 2e-11;

/// Share by which count × pitch may miss 360°: pitches are typed with at most about eight digits. Dimensionless.
pub const PITCH_FIT: f64 = 1e-8;

/// Least length an order may name that is not 0, mm: a micrometre, finer than any tool that cuts a bonded wheel.
pub const LEAST_LENGTH: f64 = 0.001;

/// Least angle an order may name that is not 0, degrees: a third of a second of arc, finer than any dividing head.
pub const LEAST_ANGLE_DEG: f64 = 0.0001;

/// Greatest length an order may name, mm: ten metres; no bonded wheel comes near it.
pub const GREATEST_LENGTH: f64 = 10_000.0;

/// Relative width to which a root is bracketed; bisection cannot do better than the rounding of doubles. Dimensionless.
pub const ROOT_WIDTH: f64 = 4e-16;

/// Relative error asked of an adaptive integral; the contract's limit is 1e-9. Dimensionless.
pub const INTEGRAL_ERROR: f64 = 1e-11;

/// How far the offset library's approximate pieces may lie off the exact carriers they are put back on, mm: ten times the distance at which
/// it takes two points for one (1e-5). The exact curve is verified afterwards to [`SAME_LENGTH`].
pub const OFFSET_MATCH: f64 = 1e-4;

/// Share by which a tension of the stress model may be off: with its usual elements most sections come out to a few thousandths. Dimensionless.
pub const STRESS_MODEL: f64 = 5e-3;

/// Share of (volume of all grooves × outside radius) below which their static moment is rounding: one groove of the most that can be told apart
/// (36 000) is 3e-5 of it, integrals and sums are exact to about 1e-11. Dimensionless.
pub const BALANCED_SHARE: f64 = 1e-9;

/// Shortest edge in a machine file, mm: controls and readers take shorter ones for flaws. A hundredth is below what a dresser holds.
pub const LEAST_PATH: f64 = 0.01;

/// How far a point read back from a machine file may lie from the model's, mm: the file's sixth decimal.
pub const WRITTEN_POINT: f64 = 1e-6;

/// Shortest piece of a nose's path, mm: ten times the file's sixth decimal, so that its two ends are never written as one place.
pub const WRITTEN_PATH: f64 = 1e-5;

/// Share by which an area read back from a machine file may differ from the model's. Dimensionless.
pub const WRITTEN_AREA: f64 = 1e-9;

/// Share by which a number that was written to a JSON file and read back may differ: a last bit or two of a double. Dimensionless.
pub const READ_BACK: f64 = 1e-15;

/// The last digit of a length that sheets print in millimetres, mm.
pub const LAST_DIGIT_MM: f64 = 0.001;

/// The last digit of a length that sheets print in inches, in.
pub const LAST_DIGIT_INCH: f64 = 0.0001;

/// The last digit of an angle that sheets print, degrees.
pub const LAST_DIGIT_DEGREES: f64 = 0.0001;

/// What a number read back from a sheet may be off beyond half of its last digit, in its own unit: the rounding of its double.
pub const SAME_PRINTED: f64 = 1e-9;

/// By how much a size measured on paper and divided by the scale may differ from the ordered one: relative, or mm and degrees where the size is
/// below 1. Far below the last digit printed, far above rounding.
pub const SAME_DRAWN: f64 = 1e-6;

/// Share by which computed speeds and shares may differ and still be the same: a few roundings of doubles. Dimensionless.
pub const SAME_SHARE: f64 = 1e-12;

/// What some hundred roundings of doubles leave of a number whose size is about 1, and far less than anything that is told apart: of a ratio that
/// should be whole, of degrees, of a share of a length. In the unit of what is compared.
pub const ROUNDED: f64 = 1e-9;

/// Places on paper nearer than this are one place, mm: the rounding of sums of paper coordinates, far below any line.
pub const SAME_PLACE: f64 = 1e-6;

/// Texts of a table whose middles differ by less stand in one row, mm: rows are some 4.5 mm apart.
pub const SAME_ROW: f64 = 1.0;

/// Directions nearer than this are one, degrees: a pitch of 360/n is rounded in its last digits, no groove is placed so finely.
pub const SAME_DIRECTION_DEG: f64 = 1e-6;

/// By how much the axes of views in projection may lie apart on paper, and their radii differ, mm: less than half a narrow line.
pub const SAME_CENTRE: f64 = 0.1;

/// Directions that differ by less are one direction, radians: tangent arcs meet their lines within about 1e-9.
pub const TANGENT: f64 = 1e-6;

/// How far an edge may reach inside a circle and still lie outside of it, as a share of its length: it is looked at in steps. Dimensionless.
pub const STEPPED: f64 = 1e-3;

/// Pieces of a radius shorter than this are left out of an integral, mm: a thousandth of [`SAME_LENGTH`].
pub const NO_PIECE: f64 = 1e-10;

/// Pieces shorter than this share of all begin with the coarsest rule of an integral, longer ones with the second. Dimensionless.
pub const SHORT_PIECE: f64 = 1e-3;

/// Least share of the circle that lands count with in the elements of stress, so that no element is without stiffness. Dimensionless.
pub const LEAST_HELD: f64 = 1e-3;

/// How far a size read off a drawing may lie from a plain number of its unit and still be that number, mm: drawings carry six decimals at least.
pub const DRAWN_EXACT: f64 = 2e-6;

/// Ends on a drawing nearer than this meet, mm, unless the person says otherwise: what draughtsmen leave open when they do not snap.
pub const DRAWN_GAP: f64 = 0.05;

/// Lines whose directions differ by less are one line, or stand square, radians: a hundredth over a length of ten.
pub const DRAWN_ANGLE: f64 = 1e-3;

/// Angles read off a drawing that are nearer to a plain number than this are it, degrees: twelve decimals of a file and its six of a length.
pub const DRAWN_DEGREES: f64 = 1e-5;

/// What a pass must take off to be one, mm: less is rounding, and the tool runs in the air.
pub const LEAST_CUT: f64 = 1e-3;

/// How far the chords by which a disc climbs the run-out of a larger one may lie off its arc, mm: half of what a pass must take off to be one.
pub const RUN_OUT_CHORD: f64 = LEAST_CUT / 2.0;

/// Places and angles read from a program nearer than this are the same, mm or degrees: the last decimal of an angle.
pub const SAME_WORD: f64 = 1e-6;

/// How far a spline of a solid may lie off the surfaces that meet in it, mm: a hundredth of what is promised (1e-4).
pub const SOLID_FIT: f64 = 1e-6;

/// Sine of the angle between two surfaces below which they touch rather than cross: their common direction then has half of its digits. Dimensionless.
pub const SURFACES_TOUCH: f64 = 1e-5;

/// Share by which a solid's volume may differ from that of the numbers: one groove of the finest pattern in use is ten times as much, the check's own
/// integrals are exact to about 1e-7. Dimensionless.
pub const SOLID_VOLUME: f64 = 2e-6;

/// How far the triangles of a mesh may lie from the true surfaces where nothing else is asked, mm: the tolerance of finely turned sizes.
pub const MESH_DEVIATION: f64 = 0.02;

/// How far the triangles of a wheel on the screen may lie from the true surfaces, as a share of its diameter: half a dot where the wheel fills a
/// screen of 1,500 dots. Dimensionless.
pub const SCREEN_DEVIATION: f64 = 1.0 / 3000.0;

/// The least and the most that may be asked for, mm: below, a wheel of a metre has millions of triangles; above, it is no picture of itself.
pub const MESH_DEVIATIONS: std::ops::RangeInclusive<f64> = 0.001..=5.0;

/// Stone left behind a tool that is worth a word, mm: less prints as nothing.
pub const LEAST_LEFT: f64 = 5e-5;

/// By how much a stock wheel's size may miss what is ordered and still be asked about, mm and as a share of it: a size of the other unit, such as 24 in
/// for 610 mm, is that near.
pub const NEAR_MISS: f64 = 1.0;
/// See [`NEAR_MISS`]. Dimensionless.
pub const NEAR_MISS_SHARE: f64 = 0.01;

/// A direction in which measured points hold a fit with less than this share of their strongest hold stays as it began: a plane does not show where its
/// radius begins, and a tilt of a minute of arc must not seem to. Dimensionless.
pub const FIT_HOLD: f64 = 1e-3;

/// A step of a least-squares fit below this is none, mm: far below what any machine measures.
pub const FIT_STEP: f64 = 1e-10;

/// Points of a mesh nearer than this are one, mm: 32-bit numbers of the largest wheels are as coarse, and readers that join points join these.
pub const ONE_POINT: f64 = 1e-4;

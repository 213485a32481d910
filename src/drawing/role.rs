//! What a line means, and how wide it is drawn (ISO 128-2 line groups).

/// What a line means. The number is the line type of ISO 128-2 where it has one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LineRole {
    /// 01.2 continuous wide: visible edges.
    Visible,
    /// 01.1 continuous narrow: edges drawn narrow, such as repeated grooves and imaginary intersections.
    Fine,
    /// 01.1 continuous narrow: dimension, extension and leader lines, arrowheads.
    Dimension,
    /// 01.1 continuous narrow: hatching.
    Hatching,
    /// 02.1 dashed narrow: hidden edges.
    Hidden,
    /// 04.1 long-dashed dotted narrow: axes, lines of symmetry, pitch circles.
    Axis,
    /// 04.2 long-dashed dotted wide: position of a cutting plane.
    CuttingPlane,
    /// 05.1 long-dashed double-dotted narrow: the blank before altering.
    Blank,
    /// The frame of the sheet, 0.7 mm.
    Frame,
    /// Wide rule of a table or title block.
    TableWide,
    /// Narrow rule of a table or title block.
    TableNarrow,
    /// A curve of a plot, wide.
    Curve,
    /// A path a machine follows; drawn only in machine files, where the layer of its group names the operation.
    Path,
    /// Geometry for reference in a machine file, on a layer of its own.
    Reference,
}

/// How a line is broken up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DashStyle {
    /// Unbroken.
    Continuous,
    /// Dashes.
    Dashed,
    /// Long dash, dot.
    LongDashDot,
    /// Long dash, dot, dot.
    LongDashDoubleDot,
}

impl LineRole {
    /// Whether the line is of the wide sort.
    pub fn is_wide(self) -> bool {
        matches!(
            self,
            LineRole::Visible | LineRole::CuttingPlane | LineRole::TableWide | LineRole::Curve | LineRole::Path
        )
    }

    /// How it is broken up.
    pub fn dash_style(self) -> DashStyle {
        match self {
            LineRole::Hidden => DashStyle::Dashed,
            LineRole::Axis | LineRole::CuttingPlane => DashStyle::LongDashDot,
            LineRole::Blank => DashStyle::LongDashDoubleDot,
            _ => DashStyle::Continuous,
        }
    }
}

/// Line group of ISO 128-2: the widths used on one sheet, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Wide lines.
    pub wide: f64,
    /// Narrow lines.
    pub narrow: f64,
    /// The frame.
    pub frame: f64,
}

impl Pen {
    /// Group 0.5, for A4 to A2 and A to C.
    pub const GROUP_05: Pen = Pen { wide: 0.5, narrow: 0.25, frame: 0.7 };

    /// Width of a line of this role, mm.
    pub fn width(&self, role: LineRole) -> f64 {
        match role {
            LineRole::Frame => self.frame,
            wide if wide.is_wide() => self.wide,
            _ => self.narrow,
        }
    }

    /// Whether lines of this role are broken.
    pub fn is_broken(&self, role: LineRole) -> bool {
        role.dash_style() != DashStyle::Continuous
    }

    /// Lengths of line, gap, line, gap … of this role, mm (ISO 128-2: dash 12 d, gap 3 d, long dash 24 d, dot 0.5 d); empty where unbroken.
    pub fn dashes(&self, role: LineRole) -> Vec<f64> {
        let d = self.width(role);
        let in_widths: &[f64] = match role.dash_style() {
            DashStyle::Continuous => &[],
            DashStyle::Dashed => &[12.0, 3.0],
            DashStyle::LongDashDot => &[24.0, 3.0, 0.5, 3.0],
            DashStyle::LongDashDoubleDot => &[24.0, 3.0, 0.5, 3.0, 0.5, 3.0],
        };
        in_widths.iter().map(|n| n * d).collect()
    }
}

/// Weight of lettering.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Lettering {
    /// Ordinary.
    Plain,
    /// Bold: titles, cautions.
    Bold,
}

//! Columns of text for a terminal.

/// Rows of cells as aligned lines: the first column to the left, the others to the right, two blanks between. Empty cells keep their place.
pub fn aligned(rows: &[Vec<String>]) -> String {
    aligned_after(rows, |column| column == 0)
}

/// As [`aligned`], with the columns to the left of which `is_left` says so.
pub fn aligned_after(rows: &[Vec<String>], is_left: impl Fn(usize) -> bool) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| rows.iter().filter_map(|r| r.get(c)).map(|s| s.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut out = String::new();
    for row in rows {
        let mut line = String::new();
        for (c, cell) in row.iter().enumerate() {
            let gap = " ".repeat(widths[c] - cell.chars().count());
            let between = if c == 0 { "" } else { "  " };
            line.push_str(&if is_left(c) { format!("{between}{cell}{gap}") } else { format!("{between}{gap}{cell}") });
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

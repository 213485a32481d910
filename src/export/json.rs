//! Papers for programs: JSON with whole numbers, not rounded ones, in the units the rows name.

use crate::geometry::Edge;
use crate::report::{Content, Contours, Paper, Plot, Row, Table, Value};
use serde_json::{Value as Json, json};

/// `{"title", "parts": [{"title", "rows" | "columns" and "lines" | "series" and "marks" | "levels" and "greatest" | "notes"}]}`.
pub fn paper(paper: &Paper) -> Json {
    let parts: Vec<Json> = paper
        .parts
        .iter()
        .map(|part| {
            let mut object = match &part.content {
                Content::Rows(content) => json!({ "rows": rows(content) }),
                Content::Table(content) => table(content),
                Content::Plot(content) => plot(content),
                Content::Contours(content) => contours(content),
                Content::Notes(content) => json!({ "notes": content }),
            };
            object["title"] = json!(part.title);
            object
        })
        .collect();
    json!({ "title": paper.title, "parts": parts })
}

fn rows(rows: &[Row]) -> Json {
    let row = |row: &Row| json!({ "label": row.label, "symbol": row.symbol, "value": value(&row.value), "unit": row.unit, "source": row.source });
    rows.iter().map(row).collect()
}

/// `{"columns": [{"label", "unit"}], "lines": [[value, …]], "source"}`.
pub fn table(table: &Table) -> Json {
    let columns: Vec<Json> = table.columns.iter().map(|c| json!({ "label": c.label, "unit": c.unit })).collect();
    let lines: Vec<Vec<Json>> = table.lines.iter().map(|line| line.iter().map(value).collect()).collect();
    json!({ "columns": columns, "lines": lines, "source": table.source })
}

/// `{"x", "y": {"label", "unit"}, "series": [{"label", "points": [[x, y]]}], "marks": [{"label", "on_y", "at"}], "source"}`.
fn plot(plot: &Plot) -> Json {
    let axis = |axis: &crate::report::Axis| json!({ "label": axis.label, "unit": axis.unit });
    let series: Vec<Json> = plot.series.iter().map(|s| json!({ "label": s.label, "points": s.points })).collect();
    let marks: Vec<Json> = plot.marks.iter().map(|m| json!({ "label": m.label, "on_y": m.on_y, "at": m.at })).collect();
    json!({ "x": axis(&plot.x), "y": axis(&plot.y), "series": series, "marks": marks, "source": plot.source })
}

/// Chords of an arc of an outline.
const CHORDS: usize = 12;

/// `{"outline": [[r, z], …], "unit", "greatest": {"at": [r, z], "value"}, "levels": [{"value", "wide", "lines": [[[r, z], [r, z]], …]}], "legend", "source"}`, lengths in mm.
fn contours(contours: &Contours) -> Json {
    let pair = |p: crate::geometry::Point| json!([p.x, p.y]);
    let level = |(i, (value, lines)): (usize, &(f64, Vec<_>))| {
        let lines: Vec<Json> = lines.iter().map(|&(from, to)| json!([pair(from), pair(to)])).collect();
        json!({ "value": value, "wide": i % contours.stands_out.max(1) == 0, "lines": lines })
    };
    let levels: Vec<Json> = contours.levels.iter().enumerate().map(level).collect();
    let greatest = json!({ "at": pair(contours.greatest.0), "value": contours.greatest.1 });
    let corners = contours.outline.edges().iter().flat_map(|edge| {
        let pieces = if matches!(edge, Edge::Arc(_)) { CHORDS } else { 1 };
        (0..pieces).map(move |i| pair(edge.at(i as f64 / pieces as f64)))
    });
    let outline: Vec<Json> = corners.collect();
    json!({ "outline": outline, "unit": contours.unit, "greatest": greatest, "levels": levels, "legend": contours.legend, "source": contours.source })
}

/// A number that is not finite is not known.
fn value(value: &Value) -> Json {
    match value {
        Value::Number { value, .. } => json!(value),
        Value::Text(text) => json!(text),
        Value::Unknown => Json::Null,
    }
}

//! Machine files: the paths a machine follows, on layers named by operation.

use super::entities::File;
use super::{DxfError, Flavour};
use crate::drawing::{Drawing, Item};
use crate::geometry::Edge;
use std::collections::BTreeMap;

/// Numbered colours of the layers, in turn: red, green, blue, magenta, cyan, yellow.
const COLOURS: [u8; 6] = [1, 3, 5, 6, 4, 2];

/// The drawing as a machine file. Each item lies on the layer of the nearest group that names one; circles stay what they are, contours become what
/// the flavour has for them, and so do lines and arcs of one layer that follow each other end to start. The unit is the millimetre, in the header where the release knows units and in a comment.
///
/// # Errors
/// Where nothing is drawn, an item has no layer or one of an unusual name, or lettering, hatching or anything not finite is among the paths.
pub fn machine(drawing: &Drawing, flavour: Flavour) -> Result<Vec<u8>, DxfError> {
    let mut paths = Vec::new();
    collect(&drawing.items, "", &mut paths)?;
    let bounds = paths.iter().filter_map(|(_, item)| item.bounds()).reduce(|a, b| a.union(b)).ok_or(DxfError::Empty)?;
    if !paths.iter().all(|(_, item)| is_finite(item)) {
        return Err(DxfError::Refused(String::from("a coordinate is no finite number")));
    }
    let mut file = File::new(flavour);
    file.set_extents(bounds);
    let mut declared: Vec<&str> = Vec::new();
    for &(layer, _) in &paths {
        if !declared.contains(&layer) {
            file.add_layer(layer, COLOURS[declared.len() % COLOURS.len()], "CONTINUOUS");
            declared.push(layer);
        }
    }
    let mut chain: Vec<Edge> = Vec::new();
    let mut chained = "";
    for (layer, item) in paths {
        let edge = path_edge(item);
        let goes_on = edge.is_some_and(|e| layer == chained && chain.last().is_some_and(|l| l.end() == e.start()));
        if !goes_on {
            file.add_chain(chained, &std::mem::take(&mut chain));
        }
        chained = layer;
        match (edge, item) {
            (Some(edge), _) => chain.push(edge),
            (None, Item::Circle { centre, radius, .. }) => file.add_circle(layer, *centre, *radius),
            (None, Item::Contour { contour, .. }) => file.add_contour(layer, contour.edges()),
            // `collect` lets nothing else through
            (None, _) => {}
        }
    }
    file.add_chain(chained, &chain);
    file.finish(comments(drawing), BTreeMap::new())
}

/// The edge of a line or an arc.
fn path_edge(item: &Item) -> Option<Edge> {
    match item {
        Item::Line { from, to, .. } => Some(Edge::line(*from, *to)),
        Item::Arc { arc, .. } => Some(Edge::Arc(*arc)),
        _ => None,
    }
}

/// The paths in order, each with its layer.
fn collect<'a>(items: &'a [Item], layer: &'a str, paths: &mut Vec<(&'a str, &'a Item)>) -> Result<(), DxfError> {
    for item in items {
        let refused = |what| Err(DxfError::NotForMachines { what, layer: layer.to_owned() });
        match item {
            Item::Group(group) => {
                let layer = if group.layer.is_empty() { layer } else { checked(&group.layer)? };
                collect(&group.items, layer, paths)?;
                continue;
            }
            Item::Text(_) => return refused("lettering"),
            Item::Hatch { .. } => return refused("hatching"),
            Item::Area { .. } => return refused("a filled area"),
            Item::Line { .. } | Item::Arc { .. } | Item::Circle { .. } | Item::Contour { .. } => {}
        }
        if layer.is_empty() {
            return Err(DxfError::NoLayer("path"));
        }
        paths.push((layer, item));
    }
    Ok(())
}

/// Whether all its numbers are finite; arcs cannot be made otherwise.
fn is_finite(item: &Item) -> bool {
    match item {
        Item::Line { from, to, .. } => from.is_finite() && to.is_finite(),
        Item::Circle { centre, radius, .. } => centre.is_finite() && radius.is_finite(),
        Item::Contour { contour, .. } => contour.edges().iter().all(|e| e.start().is_finite() && e.end().is_finite()),
        Item::Arc { .. } | Item::Area { .. } | Item::Hatch { .. } | Item::Text(_) | Item::Group(_) => true,
    }
}

/// A layer name that release 12 allows.
fn checked(name: &str) -> Result<&str, DxfError> {
    let allowed = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit() || matches!(c, '-' | '_');
    let fits = (1..=31).contains(&name.len()) && name.chars().all(allowed);
    if fits { Ok(name) } else { Err(DxfError::LayerName(name.to_owned())) }
}

/// What the file is, for a person who opens it in an editor; as lines of ASCII, since old machines know nothing else.
fn comments(drawing: &Drawing) -> Vec<String> {
    let ascii = |c: char| if c.is_ascii() { c } else { '?' };
    told(drawing).iter().map(|line| line.chars().map(ascii).collect()).collect()
}

/// What the file is, line by line.
pub(super) fn told(drawing: &Drawing) -> Vec<String> {
    let mut comments = vec![String::from("Unit: millimetre. Scale 1:1.")];
    comments.push(drawing.title.clone());
    comments.push(drawing.description.clone());
    if !drawing.about.date.is_empty() {
        comments.push(format!("Date: {}", drawing.about.date));
    }
    let print = &drawing.about.fingerprint;
    if !print.is_empty() && !drawing.about.state.iter().any(|line| line.contains(print)) {
        comments.push(format!("Fingerprint: {print}"));
    }
    comments.extend(drawing.about.state.iter().cloned());
    comments.retain(|comment| !comment.is_empty());
    comments.iter().flat_map(|comment| comment.lines()).flat_map(pieces).collect()
}

/// Lines of at most 200 characters, a question mark for each that is not printed.
fn pieces(text: &str) -> Vec<String> {
    const LONGEST: usize = 200;
    let printed: Vec<char> = text.chars().map(|c| if c.is_control() { '?' } else { c }).collect();
    printed.chunks(LONGEST).map(|chunk| chunk.iter().collect()).collect()
}

//! A plot as a block: axes with round ticks, curves, limits across, and a key that tells the curves apart by their width.

use crate::drawing::{Anchor, Item, Lettering, LineRole, Text, measure};
use crate::geometry::{Bounds, Point};
use crate::report::{Plot, Value};
use crate::sheet::block::{Block, PAD, Paragraph};
use crate::sheet::tables::SMALL;
use crate::sheet::view::Style;
use crate::tolerance::ROUNDED;

/// Height of the field of the curves, mm.
const FIELD: f64 = 58.0;
/// Length of a tick, mm.
const TICK: f64 = 1.2;
/// Clear distance between ticks and their numbers, mm.
const CLEAR: f64 = 1.2;
/// Length of a line in the key, mm.
const SAMPLE: f64 = 9.0;
/// Most ticks on an axis.
const MOST_TICKS: f64 = 8.0;
/// What tells the curves apart: the first is wide, the second narrow, the third a chain line.
const ROLES: [LineRole; 3] = [LineRole::Curve, LineRole::Fine, LineRole::Axis];

/// Round numbers along an axis.
struct Scale {
    low: f64,
    high: f64,
    step: f64,
    decimals: usize,
}

impl Scale {
    /// Round steps of 1, 2 or 5 that hold all values.
    fn of(values: impl Iterator<Item = f64> + Clone, from_zero: bool) -> Scale {
        let low = values.clone().fold(f64::INFINITY, f64::min);
        let high = values.fold(f64::NEG_INFINITY, f64::max);
        let (low, high) = if low.is_finite() && high.is_finite() { (low, high) } else { (0.0, 1.0) };
        let low = if from_zero { low.min(0.0) } else { low };
        let span = if high > low { high - low } else { high.abs().max(1.0) };
        let raw = span / MOST_TICKS;
        let power = 10.0_f64.powf(raw.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|k| k * power).find(|s| *s >= raw * (1.0 - ROUNDED));
        let step = step.unwrap_or(10.0 * power);
        let decimals = (-step.log10().floor()).max(0.0) as usize;
        // rounding must not add a step to an end that lies on one
        let slack = ROUNDED * step;
        let low = ((low + slack) / step).floor() * step;
        let high = (((high - slack) / step).ceil() * step).max(low + step);
        Scale { low, high, step, decimals }
    }

    fn ticks(&self) -> impl Iterator<Item = f64> + '_ {
        let count = ((self.high - self.low) / self.step).round() as usize;
        (0..=count).map(|i| self.low + self.step * i as f64)
    }

    fn share(&self, value: f64) -> f64 {
        (value - self.low) / (self.high - self.low)
    }

    fn text(&self, value: f64, style: &Style) -> String {
        style.value(&Value::number(value, self.decimals))
    }
}

/// The plot in a block of this width, mm.
pub fn block(id: &str, title: &str, plot: &Plot, style: &Style, width: f64) -> Block {
    let points = || plot.series.iter().flat_map(|s| s.points.iter());
    let crossing = |on_y: bool| plot.marks.iter().filter(move |m| m.on_y == on_y).map(|m| m.at);
    let x = Scale::of(points().map(|p| p.0).chain(crossing(false)), false);
    let y = Scale::of(points().map(|p| p.1).chain(crossing(true)), true);
    let y_labels = y.ticks().map(|v| measure::width(&y.text(v, style), SMALL, Lettering::Plain)).fold(0.0, f64::max);
    let x_last = measure::width(&x.text(x.high, style), SMALL, Lettering::Plain);
    let left = y_labels + TICK + CLEAR + 0.5;
    let field_width = width - left - x_last / 2.0 - 0.5;
    let source = Paragraph::wrapped(&format!("Source: {}", plot.source), SMALL, Lettering::Plain, width);
    let heading = Paragraph::wrapped(title, SMALL, Lettering::Bold, width);
    let key_height = SMALL * 2.2;
    let below = TICK + CLEAR + SMALL + 2.5 + SMALL + 2.5 + source.height;
    let height = heading.height + 2.0 + key_height + SMALL + 2.5 + FIELD + below + 2.0 * PAD;
    let mut block = Block::new(&format!("plot-{id}"), width, height);
    block.group.title = format!("{title}: {} over {}", plot.y.label, plot.x.label);
    heading.put(&mut block, 0.0, height - PAD, Anchor::Start);
    let field = Bounds::of(Point::new(left, PAD + below), Point::new(left + field_width, PAD + below + FIELD));
    let axes = Axes { field, x, y, style };
    axes.key(&mut block, plot, height - PAD - heading.height - 2.0 - SMALL);
    axes.frame(&mut block);
    axes.label(&mut block, plot);
    axes.curves(&mut block, plot);
    source.put(&mut block, 0.0, PAD + source.height, Anchor::Start);
    block
}

struct Axes<'a> {
    field: Bounds,
    x: Scale,
    y: Scale,
    style: &'a Style,
}

impl Axes<'_> {
    fn at(&self, x: f64, y: f64) -> Point {
        let f = self.field;
        Point::new(f.min.x + f.width() * self.x.share(x), f.min.y + f.height() * self.y.share(y))
    }

    fn frame(&self, block: &mut Block) {
        let f = self.field;
        block.frame(f, LineRole::TableNarrow);
        for v in self.x.ticks() {
            let foot = self.at(v, self.y.low);
            block.line(foot, foot - Point::new(0.0, TICK), LineRole::TableNarrow);
            let at = Point::new(foot.x, foot.y - TICK - CLEAR - SMALL);
            block.text(Text::new(self.x.text(v, self.style), at, SMALL).centred());
        }
        for v in self.y.ticks() {
            let foot = self.at(self.x.low, v);
            block.line(foot - Point::new(TICK, 0.0), foot, LineRole::TableNarrow);
            let at = Point::new(foot.x - TICK - CLEAR, foot.y - SMALL / 2.0);
            block.text(Text::new(self.y.text(v, self.style), at, SMALL).ended());
        }
    }

    /// Names of the axes: that of y above its end, that of x below its middle.
    fn label(&self, block: &mut Block, plot: &Plot) {
        let named = |a: &crate::report::Axis| format!("{} [{}]", a.label, a.unit);
        let f = self.field;
        let above = Point::new(f.min.x, f.max.y + SMALL / 2.0 + 2.0);
        block.text(Text::new(named(&plot.y), above, SMALL));
        let below = Point::new(f.centre().x, f.min.y - TICK - CLEAR - SMALL - 2.5 - SMALL);
        block.text(Text::new(named(&plot.x), below, SMALL).centred());
    }

    /// A sample of each line with what it shows; entries that no longer fit are left to the text.
    fn key(&self, block: &mut Block, plot: &Plot, baseline: f64) {
        let curves = plot.series.iter().enumerate().map(|(i, s)| (s.label.clone(), ROLES[i % ROLES.len()]));
        let marks = plot.marks.iter().map(|m| (self.mark_name(plot, m), LineRole::Axis));
        let mut x = self.field.min.x;
        for (label, role) in curves.chain(marks) {
            let needs = SAMPLE + 1.5 + measure::width(&label, SMALL, Lettering::Plain);
            if x + needs > block.width {
                break;
            }
            let y = baseline + SMALL / 2.0;
            block.line(Point::new(x, y), Point::new(x + SAMPLE, y), role);
            block.text(Text::new(label, Point::new(x + SAMPLE + 1.5, baseline), SMALL));
            x += needs + 5.0;
        }
    }

    fn mark_name(&self, plot: &Plot, mark: &crate::report::Mark) -> String {
        let unit = if mark.on_y { &plot.y.unit } else { &plot.x.unit };
        format!("{} {} {unit}", mark.label, self.style.value(&Value::number(mark.at, 2)))
    }

    fn curves(&self, block: &mut Block, plot: &Plot) {
        let f = self.field;
        for mark in &plot.marks {
            let (from, to) = match mark.on_y {
                true => (self.at(self.x.low, mark.at), self.at(self.x.high, mark.at)),
                false => (self.at(mark.at, self.y.low), self.at(mark.at, self.y.high)),
            };
            block.line(from, to, LineRole::Axis);
        }
        for (i, series) in plot.series.iter().enumerate() {
            let mut group = crate::drawing::Group::new(format!("curve-{}-{}", block.group.id, i + 1));
            group.title = series.label.clone();
            for pair in series.points.windows(2) {
                let [from, to] = [pair[0], pair[1]].map(|(x, y)| self.at(x, y));
                let inside = |p: Point| f.grown(0.01).contains(Bounds::of(p, p));
                if from != to && inside(from) && inside(to) {
                    group.items.push(Item::Line { from, to, role: ROLES[i % ROLES.len()] });
                }
            }
            block.group.items.push(Item::Group(group));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_hold_all_values() {
        for (low, high) in
            [(0.0, 4.43), (101.6, 330.2), (0.0, 0.0031), (-2.0, 7.0), (5.0, 5.0), (0.0, 1e6), (18.0, 26.0)]
        {
            let s = Scale::of([low, high].into_iter(), false);
            assert!(s.low <= low + 1e-9 && s.high >= high - 1e-9, "{low} to {high}");
            let ticks: Vec<f64> = s.ticks().collect();
            assert!((2..=12).contains(&ticks.len()), "{low} to {high}: {ticks:?}");
            let lead = s.step / 10.0_f64.powf(s.step.log10().floor());
            assert!([1.0, 2.0, 5.0, 10.0].iter().any(|k| (lead - k).abs() < 1e-6), "{lead}");
        }
        let s = Scale::of([18.0, 26.0].into_iter(), false);
        assert_eq!((s.low, s.high, s.step), (18.0, 26.0, 1.0));
    }
}

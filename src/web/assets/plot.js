// A plot of one quantity over another, with a line at the place that a slider stands at.
import { shape } from './markup.js';

const WIDTH = 480;
const HEIGHT = 230;
const EDGE = { left: 56, right: 12, top: 12, bottom: 40 };
/** About so many lines of the grid. */
const LINES = 5;

/** Round steps: 1, 2 or 5 times a power of ten. */
function ticks(from, to) {
  const rough = (to - from) / LINES || 1;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((n) => n * power).find((s) => s >= rough * 0.999);
  const found = [];
  for (let n = Math.ceil(from / step - 1e-9); n * step <= to + step * 1e-9; n += 1) found.push(Number((n * step).toPrecision(12)));
  return found;
}

const span = (values) => {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const room = (high - low || Math.abs(high) || 1) * 0.05;
  return [low - room, high + room];
};

/**
 * The plot as an SVG element. `series` are lists of [x, y] (y null: a gap), `dots` single points [x, y] worth marking, `cursor` an x.
 * The numbers stand beside it as text; the picture is only a picture.
 */
export function plot({ x, y, series, dots = [], cursor, name }) {
  const known = series.flat().filter(([, v]) => v !== null && v !== undefined);
  const svg = shape('svg', { class: 'plot', viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: 'img', 'aria-label': name });
  if (known.length === 0) return svg;
  const [left, right] = span(known.map(([v]) => v));
  const [low, high] = span(known.map(([, v]) => v));
  const at = {
    x: (v) => EDGE.left + ((v - left) / (right - left)) * (WIDTH - EDGE.left - EDGE.right),
    y: (v) => HEIGHT - EDGE.bottom - ((v - low) / (high - low)) * (HEIGHT - EDGE.top - EDGE.bottom),
  };
  svg.append(...grid(at, [left, right], [low, high]), ...names(x, y));
  for (const points of series) svg.append(shape('path', { class: 'curve', d: curve(points, at) }));
  for (const [a, b] of dots) svg.append(shape('circle', { class: 'dot', cx: at.x(a), cy: at.y(b), r: 2.5 }));
  if (cursor !== undefined) {
    const across = at.x(cursor);
    svg.append(shape('path', { class: 'cursor', d: `M${across} ${EDGE.top}V${HEIGHT - EDGE.bottom}` }));
    const here = known.find(([v]) => v === cursor);
    if (here) svg.append(shape('circle', { class: 'here', cx: across, cy: at.y(here[1]), r: 4.5 }));
  }
  return svg;
}

function curve(points, at) {
  let pen = 'M';
  let path = '';
  for (const [a, b] of points) {
    if (b === null || b === undefined) {
      pen = 'M';
      continue;
    }
    path += `${pen}${at.x(a).toFixed(2)} ${at.y(b).toFixed(2)}`;
    pen = 'L';
  }
  return path;
}

function grid(at, [left, right], [low, high]) {
  const foot = HEIGHT - EDGE.bottom;
  const lines = [];
  for (const v of ticks(left, right)) {
    lines.push(shape('path', { class: 'grid', d: `M${at.x(v)} ${EDGE.top}V${foot}` }));
    lines.push(shape('text', { class: 'tick', x: at.x(v), y: foot + 15, 'text-anchor': 'middle' }, String(v)));
  }
  for (const v of ticks(low, high)) {
    lines.push(shape('path', { class: 'grid', d: `M${EDGE.left} ${at.y(v)}H${WIDTH - EDGE.right}` }));
    lines.push(shape('text', { class: 'tick', x: EDGE.left - 6, y: at.y(v) + 4, 'text-anchor': 'end' }, String(v)));
  }
  return lines;
}

function names(x, y) {
  const across = { class: 'axis', x: (EDGE.left + WIDTH - EDGE.right) / 2, y: HEIGHT - 6, 'text-anchor': 'middle' };
  const middle = (EDGE.top + HEIGHT - EDGE.bottom) / 2;
  const up = { class: 'axis', transform: `translate(12 ${middle}) rotate(-90)`, 'text-anchor': 'middle' };
  return [shape('text', across, x), shape('text', up, y)];
}

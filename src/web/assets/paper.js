// The calculation as the program writes it: rows, tables, curves, lines of equal tension over the half-section.
import { el, shown } from './dom.js';
import { shape } from './markup.js';
import { plot } from './plot.js';
import { rule, worded } from './words.js';

/** The column that names rules. */
const RULES = 'Rule';
const text = (value) => (typeof value === 'number' ? shown(value, digits(value)) : worded(value ?? '–'));
/** Digits after the point that say something. */
const digits = (v) => (Math.abs(v) >= 1000 ? 0 : Math.abs(v) >= 100 ? 1 : Math.abs(v) >= 0.01 ? 3 : 6);
const source = (said) => (said ? el('p', { class: 'small', text: said }) : null);

function rows(list) {
  const one = (row) => el('div', {}, el('dt', { text: row.label, title: row.source || null }), el('dd', { text: `${text(row.value)}${row.unit ? ` ${row.unit}` : ''}` }));
  return [el('dl', { class: 'facts' }, ...list.map(one))];
}

function table(part) {
  const heads = part.columns.map((c) => el('th', { scope: 'col', text: c.unit ? `${c.label}, ${c.unit}` : c.label }));
  const lines = part.lines.map((line) => el('tr', {}, ...line.map((v, i) => el('td', { text: part.columns[i].label === RULES ? String(v).replace(/\S+$/, rule) : text(v) }))));
  const made = el('table', {}, el('thead', {}, el('tr', {}, ...heads)), el('tbody', {}, ...lines));
  return [el('div', { class: 'scroll', role: 'group', tabindex: '0', 'aria-label': part.title }, made), source(part.source)];
}

function curves(part) {
  const axis = ({ label, unit }) => (unit ? `${label}, ${unit}` : label);
  const names = part.series.map((s) => s.label).filter(Boolean);
  const name = `${part.title}: ${axis(part.y)} over ${axis(part.x)}${names.length ? `; ${names.join(', ')}` : ''}`;
  const marks = part.marks.map((m) => `${m.label} at ${text(m.at)} ${m.on_y ? part.y.unit : part.x.unit}`);
  const picture = plot({ x: axis(part.x), y: axis(part.y), series: part.series.map((s) => s.points), name });
  return [picture, marks.length ? el('p', { class: 'small', text: marks.join(' · ') }) : null, source(part.source)];
}

/** Room round the half-section, in parts of its greater side. */
const MARGIN = 0.06;

/** The half-section with its lines of equal value, the greatest marked. r goes up as on the sheet's section, z to the right. */
function contours(part) {
  const all = part.outline;
  const [low, high] = [(i) => Math.min(...all.map((p) => p[i])), (i) => Math.max(...all.map((p) => p[i]))];
  const room = MARGIN * Math.max(high(0) - low(0), high(1) - low(1));
  const at = ([r, z]) => `${(r - low(0) + room).toFixed(3)} ${(high(1) - z + room).toFixed(3)}`;
  const size = [high(0) - low(0) + 2 * room, high(1) - low(1) + 2 * room];
  const [r, z] = part.greatest.at;
  const name = `Half-section, axis to the left: greatest ${text(part.greatest.value)} ${part.unit}`;
  const svg = shape('svg', { class: 'contours', viewBox: `0 0 ${size[0]} ${size[1]}`, role: 'img', 'aria-label': name });
  svg.append(shape('path', { class: 'outline', d: `M${all.map(at).join('L')}Z` }));
  const greatest = part.greatest.value;
  for (const { value, wide, lines } of part.levels) {
    const d = lines.map(([from, to]) => `M${at(from)}L${at(to)}`).join('');
    svg.append(shape('path', { class: wide ? 'level wide' : 'level', d }, shape('title', {}, `${text(value)} ${part.unit}`)));
  }
  const [x, y] = at([r, z]).split(' ');
  svg.append(shape('circle', { class: 'greatest', cx: x, cy: y, r: room / 2 }));
  const said = `The greatest is ${text(greatest)} ${part.unit}, in the ring.`;
  return [svg, el('p', { text: said }), el('p', { class: 'small', text: part.legend }), source(part.source)];
}

/** A note that begins with a rule's id begins with its name instead. */
const named = (note) => note.replace(/^[a-z]+(?:-[a-z]+)*(?=: )/, rule);
const notes = (list) => [el('ul', { class: 'notes' }, ...list.map((n) => el('li', { text: worded(named(n)) })))];

function content(part) {
  if (part.rows) return rows(part.rows);
  if (part.lines) return table(part);
  if (part.series) return curves(part);
  if (part.levels) return contours(part);
  return notes(part.notes ?? []);
}

/** The parts of a paper as cards. */
export function cards(paper) {
  const one = (part) => el('div', { class: 'card', role: 'group', 'aria-label': part.title }, el('h2', { text: part.title }), ...content(part).filter(Boolean));
  return paper.parts.map(one);
}

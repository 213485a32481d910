// Looking at a drawing: zoom and pan by wheel, fingers, buttons and keys; its dimensions lead to their fields.
import { byId, el, say } from './dom.js';
import { drawing, redrawn } from './markup.js';

/** Pixels of a millimetre at 100 %, as CSS has it. */
const PER_MM = 96 / 25.4;
const STEP = 1.25;
const LEAST = 0.1;
const MOST = 16;
/** Room around a fitted sheet, pixels. */
const ROOM = 12;
/** How far an arrow key moves the sheet, pixels. */
const NUDGE = 60;

let paper = null;
/** Whether its dimensions are wide enough to be pointed at. */
let isWide = false;
/** Which drawing it is, and the text it was made of. */
let shown = '';
let drawnText = '';
let size = { width: 420, height: 297 };
let place = { x: 0, y: 0, zoom: 1, fitted: true };
/** The place looked at of each drawing, by its name and size. */
const places = new Map();
let pointed = () => {};
let moved = () => {};
let picked = () => {};

/** Makes the viewport listen; `onPoint(field)` when a dimension is pointed at (null: none), `onPick(field)` when one is chosen. */
export function start(onPoint, onPick) {
  [pointed, picked] = [onPoint, onPick];
  const port = byId('port');
  port.addEventListener('wheel', wheel, { passive: false });
  port.addEventListener('keydown', (event) => event.target === port && key(event));
  for (const name of ['pointerenter', 'pointermove', 'pointerdown']) port.addEventListener(name, widen, { capture: true });
  fingers(port);
  byId('zoom-in').addEventListener('click', () => zoom(STEP));
  byId('zoom-out').addEventListener('click', () => zoom(1 / STEP));
  byId('zoom-fit').addEventListener('click', fit);
  new ResizeObserver(() => place.fitted && fit()).observe(port);
}

/** Shows an SVG text as the drawing of a name; false where it is no drawing. Each drawing keeps its place, as long as its paper is the same. */
export function show(text, name) {
  // the same again: what the rules say of it came after the drawing
  if (paper && text === drawnText && name === shown) return true;
  if (paper && name === shown) narrow();
  const made = paper && name === shown && redrawn(paper, text) ? paper : drawing(text);
  if (!made) return false;
  drawnText = text;
  const [, , width, height] = made.getAttribute('viewBox').split(' ').map(Number);
  const was = placed();
  if (paper) places.set(was, place);
  shown = name;
  size = { width, height };
  const now = placed();
  const isOther = now !== was || !paper;
  if (isOther) place = places.get(now) ?? { ...place, fitted: true };
  if (made !== paper) {
    made.setAttribute('focusable', 'false');
    isWide = false;
    paper?.remove();
    paper = made;
    byId('port').prepend(made);
  }
  // of the same size it lies where the last one did; to ask for the room there is would lay the page out once more
  if (place.fitted && isOther) fit();
  else put();
  return true;
}

/** Calls a function whenever the drawing lies elsewhere or is another. */
export const whenPlaced = (does) => {
  moved = does;
};

/** Where the upper left corner of the paper lies in the viewport, pixels for each mm, and the paper's size, mm. */
export const placing = () => ({ x: place.x, y: place.y, scale: PER_MM * place.zoom, ...size });

const placed = () => `${shown} ${size.width} ${size.height}`;

export const isShown = () => paper !== null;
export const shownAs = () => shown;

/** Takes the drawing away. */
export function clear() {
  if (paper) places.set(placed(), place);
  paper?.remove();
  paper = null;
}

/** Thin lines are hard to point at: each dimension's get an unseen wide companion, once somebody points. */
function widen() {
  if (isWide || !paper) return;
  isWide = true;
  for (const group of paper.querySelectorAll('[data-field]')) {
    for (const line of group.querySelectorAll('path, circle')) {
      const wide = line.cloneNode();
      for (const name of ['id', 'stroke-dasharray', 'class', 'fill']) wide.removeAttribute(name);
      wide.setAttribute('class', 'reach');
      line.after(wide);
    }
  }
}

/** Takes the companions away: the drawing is as it was made. */
function narrow() {
  if (isWide) for (const wide of paper.querySelectorAll('.reach')) wide.remove();
  isWide = false;
}

/** The fields that the drawing shows, in its order. */
export const fields = () => [...new Set([...(paper?.querySelectorAll('[data-field]') ?? [])].map((g) => g.dataset.field))];

/** Where the letters of a field's dimension stand in the window. */
export function boxOf(field) {
  const group = paper?.querySelector(`[data-field="${CSS.escape(field)}"]`);
  return (group?.querySelector('text') ?? group)?.getBoundingClientRect();
}

/** Lights the dimensions of a field; an empty one puts them all out. */
export function light(field) {
  for (const group of paper?.querySelectorAll('[data-field]') ?? []) {
    group.classList.toggle('lit', field !== '' && group.dataset.field === field);
  }
}

function put() {
  if (!paper) return;
  const scale = PER_MM * place.zoom;
  paper.style.width = `${size.width * scale}px`;
  paper.style.height = `${size.height * scale}px`;
  paper.style.transform = `translate(${place.x}px, ${place.y}px)`;
  // a whole sheet lets a finger scroll the page past it
  byId('port').style.touchAction = place.fitted ? 'pan-y' : 'none';
  say(byId('zoom-now'), `${Math.round(place.zoom * 100)} %`);
  moved();
}

/** The whole sheet in the middle. */
export function fit() {
  const port = byId('port');
  // hidden: fitted when it is seen
  if (port.clientWidth === 0) return;
  const across = (port.clientWidth - 2 * ROOM) / (size.width * PER_MM);
  const down = (port.clientHeight - 2 * ROOM) / (size.height * PER_MM);
  const whole = Math.max(0.02, Math.min(across, down, MOST));
  place = {
    zoom: whole,
    x: (port.clientWidth - size.width * PER_MM * whole) / 2,
    y: (port.clientHeight - size.height * PER_MM * whole) / 2,
    fitted: true,
  };
  put();
}

/** Zooms about a point of the viewport; about its middle where none is given. */
function zoom(by, x = byId('port').clientWidth / 2, y = byId('port').clientHeight / 2) {
  const to = Math.min(MOST, Math.max(LEAST, place.zoom * by));
  const ratio = to / place.zoom;
  place = { zoom: to, x: x - (x - place.x) * ratio, y: y - (y - place.y) * ratio, fitted: false };
  put();
}

function move(x, y) {
  place = { ...place, x: place.x + x, y: place.y + y, fitted: false };
  put();
}

function wheel(event) {
  event.preventDefault();
  const { left, top } = byId('port').getBoundingClientRect();
  zoom(Math.exp(-event.deltaY * (event.deltaMode === 1 ? 0.05 : 0.0015)), event.clientX - left, event.clientY - top);
}

function key(event) {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const does = {
    '+': () => zoom(STEP), '=': () => zoom(STEP), '-': () => zoom(1 / STEP), 0: fit,
    ArrowLeft: () => move(NUDGE, 0), ArrowRight: () => move(-NUDGE, 0),
    ArrowUp: () => move(0, NUDGE), ArrowDown: () => move(0, -NUDGE),
  }[event.key];
  if (!does) return;
  event.preventDefault();
  does();
}

/** One pointer moves the sheet or chooses a dimension; two zoom. */
function fingers(port) {
  const down = new Map();
  let moved = 0;
  const spread = () => {
    const [a, b] = [...down.values()];
    return { distance: Math.hypot(a.x - b.x, a.y - b.y), x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
  };
  port.addEventListener('pointerdown', (event) => {
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
    moved = 0;
  });
  port.addEventListener('pointermove', (event) => {
    const was = down.get(event.pointerId);
    if (!was) return pointed(fieldOf(event.target));
    const before = down.size === 2 ? spread() : null;
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
    moved += Math.hypot(event.clientX - was.x, event.clientY - was.y);
    // taken only once it moves, so that a click still reaches what is under it
    if (moved > 4 && !port.hasPointerCapture(event.pointerId)) port.setPointerCapture(event.pointerId);
    if (down.size === 1) return move(event.clientX - was.x, event.clientY - was.y);
    if (!before) return undefined;
    const after = spread();
    const { left, top } = port.getBoundingClientRect();
    move(after.x - before.x, after.y - before.y);
    return zoom(after.distance / Math.max(1, before.distance), after.x - left, after.y - top);
  });
  const up = (event) => down.delete(event.pointerId);
  for (const name of ['pointerup', 'pointercancel']) port.addEventListener(name, up);
  port.addEventListener('pointerleave', () => pointed(null));
  port.addEventListener('click', (event) => {
    const field = fieldOf(event.target);
    if (field && moved <= 4) picked(field);
  });
}

const fieldOf = (target) => target.closest?.('[data-field]')?.dataset.field ?? null;

/** The panel with the viewport and its buttons, those that choose what is drawn first. */
export function panel(looks) {
  const button = (id, text, name) => el('button', { type: 'button', id, text, 'aria-label': name, title: name });
  const tools = el(
    'div',
    { class: 'zoom', role: 'toolbar', 'aria-label': 'Drawing' },
    ...looks,
    el('p', { id: 'drawn', class: 'drawn' }),
    el('span', { class: 'sizes' }, button('zoom-out', '−', 'Smaller'), el('span', { id: 'zoom-now', class: 'now', text: '100 %' }),
      button('zoom-in', '+', 'Larger'), button('zoom-fit', 'Fit', 'Fit the whole sheet'), button('zoom-print', 'Print', 'Print all sheets')),
  );
  const hint = 'Drawing: plus and minus zoom, 0 fits, arrow keys move';
  const port = el('div', { id: 'port', class: 'port', role: 'region', tabindex: '0', 'aria-label': hint });
  const start = el('div', { id: 'welcome', class: 'welcome', hidden: true });
  return [tools, el('div', { class: 'stage', id: 'stage' }, port, start)];
}

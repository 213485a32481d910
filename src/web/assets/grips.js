// Sizes taken hold of on the drawing: dragged, or moved by the arrow keys, they snap to the sizes a shop works to and write the same fields as the form.
import { byId, el, fill, say, shown } from './dom.js';
import { find } from './json.js';
import * as order from './order.js';
import { steps } from './pointer.js';
import * as sheet from './sheet.js';
import * as store from './store.js';
import { place } from './words.js';

const INCH = 25.4;
/** Steps of a size, by name: `[label, mm]`. */
const SNAPS = { '1/64': ['1/64 in', INCH / 64], 0.5: ['0.5 mm', 0.5], 0.1: ['0.1 mm', 0.1], 0.05: ['0.05 mm', 0.05] };
const SIXTY_FOURTHS = 64;
/** Steps a shop counts in, mm, by the unit they are in: a drag takes none that is finer than a pixel shows. */
const COUNTED = { in: [64, 32, 16, 8, 4, 2, 1].map((part) => INCH / part), mm: [0.05, 0.1, 0.5, 1, 5, 10] };
/** Steps that Page Up and Page Down take. */
const MANY = 10;
/** Least distance of two grips, pixels. */
const APART = 26;
/** Where a grip goes that another one is in the way of, in such distances. */
const ASIDE = [0, -1, 1, -2, 2, -3, 3];
/** With the Shift key a drag is so much finer. */
const FINE = 0.1;
/** A click moves less than this, pixels. */
const STILL = 3;
/** A size is a multiple of its step within this share of one. */
const SAME = 1e-6;

let schema = null;
let open = () => {};
/** The grips that are shown, by field: `{grip, element}`. */
const all = new Map();
/** What is dragged: `{field, before, mm, x, y, moved}`. */
let held = null;

/** `onOpen(field)` opens the box of a dimension. */
export function start(read, onOpen) {
  [schema, open] = [read, onOpen];
  const select = el('select', { id: 'snap', 'aria-label': 'Step of what is dragged' }, 
    ...Object.entries(SNAPS).map(([value, [text]]) => el('option', { value, text: `by ${text}` })));
  select.addEventListener('change', () => { isChosen = true; });
  byId('zoom-out').before(select);
  byId('port').append(el('div', { id: 'grips', class: 'grips', role: 'group', 'aria-label': 'Sizes that can be dragged' }), el('output', { id: 'live', class: 'live', hidden: true, 'aria-hidden': 'true' }));
  sheet.whenPlaced(put);
}

const snap = () => byId('snap').value;
/** Whether somebody has chosen a step; until then it is that of the order's unit. */
let isChosen = false;

/** Shows the grips of a drawing; those of sizes that the order does not give stay away. */
export function show(grips) {
  const root = order.tree();
  const given = (g) => root && find(root, steps(g.field))?.kind === 'scalar' && !order.typed(root, steps(g.field)).includes('?');
  const wanted = new Map((grips ?? []).filter(given).map((g) => [g.field, g]));
  for (const [field, { element }] of all) {
    if (wanted.has(field)) continue;
    element.remove();
    all.delete(field);
  }
  for (const [field, grip] of wanted) {
    const made = all.get(field)?.element ?? handle(field);
    if (!made.isConnected) byId('grips').append(made);
    all.set(field, { grip, element: made });
    tell(made, field, grip.mm);
  }
  if (!isChosen) byId('snap').value = order.typed(root, ['units']) === 'mm' ? '0.1' : '1/64';
  byId('snap').hidden = all.size === 0;
  put();
}

function handle(field) {
  const made = el('div', { class: 'grip', role: 'slider', tabindex: '0', 'data-grip': field, 'aria-label': place(field) });
  made.addEventListener('pointerdown', (event) => down(event, field));
  made.addEventListener('pointermove', move);
  made.addEventListener('pointerup', (event) => up(event, field));
  made.addEventListener('pointercancel', () => back());
  made.addEventListener('focus', () => { made.dataset.before = store.text(); sheet.light(field); });
  made.addEventListener('blur', () => { store.release(); hide(); });
  made.addEventListener('keydown', (event) => key(event, field));
  return made;
}

/** Puts every grip where its size is on the drawing. */
function put() {
  const { x, y, scale, width, height } = sheet.placing();
  const there = [];
  const isOn = ([a, b]) => a >= x && b >= y && a <= x + width * scale && b <= y + height * scale;
  for (const { grip, element } of all.values()) {
    element.dataset.way = Math.abs(grip.dx) > Math.abs(grip.dy) ? 'across' : 'up';
    const at = [x + grip.x * scale, y + grip.y * scale];
    const beside = (by) => (element.dataset.way === 'up' ? [at[0] + by, at[1]] : [at[0], at[1] + by]);
    const isFree = (p) => there.every(([a, b]) => Math.abs(a - p[0]) >= APART || Math.abs(b - p[1]) >= APART);
    // aside along the line that moves, where another one is in the way
    const free = ASIDE.map((n) => beside(n * APART)).find((p) => isFree(p) && isOn(p));
    element.hidden = !free && element !== document.activeElement;
    if (element.hidden) continue;
    there.push(free ?? at);
    [element.style.left, element.style.top] = (free ?? at).map((v) => `${v}px`);
    element.setAttribute('aria-orientation', element.dataset.way === 'up' ? 'vertical' : 'horizontal');
  }
}

/** The step of a drag: the chosen one, or the least that is seen where a pixel is more than that. */
function seen(pixel) {
  const [name, chosen] = [snap(), SNAPS[snap()][1]];
  const ladder = COUNTED[name === '1/64' ? 'in' : 'mm'].filter((step) => step >= chosen * (1 - SAME));
  return ladder.find((step) => step >= pixel) ?? ladder.at(-1);
}

/** A size as it is written: sixty-fourths as a fraction, millimetres as a decimal, its unit where it is not the file's. */
function said(mm, step) {
  const file = order.typed(order.tree(), ['units']);
  const unit = step === '1/64' ? 'in' : 'mm';
  const own = unit === file ? '' : ` ${unit}`;
  if (unit === 'mm') return `${shown(mm, 3)}${own}`;
  const parts = Math.round((mm / INCH) * SIXTY_FOURTHS);
  const [whole, rest] = [Math.floor(parts / SIXTY_FOURTHS), parts % SIXTY_FOURTHS];
  if (rest % 8 === 0) return `${parts / SIXTY_FOURTHS}${own}`;
  let [n, d] = [rest, SIXTY_FOURTHS];
  while (n % 2 === 0) [n, d] = [n / 2, d / 2];
  return `${whole ? `${whole}-` : ''}${n}/${d}${own}`;
}

/** A size as it is written, and in inches and millimetres. */
function words(mm) {
  const unit = snap() === '1/64' ? ' in' : ' mm';
  const own = said(mm, snap());
  const all_ = [/[a-z]$/.test(own) ? own : own + unit, `${shown(mm / INCH, 4)} in`, `${shown(mm, 3)} mm`];
  return [...new Set(all_)].join(' · ');
}


function tell(element, field, mm) {
  element.setAttribute('aria-valuenow', shown(mm, 3));
  element.setAttribute('aria-valuemin', '0');
  element.setAttribute('aria-valuemax', shown(Math.max(2 * mm, 1), 3));
  element.setAttribute('aria-valuetext', `${order.typed(order.tree(), steps(field))}, ${shown(mm, 3)} mm`);
}

/** Writes a size, snapped to a step, mm; a whole drag is one step of undo. */
function write(field, mm, step = SNAPS[snap()][1]) {
  const to = Math.max(step, Math.round(mm / step) * step);
  store.hold(field);
  order.write(steps(field), said(to, snap()), schema.at(steps(field)));
  live(field, to);
}

function live(field, mm) {
  const { element } = all.get(field) ?? {};
  if (!element) return;
  const box = byId('live');
  box.hidden = false;
  say(box, `${place(field)}: ${words(mm)}`);
  const most = byId('port').clientWidth - box.offsetWidth - 8;
  box.style.left = `${Math.max(8, Math.min(most, element.offsetLeft + 18))}px`;
  box.style.top = `${Math.max(8, element.offsetTop - 40)}px`;
}

const hide = () => { byId('live').hidden = true; };

function down(event, field) {
  event.stopPropagation();
  event.preventDefault();
  const { grip, element } = all.get(field);
  element.focus();
  element.setPointerCapture(event.pointerId);
  store.seal();
  const { scale } = sheet.placing();
  held = { field, before: store.text(), mm: grip.mm, x: event.clientX, y: event.clientY, moved: 0, along: [grip.dx * scale, grip.dy * scale] };
}

function move(event) {
  if (!held) return;
  event.stopPropagation();
  const { along: [dx, dy] } = held;
  const [x, y] = [event.clientX - held.x, event.clientY - held.y];
  [held.x, held.y] = [event.clientX, event.clientY];
  held.moved += Math.hypot(x, y);
  const finer = event.shiftKey ? FINE : 1;
  held.mm += ((x * dx + y * dy) / (dx * dx + dy * dy)) * finer;
  if (held.moved > STILL) write(held.field, held.mm, seen(finer / Math.hypot(dx, dy)));
}

function up(event, field) {
  event.stopPropagation();
  const wasStill = held && held.moved <= STILL;
  held = null;
  store.release();
  hide();
  if (wasStill) open(field);
}

/** Takes back what was dragged. */
function back() {
  if (!held) return;
  const { before } = held;
  held = null;
  store.release();
  hide();
  if (store.text() !== before) store.edit(before);
}

function key(event, field) {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const { grip, element } = all.get(field);
  const by = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: MANY, PageDown: -MANY }[event.key];
  if (by) stepped(field, grip, by);
  else if (event.key === 'Enter') open(field);
  else if (event.key === 'Escape' && held) back();
  else if (event.key === 'Escape' && store.text() !== element.dataset.before) {
    store.release();
    hide();
    store.edit(element.dataset.before);
  } else return;
  event.preventDefault();
  event.stopPropagation();
}

/** The next size of the step, or one so many further; what was typed counts, the drawing may be behind. */
function stepped(field, grip, by) {
  const step = SNAPS[snap()][1];
  const at = grip.mm / step;
  const next = by > 0 ? Math.floor(at + SAME) + by : Math.ceil(at - SAME) + by;
  grip.mm = Math.max(1, next) * step;
  write(field, grip.mm);
}

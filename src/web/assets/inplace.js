// A dimension is typed where it stands: a box on the drawing that writes the same field as the form's. Enter leaves it, Escape takes it back.
import { byId, el, fill } from './dom.js';
import { explain } from './field.js';
import * as order from './order.js';
import { steps } from './pointer.js';
import { kind, unit } from './schema.js';
import * as sheet from './sheet.js';
import * as store from './store.js';
import { place } from './words.js';

/** Room between the box and the edge of the drawing, pixels. */
const EDGE = 8;
let schema = null;
let lead = () => {};
/** The box that is open, its field and the text before it was: `{form, field, before}`. */
let now = null;

/** `onLead(field)` leads to a field of the form. */
export function start(read, onLead) {
  [schema, lead] = [read, onLead];
  byId('port').addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' || event.target !== byId('port')) return;
    event.preventDefault();
    step(null, 1);
  });
}

const read = (field) => schema.at(steps(field));
const isSize = (field) => read(field) && !['group', 'list', 'choice', 'flag', 'tolerance'].includes(kind(read(field)));

/** Opens the box of a dimension; what is no size leads to the form. */
export function open(field) {
  close(false);
  // a text that cannot be read has no fields to write
  if (order.tree() === undefined) return false;
  if (!isSize(field)) return lead(field);
  const path = steps(field);
  const name = place(path);
  const input = el('input', { type: 'text', id: 'inplace', autocomplete: 'off', spellcheck: 'false', 'aria-describedby': 'inplace-fault' });
  input.value = order.typed(order.tree(), path);
  const in_ = unit(String(path.at(-1)), read(field), order.typed(order.tree(), ['units']));
  const button = (text, label, does) => el('button', { type: 'button', text, 'aria-label': label, onclick: does });
  const acts = [button('◂', 'The dimension before', () => step(field, -1)), button('▸', 'The next dimension', () => step(field, 1)),
    button('In the form', null, () => { close(false); lead(field); }), el('button', { text: 'Done' })];
  const form = el('form', { class: 'inplace', 'data-path': field, autocomplete: 'off', 'aria-label': name },
    el('label', { for: 'inplace', text: in_ ? `${name} (${in_})` : name }), input, el('div', { id: 'inplace-fault', class: 'fault' }), el('div', { class: 'acts' }, ...acts));
  input.addEventListener('input', () => order.write(path, input.value, read(field)));
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    close(true);
  });
  form.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape') return;
    event.preventDefault();
    const before = now.before;
    close(true);
    if (store.text() !== before) store.edit(before);
  });
  now = { form, field, before: store.text() };
  byId('stage').append(form);
  put(form, field);
  explain(name, read(field).description ?? '');
  input.focus();
  input.select();
  return true;
}

/** Beside the dimension, wholly on the drawing. */
function put(form, field) {
  const stage = byId('stage').getBoundingClientRect();
  const at = sheet.boxOf(field) ?? stage;
  const within = (want, most) => Math.max(EDGE, Math.min(want, most - EDGE));
  form.style.left = `${within(at.left - stage.left, stage.width - form.offsetWidth)}px`;
  form.style.top = `${within(at.bottom - stage.top + EDGE, stage.height - form.offsetHeight)}px`;
}

/** Goes to the next dimension of the drawing that is a size, or the one before. */
function step(from, by) {
  const all = sheet.fields().filter(isSize);
  if (all.length === 0) return;
  const at = from === null ? 0 : (all.indexOf(from) + by + all.length) % all.length;
  open(all[at]);
}

/** Closes the box; the keyboard goes back to the drawing where it is asked for. */
export function close(isBack) {
  if (!now) return;
  const { form } = now;
  now = null;
  store.seal();
  if (isBack) byId('port').focus();
  form.remove();
}

/** Another order, or none: the box goes; a field without a fault says nothing. */
export function mark(faults) {
  if (!now) return;
  const mine = faults.filter((f) => f.field === now.field);
  fill(byId('inplace-fault'), ...mine.map((f) => el('p', { text: f.message })));
}

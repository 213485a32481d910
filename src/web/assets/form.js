// The form, made from the schema: groups that open as needed, lists that grow and shrink, one entry for every field of the order.
import { byId, el, say } from './dom.js';
import { field } from './field.js';
import { find } from './json.js';
import * as order from './order.js';
import { pointer } from './pointer.js';
import * as machines from './machines.js';
import { kind, label } from './schema.js';
import * as units from './units.js';
import { worded } from './words.js';

let schema = null;
/** How long a changed field is marked, ms. */
const MARKED = 1500;
/** Entries by pointer. */
const entries = new Map();
/** Groups by pointer. */
const groups = new Map();
/** Lists by pointer. */
const lists = new Map();

/** The features that can be added, with their buttons. */
let offered = [];
/** Shows the form where it is hidden. */
let reveal = () => {};

/** Builds the form of a schema; `revealed()` shows it where it is hidden. */
export function build(read, revealed) {
  [schema, reveal] = [read, revealed];
  const fields = schema.fields(schema.root);
  const plain = fields.filter(([, s]) => kind(s) !== 'group');
  const first = plain.filter(([, , required]) => required);
  const rest = plain.filter(([, , required]) => !required);
  // the wheel is what one talks about first
  const ordered = fields.filter(([, s]) => kind(s) === 'group').sort(([a], [b]) => (b === 'wheel') - (a === 'wheel'));
  const parts = ordered.map((f) => group([], f));
  const file = el('details', { class: 'group' }, el('summary', {}, el('span', { class: 'title', text: 'File' })));
  file.append(...rest.map((f) => entry([], f)));
  byId('form').replaceChildren(el('div', { class: 'fields' }, ...first.map((f) => entry([], f)), features(), ...parts, file));
  byId('form').addEventListener('submit', (event) => event.preventDefault());
}

/** What a wheel may have besides its sizes, by name: one click leads to its boxes. */
const FEATURES = ['recess', 'taper', 'corner', 'grooves'];

function features() {
  const sides = ['side_a', 'side_b'].flatMap((side) => FEATURES.map((name) => [`${label(name)} ${label(side).slice(-1)}`, ['wheel', side, name]]));
  const all = [...sides, ['Face grooves', ['wheel', 'face', 'grooves']], ['Bore chamfer', ['wheel', 'bore_chamfer']]];
  offered = all.map(([text, path]) => ({ path, button: el('button', { type: 'button', text, 'aria-label': `Add ${text}`, onclick: () => begin(path) }) }));
  return el('div', { class: 'features', role: 'group', 'aria-label': 'Add to the wheel' }, el('span', { text: 'Add' }), ...offered.map((o) => o.button), machines.button());
}

/** Leads to the boxes of a feature; a list gets its first row. */
function begin(path) {
  const list = lists.get(pointer(path));
  if (!list) return lead(pointer(path));
  opened(list.rows);
  return grow(list);
}

/** A field, a group or a list. */
function entry(at, [name, read, required]) {
  const path = [...at, name];
  if (kind(read) === 'group') return group(at, [name, read, required]);
  if (kind(read) === 'list') return list(path, read);
  const made = field(path, read, required);
  if (path.join() === 'units') units.watch(made.input, schema);
  entries.set(pointer(path), made);
  return made.element;
}

function group(at, [name, read, required]) {
  const path = [...at, name];
  const count = el('span', { class: 'count' });
  const clear = el('button', { type: 'button', class: 'quiet', text: 'Remove', 'aria-label': `Remove ${label(name)}` });
  clear.addEventListener('click', () => order.take(path));
  const summary = el('summary', {}, el('span', { class: 'title', text: label(name) }), count);
  const body = el('div', { class: 'body' }, ...schema.fields(read).map((f) => entry(path, f)));
  const nested = at.length > 0;
  const details = el('details', { class: nested ? 'group nested' : 'group', 'data-group': pointer(path) }, summary, body);
  if (required) details.open = true;
  else body.append(clear);
  groups.set(pointer(path), { details, count, clear, path, required });
  return details;
}

/** A list of groups or of single values, with a way to add one and a way to take each out. */
function list(path, read) {
  const name = path.at(-1);
  const item = schema.followed(read.items);
  const rows = el('div', { class: 'rows' });
  const one = kind(item) === 'group' ? 'step' : 'line';
  const add = el('button', { type: 'button', class: 'add', text: `Add ${one}`, 'aria-label': `${label(name)}: add ${one}` });
  const made = { path, item, rows, length: 0, wanted: 0 };
  add.addEventListener('click', () => grow(made));
  lists.set(pointer(path), made);
  const legend = el('legend', { text: label(name) });
  return el('fieldset', { class: 'list', 'data-list': pointer(path), title: worded(read.description ?? '') || null }, legend, rows, add);
}

/** One more row: a group is written at once, so that what it needs is asked for; a single value when it is typed. */
function grow(made) {
  if (kind(made.item) === 'group') order.add(made.path, '{}');
  else made.wanted = made.length + 1;
  refreshList(made, order.tree());
  made.rows.lastElementChild?.querySelector('input, select')?.focus();
}

function row(made, index) {
  const path = [...made.path, index];
  const out = el('button', { type: 'button', class: 'quiet', text: 'Remove' });
  const what = `${label(made.path.at(-1))} ${index + 1}`;
  out.setAttribute('aria-label', `Remove ${what}`);
  out.addEventListener('click', () => {
    made.wanted = 0;
    if (order.has(order.tree(), path)) order.take(path);
    else refreshList(made, order.tree());
  });
  if (kind(made.item) !== 'group') {
    const single = field(path, made.item, false, what);
    entries.set(pointer(path), single);
    return el('div', { class: 'row single' }, single.element, out);
  }
  const inner = schema.fields(made.item).map((f) => entry(path, f));
  const title = el('p', { class: 'step' }, el('span', { text: `Step ${index + 1}` }), out);
  return el('div', { class: 'row', role: 'group', 'aria-label': what, 'data-item': pointer(path) }, title, ...inner);
}

function refreshList(made, root) {
  const given = find(root, made.path)?.items?.length ?? 0;
  if (given > 0 && given >= made.wanted) made.wanted = 0;
  const length = Math.max(given, made.wanted);
  for (; made.length < length; made.length += 1) made.rows.append(row(made, made.length));
  for (; made.length > length; made.length -= 1) {
    const gone = pointer([...made.path, made.length - 1]);
    for (const key of entries.keys()) if (key === gone || key.startsWith(`${gone}/`)) entries.delete(key);
    made.rows.lastElementChild.remove();
  }
}

/** Shows the order as it is now; the field that is being typed in is left alone. `fresh`: groups open where there is something in them. */
export function refresh(root, fresh) {
  byId('form').hidden = root === undefined;
  byId('broken').hidden = root !== undefined;
  // another order is read from its top
  if (fresh) byId('form').scrollTop = 0;
  if (root === undefined) return;
  const file = order.typed(root, ['units']);
  for (const { path, button } of offered) button.hidden = find(root, path) !== undefined;
  for (const made of lists.values()) refreshList(made, root);
  for (const made of entries.values()) made.show(root, file);
  for (const made of groups.values()) {
    const node = find(root, made.path);
    made.clear.hidden = node === undefined;
    if (fresh && !made.required) made.details.open = node !== undefined && made.path.length > 1 ? true : made.path[0] === 'wheel';
    made.details.classList.toggle('given', node !== undefined);
  }
}

/** Puts what is wrong beside its fields; returns nothing, but groups show how much is wrong inside. */
export function mark(faults) {
  const left = new Map();
  for (const fault of faults) {
    const at = nearest(fault.field);
    if (!left.has(at)) left.set(at, []);
    left.get(at).push(fault);
  }
  for (const [at, made] of entries) made.fault(left.get(at) ?? []);
  for (const [at, made] of groups) {
    const inside = faults.filter((f) => f.field === at || f.field.startsWith(`${at}/`));
    const heavy = inside.some((f) => f.heavy);
    say(made.count, inside.length === 0 ? '' : String(inside.length));
    made.count.dataset.weight = heavy ? 'stop' : 'ask';
    made.count.title = inside.length === 0 ? '' : `${inside.length} to look at in here`;
  }
}

/** The entry of a field, or of the nearest thing around it. */
function nearest(at) {
  for (let here = at; here !== ''; here = here.slice(0, here.lastIndexOf('/'))) {
    if (entries.has(here)) return here;
  }
  return at;
}

/** Leads to a field: opens what hides it and puts the cursor in. A group's first field, a list's button stand for them. */
export function lead(at) {
  if (byId('form').hidden) return false;
  for (let here = at; here !== ''; here = here.slice(0, here.lastIndexOf('/'))) {
    const found = entries.get(here)?.input ?? inside(here);
    if (!found) continue;
    reveal();
    opened(found);
    found.focus();
    found.scrollIntoView({ block: 'center' });
    return true;
  }
  return false;
}

function opened(element) {
  for (let up = element.closest('details'); up; up = up.parentElement.closest('details')) up.open = true;
}

/** Scrolls to a field that was changed elsewhere, and marks it for a moment; the cursor stays where it is. */
export function showChange(at) {
  const found = entries.get(nearest(at))?.element ?? byId('form').querySelector(`[data-group="${CSS.escape(at)}"]`);
  if (!found || byId('form').hidden) return;
  opened(found);
  found.scrollIntoView({ block: 'nearest' });
  found.classList.add('changed');
  setTimeout(() => found.classList.remove('changed'), MARKED);
}

function inside(at) {
  const quoted = CSS.escape(at);
  const place = byId('form').querySelector(`[data-group="${quoted}"] .body, [data-list="${quoted}"], [data-item="${quoted}"]`);
  return place?.querySelector('input, select, button.add') ?? null;
}

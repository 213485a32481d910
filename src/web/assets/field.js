// One field of the order: its label, its entry, its help and what is wrong with it.
import { byId, el, say } from './dom.js';
import { find } from './json.js';
import * as order from './order.js';
import { pointer } from './pointer.js';
import { example, kind, label, unit } from './schema.js';
import * as store from './store.js';
import { place, worded } from './words.js';

/**
 * Makes a field: `element`, `input`, `show(root, unit)` shows the order's value, `fault(list)` what is wrong.
 * `called` is its label where the name says too little.
 */
export function field(path, schema, required, called) {
  if (kind(schema) === 'tolerance') return tolerance(path, schema, required);
  return plain(path, schema, required, called);
}

function plain(path, schema, required, called) {
  const at = pointer(path);
  const id = `field${at.replaceAll('/', '-').replaceAll('$', '')}`;
  const name = String(path.at(-1));
  const text = called ?? label(name);
  const input = kind(schema) === 'choice' || kind(schema) === 'flag' ? select(schema, required) : line(schema);
  const parts = { help: el('p', { id: `${id}-help`, hidden: true, text: worded(schema.description ?? '') }) };
  parts.unit = el('span', { class: 'unit', 'aria-hidden': 'true' });
  parts.fault = el('div', { id: `${id}-fault`, class: 'fault' });
  input.id = id;
  input.setAttribute('aria-describedby', `${id}-help ${id}-fault`);
  if (required) input.setAttribute('aria-required', 'true');
  input.addEventListener('focus', () => explain(place(path), schema.description ?? ''));
  let last = '';
  input.addEventListener('blur', () => {
    store.seal();
    choose(input, last);
  });
  const name_ = el('label', { for: id, text });
  if (required) name_.append(el('span', { class: 'needed', text: ' *', title: 'needed', 'aria-hidden': 'true' }));
  const entry = el('div', { class: 'entry' }, input, parts.unit);
  // a form of its own: at every letter the browser looks through all boxes of the form that is typed in, in order to complete names and addresses
  const element = el('form', { class: 'field', 'data-path': at, autocomplete: 'off', novalidate: true }, name_, entry, parts.help, parts.fault);
  input.addEventListener('input', () => order.write(path, input.value, schema));
  const show = (root, file) => {
    const value = order.typed(root, path);
    last = value;
    // `2-1/2` while it is typed, `2-1/2 in` afterwards; what has the keyboard is asked last, since the browser lays the page out to say so
    const isTyped = () => find(root, path)?.raw === order.written(input.value, schema, file) && document.activeElement === input;
    if (input.value !== value && !isTyped()) choose(input, value);
    say(parts.unit, bare(value) ? unit(name, schema, file) : '');
  };
  return { element, input, show, fault: (list) => faults(element, input, parts.fault, list) };
}

/** A number without a unit of its own, or nothing yet. */
const bare = (value) => /^[-+\d\s./]*$/.test(value);

function line(schema) {
  const mode = kind(schema) === 'count' ? 'numeric' : null;
  return el('input', { type: 'text', inputmode: mode, autocomplete: 'off', spellcheck: 'false', placeholder: example(schema) });
}

function select(schema, required) {
  const options = kind(schema) === 'flag'
    ? [['true', 'yes'], ['false', 'no']]
    : schema.oneOf.map((one) => [one.const, one.description ? `${one.const} – ${worded(one.description).replace(/\.$/, '')}` : one.const]);
  const none = el('option', { value: '', text: required ? 'choose' : 'not given' });
  return el('select', {}, none, ...options.map(([value, text]) => el('option', { value, text })));
}

/** Shows a value; one that a list of choices does not know is shown all the same. */
function choose(input, value) {
  input.querySelector?.('option.foreign')?.remove();
  input.value = value;
  if (input.value === value || input.tagName !== 'SELECT') return;
  input.append(el('option', { value, text: value, class: 'foreign' }));
  input.value = value;
}

function faults(element, input, place, list) {
  element.classList.toggle('wrong', list.some((f) => f.heavy));
  element.classList.toggle('asked', list.length > 0 && !list.some((f) => f.heavy));
  if (list.some((f) => f.heavy)) input.setAttribute('aria-invalid', 'true');
  else input.removeAttribute('aria-invalid');
  const told = list.map((f) => `${f.message}${f.hint ? ` → ${f.hint}` : ''}`);
  if (place.dataset.told === told.join('\n')) return;
  place.dataset.told = told.join('\n');
  place.replaceChildren(...list.map((f, i) => el('p', { text: told[i] }, ...(f.offers?.() ?? []))));
}

/** What the line under the form says about the field in use. */
export function explain(title, text) {
  byId('explain').replaceChildren(el('b', { text: title }), ` ${worded(text)}`);
}

/** A tolerance is one text (`0.01`, `+0.005/-0`) or two deviations; either way can be chosen. */
function tolerance(path, schema, required) {
  const one = plain(path, schema, required);
  const pair = schema.pair.map(([name, read]) => plain([...path, name], read, true, `${label(String(path.at(-1)))}, ${name}`));
  const swap = el('button', { type: 'button', class: 'swap quiet' });
  let two = false;
  const arrange = () => {
    one.element.hidden = two;
    for (const half of pair) half.element.hidden = !two;
    say(swap, two ? 'one text' : '± two');
    swap.setAttribute('aria-label', `${label(String(path.at(-1)))}: ${two ? 'write as one text' : 'write as two deviations'}`);
  };
  swap.addEventListener('click', () => {
    const node = find(order.tree(), path);
    two = !two;
    if (node) order.replace(path, two ? split(node) : joined(node));
    arrange();
    (two ? pair[0] : one).input.focus();
  });
  const element = el('div', { class: 'tolerance' }, one.element, ...pair.map((p) => p.element), swap);
  const show = (root, file) => {
    const node = find(root, path);
    if (node) two = node.kind === 'object';
    arrange();
    for (const part of [one, ...pair]) part.show(root, file);
  };
  const fault = (list) => {
    one.fault(two ? [] : list);
    pair[0].fault(two ? list : []);
  };
  arrange();
  return { element, get input() { return two ? pair[0].input : one.input; }, show, fault };
}

const PLAIN = /^\s*(?:±|\+\/-)?\s*([^+−/-][^/]*?)\s*$/;
const PAIR = /^\s*([+−-]?)\s*([^/]+?)\s*\/\s*([+−-]?)\s*([^/]+?)\s*$/;

/** A deviation as JSON: a number keeps its digits, one with a unit is a text. */
const signed = (sign, said) => {
  const text = `${sign === '+' ? '' : sign.replace('−', '-')}${said}`;
  return /^-?(0|[1-9]\d*)(\.\d+)?$/.test(text) ? text : JSON.stringify(text);
};

/** One text as two deviations, as JSON; null where it is no tolerance that can be split. */
function split(node) {
  const said = node.kind === 'scalar' ? String(typeof node.value === 'string' ? node.value : node.raw) : '';
  const [, plain] = PLAIN.exec(said) ?? [];
  if (plain) return `{"upper": ${signed('', plain)}, "lower": ${signed('-', plain)}}`;
  const [, plus, upper, minus, lower] = PAIR.exec(said) ?? [];
  return upper ? `{"upper": ${signed(plus, upper)}, "lower": ${signed(minus, lower)}}` : null;
}

/** Two deviations as one text, as JSON; null where one is lacking. */
function joined(node) {
  const said = (name) => {
    const found = find(node, [name]);
    return found && String(typeof found.value === 'string' ? found.value : found.raw);
  };
  const [upper, lower] = [said('upper'), said('lower')];
  if (!upper || !lower) return null;
  const with_ = (text) => (/^[+-]/.test(text) ? text : `+${text}`);
  return JSON.stringify(`${with_(upper)}/${with_(lower)}`);
}

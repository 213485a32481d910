// A new order that repeats an earlier one: what it is called, when it is from, what is different in it; then both beside each other.
import { post } from './ask.js';
import { byId, el, fill, today } from './dom.js';
import { notice } from './notice.js';
import * as order from './order.js';
import * as store from './store.js';
import { place, sentence, worded } from './words.js';

const FIRST_REVISION = 'A';
/** What a repeat gives anew or leaves out by itself. */
const OWN = /^(\$schema|answers|order,(number|revision|date|due|customer_order|based_on|notes.*))$/;

let source = '';
let compares = () => {};
/** Counts the rows, for their names. */
let rows = 0;

/** The fields that the earlier order gives: `[path, what is typed in it]`. */
function given(node, path = []) {
  if (OWN.test(String(path))) return [];
  if (node.kind === 'scalar') return [[path, typeof node.value === 'string' ? node.value : node.raw]];
  return [...(node.members ?? []).flatMap((m) => given(m.value, [...path, m.key])), ...(node.items ?? []).flatMap((item, i) => given(item, [...path, i]))];
}

/** Asks what a repeat of this order shall be. */
export function show(text) {
  const root = order.parsed(text);
  if (!root) return notice('This order cannot be repeated: its text cannot be read.');
  source = text;
  const name = ['number', 'revision'].map((key) => order.typed(root, ['order', key])).filter(Boolean).join('-');
  byId('repeat-title').textContent = `Repeat order ${name}`;
  byId('repeat-number').value = '';
  byId('repeat-revision').value = FIRST_REVISION;
  byId('repeat-date').value = today();
  fill(byId('repeat-fields'));
  fill(byId('repeat-faults'));
  return byId('repeat').showModal();
}

/** A row that changes one field. */
function another() {
  const fields = given(order.parsed(source));
  rows += 1;
  const [which, what] = [`repeat-field-${rows}`, `repeat-value-${rows}`];
  const size = fields.findIndex(([path]) => String(path) === 'wheel,thickness');
  const select = el('select', { id: which, 'aria-label': 'Field' }, ...fields.map(([path], i) => el('option', { value: String(i), text: place(path) })));
  const input = el('input', { type: 'text', id: what, 'aria-label': 'New value' });
  const usual = () => { [, input.value] = fields[Number(select.value)]; };
  select.value = String(Math.max(0, size));
  usual();
  select.addEventListener('change', usual);
  const row = el('li', { class: 'ask' }, select, el('span', { class: 'changing' }, input, el('button', { type: 'button', text: 'Leave as it was', onclick: () => row.remove() })));
  row.read = () => `${fields[Number(select.value)][0].join('.')}=${input.value}`;
  byId('repeat-fields').append(row);
  input.focus();
  input.select();
}

async function make(event) {
  event.preventDefault();
  const typed = (id) => byId(id).value.trim();
  const set = [...byId('repeat-fields').children].map((row) => row.read());
  const asked = { order: source, number: typed('repeat-number'), revision: typed('repeat-revision'), date: typed('repeat-date') || null, set };
  byId('repeat').setAttribute('aria-busy', 'true');
  const answer = await post('/repeat', JSON.stringify(asked));
  byId('repeat').removeAttribute('aria-busy');
  return answer.text ? made(answer) : fill(byId('repeat-faults'), ...faults(answer).map((said) => el('li', { text: said })));
}

function faults({ problems, failure, refused }) {
  const one = (p) => `${p.field ? `${place(p.field)}: ` : ''}${worded(p.message)}${p.hint ? ` → ${worded(p.hint)}` : ''}`;
  return problems?.map(one) ?? [failure ?? refused ?? 'The program does not answer.'];
}

function made({ text, name, source: of, left_out: leftOut }) {
  const old = source;
  byId('repeat').close();
  store.load(text, '', false);
  const left = leftOut.length ? ` Not taken over: ${leftOut.map(worded).join('; ')}.` : '';
  notice(`${sentence(`order ${name} repeats ${of}.`)}${left}`, [`Compare with ${of}`, () => compares(`Order ${of}, which is repeated`, old)]);
}

/** Makes the dialog work. `orders()` shows those of the folder, where there is one; `against(label, text)` compares the open order with another. */
export function start(orders, against) {
  compares = against;
  const act = (id, does) => byId(id).addEventListener('click', does);
  const instead = (does) => () => { byId('starts').close(); does(); };
  act('repeat-open', instead(() => show(store.text())));
  byId('repeat-folder').hidden = !orders;
  act('repeat-folder', instead(() => orders()));
  act('repeat-add', another);
  act('repeat-cancel', () => byId('repeat').close());
  byId('repeat-form').addEventListener('submit', make);
}

// The start of a call: the sizes a customer knows by heart, in the order he says them.
import { el } from './dom.js';
import { set } from './json.js';
import * as machines from './machines.js';
import * as order from './order.js';
import * as store from './store.js';

const ASKED = [
  ['Outside diameter', ['wheel', 'outside_diameter'], true],
  ['Thickness', ['wheel', 'thickness'], true],
  ['Bore', ['wheel', 'bore'], true],
  ['Order number', ['order', 'number'], true],
  ['Customer', ['order', 'customer'], false],
  ['Machine', ['machine', 'name'], false],
];
const FIRST_REVISION = 'A';

/** A form with the six boxes; what it begins is an order like any other. */
export function panel() {
  const boxes = ASKED.map(([label, path, needed]) => [path, box(label, path.at(-1), needed)]);
  const unit = el('select', { id: 'guide-units' }, el('option', { value: 'in', text: 'inches' }), el('option', { value: 'mm', text: 'millimetres' }));
  const begin = el('button', { class: 'strong', text: 'Begin the order' });
  const form = el('form', { class: 'guide', id: 'guide', autocomplete: 'off', 'aria-labelledby': 'guide-title' },
    el('p', { class: 'ask' }, el('label', { for: 'guide-units', text: 'Sizes in' }), unit),
    ...boxes.map(([, made]) => made.line), cards(boxes.at(-1)[1].input), el('p', { class: 'small', text: '2-1/2, 2.5 or 63.5 mm: sizes as one says them. Grooves, recesses and the rest are added afterwards.' }), begin);
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    start(unit.value, boxes.map(([path, { input }]) => [path, input.value]));
  });
  return [el('h2', { id: 'guide-title', text: 'A new order' }), form];
}

/** The machines that the shop has cards of, offered while one types. */
function cards(input) {
  const names = machines.names();
  if (names.length === 0) return null;
  input.setAttribute('list', 'guide-cards');
  return el('datalist', { id: 'guide-cards' }, ...names.map((name) => el('option', { value: name })));
}

function box(label, name, needed) {
  const input = el('input', { type: 'text', id: `guide-${name}`, autocomplete: 'off', spellcheck: 'false', required: needed });
  return { input, line: el('p', { class: 'ask' }, el('label', { for: input.id, text: needed ? `${label} *` : label }), input) };
}

function start(unit, fields) {
  let text = '';
  for (const path of [['order', 'number'], ['order', 'revision']]) {
    const said = path[1] === 'revision' ? FIRST_REVISION : fields.find(([at]) => at[1] === 'number')[1];
    text = set(text, path, JSON.stringify(said.trim()));
  }
  text = set(text, ['units'], JSON.stringify(unit));
  store.load(machines.filled(text, fields.find(([path]) => path[0] === 'machine')[1]), '', false);
  order.put(fields.filter(([path]) => path[1] !== 'number'));
}

// The questions of the rules as one asks them on the telephone: each with boxes that fill the fields it names, or the list of answers.
import { el, today } from './dom.js';
import { find } from './json.js';
import * as order from './order.js';
import { pointer, steps } from './pointer.js';
import { kind, label, unit } from './schema.js';
import * as store from './store.js';
import { place } from './words.js';

let schema = null;
export const useSchema = (read) => {
  schema = read;
};
/** Counts the boxes, for their names. */
let counted = 0;

/** Whether a field is not given, or left open with a question mark. */
const isOpen = (node) => node === undefined || (typeof node.value === 'string' && node.value.trim().startsWith('?'));

/** The fields that an answer would fill: the finding's own and the one beside it, as far as the order lacks them or leaves them open. */
function wanted(finding) {
  const root = order.tree();
  const all = [finding.feature, finding.beside].filter(Boolean).map(steps);
  const one = (path) => {
    const read = schema.at(path);
    return read && !['group', 'list'].includes(kind(read)) && isOpen(find(root, path)) ? pointer(path) : null;
  };
  return [...new Set(all.map(one).filter(Boolean))].map(steps);
}

function box(path) {
  const read = schema.at(path);
  counted += 1;
  const id = `asked-${counted}`;
  const options = kind(read) === 'flag' ? ['true', 'false'] : read.oneOf?.map((one) => one.const);
  const input = options
    ? el('select', { id }, el('option', { value: '', text: 'choose' }), ...options.map((value) => el('option', { value, text: value })))
    : el('input', { type: 'text', id, autocomplete: 'off', spellcheck: 'false' });
  // an open size may carry a proposal
  const proposed = order.typed(order.tree(), path).replace(/^\s*\?\s*/, '');
  if (!options && proposed) input.value = proposed;
  const in_ = unit(String(path.at(-1)), read, order.typed(order.tree(), ['units']));
  const text = `${place(path)}${in_ ? ` (${in_})` : ''}`;
  return { path, input, line: el('p', { class: 'ask' }, el('label', { for: id, text }), input) };
}

function line(text, value = '') {
  counted += 1;
  const input = el('input', { type: 'text', id: `asked-${counted}`, autocomplete: 'off' });
  input.value = value;
  return { input, line: el('p', { class: 'ask' }, el('label', { for: input.id, text }), input) };
}

/** What an answer is kept under: the finding's id, with its field where several have it. */
const question = (finding, asked) => (asked.filter((f) => f.id === finding.id).length > 1 ? `${finding.id} ${finding.feature}` : finding.id);

/** Boxes that fill fields, `[pointer, what stands in it to begin with]`. */
export function filling(fields) {
  const made = fields.map(([at, value]) => {
    const one = box(steps(at));
    if (value) one.input.value = value;
    return one;
  });
  const form = el('form', { class: 'answer' }, ...made.map((m) => m.line), el('button', { text: 'Fill in' }));
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    order.put(made.map(({ path, input }) => [path, input.value]));
  });
  return form;
}

/** Boxes for the fields a question is about. */
function asking(finding) {
  const lacking = wanted(finding);
  return lacking.length ? filling(lacking.map((path) => [pointer(path), ''])) : null;
}

/** Boxes for what was agreed, by whom; the day is today. */
function agreed(finding, asked) {
  const by = order.typed(order.tree(), ['order', 'contact']);
  const [answer, who] = [line('What was agreed'), line('Who said so', by)];
  const form = el('form', { class: 'answer' }, answer.line, who.line, el('button', { text: 'Put down the answer' }));
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    const empty = [answer, who].find(({ input }) => input.value.trim() === '');
    if (empty) return empty.input.focus();
    const said = { question: question(finding, asked), answer: answer.input.value.trim(), by: who.input.value.trim(), date: today(), asked: finding.message };
    store.seal();
    return order.add(['answers'], JSON.stringify(said));
  });
  return form;
}

/** The boxes of a question; `asked` are all questions. */
export function answering(finding, asked) {
  const boxes = asking(finding);
  const other = agreed(finding, asked);
  if (!boxes) return other;
  return el('div', {}, boxes, el('details', {}, el('summary', { text: 'Answer in words instead' }), other));
}

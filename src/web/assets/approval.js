// The customer's approval of exactly the order as it is now: recorded beside it in the folder, or as a file to keep.
import { post } from './ask.js';
import { byId, download, el, fill, today } from './dom.js';
import * as files from './files.js';
import * as store from './store.js';

/** The record that was chosen or made here, with the draft it belongs to. */
let held = { id: null, text: null };
/** What the program said last of the order. */
let told = {};
let changed = () => {};

/** The record for the order that is open; null where none was chosen or made here. */
export const record = () => (held.id === store.id() ? held.text : null);
/** The order's file in the folder; null where it lies in none. */
export const file = () => store.shopFile()?.name ?? null;

/** Takes what the program says of the order. */
export function show(answer) {
  told = answer;
  if (byId('approval')) refresh();
}

/** Shows how the order stands. */
export function refresh() {
  const asks = (told.findings ?? []).filter((f) => f.severity === 'ask').length;
  const isIn = Boolean(told.approval?.by);
  byId('approve-waive').hidden = asks === 0;
  byId('approve-waive').querySelector('label').textContent = asks === 1 ? 'Why the open question may stay open' : `Why the ${asks} open questions may stay open`;
  // in the folder the one beside the order counts
  byId('record-wish').hidden = file() !== null;
  byId('approve-form').hidden = store.text().trim() === '' || Boolean(told.problems) || told.verdict === 'stop';
  byId('approve-end').hidden = !isIn && record() === null;
  fill(byId('approval'), el('p', { class: isIn ? 'meets' : null, text: standing(isIn) }));
}

function standing(isIn) {
  if (store.text().trim() === '') return 'No order is open yet.';
  if (isIn) return `Approved by ${told.approval.by} on ${told.approval.date}, as it is now.`;
  if (told.problems) return 'The order is not finished: there is nothing to approve yet.';
  if (told.verdict === 'stop') return 'The rules stop this order: there is nothing to approve yet.';
  if (file() !== null && told.approval?.why && !/no approval/.test(told.approval.why)) return `Not approved: ${told.approval.why}.`;
  if (record() !== null) return 'A record is at hand. Whether it holds for the order as it is now is seen from the files below.';
  return 'Not approved yet. Who approves, and on which day, is put down with everything that was approved.';
}

async function ask(more) {
  if (file() !== null && !store.isSaved()) return say('The order is not saved: an approval is of what lies in the folder.', ['Save it', files.save]);
  const text = store.text();
  const answer = await post('/approve', JSON.stringify({ order: text, file: file(), record: record(), ...more }));
  if (answer.record === undefined) return say([answer.failure ?? answer.refused ?? (answer.problems ? 'The order is not finished.' : 'The program does not answer.'), answer.hint].filter(Boolean).join(' → '));
  if (answer.file === null) {
    held = { id: store.id(), text: answer.record };
    download(`${files.name().replace(/\.json$/, '')}.approval.json`, new Blob([answer.record], { type: 'application/json' }));
  }
  const where = answer.file === null ? 'Keep the file that was downloaded beside the order.' : `It lies beside the order as ${answer.file}.`;
  const what = answer.done === 'withdrawn' ? `The approval by ${answer.by} is withdrawn.` : `Approved by ${answer.by} on ${answer.date}.`;
  say([what, where, answer.remark].filter(Boolean).join(' '));
  return changed();
}

function say(text, act) {
  fill(byId('approve-said'), el('p', { text }), act && el('button', { type: 'button', text: act[0], onclick: act[1] }));
}

const box = (id, label, type = 'text', value = '') => {
  const input = el('input', { type, id, autocomplete: 'off' });
  input.value = value;
  return el('p', { class: 'ask' }, el('label', { for: id, text: label }), input);
};

function approving() {
  const waive = box('approve-why', 'Why open questions may stay open');
  waive.id = 'approve-waive';
  const form = el('form', { class: 'answer', id: 'approve-form' }, box('approve-by', 'Approved by'), box('approve-date', 'On', 'date', today()), waive,
    el('button', { id: 'approve', text: 'Record the approval' }));
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    const waived = byId('approve-waive').hidden ? [] : [byId('approve-why').value];
    ask({ by: byId('approve-by').value, date: byId('approve-date').value, waived });
  });
  return form;
}

function ending() {
  const form = el('form', { class: 'answer' }, box('withdraw-why', 'Why it ends'), el('button', { id: 'withdraw', text: 'Withdraw the approval' }));
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    ask({ withdraw: byId('withdraw-why').value });
  });
  return el('details', { id: 'approve-end' }, el('summary', { text: 'Withdraw it' }), form);
}

/** The section; `onChange()` asks anew for what hangs on the approval. */
export function panel(onChange) {
  changed = onChange;
  const input = el('input', { type: 'file', id: 'record', accept: '.json,application/json' });
  input.addEventListener('change', async () => {
    const [chosen] = input.files;
    held = { id: store.id(), text: chosen ? await chosen.text() : null };
    changed();
  });
  return el('section', { class: 'step', 'aria-labelledby': 'approval-title' }, el('h2', { id: 'approval-title', text: 'Approval' }),
    el('div', { id: 'approval' }), approving(), el('div', { id: 'approve-said', role: 'status' }),
    el('p', { class: 'wish', id: 'record-wish' }, el('label', { for: 'record', text: 'A record that is there already' }), input), ending());
}

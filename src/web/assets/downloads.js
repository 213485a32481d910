// Everything that a pack holds: what there is, what there is not and why, each file and all of them as one zip.
import { fetchFile, post } from './ask.js';
import { byId, download, el, fill } from './dom.js';
import * as store from './store.js';

let wishes = { unapproved: false, approval: null, approvalName: '' };
/** Counts the questions, so that a late answer to an old one is not shown. */
let asked = 0;

const body = () => JSON.stringify({ order: store.text(), unapproved: wishes.unapproved, approval: wishes.approval });

const WORDS = {
  order: 'the order as typed', findings: 'what the rules found', properties: 'the numbers', drawing: 'approval drawing',
  approval: 'record of the approval', machine: 'machine file', traveller: 'shop traveller', inspection: 'inspection sheet', label: 'labels',
};

function size(bytes) {
  return bytes < 1024 ? `${bytes} bytes` : `${Math.round(bytes / 1024)} KiB`;
}

/** Asks for a file and hands it over; what went wrong is said beside the button. */
async function get(address, name, button) {
  button.disabled = true;
  const answer = await fetchFile(address, body());
  button.disabled = false;
  if (answer.blob) return download(name, answer.blob);
  const why = answer.failure ?? answer.refused ?? (answer.problems ? 'the order is not finished' : 'the program does not answer');
  return button.after(el('p', { class: 'failed', role: 'alert', text: why }));
}

function row(entry) {
  const button = el('button', { type: 'button', text: 'Download', 'aria-label': `Download ${entry.name}` });
  button.addEventListener('click', () => get(`/pack/file/${encodeURIComponent(entry.name)}`, entry.name, button));
  const cells = [entry.name, WORDS[entry.kind] ?? entry.kind, size(entry.bytes)].map((text) => el('td', { text }));
  return el('tr', {}, ...cells, el('td', {}, button));
}

function list(answer) {
  const entries = [...answer.manifest.files, { name: 'manifest.json', kind: 'list of the pack', bytes: answer.manifest_bytes }];
  const zip = el('button', { type: 'button', id: 'zip', class: 'strong', text: `All ${entries.length} files as ${answer.name}.zip` });
  zip.addEventListener('click', () => get('/pack/zip', `${answer.name}.zip`, zip));
  const heads = ['File', 'What it is', 'Size', 'Get it'].map((text) => el('th', { scope: 'col', text }));
  const table = el('table', { class: 'files' }, el('thead', {}, el('tr', {}, ...heads)), el('tbody', {}, ...entries.map(row)));
  const not = answer.manifest.withheld.map((w) => el('li', { text: `${WORDS[w.kind] ?? w.kind}: ${w.why}` }));
  const told = answer.remarks.map((text) => el('li', { text }));
  return [
    zip,
    not.length ? el('section', { class: 'withheld' }, el('h3', { text: 'Not made' }), el('ul', {}, ...not)) : null,
    told.length ? el('section', {}, el('h3', { text: 'Remarks' }), el('ul', {}, ...told)) : null,
    table,
  ];
}

/** Asks what the pack of the order as it is now holds. */
export async function refresh() {
  asked += 1;
  const mine = asked;
  const answer = await post('/pack/list', body());
  if (mine !== asked) return;
  const place = byId('pack');
  place.removeAttribute('aria-busy');
  if (answer.manifest) return fill(place, ...list(answer));
  const why = answer.failure ?? answer.refused ?? null;
  if (why) return fill(place, el('p', { class: 'failed', text: `${why}${answer.hint ? ` → ${answer.hint}` : ''}` }));
  const text = answer.problems ? 'The order is not finished: put right what is named at the top, then its files are here.' : 'The program does not answer.';
  return fill(place, el('p', { text }));
}

/** The panel. */
export function panel() {
  const unapproved = el('input', { type: 'checkbox', id: 'unapproved' });
  unapproved.addEventListener('change', () => {
    wishes = { ...wishes, unapproved: unapproved.checked };
    refresh();
  });
  const record = el('input', { type: 'file', id: 'record', accept: '.json,application/json' });
  record.addEventListener('change', async () => {
    const [file] = record.files;
    wishes = { ...wishes, approval: file ? await file.text() : null };
    refresh();
  });
  const pair = (input, text) => el('p', { class: 'wish' }, input, el('label', { for: input.id, text }));
  return [
    el('h2', { text: 'Files of this order' }),
    el('p', { text: 'The same files, byte for byte, as `wheeldraft pack` writes.' }),
    el('p', { class: 'wish' }, el('label', { for: 'record', text: 'Record of the customer’s approval' }), record),
    pair(unapproved, 'Machine files also without it; their names then say UNAPPROVED'),
    el('div', { id: 'pack' }),
  ];
}

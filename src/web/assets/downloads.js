// Everything that a pack holds: what there is, what there is not and why, each file and all of them as one zip.
import * as approval from './approval.js';
import { fetchFile, post } from './ask.js';
import * as compare from './compare.js';
import { byId, download, el, fill } from './dom.js';
import * as folder from './folder.js';
import { notice } from './notice.js';
import * as price from './price.js';
import * as stock from './stock.js';
import * as store from './store.js';
import { worded } from './words.js';

/** The text for which machine files are made without an approval: asked for anew as soon as the order changes. */
let allowed = null;
/** Counts the questions, so that a late answer to an old one is not shown. */
let asked = 0;

const isWithout = () => allowed === store.text();
const body = () => JSON.stringify({ order: store.text(), unapproved: isWithout(), approval: approval.record(), file: approval.file() });

const WORDS = {
  order: 'the order as typed', findings: 'what the rules found', properties: 'the numbers', drawing: 'approval drawing',
  approval: 'record of the approval', machine: 'machine file', traveller: 'shop traveller', inspection: 'inspection sheet', label: 'labels',
  'program-sheet': 'sheet of a program', calculation: 'calculation sheets', solid: 'the wheel as a solid', controls: 'the controls its programs are for',
  rules: 'the shop’s rules it is made by', 'title-block': 'the shop’s title block', logo: 'the shop’s sign', 'traveller-template': 'what the traveller is made from',
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
  const cells = [['File', entry.name], ['What it is', WORDS[entry.kind] ?? entry.kind], ['Size', size(entry.bytes)]].map(([head, text]) => el('td', { 'data-head': head, text }));
  return el('tr', {}, ...cells, el('td', {}, button));
}

function list(answer) {
  const entries = [...answer.manifest.files, { name: 'manifest.json', kind: 'list of the pack', bytes: answer.manifest_bytes }];
  const zip = el('button', { type: 'button', id: 'zip', class: 'strong', text: `All ${entries.length} files as ${answer.name}.zip` });
  zip.addEventListener('click', () => get('/pack/zip', `${answer.name}.zip`, zip));
  const heads = ['File', 'What it is', 'Size', 'Get it'].map((text) => el('th', { scope: 'col', text }));
  const table = el('table', { class: 'files' }, el('thead', {}, el('tr', {}, ...heads)), el('tbody', {}, ...entries.map(row)));
  const not = answer.manifest.withheld.map((w) => el('li', { text: `${WORDS[w.kind] ?? w.kind}: ${worded(w.why)}` }));
  const told = answer.remarks.map((text) => el('li', { text }));
  return [
    el('p', { class: 'wish' }, zip, folder.isThere() && approval.file() !== null ? el('button', { type: 'button', id: 'pack-put', text: 'Put the pack into the shop’s folder', onclick: put }) : ''),
    not.length ? el('section', { class: 'withheld' }, el('h3', { text: 'Not made' }), el('ul', {}, ...not), without(answer)) : null,
    isWithout() ? el('p', { class: 'withheld', text: 'Machine files of this order are made without an approval; their names say UNAPPROVED. A change of the order ends that.' }) : null,
    told.length ? el('section', {}, el('h3', { text: 'Remarks' }), el('ul', {}, ...told)) : null,
    table,
  ];
}

/** The pack in the shop's folder, as the command makes it. */
async function put() {
  const answer = await post('/pack/put', body());
  const why = answer.failure ?? answer.refused ?? (answer.problems ? 'The order is not finished.' : 'The program does not answer.');
  return notice(answer.folder ? `${answer.files} files are in ${answer.folder}. ${answer.remark ?? ''}` : `Not written. ${why}${answer.hint ? ` → ${answer.hint}` : ''}`);
}

/** Asks each time whether machine files are wanted without an approval. */
function without(answer) {
  if (!answer.manifest.withheld.some((w) => w.kind === 'machine') || answer.manifest.verdict === 'stop') return null;
  return el('button', { type: 'button', id: 'without', text: 'Machine files without an approval …', onclick: () => byId('without-dialog').showModal() });
}

function allow() {
  allowed = store.text();
  refresh();
}

/** Asks what the pack of the order as it is now holds. */
export async function refresh() {
  stock.refresh();
  price.refresh();
  approval.refresh();
  asked += 1;
  const mine = asked;
  const answer = await post('/pack/list', body());
  if (mine !== asked) return;
  const place = byId('pack');
  place.removeAttribute('aria-busy');
  if (answer.manifest) return fill(place, ...list(answer));
  const why = answer.failure ?? answer.refused ?? null;
  if (why) return fill(place, el('p', { class: 'failed', text: worded(`${why}${answer.hint ? ` → ${answer.hint}` : ''}`) }));
  return fill(place, el('p', { text: answer.problems ? unfinished() : 'The program does not answer.' }));
}

const unfinished = () => (store.text().trim() === '' ? 'No order is open yet: start one, and its files are here.' :
  'The order is not finished: put right what is named at the top, then its files are here.');

/** The panel: what ends a call, in its order; `onApproval()` asks anew for the drawing. */
export function panel(onApproval) {
  byId('without-dialog').addEventListener('close', () => byId('without-dialog').returnValue === 'yes' && allow());
  return [
    stock.panel(),
    price.panel(),
    approval.panel(onApproval),
    compare.panel(),
    el('section', { class: 'step', 'aria-labelledby': 'pack-title' }, el('h2', { id: 'pack-title', text: 'Files of this order' }),
      el('p', { text: 'Drawing, papers and machine files, as far as the order allows; each file alone, or all of them in one.' }), el('div', { id: 'pack' })),
  ];
}

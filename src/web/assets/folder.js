// The folder of orders that the program works in: its list, opening, saving in place. Two versions of a file are shown, never mixed.
import { post } from './ask.js';
import { byId, el, fill } from './dom.js';
import { notice, passed, passing } from './notice.js';
import * as store from './store.js';

/** The orders of the folder; none where there is none. */
export const orders = async () => (isThere() ? ((await got('/folder')).orders ?? []) : []);

/** The text of one of them; empty where it cannot be read. */
export const textOf = async (file) => (await got(`/folder/${encodeURIComponent(file)}`)).text ?? '';

const WORDS = {
  unfinished: 'unfinished', stop: 'stopped', ask: 'questions open', clear: 'clear', approved: 'approved',
};
const PACKS = { current: 'packed', stale: 'its pack is of an older state' };
/** The folder's path; null where there is none. */
let place = null;
let listed = [];
let repeats = () => {};

export const isThere = () => place !== null;

/** `path` is the folder's; null where the program works in none. `repeater(text)` makes a new order of an earlier one. */
export function start(path, repeater) {
  [place, repeats] = [path ?? null, repeater];
  if (!isThere()) return;
  byId('orders').hidden = false;
  byId('orders').addEventListener('click', show);
  byId('orders-search').addEventListener('input', fillList);
}

async function got(address) {
  try {
    return await (await fetch(address)).json();
  } catch {
    return { refused: 'The program does not answer.' };
  }
}

/** Shows the list. */
export async function show() {
  byId('orders-place').textContent = place;
  fill(byId('orders-list'), el('li', { text: 'Looking …' }));
  byId('orders-list').setAttribute('aria-busy', 'true');
  byId('orders-dialog').showModal();
  const answer = await got('/folder');
  byId('orders-list').removeAttribute('aria-busy');
  if (answer.refused) return fill(byId('orders-list'), el('li', { text: answer.refused }));
  if (answer.remark) notice(`The shop’s book cannot be read. ${answer.remark}`);
  listed = answer.orders;
  return fillList();
}

function fillList() {
  const words = byId('orders-search').value.toLowerCase().split(/\s+/).filter(Boolean);
  const said = (o) => [o.file, o.name, o.customer, o.item, WORDS[o.state], o.next, o.book?.state, o.book?.next, o.book?.late && 'late', PACKS[o.pack]].join(' ').toLowerCase();
  const found = listed.filter((o) => words.every((w) => said(o).includes(w)));
  const none = listed.length ? 'No order has these words.' : 'There is no order in this folder yet: save one, and it is here.';
  fill(byId('orders-list'), ...(found.length ? found.map(row) : [el('li', { text: none })]));
}

function row(order) {
  const title = el('b', { text: [order.name || order.file, order.customer].filter(Boolean).join(' · ') });
  const state = el('span', { class: 'state', 'data-state': order.state, text: WORDS[order.state] ?? order.state });
  const { book } = order;
  const far = book && `${book.state}${book.due ? `, due ${book.due}` : ''}`;
  // what stops the order or is open comes before what the book says is next
  const next = book && ['clear', 'approved'].includes(order.state) ? (book.next ?? 'done') : order.next;
  const parts = [far, `next: ${next}`, (order.pack === 'stale' || !far?.startsWith('packed')) && PACKS[order.pack], order.item, order.file];
  const said = el('span', {}, state, book?.late ? el('b', { class: 'late', text: ' LATE' }) : '', ` ${parts.filter(Boolean).join(' · ')}`);
  const again = el('button', { type: 'button', class: 'again', text: 'Repeat …', 'aria-label': `Repeat ${order.name || order.file} …`, onclick: () => repeat(order.file) });
  return el('li', { class: 'order-row' }, el('button', { type: 'button', onclick: () => open(order.file) }, title, said), again);
}

/** A new order of one of the folder. */
async function repeat(file) {
  const answer = await got(`/folder/${encodeURIComponent(file)}`);
  byId('orders-dialog').close();
  return answer.refused ? notice(`Not opened. ${answer.refused}`) : repeats(answer.text);
}

async function open(file) {
  const answer = await got(`/folder/${encodeURIComponent(file)}`);
  byId('orders-dialog').close();
  if (answer.refused) return notice(`Not opened. ${answer.refused}`);
  return store.load(answer.text, answer.file, true, { name: answer.file, version: answer.version });
}

/** Saves the order in its place in the folder; a new one under its own name. */
export async function save(name) {
  passed();
  const [text, shop] = [store.text(), store.shopFile()];
  const file = shop?.name ?? name;
  const answer = await post('/folder', JSON.stringify({ file, text, version: shop?.version ?? null }));
  if (answer.version) return done(file, text, answer);
  if (answer.theirs !== undefined) return choose(file, text, answer.theirs);
  return passing(`Not saved. ${answer.refused ?? 'The program does not answer; what you typed is kept in this browser.'}`);
}

function done(file, text, { version, taken, remark }) {
  if (text === store.text()) store.saved(file, { name: file, version });
  const said = taken && `The shop’s book says that the blank ${taken} is taken for it.`;
  passing([`Saved as ${file}.`, said, remark].filter(Boolean).join(' '));
}

/** The file is another one than was opened: both are shown, and which goes on is chosen. */
function choose(file, mine, theirs) {
  const dialog = byId('versions');
  const act = (text, does) => el('button', { type: 'button', text, onclick: () => { dialog.close(); does(); } });
  const other = free(file);
  const gone = theirs === null;
  fill(byId('versions-said'), el('p', { text: gone ? `${file} is not in the folder any more. Nothing was saved.` : `${file} was changed by somebody else. Nothing was saved.` }));
  fill(byId('versions-both'), ...(gone ? [] : [version('In the folder', theirs.text, mine)]), version('Yours', mine, theirs?.text ?? ''));
  fill(byId('versions-acts'),
    !gone && act('Go on with the one in the folder', () => store.load(theirs.text, file, true, { name: file, version: theirs.version })),
    act(`Save yours as ${other}`, () => saveNew(other)), act('Neither now', () => {}));
  dialog.showModal();
}

async function saveNew(file) {
  const text = store.text();
  const answer = await post('/folder', JSON.stringify({ file, text, version: null }));
  if (answer.version) return done(file, text, answer);
  return answer.theirs !== undefined ? choose(file, text, answer.theirs) : passing(`Not saved. ${answer.refused ?? 'The program does not answer.'}`);
}

const free = (file) => file.replace(/\.json$/, '-copy.json');

/** A text with the lines marked that the other one lacks. */
function version(title, text, other) {
  const there = new Set(other.split(/\r?\n/));
  const lines = text.split(/\r?\n/).map((line) => (there.has(line) ? `${line}\n` : el('mark', { text: `${line}\n` })));
  return el('section', {}, el('h3', { text: title }), el('pre', { tabindex: '0', 'aria-label': title }, ...lines));
}

// Two states of an order beside each other: the last revision, a variant that was kept, a file; what differs in words, numbers and picture.
import { post } from './ask.js';
import { byId, el, fill } from './dom.js';
import * as drafts from './drafts.js';
import * as folder from './folder.js';
import { drawing } from './markup.js';
import { notice } from './notice.js';
import { parsed, typed } from './order.js';
import * as store from './store.js';
import { described } from './title.js';
import { place, rule, worded } from './words.js';

/** So many variants are kept for a tab. */
const MOST = 8;
/** Variants kept here, newest first: `{name, text}`. */
let kept = [];
let picked = null;
/** Whether a variant was kept since the comparison was looked at: then it is what one wants to see. */
let isNew = false;
/** What can be chosen now, by key: `{label, text()}`. */
let choices = new Map();
let asked = 0;

const named = (text) => described(text).name || 'without a number';

/** Keeps the order as it is now as a variant. */
export function keep() {
  if (store.text().trim() === '') return notice('No order is open yet: there is nothing to keep.');
  const letter = String.fromCharCode(65 + (kept.length % 26));
  kept = [{ name: `Variant ${letter} of ${named(store.text())}`, text: store.text() }, ...kept].slice(0, MOST);
  isNew = true;
  return notice(`Kept as ${kept[0].name}. Go on changing the order, then compare.`, ['Compare', show]);
}

/** Number and revision of a name such as `1042-B`. */
const parts = (name) => /^(.*)-([^-]+)$/.exec(name)?.slice(1) ?? [name, ''];

async function gather() {
  const found = new Map([['now', { label: `The order as it is now (${named(store.text())})`, text: () => store.text() }]]);
  const saved = store.savedText();
  if (saved && saved !== store.text()) found.set('saved', { label: 'As it was saved or opened', text: () => saved });
  kept.forEach(({ name, text }, i) => found.set(`kept-${i}`, { label: name, text: () => text }));
  if (picked) found.set('file', { label: picked.label, text: () => picked.text });
  const [number, revision] = parts(described(store.text()).name);
  const basedOn = typed(parsed(store.text()), ['order', 'based_on']);
  for (const order of await folder.orders()) {
    const [n, r] = parts(order.name);
    const isEarlier = n === number && r !== revision;
    const isSource = order.name === basedOn;
    found.set(`folder-${order.file}`, { label: `${isEarlier ? 'Revision' : 'Order'} ${order.name || order.file}`, text: () => folder.textOf(order.file), isEarlier, isSource, revision: r });
  }
  for (const d of drafts.list().filter((d) => d.id !== store.id()).slice(0, MOST)) found.set(`draft-${d.id}`, { label: `Draft ${d.name || d.file || 'without a number'}, ${new Date(d.time).toLocaleString()}`, text: () => d.text });
  return [found, revision];
}

/** A variant that was just kept, else the order this one repeats, else the last revision before this one, else a variant, else what was saved. */
function usual(found, revision) {
  const other = kept.findIndex(({ text }) => text !== store.text());
  if (isNew && other >= 0) return `kept-${other}`;
  const source = [...found].find(([, c]) => c.isSource);
  if (source) return source[0];
  const earlier = [...found].filter(([, c]) => c.isEarlier && c.revision < revision).sort(([, a], [, b]) => (a.revision < b.revision ? 1 : -1));
  return earlier[0]?.[0] ?? [...found.keys()].find((key) => key !== 'now') ?? 'now';
}

/** Opens the comparison with another order. */
export async function against(label, text) {
  picked = { label, text };
  byId('compare-old').value = '';
  await show();
  byId('compare-old').value = 'file';
  return compare();
}

/** Opens the comparison. */
export async function show() {
  const [found, revision] = await gather();
  choices = found;
  for (const id of ['compare-old', 'compare-new']) {
    const select = byId(id);
    const was = select.value;
    fill(select, ...[...found].map(([value, { label }]) => el('option', { value, text: label })));
    select.value = found.has(was) && was !== 'now' && !isNew ? was : id === 'compare-new' ? 'now' : usual(found, revision);
  }
  isNew = false;
  if (!byId('compare').open) byId('compare').showModal();
  compare();
}

async function compare() {
  asked += 1;
  const mine = asked;
  const [old, now] = await Promise.all(['compare-old', 'compare-new'].map((id) => choices.get(byId(id).value)?.text() ?? ''));
  if (!old?.trim() || !now?.trim()) return fill(byId('compared'), el('p', { text: 'Keep the order as a variant, or choose a file: then both stand here beside each other.' }));
  byId('compared').setAttribute('aria-busy', 'true');
  const answer = await post(`/compare/${byId('compare-look').value}`, JSON.stringify({ old, new: now }));
  if (mine !== asked) return undefined;
  byId('compared').removeAttribute('aria-busy');
  if (!answer.changes) return fill(byId('compared'), el('p', { class: 'failed', text: answer.failure ?? answer.refused ?? 'The program does not answer.' }));
  return fill(byId('compared'), ...content(answer, [old, now]));
}

function content(answer, texts) {
  const side = (which, svg, text) => {
    const state = answer[which];
    const picture = svg ? drawing(svg) : null;
    picture?.setAttribute('role', 'img');
    picture?.setAttribute('aria-label', `Order ${state.order}`);
    const use = text !== store.text() && el('button', { type: 'button', text: 'Go on with this one', onclick: () => { byId('compare').close(); store.seal(); store.edit(text); } });
    const head = el('div', { class: 'head' }, el('h3', { text: `${which === 'old' ? 'First' : 'Second'}: ${state.order}` }), el('span', { class: 'state', 'data-state': state.verdict, text: state.verdict.toUpperCase() }), use || '');
    return el('section', {}, head, picture ?? el('p', { text: 'This view of it cannot be drawn.' }));
  };
  const pictures = el('div', { class: 'both pictures' }, side('old', answer.views[0], texts[0]), side('new', answer.views[1], texts[1]));
  if (answer.old.fingerprint === answer.new.fingerprint) return [el('p', { class: 'meets', text: 'No difference: both say the same.' }), pictures];
  return [pictures, rows('What differs', answer.changes), rows('Numbers', answer.reckoned), findings('Findings of the second only', answer.appeared),
    findings('Findings of the first only', answer.went), overlaid(answer)].filter(Boolean);
}

/** What became of a field; what an answer is about is named as elsewhere on the page. */
const became = ({ field, text }) => (/^\/answers\/\d+\/question$/.test(field ?? '') ? text.split(' → ').map(rule).join(' → ') : text);

function rows(title, list) {
  if (list.length === 0) return null;
  const one = (r) => el('tr', {}, el('th', { scope: 'row', text: r.field ? place(r.field) : r.label }), el('td', { text: became(r) }));
  return el('section', {}, el('h3', { text: title }), el('div', { class: 'scroll', role: 'group', tabindex: '0', 'aria-label': title }, el('table', {}, el('tbody', {}, ...list.map(one)))));
}

const findings = (title, list) => (list.length ? el('section', {}, el('h3', { text: title }), el('ul', {}, ...list.map((f) => el('li', { text: `${f.severity.toUpperCase()} ${worded(f.message)}` })))) : null);

function overlaid(answer) {
  const sheets = answer.svgs.map((svg) => drawing(svg)).filter(Boolean);
  sheets.forEach((sheet, i) => { sheet.setAttribute('role', 'img'); sheet.setAttribute('aria-label', `Both sections over each other, sheet ${i + 1}`); });
  return el('details', { class: 'overlaid' }, el('summary', { text: 'Both over each other' }), ...sheets);
}

/** Makes the dialog work. */
export function start() {
  for (const id of ['compare-old', 'compare-new', 'compare-look']) byId(id).addEventListener('change', compare);
  byId('compare-file').addEventListener('change', async () => {
    const [file] = byId('compare-file').files;
    if (!file) return;
    against(`File ${file.name}`, await file.text());
  });
}

/** The section. */
export function panel() {
  const act = (id, text, does) => el('button', { type: 'button', id, text, onclick: does });
  return el('section', { class: 'step', 'aria-labelledby': 'compare-heading' }, el('h2', { id: 'compare-heading', text: 'Comparison' }),
    el('p', { text: 'With the last revision, with a file, or two variants beside each other: what differs in words, numbers and picture.' }),
    el('p', { class: 'wish' }, act('compare-keep', 'Keep this as a variant', keep), act('compare-open', 'Compare …', show)));
}

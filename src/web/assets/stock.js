// The blank: which wheels of the stock list the order can be made of, best first, and taking one at a click.
import { post } from './ask.js';
import { byId, el, fill, money, shown } from './dom.js';
import { save } from './files.js';
import * as folder from './folder.js';
import { notice } from './notice.js';
import * as order from './order.js';
import * as picked from './picked.js';
import * as store from './store.js';
import { place, worded } from './words.js';

/** Counts the questions, so that a late answer to an old one is not shown. */
let asked = 0;

/** Asks which stock wheels the order as it is now can be made of. */
export async function refresh() {
  asked += 1;
  const mine = asked;
  const answer = await post('/blanks', JSON.stringify({ order: store.text(), stock: picked.text('stock') }));
  if (mine === asked) fill(byId('blanks'), ...content(answer));
}

function content(answer) {
  if (store.text().trim() === '') return [el('p', { text: 'No order is open yet: start one, and the wheels it can be made of are here.' })];
  if (answer.lacks) return [el('p', { text: 'Choose the stock list, a csv file: the wheels this order can be made of are then listed here, best first.' })];
  if (answer.problems && !answer.suitable) return [el('p', { text: 'The order is not finished: put right what is named at the top, then its blanks are here.' })];
  if (!answer.suitable) return [el('p', { class: 'failed', text: worded([answer.failure ?? answer.refused ?? 'The program does not answer.', answer.hint].filter(Boolean).join(' → ')) })];
  const none = answer.suitable.length === 0 && el('p', { class: 'against', text: 'No wheel of the stock list can make this order.' });
  const differs = answer.blank_not_as_listed.map((what) => el('p', { class: 'against', text: `The order’s blank is not as listed: ${what}.` }));
  const shops = picked.text('stock') === null && el('p', { class: 'small', text: 'From the shop’s stock list; another one can be chosen above.' });
  return [shops, ...differs, none, answer.suitable.length ? table(answer) : null, others(answer)].filter(Boolean);
}

const HEADS = ['Number', 'Size', 'Mark', 'Cut away', 'Cost', 'There', 'To mind', 'Blank'];

function table(answer) {
  const heads = HEADS.map((text) => el('th', { scope: 'col', text }));
  const made = el('table', { class: 'files' }, el('thead', {}, el('tr', {}, ...heads)), el('tbody', {}, ...answer.suitable.map((c) => row(c, answer))));
  return el('div', { class: 'scroll', role: 'group', tabindex: '0', 'aria-label': 'Wheels of the stock list' }, made);
}

const size = ({ outside_diameter: d, thickness: t, bore: h }, answer) =>
  `${[d, t, h].map((mm) => shown(mm / answer.mm_per_unit, 3)).join(' × ')} ${answer.units}`;

function row(stock, answer) {
  const cells = [stock.id, size(stock, answer), stock.marking ?? '–', `${shown(100 * stock.removed_share, 1)} %`, money(stock.cost), stock.count ?? '–', stock.remarks.join('; ') || '–'];
  const isTaken = (answer.taken ?? '').split(', ').includes(stock.id);
  const act = isTaken ? el('b', { text: 'taken' }) : el('button', { type: 'button', text: 'Take', 'aria-label': `Take ${stock.id} as the blank`, onclick: () => take(stock.id) });
  return el('tr', {}, ...cells.map((text, i) => el('td', { 'data-head': HEADS[i], text: String(text) })), el('td', {}, act));
}

/** A wheel that only just cannot be used: what the customer would have to agree to, put in at a click. */
function asking({ question }) {
  const sizes = [...question.matchAll(/(outside diameter|thickness|bore) of (\S+ (?:in|mm)) instead of/g)].map(([, what, size]) => [['wheel', what.replace(' ', '_')], size]);
  const said = sizes.map(([path, size]) => `${place(path).toLowerCase()} ${size}`).join(', ');
  return [` · to ask the customer: ${question} `, sizes.length ? el('button', { type: 'button', class: 'offer', text: `Agreed: ${said}`, onclick: () => order.put(sizes) }) : ''];
}

function others(answer) {
  const rejected = answer.rejected.map((r) => el('li', {}, el('b', { text: r.id }), ` ${r.reasons.join('; ')}`, ...(r.question ? asking(r) : [])));
  const unread = answer.problems.map((p) => el('li', { text: `line ${p.line}: ${p.message}` }));
  const all = [...rejected, ...unread];
  return all.length ? el('details', {}, el('summary', { text: `Cannot be used (${all.length})` }), el('ul', {}, ...all)) : null;
}

/** Makes a stock wheel the order's blank; Undo takes it back. */
async function take(id) {
  const text = store.text();
  const answer = await post('/blanks/take', JSON.stringify({ order: text, stock: picked.text('stock'), ids: [id] }));
  if (answer.text === undefined) return byId('blanks').prepend(el('p', { class: 'failed', role: 'alert', text: answer.failure ?? answer.refused ?? 'The program does not answer.' }));
  if (text !== store.text()) return undefined;
  store.seal();
  store.edit(answer.text);
  return folder.isThere() ? notice(`${id} is the blank now. When the order is saved, the shop’s book says so too.`, ['Save', save]) : undefined;
}

/** The section. */
export function panel() {
  return el('section', { class: 'step', 'aria-labelledby': 'blanks-title' }, el('h2', { id: 'blanks-title', text: 'Blank' }),
    picked.box('stock', 'Stock list', '.csv,text/csv', refresh), el('div', { id: 'blanks' }));
}

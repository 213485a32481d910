// The price: the quotation of the order as it is now, and its sheets.
import { fetchFile, post } from './ask.js';
import { byId, download, el, fill, money } from './dom.js';
import * as picked from './picked.js';
import * as store from './store.js';
import { worded } from './words.js';

let asked = 0;

const question = (more = {}) => JSON.stringify({
  order: store.text(), stock: picked.text('stock'), rates: picked.text('rates'), date: byId('price-date').value, blank_cost: byId('price-blank').value.trim() || null, ...more,
});

/** Asks for the price of the order as it is now. */
export async function refresh() {
  asked += 1;
  const mine = asked;
  const answer = await post('/quote', question());
  if (mine === asked) fill(byId('price'), ...content(answer));
}

function content(answer) {
  if (store.text().trim() === '') return [el('p', { text: 'No order is open yet: start one, and its price is here.' })];
  if (answer.lacks) return [el('p', { text: 'Choose the shop’s rates, a JSON file: time and price are then here.' })];
  if (answer.problems) return [el('p', { text: 'The order is not finished: put right what is named at the top, then its price is here.' })];
  if (!answer.lines) return [el('p', { class: 'failed', text: worded([answer.failure ?? answer.refused ?? 'The program does not answer.', answer.hint].filter(Boolean).join(' → ')) })];
  const shops = picked.text('rates') === null && el('p', { class: 'small', text: 'By the shop’s rates; others can be chosen above.' });
  return [shops, said(answer), answer.prices.length ? prices(answer) : null, lines(answer), sheets(answer)].filter(Boolean);
}

function said(answer) {
  const { blank } = answer;
  const made = blank?.stock ? `Made of ${blank.stock}` : blank ? 'Made of the blank that the order names' : 'The blank is not known';
  const cost = blank?.cost ? `, ${money(blank.cost)} ${answer.currency} each` : '; its cost is not in the price';
  const until = answer.valid_until ? ` Valid until ${answer.valid_until}.` : '';
  const none = answer.prices.length ? '' : ' No price can be named: neither the order nor the stock says which blank it is made of.';
  const stop = answer.verdict === 'stop' ? ' The rules stop this order: nothing is to be offered by it yet.' : '';
  return el('p', { class: none || stop ? 'against' : null, text: `${made}${cost}.${until}${none}${stop}` });
}

const table = (name, heads, rows) => el('div', { class: 'scroll', role: 'group', tabindex: '0', 'aria-label': name },
  el('table', {}, el('thead', {}, el('tr', {}, ...heads.map((text) => el('th', { scope: 'col', text })))),
    el('tbody', {}, ...rows.map((cells) => el('tr', {}, ...cells.map((text) => el('td', { text: String(text ?? '–') })))))));

const prices = (answer) => table('Prices', ['Wheels', `Each, ${answer.currency}`, `Total, ${answer.currency}`, 'Working days'], answer.prices.map((p) => [p.quantity, money(p.each), money(p.total), p.days]));

function lines(answer) {
  const rows = answer.lines.map((l) => [l.title, l.at, l.setup_min, l.each_min === null ? 'not known' : l.each_min.toFixed(2), money(l.cost), l.formula]);
  const heads = ['Operation', 'At', 'Set-up, min', 'Each, min', `Cost, ${answer.currency}`, 'How'];
  return el('details', {}, el('summary', { text: `How it is reckoned (${rows.length} operations)` }), table('How it is reckoned', heads, rows));
}

function sheets(answer) {
  if (answer.prices.length === 0) return null;
  const one = (text, inner) => {
    const button = el('button', { type: 'button', id: inner ? 'quote-inner' : 'quote-sheet', text });
    button.addEventListener('click', async () => {
      const made = await fetchFile('/quote/sheet', question({ inner }));
      if (made.blob) return download(made.name, made.blob);
      return button.after(el('p', { class: 'failed', role: 'alert', text: made.failure ?? made.refused ?? 'The program does not answer.' }));
    });
    return button;
  };
  return el('p', { class: 'wish' }, one('Quotation for the customer', false), one('The shop’s own sheet', true));
}

/** The section. */
export function panel() {
  const box = (id, label, type) => {
    const input = el('input', { type, id, autocomplete: 'off' });
    input.addEventListener('change', refresh);
    return el('p', { class: 'ask' }, el('label', { for: id, text: label }), input);
  };
  return el('section', { class: 'step', 'aria-labelledby': 'price-title' }, el('h2', { id: 'price-title', text: 'Price' }),
    picked.box('rates', 'Rates', '.json,application/json', refresh),
    box('price-date', 'Day of the quotation', 'date'), box('price-blank', 'What the order’s own blank costs', 'text'), el('div', { id: 'price' }));
}

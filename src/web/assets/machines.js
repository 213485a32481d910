// Cards of the customers' machines in the shop's folder: one fills spindle, mount and tools into the order.
import { byId, el, fill } from './dom.js';
import { set } from './json.js';
import { notice } from './notice.js';
import * as order from './order.js';
import { steps } from './pointer.js';
import * as store from './store.js';

let cards = [];

/** Reads the cards anew: people change them while the page is open. */
export async function load() {
  try {
    const answer = await (await fetch('/machines')).json();
    cards = answer.machines ?? [];
    if (answer.failure) notice(`The machine cards cannot be read. ${answer.failure}`);
  } catch {
    cards = [];
  }
  byId('card').hidden = cards.length === 0;
}

export const names = () => cards.map((card) => card.name);

/** A text with what the card of this name sets; the text as it is where there is no such card. */
export function filled(text, name) {
  const card = cards.find((c) => c.name === name.trim());
  const unit = order.typed(order.parsed(text), ['units']) || 'in';
  return (card?.[unit] ?? []).reduce((made, [field, json]) => set(made, steps(field), json), text);
}

async function show() {
  await load();
  const one = (card) => el('li', {}, el('button', { type: 'button', onclick: () => take(card.name) }, el('b', { text: card.name }), el('span', { text: card.customer ?? 'for any customer' })));
  fill(byId('machines-list'), ...cards.map(one));
  byId('machines').showModal();
}

function take(name) {
  byId('machines').close();
  store.seal();
  store.edit(filled(store.text().trim() === '' ? '{}' : store.text(), name));
}

/** The button that offers them, hidden where there are none. */
export const button = () => el('button', { type: 'button', id: 'card', text: 'Machine card …', hidden: true, onclick: show });

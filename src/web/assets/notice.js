// A line that tells what just happened or did not, until it is put away.
import { byId, el, fill } from './dom.js';

/** Whether what is told is over with the next change of the order. */
let isPassing = false;

/** Tells something; `acts` are buttons: `[label, what it does]`. */
export function notice(text, ...acts) {
  const place = byId('notice');
  const button = (label, does) => el('button', { type: 'button', text: label, onclick: () => { clear(); does(); } });
  fill(place, el('p', { text }), ...acts.map(([label, does]) => button(label, does)), button('Close', () => {}));
  place.hidden = false;
  isPassing = false;
}

/** Tells what is over with the next change of the order. */
export function passing(text) {
  notice(text);
  isPassing = true;
}

/** The order was changed, or is saved or printed anew. */
export const passed = () => isPassing && clear();

export function clear() {
  byId('notice').hidden = true;
}

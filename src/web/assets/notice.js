// A line that tells what just happened or did not, until it is put away.
import { byId, el, fill } from './dom.js';

/** Tells something; `acts` are buttons: `[label, what it does]`. */
export function notice(text, ...acts) {
  const place = byId('notice');
  const button = (label, does) => el('button', { type: 'button', text: label, onclick: () => { clear(); does(); } });
  fill(place, el('p', { text }), ...acts.map(([label, does]) => button(label, does)), button('Close', () => {}));
  place.hidden = false;
}

export function clear() {
  byId('notice').hidden = true;
}

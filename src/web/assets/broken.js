// A text that is no JSON: what stands in place of the form until it is put right.
import { el } from './dom.js';
import { parse } from './json.js';

/** Whether a text can be read at all. */
export function isJson(text) {
  try {
    return Boolean(parse(text));
  } catch {
    return false;
  }
}

/** What stands in place of the form; `acts` are buttons: `[label, what it does]`. */
export function panel(acts) {
  const said = ['The text of the order cannot be read.', 'The form comes back as soon as the text is put right.'];
  return [el('h2', { text: 'BROKEN TEXT' }), ...said.map((text) => el('p', { text })), ...acts.filter(Boolean).map(([text, does]) =>
    el('button', { type: 'button', text, onclick: does }))];
}

// The order file as text, for what the form cannot mend and for those who like it better.
import { byId, el, fill } from './dom.js';
import * as store from './store.js';
import { worded } from './words.js';

const MARK = '\uFEFF';

/** A text as the box shows it: without a mark of the byte order, its lines ended as the browser ends them. */
const shown = (text) => (text.startsWith(MARK) ? text.slice(1) : text).replace(/\r\n?/g, '\n');

/** What stands in the box, with the mark and the line ends that the file has. */
function written(text) {
  const file = store.text();
  const ended = file.includes('\r\n') ? text.replaceAll('\n', '\r\n') : text;
  return file.startsWith(MARK) ? MARK + ended : ended;
}

/** The panel. */
export function panel() {
  const text = el('textarea', { id: 'source', spellcheck: 'false', autocomplete: 'off', wrap: 'off', placeholder: 'No order is open yet: start one, open a file, or put the text of one here.' });
  text.addEventListener('input', () => store.edit(written(text.value), 'text'));
  text.addEventListener('blur', store.seal);
  const label = el('label', { for: 'source', text: 'The order file. It is saved exactly as it stands here.' });
  return [label, el('ul', { id: 'source-faults', class: 'source-faults' }), text];
}

export function refresh() {
  const text = byId('source');
  const now = shown(store.text());
  if (text.value !== now) text.value = now;
}

/** Lists what is wrong; each leads to its place in the text. */
export function mark(problems) {
  const one = (p) => {
    const button = el('button', { type: 'button', class: 'lead', text: `line ${p.line}, column ${p.column}` });
    button.addEventListener('click', () => go(p.line, p.column));
    return el('li', {}, button, ` ${worded(p.message)}`);
  };
  fill(byId('source-faults'), ...problems.slice(0, 20).map(one));
}

/** Puts the cursor at a place of the text. */
export function go(line, column) {
  const text = byId('source');
  const before = text.value.split('\n').slice(0, line - 1).reduce((sum, l) => sum + l.length + 1, 0);
  text.focus();
  text.setSelectionRange(before + column - 1, before + column);
}

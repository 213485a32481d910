// The order file as text, for what the form cannot mend and for those who like it better.
import { byId, el, fill } from './dom.js';
import * as store from './store.js';

/** The panel. */
export function panel() {
  const text = el('textarea', { id: 'source', spellcheck: 'false', autocomplete: 'off', wrap: 'off' });
  text.addEventListener('input', () => store.edit(text.value, 'text'));
  text.addEventListener('blur', store.seal);
  const label = el('label', { for: 'source', text: 'The order file. It is saved exactly as it stands here.' });
  return [label, el('ul', { id: 'source-faults', class: 'source-faults' }), text];
}

export function refresh() {
  const text = byId('source');
  if (text.value !== store.text()) text.value = store.text();
}

/** Lists what is wrong; each leads to its place in the text. */
export function mark(problems) {
  const one = (p) => {
    const button = el('button', { type: 'button', class: 'lead', text: `${p.line}:${p.column}` });
    button.addEventListener('click', () => go(p.line, p.column));
    return el('li', {}, button, ` ${p.message}`);
  };
  fill(byId('source-faults'), ...problems.slice(0, 20).map(one));
}

function go(line, column) {
  const text = byId('source');
  const before = text.value.split('\n').slice(0, line - 1).reduce((sum, l) => sum + l.length + 1, 0);
  text.focus();
  text.setSelectionRange(before + column - 1, before + column);
}

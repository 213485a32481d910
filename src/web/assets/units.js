// Another unit for the file: asked whether the sizes stay or the numbers do.
import { byId } from './dom.js';
import * as convert from './convert.js';
import { notice } from './notice.js';
import * as order from './order.js';
import * as store from './store.js';

const WORDS = { in: 'inches', mm: 'millimetres' };

/** Asks before the choice of the file's unit is written, where there are lengths that it bears on. */
export function watch(select, schema) {
  // before the field's own listener writes it
  select.addEventListener('input', (event) => {
    const [from, to] = [order.typed(order.tree(), ['units']), select.value];
    if (!WORDS[from] || !WORDS[to] || from === to) return;
    const n = convert.count(store.text(), schema);
    if (n === 0) return;
    event.stopImmediatePropagation();
    ask({ from, to, n, select, schema });
  }, { capture: true });
}

function ask({ from, to, n, select, schema }) {
  const dialog = byId('units-dialog');
  byId('units-said').textContent = `${n === 1 ? 'One size has' : `${n} sizes have`} no unit of their own. They are in ${WORDS[from]} now.`;
  byId('units-convert').textContent = `Keep the sizes: convert to ${WORDS[to]}`;
  byId('units-keep').textContent = `Keep the numbers: they are ${WORDS[to]}`;
  dialog.onclose = () => answered(dialog.returnValue, { from, to, select, schema });
  dialog.returnValue = '';
  dialog.showModal();
}

function answered(choice, { from, to, select, schema }) {
  if (choice === 'keep') return order.replace(['units'], JSON.stringify(to));
  if (choice === 'convert') {
    const text = convert.converted(store.text(), schema, from, to);
    store.seal();
    if (text !== null) return store.edit(text);
    notice('Not converted: a tolerance is written in a way that cannot be turned by itself. Write it as two deviations first.');
  }
  select.value = from;
  return select.focus();
}

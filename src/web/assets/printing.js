// On paper: every sheet of the drawing that is looked at, clean and at its true size; or why it is not there.
import { post } from './ask.js';
import { byId, el, fill } from './dom.js';
import { drawing } from './markup.js';
import { passed, passing } from './notice.js';
import * as now from './now.js';
import * as store from './store.js';

/** What could be printed at once: the sheets of a text, all of them. */
let ready = { text: null, sheets: [] };
let address = () => null;
const rule = new CSSStyleSheet();

/** `sheetsOf()` is where to ask for all sheets of the drawing that is looked at; null where none is. */
export function start(sheetsOf) {
  address = sheetsOf;
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, rule];
  window.addEventListener('beforeprint', put);
  window.addEventListener('afterprint', () => fill(byId('paper')));
}

/** The one sheet of a drawing is ready as soon as it is shown; several are asked for when they are printed. */
export function shown(answer, text) {
  ready = { text: answer.sheets === 1 ? text : null, sheets: [answer.svg] };
}

/** Prints, or says why not. */
export async function print() {
  passed();
  if (address() !== null) {
    const text = store.text();
    const why = await fetched(text);
    if (why) return passing(`Not printed. ${why}`);
  }
  return window.print();
}

async function fetched(text) {
  if (!now.isCurrent(text)) return unfit();
  if (ready.text === text) return null;
  const answer = await post(address(), text);
  if (!answer.svgs) return answer.failure ?? answer.refused ?? 'The program does not answer.';
  if (text !== store.text()) return 'The order was changed meanwhile.';
  ready = { text, sheets: answer.svgs };
  return null;
}

const unfit = () => `The drawing is not that of the order as it is now (${now.word()}).`;

/** Puts on the paper what is ready; where it is of another order, the paper says so. */
function put() {
  if (address() === null) return fill(byId('paper'));
  const text = store.text();
  if (!now.isCurrent(text)) return refused(unfit());
  if (ready.text !== text) return refused('The drawing has several sheets: print them with the button Print of the page.');
  const papers = ready.sheets.map((svg) => drawing(svg)).filter(Boolean);
  const [, , width, height] = papers[0].getAttribute('viewBox').split(' ').map(Number);
  rule.replaceSync(`@page { size: ${width}mm ${height}mm; margin: 0 }
    @media print { #paper svg { width: ${width}mm; height: ${height}mm } }`);
  return fill(byId('paper'), ...papers);
}

function refused(why) {
  rule.replaceSync('');
  fill(byId('paper'), el('h1', { text: 'NOT PRINTED' }), el('p', { text: why }));
}

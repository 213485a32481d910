// How far what is shown is the order as typed: one state that the top line, the drawing, the lists, the title and the paper all go by.
import { byId, el, fill, say } from './dom.js';

/** States in which the drawing is that of the order as typed. */
const CURRENT = new Set(['clear', 'ask', 'stop']);
/** What the line over the views says where something else is shown, and what for. */
const SAID = {
  UNFINISHED: 'The order as typed cannot be drawn yet.',
  'BROKEN TEXT': 'The text of the order cannot be read.',
  OFFLINE: 'The program does not answer. What is shown is from before.',
  REFUSED: 'The program declines this order. What is shown is from before.',
  'NOT DRAWN': 'There is no drawing of this order.',
  WAITING: 'Being drawn …',
};
/** What is added where there is a drawing of an older text. */
const OLDER = ' What is drawn is the last order that could be.';
/** An answer takes this long before it is said that it is waited for, ms. */
const SOON = 700;

let now = { state: 'empty', word: 'NEW', text: '' };
let slow = 0;
let named = '';
let isDrawn = () => false;

/** `drawn()`: whether any drawing is shown. */
export const start = (drawn) => {
  isDrawn = drawn;
};

export const word = () => now.word;

/** Whether the drawing shown is the one of this text. */
export const isCurrent = (text) => CURRENT.has(now.state) && now.text === text;

/** What is shown is of an older text until the answer comes. */
export function wait() {
  now = { ...now, text: null };
  clearTimeout(slow);
  slow = setTimeout(() => mark('WAITING'), SOON);
}

/** The order's name, for the title. */
export function name(text) {
  named = text;
  document.title = `${now.word} · ${named} · wheeldraft`;
}

function mark(what) {
  const older = ['UNFINISHED', 'BROKEN TEXT'].includes(what) && isDrawn() ? OLDER : '';
  const shown = `${SAID[what] ?? ''}${older}`;
  document.body.dataset.now = shown === '' ? 'current' : 'other';
  byId('stage').dataset.over = shown === '' || what === 'NOT DRAWN' ? '' : what;
  byId('now').hidden = shown === '';
  fill(byId('now'), shown && el('b', { text: what }), shown && ` ${shown}`);
}

/** Shows the verdict on a text. `acts` are buttons: `[label, what it does]`. */
export function show({ state, word: said, lines, text, acts = [] }) {
  clearTimeout(slow);
  now = { state, word: said, text };
  byId('verdict').dataset.state = state;
  say(byId('verdict-word'), said);
  const place = byId('verdict-said');
  if (place.dataset.said !== lines.join('\n')) {
    place.dataset.said = lines.join('\n');
    fill(place, ...lines.map((line) => el('p', { text: line })));
  }
  [...byId('verdict-acts').children].forEach((button, i) => {
    button.hidden = !acts[i];
    if (!acts[i]) return;
    say(button, acts[i][0]);
    button.onclick = acts[i][1];
  });
  mark(said);
  name(named);
}

// What is drawn: the approval drawing, one view alone, the calculation, or the programs, and which sheet of it.
import { byId, el, say } from './dom.js';

/** Drawings, by the name the program knows them by. */
const LOOKS = {
  sheet: 'Sheet', section: 'Section', 'side-a': 'Side A', 'side-b': 'Side B', face: 'Face', pictorial: 'Picture', calculation: 'Calculation',
  program: 'Program',
};

let look = 'sheet';
/** Which sheet is looked at, by drawing. */
const numbers = {};
let told = () => {};

/** The name of what is drawn. */
export const name = () => look;
export const number = () => numbers[look] ?? 1;

/** Whether it is one view alone, which can be drawn at once. */
export const isView = () => !['sheet', 'calculation', 'program'].includes(look);

/** Another order begins at the first sheet. */
export function reset() {
  for (const key of Object.keys(numbers)) delete numbers[key];
}

/** The buttons; `onChoose()` is called with each choice. */
export function panel(onChoose) {
  told = onChoose;
  const buttons = Object.entries(LOOKS).map(([key, text]) => el('button', { type: 'button', id: `look-${key}`, text, onclick: () => choose(key) }));
  const place = el('div', { class: 'looks', role: 'group', 'aria-label': 'What is drawn' }, ...buttons);
  return [place, el('div', { class: 'sheets', id: 'sheets', role: 'group', 'aria-label': 'Sheets' })];
}

export function choose(key) {
  look = key;
  mark();
  told();
}

export function mark() {
  for (const key of Object.keys(LOOKS)) byId(`look-${key}`).setAttribute('aria-pressed', String(key === look));
}

/** A button for each sheet, where there are several. */
export function show(count, now) {
  numbers[look] = now;
  const place = byId('sheets');
  const wanted = count > 1 ? count : 0;
  while (place.children.length > wanted) place.lastElementChild.remove();
  while (place.children.length < wanted) {
    const n = place.children.length + 1;
    place.append(el('button', { type: 'button', text: String(n), 'aria-label': `Sheet ${n}`, onclick: () => turn(n) }));
  }
  [...place.children].forEach((button, i) => button.setAttribute('aria-pressed', String(i + 1 === now)));
}

/** Turns to a sheet of the drawing. */
export function turn(n) {
  numbers[look] = n;
  told();
}

/** What the line over the drawing says of it. */
export const caption = (answer) => say(byId('drawn'), answer.sheets > 1 ? `${answer.name}, sheet ${answer.sheet} of ${answer.sheets}` : answer.name);

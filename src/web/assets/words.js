// What fields are called: places of the file as words a person uses.
import { steps } from './pointer.js';
import { label } from './schema.js';

const ONE = { __proto__: null, recess: 'step', answers: 'answer', notes: 'note', omit: 'place' };
const SECTIONS = 'order|wheel|blank|machine|mount|work|tooling|tolerances|answers|drawing';
const DOTTED = new RegExp(`\`?\\b((?:${SECTIONS})(?:\\.(?:side_[ab]|[a-z_]+|\\d+))+)\`?`, 'g');
const POINTED = new RegExp(`\`?/((?:${SECTIONS})(?:/[a-z_0-9]+)*)\`?`, 'g');

/** A field's place in words: `Side A, recess, step 1, depth`. */
export function place(at) {
  const path = typeof at === 'string' ? steps(at) : at;
  const words = path.map((step, i) => (/^\d+$/.test(step) ? `${ONE[path[i - 1]] ?? 'entry'} ${Number(step) + 1}` : label(String(step))));
  // the wheel is what one talks about
  const [first, ...rest] = words[0] === 'Wheel' && words.length > 1 ? words.slice(1) : words;
  return [first, ...rest.map((w) => (w.startsWith('Side ') ? w : w[0].toLowerCase() + w.slice(1)))].filter(Boolean).join(', ');
}

/** What on the page does what a command does. */
const PLACES = {
  grooves: 'Groove count under Strength & wear', blanks: 'Blank under Files', recess: 'Recess under Strength & wear', approve: 'Approval under Files',
  check: 'Findings', new: 'New', cut: 'Files', pack: 'Files', compare: 'Comparison under Files', quote: 'Price under Files',
};
/** What was typed, as messages quote it. */
const QUOTED = /`([^`]*)`/g;
const COMMAND = /`wheeldraft ([a-z]+)[^`]*`/g;

/** A name of the file's in the middle of a sentence, such as `fillet_radius`. */
const NAMED = /\b[a-z]+(?:_[a-z0-9]+)+\b/g;
const inWords = (name) => label(name).replace(/^[A-Z](?![ A-Z])/, (letter) => letter.toLowerCase());

/** What the rules are called, by id. */
let rules = {};
export const useRules = (told) => {
  rules = told;
};
export const rule = (id) => rules[id] ?? id;

/** A message with the names of fields in words, and the places of the page in place of commands. */
export function worded(text) {
  const said = (_, path) => `“${place(path.split(/[./]/))}”`;
  const does = (_, command) => PLACES[command] ?? 'the command line';
  return text.replace(COMMAND, does).replace(DOTTED, said).replace(POINTED, said).replace(QUOTED, '“$1”').replace(NAMED, inWords);
}

/** The same as a sentence of its own. */
export function sentence(text) {
  const said = worded(text);
  return said.charAt(0).toUpperCase() + said.slice(1);
}

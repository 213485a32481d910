// Hints as buttons: what the program would put in, put in at a click, taken back by Undo.
import { el, shown } from './dom.js';
import { find, remove, set } from './json.js';
import * as order from './order.js';
import { steps } from './pointer.js';
import * as store from './store.js';

/** Digits after the point of a size that is proposed. */
const DIGITS = { in: 3, mm: 2 };

const button = (text, does) => el('button', { type: 'button', class: 'offer', text, onclick: does });

/** Writes a count of grooves; a pitch that stood in its place goes. */
export function useCount(field, count) {
  const path = steps(field);
  let text = set(store.text(), [...path, 'count'], String(count));
  if (find(order.tree(), [...path, 'pitch_deg'])) text = remove(text, [...path, 'pitch_deg']);
  store.seal();
  store.edit(text);
}

/** Writes a proposed recess into one side or both, in place of what stands there. */
export function useRecess(proposal, answer, sides) {
  const size = (mm) => shown(mm / answer.mm_per_unit, DIGITS[answer.units] + 1);
  const step = `[ {"diameter": ${size(proposal.diameter_mm)}, "depth": ${size(proposal.depth_mm)}} ]`;
  store.seal();
  store.edit(sides.reduce((text, side) => set(text, ['wheel', side, 'recess'], step), store.text()));
}

/** Buttons that take a proposed recess. */
export function recess(proposal, answer) {
  const does = (text, sides) => button(text, () => useRecess(proposal, answer, sides));
  if (proposal.sides === 2) return [does('Take it on both sides', ['side_a', 'side_b'])];
  return [does('Take it on side A', ['side_a']), does('Take it on side B', ['side_b'])];
}

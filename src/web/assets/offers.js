// Hints as buttons: what the program would put in, put in at a click, taken back by Undo.
import { el, shown } from './dom.js';
import { find, remove, set } from './json.js';
import * as order from './order.js';
import { steps } from './pointer.js';
import * as store from './store.js';

/** Digits after the point of a size that is proposed. */
const DIGITS = { in: 3, mm: 2 };
/** A measure is a field's own value within this, mm. */
const SAME = 1e-6;

const button = (text, does) => el('button', { type: 'button', class: 'offer', text, onclick: does });

/** Writes a count of grooves; a pitch that stood in its place goes. */
export function useCount(field, count) {
  const path = steps(field);
  let text = set(store.text(), [...path, 'count'], String(count));
  if (find(order.tree(), [...path, 'pitch_deg'])) text = remove(text, [...path, 'pitch_deg']);
  store.seal();
  store.edit(text);
}

/** The whole counts either side of a pitch that does not divide the circle. */
function counts(problem) {
  if (!problem.field.endsWith('/pitch_deg')) return [];
  const pitch = Number(order.typed(order.tree(), steps(problem.field)));
  const below = Math.floor(360 / pitch);
  if (!(pitch > 0) || !(below >= 1) || !Number.isFinite(below) || 360 % pitch === 0) return [];
  const group = problem.field.slice(0, -'/pitch_deg'.length);
  return [below, below + 1].map((n) => button(`Take ${n} grooves, ${shown(360 / n, 4)}° apart`, () => useCount(group, n)));
}

const POINT = /^write the decimal point: (.+)$/;

/** What a problem's hint would put in, as buttons. */
export function mending(problem) {
  const [, number] = POINT.exec(problem.hint ?? '') ?? [];
  const written = number && problem.field ? [button(`Write ${number}`, () => order.put([[steps(problem.field), number]]))] : [];
  return [...written, ...counts(problem)];
}

/** The limit in place of a size that a finding measures. */
export function limit(finding, answer) {
  const { measured, limit: most, unit, feature } = finding;
  const node = find(order.tree(), steps(feature));
  if (unit !== 'mm' || measured === null || most === null || node?.kind !== 'scalar') return [];
  const own = answer.mm_per_unit * Number(node.raw);
  if (!(Math.abs(own - measured) < SAME)) return [];
  const power = 10 ** DIGITS[answer.units];
  const size = (most / answer.mm_per_unit) * power;
  // to the side that keeps the limit
  const kept = (most > measured ? Math.ceil(size - SAME) : Math.floor(size + SAME)) / power;
  return [button(`Take ${shown(kept, 4)} ${answer.units}`, () => order.put([[steps(feature), String(kept)]]))];
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

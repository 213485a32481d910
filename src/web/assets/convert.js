// Another unit for the file: every bare length is turned into the new one, or keeps its number and means another size.
import { parse, set } from './json.js';
import { kind } from './schema.js';

/** Digits after the point that an exact inch has in mm beyond its own: 25.4. */
const NUMBER = /^-?\d+(\.\d+)?([eE][+-]?\d+)?$/;

/** The exact product of two decimals, as text. */
function times(a, b) {
  const parts = [a, b].map((t) => t.split('.'));
  const digits = parts.reduce((n, [, part = '']) => n + part.length, 0);
  const [x, y] = parts.map(([whole, part = '']) => BigInt(whole.replace('-', '') + part));
  const sign = a.startsWith('-') ? '-' : '';
  const text = String(x * y).padStart(digits + 1, '0');
  const written = digits ? `${text.slice(0, -digits)}.${text.slice(-digits)}`.replace(/\.?0+$/, '') : text;
  return `${sign}${written}`;
}

/** A bare length in the new unit: inches become exact millimetres; millimetres keep theirs, named. */
const turned = (raw, from, to) => (from === 'in' && to === 'mm' && !/[eE]/.test(raw) ? times(raw, '25.4') : JSON.stringify(`${raw} ${from}`));

/** The lengths without a unit of their own: `[path, node]`. */
function bare(root, schema) {
  const found = [];
  const walk = (node, path) => {
    if (node.kind === 'object') for (const m of node.members) walk(m.value, [...path, m.key]);
    if (node.kind === 'list') node.items.forEach((item, i) => walk(item, [...path, i]));
    if (node.kind === 'scalar' && isLength(schema, path) && NUMBER.test(node.raw)) found.push([path, node]);
  };
  walk(root, []);
  return found;
}

function isLength(schema, path) {
  const read = schema.at(path.at(-1) === 'upper' || path.at(-1) === 'lower' ? path.slice(0, -1) : path);
  if (!read || path.some((step) => String(step).endsWith('_deg'))) return false;
  return read['x-quantity'] === 'length' || kind(read) === 'tolerance';
}

/** Tolerances as texts without a unit, `+0.005/-0`: `[path, text]`. */
function tolerances(root, schema) {
  const group = root.members?.find((m) => m.key === 'tolerances')?.value;
  return (group?.members ?? [])
    .map((m) => [['tolerances', m.key], m.value.value])
    .filter(([path, text]) => typeof text === 'string' && isLength(schema, path) && !/[a-z"]/i.test(text));
}

/** How many lengths of a text mean another size in another unit. */
export const count = (text, schema) => bare(parse(text), schema).length + tolerances(parse(text), schema).length;

/** The text in another unit, every size as it was; null where a tolerance cannot be turned. */
export function converted(text, schema, from, to) {
  const root = parse(text);
  let changed = text;
  for (const [path, node] of bare(root, schema)) changed = set(changed, path, turned(node.raw, from, to));
  for (const [path, said] of tolerances(root, schema)) {
    const parts = said.match(/^\s*([+-]?)(\d*\.?\d+)\s*\/\s*([+-]?)(\d*\.?\d+)\s*$/);
    const plain = said.match(/^\s*±?\s*(\d*\.?\d+)\s*$/);
    if (!parts && !plain) return null;
    const one = (n) => (from === 'in' && to === 'mm' ? times(n.startsWith('.') ? `0${n}` : n, '25.4') : `${n} ${from}`);
    const written = parts ? `${parts[1] || '+'}${one(parts[2])}/${parts[3] || '-'}${one(parts[4])}` : one(plain[1]);
    changed = set(changed, path, JSON.stringify(written));
  }
  return set(changed, ['units'], JSON.stringify(to));
}

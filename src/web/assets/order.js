// Changing fields of the order: a typed value becomes JSON, an emptied field goes, and with it what it leaves empty.
import { find, parse, remove, set } from './json.js';
import { kind } from './schema.js';
import { pointer } from './pointer.js';
import * as store from './store.js';

let schema = null;
export const useSchema = (read) => {
  schema = read;
};

/** The tree of the order; undefined where the text is no JSON just now, an empty object where nothing is typed. */
export const tree = () => parsed(store.text());

/** The same of any text. */
export function parsed(text) {
  try {
    return parse(text.trim() === '' ? '{}' : text);
  } catch {
    return undefined;
  }
}

/** What stands in a field as a person typed it; empty where there is nothing. */
export function typed(root, path) {
  const node = find(root, path);
  if (node?.kind !== 'scalar') return '';
  return typeof node.value === 'string' ? node.value : node.raw;
}

const NUMBER = /^-?(0|[1-9]\d*)(\.\d+)?([eE][+-]?\d+)?$/;
/** `.5`, `5.`, `007`: numbers to a person, not to JSON. */
const LOOSE = /^(-?)0*(\d*)\.?(\d*)$/;
/** `2-1/2`, `3/16`: in the file such a length names its unit. */
const FRACTION = /^[-+]?(\d+[- ])?\d+\/\d+$/;

function number(typed) {
  if (NUMBER.test(typed)) return typed;
  const [, sign, whole, part] = LOOSE.exec(typed) ?? [];
  if (!whole && !part && !/0/.test(typed)) return null;
  return sign === undefined ? null : `${sign}${whole || '0'}${part ? `.${part}` : ''}`;
}

/** What a person typed in a field, as JSON: numbers keep their digits, a bare fraction gets the file's unit, everything else is a text. */
export function written(typed, read, file) {
  const text = typed.trim();
  if (kind(read) === 'flag') return text;
  if (read.type === 'string' || kind(read) === 'choice') return JSON.stringify(typed);
  const asNumber = number(text);
  if (asNumber !== null) return asNumber;
  const isLength = read['x-quantity'] === 'length';
  return JSON.stringify(isLength && file && FRACTION.test(text) ? `${text} ${file}` : typed);
}

/** Whether there is anything at a path. */
export const has = (root, path) => find(root, path) !== undefined;

/** Writes a field; an empty text takes it out, except from a list, where it would move the others. */
export function write(path, text, read) {
  const was = store.base(pointer(path));
  const gone = text === '' && typeof path.at(-1) !== 'number';
  const changed = gone ? cleared(was, path) : set(was, path, written(text, read, typed(tree(), ['units'])));
  store.edit(changed, pointer(path));
}

/** Writes several fields at once, `[path, text]`, as one step of undo; an empty text leaves its field alone. */
export function put(fields) {
  let text = store.text();
  const file = () => typed(parse(text.trim() === '' ? '{}' : text), ['units']);
  for (const [path, said] of fields) {
    if (said.trim() !== '') text = set(text, path, written(said, schema.at(path), file()));
  }
  store.seal();
  store.edit(text);
}

/** The first field, as a pointer, in which a text differs from the order as it is; undefined where none does. */
export function difference(before, root) {
  const values = (node, path, into) => {
    if (node.kind === 'scalar') into.set(pointer(path), node.raw);
    for (const m of node.members ?? []) values(m.value, [...path, m.key], into);
    (node.items ?? []).forEach((item, i) => values(item, [...path, i], into));
    return into;
  };
  try {
    const old = values(parse(before.trim() === '' ? '{}' : before), [], new Map());
    const now = values(root, [], new Map());
    return [...now.keys(), ...old.keys()].find((at) => now.get(at) !== old.get(at));
  } catch {
    return undefined;
  }
}

/** Puts JSON in the place of a field; null takes the field out. */
export function replace(path, json) {
  store.seal();
  store.edit(json === null ? cleared(store.text(), path) : set(store.text(), path, json));
}

/** Takes out a field, a group or an item of a list. */
export function take(path) {
  store.edit(cleared(store.text(), path));
}

/** Puts a new item at the end of a list. */
export function add(path, item) {
  const length = find(tree(), path)?.items?.length ?? 0;
  store.edit(set(store.text(), [...path, length], item));
}

const isEmpty = (node) => node && ((node.members ?? node.items)?.length === 0);

/** Without a field, and without the optional groups and lists that are empty then. */
function cleared(text, path) {
  let changed = remove(text, path);
  for (let depth = path.length - 1; depth > 0; depth -= 1) {
    const at = path.slice(0, depth);
    const item = /^\d+$/.test(String(at.at(-1)));
    if (item || !isEmpty(find(parse(changed), at)) || schema.isRequired(at)) break;
    changed = remove(changed, at);
  }
  return changed;
}

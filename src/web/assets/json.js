// The order file as text, with the place of every value, so that a change touches only what it changes: `2.50`, `"2-1/2 in"`, blanks and line
// ends elsewhere stay as typed.

const BLANK = /[ \t\r\n]*/y;
const SCALAR = /"(?:[^"\\\u0000-\u001f]|\\.)*"|-?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?|true|false|null/y;

/** A text that is no JSON: `at` says where. */
export class Unreadable extends Error {
  constructor(at) {
    super('the text is no JSON');
    this.at = at;
  }
}

/** The trees of the last few texts: while one types each is asked for again and again. */
const known = new Map();
const MOST_KNOWN = 4;

/** The tree of a text, as `tree` makes it; nobody changes it. */
export function parse(text) {
  const made = known.get(text) ?? tree(text);
  known.delete(text);
  known.set(text, made);
  if (known.size > MOST_KNOWN) known.delete(known.keys().next().value);
  return made;
}

/**
 * The tree of a text: `{kind: 'object', members: [{key, start, value}]}`, `{kind: 'list', items}`, `{kind: 'scalar', value}`, each with `start`
 * and `end` in the text.
 */
function tree(text) {
  // a mark of the byte order is no part of the order
  let at = text.startsWith('\uFEFF') ? 1 : 0;
  const skip = () => {
    BLANK.lastIndex = at;
    BLANK.exec(text);
    at = BLANK.lastIndex;
  };
  const expect = (sign) => {
    if (text[at] !== sign) throw new Unreadable(at);
    at += 1;
    skip();
  };
  const scalar = () => {
    SCALAR.lastIndex = at;
    const found = SCALAR.exec(text);
    if (!found) throw new Unreadable(at);
    const start = at;
    at = SCALAR.lastIndex;
    try {
      return { kind: 'scalar', start, end: at, value: JSON.parse(found[0]), raw: found[0] };
    } catch {
      throw new Unreadable(start);
    }
  };
  const several = (open, close, one) => {
    const found = [];
    expect(open);
    while (text[at] !== close) {
      if (found.length) expect(',');
      found.push(one());
      skip();
    }
    at += 1;
    return found;
  };
  const member = () => {
    const key = scalar();
    if (typeof key.value !== 'string') throw new Unreadable(key.start);
    skip();
    expect(':');
    return { key: key.value, start: key.start, value: value() };
  };
  const value = () => {
    skip();
    const start = at;
    if (text[at] === '{') return { kind: 'object', start, members: several('{', '}', member), end: at };
    if (text[at] === '[') return { kind: 'list', start, items: several('[', ']', value), end: at };
    return scalar();
  };
  const root = value();
  skip();
  if (at < text.length) throw new Unreadable(at);
  return root;
}

/** The node at a path of keys and numbers; undefined where there is none. */
export function find(root, path) {
  let node = root;
  for (const step of path) {
    if (node?.kind === 'object') node = node.members.find((m) => m.key === step)?.value;
    else if (node?.kind === 'list') node = node.items[Number(step)];
    else return undefined;
  }
  return node;
}

/** Objects of the first levels stand over several lines, deeper ones on one. */
const TALL = 2;
const indent = (depth) => '  '.repeat(depth);
const wrapped = (open, inner, close, depth) =>
  depth < TALL ? `${open}\n${indent(depth + 1)}${inner}\n${indent(depth)}${close}` : `${open}${inner}${close}`;

/** A literal inside the objects and lists that a path still lacks. */
function nested(path, value, depth) {
  if (path.length === 0) return value;
  const [step, ...rest] = path;
  const inner = nested(rest, value, depth + 1);
  if (typeof step === 'number') return `[${inner}]`;
  return wrapped('{', `${JSON.stringify(step)}: ${inner}`, '}', depth);
}

/** What is put in takes the line ends of the text. */
const splice = (text, from, to, by) => text.slice(0, from) + (text.includes('\r\n') ? by.replace(/\r?\n/g, '\r\n') : by) + text.slice(to);

/** The text with a literal at a path; what surrounds it is made where it is lacking. A list grows at its end. */
export function set(text, path, value) {
  if (text.trim() === '') return `${nested(path, value, 0)}\n`;
  const root = parse(text);
  for (let depth = path.length; depth >= 0; depth -= 1) {
    const node = find(root, path.slice(0, depth));
    if (!node) continue;
    if (depth === path.length) return splice(text, node.start, node.end, value);
    if (node.kind === 'scalar') return splice(text, node.start, node.end, nested(path.slice(depth), value, depth));
    return inserted(text, node, path.slice(depth), value, depth);
  }
  return text;
}

/** Where a member of an object, or an item of a list, ends. */
const endOf = (parent, child) => (parent.kind === 'object' ? child.value.end : child.end);

function inserted(text, node, path, value, depth) {
  const children = node.kind === 'object' ? node.members : node.items;
  const inner = nested(path.slice(1), value, depth + 1);
  const piece = node.kind === 'object' ? `${JSON.stringify(path[0])}: ${inner}` : inner;
  const signs = node.kind === 'object' ? '{}' : '[]';
  if (children.length === 0) {
    const tall = node.kind === 'object' ? depth : TALL;
    return splice(text, node.start, node.end, wrapped(signs[0], piece, signs[1], tall));
  }
  const last = children.at(-1);
  const end = endOf(node, last);
  // parted as the one before it is
  const before = /\s*$/.exec(text.slice(node.start + 1, last.start))[0];
  return splice(text, end, end, `,${before === '' ? ' ' : before}${piece}`);
}

/** The text without what stands at a path. */
export function remove(text, path) {
  const root = parse(text);
  const parent = find(root, path.slice(0, -1));
  const children = parent?.kind === 'object' ? parent.members : (parent?.items ?? []);
  const key = path.at(-1);
  const index = parent?.kind === 'object' ? children.findIndex((m) => m.key === key) : Number(key);
  const child = children[index];
  if (!child) return text;
  if (children.length === 1) return splice(text, parent.start + 1, parent.end - 1, '');
  if (index === 0) return splice(text, child.start, children[1].start, '');
  return splice(text, endOf(parent, children[index - 1]), endOf(parent, child), '');
}

/** The text with another name for a member of an object. */
export function rename(text, path, name) {
  const member = find(parse(text), path.slice(0, -1))?.members?.find((m) => m.key === path.at(-1));
  if (!member) return text;
  SCALAR.lastIndex = member.start;
  const [written] = SCALAR.exec(text);
  return splice(text, member.start, member.start + written.length, JSON.stringify(name));
}

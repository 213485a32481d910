// A drawing from the program as elements of the page. Only shapes and texts pass, whatever the file holds: no script, no style, no reference.

const SVG = 'http://www.w3.org/2000/svg';
const SHAPES = new Set(['svg', 'g', 'path', 'circle', 'rect', 'text', 'title', 'desc']);
const ATTRIBUTES = new Set([
  'width', 'height', 'viewBox', 'id', 'class', 'role', 'd', 'cx', 'cy', 'r', 'x', 'y', 'fill', 'fill-rule', 'stroke', 'stroke-width',
  'stroke-linecap', 'stroke-linejoin', 'stroke-dasharray', 'stroke-dashoffset', 'font-size', 'font-weight', 'text-anchor',
  'transform', 'textLength', 'lengthAdjust', 'xml:space', 'data-dim', 'data-field', 'data-fingerprint',
]);

/** The branches of drawings on the page, as they were written: what is the same in the next one is not even read again. */
const written = new WeakMap();

/** The root of an SVG text, as it stands there; null where it is none. */
function read(text) {
  // the policy of the page forbids styles in markup and would complain of the file's fonts; what passes is decided below in any case
  const parsed = new DOMParser().parseFromString(text.replace(/<style>[^<]*<\/style>/g, ''), 'image/svg+xml');
  const root = parsed.documentElement;
  return root.localName !== 'svg' || root.namespaceURI !== SVG || parsed.querySelector('parsererror') ? null : root;
}

/** The drawing of an SVG text; null where it is none. Its letters come from the page's own font, of which the file's is a part. */
export function drawing(text) {
  const root = read(text);
  if (!root) return null;
  const made = document.importNode(root, true);
  sifted(made);
  const tree = branches(text);
  if (tree && isOf(made, tree)) written.set(made, tree);
  return made;
}

/** Makes a drawing on the page that of another SVG text: only what differs is read, laid out and painted anew. False where that cannot be. */
export function redrawn(shown, text) {
  const [was, now] = [written.get(shown), branches(text)];
  if (!was || !now || was.name !== now.name) return false;
  const wanted = [];
  compare(shown, was, now, wanted);
  if (wanted.length > 0) {
    const root = read(`<svg xmlns="${SVG}">${wanted.map(([source]) => source).join('')}</svg>`);
    if (root?.children.length !== wanted.length) return false;
    const made = [...root.children];
    wanted.forEach(([, use], i) => use(made[i]));
  }
  written.set(shown, now);
  return true;
}

/** An element that is written on one line, or that opens there; its name is the first group. */
const LINE = /^<([a-z]+)[ />]/;

/**
 * The elements of an SVG text that has each on a line of its own, as the program writes them: `{name, line, text, kids}`, where `text` is all of it
 * and `kids` is null for one that ends on its line. Null where the text is written otherwise.
 */
function branches(text) {
  const top = { kids: [], lines: [] };
  const open = [top];
  for (const line of text.trimEnd().split('\n')) {
    const here = open.at(-1);
    if (line.startsWith('</')) {
      if (open.length === 1 || line !== `</${here.name}>`) return null;
      open.pop();
      here.text = `${here.lines.join('')}${line}`;
      open.at(-1).lines.push(here.text);
      continue;
    }
    const [, name] = LINE.exec(line) ?? [];
    if (!name || (open.length === 1 && top.kids.length > 0)) return null;
    const ends = line.endsWith('/>') || line.endsWith(`</${name}>`);
    const made = { name, line, text: line, kids: ends ? null : [], lines: [line] };
    here.kids.push(made);
    if (ends) here.lines.push(line);
    else open.push(made);
  }
  return open.length === 1 && top.kids[0]?.kids ? top.kids[0] : null;
}

/** Whether an element has the branches of a text. */
const isOf = (element, branch) => element.localName === branch.name
  && element.children.length === (branch.kids?.length ?? 0) && (branch.kids ?? []).every((kid, i) => isOf(element.children[i], kid));

/** Lists what is to be read of a text in order to turn an element into a branch of it: `[source, what to do with what was read]`. */
function compare(element, was, now, wanted) {
  if (was.text === now.text) return;
  if (was.line !== now.line) {
    const source = now.kids ? now.line.replace(/>$/, '/>') : now.line;
    wanted.push([source, (made) => dress(element, was.line, made, now.kids === null)]);
  }
  if (!now.kids) return;
  const [old, fresh] = [was.kids, now.kids];
  const isAlike = (a, b) => a.name === b.name && (a.kids === null) === (b.kids === null);
  const here = [...element.children];
  if (old.length === fresh.length && old.every((kid, i) => isAlike(kid, fresh[i]))) {
    old.forEach((kid, i) => compare(here[i], kid, fresh[i], wanted));
    return;
  }
  const most = Math.min(old.length, fresh.length);
  let [first, last] = [0, 0];
  while (first < most && old[first].text === fresh[first].text) first += 1;
  while (last < most - first && old.at(-1 - last).text === fresh.at(-1 - last).text) last += 1;
  const after = here[old.length - last] ?? null;
  for (const gone of here.slice(first, old.length - last)) wanted.push(['<g/>', () => gone.remove()]);
  for (const kid of fresh.slice(first, fresh.length - last)) {
    wanted.push([kid.text, (made) => {
      const put = document.importNode(made, true);
      sifted(put);
      element.insertBefore(put, after);
    }]);
  }
}

/** Gives an element the attributes of one that was read, and its letters; those that its own line had and that one has not go. */
function dress(element, line, made, isWhole) {
  for (const [, name] of line.matchAll(/ ([\w:-]+)="/g)) if (!made.hasAttribute(name)) element.removeAttribute(name);
  for (const { name, value } of made.attributes) {
    if (element.getAttribute(name) !== (name === 'id' ? drawn(value) : value)) attribute(element, name, value);
  }
  if (isWhole && element.textContent !== made.textContent) element.textContent = made.textContent;
}

/** Ids of the drawing must not meet those of the page. */
const drawn = (id) => `drawn-${id}`;

/** Gives an element an attribute, if it passes. */
function attribute(element, name, value) {
  if (ATTRIBUTES.has(name)) element.setAttribute(name, name === 'id' ? drawn(value) : value);
}

/** Takes out of an element what does not pass. */
function sifted(element) {
  for (const { name, value } of [...element.attributes]) {
    if (!ATTRIBUTES.has(name)) element.removeAttribute(name);
    else if (name === 'id') attribute(element, name, value);
  }
  for (const child of [...element.childNodes]) {
    if (child.nodeType === Node.TEXT_NODE) continue;
    if (child.namespaceURI === SVG && SHAPES.has(child.localName)) sifted(child);
    else child.remove();
  }
}

/** An SVG element with attributes. */
export function shape(name, attributes, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

// A drawing from the program as elements of the page. Only shapes and texts pass, whatever the file holds: no script, no style, no reference.

const SVG = 'http://www.w3.org/2000/svg';
const SHAPES = new Set(['svg', 'g', 'path', 'circle', 'rect', 'text', 'title', 'desc']);
const ATTRIBUTES = new Set([
  'width', 'height', 'viewBox', 'id', 'class', 'role', 'd', 'cx', 'cy', 'r', 'x', 'y', 'fill', 'fill-rule', 'stroke', 'stroke-width',
  'stroke-linecap', 'stroke-linejoin', 'stroke-dasharray', 'stroke-dashoffset', 'font-size', 'font-weight', 'text-anchor',
  'transform', 'textLength', 'lengthAdjust', 'xml:space', 'data-dim', 'data-field', 'data-fingerprint',
]);

/** What drawings were made of, as it was read: what is the same in the next one stays in place. */
const sources = new WeakMap();

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
  sources.set(made, root);
  return made;
}

/** Makes a drawing on the page that of another SVG text: only what differs is laid out and painted anew. False where that cannot be. */
export function redrawn(shown, text) {
  const [was, now] = [sources.get(shown), read(text)];
  if (!was || !now) return false;
  patched(shown, was, now);
  sources.set(shown, now);
  return true;
}

/** Turns an element that was made of `was` into what is made of `now`. */
function patched(shown, was, now) {
  for (const { name } of [...was.attributes]) if (!now.hasAttribute(name)) shown.removeAttribute(name);
  for (const { name, value } of now.attributes) if (was.getAttribute(name) !== value) attribute(shown, name, value);
  const [here, before, after] = [shown, was, now].map((e) => [...e.childNodes]);
  const isAlike = (node, i) => node.nodeName === after[i].nodeName && node.nodeName === here[i].nodeName;
  if (here.length !== before.length || before.length !== after.length || !before.every(isAlike)) {
    const fresh = document.importNode(now, true);
    sifted(fresh);
    return shown.replaceChildren(...fresh.childNodes);
  }
  before.forEach((node, i) => {
    if (node.isEqualNode(after[i])) return;
    if (node.nodeType === Node.TEXT_NODE) here[i].data = after[i].data;
    else patched(here[i], node, after[i]);
  });
  return undefined;
}

/** Gives an element an attribute, if it passes. */
function attribute(element, name, value) {
  // ids of the drawing must not meet those of the page
  if (ATTRIBUTES.has(name)) element.setAttribute(name, name === 'id' ? `drawn-${value}` : value);
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

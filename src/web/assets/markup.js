// A drawing from the program as elements of the page. Only shapes and texts pass, whatever the file holds: no script, no style, no reference.

const SVG = 'http://www.w3.org/2000/svg';
const SHAPES = new Set(['svg', 'g', 'path', 'circle', 'rect', 'text', 'title', 'desc']);
const ATTRIBUTES = new Set([
  'width', 'height', 'viewBox', 'id', 'class', 'role', 'd', 'cx', 'cy', 'r', 'x', 'y', 'fill', 'fill-rule', 'stroke', 'stroke-width',
  'stroke-linecap', 'stroke-linejoin', 'stroke-dasharray', 'stroke-dashoffset', 'font-size', 'font-weight', 'text-anchor',
  'transform', 'textLength', 'lengthAdjust', 'xml:space', 'data-dim', 'data-field', 'data-fingerprint',
]);

/** The drawing of an SVG text; null where it is none. Its letters come from the page's own font, of which the file's is a part. */
export function drawing(text) {
  // the policy of the page forbids styles in markup and would complain of the file's fonts; what passes is decided below in any case
  const parsed = new DOMParser().parseFromString(text.replace(/<style>[^<]*<\/style>/g, ''), 'image/svg+xml');
  const root = parsed.documentElement;
  if (root.localName !== 'svg' || root.namespaceURI !== SVG || parsed.querySelector('parsererror')) return null;
  sifted(root);
  return document.adoptNode(root);
}

/** Takes out of an element what does not pass. */
function sifted(element) {
  for (const { name, value } of [...element.attributes]) {
    if (!ATTRIBUTES.has(name)) element.removeAttribute(name);
    // ids of the drawing must not meet those of the page
    else if (name === 'id') element.setAttribute('id', `drawn-${value}`);
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

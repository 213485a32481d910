// Making elements. Text goes in as text, never as markup.

/** An element with attributes (`on…` are listeners, `text` its text) and children. */
export function el(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (key === 'text') made.textContent = value;
    else if (key.startsWith('on')) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value === true ? '' : value);
  }
  made.append(...children.filter((child) => child !== null && child !== undefined));
  return made;
}

/** The element of an id. */
export const byId = (id) => document.getElementById(id);

/** Sets the text only where it differs, so that screen readers are not told twice. */
export function say(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/** The same set of children again leaves the old ones in place. */
export function fill(element, ...children) {
  element.replaceChildren(...children.filter((child) => child !== null && child !== undefined));
}

/** A number as a person reads it: so many digits after the point, none that say nothing. */
export function shown(value, digits = 3) {
  if (value === null || value === undefined) return '–';
  return String(Number(value.toFixed(digits)));
}

/** An amount of money. */
export const money = (value) => (value === null || value === undefined ? '–' : Number(value).toFixed(2));

/** The day here, YYYY-MM-DD. */
export const today = () => {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => String(n).padStart(2, '0')).join('-');
};

/** Hands a file to the browser's downloads. */
export function download(name, blob) {
  const url = URL.createObjectURL(blob);
  const link = el('a', { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}

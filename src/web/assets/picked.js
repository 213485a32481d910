// Files of this computer that a person picks where the program works in no shop's folder: stock list, rates. Each holds until another is picked.
import { el } from './dom.js';
import { notice } from './notice.js';

/** Longest file, bytes: with the order it goes in one question. */
const LONGEST = 200 * 1024;
const files = new Map();

/** The text of a file that was picked; null where none was. */
export const text = (name) => files.get(name) ?? null;

/** A box to pick one in; `onPick()` is called when it is there. */
export function box(name, label, accept, onPick) {
  const input = el('input', { type: 'file', id: `picked-${name}`, accept });
  input.addEventListener('change', async () => {
    const [file] = input.files;
    if (file && file.size > LONGEST) return notice(`Not taken. ${file.name} is longer than ${LONGEST / 1024} KiB.`);
    files.set(name, file ? await file.text() : null);
    return onPick();
  });
  return el('p', { class: 'wish' }, el('label', { for: input.id, text: label }), input);
}

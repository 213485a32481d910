// Opening and saving the order file, and starting from one that is there.
import { byId, download, el } from './dom.js';
import { find, parse } from './json.js';
import * as store from './store.js';

/** Longest file opened, bytes: what the program takes. */
const LONGEST = 256 * 1024;

/** A name for the file: as it was opened, or by the order's number and revision. */
function name() {
  if (store.fileName()) return store.fileName();
  try {
    const root = parse(store.text());
    const part = (key) => find(root, ['order', key])?.value ?? '';
    const stem = [part('number'), part('revision')].filter((p) => /^[\w.-]+$/.test(p)).join('-');
    return `${stem || 'order'}.json`;
  } catch {
    return 'order.json';
  }
}

/** Saves the text as it is, byte for byte. */
export function save() {
  download(name(), new Blob([store.text()], { type: 'application/json' }));
  store.saved(name());
}

/** Opens a file from this computer. */
async function open(file) {
  if (file.size > LONGEST) return window.alert(`${file.name} is longer than ${LONGEST / 1024} KiB: no order for this page.`);
  const bytes = await file.arrayBuffer();
  try {
    const text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
    return store.load(text, file.name, true);
  } catch {
    return window.alert(`${file.name} is not UTF-8 text: save it as UTF-8.`);
  }
}

/** Makes the buttons work; `templates` are the starting orders. */
export function start(templates) {
  byId('open').addEventListener('click', () => byId('file').click());
  byId('file').addEventListener('change', async () => {
    const [file] = byId('file').files;
    if (file) await open(file);
    byId('file').value = '';
  });
  byId('save').addEventListener('click', save);
  byId('start').addEventListener('click', () => byId('starts').showModal());
  byId('starts-list').replaceChildren(...starts(templates, () => byId('starts').close()));
  document.addEventListener('dragover', (event) => event.preventDefault());
  document.addEventListener('drop', (event) => {
    event.preventDefault();
    const [file] = event.dataTransfer?.files ?? [];
    if (file) open(file);
  });
}

/** The starting orders as buttons. */
export function starts(templates, done = () => {}) {
  const one = (title, about, text) => {
    const button = el('button', { type: 'button' }, el('b', { text: title }), el('span', { text: about }));
    button.addEventListener('click', () => {
      store.load(text, '', false);
      done();
    });
    return el('li', {}, button);
  };
  const worded = (name_) => `${name_[0].toUpperCase()}${name_.slice(1).replaceAll('-', ' ')}`;
  return [one('Empty', 'nothing filled in', ''), ...templates.map((t) => one(worded(t.name), t.about, t.text))];
}

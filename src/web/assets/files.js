// Opening and saving the order file, and starting from one that is there.
import { byId, download, el, fill } from './dom.js';
import * as drafts from './drafts.js';
import * as folder from './folder.js';
import { find, parse } from './json.js';
import { passing } from './notice.js';
import * as store from './store.js';

let demo = '';
/** Longest file opened, bytes: what the program takes. */
const LONGEST = 256 * 1024;

/** A name for the file: as it was opened, or by the order's number and revision. */
export function name() {
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

/** Saves the text as it is, byte for byte: in the folder, where the program works in one, else as a download. */
export function save() {
  if (folder.isThere()) return folder.save(name());
  download(name(), new Blob([store.text()], { type: 'application/json' }));
  return store.saved(name());
}

/** Opens a file from this computer. */
async function open(file) {
  if (file.size > LONGEST) return passing(`Not opened. ${file.name} is longer than ${LONGEST / 1024} KiB: no order for this page.`);
  const bytes = await file.arrayBuffer();
  try {
    const text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
    return store.load(text, file.name, true);
  } catch {
    return passing(`Not opened. ${file.name} is not UTF-8 text: save it as UTF-8.`);
  }
}

/** Makes the buttons work; `starting` are the starting orders and the demonstration order. */
export function start(starting) {
  demo = starting.demo;
  const { templates } = starting;
  byId('open').addEventListener('click', () => byId('file').click());
  byId('file').addEventListener('change', async () => {
    const [file] = byId('file').files;
    if (file) await open(file);
    byId('file').value = '';
  });
  byId('save').addEventListener('click', save);
  byId('start').addEventListener('click', () => {
    showDrafts();
    byId('repeat-open').disabled = store.text().trim() === '';
    byId('starts').showModal();
  });
  byId('starts-list').replaceChildren(...starts(templates, () => byId('starts').close()));
  document.addEventListener('dragover', (event) => event.preventDefault());
  document.addEventListener('drop', (event) => {
    event.preventDefault();
    const [file] = event.dataTransfer?.files ?? [];
    if (file) open(file);
  });
}

/** The drafts of the browser, newest first. */
async function recent(done = () => {}) {
  const open = await drafts.openElsewhere();
  const one = (draft) => {
    const state = [open.has(draft.id) && 'open in another tab: this makes a copy', draft.text === draft.saved ? 'saved' : 'not saved', new Date(draft.time).toLocaleString()];
    const title = el('b', { text: draft.name || draft.file || 'Without a number' });
    const said = el('span', { text: [draft.item, ...state].filter(Boolean).join(' · ') });
    const button = el('button', { type: 'button' }, title, said);
    button.addEventListener('click', () => {
      store.resume(draft);
      done();
    });
    return el('li', {}, button);
  };
  return drafts.list().filter((d) => d.id !== store.id()).slice(0, 12).map(one);
}

async function showDrafts() {
  const found = await recent(() => byId('starts').close());
  byId('drafts-title').hidden = found.length === 0;
  fill(byId('drafts-list'), ...found);
}

/** What an empty page offers. */
export function welcome(templates) {
  const list = el('ul', { id: 'welcome-drafts' });
  const title = el('h2', { text: 'Recent drafts', hidden: true });
  recent().then((found) => {
    title.hidden = found.length === 0;
    fill(list, ...found);
  });
  return [title, list, el('h2', { text: 'Or start from' }), el('ul', {}, ...starts(templates).slice(1))];
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
  const shown = one('Demonstration order', 'a finished order with grooves on three surfaces, to look around in', demo);
  return [one('Empty', 'nothing filled in', ''), shown, ...templates.map((t) => one(worded(t.name), t.about, t.text))];
}

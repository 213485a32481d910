// The order being worked on: its text, what undo and redo go back to, and the draft kept in the browser.
import * as drafts from './drafts.js';

/** Steps that undo goes back. */
const MOST_STEPS = 300;
/** Characters of those of them that survive a reload. */
const MOST_KEPT = 1_500_000;
/** Letters typed in one field within this time are undone together, ms. */
const TOGETHER = 1500;
/** How long typing rests before the steps are kept, ms. */
const REST = 400;

/** `id` names the draft, `shop` the file of the shop's folder that it came from, where it did. */
let state = { id: drafts.fresh(), text: '', file: '', saved: '', shop: null };
let past = [];
let future = [];
let last = { tag: null, time: 0 };
/** What is being dragged: however long it takes, it is one step of undo. */
let dragged = null;
/** The field being edited, and the text before it was begun with: what is typed now replaces what was typed a moment ago. */
let session = { tag: null, base: '' };
let resting = 0;
let isKept = true;
let describe = () => ({ name: '', item: '' });
const listeners = new Set();

export const id = () => state.id;
/** The text of the order file. */
export const text = () => state.text;
/** The name of the file it was opened from or saved as; empty for a new one. */
export const fileName = () => state.file;
/** `{name, version}` of the shop's file it was opened from; null for one of the browser. */
export const shopFile = () => state.shop;
/** The text as it was opened or saved; empty for a new one. */
export const savedText = () => state.saved;
export const isSaved = () => state.text === state.saved;
/** Whether the browser keeps the draft. */
export const isSafe = () => isKept;
export const canUndo = () => past.length > 0;
export const canRedo = () => future.length > 0;

/** Calls a function after every change, with how it came about: `edit`, `load`, `undo`, `saved`, and the text before it. */
export const onChange = (listener) => listeners.add(listener);

/** How drafts are named: a function of the text, giving `{name, item}`. */
export const useNamer = (namer) => {
  describe = namer;
};

/** Other tabs' drafts of this order. */
export const elsewhere = () => drafts.elsewhere(state.id, { ...describe(state.text), file: state.file });

function keep() {
  const { id: mine, ...draft } = state;
  isKept = drafts.keep(mine, { ...draft, ...describe(state.text) });
  clearTimeout(resting);
  resting = setTimeout(keepSteps, REST);
}

function keepSteps() {
  clearTimeout(resting);
  let room = MOST_KEPT;
  const some = (steps) => steps.toReversed().filter((s) => (room -= s.text.length) > 0).reverse();
  drafts.rememberTab({ id: state.id, past: some(past), future: some(future) });
}
window.addEventListener('pagehide', keepSteps);

function tell(how, before = state.text) {
  keep();
  for (const listener of listeners) listener(how, before);
}

function remember(tag) {
  const now = Date.now();
  const together = tag !== null && tag === last.tag && (tag === dragged || now - last.time < TOGETHER);
  if (!together) past.push(state);
  if (past.length > MOST_STEPS) past.shift();
  last = { tag, time: now };
  future = [];
}

/** The text that an edit of this field starts from: nothing but this field has changed since. */
export function base(tag) {
  if (session.tag !== tag) session = { tag, base: state.text };
  return session.base;
}

/** Changes the text; edits of the same field in quick succession are one step of undo. */
export function edit(changed, tag = null) {
  if (changed === state.text) return;
  remember(tag);
  if (session.tag !== tag) session = { tag: null, base: '' };
  const before = state.text;
  state = { ...state, text: changed };
  tell('edit', before);
}

/** All edits of a field are one step of undo until it is let go of. */
export const hold = (tag) => {
  dragged = tag;
};

export const release = () => {
  dragged = null;
  seal();
};

/** Ends a step of undo: what is typed next is another one. */
export const seal = () => {
  last = { tag: null, time: 0 };
  session = { tag: null, base: '' };
};

/** Another order takes the place of this one, which stays among the drafts; undo brings it back. */
export function load(changed, file, isFile, shop = null) {
  const before = state.text;
  remember(null);
  seal();
  state = { id: drafts.fresh(), text: changed, file, saved: isFile ? changed : '', shop };
  claim();
  tell('load', before);
}

/** Goes on with a draft. */
export function resume(draft) {
  const before = state.text;
  remember(null);
  seal();
  state = taken(draft.id, draft);
  claim();
  tell('load', before);
}

const taken = (own, draft) => ({
  id: own, text: draft.text, file: String(draft.file ?? ''), saved: String(draft.saved ?? ''), shop: draft.shop ?? null,
});

/** The draft belongs to this tab alone: where another one has it, this becomes a copy. */
async function claim() {
  const wanted = state.id;
  if ((await drafts.hold(wanted)) || state.id !== wanted) return;
  state = { ...state, id: drafts.fresh() };
  await drafts.hold(state.id);
  tell('copied');
}

export function saved(file, shop = state.shop) {
  state = { ...state, file, saved: state.text, shop };
  tell('saved');
}

function travel(from, to) {
  if (from.length === 0) return;
  const was = state;
  to.push(was);
  const to_ = from.pop();
  // what was saved since stays saved
  state = to_.id === was.id ? { ...to_, saved: was.saved, file: was.file, shop: was.shop } : to_;
  seal();
  if (state.id !== was.id) claim();
  tell('undo', was.text);
}

export const undo = () => travel(past, future);
export const redo = () => travel(future, past);

/** The last text before this one that a test passes; undefined where there is none. */
export const lastGood = (isGood) => past.findLast((s) => s.id === state.id && s.text.trim() !== '' && isGood(s.text))?.text;

/** Takes up what was left in the browser; `copied` where another tab has the draft open. */
export async function restore() {
  const { id: own, draft, tab, copied } = await drafts.take();
  state = draft ? taken(own, draft) : { ...state, id: own };
  if (tab && Array.isArray(tab.past) && Array.isArray(tab.future)) [past, future] = [tab.past, tab.future];
  if (draft) keep();
  return { copied: copied ?? false };
}

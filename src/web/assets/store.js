// The order being worked on: its text, what undo and redo go back to, and the copy kept in the browser.

const KEPT = 'wheeldraft.order';
/** Steps that undo goes back. */
const MOST_STEPS = 300;
/** Letters typed in one field within this time are undone together, ms. */
const TOGETHER = 1500;

let state = { text: '', file: '', saved: '' };
let past = [];
let future = [];
let last = { tag: null, time: 0 };
/** The field being edited, and the text before it was begun with: what is typed now replaces what was typed a moment ago. */
let session = { tag: null, base: '' };
const listeners = new Set();

/** The text of the order file. */
export const text = () => state.text;
/** The name of the file it was opened from or saved as; empty for a new one. */
export const fileName = () => state.file;
export const isSaved = () => state.text === state.saved;
export const canUndo = () => past.length > 0;
export const canRedo = () => future.length > 0;

/** Calls a function after every change, with how it came about: `edit`, `load`, `undo`. */
export const onChange = (listener) => listeners.add(listener);

function keep() {
  try {
    localStorage.setItem(KEPT, JSON.stringify(state));
  } catch {
    // no room or not allowed: the page works on, only without a copy
  }
}

function tell(how) {
  keep();
  for (const listener of listeners) listener(how);
}

function remember(tag) {
  const now = Date.now();
  const together = tag !== null && tag === last.tag && now - last.time < TOGETHER;
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
  state = { ...state, text: changed };
  tell('edit');
}

/** Ends a step of undo: what is typed next is another one. */
export const seal = () => {
  last = { tag: null, time: 0 };
  session = { tag: null, base: '' };
};

/** Another order takes the place of this one, which undo brings back. */
export function load(changed, file, isFile) {
  remember(null);
  seal();
  state = { text: changed, file, saved: isFile ? changed : '' };
  tell('load');
}

export function saved(file) {
  state = { ...state, file, saved: state.text };
  tell('saved');
}

function travel(from, to) {
  if (from.length === 0) return;
  to.push(state);
  state = { ...from.pop(), saved: state.saved };
  seal();
  tell('undo');
}

export const undo = () => travel(past, future);
export const redo = () => travel(future, past);

/** Takes up what was left in the browser; false where there is nothing. */
export function restore() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT));
    if (typeof kept?.text !== 'string' || kept.text.trim() === '') return false;
    state = { text: kept.text, file: String(kept.file ?? ''), saved: String(kept.saved ?? '') };
    return true;
  } catch {
    return false;
  }
}

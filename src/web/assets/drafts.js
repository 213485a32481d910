// The drafts that the browser keeps: one for each tab, and those of tabs that were closed. A lock says which of them a tab has open.

const KEPT = 'wheeldraft.draft.';
/** So many drafts are kept; then the oldest that nobody has open goes, those saved as files first. */
const MOST = 40;
/** How long a tab that is reloaded waits for its own draft, ms: the page before it lets go of it late. */
const PATIENCE = 2000;
const AGAIN = 50;

export const fresh = () => crypto.randomUUID();

/** The drafts, newest first: `{id, text, file, saved, name, item, time}`. */
export function list() {
  const found = [];
  try {
    for (const key of Object.keys(localStorage).filter((k) => k.startsWith(KEPT))) {
      const kept = JSON.parse(localStorage.getItem(key));
      if (typeof kept?.text === 'string') found.push({ ...kept, id: key.slice(KEPT.length) });
    }
  } catch {
    return [];
  }
  return found.sort((a, b) => b.time - a.time);
}

export const find = (id) => list().find((draft) => draft.id === id);

/** Keeps a draft; false where the browser does not. One without a text is none. */
export function keep(id, draft) {
  try {
    if (draft.text.trim() === '') localStorage.removeItem(KEPT + id);
    else {
      const isNew = localStorage.getItem(KEPT + id) === null;
      localStorage.setItem(KEPT + id, JSON.stringify({ ...draft, time: Date.now() }));
      if (isNew) thin(id);
    }
    return true;
  } catch {
    return false;
  }
}

export function drop(id) {
  try {
    localStorage.removeItem(KEPT + id);
  } catch {
    // nothing is kept, so nothing has to go
  }
}

async function thin(mine) {
  const all = list();
  const open = await opened();
  const closed = all.filter((d) => d.id !== mine && !open.has(d.id)).reverse();
  const inOrder = [...closed.filter((d) => d.text === d.saved), ...closed.filter((d) => d.text !== d.saved)];
  for (const { id } of inOrder.slice(0, Math.max(0, all.length - MOST))) drop(id);
}

let held = { id: null, release: () => {} };

/** Takes a draft for this tab and lets go of the one before it; false where another tab has it. */
export async function hold(id, patience = 0) {
  if (held.id === id || !navigator.locks) return true;
  const until = Date.now() + patience;
  for (;;) {
    if (await taken(id)) return true;
    if (Date.now() >= until) return false;
    await new Promise((done) => { setTimeout(done, AGAIN); });
  }
}

const taken = (id) => new Promise((done) => {
  navigator.locks.request(KEPT + id, { ifAvailable: true }, (lock) => {
    if (!lock) return done(false);
    held.release();
    return new Promise((release) => {
      held = { id, release };
      done(true);
    });
  }).catch(() => done(true));
});

const locks = async () => ((await navigator.locks?.query())?.held ?? []).filter((l) => l.name.startsWith(KEPT));
const ids = (some) => new Set(some.map((l) => l.name.slice(KEPT.length)));

/** The ids of the drafts that tabs have open, this one among them. */
const opened = async () => ids(await locks());

/** The ids of the drafts that other tabs have open. */
export async function openElsewhere() {
  const all = await locks();
  // what this tab let go of a moment ago may still stand there
  const mine = all.find((l) => l.name === KEPT + held.id)?.clientId;
  return ids(all.filter((l) => l.clientId !== mine));
}

/** Drafts of the same order, or of the same file, that other tabs have open. */
export async function elsewhere(mine, { name, file }) {
  const open = await openElsewhere();
  const same = (d) => (name && d.name === name) || (file && d.file === file);
  return list().filter((d) => d.id !== mine && open.has(d.id) && same(d));
}

const TAB = 'wheeldraft.tab';

/** Which draft this tab has, and what undo goes back to: it survives a reload, not the tab. */
export function rememberTab(tab) {
  try {
    sessionStorage.setItem(TAB, JSON.stringify(tab));
  } catch {
    // undo then ends with the page
  }
}

export function recallTab() {
  try {
    return JSON.parse(sessionStorage.getItem(TAB));
  } catch {
    return null;
  }
}

/** Takes up the draft of this tab: `{id, draft, tab, copied}`; a second tab, or one that was duplicated, gets one of its own. */
export async function take() {
  const tab = recallTab();
  const draft = tab && find(tab.id);
  if (draft && (await hold(tab.id, PATIENCE))) return { id: tab.id, draft, tab };
  if (draft) return start({ draft, copied: true });
  // no tab is open: what was left last is taken up
  const [last] = list();
  const nobody = last && (await opened()).size === 0;
  if (nobody && (await hold(last.id))) return { id: last.id, draft: last };
  return start({});
}

async function start(with_) {
  const id = fresh();
  await hold(id);
  return { id, ...with_ };
}

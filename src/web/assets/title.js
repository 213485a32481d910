// What the order is called on the page, and where else it is open.
import { byId, say } from './dom.js';
import { find, parse } from './json.js';
import { notice } from './notice.js';
import * as now from './now.js';
import * as order from './order.js';
import * as store from './store.js';

/** How long after a warning it is looked whether it still holds, ms. */
const AGAIN = 3000;
/** How long typing rests before it is looked for, ms. */
const REST = 400;
let again = 0;

/** What a draft is called: `{name, item}`, empty where the text does not say. */
export function described(text) {
  try {
    const root = parse(text);
    const part = (key) => order.typed(root, ['order', key]);
    const item = find(root, ['order', 'item'])?.value;
    return { name: [part('number'), part('revision')].filter(Boolean).join('-'), item: typeof item === 'string' ? item : '' };
  } catch {
    return { name: '', item: '' };
  }
}

/** Shows what the order is called after a change of it, told as the store tells it. */
export function show(how) {
  const { name, item } = described(store.text());
  const kept = store.isSafe() ? 'not saved' : 'not saved, and this browser keeps no drafts';
  // a text that cannot be read has no number; the file it came from still has a name
  const called = name || store.fileName() || 'New order';
  now.name(called);
  say(byId('name'), `${called}${store.isSaved() ? '' : ` · ${kept}`}`);
  byId('name').title = [store.fileName(), item].filter(Boolean).join(' · ');
  warnOfTwo(how === 'edit');
  if (how === 'copied') notice('This draft is open in another tab: what you change here is a copy of its own.');
}

/** Says where another tab has the same order: each has its own draft. `isTyped`: once typing rests. */
export async function warnOfTwo(isTyped = false) {
  clearTimeout(again);
  if (isTyped === true) {
    again = setTimeout(warnOfTwo, REST);
    return;
  }
  const others = await store.elsewhere();
  const place = byId('twice');
  place.hidden = others.length === 0;
  // a tab that is closed tells nobody
  if (!place.hidden) again = setTimeout(warnOfTwo, AGAIN);
  if (!place.hidden) say(place, `${others[0].name || others[0].file} is open in another tab too. Each tab has a draft of its own: what is changed in one is not in the other.`);
}

// The tabs over the views: one is chosen, arrow keys go from one to the next. Which panels a tab shows depends on the room there is.
import { byId, el } from './dom.js';

const tabs = new Map();
let chosen = null;
let told = () => {};
let panelsOf = () => [];

/** Makes the tabs: `[name, label, panel id]`; `shows(name)` are the ids of the panels seen with it, `onChoose(name)` is called with each choice. */
export function build(list, shows, onChoose) {
  [panelsOf, told] = [shows, onChoose];
  for (const [name, label, panel] of list) {
    const tab = el('button', { type: 'button', role: 'tab', id: `tab-${name}`, 'aria-controls': panel, text: label });
    tab.addEventListener('click', () => choose(name));
    tabs.set(name, { tab, panel });
    byId('tabs').append(tab);
  }
  byId('tabs').addEventListener('keydown', step);
}

/** Chooses a tab; one that is not there now stands for another. */
export function choose(name) {
  chosen = name;
  const seen = new Set(panelsOf(name));
  for (const [other, { tab, panel }] of tabs) {
    tab.setAttribute('aria-selected', String(other === name));
    tab.tabIndex = other === name ? 0 : -1;
    byId(panel).hidden = !seen.has(panel);
    byId(panel).setAttribute('aria-labelledby', `tab-${other}`);
  }
  document.body.dataset.view = name;
  told(name);
}

export const current = () => chosen;

/** Leaves out the tabs of these names; where one of them is chosen, `instead` is. */
export function leaveOut(names, instead) {
  for (const [name, { tab }] of tabs) tab.hidden = names.includes(name);
  choose(names.includes(chosen) ? instead : chosen);
}

/** Sets a tab's label. */
export function rename(name, label) {
  const { tab } = tabs.get(name);
  if (tab.textContent !== label) tab.textContent = label;
}

function step(event) {
  const names = [...tabs].filter(([, { tab }]) => !tab.hidden).map(([name]) => name);
  const at = names.indexOf(chosen);
  const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: names.length - 1 }[event.key];
  if (to === undefined) return;
  event.preventDefault();
  choose(names[(to + names.length) % names.length]);
  tabs.get(chosen).tab.focus();
}

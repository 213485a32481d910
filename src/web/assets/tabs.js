// The tabs over the right half: one is chosen, arrow keys go from one to the next.
import { byId, el } from './dom.js';

const tabs = new Map();
let chosen = null;
let told = () => {};

/** Makes the tabs: `[name, label, panel id]`; `onChoose(name)` is called with each choice. */
export function build(list, onChoose) {
  told = onChoose;
  for (const [name, label, panel] of list) {
    const tab = el('button', { type: 'button', role: 'tab', id: `tab-${name}`, 'aria-controls': panel, text: label });
    tab.addEventListener('click', () => choose(name));
    tabs.set(name, { tab, panel });
    byId('tabs').append(tab);
  }
  byId('tabs').addEventListener('keydown', step);
}

/** Chooses a tab. */
export function choose(name) {
  chosen = name;
  const { panel } = tabs.get(name);
  for (const [other, { tab }] of tabs) {
    tab.setAttribute('aria-selected', String(other === name));
    tab.tabIndex = other === name ? 0 : -1;
  }
  for (const child of byId('panels').children) child.hidden = child.id !== panel;
  byId(panel).setAttribute('aria-labelledby', `tab-${name}`);
  tabs.get(name).tab.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  told(name);
}

export const current = () => chosen;

/** Sets a tab's label. */
export function rename(name, label) {
  const { tab } = tabs.get(name);
  if (tab.textContent !== label) tab.textContent = label;
}

function step(event) {
  const names = [...tabs.keys()];
  const at = names.indexOf(chosen);
  const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: names.length - 1 }[event.key];
  if (to === undefined) return;
  event.preventDefault();
  choose(names[(to + names.length) % names.length]);
  tabs.get(chosen).tab.focus();
}

// Light or dark: as the system has it until someone chooses here.
import { byId, say } from './dom.js';

const KEPT = 'wheeldraft.theme';
const dark = matchMedia('(prefers-color-scheme: dark)');

/** What was chosen on this visit, where the browser keeps nothing. */
let picked = null;

const chosen = () => {
  try {
    return localStorage.getItem(KEPT) ?? picked;
  } catch {
    return picked;
  }
};

function apply() {
  const now = chosen() ?? (dark.matches ? 'dark' : 'light');
  document.documentElement.dataset.theme = now;
  say(byId('theme'), now === 'dark' ? 'Light' : 'Dark');
  byId('theme').setAttribute('aria-label', `Change to the ${now === 'dark' ? 'light' : 'dark'} colours`);
}

export function start() {
  byId('theme').addEventListener('click', () => {
    picked = document.documentElement.dataset.theme === 'dark' ? 'light' : 'dark';
    try {
      localStorage.setItem(KEPT, picked);
    } catch {
      // chosen for this visit only
    }
    apply();
  });
  dark.addEventListener('change', apply);
  apply();
}

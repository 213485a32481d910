// The place of the keyboard is never lost: where what had it goes, hides or is switched off, what stands for it gets it.

import { byId } from './dom.js';

/** What had the keyboard last, and where it stood. */
let last = { element: null, id: '', region: null, index: 0, label: '' };
const FOCUSABLE = 'button:not([disabled]), input:not([disabled]), select:not([disabled]), textarea, summary, a[href], [tabindex="0"]';
const REGIONS = '.finding, .row, .list, .group, dialog, .panel, .order, .verdict, .notice, .bar, body';

const isThere = (element) => element?.isConnected && element.getClientRects().length > 0 && !element.disabled;
const focusable = (region) => [...region.querySelectorAll(FOCUSABLE)].filter(isThere);
const nameOf = (element) => element.getAttribute('aria-label') ?? element.labels?.[0]?.textContent ?? element.textContent;

function note(event) {
  const element = event.target;
  const regions = [];
  for (let up = element.closest?.(REGIONS); up; up = up.parentElement?.closest(REGIONS)) regions.push([up, focusable(up).indexOf(element)]);
  last = { element, id: element.id, regions, label: nameOf(element) };
}

/** What takes the place of something in a region: the same by name, else what stands where it stood. */
function heir([region, index]) {
  if (!isThere(region) && region !== document.body) return null;
  const all = focusable(region);
  return all.find((e) => nameOf(e) === last.label) ?? all[Math.min(index, all.length - 1)] ?? null;
}

function restore() {
  const lost = document.activeElement === document.body || document.activeElement === null;
  if (!lost || !last.element || isThere(last.element) || document.querySelector('dialog[open]')) return;
  const same = last.id && document.getElementById(last.id);
  const to = isThere(same) ? same : last.regions.map(heir).find(Boolean);
  to?.focus({ preventScroll: true });
}

/** `skips` are what the links at the top of the page lead to, by name. */
export function start(skips) {
  for (const [name, does] of Object.entries(skips)) {
    byId(`skip-${name}`).addEventListener('click', (event) => {
      event.preventDefault();
      does();
    });
  }
  document.addEventListener('focusin', note);
  document.addEventListener('pointerdown', (event) => {
    // a click beside everything puts the keyboard down on purpose
    if (!event.target.closest?.(FOCUSABLE)) last = { element: null };
  });
  const watch = new MutationObserver(() => requestAnimationFrame(restore));
  watch.observe(document.body, { childList: true, subtree: true, attributes: true, attributeFilter: ['disabled', 'hidden', 'open'] });
}

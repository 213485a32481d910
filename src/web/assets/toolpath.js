// Stepping along the tool path of a program on its sheet: a slider hides the motions that come later.
import { byId, el, say } from './dom.js';
import * as looks from './looks.js';

const ID = /^drawn-move-(\d+)/;
/** The motions of the drawing shown, by their numbers: the elements of each. */
let motions = [];
/** How many sheets may still be turned to find motions. */
let seeking = 0;

/** The slider, hidden until a program is shown. */
export function panel() {
  const slider = el('input', { type: 'range', id: 'toolpath-step', min: '1', step: '1', 'aria-describedby': 'toolpath-said', oninput: () => step() });
  const bar = el('div', { class: 'toolpath', id: 'toolpath', hidden: true }, el('label', { for: 'toolpath-step', text: 'Along the tool path' }), slider,
    el('output', { id: 'toolpath-said', for: 'toolpath-step' }));
  return [bar, el('button', { type: 'button', id: 'toolpath-seek', hidden: true, text: 'Show the tool path', onclick: () => { seeking = sheets(); next(); } })];
}

const sheets = () => byId('sheets').childElementCount;
/** The sheet after this one; after the last the first. */
const next = () => looks.turn((looks.number() % Math.max(1, sheets())) + 1);

/** Takes the motions of what is drawn now; all of them are seen at first. A sheet without any leads to the next one that has some. */
export function show() {
  const found = new Map();
  for (const group of byId('port').querySelectorAll('g[id^="drawn-move-"]')) {
    const number = Number(ID.exec(group.id)?.[1]);
    found.set(number, [...(found.get(number) ?? []), group]);
  }
  motions = [...found].sort(([a], [b]) => a - b).map(([, groups]) => groups);
  byId('toolpath').hidden = motions.length === 0;
  byId('toolpath-seek').hidden = motions.length > 0 || looks.name() !== 'program' || sheets() < 2;
  seeking = motions.length > 0 ? 0 : Math.max(0, seeking - 1);
  if (seeking > 0) return next();
  if (motions.length === 0) return;
  const slider = byId('toolpath-step');
  slider.max = String(motions.length);
  slider.value = slider.max;
  step();
}

function step() {
  const now = Number(byId('toolpath-step').value);
  motions.forEach((groups, i) => groups.forEach((group) => (i < now ? group.removeAttribute('display') : group.setAttribute('display', 'none'))));
  motions.forEach((groups, i) => groups.forEach((group) => group.classList.toggle('lit', i === now - 1 && now < motions.length)));
  const said = motions[now - 1]?.[0].querySelector('title')?.textContent ?? '';
  say(byId('toolpath-said'), `${now} of ${motions.length}, ${said}`);
  byId('toolpath-step').setAttribute('aria-valuetext', said);
}

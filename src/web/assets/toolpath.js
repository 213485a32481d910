// Stepping along the tool path of a program on its sheet: a slider hides the motions that come later.
import { byId, el, say } from './dom.js';

const ID = /^drawn-move-(\d+)/;
/** The motions of the drawing shown, by their numbers: the elements of each. */
let motions = [];

/** The slider, hidden until a program is shown. */
export function panel() {
  const slider = el('input', { type: 'range', id: 'toolpath-step', min: '1', step: '1', 'aria-describedby': 'toolpath-said', oninput: () => step() });
  return el('div', { class: 'toolpath', id: 'toolpath', hidden: true }, el('label', { for: 'toolpath-step', text: 'Along the tool path' }), slider,
    el('output', { id: 'toolpath-said', for: 'toolpath-step' }));
}

/** Takes the motions of what is drawn now; all of them are seen at first. */
export function show() {
  const found = new Map();
  for (const group of byId('port').querySelectorAll('g[id^="drawn-move-"]')) {
    const number = Number(ID.exec(group.id)?.[1]);
    found.set(number, [...(found.get(number) ?? []), group]);
  }
  motions = [...found].sort(([a], [b]) => a - b).map(([, groups]) => groups);
  byId('toolpath').hidden = motions.length === 0;
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

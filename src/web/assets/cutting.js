// The cutting plane of the solid: a slider, and a handle that is dragged where the plane is seen.
import { byId, el, say, shown } from './dom.js';

/** Steps of the cutting plane from one edge of the wheel to the other: its middle is the axis. */
const STEPS = 200;

/** The part that draws, and what it shows; null where nothing is shown. */
let scene = null;
let about = null;

/** Takes the wheel that is shown now. */
export function use(drawn, mesh) {
  [scene, about] = [drawn, mesh];
  cutAt();
}

/** Cuts through the axis. */
export function throughAxis() {
  byId('solid-cut').setAttribute('aria-pressed', 'true');
  byId('solid-off').value = 0;
  cutAt();
}

const isCut = () => byId('solid-cut').getAttribute('aria-pressed') === 'true';

/** Cuts where the slider stands. */
export function cutAt() {
  if (!about) return;
  const off = (Number(byId('solid-off').value) / STEPS) * about.wheel.outside_diameter;
  const words = off === 0 ? 'through the axis' : `${shown(Math.abs(off) / about.mm_per_unit, 2)} ${about.units} ${off > 0 ? 'before' : 'behind'} the axis`;
  byId('solid-off').disabled = !isCut();
  byId('solid-off').setAttribute('aria-valuetext', words);
  say(byId('solid-off-said'), isCut() ? words : '');
  scene.cut(isCut() ? off : null);
}

/** Puts the handle of the cutting plane where the plane is seen. */
export function hold() {
  const [grip, at] = [byId('solid-grip'), about && scene.hold()];
  grip.hidden = !at;
  if (!at) return;
  const { clientWidth, clientHeight } = byId('solid-canvas');
  grip.style.left = `${Math.max(12, Math.min(clientWidth - 12, at.x))}px`;
  grip.style.top = `${Math.max(12, Math.min(clientHeight - 12, at.y))}px`;
}

/** Steps of the slider that a drag means; where the plane is looked at straight on, up and down move it. */
function steps(right, down) {
  const { x, y } = scene.hold().along;
  const [long, high, wide] = [x * x + y * y, byId('solid-canvas').clientHeight, about.wheel.outside_diameter];
  const isSeen = Math.sqrt(long) > (0.1 * high) / wide;
  const mm = isSeen ? (right * x + down * y) / long : (-down * wide) / high;
  return Math.round((mm * STEPS) / wide);
}

/** The slider and what it says. */
export const slider = () => [
  el('input', { type: 'range', id: 'solid-off', min: -STEPS / 2, max: STEPS / 2, step: 1, value: 0, disabled: true, 'aria-label': 'Cutting plane', oninput: cutAt }),
  el('output', { id: 'solid-off-said', for: 'solid-off' }),
];

/** The handle. */
export function handle() {
  const grip = el('div', { id: 'solid-grip', class: 'solid-grip', title: 'Drag the cutting plane', hidden: true });
  let last = null;
  grip.addEventListener('pointerdown', (event) => {
    last = [event.clientX, event.clientY];
    grip.setPointerCapture(event.pointerId);
  });
  grip.addEventListener('pointermove', (event) => {
    if (!last) return;
    const by = steps(event.clientX - last[0], event.clientY - last[1]);
    // less than a step is kept for the next move
    if (by === 0) return;
    last = [event.clientX, event.clientY];
    byId('solid-off').value = Number(byId('solid-off').value) + by;
    cutAt();
  });
  for (const name of ['pointerup', 'pointercancel']) grip.addEventListener(name, () => { last = null; });
  return grip;
}

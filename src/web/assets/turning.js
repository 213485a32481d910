// Turning what is seen: where the camera stands about the wheel, by mouse, touch and keys.
import { Matrix4, Quaternion, Vector3 } from './three.module.min.js';

/** Radians for each pixel a pointer is dragged; for each press of an arrow key. */
const DRAGGED = 0.008;
const PRESSED = Math.PI / 12;
const STEP = 1.25;
const [LEAST, MOST] = [0.5, 60];
/** Pixels an arrow key moves what is seen, with Shift. */
const NUDGE = 40;
const [ACROSS, UP] = [new Vector3(1, 0, 0), new Vector3(0, 1, 0)];

const facing = (right, up, back) => new Quaternion().setFromRotationMatrix(new Matrix4().makeBasis(...[right, up, back].map((v) => new Vector3(...v))));
const about = (axis, degrees) => new Quaternion().setFromAxisAngle(axis, (degrees * Math.PI) / 180);
/** From where the wheel is looked at: x to angle 0, y a quarter turn on, z out of side A. */
const VIEWS = {
  'side-a': facing([1, 0, 0], [0, 1, 0], [0, 0, 1]),
  'side-b': facing([-1, 0, 0], [0, 1, 0], [0, 0, -1]),
  rim: facing([0, 0, -1], [-1, 0, 0], [0, 1, 0]),
  section: facing([0, 0, -1], [-1, 0, 0], [0, 1, 0]),
  pictorial: about(UP, -38).multiply(about(ACROSS, -24)),
};

/** Where the camera stands: its turn, how many times larger than fitted, and where its middle lies, mm. */
export const place = { turn: VIEWS.pictorial.clone(), zoom: 1, middle: new Vector3() };
let told = () => {};
/** Millimetres of a pixel. */
let perPixel = () => 1;

/** One of the standard views. */
export function look(name) {
  place.turn.copy(VIEWS[name]);
  fit();
}

/** The whole wheel in the middle, turned as it is. */
export function fit() {
  place.zoom = 1;
  place.middle.set(0, 0, 0);
  told();
}

export function zoom(by) {
  place.zoom = Math.min(MOST, Math.max(LEAST, place.zoom * by));
  told();
}

function turn(right, down) {
  place.turn.multiply(new Quaternion().setFromAxisAngle(UP, -right)).multiply(new Quaternion().setFromAxisAngle(ACROSS, -down)).normalize();
  told();
}

function move(right, down) {
  place.middle.add(new Vector3(-right * perPixel(), down * perPixel(), 0).applyQuaternion(place.turn));
  told();
}

/**
 * Makes a canvas listen. `onTurned()` follows each change, `scale()` says the mm of a pixel, `onPoint(x, y)` a pointer that points without a button
 * (null where it left), `onPick(x, y)` a click.
 */
export function start(canvas, { onTurned, scale, onPoint, onPick }) {
  [told, perPixel] = [onTurned, scale];
  canvas.addEventListener('wheel', (event) => {
    event.preventDefault();
    zoom(Math.exp(-event.deltaY * (event.deltaMode === 1 ? 0.05 : 0.0015)));
  }, { passive: false });
  canvas.addEventListener('keydown', key);
  canvas.addEventListener('contextmenu', (event) => event.preventDefault());
  fingers(canvas, onPoint, onPick);
}

function key(event) {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  const does = { '+': () => zoom(STEP), '=': () => zoom(STEP), '-': () => zoom(1 / STEP), 0: fit }[event.key];
  if (!arrow && !does) return;
  event.preventDefault();
  if (does) does();
  else if (event.shiftKey) move(arrow[0] * NUDGE, arrow[1] * NUDGE);
  else turn(arrow[0] * PRESSED, arrow[1] * PRESSED);
}

/** One pointer turns the wheel, with Shift or another button it moves it; two zoom and move. */
function fingers(canvas, onPoint, onPick) {
  const down = new Map();
  let travelled = 0;
  const at = (event) => {
    const { left, top } = canvas.getBoundingClientRect();
    return [event.clientX - left, event.clientY - top];
  };
  const spread = () => {
    const [[ax, ay], [bx, by]] = [...down.values()];
    return { wide: Math.hypot(ax - bx, ay - by), x: (ax + bx) / 2, y: (ay + by) / 2 };
  };
  canvas.addEventListener('pointerdown', (event) => {
    down.set(event.pointerId, at(event));
    travelled = 0;
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener('pointermove', (event) => {
    const [was, now] = [down.get(event.pointerId), at(event)];
    if (!was) return onPoint(...now);
    const before = down.size === 2 ? spread() : null;
    down.set(event.pointerId, now);
    const [right, below] = [now[0] - was[0], now[1] - was[1]];
    travelled += Math.hypot(right, below);
    if (before) {
      const after = spread();
      zoom(after.wide / Math.max(1, before.wide));
      return move(after.x - before.x, after.y - before.y);
    }
    return event.shiftKey || event.buttons > 1 ? move(right, below) : turn(right * DRAGGED, below * DRAGGED);
  });
  for (const name of ['pointerup', 'pointercancel']) canvas.addEventListener(name, (event) => down.delete(event.pointerId));
  canvas.addEventListener('pointerleave', () => onPoint(null));
  canvas.addEventListener('click', (event) => travelled <= 4 && onPick(...at(event)));
}

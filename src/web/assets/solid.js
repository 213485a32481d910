// The view of the wheel as a solid: what is asked of the program, the buttons, and what stands there where no solid can be shown.
import { Asker, post, postFor } from './ask.js';
import * as cutting from './cutting.js';
import { byId, el, fill, say, shown } from './dom.js';
import { read } from './glb.js';
import { drawing } from './markup.js';
import { above } from './pointer.js';
import * as store from './store.js';
import { worded } from './words.js';

const MESH = 'model/gltf-binary';
const VIEWS = { 'side-a': 'Side A', 'side-b': 'Side B', rim: 'Rim', section: 'Section', pictorial: 'Picture' };
const COLOURS = ['ground', 'cut', 'uncut', 'open', 'edge', 'ghost', 'lit', 'least', 'low', 'high', 'most'];
const MISSING = 'This browser shows no solids: its 3D graphics (WebGL) are missing or switched off. The picture of the wheel stands here instead.';

/** The part that draws, once it is loaded; null where the browser has no WebGL. */
let scene;
let parts = [];
let about = null;
/** The order that the last answer is of. */
let toldOf = null;
/** The field whose features are lit, and the feature under the pointer. */
let heldField = '';
let under;
let [pointed, picked] = [() => {}, () => {}];
let isEmpty = () => true;

const asker = new Asker(() => (isEmpty() ? null : '/solid'), told, () => byId('solid-stage'), (address, text) => postFor(address, text, MESH));

const tensions = new Asker(() => (isEmpty() || !isPressed('solid-tension') ? null : '/solid/tension'), tensed, () => byId('solid-key'));

/** `onPoint(field)` when a feature is pointed at (null: none), `onPick(field)` when one is chosen; `empty()`: there is no order. */
export function start(onPoint, onPick, empty) {
  [pointed, picked, isEmpty] = [onPoint, onPick, empty];
  new MutationObserver(repaint).observe(document.documentElement, { attributes: true, attributeFilter: ['data-theme'] });
  matchMedia('(forced-colors: active)').addEventListener('change', repaint);
}

/** Asks for the wheel as it is now; the first time the part that draws is fetched as well. */
export async function ask() {
  if (isEmpty()) return nothing('No order is open yet: start one, and its wheel can be turned here.');
  if (toldOf === store.text()) return undefined;
  byId('solid-stage').setAttribute('aria-busy', 'true');
  if (scene === undefined) await load();
  if (isPressed('solid-tension')) tensions.ask();
  return asker.ask();
}

async function load() {
  try {
    const drawn = await import('./scene.js');
    drawn.start(byId('solid-canvas'), { onPoint: point, onPick: pick }, cutting.hold);
    scene = drawn;
    repaint();
  } catch {
    scene = null;
  }
  byId('solid-canvas').addEventListener('webglcontextlost', lost);
  byId('panel-solid').toggleAttribute('data-flat', scene === null);
}

/** The browser took the graphics away. */
function lost() {
  scene = null;
  asker.ask();
}

function told(answer, text) {
  const stage = byId('solid-stage');
  toldOf = answer.offline ? null : text;
  const isNow = text === store.text();
  if (answer.bytes && scene) return built(answer.bytes);
  // what is wrong with the order is said above; what was shown stays, and is marked as of before
  if (answer.problems || answer.offline || answer.refused) {
    stage.toggleAttribute('data-old', isNow);
    return about || isNow === false ? undefined : nothing('This order cannot be shown yet: the line at the top says what is missing.');
  }
  return flat(answer.bytes ? MISSING : `${worded(answer.failure)}. The picture of the wheel stands here instead.`, text);
}

function built(bytes) {
  const mesh = read(bytes);
  [parts, about] = [mesh.parts.map(({ name, field }) => ({ name, field })), mesh.scene];
  byId('panel-solid').removeAttribute('data-none');
  byId('solid-stage').removeAttribute('data-old');
  byId('solid-ghost').disabled = about.blank === null;
  fill(byId('solid-flat'));
  scene.show(mesh);
  scene.showGhost(isPressed('solid-ghost'));
  cutting.use(scene, about);
  chooser();
  lightFeatures(heldField);
}

/** The picture in place of the solid, and why. */
async function flat(why, text) {
  const answer = await post('/view/pictorial', text);
  if (text !== store.text()) return;
  const picture = answer.svg && drawing(answer.svg);
  nothing(why, picture);
}

function nothing(why, picture = null) {
  [about, parts] = [null, []];
  cutting.use(scene, null);
  byId('panel-solid').dataset.none = '';
  byId('solid-stage').removeAttribute('data-old');
  fill(byId('solid-flat'), el('p', { text: why }), picture && el('div', { class: 'pictures' }, picture));
}

/** Features of a field: those it makes; else those it belongs to, else those of the same group. */
function featuresOf(field) {
  if (!field) return [];
  const within = (inner, outer) => inner.startsWith(`${outer}/`);
  const group = above(field);
  const ways = [
    (f) => f === field,
    (f) => within(f, field) || within(field, f),
    (f) => group.split('/').length > 2 && (f === group || within(f, group)),
  ];
  return ways.map((way) => parts.filter((p) => p.field && way(p.field))).find((found) => found.length) ?? [];
}

/** Lights the features of a field; an empty one puts them out. */
export function light(field) {
  heldField = field;
  if (scene && about) lightFeatures(field);
}

const lightFeatures = (field) => scene.lightUp(featuresOf(field).map((p) => p.name));

function point(x, y) {
  const found = x === null || !about ? null : scene.featureAt(x, y);
  if (found?.name === under) return;
  under = found?.name;
  said(found);
  pointed(found?.field || null);
  if (found) scene.lightUp([found.name]);
}

function pick(x, y) {
  const found = about && scene.featureAt(x, y);
  said(found);
  if (found?.field) picked(found.field);
}

const said = (feature) => say(byId('solid-said'), feature ? feature.name[0].toUpperCase() + feature.name.slice(1) : '');

/** The features by name, for whoever points at nothing. */
function chooser() {
  const select = byId('solid-feature');
  const [was, names] = [select.value, [...new Set(parts.map((p) => p.name))].filter(Boolean)];
  if ([...select.options].slice(1).map((o) => o.value).join() === names.join()) return;
  fill(select, el('option', { value: '', text: 'none' }), ...names.map((name) => el('option', { value: name, text: name[0].toUpperCase() + name.slice(1) })));
  select.value = names.includes(was) ? was : '';
  chosen();
}

function chosen() {
  const found = parts.find((p) => p.name === byId('solid-feature').value);
  byId('solid-go').disabled = !found?.field;
  said(found);
  if (!scene || !about) return;
  pointed(found?.field || null);
  if (found) scene.lightUp([found.name]);
}

function look(name) {
  if (!scene || !about) return;
  if (name === 'section') cutting.throughAxis();
  scene.look(name);
}

function press(button) {
  button.setAttribute('aria-pressed', String(button.getAttribute('aria-pressed') !== 'true'));
}

const isPressed = (id) => byId(id).getAttribute('aria-pressed') === 'true';

/** Colours by tension, where that is asked for: the numbers are asked of the program as well. */
function colour() {
  byId('solid-key').hidden = !isPressed('solid-tension');
  if (isPressed('solid-tension')) return tensions.ask();
  return scene?.colourBy(null);
}

function tensed(answer, text) {
  if (text !== store.text() || !isPressed('solid-tension') || answer.problems || answer.offline) return undefined;
  const { failure, greatest, unit } = answer;
  byId('solid-key').toggleAttribute('data-none', Boolean(failure));
  say(byId('solid-key-said'), failure ?? `${shown(greatest, 3)} ${unit}`);
  return scene?.colourBy(failure ? null : answer);
}

/** What the colours mean. */
const key = () => el('div', { id: 'solid-key', class: 'solid-key', hidden: true }, el('span', { class: 'bar' }), el('p', {}, el('span', { text: 'Tension from none to ' }), el('b', { id: 'solid-key-said' })));

/** Takes the colours from the style sheet, which knows light, dark and the system's own. */
function repaint() {
  if (!scene) return;
  scene.paint(Object.fromEntries(COLOURS.map((what) => [what, getComputedStyle(byId('solid-colours').querySelector(`.${what}`)).color])));
}

/** The panel. */
export function panel() {
  const views = Object.entries(VIEWS).map(([name, text]) => el('button', { type: 'button', id: `solid-${name}`, text, onclick: () => look(name) }));
  const toggle = (id, text, pressed, does) => el('button', { type: 'button', id, text, 'aria-pressed': String(pressed), onclick: (event) => { press(event.currentTarget); does(); } });
  const feature = el('select', { id: 'solid-feature', onchange: chosen }, el('option', { value: '', text: 'none' }));
  const go = el('button', { type: 'button', id: 'solid-go', text: 'Go to the field', disabled: true, onclick: () => picked(parts.find((p) => p.name === feature.value)?.field ?? '') });
  const size = (id, text, name, does) => el('button', { type: 'button', id, text, 'aria-label': name, title: name, onclick: () => does(scene) });
  const tools = el('div', { class: 'zoom', role: 'toolbar', 'aria-label': 'Solid' },
    el('div', { class: 'looks', role: 'group', 'aria-label': 'Looked at from' }, ...views),
    el('span', { class: 'sizes' }, size('solid-out', '−', 'Farther away', (s) => s?.zoom(0.8)), size('solid-in', '+', 'Nearer', (s) => s?.zoom(1.25)), size('solid-fit', 'Fit', 'Fit the whole wheel', (s) => s?.fit())),
    toggle('solid-ghost', 'Blank', true, () => scene?.showGhost(isPressed('solid-ghost'))), toggle('solid-tension', 'Tension', false, colour),
    toggle('solid-cut', 'Cut open', false, cutting.cutAt), ...cutting.slider());
  const hint = 'The wheel as a solid: arrow keys turn it, with Shift they move it, plus and minus bring it nearer and farther, 0 shows all of it';
  const canvas = el('canvas', { id: 'solid-canvas', tabindex: '0', role: 'img', 'aria-label': hint });
  const colours = el('div', { id: 'solid-colours', hidden: true }, ...COLOURS.map((what) => el('i', { class: what })));
  return [
    tools,
    el('div', { class: 'solid-stage', id: 'solid-stage' }, canvas, cutting.handle(), el('p', { id: 'solid-said', class: 'solid-said' })),
    el('div', { id: 'solid-flat', class: 'solid-flat' }),
    el('div', { class: 'solid-feature' }, el('label', { for: 'solid-feature', text: 'Feature' }), feature, go, key()),
    colours,
  ];
}

// The wheel as a solid in the browser's own 3D: surfaces by feature, edges, the blank as a ghost, a cutting plane with the stone it lays open.
import {
  AmbientLight, AlwaysStencilFunc, BackSide, BufferAttribute, BufferGeometry, Color, DecrementWrapStencilOp, DirectionalLight, DoubleSide, FrontSide,
  Group, IncrementWrapStencilOp, LatheGeometry, LineBasicMaterial, LineLoop, LineSegments, Mesh, MeshBasicMaterial, MeshLambertMaterial,
  NotEqualStencilFunc, OrthographicCamera, Plane, PlaneGeometry, ReplaceStencilOp, Scene, Vector2, Vector3, WebGLRenderer,
} from './three.module.min.js';
import { smoothed, turnedOver } from './glb.js';
import * as marks from './marks.js';
import * as tension from './tension.js';
import * as turning from './turning.js';

/** Room around a fitted wheel, as a share of it. */
const ROOM = 1.12;
/** The frame of the cutting plane stands out beyond the wheel by this share. */
const FRAME = 1.08;

const scene = new Scene();
const camera = new OrthographicCamera();
const light = new DirectionalLight(0xffffff, 2.2);
const plane = new Plane(new Vector3(0, -1, 0), 0);
/** What is replaced with each wheel. */
const wheel = new Group();
let renderer = null;
let canvas = null;
let frame = 0;
let size = { outside_diameter: 1, thickness: 1 };
let parts = [];
let ghost = null;
let caps = [];
let outline = null;
let colours = {};
const state = { lit: new Set(), ghost: true, cut: null };
let moved = () => {};

/** Begins on a canvas; throws where the browser has no WebGL. `onMoved()` follows each picture, the rest is that of `turning.start`. */
export function start(on, listeners, onMoved) {
  canvas = on;
  moved = onMoved;
  renderer = new WebGLRenderer({ canvas, antialias: true, stencil: true });
  renderer.localClippingEnabled = true;
  scene.add(wheel, camera, new AmbientLight(0xffffff, 1.1));
  light.position.set(-0.4, 0.7, 1);
  camera.add(light);
  turning.start(canvas, { ...listeners, onTurned: draw, scale: perPixel });
  new ResizeObserver(draw).observe(canvas.parentElement);
}

/** Half of the longest way across what is shown, mm. */
const radius = () => Math.max(...[size, ghost?.visible && ghost.userData.size].filter(Boolean).map((s) => Math.hypot(s.outside_diameter, s.thickness))) / 2;
/** Half of what is seen, mm: across the narrower way the whole wheel. */
const half = () => (radius() * ROOM) / turning.place.zoom;
const perPixel = () => (2 * half()) / Math.min(canvas.clientWidth, canvas.clientHeight);

/** Takes the colours: texts as CSS has them, by what they are for. */
export function paint(named) {
  colours = Object.fromEntries(Object.entries(named).map(([what, text]) => [what, new Color(text)]));
  renderer.setClearColor(colours.ground);
  tension.paint([colours.least, colours.low, colours.high, colours.most]);
  recolour();
  draw();
}

/** Puts another wheel in place of the one shown. */
export function show(mesh) {
  for (const old of wheel.children) dispose(old);
  wheel.clear();
  size = mesh.scene.wheel;
  const corners = turnedOver(mesh.corners);
  const shared = new BufferAttribute(corners, 3);
  parts = mesh.parts.map((part) => surface(corners, part));
  const whole = new BufferGeometry();
  whole.setAttribute('position', shared);
  const all = new Uint32Array(mesh.parts.reduce((n, p) => n + p.numbers.length, 0));
  mesh.parts.reduce((at, p) => { all.set(p.numbers, at); return at + p.numbers.length; }, 0);
  whole.setIndex(new BufferAttribute(all, 1));
  caps = cap(whole);
  const lines = new BufferGeometry();
  lines.setAttribute('position', shared);
  lines.setIndex(new BufferAttribute(mesh.edges.slice(), 1));
  const edges = new LineSegments(lines, new LineBasicMaterial({ clippingPlanes: [plane] }));
  edges.userData.colour = 'edge';
  ghost = mesh.scene.blank && blank(mesh.scene.blank);
  outline = frameOf();
  wheel.add(...parts.map((p) => p.mesh), edges, ...caps, outline, ...(ghost ? [ghost] : []));
  wheel.position.z = size.thickness / 2;
  marks.show(parts, wheel.position.z, plane);
  recolour();
  cut(state.cut);
}

const dispose = (thing) => {
  thing.traverse((one) => { one.geometry?.dispose(); one.material?.dispose(); });
};

function surface(corners, { name, field, look, numbers }) {
  const { places, normals } = smoothed(corners, numbers);
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(places, 3));
  geometry.setAttribute('normal', new BufferAttribute(normals, 3));
  const material = tension.taught(new MeshLambertMaterial({ clippingPlanes: [plane], polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 }));
  return { name, field, look, mesh: new Mesh(geometry, material) };
}

/** The stone that the cutting plane lays open: where behind it more surfaces turn away than face the viewer, one looks into the wheel. */
function cap(geometry) {
  const counted = (side, op) => new Mesh(geometry, new MeshBasicMaterial({
    side, clippingPlanes: [plane], depthWrite: false, depthTest: false, colorWrite: false,
    stencilWrite: true, stencilFunc: AlwaysStencilFunc, stencilFail: op, stencilZFail: op, stencilZPass: op,
  }));
  const open = new Mesh(new PlaneGeometry(3 * radius(), 3 * radius()), tension.taught(new MeshLambertMaterial({
    side: DoubleSide, stencilWrite: true, stencilRef: 0, stencilFunc: NotEqualStencilFunc,
    stencilFail: ReplaceStencilOp, stencilZFail: ReplaceStencilOp, stencilZPass: ReplaceStencilOp,
  })));
  open.rotation.x = -Math.PI / 2;
  open.userData.colour = 'open';
  open.onAfterRender = (by) => by.clearStencil();
  const all = [counted(BackSide, IncrementWrapStencilOp), counted(FrontSide, DecrementWrapStencilOp), open];
  all.forEach((one, i) => { one.renderOrder = i - 3; });
  return all;
}

/** The blank about the wheel, what it is thicker in equal parts on both sides. */
function blank({ outside_diameter: outside, thickness, bore }) {
  const group = new Group();
  group.userData.size = { outside_diameter: outside, thickness };
  const [near, far] = [(thickness - size.thickness) / 2, -(thickness + size.thickness) / 2];
  const ring = [[bore, near], [outside, near], [outside, far], [bore, far], [bore, near]].map(([d, z]) => new Vector2(Math.max(d / 2, 0.001), z));
  const body = new Mesh(new LatheGeometry(ring, 96), new MeshBasicMaterial({ transparent: true, opacity: 0.16, depthWrite: false, polygonOffset: true, polygonOffsetFactor: 3, polygonOffsetUnits: 3, side: DoubleSide, clippingPlanes: [plane] }));
  body.rotation.x = Math.PI / 2;
  body.userData.colour = 'ghost';
  group.add(body);
  for (const [d, z] of ring.slice(0, 4).map((p) => [p.x, p.y])) {
    const circle = Array.from({ length: 144 }, (_, i) => new Vector3(d * Math.cos((i * Math.PI) / 72), d * Math.sin((i * Math.PI) / 72), z));
    const line = new LineLoop(new BufferGeometry().setFromPoints(circle), new LineBasicMaterial({ clippingPlanes: [plane], transparent: true, opacity: 0.75 }));
    line.userData.colour = 'ghost';
    group.add(line);
  }
  return group;
}

/** The frame of the cutting plane. */
function frameOf() {
  const [r, a, b] = [(FRAME * size.outside_diameter) / 2, 0.35 * size.thickness, -1.35 * size.thickness];
  const points = [[-r, a], [r, a], [r, b], [-r, b]].map(([x, z]) => new Vector3(x, 0, z));
  const line = new LineLoop(new BufferGeometry().setFromPoints(points), new LineBasicMaterial());
  line.userData.colour = 'lit';
  return line;
}

function recolour() {
  if (!colours.ground) return;
  for (const { name, look, mesh } of parts) {
    const isLit = state.lit.has(name);
    mesh.material.color.copy(isLit ? colours.lit : look === 'cut' ? colours.cut : colours.uncut);
    mesh.material.userData.lit.value = Number(isLit);
  }
  wheel.traverse((one) => one.userData.colour && one.material.color.copy(colours[one.userData.colour]));
}

/** Lights features by their names. */
export function lightUp(names) {
  state.lit = new Set(names);
  recolour();
  draw();
}

/** Colours surfaces and cut by a field of tension; null: by how they came to be. */
export function colourBy(field) {
  tension.use(field);
  draw();
}

export function showGhost(is) {
  state.ghost = is;
  if (ghost) ghost.visible = is;
  draw();
}

/** Cuts parallel to the axis, so far from it in mm; null: nowhere. */
export function cut(off) {
  state.cut = off;
  plane.constant = off ?? 10 * radius();
  for (const one of [...caps, outline]) if (one) one.visible = off !== null;
  if (outline) outline.position.y = off ?? 0;
  if (caps[2]) caps[2].position.y = off ?? 0;
  showGhost(state.ghost);
}

export const { look, fit, zoom } = turning;

const onScreen = (at) => {
  const there = at.clone().project(camera);
  return { x: ((there.x + 1) / 2) * canvas.clientWidth, y: ((1 - there.y) / 2) * canvas.clientHeight };
};

/** Where the cutting plane is taken hold of, in pixels of the canvas, and how that moves for each mm; null where nothing is cut. */
export function hold() {
  if (state.cut === null) return null;
  const at = (y) => onScreen(new Vector3((-FRAME * size.outside_diameter) / 2, y, 0));
  const [here, there] = [at(state.cut), at(state.cut + 1)];
  return { ...here, along: { x: there.x - here.x, y: there.y - here.y } };
}

/** The feature at a place of the canvas, or null. */
export function featureAt(x, y) {
  const found = marks.at(renderer, camera, x, y, canvas.clientWidth, canvas.clientHeight);
  renderer.setClearColor(colours.ground);
  return parts[found] ?? null;
}

/** Draws in the next frame; several changes within one are one picture. */
export function draw() {
  if (frame || !renderer) return;
  frame = requestAnimationFrame(() => {
    frame = 0;
    const [width, height] = [canvas.parentElement.clientWidth, canvas.parentElement.clientHeight];
    if (width === 0 || height === 0) return;
    renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    renderer.setSize(width, height, false);
    const [reach, least] = [half(), Math.min(width, height)];
    Object.assign(camera, { left: (-reach * width) / least, right: (reach * width) / least, top: (reach * height) / least, bottom: (-reach * height) / least, near: 0.1, far: 20 * radius() });
    camera.quaternion.copy(turning.place.turn);
    camera.position.set(0, 0, 8 * radius()).applyQuaternion(camera.quaternion).add(turning.place.middle);
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld();
    renderer.render(scene, camera);
    const { calls, triangles } = renderer.info.render;
    Object.assign(canvas.dataset, { drawn: Number(canvas.dataset.drawn ?? 0) + 1, calls, triangles });
    moved();
  });
}

// What is under the pointer: the wheel is drawn once more, one dot of it, each feature in a number of its own.
import { DoubleSide, Group, Mesh, Scene, ShaderMaterial, WebGLRenderTarget } from './three.module.min.js';

const VERTEX = `
#include <clipping_planes_pars_vertex>
void main() {
  #include <begin_vertex>
  #include <project_vertex>
  #include <clipping_planes_vertex>
}`;
/** A surface seen from behind is stone that a cut lays open: it hides what is farther off and is no feature. */
const FRAGMENT = `
#include <clipping_planes_pars_fragment>
uniform float mark;
void main() {
  #include <clipping_planes_fragment>
  gl_FragColor = vec4(gl_FrontFacing ? mark : 0.0, 0.0, 0.0, 1.0);
}`;
/** Numbers that a dot can hold. */
const MOST = 255;

const scene = new Scene();
const wheel = new Group();
const dot = new WebGLRenderTarget(1, 1);
scene.add(wheel);

/** Takes the parts of another wheel, which lies so far along its axis. */
export function show(parts, z, plane) {
  for (const { material } of wheel.children) material.dispose();
  wheel.clear();
  wheel.position.z = z;
  parts.slice(0, MOST).forEach(({ mesh }, i) => wheel.add(new Mesh(mesh.geometry, new ShaderMaterial({
    vertexShader: VERTEX, fragmentShader: FRAGMENT, uniforms: { mark: { value: (i + 1) / MOST } }, side: DoubleSide, clipping: true, clippingPlanes: [plane],
  }))));
}

/** Which part is seen at a place of a picture so wide and high; -1: none. */
export function at(renderer, camera, x, y, width, height) {
  camera.setViewOffset(width, height, Math.floor(x), Math.floor(y), 1, 1);
  renderer.setRenderTarget(dot);
  renderer.setClearColor(0, 1);
  renderer.clear();
  renderer.render(scene, camera);
  const seen = new Uint8Array(4);
  renderer.readRenderTargetPixels(dot, 0, 0, 1, 1, seen);
  renderer.setRenderTarget(null);
  camera.clearViewOffset();
  return seen[0] - 1;
}

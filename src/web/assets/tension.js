// Tension as colours: a picture of it over radius and thickness that every surface of the wheel, and every cut through it, looks its own place up in.
import { ClampToEdgeWrapping, Color, DataTexture, LinearFilter, RedFormat, Vector4 } from './three.module.min.js';

/** Dots of the picture along radius and thickness. */
const [WIDE, HIGH] = [512, 256];
/** How many dots beyond the section are filled, so that its very edge has a colour too. */
const BEYOND = 4;
/** Three places of the colours between no tension and the greatest. */
const RAMP = 4;

const picture = { value: new DataTexture(new Uint8Array([0]), 1, 1, RedFormat) };
const isOn = { value: 0 };
/** Least and greatest radius, then z of the side's datum planes, as the page places the wheel. */
const span = { value: new Vector4(0, 1, 0, 1) };
const ramp = { value: Array.from({ length: RAMP }, () => new Color()) };

/** Shows the tensions of a field: `nodes` as [r, z] in mm, a value for each, triangles of three nodes; null: none. */
export function use(field) {
  isOn.value = field ? 1 : 0;
  if (!field) return;
  const [near, far] = field.radii;
  span.value.set(near, far, field.thickness / 2, -field.thickness / 2);
  const { data, known } = drawn(field, near, far);
  for (let i = 0; i < BEYOND; i += 1) spread(data, known);
  picture.value.dispose();
  picture.value = Object.assign(new DataTexture(data, WIDE, HIGH, RedFormat), { magFilter: LinearFilter, minFilter: LinearFilter, wrapS: ClampToEdgeWrapping, wrapT: ClampToEdgeWrapping });
  picture.value.needsUpdate = true;
}

/** The colours from no tension to the greatest. */
export const paint = (colours) => colours.forEach((colour, i) => ramp.value[i].copy(colour));

/** Each triangle of the field, dot by dot. */
function drawn({ nodes, values, triangles, greatest, thickness }, near, far) {
  const [data, known] = [new Uint8Array(WIDE * HIGH), new Uint8Array(WIDE * HIGH)];
  const at = nodes.map(([r, z]) => [((r - near) / (far - near)) * WIDE - 0.5, (z / thickness) * HIGH - 0.5]);
  for (const t of triangles) {
    const [[ax, ay], [bx, by], [cx, cy]] = t.map((n) => at[n]);
    const [va, vb, vc] = t.map((n) => values[n]);
    const area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay);
    if (area === 0) continue;
    const ends = (a, b, c, most) => [Math.max(0, Math.ceil(Math.min(a, b, c))), Math.min(most - 1, Math.floor(Math.max(a, b, c)))];
    const [[left, right], [low, high]] = [ends(ax, bx, cx, WIDE), ends(ay, by, cy, HIGH)];
    for (let y = low; y <= high; y += 1) {
      for (let x = left; x <= right; x += 1) {
        const v = ((x - ax) * (cy - ay) - (cx - ax) * (y - ay)) / area;
        const w = ((bx - ax) * (y - ay) - (x - ax) * (by - ay)) / area;
        if (v < 0 || w < 0 || v + w > 1) continue;
        data[y * WIDE + x] = Math.round(255 * Math.min(1, Math.max(0, (va + v * (vb - va) + w * (vc - va)) / greatest)));
        known[y * WIDE + x] = 1;
      }
    }
  }
  return { data, known };
}

/** Dots next to known ones take their colour. */
function spread(data, known) {
  const was = known.slice();
  for (let i = 0; i < data.length; i += 1) {
    if (was[i]) continue;
    const from = [i % WIDE > 0 ? i - 1 : -1, i % WIDE < WIDE - 1 ? i + 1 : -1, i - WIDE, i + WIDE].find((n) => was[n]);
    if (from === undefined) continue;
    data[i] = data[from];
    known[i] = 1;
  }
}

/** Teaches a material to look tensions up; one that is lit (`userData.lit.value` of 1) keeps its own colour. */
export function taught(material) {
  const lit = { value: 0 };
  material.userData.lit = lit;
  material.onBeforeCompile = (shader) => {
    Object.assign(shader.uniforms, { tension: picture, tensionOn: isOn, tensionSpan: span, tensionRamp: ramp, tensionLit: lit });
    shader.vertexShader = `varying vec3 onWheel;\n${shader.vertexShader.replace('#include <begin_vertex>', '#include <begin_vertex>\nonWheel = (modelMatrix * vec4(position, 1.0)).xyz;')}`;
    shader.fragmentShader = `varying vec3 onWheel; uniform sampler2D tension; uniform float tensionOn; uniform float tensionLit; uniform vec4 tensionSpan; uniform vec3 tensionRamp[${RAMP}];\n${
      shader.fragmentShader.replace('#include <color_fragment>', `#include <color_fragment>
      if (tensionOn > 0.5 && tensionLit < 0.5) {
        vec2 at = vec2((length(onWheel.xy) - tensionSpan.x) / (tensionSpan.y - tensionSpan.x), (onWheel.z - tensionSpan.z) / (tensionSpan.w - tensionSpan.z));
        float place = texture2D(tension, at).r * ${RAMP - 1}.0;
        diffuseColor.rgb = place < 1.0 ? mix(tensionRamp[0], tensionRamp[1], place) : place < 2.0 ? mix(tensionRamp[1], tensionRamp[2], place - 1.0) : mix(tensionRamp[2], tensionRamp[3], place - 2.0);
      }`)}`;
  };
  return material;
}

// Reading a mesh in the binary form of glTF 2.0, as far as the program writes it: corners, triangles of each feature, edges.

const MAGIC = 0x46546c67;
const JSON_CHUNK = 0x4e4f534a;
const HEAD = 12;
const LINES = 1;
const ARRAYS = { 5125: Uint32Array, 5126: Float32Array };
const WIDTH = { SCALAR: 1, VEC3: 3 };
/** Neighbouring triangles that turn less than this are one smooth surface: cosine of 32 degrees. */
const SMOOTH = 0.848;

/**
 * `{corners, parts, edges, scene}`: places three by three in mm, `parts` of one feature each with its field, its colour and the numbers of its corners, edges as pairs of
 * corners, and what the scene says besides.
 */
export function read(buffer) {
  const view = new DataView(buffer);
  if (view.getUint32(0, true) !== MAGIC) throw new Error('this is no mesh');
  const length = view.getUint32(HEAD, true);
  if (view.getUint32(HEAD + 4, true) !== JSON_CHUNK) throw new Error('this mesh says nothing of itself');
  const document = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, HEAD + 8, length)));
  const binary = HEAD + 8 + length + 8;
  const numbers = (index) => {
    const { bufferView, byteOffset = 0, componentType, count, type } = document.accessors[index];
    return new ARRAYS[componentType](buffer, binary + (document.bufferViews[bufferView].byteOffset ?? 0) + byteOffset, count * WIDTH[type]);
  };
  const primitives = document.meshes[0].primitives;
  const surfaces = primitives.filter((p) => p.mode !== LINES);
  const scene = document.scenes[0].extras;
  const part = ({ extras: { feature }, material, indices }) => ({ name: feature, field: scene.fields[feature], look: document.materials[material].name, numbers: numbers(indices) });
  return {
    corners: numbers(primitives[0].attributes.POSITION),
    parts: surfaces.map(part),
    edges: numbers(primitives.find((p) => p.mode === LINES).indices),
    scene,
  };
}

/** Places as the page shows them: side A to the viewer, angle 0 to the right, counter-clockwise as seen from outside side A. */
export function turnedOver(corners) {
  const made = new Float32Array(corners.length);
  for (let i = 0; i < corners.length; i += 3) {
    made[i] = corners[i];
    made[i + 1] = -corners[i + 1];
    made[i + 2] = -corners[i + 2];
  }
  return made;
}

/** The triangles of a part with corners of their own, `{places, normals}`; smooth where their neighbours hardly turn. */
export function smoothed(corners, numbers) {
  const { flat, long } = flatNormals(corners, numbers);
  const { first, of } = around(numbers, corners.length / 3);
  const places = new Float32Array(3 * numbers.length);
  const normals = new Float32Array(3 * numbers.length);
  for (let i = 0; i < numbers.length; i += 1) {
    const [own, corner] = [Math.floor(i / 3), numbers[i]];
    let [x, y, z] = [0, 0, 0];
    for (let n = first[corner]; n !== -1; n = of[n]) {
      const other = Math.floor(n / 3);
      if (dot(flat, 3 * own, 3 * other) < SMOOTH * long[own] * long[other]) continue;
      x += flat[3 * other];
      y += flat[3 * other + 1];
      z += flat[3 * other + 2];
    }
    const length = Math.hypot(x, y, z) || 1;
    for (let k = 0; k < 3; k += 1) places[3 * i + k] = corners[3 * corner + k];
    normals[3 * i] = x / length;
    normals[3 * i + 1] = y / length;
    normals[3 * i + 2] = z / length;
  }
  return { places, normals };
}

const dot = (v, a, b) => v[a] * v[b] + v[a + 1] * v[b + 1] + v[a + 2] * v[b + 2];

/** The normal of each triangle, as long as twice its area, and that length. */
function flatNormals(corners, numbers) {
  const flat = new Float32Array(numbers.length);
  const long = new Float32Array(numbers.length / 3);
  for (let t = 0; t < numbers.length; t += 3) {
    const [a, b, c] = [3 * numbers[t], 3 * numbers[t + 1], 3 * numbers[t + 2]];
    const [ux, uy, uz] = [corners[b] - corners[a], corners[b + 1] - corners[a + 1], corners[b + 2] - corners[a + 2]];
    const [vx, vy, vz] = [corners[c] - corners[a], corners[c + 1] - corners[a + 1], corners[c + 2] - corners[a + 2]];
    flat[t] = uy * vz - uz * vy;
    flat[t + 1] = uz * vx - ux * vz;
    flat[t + 2] = ux * vy - uy * vx;
    long[t / 3] = Math.sqrt(dot(flat, t, t));
  }
  return { flat, long };
}

/** Chains of the places in a list where the same corner, of so many, stands. */
function around(numbers, count) {
  const first = new Int32Array(count).fill(-1);
  const of = new Int32Array(numbers.length);
  for (let i = 0; i < numbers.length; i += 1) {
    of[i] = first[numbers[i]];
    first[numbers[i]] = i;
  }
  return { first, of };
}

// How long pictures of a wheel with 360 grooves take while it is turned in Chromium, and how long after a letter the new one stands. No test: it says the
// machine and judges nothing. The processor draws here, no graphics card: its share says how much of a picture is not the page. See benches/README.md.
import { readFileSync } from 'node:fs';
import { cpus, loadavg } from 'node:os';
import { join } from 'node:path';
import { ROOT, onPage } from '../tests/browser/page-harness.mjs';

const MANY = join(ROOT, 'tests/reference/timing/round-bottom-grooves-both-sides-over-a-taper.json');
const FRAMES = Number(process.env.FRAMES ?? 120);
const LETTERS = 12;

/** In the page: of each picture the time its commands take the page, and that until they are carried out. */
async function turned(count) {
  const canvas = document.getElementById('solid-canvas');
  const gl = canvas.getContext('webgl2');
  const times = [];
  for (let i = 0; i < count; i += 1) {
    const begun = performance.now();
    const key = new KeyboardEvent('keydown', { key: i % 2 ? 'ArrowUp' : 'ArrowRight', bubbles: true, cancelable: true });
    canvas.dispatchEvent(key);
    const start = await new Promise(requestAnimationFrame);
    const page = performance.now() - Math.max(start, begun);
    // reading a dot waits for all that was asked for
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
    times.push({ page, all: performance.now() - Math.max(start, begun) });
  }
  return times;
}

const middle = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)].toFixed(1);

await onPage(async (desk) => {
  const { page } = desk;
  const built = async (after) => page.waitForFunction((n) => Number(document.getElementById('solid-canvas').dataset.drawn) > n, after);
  const drawn = () => page.evaluate(() => Number(document.getElementById('solid-canvas').dataset.drawn));
  await desk.arrive();
  await desk.openText(readFileSync(MANY, 'utf8'), 'many.json');
  await desk.tab('solid');
  await built(0);
  await page.evaluate(turned, 10);
  const times = await page.evaluate(turned, FRAMES);
  const { calls, triangles } = await page.evaluate(() => ({ ...document.getElementById('solid-canvas').dataset }));
  console.log(`${cpus().length} x ${cpus()[0].model}, load ${loadavg()[0].toFixed(1)}, drawn by the processor`);
  console.log(`${calls} goes, ${triangles} triangles; a picture: page ${middle(times.map((t) => t.page))} ms, with all that draws it ${middle(times.map((t) => t.all))} ms`);
  const waits = [];
  for (let i = 0; i < LETTERS; i += 1) {
    await desk.settled();
    const [was, begun] = [await drawn(), Date.now()];
    await desk.type('/wheel/bore', String(150 + i));
    await built(was);
    waits.push(Date.now() - begun);
  }
  console.log(`from a number typed to the wheel that has it: ${middle(waits)} ms`);
});

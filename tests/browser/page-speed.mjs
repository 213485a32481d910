// How long from a key to the paint, in a view alone and on the sheet, with the processor's time of a letter: numbers to be read with the machine and
// its load, which stand beside them. Every letter has to be drawn, and the last drawing has to be the one typed.
import { readFileSync } from 'node:fs';
import { cpus, loadavg } from 'node:os';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const KEYS = 60;
/** Time between two keys, ms: a quick hand. */
const PACE = 120;

/** In the page: the times from each key to the frame in which the drawing it led to is on the screen. */
function watch() {
  const paints = [];
  let pressed = null;
  document.addEventListener('keydown', () => { pressed = performance.now(); }, true);
  new MutationObserver(() => {
    const from = pressed;
    if (from === null) return;
    pressed = null;
    // a task after the frame: the frame is painted
    requestAnimationFrame(() => setTimeout(() => paints.push(performance.now() - from), 0));
  }).observe(document.getElementById('port'), { childList: true });
  window.paints = paints;
}

const processor = (pid) => {
  try {
    const rest = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ');
    return 10 * (Number(rest[11]) + Number(rest[12]));
  } catch {
    return Number.NaN;
  }
};

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  await desk.open(join(ROOT, 'demo-data', '1042.json'));
  await desk.drawn();
  await page.evaluate(watch);
  console.log(`${cpus().length} × ${cpus()[0].model}, load ${loadavg()[0].toFixed(1)}`);
  for (const look of ['section', 'side-a', 'sheet']) {
    await desk.look(look);
    await desk.drawn();
    await desk.field('/wheel/bore').fill('8.');
    await desk.drawn();
    await page.evaluate(() => { window.paints.length = 0; });
    const before = processor(desk.pid);
    for (let i = 0; i < KEYS; i += 1) {
      await page.keyboard.press(i % 2 ? 'Backspace' : String(1 + (i % 8)));
      await page.waitForTimeout(PACE);
    }
    await desk.drawn();
    await page.waitForTimeout(300);
    const times = (await page.evaluate(() => window.paints)).sort((a, b) => a - b);
    const at = (share) => times[Math.min(times.length - 1, Math.floor(share * times.length))].toFixed(0);
    console.log(`${look}: key to paint ${at(0.5)} ms in the middle, ${at(0.99)} ms at 99 %, of ${times.length} letters; program ${((processor(desk.pid) - before) / KEYS).toFixed(0)} ms of processor a letter`);
    check(`${look}: letters are drawn while one types`, times.length >= KEYS / 10, `${times.length} of ${KEYS}`);
    await page.keyboard.type('5');
    await desk.drawn();
    const shown = await page.evaluate(() => document.querySelector('#port svg').textContent);
    check(`${look}: the last letter is drawn`, look === 'side-a' || shown.includes('8.5'), shown.slice(0, 200));
  }
});

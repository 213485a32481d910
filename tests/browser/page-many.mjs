// The solid of a wheel with 360 grooves: it is drawn at few goes however many grooves there are, only when something changes, and with little work of
// the page for each picture. How long pictures take is the business of benches/solid-frames.mjs.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

/** 2 x 180 grooves with round bottoms over tapers. */
const MANY = join(ROOT, 'tests/reference/timing/round-bottom-grooves-both-sides-over-a-taper.json');
const FRAMES = 60;
/** A picture at 60 a second, ms. */
const BEAT = 1000 / 60;
/** What a wheel's features, its edges and its blank come to, and triangles that any phone turns. */
const [MOST_CALLS, MOST_TRIANGLES] = [30, 60000];

const said = (desk) => desk.page.evaluate(() => ({ ...document.getElementById('solid-canvas').dataset }));

async function drawn(desk, after = 0) {
  await desk.settled();
  await desk.page.waitForFunction((n) => Number(document.getElementById('solid-canvas').dataset.drawn) > n, after);
  await desk.page.waitForTimeout(200);
}

/** Milliseconds of processor of the page's own thread so far. */
async function spent(cdp) {
  const { metrics } = await cdp.send('Performance.getMetrics');
  return 1000 * metrics.find((m) => m.name === 'TaskDuration').value;
}

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  await desk.openText(readFileSync(MANY, 'utf8'), 'many.json');
  await desk.tab('solid');
  await drawn(desk);
  const { calls, triangles, drawn: first } = await said(desk);
  check('few goes draw all of it', Number(calls) > 3 && Number(calls) <= MOST_CALLS, calls);
  check('of no more triangles than turn easily', Number(triangles) > 10000 && Number(triangles) <= MOST_TRIANGLES, triangles);
  await page.waitForTimeout(600);
  check('nothing is drawn while nothing changes', (await said(desk)).drawn === first);
  const cdp = await page.context().newCDPSession(page);
  await cdp.send('Performance.enable', { timeDomain: 'threadTicks' });
  const before = await spent(cdp);
  await page.evaluate(async (count) => {
    const canvas = document.getElementById('solid-canvas');
    for (let i = 0; i < count; i += 1) {
      canvas.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', bubbles: true, cancelable: true }));
      await new Promise(requestAnimationFrame);
    }
  }, FRAMES);
  const turned = await said(desk);
  check('each turn is one picture', Number(turned.drawn) - Number(first) === FRAMES, `${first} ${turned.drawn}`);
  const each = ((await spent(cdp)) - before) / FRAMES;
  check('a picture leaves the page most of its time', each < BEAT, `${each.toFixed(1)} ms`);
  await desk.type('/wheel/bore', '150');
  await drawn(desk, Number(turned.drawn));
  check('it is drawn anew when something is typed', await page.evaluate(() => document.getElementById('solid-stage').dataset.old === undefined));
});

// How long from a key to the paint in Chromium, and what a letter costs the program and the page. No test: it says the machine and its load, and
// judges nothing. With FREE=1 frames do not wait for the beat of a screen, 16.7 ms at 60 Hz: what is left is work. See benches/README.md.
import { readFileSync } from 'node:fs';
import { cpus, loadavg } from 'node:os';
import { join } from 'node:path';
import { ROOT, onPage } from '../tests/browser/page-harness.mjs';

const KEYS = Number(process.env.KEYS ?? 200);
/** Time between two keys, ms: a quick hand. */
const PACE = 120;
/** How long redraws are asked for, one after the other in each of so many lines, ms. */
const REDRAWN = 4000;
const LINES = 4;

/**
 * In the page: the times from each key to the frame in which the drawing it led to is on the screen (`paints`), and to the one in which everything
 * is, findings and all (`rests`).
 */
function watch() {
  const [paints, rests] = [[], []];
  let [pressed, typed] = [null, null];
  document.addEventListener('keydown', (event) => { pressed = typed = event.timeStamp; }, true);
  // a message after the frame: the frame is painted
  const painted = (from, into) => requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => into.push(performance.now() - from);
    port2.postMessage(null);
  });
  // what is the same in the next drawing stays in place, so that it shows by what changes in it
  const isDrawn = ({ type, target }) => (target.id === 'port' && type === 'childList') || (target.closest ? target : target.parentElement)?.closest('svg');
  new MutationObserver((records) => {
    const from = pressed;
    if (from === null || !records.some(isDrawn)) return;
    pressed = null;
    painted(from, paints);
  }).observe(document.getElementById('port'), { childList: true, subtree: true, characterData: true, attributes: true });
  const stage = document.getElementById('stage');
  new MutationObserver(() => {
    if (typed === null || stage.getAttribute('aria-busy') === 'true') return;
    painted(typed, rests);
    typed = null;
  }).observe(stage, { attributeFilter: ['aria-busy'] });
  Object.assign(window, { paints, rests });
}

/** Milliseconds of processor of the program so far. */
function program(pid) {
  const rest = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ');
  return 10 * (Number(rest[11]) + Number(rest[12]));
}

/** Milliseconds of processor of the page's own thread so far: all, script, style and layout. */
async function page(cdp) {
  const { metrics } = await cdp.send('Performance.getMetrics');
  const of = (name) => 1000 * metrics.find((m) => m.name === name).value;
  return [of('TaskDuration'), of('ScriptDuration'), of('LayoutDuration') + of('RecalcStyleDuration')];
}

async function typed(desk, cdp, look) {
  await desk.look(look);
  await desk.drawn();
  await desk.field('/wheel/bore').fill('8.');
  await desk.drawn();
  await desk.page.evaluate(() => { window.paints.length = 0; window.rests.length = 0; });
  const [server, own] = [program(desk.pid), await page(cdp)];
  for (let i = 0; i < KEYS; i += 1) {
    await desk.page.keyboard.press(i % 2 ? 'Backspace' : String(1 + (i % 8)));
    await desk.page.waitForTimeout(PACE);
  }
  await desk.drawn();
  const spent = (await page(cdp)).map((now, i) => ((now - own[i]) / KEYS).toFixed(1));
  const at = (share, times) => times[Math.min(times.length - 1, Math.floor(share * times.length))]?.toFixed(1);
  for (const [what, name] of [['paint', 'paints'], ['all that belongs to it', 'rests']]) {
    const times = (await desk.page.evaluate((of) => window[of], name)).sort((a, b) => a - b);
    console.log(`${look}: key to ${what} ${at(0.5, times)} ms in the middle, ${at(0.99, times)} ms at 99 %, of ${times.length} letters`);
  }
  console.log(`  a letter: program ${((program(desk.pid) - server) / KEYS).toFixed(1)} ms of processor, page ${spent[0]} ms (script ${spent[1]}, style and layout ${spent[2]})`);
}

/** Redraws a second that the program answers, asked from the page. */
async function redrawn(desk, address) {
  const done = await desk.page.evaluate(async ([where, ms, lines]) => {
    const order = document.querySelector('#source').value;
    const until = performance.now() + ms;
    let count = 0;
    const line = async () => {
      while (performance.now() < until) {
        const answer = await fetch(where, { method: 'POST', headers: { 'content-type': 'application/json' }, body: order });
        count += (await answer.json()).svg ? 1 : 0;
      }
    };
    await Promise.all(Array.from({ length: lines }, line));
    return count;
  }, [address, REDRAWN, LINES]);
  console.log(`${address}: ${(done / (REDRAWN / 1000)).toFixed(0)} redraws a second, ${LINES} at a time`);
}

await onPage(async (desk) => {
  await desk.arrive();
  await desk.open(join(ROOT, 'demo-data', '1042.json'));
  await desk.drawn();
  await desk.page.evaluate(watch);
  // the harness looks at every question on its way, which costs milliseconds that nobody else has
  await desk.page.unroute('**/*');
  const cdp = await desk.page.context().newCDPSession(desk.page);
  await cdp.send('Performance.enable');
  console.log(`${cpus().length} × ${cpus()[0].model}, load ${loadavg()[0].toFixed(1)}, ${KEYS} letters each`);
  for (const look of (process.env.LOOKS ?? 'section,side-a,sheet').split(',')) await typed(desk, cdp, look);
  for (const address of ['/view/section', '/draw/sheet']) await redrawn(desk, address);
}, { args: process.env.FREE ? ['--disable-frame-rate-limit', '--disable-gpu-vsync'] : [] });

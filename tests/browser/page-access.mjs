// Everyone can use the page: axe-core's checks of WCAG 2.2 A and AA in both colour schemes, nothing cut off at the sizes it is made for.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const AXE = readFileSync(join(import.meta.dirname, 'node_modules', 'axe-core', 'axe.min.js'), 'utf8');
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
const SIZES = [[1280, 720], [820, 1180], [1920, 1080]];
const TABS = ['sheet', 'explore', 'findings', 'files', 'text'];

async function judged(desk, what) {
  const { page } = desk;
  const found = await page.evaluate(async (tags) => {
    // the drawing is checked as one graphic: its lettering is paper, zoomed at will
    const result = await window.axe.run({ include: document, exclude: ['#port svg'] }, { runOnly: tags, resultTypes: ['violations'] });
    const faults = result.violations.map((v) => `${v.id} (${v.impact}): ${v.nodes.slice(0, 3).map((n) => `${n.target} ${n.any[0]?.message ?? ''}`).join(' | ')}`);
    return { faults, passes: result.passes.length };
  }, TAGS);
  check(`${what}: no violation`, found.faults.length === 0, found.faults.join('\n'));
  check(`${what}: axe checked something`, found.passes > 10, `${found.passes}`);
}

/** Nothing is wider than the window, and what one needs first is in it. */
async function fits(desk, what) {
  const { page } = desk;
  const over = await page.evaluate(() => {
    const wide = document.documentElement.scrollWidth - window.innerWidth;
    const high = document.documentElement.scrollHeight - window.innerHeight;
    const needed = ['#verdict', '#undo', '#port', '#tabs', '#form'].filter((id) => {
      const box = document.querySelector(id).getBoundingClientRect();
      return box.width < 20 || box.right > window.innerWidth + 1 || box.top < 0 || box.top > window.innerHeight - 20;
    });
    const port = document.getElementById('port').getBoundingClientRect();
    return { wide, high, needed, port: [port.width, port.height] };
  });
  check(`${what}: nothing sticks out`, over.wide <= 0 && over.high <= 0, JSON.stringify(over));
  check(`${what}: everything needed is there`, over.needed.length === 0, over.needed.join());
  check(`${what}: the drawing has room`, over.port[0] >= 500 && over.port[1] >= 300, over.port.join());
}

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  for (const scheme of ['light', 'dark']) {
    await page.emulateMedia({ colorScheme: scheme });
    await page.setViewportSize({ width: 1280, height: 720 });
    await page.evaluate(() => localStorage.clear());
    await desk.arrive();
    check(`${scheme} is what the system asks for`, (await page.evaluate(() => document.documentElement.dataset.theme)) === scheme);
    await page.evaluate(AXE);
    await judged(desk, `${scheme}, empty`);
    await desk.picture(`empty-${scheme}`);
    await page.click('#start');
    await judged(desk, `${scheme}, starting orders`);
    await page.keyboard.press('Escape');
    await desk.open(join(ROOT, 'demo-data', '1042.json'));
    await desk.drawn();
    for (const group of await page.locator('#form details').all()) await group.evaluate((d) => { d.open = true; });
    for (const tab of TABS) {
      await desk.tab(tab);
      await desk.settled();
      await judged(desk, `${scheme}, ${tab}`);
      await desk.picture(`${tab}-${scheme}`);
    }
    await desk.type('/mount/flange_diameter', '6');
    await desk.verdict('STOP');
    await judged(desk, `${scheme}, stopped`);
    await desk.tab('findings');
    await judged(desk, `${scheme}, list of a stopped order`);
    await desk.picture(`stopped-${scheme}`);
    await desk.type('/wheel/bore', 'eight');
    await desk.verdict('UNFINISHED');
    await desk.tab('sheet');
    await judged(desk, `${scheme}, unfinished`);
    await desk.picture(`unfinished-${scheme}`);
    await desk.type('/wheel/bore', '8');
    await desk.type('/mount/flange_diameter', '12');
    await desk.drawn();
    for (const [width, height] of SIZES) {
      await page.setViewportSize({ width, height });
      await page.waitForTimeout(300);
      await fits(desk, `${scheme} ${width} × ${height}`);
      await desk.picture(`${scheme}-${width}x${height}`);
    }
  }
  await page.emulateMedia({ colorScheme: 'light' });
  await page.click('#theme');
  check('the other colours can be chosen', (await page.evaluate(() => document.documentElement.dataset.theme)) === 'dark' ||
    (await page.evaluate(() => document.documentElement.dataset.theme)) === 'light');
});

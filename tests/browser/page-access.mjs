// Everyone can use the page: axe-core's checks of WCAG 2.2 A and AA from a phone to a wide screen, light, dark and in the system's own colours;
// at every width it is one column of reading (1.4.10), and the keyboard never loses its place.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const AXE = readFileSync(join(import.meta.dirname, 'node_modules', 'axe-core', 'axe.min.js'), 'utf8');
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
/** The last one is a window of 1280 × 1024 at 400 %. */
const SIZES = [[2560, 1300], [1920, 1080], [1280, 720], [820, 1180], [768, 1024], [390, 844], [320, 640], [320, 256]];
const COLOURS = { light: { colorScheme: 'light' }, dark: { colorScheme: 'dark' }, forced: { colorScheme: 'light', forcedColors: 'active' } };
const VIEWS = ['drawing', 'solid', 'strength', 'findings', 'files', 'text'];

const visible = (desk, selector) => desk.page.locator(selector).first().isVisible();
const focused = (desk) => desk.page.evaluate(() => {
  const e = document.activeElement;
  return e === document.body ? 'nothing' : e.id || e.getAttribute('aria-label') || e.textContent.slice(0, 30);
});

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

/** Nothing is wider than the window, but what says that it scrolls; nothing lies over the edge. */
async function reflows(desk, what) {
  const over = await desk.page.evaluate(() => {
    const wide = document.documentElement.scrollWidth - window.innerWidth;
    const inside = (e) => e.closest('.scroll, .port, pre, textarea, .skip, .help, [hidden]');
    const out = [...document.querySelectorAll('body *')].filter((e) => {
      const box = e.getBoundingClientRect();
      return box.width > 0 && box.right > window.innerWidth + 1 && !inside(e);
    });
    return { wide, out: out.slice(0, 4).map((e) => `${e.tagName} ${e.id || e.className} ${e.textContent.slice(0, 20)}`) };
  });
  check(`${what}: nothing sticks out`, over.wide <= 0 && over.out.length === 0, JSON.stringify(over));
}

/** Where there is room, form and drawing stand beside each other and the page itself does not scroll. */
async function fits(desk, what) {
  const over = await desk.page.evaluate(() => {
    const high = document.documentElement.scrollHeight - window.innerHeight;
    const needed = ['#verdict', '#undo', '#port', '#tabs', '#form'].filter((id) => {
      const box = document.querySelector(id).getBoundingClientRect();
      return box.width < 20 || box.top < 0 || box.top > window.innerHeight - 20;
    });
    const port = document.getElementById('port').getBoundingClientRect();
    return { high, needed, port: [port.width, port.height] };
  });
  check(`${what}: the page is as high as the window`, over.high <= 0, JSON.stringify(over));
  check(`${what}: everything needed is there`, over.needed.length === 0, over.needed.join());
  check(`${what}: the drawing has room`, over.port[0] >= 500 && over.port[1] >= 300, over.port.join());
}

await onPage(async (desk) => {
  const { page } = desk;
  for (const [colour, media] of Object.entries(COLOURS)) {
    await page.emulateMedia({ forcedColors: 'none', ...media });
    await everywhere(desk, colour);
  }
  await page.emulateMedia({ colorScheme: 'light', forcedColors: 'none' });
  await page.setViewportSize({ width: 1280, height: 720 });
  await page.click('#theme');
  check('the other colours can be chosen', (await page.evaluate(() => document.documentElement.dataset.theme)) === 'dark');
  await kept(desk);
  await skipped(desk);
  await placed(desk);
});

async function everywhere(desk, colour) {
  const { page } = desk;
  await page.setViewportSize({ width: 1280, height: 720 });
  await desk.arrive();
  await page.evaluate(() => { localStorage.clear(); sessionStorage.clear(); });
  await desk.arrive();
  await page.evaluate(AXE);
  await judged(desk, `${colour}, empty`);
  await desk.picture(`empty-${colour}`);
  await page.click('#start');
  await judged(desk, `${colour}, starting orders`);
  await page.keyboard.press('Escape');
  await desk.open(join(ROOT, 'demo-data', '1042.json'));
  await desk.drawn();
  if (colour === 'light') for (const group of await page.locator('#form details').all()) await group.evaluate((d) => { d.open = true; });
  for (const [width, height] of SIZES) {
    await page.setViewportSize({ width, height });
    await page.waitForTimeout(200);
    await views(desk, `${colour} ${width} × ${height}`, width, colour === 'light' ? VIEWS : ['drawing', 'solid', 'findings']);
  }
  await finished(desk, `${colour}-320`);
  await page.setViewportSize({ width: 1280, height: 720 });
  await finished(desk, `${colour}-1280`);
  await desk.tab('drawing');
  await desk.type('/mount/flange_diameter', '6');
  await desk.verdict('STOP');
  await judged(desk, `${colour}, stopped`);
  await desk.tab('findings');
  await judged(desk, `${colour}, list of a stopped order`);
  await desk.picture(`stopped-${colour}`);
  await desk.type('/wheel/bore', 'eight');
  await desk.verdict('UNFINISHED');
  await desk.tab('drawing');
  await judged(desk, `${colour}, unfinished`);
  await desk.picture(`unfinished-${colour}`);
}

/** The dialog that repeats an order, with a field to change. */
async function repeated(desk, what) {
  const { page } = desk;
  await page.click('#start');
  await page.click('#repeat-open');
  await page.click('#repeat-add');
  await judged(desk, `${what}, repeat`);
  await reflows(desk, `${what}, repeat`);
  await desk.picture(`repeat-${what}`);
  await page.keyboard.press('Escape');
}

/** Grips on the drawing, and the dialogs that end a call. */
async function finished(desk, what) {
  const { page } = desk;
  await desk.look('section');
  await desk.drawn();
  check(`${what}: sizes can be taken hold of`, (await page.locator('.grip:visible').count()) >= 3);
  await judged(desk, `${what}, section with grips`);
  await reflows(desk, `${what}, section with grips`);
  await desk.picture(`grips-${what}`);
  await repeated(desk, what);
  await desk.look('sheet');
  await desk.tab('files');
  await page.click('#compare-keep');
  await page.click('#compare-open');
  await page.waitForSelector('#compared .pictures');
  await desk.settled();
  await judged(desk, `${what}, comparison`);
  await reflows(desk, `${what}, comparison`);
  await desk.picture(`comparison-${what}`);
  await page.keyboard.press('Escape');
  check(`${what}: the keyboard is back where it was`, (await focused(desk)) === 'compare-open', await focused(desk));
}

async function views(desk, what, width, names) {
  const small = width <= 760;
  check(`${what}: the order is a view of its own where there is one column`, (await visible(desk, '#tab-order')) === small);
  check(`${what}: the findings stand beside the drawing where there is much room`, (await visible(desk, '#tab-findings')) === width < 1700);
  for (const name of small ? ['order', ...names] : names) {
    if (name === 'findings' && width >= 1700) continue;
    await desk.tab(name);
    await desk.settled();
    await reflows(desk, `${what}, ${name}`);
    if (![1920, 820].includes(width)) await judged(desk, `${what}, ${name}`);
    await desk.picture(`${what.replaceAll(' ', '')}-${name}`);
  }
  await desk.tab('drawing');
  if (!small) await fits(desk, what);
  else check(`${what}: the drawing has room`, await desk.page.evaluate(() => {
    const [port, svg] = ['#port', '#port svg'].map((s) => document.querySelector(s).getBoundingClientRect());
    return port.height >= 200 && svg.width > 0.6 * port.width - 60;
  }));
  if (width >= 1700) check(`${what}: both are seen`, (await visible(desk, '#port')) && (await visible(desk, '#panel-findings .finding')));
}

/** What has the keyboard and goes leaves it to its neighbour. */
async function kept(desk) {
  const { page } = desk;
  await desk.open(join(ROOT, 'templates', 'straight.json'));
  await desk.drawn();
  await desk.tab('findings');
  const box = page.locator('.finding form.answer input').first();
  await box.fill('3');
  await page.keyboard.press('Enter');
  await desk.settled();
  await page.waitForTimeout(100);
  check('an answered question leaves the keyboard to the next', (await page.evaluate(() => document.activeElement.closest('#panel-findings') !== null)), await focused(desk));
  await page.focus('#undo');
  await page.keyboard.press('Enter');
  await page.keyboard.press('Enter');
  check('Undo keeps it when there is nothing left to undo', (await focused(desk)) === 'undo', await focused(desk));
  await desk.reveal('/wheel/side_b/recess');
  await page.locator('[data-list="/wheel/side_b/recess"] .add').click();
  await page.locator('[data-item="/wheel/side_b/recess/0"] .step button').focus();
  await page.keyboard.press('Enter');
  await page.waitForTimeout(100);
  check('a row that is taken out leaves it in the list', await page.evaluate(() => document.activeElement.closest('#form') !== null), await focused(desk));
}

/** The first three stops of the keyboard lead past everything, also where the order is a view of its own. */
async function skipped(desk) {
  const { page } = desk;
  for (const width of [1280, 390]) {
    await page.setViewportSize({ width, height: 800 });
    await desk.tab('text');
    for (const [n, inside] of [[1, '#order'], [2, '#port'], [3, '#panel-findings']]) {
      await page.evaluate(() => { document.activeElement.blur(); window.getSelection().removeAllRanges(); document.body.tabIndex = -1; document.body.focus(); });
      for (let i = 0; i < n; i += 1) await page.keyboard.press('Tab');
      await page.keyboard.press('Enter');
      check(`skip link ${n} at ${width}`, await page.evaluate((to) => document.activeElement.matches(to) && document.activeElement.getClientRects().length > 0, inside), await focused(desk));
    }
  }
  await page.setViewportSize({ width: 1280, height: 720 });
}

/** Zoom and place survive a look at another view; undo scrolls to what it changed. */
async function placed(desk) {
  const { page } = desk;
  await desk.open(join(ROOT, 'demo-data', '1042.json'));
  await desk.look('sheet');
  await desk.drawn();
  await page.focus('#port');
  for (const key of ['+', '+', 'ArrowLeft']) await page.keyboard.press(key);
  const place = () => page.evaluate(() => document.querySelector('#port svg').style.transform + document.getElementById('zoom-now').textContent);
  const before = await place();
  await desk.look('section');
  await desk.drawn();
  check('another drawing has a place of its own', (await place()) !== before);
  await desk.tab('text');
  await desk.look('sheet');
  await desk.drawn();
  check('zoom and place survive', (await place()) === before, `${before} ${await place()}`);
  await desk.type('/wheel/side_b/grooves/width', '0.07');
  await desk.drawn();
  await page.locator('#form').evaluate((form) => { form.scrollTop = 0; });
  await page.click('#undo');
  const seen = await page.evaluate(() => {
    const [box, form] = ['#form [data-path="/wheel/side_b/grooves/width"]', '#form'].map((s) => document.querySelector(s).getBoundingClientRect());
    return box.top >= form.top - 1 && box.bottom <= form.bottom + 1;
  });
  check('undo scrolls to what it changed', seen && (await page.textContent('#told')).includes('width'), await page.textContent('#told'));
}

// Sizes dragged on the drawing: they snap to shop sizes, show their numbers, and are one step of undo; the keyboard does the same.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const DEMO = readFileSync(join(ROOT, 'demo-data', '1042.json'), 'utf8').replace('"inner_diameter": 17, "inner_end"', '"inner_diameter": 17, "outer_diameter": 24, "inner_end"');
const wheel = async (desk) => JSON.parse(await desk.text()).wheel;
const grip = (desk, field) => desk.page.locator(`[data-grip="${field}"]`);

/** Where a grip is, and how it is dragged. */
async function drag(desk, field, by, then = async () => {}) {
  const { page } = desk;
  const box = await grip(desk, field).boundingBox();
  const at = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(...at);
  await page.mouse.down();
  for (let i = 1; i <= 6; i += 1) await page.mouse.move(at[0] + (by[0] * i) / 6, at[1] + (by[1] * i) / 6);
  await then();
  await page.mouse.up();
  await desk.settled();
}

const multiple = (value, step) => Math.abs(value / step - Math.round(value / step)) < 1e-6;
/** A size as the file has it, in its unit. */
const number = (said) => (typeof said === 'number' ? said : said.replace(' in', '').split('-').map((p) => (p.includes('/') ? p.split('/')[0] / p.split('/')[1] : Number(p))).reduce((a, b) => a + b));

async function dragged(desk) {
  const { page } = desk;
  let live = '';
  await drag(desk, '/wheel/outside_diameter', [0, -9], async () => {
    // a drag that rests is still one step of undo
    await page.waitForTimeout(1700);
    live = await page.textContent('#live');
    await desk.picture('dragged');
  });
  const now = (await wheel(desk)).outside_diameter;
  check('the diameter grows upwards', number(now) > 26, String(now));
  check('by sixteenths, as a pixel is more than one', multiple(number(now), 1 / 16), String(now));
  check('the numbers are shown meanwhile', /Outside diameter: .* in · .* mm/.test(live), live);
  check('and go afterwards', await page.isHidden('#live'));
  await page.click('#undo');
  check('one step of undo takes it back', (await desk.text()) === DEMO);
  await desk.settled();
  for (const [field, by, of] of [
    ['/wheel/side_a/recess/0/diameter', [0, -12], (w) => w.side_a.recess[0].diameter],
    ['/wheel/side_a/recess/0/depth', [9, 0], (w) => w.side_a.recess[0].depth],
    ['/wheel/side_a/taper/depth', [6, 0], (w) => w.side_a.taper.depth],
    ['/wheel/side_a/grooves/inner_diameter', [0, -9], (w) => w.side_a.grooves.inner_diameter],
  ]) {
    const before = of(JSON.parse(DEMO).wheel);
    await drag(desk, field, by);
    const after = of(await wheel(desk));
    check(`${field} is dragged`, number(after) > number(before) && multiple(number(after), 1 / 64), `${before} ${after}`);
    await page.click('#undo');
    check(`${field} is taken back`, (await desk.text()) === DEMO);
    await desk.settled();
  }
  await page.keyboard.down('Shift');
  await drag(desk, '/wheel/outside_diameter', [0, -7]);
  await page.keyboard.up('Shift');
  const fine = number((await wheel(desk)).outside_diameter);
  check('with Shift finer ones', multiple(fine, 1 / 64) && fine > 26 && fine < 26.5, String(fine));
  await page.click('#undo');
  await desk.settled();
  check('the step is that of the order’s unit', (await page.inputValue('#snap')) === '1/64');
  await page.selectOption('#snap', '0.5');
  await drag(desk, '/wheel/outside_diameter', [0, 7]);
  const metric = (await wheel(desk)).outside_diameter;
  check('or by half millimetres, with their unit', / mm$/.test(metric) && multiple(parseFloat(metric), 0.5), String(metric));
  await page.click('#undo');
  await page.selectOption('#snap', '1/64');
  await drag(desk, '/wheel/outside_diameter', [0, -9], () => page.keyboard.press('Escape'));
  check('Escape takes a drag back', (await desk.text()) === DEMO);
}

async function clicked(desk) {
  const { page } = desk;
  await drag(desk, '/wheel/outside_diameter', [0, 0]);
  check('a click opens the box', await page.isVisible('#inplace'));
  check('with the size in it', (await page.inputValue('#inplace')) === '26');
  await page.keyboard.press('Escape');
}

async function keyed(desk) {
  const { page } = desk;
  const at = grip(desk, '/wheel/outside_diameter');
  await at.focus();
  await page.keyboard.press('ArrowUp');
  await desk.settled();
  check('an arrow key is one step', number((await wheel(desk)).outside_diameter) === 26 + 1 / 64, String((await wheel(desk)).outside_diameter));
  check('the keyboard stays', (await page.evaluate(() => document.activeElement.dataset.grip)) === '/wheel/outside_diameter');
  check('a reader is told', /26-1\/64/.test(await at.getAttribute('aria-valuetext')), await at.getAttribute('aria-valuetext'));
  await page.keyboard.press('PageDown');
  await desk.settled();
  check('a page key ten', number((await wheel(desk)).outside_diameter) === 26 - 9 / 64, String((await wheel(desk)).outside_diameter));
  await page.keyboard.press('Escape');
  await desk.settled();
  check('Escape takes all of it back', (await desk.text()) === DEMO);
  await page.keyboard.press('Enter');
  check('Enter opens the box', await page.isVisible('#inplace'));
  await page.keyboard.press('Escape');
}

/** Sizes between two steps go to the next one, in millimetres to tenths. */
async function stepped(desk) {
  const { page } = desk;
  await desk.openText(readFileSync(join(ROOT, 'templates', 'straight.json'), 'utf8').replace(/"units": "in"/, '"units": "mm"').replace(/"outside_diameter": [^,]+,/, '"outside_diameter": 500.03,').replace(/"thickness": [^,]+,/, '"thickness": 50,').replace(/"bore": [^,\n}]+/, '"bore": 203'), 'mm.json');
  await desk.settled();
  await page.selectOption('#snap', '0.1');
  await grip(desk, '/wheel/outside_diameter').focus();
  await page.keyboard.press('ArrowUp');
  await desk.settled();
  check('the next tenth', (await wheel(desk)).outside_diameter === 500.1, String((await wheel(desk)).outside_diameter));
  await page.selectOption('#snap', '0.05');
  await grip(desk, '/wheel/outside_diameter').focus();
  await page.keyboard.press('ArrowDown');
  await desk.settled();
  check('or the next twentieth', (await wheel(desk)).outside_diameter === 500.05, String((await wheel(desk)).outside_diameter));
  await page.selectOption('#snap', '1/64');
}

async function onSide(desk) {
  const { page } = desk;
  await desk.openText(DEMO, 'drag.json');
  await desk.look('side-a');
  await desk.drawn();
  await drag(desk, '/wheel/side_a/grooves/outer_diameter', [-8, 0]);
  const { outer_diameter: end } = (await wheel(desk)).side_a.grooves;
  check('the ends of grooves are dragged on their side', number(end) < 24 && multiple(number(end), 1 / 64), String(end));
  await page.click('#undo');
  await desk.look('sheet');
  await desk.settled();
  check('the sheet has no grips', (await page.locator('.grip').count()) === 0 && await page.isHidden('#snap'));
}

await onPage(async (desk) => {
  await desk.arrive();
  await desk.openText(DEMO, 'drag.json');
  await desk.look('section');
  await desk.drawn();
  const wanted = ['/wheel/outside_diameter', '/wheel/side_a/recess/0/diameter', '/wheel/side_a/recess/0/depth', '/wheel/side_a/taper/depth', '/wheel/side_a/grooves/inner_diameter'];
  for (const field of wanted) check(`${field} has a grip`, (await grip(desk, field).count()) === 1);
  await dragged(desk);
  await clicked(desk);
  await keyed(desk);
  await stepped(desk);
  await onSide(desk);
});

// An order of last year is repeated from the folder: what it is called and what is different is asked, what belonged to the old one alone goes, and one
// click shows both beside each other.
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const DEMO = readFileSync(join(ROOT, 'demo-data', '1042.json'), 'utf8');
const OLD = DEMO.replace('"revision": "B",', '"revision": "B", "due": "2026-05-01",');

/** Waits for the dialog, answered. */
async function ready(page) {
  await page.waitForSelector('#repeat[open]');
  await page.waitForFunction(() => !document.querySelector('#repeat[aria-busy]'));
}

/** Changes one more field of the repeat. */
async function differs(page, label, value) {
  await page.click('#repeat-add');
  const row = page.locator('#repeat-fields li').last();
  await row.locator('select').selectOption({ label });
  await row.locator('input').fill(value);
}

await onPage(async (desk) => {
  const { page, orders } = desk;
  check('the old order is not the demonstration order', OLD !== DEMO);
  await desk.arrive();
  await page.click('#orders');
  await page.locator('#orders-list .again').click();
  await ready(page);
  check('the dialog names the order', (await page.textContent('#repeat-title')) === 'Repeat order 1042-B');
  check('the day is today', (await page.inputValue('#repeat-date')) === (await page.evaluate(() => new Intl.DateTimeFormat('sv').format(new Date()))));
  await page.fill('#repeat-number', '2010');
  await page.fill('#repeat-date', '2027-03-01');
  await differs(page, 'Bore', '40');
  await desk.picture('repeat');
  await page.keyboard.press('Enter');
  await page.waitForSelector('#repeat-faults li');
  const said = await page.textContent('#repeat-faults');
  check('what would be no order is said in words, and nothing is lost', said.startsWith('Bore: ') && (await page.inputValue('#repeat-number')) === '2010', said);
  await page.locator('#repeat-fields button').click();
  await differs(page, 'Thickness', '2-1/4 in');
  await page.locator('#repeat-form .strong').click();
  await desk.drawn();
  const made = JSON.parse(await desk.text());
  check('number and date are new', made.order.number === '2010' && made.order.revision === 'A' && made.order.date === '2027-03-01', JSON.stringify(made.order));
  check('it says what it repeats', made.order.based_on === '1042-B');
  check('sizes are taken over, the changed one apart', made.wheel.thickness === '2-1/4 in' && made.wheel.bore === 8 && made.wheel.side_a.grooves.pitch_deg === 2, JSON.stringify(made.wheel));
  check('the due date is gone', made.order.due === undefined);
  const told = await page.textContent('#notice p');
  check('what was not taken over is told', told.includes('Order 2010-A repeats 1042-B') && told.includes('the due date 2026-05-01'), told);
  await page.locator('#notice button', { hasText: 'Compare with 1042-B' }).click();
  await page.waitForSelector('#compared .pictures');
  const differences = await page.textContent('#compared');
  check('both stand beside each other', differences.includes('First: 1042-B') && differences.includes('Second: 2010-A') && differences.includes('Thickness'), differences.slice(0, 300));
  await desk.picture('repeat-compared');
  await page.keyboard.press('Escape');
  check('the old order is as it was', readFileSync(join(orders, '1042.json'), 'utf8') === OLD);
  await page.click('#save');
  await page.waitForFunction(() => document.getElementById('notice').textContent.includes('Saved as 2010-A.json'));
  await page.reload();
  await desk.ready();
  await desk.drawn();
  await desk.tab('files');
  await page.click('#compare-open');
  await page.waitForSelector('#compared .pictures');
  check('it is compared with its source whenever it is opened', (await page.textContent('#compared')).includes('First: 1042-B'));
  await page.keyboard.press('Escape');

  await page.click('#start');
  await page.click('#repeat-open');
  await ready(page);
  check('the open order can be repeated as well', (await page.textContent('#repeat-title')) === 'Repeat order 2010-A');
  await page.fill('#repeat-number', '2010');
  await page.locator('#repeat-form .strong').click();
  await page.waitForSelector('#repeat-faults li');
  check('never under its own name', (await page.textContent('#repeat-faults')).includes('another number'), await page.textContent('#repeat-faults'));
}, {
  folder: (place) => {
    mkdirSync(join(place, 'orders'));
    writeFileSync(join(place, 'orders', '1042.json'), OLD);
    return join(place, 'orders');
  },
});

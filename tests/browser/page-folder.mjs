// A folder of orders: found by words, opened, saved in place; a file that somebody else changed is shown beside one's own and never lost.
import { mkdirSync, readFileSync, writeFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const DEMO = readFileSync(join(ROOT, 'demo-data', '1042.json'), 'utf8');

await onPage(async (desk) => {
  const { page, orders } = desk;
  const file = (name) => readFileSync(join(orders, name), 'utf8');
  await desk.arrive();
  await page.click('#orders');
  await page.waitForSelector('#orders-list button:not(.again)');
  const rows = await page.locator('#orders-list button:not(.again)').allTextContents();
  check('every order is listed with its state', rows.length === 2 && rows.some((r) => r.includes('clear')) && rows.some((r) => r.includes('stopped')), rows.join('|'));
  await desk.picture('orders');
  await page.fill('#orders-search', 'kestrel stopped');
  check('words find an order', (await page.locator('#orders-list button:not(.again)').count()) === 1);
  await page.fill('#orders-search', '1042-B');
  await page.locator('#orders-list button:not(.again)').click();
  await desk.taken('1042.json');
  await desk.drawn();
  await desk.type('/wheel/bore', '8.5');
  await page.click('#save');
  await page.waitForSelector('#notice:not([hidden])');
  check('it is saved in place', file('1042.json') === DEMO.replace('"bore": 8,', '"bore": 8.5,'), await page.textContent('#notice'));
  check('and says so', !(await page.textContent('#name')).includes('not saved'));

  const theirs = DEMO.replace('"bore": 8,', '"bore": 9,');
  writeFileSync(join(orders, '1042.json'), theirs);
  await desk.type('/wheel/bore', '7');
  await page.click('#save');
  await page.waitForSelector('#versions[open]');
  check('what somebody else wrote stays', file('1042.json') === theirs);
  const both = await page.locator('#versions mark').allTextContents();
  check('the two versions are shown with what differs', both.length === 2 && both.some((m) => m.includes('9')) && both.some((m) => m.includes('7')), both.join('|'));
  await desk.picture('versions');
  await page.locator('#versions-acts button', { hasText: 'Save yours as' }).click();
  await page.waitForFunction(() => document.getElementById('notice').textContent.includes('1042-copy.json'));
  check('one’s own is saved beside it', file('1042-copy.json').includes('"bore": 7,') && file('1042.json') === theirs);
  check('nothing half written stays', readdirSync(orders).every((n) => n.endsWith('.json')), readdirSync(orders).join());

  await page.click('#orders');
  await page.locator('#orders-list button:not(.again)', { hasText: '· 1042.json' }).click();
  await page.waitForFunction(() => document.getElementById('name').title.startsWith('1042.json'));
  await desk.type('/wheel/bore', '7.5');
  writeFileSync(join(orders, '1042.json'), DEMO);
  await page.click('#save');
  await page.waitForSelector('#versions[open]');
  await page.locator('#versions-acts button', { hasText: 'Go on with' }).click();
  await desk.drawn();
  check('the one in the folder can be gone on with', (await desk.text()) === DEMO);
  await page.click('#undo');
  check('one’s own is not lost', (await desk.value('/wheel/bore')) === '7.5');
}, {
  complaints: /409/,
  folder: (place) => {
    mkdirSync(join(place, 'orders'));
    writeFileSync(join(place, 'orders', '1042.json'), DEMO);
    writeFileSync(join(place, 'orders', '1043.json'), DEMO.replace('"number": "1042"', '"number": "1043"').replace('"flange_diameter": 12', '"flange_diameter": 6'));
    return join(place, 'orders');
  },
});

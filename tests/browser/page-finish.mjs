// A call finished on the page: blank from stock, price, approval, comparison with the last revision, two variants; in a shop's folder and without one.
import { execFileSync } from 'node:child_process';
import { copyFileSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { PROGRAM, ROOT, onPage } from './page-harness.mjs';

const demo = (name) => join(ROOT, 'demo-data', name);
const DEMO = readFileSync(demo('1042.json'), 'utf8');
const program = (...args) => JSON.parse(execFileSync(PROGRAM, [...args, '--format', 'json', '-q'], { encoding: 'utf8' }));
const order = async (desk) => JSON.parse(await desk.text());

/** Waits until a place says something. */
async function waited(desk, selector, words) {
  try {
    await desk.page.waitForFunction(([s, w]) => document.querySelector(s).textContent.includes(w), [selector, words], { timeout: 15000 });
    return true;
  } catch {
    check(`${selector} says ${words}`, false, await desk.page.textContent(selector));
    return false;
  }
}

/** A stock wheel becomes the blank, as the command writes it. */
async function taken(desk) {
  const { page } = desk;
  await page.setInputFiles('#picked-stock', demo('stock.csv'));
  await page.waitForSelector('#blanks table');
  const told = program('blanks', demo('1042.json'), '--stock', demo('stock.csv'));
  const rows = await page.locator('#blanks tbody tr td:first-child').allTextContents();
  check('the wheels are those of the command, best first', rows.join() === told.suitable.map((c) => c.id).join(), `${rows} ${JSON.stringify(told.suitable[0])}`);
  check('the others are there with their reasons', (await page.textContent('#blanks details')).includes(told.rejected[0].reasons[0]));
  await desk.picture('blanks');
  await page.locator('#blanks tbody button').first().click();
  await page.waitForFunction((id) => document.querySelector('#source').value.includes(`"stock": "${id}"`), rows[0]);
  await desk.settled();
  check('it is marked as taken', await waited(desk, '#blanks tbody', 'taken'));
  await page.click('#undo');
  check('Undo puts it back', (await desk.text()) === DEMO);
  await desk.settled();
}

/** The quotation is that of the command. */
async function priced(desk) {
  const { page } = desk;
  await page.setInputFiles('#picked-rates', demo('rates.json'));
  await page.waitForSelector('#price table');
  const told = program('quote', demo('1042.json'), '--stock', demo('stock.csv'), '--rates', demo('rates.json'));
  const rows = await page.locator('#price [aria-label="Prices"] tbody tr').evaluateAll((all) => all.map((r) => [...r.cells].map((c) => c.textContent).join(' ')));
  check('the prices are those of the command', rows.join('|') === told.prices.map((p) => [p.quantity, Number(p.each).toFixed(2), Number(p.total).toFixed(2), p.days].join(' ')).join('|'), `${rows.join('|')} ${JSON.stringify(told.prices)}`);
  await desk.picture('price');
  const sheet = await desk.downloaded('#quote-sheet');
  check('the sheet is a PDF with the order’s name', sheet.name === '1042-B-quotation.pdf' && String(sheet.bytes.subarray(0, 5)) === '%PDF-', sheet.name);
}

/** An approval is a file to keep, by the rules of the command. */
async function approved(desk) {
  const { page } = desk;
  await page.click('#approve');
  check('nobody approves namelessly', await waited(desk, '#approve-said', 'names who approved'));
  await page.fill('#approve-by', 'R. Adeyemi');
  await page.fill('#approve-date', '2020-01-01');
  await page.click('#approve');
  check('nor before the order', await waited(desk, '#approve-said', 'before the order'));
  await page.fill('#approve-date', '2026-03-05');
  const record = await desk.downloaded('#approve');
  check('the record is a file', record.name === '1042.approval.json', record.name);
  check('machine files are made by it', await waited(desk, '#pack', 'machine file'));
  const there = join(desk.folder, '1042.json');
  copyFileSync(demo('1042.json'), there);
  writeFileSync(join(desk.folder, record.name), record.bytes);
  const state = program('pack', there, '-o', join(desk.folder, 'pack')).manifest;
  check('the command takes it', state.files.some((f) => f.kind === 'machine'), JSON.stringify(state.withheld));
  await desk.picture('approval');
  await desk.openText(readFileSync(join(ROOT, 'templates', 'straight.json'), 'utf8'), 'straight.json');
  await desk.verdict('ASK');
  await page.fill('#approve-why', '');
  await page.click('#approve');
  check('open questions keep it back', await waited(desk, '#approve-said', 'open'));
  await page.fill('#approve-why', 'bolts are measured at mounting');
  await page.fill('#approve-date', '2026-03-06');
  const waived = JSON.parse((await desk.downloaded('#approve')).bytes);
  check('unless they are waived with a reason', waived.approvals[0].waived === 'bolts are measured at mounting' && waived.approvals[0].open_questions.length > 0);
}

/** Two variants beside each other, in numbers and picture. */
async function varied(desk) {
  const { page } = desk;
  await desk.openText(DEMO, '1042.json');
  await desk.drawn();
  await page.click('#compare-keep');
  await desk.type('/wheel/bore', '8.5');
  await desk.drawn();
  await page.click('#compare-open');
  await page.waitForSelector('#compared .pictures');
  check('a variant that was just kept is the first', (await page.locator('#compare-old option:checked').textContent()) === 'Variant A of 1042-B');
  await desk.settled();
  check('both are drawn', (await page.locator('#compared .pictures svg').count()) === 2);
  const said = await page.textContent('#compared');
  check('what differs is told in numbers', said.includes('Bore') && said.includes('8.5') && /mass|volume/i.test(said), said.slice(0, 300));
  check('the sections lie over each other', (await page.locator('#compared .overlaid svg').count()) >= 1);
  await page.selectOption('#compare-look', 'side-a');
  await desk.settled();
  await desk.picture('compare');
  await page.locator('#compared button', { hasText: 'Go on with this one' }).click();
  await desk.drawn();
  check('one of them can be gone on with', (await order(desk)).wheel.bore === 8);
  await page.click('#undo');
  check('and taken back', (await order(desk)).wheel.bore === 8.5);
}

/** A shop's folder with its stock, rates, cards and two revisions of an order. */
function shop(place) {
  const folder = join(place, 'shop');
  execFileSync(PROGRAM, ['new', '--shop', folder, '-q']);
  copyFileSync(demo('stock.csv'), join(folder, 'stock.csv'));
  copyFileSync(demo('rates.json'), join(folder, 'rates.json'));
  copyFileSync(demo('1042.json'), join(folder, 'orders', '1042.json'));
  copyFileSync(demo('1042-revision-a.json'), join(folder, 'orders', '1042-revision-a.json'));
  return folder;
}

async function inShop(desk) {
  const { page, orders } = desk;
  await desk.arrive();
  const cards = JSON.parse(readFileSync(join(orders, 'machines.json'), 'utf8')).machines;
  await page.fill('#guide-outside_diameter', '20');
  await page.fill('#guide-thickness', '2');
  await page.fill('#guide-bore', '8');
  await page.fill('#guide-number', '2002');
  await page.fill('#guide-name', cards[0].name);
  await page.keyboard.press('Enter');
  await desk.drawn();
  const made = await order(desk);
  check('a machine card fills the order', made.machine.name === cards[0].name && Object.keys({ ...made.machine, ...made.mount }).length > 2, JSON.stringify(made));
  await desk.openText(DEMO.replace(/"machine": .*\n/, ''), 'bare.json');
  await desk.drawn();
  await page.click('#card');
  await page.locator('#machines-list button').first().click();
  await desk.settled();
  check('also later', (await order(desk)).machine?.name === cards[0].name, await desk.text());
  await page.click('#orders');
  await page.locator('#orders-list button:not(.again)', { hasText: '· 1042.json' }).click();
  await desk.taken('1042.json');
  await desk.drawn();
  await desk.tab('files');
  await page.waitForSelector('#blanks table');
  await page.waitForSelector('#price table');
  check('stock and rates are the shop’s', (await waited(desk, '#blanks', 'From the shop’s stock list')) && (await waited(desk, '#price', 'By the shop’s rates')));
  check('of records the one beside the order counts', await page.isHidden('#record'));
  await page.fill('#approve-by', 'R. Adeyemi');
  await page.fill('#approve-date', '2026-03-05');
  await page.click('#approve');
  check('the approval is recorded', await waited(desk, '#approve-said', '1042.approval.json'));
  check('beside the order', existsSync(join(orders, 'orders', '1042.approval.json')));
  check('and stands in the book', readFileSync(join(orders, 'book.jsonl'), 'utf8').includes('"approved"'));
  await desk.drawn();
  check('the page says so', await waited(desk, '#approval', 'Approved by R. Adeyemi on 2026-03-05'));
  await desk.look('sheet');
  await desk.drawn();
  check('and the sheet', (await page.evaluate(() => document.querySelector('#port svg').textContent)).includes('R. Adeyemi'));
  await desk.tab('files');
  await page.waitForSelector('#pack-put');
  await page.click('#pack-put');
  await waited(desk, '#notice', 'files are in');
  check('the pack is in the shop’s folder', existsSync(join(orders, 'packs', '1042-B', 'manifest.json')));
  await page.click('#compare-open');
  await page.waitForSelector('#compared .pictures');
  await desk.settled();
  const differs = await page.locator('#compared tr', { hasText: 'question' }).first().textContent();
  check('a question is named by what it is about', differs.endsWith('– → Abrasive, grit and bond for the work'), differs);
  check('the last revision is the first to compare with', (await page.locator('#compare-old option:checked').textContent()).startsWith('Revision 1042-A'), await page.locator('#compare-old option:checked').textContent());
  await page.keyboard.press('Escape');
  await page.click('#orders');
  await page.waitForSelector('#orders-list button:not(.again)');
  const row = await page.locator('#orders-list button:not(.again)', { hasText: '· 1042.json' }).textContent();
  check('the list says how far it is, by the book', row.includes('approved') && row.includes('packed') && row.includes('next:'), row);
  await desk.picture('orders-of-a-shop');
  await page.keyboard.press('Escape');
  await desk.type('/wheel/bore', '8.25');
  await desk.tab('files');
  await desk.settled();
  await page.click('#approve');
  check('what is not saved is not approved', await waited(desk, '#approve-said', 'not saved'));
  await page.locator('#blanks tbody button').first().click();
  await waited(desk, '#notice', 'the shop’s book says so too');
  const book = () => readFileSync(join(orders, 'book.jsonl'), 'utf8');
  check('what can still be undone is not in the book', !book().includes('stock-taken'));
  await page.locator('#notice button', { hasText: 'Save' }).click();
  await waited(desk, '#notice', 'is taken for it');
  check('a blank from the stock is in the book once the order is saved', book().includes('stock-taken'));
}

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  await desk.open(demo('1042.json'));
  await desk.drawn();
  await desk.tab('files');
  check('without a stock list one is asked for', (await waited(desk, '#blanks', 'Choose the stock list')));
  check('without rates they are asked for', (await waited(desk, '#price', 'Choose the shop’s rates')));
  await taken(desk);
  await priced(desk);
  await approved(desk);
  await varied(desk);
  await desk.open(demo('1049.json'));
  await desk.verdict('STOP');
  await desk.tab('files');
  check('what the rules stop offers no approval', (await waited(desk, '#approval', 'nothing to approve')) && (await page.isHidden('#approve-form')));
});

await onPage(inShop, { folder: shop, complaints: /409/ });

// A wheel from nothing by typing: the drawing follows, a finding is met and resolved, nothing typed is lost.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  check('an empty page says so', (await page.textContent('#verdict-word')) === 'NEW', await page.textContent('#verdict'));
  for (const [tab, places] of [['strength', ['#explore']], ['findings', ['#panel-findings']], ['files', ['#blanks', '#price', '#pack']], ['solid', ['#solid-flat']]]) {
    await desk.tab(tab);
    for (const place of places) {
      const isSaid = await page.waitForFunction((at) => /start one/.test(document.querySelector(at).textContent), place, { timeout: 10000 }).catch(() => null);
      check(`${place} of an empty page says what to do`, isSaid !== null, await page.textContent(place));
    }
  }
  check('so does the text', (await page.getAttribute('#source', 'placeholder')).includes('start one'));
  await desk.tab('drawing');

  await typed(desk);
  await met(desk);
  await grooved(desk);
  await undone(desk);
  await kept(desk);
  await asFile(desk);
});

/** The least an order needs, typed field by field. */
async function typed(desk) {
  const { page } = desk;
  await desk.type('/units', 'in');
  await desk.verdict('UNFINISHED');
  check('what is missing is named', (await page.textContent('#verdict-said')).length > 10);
  await page.click('#verdict-lead');
  const led = await page.evaluate(() => document.activeElement.closest('[data-path], [data-group]')?.dataset);
  check('the line at the top leads to a field', led?.path || led?.group, JSON.stringify(led));
  await desk.type('/order/number', '2001');
  await desk.type('/order/revision', 'A');
  await desk.type('/wheel/outside_diameter', '20');
  await desk.type('/wheel/thickness', '2-1/2');
  await desk.type('/wheel/bore', '8');
  const first = await desk.redrawn();
  check('the fraction is kept as typed', (await desk.text()).includes('"thickness": "2-1/2 in"'), await desk.text());
  const drawnText = await page.evaluate(() => document.querySelector('#port svg').textContent);
  check('the drawing shows it', drawnText.includes('2.5'), drawnText.slice(0, 200));
  await desk.type('/wheel/thickness', '63.5 mm');
  // the same length in another unit is the same wheel
  await desk.type('/wheel/outside_diameter', '22');
  const second = await desk.redrawn();
  check('the drawing changes', second !== first);
  check('the order has its name on top', (await page.textContent('#name')).includes('2001-A'), await page.textContent('#name'));
}

/** Flanges too small stop the order; the finding leads to their field; larger ones resolve it. */
async function met(desk) {
  const { page } = desk;
  await desk.type('/mount/flange_diameter', '5');
  await desk.verdict('STOP');
  check('the title says it', (await page.title()).startsWith('STOP'), await page.title());
  check('the drawing says it', await page.evaluate(() => getComputedStyle(document.getElementById('stage'), '::after').content.includes('NOT RELEASED')));
  await desk.picture('stop');
  await page.click('#verdict-lead');
  const stop = page.locator('.finding[data-weight="stop"]').first();
  check('the list has the finding', (await stop.count()) === 1);
  await stop.locator('.lead').click();
  const at = await page.evaluate(() => document.activeElement.closest('[data-path]')?.dataset.path);
  check('the finding leads to the field of the flanges', at === '/mount/flange_diameter', at);
  await desk.type('/mount/flange_diameter', '10');
  await desk.verdict('ASK');
  check('the finding is gone', (await page.locator('.finding[data-weight="stop"]').count()) === 0);
  check('questions can be copied', (await page.locator('#copy-questions').count()) === 1);
  await page.context().grantPermissions(['clipboard-read', 'clipboard-write']);
  await page.click('#copy-questions');
  const copied = await page.evaluate(() => navigator.clipboard.readText());
  const asked = await page.locator('.finding[data-weight="ask"]').count();
  // a line of heading, and one question less: what is marked on its own blank the shop does not ask the customer
  check('every question to the customer is copied', copied.split('\n').length === asked && copied.includes('1. '), copied);
  check('none to the shop is', !copied.includes('marked on the blank'), copied);
  await desk.look('sheet');
  await desk.drawn();
}

/** A section opens as needed, a list grows and shrinks. */
async function grooved(desk) {
  const { page } = desk;
  await desk.reveal('/wheel/side_a/recess');
  const add = page.locator('[data-list="/wheel/side_a/recess"] .add');
  await add.click();
  await desk.type('/wheel/side_a/recess/0/diameter', '12');
  await desk.type('/wheel/side_a/recess/0/depth', '1/2');
  await add.click();
  await desk.type('/wheel/side_a/recess/1/diameter', '10');
  await desk.type('/wheel/side_a/recess/1/depth', '0.75');
  await desk.type('/wheel/side_b/grooves/count', '90');
  await desk.type('/wheel/side_b/grooves/width', '1/16');
  await desk.type('/wheel/side_b/grooves/depth', '0.12');
  await desk.type('/wheel/side_b/grooves/inner_diameter', '13');
  await desk.look('side-b');
  await desk.drawn();
  const side = await page.evaluate(() => document.querySelector('#port svg').textContent);
  check('the grooves are drawn', side.includes('90') && side.includes('(=360°)'), side.slice(0, 300));
  await desk.look('sheet');
  const order = JSON.parse(await desk.text());
  check('the steps are in the file', order.wheel.side_a.recess.length === 2 && order.wheel.side_a.recess[0].depth === '1/2 in', JSON.stringify(order.wheel));
  await page.click('[data-item="/wheel/side_a/recess/1"] .step button');
  check('a step goes', JSON.parse(await desk.text()).wheel.side_a.recess.length === 1);
  await page.click('[data-item="/wheel/side_a/recess/0"] .step button');
  check('the last step takes the list with it', JSON.parse(await desk.text()).wheel.side_a === undefined, await desk.text());
  await desk.type('/tolerances/bore', '+0.005/-0');
  check('a tolerance is kept as typed', JSON.parse(await desk.text()).tolerances.bore === '+0.005/-0');
  await page.locator('.tolerance', { has: page.locator('[data-path="/tolerances/thickness"]') }).locator('.swap').click();
  await desk.type('/tolerances/thickness/upper', '0.01');
  await desk.type('/tolerances/thickness/lower', '-0.02');
  const { thickness } = JSON.parse(await desk.text()).tolerances;
  check('two deviations are written', thickness.upper === 0.01 && thickness.lower === -0.02, JSON.stringify(thickness));
}

/** Undo and redo, by keys and by buttons, all the way back. */
async function undone(desk) {
  const { page } = desk;
  const full = await desk.text();
  await desk.field('/wheel/bore').focus();
  await page.keyboard.press('Control+z');
  check('undo by key takes the last field back', JSON.parse(await desk.text()).tolerances.thickness.lower === undefined, await desk.text());
  await page.keyboard.press('Control+Shift+z');
  check('redo by key brings it again', (await desk.text()) === full);
  let steps = 0;
  while (!(await page.isDisabled('#undo')) && steps < 400) {
    await page.click('#undo');
    steps += 1;
  }
  check('undo goes back to nothing', (await desk.text()) === '', `${steps} steps, ${await desk.text()}`);
  check('a field is one step, not a letter', steps < 60, `${steps}`);
  while (!(await page.isDisabled('#redo'))) await page.click('#redo');
  check('redo goes forth to everything', (await desk.text()) === full);
}

/** Unsaved work is there again after the page was closed. */
async function kept(desk) {
  const { page } = desk;
  const before = await desk.text();
  check('the page says that it is not saved', (await page.textContent('#name')).includes('not saved'));
  await page.reload();
  await desk.ready();
  check('reloading keeps the work', (await desk.text()) === before);
  await desk.drawn();
  await desk.tab('text');
  await page.fill('#source', before.replace('"bore"', '"boar"'));
  await desk.verdict('UNFINISHED');
  check('the text tells what is wrong', (await page.textContent('#source-faults')).includes('boar'), await page.textContent('#source-faults'));
  await page.fill('#source', before);
  await desk.look('sheet');
  await desk.drawn();
}

/** A file goes out as it came in, and changes only where it is changed. */
async function asFile(desk) {
  const { page } = desk;
  const path = join(ROOT, 'demo-data', '1042.json');
  const file = readFileSync(path);
  await desk.open(path);
  await desk.drawn();
  check('the file is drawn', await page.evaluate(() => document.querySelector('#port svg').textContent.includes('Kestrel')));
  const out = await desk.downloaded('#save');
  check('it is saved under its name', out.name === '1042.json', out.name);
  check('it is saved byte for byte', out.bytes.equals(file));
  await desk.reveal('/wheel/side_a/recess/1/diameter');
  await desk.field('/wheel/side_a/recess/1/diameter').focus();
  await desk.field('/wheel/side_a/recess/1/diameter').fill('');
  await page.waitForTimeout(1700);
  await page.keyboard.type('14-3/4 in');
  const changed = await desk.downloaded('#save');
  const want = String(file).replace('14-1/2 in', '14-3/4 in');
  check('a change touches only its value', String(changed.bytes) === want);
  // emptied, then typed after a while, then opened
  for (let n = 0; n < 3; n += 1) await page.click('#undo');
  check('opening can be undone', (await desk.text()).includes('2001'), (await desk.text()).slice(0, 80));
  await page.click('#start');
  await page.locator('#starts button', { hasText: 'Recessed grooved both sides' }).click();
  const template = readFileSync(join(ROOT, 'templates', 'recessed-grooved-both-sides.json'), 'utf8');
  check('a starting order is that of `new`', (await desk.text()) === template);
  await desk.openText('{"order": {"number": "7", ');
  await desk.verdict('BROKEN TEXT');
  await desk.tab('text');
  check('a file that is no JSON is shown as text', (await desk.text()) === '{"order": {"number": "7", ');
}

// A call, start to end: six sizes, features by name, the questions answered one by one, hints taken at a click, every step undone by Undo.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const DEMO = readFileSync(join(ROOT, 'demo-data', '1042.json'), 'utf8');
const order = async (desk) => JSON.parse(await desk.text());

await onPage(async (desk) => {
  await desk.arrive();
  await demonstrated(desk);
  await begun(desk);
  await added(desk);
  await interviewed(desk);
  await counted(desk);
  await pointed(desk);
  await recessed(desk);
  await limited(desk);
  await inOtherUnits(desk);
  await tolerated(desk);
  await leftOpen(desk);
  await worded(desk);
});

async function demonstrated(desk) {
  await desk.page.locator('#welcome button', { hasText: 'Demonstration order' }).click();
  await desk.verdict('CLEAR');
  check('the demonstration order is that of the sources', (await desk.text()) === DEMO);
  await desk.page.click('#undo');
  await desk.settled();
}

/** Six boxes make an order that is drawn. */
async function begun(desk) {
  const { page } = desk;
  await page.fill('#guide-outside_diameter', '20');
  await page.fill('#guide-thickness', '2-1/2');
  await page.fill('#guide-bore', '203 mm');
  await page.fill('#guide-number', '2001');
  await page.fill('#guide-customer', 'Alder Brook Cranks');
  await page.keyboard.press('Enter');
  await desk.drawn();
  const made = await order(desk);
  check('the six boxes are an order', made.order.number === '2001' && made.order.revision === 'A' && made.units === 'in', JSON.stringify(made));
  check('sizes are kept as typed', made.wheel.thickness === '2-1/2 in' && made.wheel.bore === '203 mm' && made.wheel.outside_diameter === 20, JSON.stringify(made.wheel));
  check('what was left empty is not in it', made.machine === undefined);
  await desk.picture('begun');
}

/** A feature by name leads to its boxes, and is offered no more. */
async function added(desk) {
  const { page } = desk;
  await page.click('button[aria-label="Add Grooves A"]');
  const at = await page.evaluate(() => document.activeElement.closest('[data-path]')?.dataset.path);
  check('a feature leads to its first box', at === '/wheel/side_a/grooves/count', at);
  await page.keyboard.type('90');
  for (const [name, size] of [['width', '1/16'], ['depth', '0.12'], ['inner_diameter', '13']]) await desk.type(`/wheel/side_a/grooves/${name}`, size);
  await desk.drawn();
  check('it is not offered again', !(await page.isVisible('button[aria-label="Add Grooves A"]')));
  await page.click('button[aria-label="Add Recess B"]');
  check('a recess gets its first step', (await order(desk)).wheel.side_b.recess.length === 1);
  await page.click('#undo');
  await desk.drawn();
}

/** Questions fill the fields they name, or the list of answers. */
async function interviewed(desk) {
  const { page } = desk;
  await desk.openText(readFileSync(join(ROOT, 'templates', 'straight.json'), 'utf8'), 'straight.json');
  await desk.verdict('ASK');
  await desk.tab('findings');
  const card = (words) => page.locator('.finding', { hasText: words });
  const bolts = card('How long are the hub bolts');
  await bolts.locator('input').nth(0).fill('3');
  await bolts.locator('input').nth(1).fill('1-1/4');
  const half = card('How far does the machine use the wheel up').locator('input').first();
  await half.fill('2');
  await bolts.locator('button', { hasText: 'Fill in' }).click();
  await desk.settled();
  const { mount } = await order(desk);
  check('a question fills the fields it names', mount.bolt_length === 3 && mount.bolt_stack === '1-1/4 in', JSON.stringify(mount));
  check('it is asked no more', (await bolts.count()) === 0);
  check('what is half typed in another question stays', (await half.inputValue()) === '2');
  const speed = card('confirm the speed for this shape');
  const boxes = speed.locator('form').last();
  if (await speed.locator('summary').count()) await speed.locator('summary').click();
  await boxes.locator('input').nth(0).fill('Yes, by letter of 3 March.');
  await boxes.locator('input').nth(1).fill('M. Lindqvist');
  await boxes.locator('button').click();
  await desk.settled();
  const [answer] = (await order(desk)).answers;
  check('an answer in words is kept', answer.question === 'stress-raise' && answer.by === 'M. Lindqvist' && /^\d{4}-\d\d-\d\d$/.test(answer.date), JSON.stringify(answer));
  check('and ends the question', (await card('confirm the speed for this shape').locator('form').count()) === 0);
  check('it is listed', (await page.textContent('#panel-findings')).includes('Answered (1)'));
  await desk.picture('interview');
  await page.click('#undo');
  await desk.settled();
  check('Undo takes it back', (await order(desk)).answers === undefined);
}

/** A pitch that does not divide the circle is mended at a click. */
async function counted(desk) {
  const { page } = desk;
  await desk.openText(DEMO.replace('"pitch_deg": 2,', '"pitch_deg": 2.3,'), 'pitch.json');
  await desk.verdict('UNFINISHED');
  await desk.tab('findings');
  for (const place of ['#panel-findings', '#form']) {
    const offers = await page.locator(`${place} .offer`).allTextContents();
    check(`the counts either side are offered in ${place}`, offers.length === 2 && offers[0].includes('156') && offers[1].includes('157'), offers.join());
  }
  check('the top line names the field', (await page.textContent('#verdict-said')).startsWith('Side A, grooves, pitch: '), await page.textContent('#verdict-said'));
  await page.locator('#form .offer').first().click();
  await desk.verdict('CLEAR');
  const { grooves } = (await order(desk)).wheel.side_a;
  check('one is taken', grooves.count === 156 && grooves.pitch_deg === undefined, JSON.stringify(grooves));
}

/** So is a decimal comma. */
async function pointed(desk) {
  const { page } = desk;
  await desk.openText(DEMO.replace('"outside_diameter": 26, "thickness": 2,', '"outside_diameter": 26, "thickness": "2,5",'), 'comma.json');
  await desk.verdict('UNFINISHED');
  check('what was typed is quoted as people do', (await page.textContent('#verdict-said')) === 'Thickness: “2,5” is no length', await page.textContent('#verdict-said'));
  check('the line over the views speaks of no drawing where there is none', (await page.textContent('#now')).trim() === 'UNFINISHED The order as typed cannot be drawn yet.', await page.textContent('#now'));
  await page.locator('#form .offer', { hasText: 'Write 2.5' }).click();
  await desk.settled();
  check('the point is written', (await order(desk)).wheel.thickness === 2.5);
}

async function recessed(desk) {
  const { page } = desk;
  await desk.openText(DEMO, 'demo.json');
  await desk.tab('strength');
  await desk.settled();
  check('the tension is shown', await page.locator('svg.contours').isVisible());
  const titles = await page.locator('#explore h2').allTextContents();
  check('what has a view of its own is not told twice', titles.includes('Balance') && !titles.some((t) => /Verdict|Findings|Not evaluated/.test(t)), titles.join());
  check('with its lines', (await page.locator('svg.contours .level').count()) >= 5);
  await page.locator('.offer', { hasText: 'Take it on side A' }).click();
  await desk.drawn();
  const { recess } = (await order(desk)).wheel.side_a;
  check('a proposed recess is taken', recess.length === 1 && recess[0].diameter > 10 && recess[0].depth > 0, JSON.stringify(recess));
  await page.click('#undo');
  check('and taken back', (await desk.text()) === DEMO);
}

/** A size that a rule limits can be set to the limit. */
async function limited(desk) {
  const { page } = desk;
  await desk.openText(DEMO.replace('"flange_diameter": 12', '"flange_diameter": 6'), 'flange.json');
  await desk.verdict('STOP');
  await desk.tab('findings');
  const offer = page.locator('.finding[data-weight="stop"] .offer').first();
  const said = await offer.textContent();
  await offer.click();
  await desk.settled();
  const now = (await order(desk)).mount.flange_diameter;
  check('the limit is put in', said === `Take ${now} in` && now > 6, `${said} ${now}`);
  check('it is kept', (await page.locator('.finding[data-weight="stop"]', { hasText: 'flange' }).count()) === 0, await page.textContent('#verdict'));
}

/** What the page comes to, once it is as wanted or has had five seconds for it. */
async function comesTo(desk, read, wanted) {
  for (let tries = 0; tries < 100 && (await read()) !== wanted; tries += 1) await desk.page.waitForTimeout(50);
  return read();
}

/** Another unit keeps the sizes or the numbers, as one says. */
async function inOtherUnits(desk) {
  const { page } = desk;
  await desk.openText(DEMO, 'units.json');
  const first = await desk.redrawn();
  await desk.field('/units').selectOption('mm');
  await page.click('#units-convert');
  const sizes = () => order(desk).then((o) => [o.units, o.wheel.outside_diameter, o.wheel.bore_chamfer, o.wheel.side_a.recess[1].diameter, o.tolerances.bore, o.tolerances.groove_pitch_deg].join());
  const become = async (what, read, wanted) => {
    const come = await comesTo(desk, read, wanted);
    check(what, come === wanted, come);
  };
  await become('sizes are converted exactly', sizes, 'mm,660.4,0.762,14-1/2 in,+0.127/+0.0254,0.05');
  await desk.drawn();
  await page.click('#undo');
  check('one step of undo takes it back', (await desk.redrawn()) === first);
  await desk.field('/units').selectOption('mm');
  await page.click('#units-keep');
  await become('or the numbers are kept', sizes, 'mm,26,0.03,14-1/2 in,+0.005/+0.001,0.05');
  await page.click('#undo');
  await become('which is undone too', () => desk.value('/units'), 'in');
  await desk.settled();
  await desk.field('/units').selectOption('mm');
  await page.keyboard.press('Escape');
  await become('or nothing changes', async () => `${(await order(desk)).units} ${await desk.value('/units')}`, 'in in');
}

/** A tolerance is split into two deviations and put together again without losing a digit. */
async function tolerated(desk) {
  const { page } = desk;
  await desk.openText(DEMO, 'tolerances.json');
  const first = await desk.redrawn();
  const swap = (name) => page.locator('.tolerance', { has: page.locator(`[data-path="/tolerances/${name}"]`) }).locator('.swap');
  await desk.reveal('/tolerances/bore');
  for (const name of ['bore', 'thickness', 'outside_diameter']) await swap(name).click();
  const { tolerances } = await order(desk);
  const both = ['bore', 'thickness', 'outside_diameter'].map((n) => `${tolerances[n].upper} ${tolerances[n].lower}`).join();
  check('± becomes two deviations', both === '0.005 0.001,0.01 -0.01,0 -0.06', both);
  const hidden = await page.evaluate(() => [...document.querySelectorAll('.tolerance input')].filter((i) => i.offsetParent && i.scrollWidth > i.clientWidth).map((i) => i.value));
  check('no tolerance is longer than its box', hidden.length === 0, hidden.join());
  check('the wheel is the same', (await desk.redrawn()) === first);
  await swap('bore').click();
  check('and one text again', (await order(desk)).tolerances.bore === '+0.005/+0.001', JSON.stringify((await order(desk)).tolerances.bore));
  check('still the same', (await desk.redrawn()) === first);
}

/** A size left open is asked with what is proposed for it; the drawing says DRAFT until it is given. */
async function leftOpen(desk) {
  const { page } = desk;
  await desk.openText(DEMO, 'open.json');
  await desk.drawn();
  await desk.type('/wheel/side_b/grooves/width', '? 0.06 in');
  await desk.verdict('ASK');
  check('the drawing says that it is a draft', (await page.evaluate(() => document.querySelector('#port svg').textContent)).includes('DRAFT'));
  await desk.tab('findings');
  const box = page.locator('.finding[data-weight="ask"] form.answer input').first();
  check('the proposal stands in the box', (await box.inputValue()) === '0.06 in', await box.inputValue());
  await page.locator('.finding[data-weight="ask"] form.answer button').first().click();
  await desk.verdict('CLEAR');
  check('the size is given', (await order(desk)).wheel.side_b.grooves.width === '0.06 in');
}

/** No place of the file and no command is named where a person reads. */
async function worded(desk) {
  const { page } = desk;
  await desk.openText(DEMO.replace('"bore": 8,', '"boar": 8,').replace('"quantity": 4', '"quantity": "four"'), 'words.json');
  await desk.verdict('UNFINISHED');
  const texts = [];
  const read = async () => texts.push(await page.evaluate(() => document.body.innerText));
  for (const tab of ['drawing', 'strength', 'findings', 'files']) {
    await desk.tab(tab);
    await desk.settled();
    await read();
  }
  await desk.openText(readFileSync(join(ROOT, 'templates', 'straight.json'), 'utf8'), 'straight.json');
  await desk.drawn();
  for (const tab of ['drawing', 'strength', 'findings', 'files']) {
    await desk.tab(tab);
    await desk.settled();
    await page.waitForTimeout(500);
    await desk.settled();
    await read();
  }
  // hints that name a command elsewhere
  await desk.openText(DEMO.replace('"outside_diameter": 26, "thickness"', '"outside_diameter": 27, "thickness"').replace('"bolt_length": 3.0', '"bolt_length": 0.8'), 'commands.json');
  await desk.verdict('STOP');
  await desk.tab('findings');
  await read();
  check('a hint leads to a place of the page', texts.at(-1).includes('Blank under Files'), texts.at(-1));
  const found = texts.join('\n').match(/(^|\s)\/(wheel|order|mount|blank|machine|tolerances)\S*|\b(mount|blank|machine|wheel)\.[a-z_]+|wheeldraft [a-z]+ |--[a-z]+/g);
  check('words a person uses', found === null, (found ?? []).join(' | '));
}

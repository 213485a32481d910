// Every hint is a button: of each rule, in each way it speaks, and of every problem an order can have. Sizes put in at a click end the finding.
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const CASES = join(ROOT, 'tests', 'cases');
const json = (...path) => JSON.parse(readFileSync(join(CASES, ...path), 'utf8'));
const SOUND = json('rules', 'sound.json').order;
const RULES = readdirSync(join(CASES, 'rules')).map((name) => json('rules', name)).filter((file) => file.rule);
/** Buttons whose click puts a size in that must end what asked for it. */
const ENDS = /^(Take|Run it at|Let the shop|Leave no)/;

/** Hints that put something in: each of them is a button at its field and in the list. */
const OFFERED = /^(write (the decimal point|"|-?\d|true)|did you mean|it belongs in|give "[^"]*"(, "[^"]*"){0,4} or "|give true or false|give at most [\d.]+ (in|mm)|keep one of `|put it in brackets|nearest are|remove (it|the field)|name each)/;

/** Changes a field as the cases of the rules say: null takes it out. */
function change(order, pointer, value) {
  const keys = pointer.split('/').slice(1);
  let at = order;
  for (const key of keys.slice(0, -1)) at = at[key] ??= {};
  if (value === null && !Array.isArray(at)) delete at[keys.at(-1)];
  else at[keys.at(-1)] = value;
}

function ordered({ change: changes }) {
  const order = structuredClone(SOUND);
  const rank = ([pointer, value]) => (value === null ? 1000 : 0) + pointer.split('/').length;
  for (const [pointer, value] of Object.entries(changes).sort((a, b) => rank(a) - rank(b))) change(order, pointer, value);
  return order;
}

/** Asks the program what it says of an order, without showing it. */
const said = (desk, order) => desk.page.evaluate(async (body) => (await fetch('/draw/section', { method: 'POST', headers: { 'content-type': 'application/json' }, body })).json(), JSON.stringify(order, null, 1));

/** The orders in which a rule speaks in a way of its own. */
async function speaking(desk) {
  const found = new Map();
  for (const { rule, cases } of RULES) {
    for (const one of cases.filter((c) => ['stop', 'ask', 'note'].includes(c.expect) && !c.shop_file)) {
      const order = ordered(one);
      const answer = await said(desk, order);
      for (const finding of (answer.findings ?? []).filter((f) => f.id === rule)) {
        const way = [rule, finding.severity, finding.feature.split('/').at(-1), finding.measured === null, finding.hint.replace(/[\d.]+/g, 'N')].join(' ');
        if (!found.has(way)) found.set(way, { order, finding });
      }
    }
  }
  return found;
}

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  const hints = await page.evaluate(async () => (await import('/page/hints.js')).HINTS);
  const rules = RULES.map((r) => r.rule);
  check('every rule has its hint told', rules.every((id) => hints[id]?.acts?.length > 0 || hints[id]?.none?.length > 20), rules.filter((id) => !hints[id]).join());
  check('no other rule has', Object.keys(hints).every((id) => rules.includes(id)), Object.keys(hints).filter((id) => !rules.includes(id)).join());
  const ways = await speaking(desk);
  check('the rules speak in many ways', ways.size > 80, `${ways.size}`);
  let [n, written] = [0, 0];
  for (const [way, { order, finding }] of ways) {
    n += 1;
    await desk.openText(JSON.stringify(order, null, 1), `hint-${n}.json`);
    await desk.tab('findings');
    await desk.settled();
    written += await tried(desk, way, finding, hints[finding.id]);
  }
  check('sizes were put in at a click', written > 25, `${written}`);
  await mended(desk);
  await asTyped(desk);
  await nearlyThere(desk);
});

/** The card of a finding has the button that its rule's hint stands for; a size that is put in ends it. */
async function tried(desk, way, finding, hint) {
  const { page } = desk;
  const card = page.locator(`.finding[data-rule="${finding.id}"][data-at="${finding.feature}"]`).first();
  const offers = await card.locator('.offer, form.answer button').allTextContents();
  const leads = await card.locator('.lead').count();
  check(`${way}: a button, or a reason`, Boolean(hint.none) || offers.length + leads > 0, finding.hint);
  if (!hint.acts || hint.acts.every((act) => act === 'field')) return 0;
  check(`${way}: what the hint says is a button`, offers.length > 0 || hint.acts.includes('field'), finding.hint);
  const puts = card.locator('.offer', { hasText: ENDS }).first();
  if ((await puts.count()) === 0) return 0;
  const label = await puts.textContent();
  await puts.click();
  await desk.settled();
  const now = await said(desk, JSON.parse(await desk.text()));
  check(`${way}: “${label}” makes an order`, Array.isArray(now.findings), JSON.stringify(now.problems));
  check(`${way}: “${label}” ends it`, !now.findings?.some((f) => f.id === finding.id && f.feature === finding.feature && f.message === finding.message), finding.message);
  return 1;
}

/** The wrong orders of the program's own tests, with what each hint offers. */
function wrongOrders() {
  const base = Object.fromEntries(['in', 'mm'].map((unit) => [unit, readFileSync(join(CASES, 'bad-orders', `base-${unit}.json`), 'utf8')]));
  const all = ['fields', 'grooves', 'sides', 'values'].flatMap((name) => json('bad-orders', `${name}.json`));
  return all.filter((c) => c.base).map((c) => ({ about: c.about, text: (c.change ?? []).reduce((text, [from, to]) => text.replace(from, () => to), base[c.base]) }));
}

async function mended(desk) {
  const { page } = desk;
  let [count, n] = [0, 0];
  for (const { about, text } of wrongOrders()) {
    const answer = await page.evaluate(async (body) => (await fetch('/draw/section', { method: 'POST', headers: { 'content-type': 'application/json' }, body })).json(), text);
    const problem = (answer.problems ?? []).find((p) => OFFERED.test(p.hint));
    let tree = true;
    try { JSON.parse(text); } catch { tree = false; }
    if (!problem || !problem.field || !tree) continue;
    n += 1;
    await desk.openText(text, `wrong-${n}.json`);
    await desk.tab('findings');
    await desk.settled();
    const offers = page.locator('#panel-findings .offer');
    const labels = await offers.allTextContents();
    check(`${about}: “${problem.hint}” is a button`, labels.length > 0, JSON.stringify(problem));
    if (labels.length === 0) continue;
    await offers.first().click();
    await desk.settled();
    const after = await page.evaluate(async (body) => (await fetch('/draw/section', { method: 'POST', headers: { 'content-type': 'application/json' }, body })).json(), await desk.text());
    const same = (p) => p.field === problem.field && p.message === problem.message;
    check(`${about}: “${labels[0]}” mends it`, !(after.problems ?? []).some(same), JSON.stringify(after.problems));
    count += 1;
  }
  check('many problems were mended at a click', count > 40, `${count}`);
}

/** A size that is typed as a fraction, or in another unit, is set to its limit as well; the buttons stand beside the field too. */
async function asTyped(desk) {
  const { page } = desk;
  const bases = {
    in: readFileSync(join(ROOT, 'demo-data', '1042.json'), 'utf8').replace('"flange_diameter": 12', '"flange_diameter": @'),
    mm: JSON.stringify(SOUND, null, 1).replace('"flange_diameter": 300', '"flange_diameter": @'),
  };
  let n = 0;
  for (const [typed, unit] of [['"6-1/2 in"', 'in'], ['"13/2 in"', 'in'], ['"165.1 mm"', 'in'], ['165.1', 'mm'], ['"6-1/2 in"', 'mm'], ['"16.51 cm"', 'mm']]) {
    n += 1;
    await desk.openText(bases[unit].replace('@', typed), `typed-${n}.json`);
    await desk.verdict('STOP');
    await desk.reveal('/mount/flange_diameter');
    const offer = page.locator('#form [data-path="/mount/flange_diameter"] .offer').first();
    check(`${typed} in ${unit}: the limit is a button beside the field`, /^Take [\d.]+ (in|mm)$/.test((await offer.count()) ? await offer.textContent() : ''), await page.textContent('#verdict'));
    if (!(await offer.count())) continue;
    await offer.click();
    await desk.settled();
    const now = await said(desk, JSON.parse(await desk.text()));
    check(`${typed} in ${unit}: it is put in`, !now.findings.some((f) => f.id === 'flange-third'), JSON.stringify(now.findings));
  }
  const order = structuredClone(SOUND);
  delete order.machine.spindle_rpm;
  await desk.openText(JSON.stringify(order, null, 1), 'rpm.json');
  await desk.tab('findings');
  await desk.settled();
  const card = page.locator('.finding[data-at="/machine/spindle_rpm"]');
  check('the speed of a spindle is asked, not looked for in the stock', (await card.count()) === 1 && (await card.locator('.offer').count()) === 0, await page.textContent('#panel-findings'));
}

/** A stock wheel that only just misses a size: what the customer would have to agree to is a button. */
async function nearlyThere(desk) {
  const { page } = desk;
  await desk.openText(JSON.stringify(SOUND), 'near.json');
  await desk.drawn();
  await desk.tab('files');
  const { outside_diameter: d, thickness: t } = SOUND.wheel;
  const list = `id,outside_diameter,thickness,bore,count,marking,max_operating_speed\nQ-7,${d - 0.4} mm,${t + 10} mm,127 mm,9,${SOUND.blank.marking},${SOUND.blank.max_operating_speed}\n`;
  await page.setInputFiles('#picked-stock', { name: 'stock.csv', mimeType: 'text/csv', buffer: Buffer.from(list) });
  const offer = page.locator('#blanks .offer');
  await offer.waitFor({ state: 'attached' });
  check('it says what would be agreed', (await offer.textContent()) === `Agreed: outside diameter ${d - 0.4} mm`, await page.textContent('#blanks'));
  await page.locator('#blanks summary').click();
  await offer.click();
  await desk.settled();
  check('and it is the order’s size then', JSON.parse(await desk.text()).wheel.outside_diameter === `${d - 0.4} mm`, await desk.text());
}

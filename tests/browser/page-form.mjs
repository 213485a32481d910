// The form has every field of the schema; fields and dimensions light each other up; the page can be used by keys alone.
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

/** Every field a schema allows, as pointers; of a list, its first item. */
function fields(root) {
  const found = [];
  const followed = (s) => (s.$ref ? { ...s.$ref.slice(2).split('/').reduce((at, step) => at[step], root), description: s.description } : s);
  const walk = (schema, at) => {
    const s = followed(schema);
    if (s.properties) for (const [name, inner] of Object.entries(s.properties)) walk(inner, `${at}/${name}`);
    // one text or several: one field
    else if (s.items && s['x-quantity'] !== 'texts') walk(s.items, `${at}/0`);
    else found.push([at, s]);
    for (const other of s.anyOf ?? []) if (followed(other).properties) walk(other, at);
  };
  walk(root, '');
  return found;
}

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  await everyField(desk);
  await linked(desk);
  await onTheDrawing(desk);
  await byKeys(desk);
  await viewed(desk);
});

async function everyField(desk) {
  const { page } = desk;
  const schema = await (await page.request.get(`${desk.address}schema.json`)).json();
  const lists = await page.locator('#form .list').all();
  for (const list of lists) await list.locator('.add').evaluate((button) => button.click());
  const want = fields(schema);
  check('the schema has its fields', want.length > 90, `${want.length}`);
  const have = await page.evaluate(() =>
    [...document.querySelectorAll('#form [data-path]')].map((element) => {
      const input = element.querySelector('input, select');
      const described = (input.getAttribute('aria-describedby') ?? '').split(' ').map((id) => document.getElementById(id)?.textContent).join(' ');
      const choices = [...(input.options ?? [])].map((o) => o.value).filter(Boolean);
      return { at: element.dataset.path, label: input.labels[0]?.textContent ?? '', described, choices };
    }));
  const byPath = new Map(have.map((one) => [one.at, one]));
  for (const [at, s] of want) {
    const one = byPath.get(at);
    check(`${at} is in the form`, one !== undefined);
    if (!one) continue;
    check(`${at} has a label`, one.label.trim().length > 1, one.label);
    // names of the file's are quoted there and words here
    const plain = (text) => text.replace(/[`“”]/g, '').replaceAll('_', ' ').toLowerCase();
    check(`${at} has its help`, plain(one.described).includes(plain(s.description ?? '')), one.described);
    const choices = (s.oneOf ?? []).map((c) => c.const);
    if (choices.length) check(`${at} has its choices`, choices.join() === one.choices.join(), one.choices.join());
  }
  const wanted = new Set(want.map(([at]) => at));
  const extra = have.filter((one) => !wanted.has(one.at)).map((one) => one.at);
  check('the form has nothing else', extra.length === 0, extra.join());
}

async function linked(desk) {
  const { page } = desk;
  await desk.open(join(ROOT, 'demo-data', '1042.json'));
  await desk.drawn();
  const groups = await page.evaluate(() => [...document.querySelectorAll('#port [data-field]')].map((g) => g.dataset.field));
  check('the drawing names its fields', groups.length > 8, groups.join());
  for (const at of ['/wheel/thickness', '/wheel/bore', '/wheel/side_a/recess/0/diameter']) {
    await desk.reveal(at);
    await desk.field(at).focus();
    const lit = await page.evaluate(() => [...document.querySelectorAll('#port .lit')].map((g) => g.dataset.field));
    if (at.endsWith('thickness')) await desk.picture('linked');
    check(`a field lights its dimension: ${at}`, lit.length > 0 && lit.every((f) => f === at), lit.join());
  }
  const dimension = page.locator('#port [data-field="/wheel/outside_diameter"] text').first();
  await desk.reveal('/wheel/outside_diameter');
  await dimension.hover();
  const lit = await page.evaluate(() => [...document.querySelectorAll('.field.lit')].map((f) => f.dataset.path));
  check('a dimension lights its field', lit.join() === '/wheel/outside_diameter', lit.join());
  await dimension.click();
  const focused = await page.evaluate(() => document.activeElement.closest('[data-path]')?.dataset.path);
  check('a click on a dimension opens its field', focused === '/wheel/outside_diameter', focused);
  check('the field in use is explained', (await page.textContent('#explain')).includes('Outside diameter (D of ISO 525)'), await page.textContent('#explain'));
}

/** A dimension is typed where it stands, with the mouse or with keys alone; Escape takes it back. */
async function onTheDrawing(desk) {
  const { page } = desk;
  const before = await desk.text();
  const first = await desk.redrawn();
  check('the box has the size', (await page.inputValue('#inplace')) === '26', await page.inputValue('#inplace'));
  await page.keyboard.type('25-1/2');
  await desk.picture('inplace');
  check('the form follows', (await desk.value('/wheel/outside_diameter')) === '25-1/2 in', await desk.value('/wheel/outside_diameter'));
  check('the drawing follows', (await desk.redrawn()) !== first);
  await page.keyboard.press('Enter');
  check('Enter leaves it for the drawing', (await page.locator('.inplace').count()) === 0 && (await page.evaluate(() => document.activeElement.id)) === 'port');
  await page.keyboard.press('Enter');
  const one = await page.getAttribute('.inplace', 'data-path');
  await page.click('[aria-label="The next dimension"]');
  const two = await page.getAttribute('.inplace', 'data-path');
  check('keys go from one dimension to the next', one !== two && Boolean(two), `${one} ${two}`);
  const text = await desk.text();
  await page.keyboard.type('1x');
  await desk.verdict('UNFINISHED');
  check('what is wrong is said in the box', (await page.textContent('#inplace-fault')).length > 5);
  await page.keyboard.press('Escape');
  await desk.drawn();
  check('Escape takes it back', (await desk.text()) === text);
  while ((await desk.text()) !== before) await page.click('#undo');
  check('Undo takes back the rest', (await desk.redrawn()) === first);
}

async function byKeys(desk) {
  const { page } = desk;
  await page.locator('#tab-drawing').focus();
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowRight');
  check('arrows go through the tabs', (await page.getAttribute('#tab-strength', 'aria-selected')) === 'true');
  await page.keyboard.press('End');
  check('End goes to the last tab', (await page.getAttribute('#tab-text', 'aria-selected')) === 'true');
  await page.keyboard.press('Home');
  await desk.drawn();
  await page.locator('#port').focus();
  const zoom = () => page.textContent('#zoom-now').then((t) => parseInt(t, 10));
  const before = await zoom();
  await page.keyboard.press('+');
  check('plus zooms', (await zoom()) > before);
  const place = () => page.evaluate(() => document.querySelector('#port svg').style.transform);
  const there = await place();
  await page.keyboard.press('ArrowLeft');
  check('arrows move the sheet', (await place()) !== there);
  await page.keyboard.press('0');
  check('0 fits', (await zoom()) === before);
  // from the top of the page, Tab alone reaches the form
  await page.evaluate(() => document.activeElement.blur());
  const passed = [];
  for (let i = 0; i < 14; i += 1) {
    await page.keyboard.press('Tab');
    passed.push(await page.evaluate(() => document.activeElement.id || document.activeElement.className));
  }
  check('Tab reaches tools and form', passed.some((id) => id === 'open') && passed.some((id) => id.startsWith('field-')), passed.join());
}

async function viewed(desk) {
  const { page } = desk;
  const port = await page.locator('#port').boundingBox();
  await page.mouse.move(port.x + port.width / 2, port.y + port.height / 2);
  const zoom = () => page.textContent('#zoom-now').then((t) => parseInt(t, 10));
  const before = await zoom();
  await page.mouse.wheel(0, -400);
  check('the wheel zooms', (await zoom()) > before);
  await page.click('#zoom-fit');
  for (const look of ['section', 'side-a', 'side-b', 'face', 'pictorial', 'calculation']) {
    await desk.look(look);
    await desk.drawn();
    // a run of like lines is one path: what counts is how much is drawn
    const ink = await page.evaluate(() =>
      [...document.querySelectorAll('#port svg path')].reduce((sum, path) => sum + path.getAttribute('d').split(/[MLA]/).length - 1, 0));
    check(`${look} is drawn`, ink > 20, `${ink}`);
    await desk.picture(`look-${look}`);
  }
  await desk.tab('strength');
  await desk.settled();
  const told = () => page.textContent('#wear output');
  const fresh = await told();
  await page.locator('#wear-slider').focus();
  for (let i = 0; i < 8; i += 1) await page.keyboard.press('ArrowLeft');
  check('the wear slider moves', (await told()) !== fresh, await told());
  await page.locator('#counts-slider').fill('100');
  const offered = await page.textContent('#counts .use button');
  await page.click('#counts .use button');
  const count = JSON.parse(await desk.text()).wheel.side_a.grooves;
  check('a count is taken into the order', offered === `Use ${count.count} grooves` && count.pitch_deg === undefined, JSON.stringify(count));
  await desk.picture('strength');
}

// Text from an order never runs as markup, wherever the page shows it.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const EVIL = [
  '<script>window.ran = 1</script>',
  '<img src=x onerror="window.ran = 1">',
  '"><svg onload="window.ran = 1">',
  '</text></svg><script>window.ran = 1</script>',
  ']]><style>* { display: none }</style>',
  "javascript:window.ran = 1//' onfocus=window.ran=1 autofocus '",
  '${window.ran = 1}{{constructor.constructor("window.ran = 1")()}}',
];

await onPage(async (desk) => {
  const { page } = desk;
  let dialogs = 0;
  page.on('dialog', (dialog) => {
    dialogs += 1;
    dialog.dismiss();
  });
  await desk.arrive();
  const order = JSON.parse(readFileSync(join(ROOT, 'demo-data', '1042.json'), 'utf8'));
  const all = EVIL.join(' ');
  Object.assign(order.order, { customer: EVIL[0], contact: EVIL[1], item: all, prepared_by: EVIL[3], notes: EVIL });
  Object.assign(order.blank, { marking: EVIL[2], lot: EVIL[4] });
  order.work.material = EVIL[5];
  await desk.openText(JSON.stringify(order), `${EVIL[1].replaceAll('/', '')}.json`);
  await desk.drawn();
  // every view, every drawing
  for (const buttons of ['[role="tab"]:visible', '#panel-drawing .looks button']) {
    for (const button of await page.locator(buttons).all()) {
      await button.click();
      await desk.settled();
    }
    await desk.tab('drawing');
  }
  await desk.look('sheet');
  await desk.drawn();
  const shown = await page.evaluate(() => document.querySelector('#port svg').textContent);
  check('the text is on the sheet as text', shown.includes('<script>window.ran'), shown.slice(0, 100));
  // unknown fields and values come back in messages
  await desk.openText(`{${JSON.stringify(EVIL[1])}: 1, "units": ${JSON.stringify(EVIL[0])}, "order": {"number": ${JSON.stringify(EVIL[2])}}}`);
  await desk.verdict('UNFINISHED');
  await desk.tab('findings');
  check('messages show it as text', (await page.textContent('#panel-findings')).includes('onerror'), await page.textContent('#panel-findings'));
  // fields may be called anything, or nothing
  await desk.openText('{"": 1, "_deg": 2, "constructor": [3], "__proto__": {"toString": 4}, "units": "in", "order": {"": {"": 5}}, "wheel": {"side_a": {"recess": [{"valueOf": 6}]}}}', 'names.json');
  await desk.verdict('UNFINISHED');
  const told = await page.textContent('#panel-findings');
  check('each is told', ['A field without a name', 'Constructor', '“__proto__”', '“valueOf”'].every((name) => told.includes(name)) && !told.includes('function'), told);
  const before = await page.locator('#panel-findings .finding').count();
  await page.locator('#panel-findings .offer', { hasText: 'Take it out' }).first().click();
  await desk.settled();
  check('and taken out at a click', (await page.locator('#panel-findings .finding').count()) < before);
  await desk.tab('text');
  const found = await page.evaluate(() => ({
    ran: window.ran ?? 0,
    scripts: [...document.querySelectorAll('script')].filter((s) => !s.src.endsWith('/page/main.js')).length,
    foreign: document.querySelectorAll('foreignObject, iframe, object, embed, #port [onload], #port script, #port style, #port a, #port image').length,
  }));
  check('nothing ran', found.ran === 0 && dialogs === 0, JSON.stringify(found));
  check('no script and nothing foreign got in', found.scripts === 0 && found.foreign === 0, JSON.stringify(found));
  const inline = await page.evaluate(() => new Promise((done) => {
    document.addEventListener('securitypolicyviolation', (event) => done(event.effectiveDirective), { once: true });
    const button = document.createElement('button');
    button.setAttribute('onclick', 'window.ran = 2');
    button.click();
    setTimeout(() => done(`nothing, ran ${window.ran}`), 500);
  }));
  check('the policy holds even where markup got in', inline.startsWith('script-src'), inline);
}, { complaints: /inline event handler/i });

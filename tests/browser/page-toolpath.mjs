// The programs of an order on the page: their sheets, and the slider along the tool path.
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  await desk.open(join(ROOT, 'demo-data', '1042.json'));
  await desk.drawn();
  check('no slider beside the sheet', await page.isHidden('#toolpath'));
  await page.click('#look-program');
  await desk.drawn();
  const said = await page.textContent('#verdict');
  check('a program has paper of its own', !said.includes('too small'), said);
  check('no slider beside the sheet that only says where it cuts', await page.isHidden('#toolpath'));
  await page.click('#sheets button:nth-child(2)');
  await desk.drawn();
  await page.waitForSelector('#toolpath:not([hidden])', { timeout: 60000 });
  const seen = () => page.evaluate(() => [...document.querySelectorAll('#port g[id^="drawn-move-"]')].filter((g) => g.getAttribute('display') !== 'none').length);
  const all = await seen();
  const most = Number(await page.getAttribute('#toolpath-step', 'max'));
  check('every motion is seen at first', all >= most && most > 3, `${all} of ${most}`);
  await page.fill('#toolpath-step', '2');
  const two = await seen();
  check('the slider hides what comes later', two >= 2 && two < all, `${two} of ${all}`);
  check('the step says where it leads', /^2 of \d+, line \d+: (rapid|cut)/.test(await page.textContent('#toolpath-said')), await page.textContent('#toolpath-said'));
  await page.focus('#toolpath-step');
  await page.keyboard.press('ArrowRight');
  check('an arrow key goes one step on', (await page.inputValue('#toolpath-step')) === '3' && (await seen()) > two);
  await page.keyboard.press('End');
  check('the end shows all', (await seen()) === all);
  await desk.picture('toolpath');
  await page.click('#look-sheet');
  await desk.drawn();
  check('the slider goes with the programs', await page.isHidden('#toolpath'));
});

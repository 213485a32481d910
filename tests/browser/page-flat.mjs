// Where the browser has no 3D graphics the view of the solid says so, and shows the picture of the wheel.
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  await desk.open(join(ROOT, 'templates', 'straight.json'));
  await desk.drawn();
  check('there is no WebGL', await page.evaluate(() => document.createElement('canvas').getContext('webgl2') === null));
  await desk.tab('solid');
  await page.waitForSelector('#solid-flat .pictures svg', { timeout: 60000 });
  check('it is said plainly', (await page.textContent('#solid-flat')).includes('This browser shows no solids'), await page.textContent('#solid-flat'));
  check('no button is there that does nothing', await page.isHidden('#solid-side-a') && await page.isHidden('#solid-canvas'));
  await desk.picture('solid-flat');
}, { args: ['--disable-3d-apis'], complaints: /WebGL/ });

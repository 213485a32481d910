// A real XML parser and a real page take the files as they are: no error, no script, nothing asked from outside.
import { check, path, run, text } from './harness.mjs';

await run(async (page) => {
  const asked = [];
  page.on('request', (request) => asked.push(request.url()));
  let dialogs = 0;
  page.on('dialog', (dialog) => {
    dialogs += 1;
    dialog.dismiss();
  });
  for (const name of ['sample.svg', 'lettering.svg']) {
    const [error, scripts] = await page.evaluate((source) => {
      const parsed = new DOMParser().parseFromString(source, 'image/svg+xml');
      return [parsed.querySelector('parsererror')?.textContent ?? '', parsed.querySelectorAll('script').length];
    }, text(name));
    check(`${name} is well-formed`, error === '', error);
    check(`${name} holds no script`, scripts === 0, `${scripts}`);
    asked.length = 0;
    await page.goto(`file://${path(name)}`);
    const outside = asked.filter((url) => !url.startsWith('file:') && !url.startsWith('data:'));
    check(`${name} asks for nothing outside`, outside.length === 0, outside.join());
    const found = await page.evaluate(() => window.find('Круг'));
    check(`${name} can be searched`, found, 'the Cyrillic word is not found');
  }
  check('nothing ran', dialogs === 0, `${dialogs} dialogs`);
});

// The widths and boxes reckoned for lettering, against those of a real browser.
import { check, json, path, run } from './harness.mjs';

/** Greatest difference of a width as shown, mm of paper. */
const WIDTH = 0.1;
/** Greatest difference as share of the width where the browser is not told the width: it rounds font sizes to steps of up to 1/8 %. */
const NATURAL = 0.0015;
/** The browser's boxes snap to pixels, which are 0.2646 mm, and the page to whole pixels: a pixel and a half. */
const BOX = 0.4;

await run(async (page) => {
  const expected = json('lettering.json');
  await page.goto(`file://${path('lettering.svg')}`);
  await page.evaluate(() => document.fonts.ready);

  const fonts = await page.evaluate(() => [...document.fonts].map((f) => `${f.weight} ${f.status}`));
  check('both weights of the embedded font are in use', fonts.sort().join() === '400 loaded,700 loaded', fonts.join());

  const found = await page.evaluate(() => {
    const root = document.documentElement;
    const { left, top, width } = root.getBoundingClientRect();
    const perMm = width / root.viewBox.baseVal.width;
    const measured = [...document.querySelectorAll('text')].map((element) => {
      const corner = element.getBoundingClientRect();
      const box = [corner.left - left, corner.top - top, corner.right - left, corner.bottom - top];
      const last = element.getNumberOfChars() - 1;
      const [start, end] = [element.getStartPositionOfChar(0), element.getEndPositionOfChar(last)];
      const width = Math.hypot(end.x - start.x, end.y - start.y);
      return { element, content: element.textContent, width, box: box.map((n) => n / perMm) };
    });
    return measured.map(({ element, ...rest }) => {
      element.removeAttribute('textLength');
      return { ...rest, natural: element.getComputedTextLength() };
    });
  });
  check('every text is there', found.length === expected.length, `${found.length} of ${expected.length}`);

  const worst = { shown: 0, natural: 0, box: 0 };
  expected.forEach((want, i) => {
    const got = found[i];
    const what = `"${want.content}"`;
    const shown = Math.abs(got.width - want.width);
    const natural = Math.abs(got.natural / want.width - 1);
    const box = Math.max(...want.box.map((n, k) => Math.abs(n - got.box[k])));
    worst.shown = Math.max(worst.shown, shown);
    worst.natural = Math.max(worst.natural, natural);
    worst.box = Math.max(worst.box, box);
    check(`text ${i}`, got.content === want.content, `${got.content} instead of ${what}`);
    check(`width of ${what}`, shown <= WIDTH, `${got.width} instead of ${want.width}`);
    check(`natural width of ${what}`, natural <= NATURAL, `${got.natural} instead of ${want.width}`);
    check(`box of ${what}`, box <= BOX, `${got.box} instead of ${want.box}`);
  });
  console.log(
    `largest differences: width ${worst.shown.toFixed(4)} mm, natural width ${(100 * worst.natural).toFixed(3)} %, ` +
      `box ${worst.box.toFixed(3)} mm`,
  );
});

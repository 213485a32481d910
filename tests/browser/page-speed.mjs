// While one types quickly, the drawing follows and the last one is that of what was typed. How quickly is the business of benches/key-to-paint.mjs.
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const KEYS = 30;
/** Time between two keys, ms: a quick hand. */
const PACE = 120;

/** In the page: counts the drawings. */
function watch() {
  window.drawings = 0;
  const isDrawn = ({ type, target }) => (target.id === 'port' && type === 'childList') || (target.closest ? target : target.parentElement)?.closest('svg');
  const seen = (records) => { if (records.some(isDrawn)) window.drawings += 1; };
  new MutationObserver(seen).observe(document.getElementById('port'), { childList: true, subtree: true, characterData: true, attributes: true });
}

/** In the page: the drawing as it stands, in one order, without what only the screen adds to it. */
function standing() {
  const said = (e) => {
    const own = [...e.attributes].filter(({ name }) => !['style', 'focusable'].includes(name)).map(({ name, value }) => `${name}=${value.replace(/\s*\blit\b/, '')}`);
    const kids = [...e.children].filter((kid) => !kid.matches('.reach')).map(said);
    return `<${e.localName} ${own.filter((one) => one !== 'class=').sort().join(' ')}>${kids.length > 0 ? kids.join('') : e.textContent}`;
  };
  return said(document.querySelector('#port svg'));
}

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  await desk.open(join(ROOT, 'demo-data', '1042.json'));
  await desk.drawn();
  await page.evaluate(watch);
  for (const look of ['section', 'side-a', 'sheet']) {
    await desk.look(look);
    await desk.drawn();
    await desk.field('/wheel/bore').fill('8.');
    await desk.drawn();
    await page.evaluate(() => { window.drawings = 0; });
    const asked = [];
    const note = (request) => asked.push(new URL(request.url()).pathname);
    page.on('request', note);
    for (let i = 0; i < KEYS; i += 1) {
      await page.keyboard.press(i % 2 ? 'Backspace' : String(1 + (i % 8)));
      await page.waitForTimeout(PACE);
    }
    await desk.drawn();
    page.off('request', note);
    const { drawings } = await page.evaluate(() => ({ drawings: window.drawings }));
    check(`${look}: letters are drawn while one types`, drawings >= KEYS / 10, `${drawings} of ${KEYS}`);
    check(`${look}: only what is shown is asked for`, asked.every((path) => /^\/(draw|view)\//.test(path)), asked.join());
    await page.keyboard.type('5');
    await desk.drawn();
    const shown = await page.evaluate(() => document.querySelector('#port svg').textContent);
    check(`${look}: the last letter is drawn`, look === 'side-a' || shown.includes('8.5'), shown.slice(0, 200));
    const piecewise = await page.evaluate(standing);
    await desk.look(look === 'section' ? 'side-a' : 'section');
    await desk.drawn();
    await desk.look(look);
    await desk.drawn();
    const whole = await page.evaluate(standing);
    const at = [...whole].findIndex((sign, i) => sign !== piecewise[i]);
    check(`${look}: what was changed letter by letter is what is drawn at once`, whole === piecewise, `${piecewise.slice(at - 80, at + 80)} / ${whole.slice(at - 80, at + 80)}`);
  }
  // the browser looks through all boxes of a form at every letter typed in one of them
  const most = await page.evaluate(() => Math.max(...[...document.querySelectorAll('#form input')].map((box) => box.form?.elements.length ?? Infinity)));
  check('a letter is the business of its own field alone', most <= 3, most);
  const answer = await page.evaluate(async (order) => (await (await fetch('/draw/sheet', { method: 'POST', headers: { 'content-type': 'application/json' }, body: order })).json()).svg, await desk.text());
  check('no answer carries a font that the page has', !answer.includes('@font-face') && !answer.includes('base64'));
});

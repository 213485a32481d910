// What the page shows and prints is the order as it is now, or it says on screen and on paper that it is not. Nothing typed is lost.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const DEMO = readFileSync(join(ROOT, 'demo-data', '1042.json'), 'utf8');

const shown = (desk, selector) => desk.page.locator(selector).isVisible();
const drawnSize = (desk) => desk.page.evaluate(() => document.querySelector('#port svg')?.textContent ?? '');

await onPage(async (desk) => {
  await desk.arrive();
  await marked(desk);
  await brokenText(desk);
  await unfinished(desk);
  await printed(desk);
  await offline(desk);
  await drafts(desk);
  await twoTabs(desk);
}, { complaints: /ERR_(CONNECTION_REFUSED|FAILED|INTERNET_DISCONNECTED)/ });

/** A mark of the byte order and line ends of two letters stay, and the form shows what the sheet shows. */
async function marked(desk) {
  const file = `\uFEFF${DEMO.replaceAll('\n', '\r\n')}`;
  await desk.openText(file, 'marked.json');
  await desk.drawn();
  check('the form shows a file with a mark of the byte order', (await desk.value('/order/number')) === '1042');
  check('it is saved byte for byte', (await desk.downloaded('#save')).bytes.equals(Buffer.from(file)));
  await desk.type('/wheel/bore', '8.5');
  await desk.drawn();
  const changed = String((await desk.downloaded('#save')).bytes);
  check('a change in the form touches its value only', changed === file.replace('"bore": 8,', '"bore": 8.5,'));
  await desk.tab('text');
  const text = await desk.text();
  await desk.page.fill('#source', text.replace('"bore": 8.5,', '"bore": 8.25,'));
  await desk.drawn();
  check('a change in the text keeps mark and line ends', String((await desk.downloaded('#save')).bytes) === file.replace('"bore": 8,', '"bore": 8.25,'));
  check('the form follows the text', (await desk.value('/wheel/bore')) === '8.25');
  await desk.tab('drawing');
  await desk.type('/wheel/side_b/recess/0/diameter', '14').catch(() => {});
  await desk.reveal('/wheel/side_b/recess');
  await desk.page.locator('[data-list="/wheel/side_b/recess"] .add').click();
  const grown = await desk.downloaded('#save');
  check('what is put in has the line ends of the file', !/[^\r]\n/.test(String(grown.bytes)), JSON.stringify(String(grown.bytes).slice(-200)));
}

/** A text that is no JSON closes the form and leads back. */
async function brokenText(desk) {
  const { page } = desk;
  await desk.openText(DEMO, 'whole.json');
  await desk.drawn();
  await desk.tab('text');
  await page.fill('#source', DEMO.replace('"thickness": 2, ', '"thickness": 3, ').replace('"units": "in",', '"units": "in"'));
  await desk.verdict('BROKEN TEXT');
  check('the form is closed', !(await shown(desk, '#form')) && (await shown(desk, '#broken')));
  await desk.tab('drawing');
  check('the view says so', (await page.textContent('#now')).startsWith('BROKEN TEXT'), await page.textContent('#now'));
  await desk.picture('broken');
  await page.click('#zoom-print');
  check('it is not printed', (await page.textContent('#notice')).includes('BROKEN TEXT'), await page.textContent('#notice'));
  await desk.look('section');
  await desk.settled();
  check('no size can be dragged that no field holds', (await page.locator('.grip').count()) === 0);
  await page.evaluate(() => document.querySelector('#port [data-field="/wheel/outside_diameter"] text')?.dispatchEvent(new MouseEvent('click', { bubbles: true })));
  check('nor typed where it stands', (await page.locator('#inplace').count()) === 0);
  await desk.look('sheet');
  await page.click('#verdict-lead');
  const told = await page.textContent('#source-faults');
  check('the place is told in words', told.includes('line 11, column 15') && !told.includes('`'), told);
  check('the line at the top leads to the place', (await page.evaluate(() => document.activeElement.id)) === 'source');
  await page.click('#verdict-back');
  await desk.drawn();
  check('and back to the last good text', (await desk.text()) === DEMO && (await shown(desk, '#form')));
  check('what was not printed then is told no more', !(await shown(desk, '#notice')), await page.textContent('#notice'));
  await page.click('#undo');
  await desk.verdict('BROKEN TEXT');
  await desk.openText('{"order": {"number": "9", ', 'other.json');
  await desk.verdict('BROKEN TEXT');
  await desk.tab('drawing');
  check('the sheet of another order goes', (await page.locator('#port svg').count()) === 0);
  check('nothing stands in the form that is not in the file', !(await shown(desk, '#form')));
}

/** A size half typed is said on screen and on paper; another order is read from its top. */
async function unfinished(desk) {
  const { page } = desk;
  await desk.openText(DEMO, '1042.json');
  await desk.drawn();
  check('a current drawing has no words over it', !(await shown(desk, '#now')));
  const lies = () => page.locator('#port svg').boundingBox().then((box) => JSON.stringify(box));
  const lay = await lies();
  await desk.type('/wheel/bore', 'eight');
  await desk.verdict('UNFINISHED');
  check('the drawing stays where it is', (await lies()) === lay, `${lay} ${await lies()}`);
  check('an old drawing says that it is', (await page.textContent('#now')).startsWith('UNFINISHED') && (await shown(desk, '#now')));
  const over = await page.evaluate(() => getComputedStyle(document.getElementById('stage'), '::before').content);
  check('it says it across the sheet', over.includes('UNFINISHED'), over);
  await page.evaluate(() => { window.print = () => { window.printed = true; }; });
  await page.click('#zoom-print');
  await page.waitForSelector('#notice:not([hidden])');
  check('it is not printed', (await page.evaluate(() => window.printed)) === undefined && (await page.textContent('#notice')).includes('Not printed'));
  const paper = await pages(desk);
  check('the paper of a browser’s own print says why', paper.count === 1 && (await lastPaper(desk)).includes('NOT PRINTED'), JSON.stringify(paper));
  await page.click('#notice button');
  await desk.type('/wheel/bore', '8');
  await desk.drawn();
  check('the words go', !(await shown(desk, '#now')));
  await desk.reveal('/tolerances/bore');
  await desk.field('/tolerances/bore').focus();
  check('the form is read further down', (await page.evaluate(() => document.getElementById('form').scrollTop)) > 100);
  await desk.openText(DEMO.replace('"bore": 8,', '"bore": 7,'), 'top.json');
  check('another order begins at its top', (await page.evaluate(() => document.getElementById('form').scrollTop)) === 0);
}

/** What stands on paper: how many sheets, and how large the first is, mm. */
async function pages(desk) {
  const pdf = String(await desk.page.pdf({ preferCSSPageSize: true }).then((b) => b.toString('latin1')));
  const count = (pdf.match(/\/Type\s*\/Page\b/g) ?? []).length;
  const [, width, height] = /\/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)/.exec(pdf) ?? [];
  return { count, width: (width * 25.4) / 72, height: (height * 25.4) / 72 };
}

/** The words put on the paper last. */
async function lastPaper(desk) {
  return desk.page.evaluate(() => {
    window.dispatchEvent(new Event('beforeprint'));
    const text = document.getElementById('paper').textContent;
    window.dispatchEvent(new Event('afterprint'));
    return text;
  });
}

/** Print gives every sheet at its size, without what is lit on the screen. */
async function printed(desk) {
  const { page } = desk;
  await desk.openText(DEMO, '1042.json');
  await desk.drawn();
  await desk.field('/wheel/bore').focus();
  check('a dimension is lit on the screen', (await page.locator('#port .lit').count()) > 0);
  await page.evaluate(() => {
    window.print = () => {
      window.dispatchEvent(new Event('beforeprint'));
      window.papers = [...document.querySelectorAll('#paper svg')].map((s) => s.textContent);
      window.lit = document.querySelectorAll('#paper .lit, #paper .reach').length;
    };
  });
  const count = await page.locator('#sheets button').count();
  await page.keyboard.press('Control+p');
  await page.waitForFunction(() => window.papers);
  const { papers, lit } = await page.evaluate(() => ({ papers: window.papers, lit: window.lit }));
  check('every sheet is printed', papers.length === Math.max(1, count), `${papers.length} of ${count}`);
  check('each is another', new Set(papers).size === papers.length);
  check('nothing is lit on paper', lit === 0, `${lit}`);
  const paper = await pages(desk);
  check('the paper has the sheets, each on one of its size', paper.count === papers.length && Math.abs(paper.width - 420) < 1 && Math.abs(paper.height - 297) < 1, JSON.stringify(paper));
  await page.emulateMedia({ media: 'print' });
  const other = await page.evaluate(() => ['.bar', '#order', '#tabs', '#verdict', '#port'].filter((s) => document.querySelector(s).getClientRects().length > 0));
  check('nothing else is printed', other.length === 0, other.join());
  await page.emulateMedia({ media: 'screen' });
  await page.evaluate(() => window.dispatchEvent(new Event('afterprint')));
}

/** Where the program does not answer the page says so, and goes on when it does. */
async function offline(desk) {
  const { page } = desk;
  await page.context().setOffline(true);
  await desk.type('/wheel/bore', '7.37');
  await page.waitForFunction(() => document.getElementById('verdict-word').textContent === 'OFFLINE');
  check('the view says that it is from before', (await page.textContent('#now')).startsWith('OFFLINE'));
  check('what was drawn is of another size', !(await drawnSize(desk)).includes('7.37'));
  await desk.tab('findings');
  check('so do the findings', await shown(desk, '#now'));
  await page.emulateMedia({ media: 'print' });
  check('and on paper', (await shown(desk, '#now')) && (await shown(desk, '#verdict')));
  await page.emulateMedia({ media: 'screen' });
  await desk.tab('drawing');
  await desk.picture('offline');
  await page.context().setOffline(false);
  await page.waitForFunction(() => document.body.dataset.now === 'current', null, { timeout: 20000 });
  check('it goes on by itself', (await drawnSize(desk)).includes('7.37'));
}

/** Undo survives a reload; an order that another one took the place of is among the drafts. */
async function drafts(desk) {
  const { page } = desk;
  await desk.openText(DEMO, '1042.json');
  await desk.type('/wheel/bore', '6');
  await desk.drawn();
  await page.reload();
  await desk.ready();
  check('a reload keeps what was typed', (await desk.value('/wheel/bore')) === '6');
  await page.click('#undo');
  check('undo survives it', (await desk.text()) === DEMO);
  await page.click('#redo');
  await page.click('#start');
  await page.locator('#starts-list button').first().click();
  await desk.settled();
  check('an empty page offers the drafts', (await page.textContent('#welcome')).includes('1042-B'), await page.textContent('#welcome'));
  await page.locator('#welcome-drafts button', { hasText: '1042-B' }).first().click();
  await desk.drawn();
  check('a draft is taken up again', (await desk.value('/wheel/bore')) === '6');
}

/** Two tabs do not share a draft; two on one order are told. */
async function twoTabs(desk) {
  const { page } = desk;
  const other = await desk.another();
  await other.arrive();
  check('a second tab begins empty', (await other.text()) === '');
  check('nobody is warned', !(await shown(desk, '#twice')));
  await other.openText(DEMO.replace('"bore": 8,', '"bore": 9,'), '1042.json');
  await other.drawn();
  await page.waitForSelector('#twice:not([hidden])');
  check('both are told that two tabs have the order', (await shown(desk, '#twice')) && (await shown(other, '#twice')), await page.textContent('#twice'));
  await desk.picture('two-tabs');
  check('each has its own', (await desk.value('/wheel/bore')) === '6' && (await other.value('/wheel/bore')) === '9');
  await other.page.reload();
  await other.ready();
  check('and keeps it', (await other.value('/wheel/bore')) === '9');
  await other.page.close();
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await page.waitForSelector('#twice', { state: 'hidden' });
  check('the warning goes with the other tab', true);
}

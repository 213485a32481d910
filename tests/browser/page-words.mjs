// Words a person uses: over orders of every kind, sound, wrong and broken at random, no place of the file, no name of a rule or field as programs write
// them and no command line stands where somebody reads.
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

const ORDERS = Number(process.env.WORD_ORDERS ?? 40);
const read = (...path) => readFileSync(join(ROOT, ...path), 'utf8');
const BASES = ['straight.json', ...readdirSync(join(ROOT, 'templates')).filter((n) => /^(recessed|taper|face).*\.json$/.test(n))].map((n) => read('templates', n));
const ALL = [...BASES, read('demo-data', '1042.json'), JSON.stringify(JSON.parse(read('tests', 'cases', 'rules', 'sound.json')).order)];
/** Ids of rules that are words of the trade as well. */
const WORDS = ['run-in', 'guard', 'label', 'lifting', 'storage', 'bushing', 'heavy-point'];
const RULES = readdirSync(join(ROOT, 'tests', 'cases', 'rules')).map((n) => n.replace('.json', '')).filter((id) => id.includes('-') && !WORDS.includes(id));

let seed = Number(process.env.WORD_SEED ?? 22);
/** A number from 0 to 1: the same ones in each run. */
function random() {
  seed = (seed * 1664525 + 1013904223) % 4294967296;
  return seed / 4294967296;
}
const one = (list) => list[Math.floor(random() * list.length)];

/** The places of an order, `[object, key]`. */
const placesOf = (node) => (node && typeof node === 'object' ? Object.keys(node).flatMap((key) => [[node, key], ...placesOf(node[key])]) : []);
const WRONG = ['"?"', '"? 0.06 in"', '"about two"', '-1', '0', '1e6', 'true', 'null', '[]', '{}', '"2,5"', '"2-1/2"', '3.7'];

/** An order with some fields changed, taken out or misspelt. */
function changed() {
  const order = JSON.parse(one(ALL));
  for (let n = 1 + Math.floor(4 * random()); n > 0; n -= 1) {
    const [at, key] = one(placesOf(order));
    const how = random();
    if (how < 0.25 && !Array.isArray(at)) delete at[key];
    else if (how < 0.35 && !Array.isArray(at)) at[`${key}_x`] = 1;
    else if (how < 0.6 && typeof at[key] === 'number') at[key] = Number((at[key] * (0.4 + 1.4 * random())).toFixed(3));
    else at[key] = JSON.parse(one(WRONG));
  }
  return JSON.stringify(order, null, 2);
}

/** Everything that is read, by eye or by ear; what a person typed, files' names and the drawing apart. */
const shown = (page) => page.evaluate(() => {
  const copy = [...document.body.querySelectorAll('[aria-label], [title]')].filter((e) => e.getClientRects().length > 0 && !e.closest('#port svg'));
  const heard = copy.flatMap((e) => [e.getAttribute('aria-label'), e.title]);
  const fields = [...document.querySelectorAll('#form option, #form input')].map((e) => e.textContent);
  return [document.body.innerText, ...heard, document.title, ...fields].join('\n');
});

const UNWORDED = [
  [/(?:^|[\s“(])\/(?:order|wheel|blank|machine|mount|work|tooling|tolerances|answers|drawing)\b\S*/, 'a place of the file'],
  [/(?<![-\w])(?:order|wheel|blank|machine|mount|work|tooling|tolerances|answers|drawing)\.[a-z][a-z_.0-9]*\b/, 'a path'],
  [/\b[a-z]+_[a-z_]+\b/, 'a field as programs write it'],
  [/\bwheeldraft [a-z]+|(?:^|\s)--[a-z]+/, 'a command'],
  [new RegExp(`(?:^|[\\s(“])(?:${RULES.join('|')})(?:$|[\\s),:”])`, 'm'), 'the id of a rule'],
];

await onPage(async (desk) => {
  const { page } = desk;
  await desk.arrive();
  check('there are orders to change', ALL.length >= 4, `${ALL.length}`);
  const said = new Set();
  for (let i = 0; i < ORDERS; i += 1) {
    const text = i < ALL.length ? ALL[i] : changed();
    await desk.openText(text, `words-${i}.json`);
    for (const tab of ['drawing', 'strength', 'findings', 'files']) {
      await desk.tab(tab);
      await desk.settled();
      if (tab === 'findings') for (const more of await page.locator('#panel-findings details').all()) await more.evaluate((d) => { d.open = true; });
      if (tab === 'files') await page.waitForTimeout(450);
      await desk.settled();
      const words = await shown(page);
      for (const [form, what] of UNWORDED) {
        const [found] = form.exec(words) ?? [];
        const around = found && words.slice(Math.max(0, words.indexOf(found) - 80), words.indexOf(found) + 80).replaceAll('\n', ' ');
        check(`order ${i}, ${tab}: ${what} is read nowhere`, !found, `${around}\n${text}`.slice(0, 600));
      }
      said.add(words);
    }
  }
  check('many different texts were read', said.size > 2 * ORDERS, `${said.size}`);
});

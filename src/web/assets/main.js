// The page: the order on the left, the wheel on the right, what the rules say on top.
import { Asker } from './ask.js';
import { byId, el, fill, say } from './dom.js';
import * as downloads from './downloads.js';
import * as explore from './explore.js';
import * as files from './files.js';
import * as findings from './findings.js';
import * as form from './form.js';
import { find, parse } from './json.js';
import { notice } from './notice.js';
import * as now from './now.js';
import * as order from './order.js';
import * as printing from './printing.js';
import { Schema } from './schema.js';
import * as sheet from './sheet.js';
import * as source from './source.js';
import * as store from './store.js';
import * as tabs from './tabs.js';
import * as theme from './theme.js';

/** Tabs that show a drawing, by the name the program knows it by. */
const LOOKS = {
  sheet: 'Sheet', section: 'Section', 'side-a': 'Side A', 'side-b': 'Side B', face: 'Face', pictorial: 'Picture', calculation: 'Calculation',
};
/** How long typing rests before the list of files is asked for, ms. */
const REST = 400;

let look = 'sheet';
/** Which sheet of the drawing is looked at. */
let number = 1;
/** Whether the order is another one than the one drawn. */
let isOther = true;
let resting = 0;
let templates = [];

const isEmpty = () => ['', '{}'].includes(store.text().replace(/\s/g, ''));

/** The drawing is asked for whatever is looked at: the findings come with it. */
const draw = new Asker(() => (isEmpty() ? null : `/draw/${look}/${number}`), drawn, () => byId('stage'));
const figures = new Asker(() => '/figures', explore.show, () => byId('explore'));

function drawn(answer, text) {
  if (text !== store.text()) return;
  showVerdict(findings.verdict(answer, order.tree() !== undefined), text);
  if (answer.offline || answer.refused) return;
  form.mark(findings.faults(answer));
  source.mark(answer.problems ?? []);
  findings.show(answer);
  const count = findings.count(answer);
  tabs.rename('findings', count ? `Findings (${count})` : 'Findings');
  showDrawing(answer, text);
}

function showDrawing(answer, text) {
  const current = answer.svg !== undefined && sheet.show(answer.svg);
  byId('stage').dataset.state = answer.verdict === 'stop' ? 'stop' : 'drawn';
  byId('stage').toggleAttribute('data-old', !current);
  // the drawing of another order says nothing about this one
  if (!current && isOther) sheet.clear();
  byId('welcome').hidden = current || sheet.isShown();
  if (!byId('welcome').hidden) fill(byId('welcome'), el('p', { text: answer.failure ?? 'Nothing of this order can be drawn yet: the line at the top says what is missing.' }));
  if (!current) return say(byId('drawn'), sheet.isShown() ? 'The last order that could be drawn' : '');
  isOther = false;
  printing.shown(answer, text);
  number = answer.sheet;
  say(byId('drawn'), answer.sheets > 1 ? `${answer.name}, sheet ${number} of ${answer.sheets}` : answer.name);
  showSheets(answer.sheets);
  return sheet.light(focused());
}

/** A button for each sheet of the drawing. */
function showSheets(count) {
  const place = byId('sheets');
  const wanted = count > 1 ? count : 0;
  while (place.children.length > wanted) place.lastElementChild.remove();
  while (place.children.length < wanted) {
    const n = place.children.length + 1;
    const button = el('button', { type: 'button', text: String(n), 'aria-label': `Sheet ${n}` });
    button.addEventListener('click', () => {
      number = n;
      draw.ask();
    });
    place.append(button);
  }
  [...place.children].forEach((button, i) => button.setAttribute('aria-pressed', String(i + 1 === number)));
}

function showVerdict({ state, word, lines, field, tab, place }, text) {
  const lead = () => (field && form.lead(field)) || tabs.choose(tab);
  const good = place && store.lastGood(isJson);
  const acts = place
    ? [['Go to the place', () => toText(place)], good && ['Back to the last good text', () => store.edit(good)]]
    : [tab && [field ? 'Go to the field' : 'Show', lead]];
  now.show({ state, word, lines, text, acts });
  if (place) fill(byId('broken'), ...broken(acts));
}

/** What stands in place of the form while the text cannot be read. */
function broken(acts) {
  const said = ['The text of the order cannot be read.', 'The form comes back as soon as the text is put right.'];
  return [el('h2', { text: 'BROKEN TEXT' }), ...said.map((text) => el('p', { text })), ...acts.filter(Boolean).map(([text, does]) =>
    el('button', { type: 'button', text, onclick: does }))];
}

function toText({ line, column }) {
  tabs.choose('text');
  source.go(line, column);
}

function isJson(text) {
  try {
    return Boolean(parse(text));
  } catch {
    return false;
  }
}

/** Nothing is typed: ways to begin. */
function welcome() {
  now.show({ state: 'empty', word: 'NEW', lines: ['Nothing is typed yet. Fill in the order, or start from one of these.'], text: null });
  form.mark([]);
  source.mark([]);
  sheet.clear();
  say(byId('drawn'), '');
  showSheets(0);
  byId('stage').dataset.state = 'empty';
  byId('stage').removeAttribute('data-old');
  byId('welcome').hidden = false;
  fill(byId('welcome'), ...files.welcome(templates));
  findings.show({});
  tabs.rename('findings', 'Findings');
}

function changed(how) {
  const root = order.tree();
  form.refresh(root, how === 'load' || how === 'start');
  source.refresh();
  showName();
  byId('undo').disabled = !store.canUndo();
  byId('redo').disabled = !store.canRedo();
  warnOfTwo();
  if (how === 'copied') notice('This draft is open in another tab: what you change here is a copy of its own.');
  if (['saved', 'copied'].includes(how)) return;
  if (how === 'load') number = 1;
  isOther ||= how !== 'edit';
  if (isEmpty()) welcome();
  else now.wait();
  draw.ask();
  lookElsewhere();
}

/** What a draft is called: `{name, item}`, empty where the text does not say. */
function described(text) {
  try {
    const root = parse(text);
    const part = (key) => order.typed(root, ['order', key]);
    const item = find(root, ['order', 'item'])?.value;
    return { name: [part('number'), part('revision')].filter(Boolean).join('-'), item: typeof item === 'string' ? item : '' };
  } catch {
    return { name: '', item: '' };
  }
}

function showName() {
  const { name, item } = described(store.text());
  const kept = store.isSafe() ? 'not saved' : 'not saved, and this browser keeps no drafts';
  now.name(name || 'New order');
  say(byId('name'), `${name || 'New order'}${store.isSaved() ? '' : ` · ${kept}`}`);
  byId('name').title = [store.fileName(), item].filter(Boolean).join(' · ');
}

/** Says where another tab has the same order: each has its own draft. */
async function warnOfTwo() {
  const others = await store.elsewhere();
  const place = byId('twice');
  place.hidden = others.length === 0;
  if (!place.hidden) say(place, `${others[0].name || others[0].file} is open in another tab too. Each tab has a draft of its own: what is changed in one is not in the other.`);
}

/** What is looked at besides the drawing is asked for as well. */
function lookElsewhere() {
  if (tabs.current() === 'explore') figures.ask();
  clearTimeout(resting);
  if (tabs.current() !== 'files') return;
  byId('pack').setAttribute('aria-busy', 'true');
  resting = setTimeout(downloads.refresh, REST);
}

function chose(name) {
  if (LOOKS[name]) {
    if (look !== name) {
      number = 1;
      sheet.clear();
    }
    look = name;
    draw.ask();
    requestAnimationFrame(sheet.fit);
  }
  lookElsewhere();
}

/** The field that is being typed in, as a pointer; empty where none is. */
const focused = () => document.activeElement?.closest?.('[data-path]')?.dataset.path ?? '';

function lightField(at) {
  for (const lit of document.querySelectorAll('.field.lit')) lit.classList.remove('lit');
  if (at) document.querySelector(`[data-path="${CSS.escape(at)}"]`)?.classList.add('lit');
  sheet.light(at ?? focused());
}

function keys(event) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const key = event.key.toLowerCase();
  const does = { z: event.shiftKey ? store.redo : store.undo, y: store.redo, s: files.save, p: printing.print }[key];
  if (!does) return;
  event.preventDefault();
  does();
}

function panels() {
  const panel = (id, ...children) => el('div', { id, class: 'panel', role: 'tabpanel', tabindex: '-1', hidden: true }, ...children);
  byId('panels').append(
    panel('panel-drawing', ...sheet.panel()),
    panel('panel-explore', el('div', { id: 'explore', class: 'explore' })),
    panel('panel-findings'),
    panel('panel-files', ...downloads.panel()),
    panel('panel-text', ...source.panel()),
  );
  const drawings = Object.entries(LOOKS).map(([name, text]) => [name, text, 'panel-drawing']);
  const others = [['explore', 'Wear & grooves', 'panel-explore'], ['findings', 'Findings', 'panel-findings']];
  tabs.build([...drawings, ...others, ['files', 'Files', 'panel-files'], ['text', 'Text', 'panel-text']], chose);
}

async function start() {
  theme.start();
  panels();
  const get = async (address) => (await fetch(address)).json();
  const [schema, starts] = await Promise.all([get('/schema.json'), get('/templates.json')]);
  templates = starts.templates;
  const read = new Schema(schema);
  order.useSchema(read);
  form.build(read);
  files.start(templates);
  sheet.start(lightField, form.lead);
  byId('form').addEventListener('focusin', () => sheet.light(focused()));
  byId('form').addEventListener('focusout', () => sheet.light(''));
  printing.start(() => (byId('panel-drawing').hidden || isEmpty() ? null : `/sheets/${look}`));
  byId('zoom-print').addEventListener('click', printing.print);
  byId('undo').addEventListener('click', store.undo);
  byId('redo').addEventListener('click', store.redo);
  document.addEventListener('keydown', keys);
  tabs.choose('sheet');
  store.useNamer(described);
  store.onChange(changed);
  const { copied } = await store.restore();
  changed('start');
  if (copied) changed('copied');
  window.addEventListener('storage', warnOfTwo);
  document.addEventListener('visibilitychange', warnOfTwo);
  document.body.dataset.ready = 'yes';
}

start();

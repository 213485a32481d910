// The page: the order on the left, the wheel on the right, what the rules say on top.
import { Asker } from './ask.js';
import { byId, el, fill, say } from './dom.js';
import * as downloads from './downloads.js';
import * as explore from './explore.js';
import * as files from './files.js';
import * as findings from './findings.js';
import * as form from './form.js';
import { find } from './json.js';
import * as order from './order.js';
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
let resting = 0;
let templates = [];

const isEmpty = () => ['', '{}'].includes(store.text().replace(/\s/g, ''));

/** The drawing is asked for whatever is looked at: the findings come with it. */
const draw = new Asker(() => (isEmpty() ? null : `/draw/${look}/${number}`), drawn, () => byId('stage'));
const figures = new Asker(() => '/figures', explore.show, () => byId('explore'));

function drawn(answer) {
  showVerdict(findings.verdict(answer));
  if (answer.offline || answer.refused) return;
  form.mark(findings.faults(answer));
  source.mark(answer.problems ?? []);
  findings.show(answer);
  const count = findings.count(answer);
  tabs.rename('findings', count ? `Findings (${count})` : 'Findings');
  showDrawing(answer);
}

function showDrawing(answer) {
  const current = answer.svg !== undefined && sheet.show(answer.svg);
  byId('stage').dataset.state = answer.verdict === 'stop' ? 'stop' : current ? 'current' : 'old';
  byId('stage').toggleAttribute('data-old', !current);
  byId('welcome').hidden = current || sheet.isShown() || !answer.failure;
  if (answer.failure && !sheet.isShown()) fill(byId('welcome'), el('p', { text: answer.failure }));
  if (!current) say(byId('drawn'), sheet.isShown() ? 'The last order that could be drawn' : '');
  if (!current) return;
  number = answer.sheet;
  say(byId('drawn'), answer.sheets > 1 ? `${answer.name}, sheet ${number} of ${answer.sheets}` : answer.name);
  showSheets(answer.sheets);
  sheet.light(focused());
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

function showVerdict({ state, word, said, field, tab }) {
  byId('verdict').dataset.state = state;
  say(byId('verdict-word'), word);
  const lines = byId('verdict-said');
  if (lines.dataset.said !== said.join('\n')) {
    lines.dataset.said = said.join('\n');
    fill(lines, ...said.map((text) => el('p', { text })));
  }
  const button = byId('verdict-lead');
  button.hidden = !tab;
  say(button, field ? 'Go to the field' : 'Show');
  button.onclick = () => (field && form.lead(field)) || tabs.choose(tab);
  document.title = `${word} · ${byId('name').textContent} · wheeldraft`;
}

/** Nothing is typed: ways to begin. */
function welcome() {
  showVerdict({ state: 'empty', word: 'NEW', said: ['Nothing is typed yet. Fill in the order on the left, or start from one of these.'] });
  form.mark([]);
  source.mark([]);
  sheet.clear();
  say(byId('drawn'), '');
  showSheets(0);
  byId('stage').dataset.state = 'empty';
  byId('stage').removeAttribute('data-old');
  byId('welcome').hidden = false;
  fill(byId('welcome'), el('h2', { text: 'Start from' }), el('ul', {}, ...files.starts(templates).slice(1)));
  findings.show({});
  tabs.rename('findings', 'Findings');
}

function changed(how) {
  const root = order.tree();
  form.refresh(root, how === 'load' || how === 'start');
  source.refresh();
  showName(root);
  byId('undo').disabled = !store.canUndo();
  byId('redo').disabled = !store.canRedo();
  if (how === 'saved') return;
  if (how === 'load') number = 1;
  if (isEmpty()) welcome();
  draw.ask();
  lookElsewhere();
}

function showName(root) {
  const part = (key) => (root && order.typed(root, ['order', key])) || '';
  const stem = [part('number'), part('revision')].filter(Boolean).join('-') || 'New order';
  const item = root && find(root, ['order', 'item'])?.value;
  say(byId('name'), `${stem}${store.isSaved() ? '' : ' · not saved'}`);
  byId('name').title = [store.fileName(), typeof item === 'string' ? item : ''].filter(Boolean).join(' · ');
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
  const does = key === 'z' ? (event.shiftKey ? store.redo : store.undo) : key === 'y' ? store.redo : key === 's' ? files.save : null;
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
  byId('undo').addEventListener('click', store.undo);
  byId('redo').addEventListener('click', store.redo);
  document.addEventListener('keydown', keys);
  tabs.choose('sheet');
  store.onChange(changed);
  store.restore();
  changed('start');
}

start();

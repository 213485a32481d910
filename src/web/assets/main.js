// The page: the order, the wheel, what the rules say. This part wires the others.
import * as approval from './approval.js';
import { Asker } from './ask.js';
import * as atonce from './atonce.js';
import * as broken from './broken.js';
import * as compare from './compare.js';
import { byId, el, fill, say } from './dom.js';
import * as downloads from './downloads.js';
import * as explore from './explore.js';
import * as files from './files.js';
import * as findings from './findings.js';
import * as folder from './folder.js';
import * as form from './form.js';
import * as grips from './grips.js';
import * as guide from './guide.js';
import * as inplace from './inplace.js';
import * as keep from './keep.js';
import { focused, lightField, lightUp } from './lit.js';
import * as looks from './looks.js';
import * as machines from './machines.js';
import { clear as putAway, passed } from './notice.js';
import * as now from './now.js';
import * as order from './order.js';
import * as printing from './printing.js';
import * as repeat from './repeat.js';
import { Schema } from './schema.js';
import * as sheet from './sheet.js';
import * as solid from './solid.js';
import * as source from './source.js';
import * as store from './store.js';
import * as tabs from './tabs.js';
import * as theme from './theme.js';
import * as title from './title.js';
import * as toolpath from './toolpath.js';
import { place as placeOf, useRules } from './words.js';

/** How long typing rests before the list of files is asked for, ms. */
const REST = 400;
/** One column: the order is a view of its own. */
const narrow = matchMedia('(max-width: 760px)');
/** Room for the findings beside the drawing. */
const wide = matchMedia('(min-width: 1700px)');

/** Whether the order is another one than the one drawn. */
let isOther = true;
let resting = 0;
let templates = [];

const isEmpty = () => /^\s*(\{\s*\})?\s*$/.test(store.text());

/** An order of the folder is drawn with the approvals that lie beside it. */
const ofFile = () => (approval.file() === null ? '' : `/of/${encodeURIComponent(approval.file())}`);
/** The drawing is asked for whatever is looked at: the findings come with it. */
const draw = new Asker(() => (isEmpty() ? null : `/draw/${looks.name()}/${looks.number()}${ofFile()}`), drawn, () => byId('stage'));
const figures = new Asker(() => (isEmpty() ? null : '/figures'), (answer, text) => text === store.text() && explore.show(answer), () => byId('explore'));

function drawn(answer, text) {
  if (text !== store.text()) return follow(answer);
  showVerdict(findings.verdict(answer, order.tree() !== undefined), text);
  if (answer.offline || answer.refused) return undefined;
  form.mark(findings.faults(answer));
  inplace.mark(findings.faults(answer));
  source.mark(answer.problems ?? []);
  findings.show(answer);
  approval.show(answer);
  const count = findings.count(answer);
  tabs.rename('findings', count ? `Findings (${count})` : 'Findings');
  return showDrawing(answer, text);
}

/** The drawing of what was typed a moment ago, while more is typed: it follows the hand, and is not taken for the order as it is. */
const follow = (answer) => answer.svg && !looks.isView() && sheet.show(answer.svg, looks.name()) && sheet.light(focused());

function showDrawing(answer, text) {
  const current = answer.svg !== undefined && sheet.show(answer.svg, looks.name());
  byId('stage').dataset.state = answer.verdict === 'stop' ? 'stop' : 'drawn';
  byId('stage').toggleAttribute('data-old', !current);
  // the drawing of another order, or another view, says nothing about this one
  if (!current && (isOther || sheet.shownAs() !== looks.name())) sheet.clear();
  if (!sheet.isShown()) grips.show([]);
  byId('welcome').hidden = current || sheet.isShown();
  if (!byId('welcome').hidden) fill(byId('welcome'), el('p', { text: answer.failure ?? 'Nothing of this order can be drawn yet: the line at the top says what is missing.' }));
  if (!current) return say(byId('drawn'), sheet.isShown() ? 'As it was drawn before' : '');
  isOther = false;
  grips.show(answer.grips);
  printing.shown(answer, text);
  looks.caption(answer);
  looks.show(answer.sheets, answer.sheet);
  toolpath.show();
  return sheet.light(focused());
}

function showVerdict({ state, word, lines, field, tab, place }, text) {
  const lead = () => (field && form.lead(field)) || go(tab);
  const good = place && store.lastGood(broken.isJson);
  const acts = place
    ? [['Go to the place', () => toText(place)], good && ['Back to the last good text', () => store.edit(good)]]
    : [tab && [field ? 'Go to the field' : 'Show', lead]];
  now.show({ state, word, lines, text, acts });
  if (place) fill(byId('broken'), ...broken.panel(acts));
}

/** Shows a view; where it stands beside the drawing anyway, leads to it. */
function go(tab) {
  if (tab === 'findings' && wide.matches) byId('panel-findings').focus();
  else tabs.choose(tab);
}

function toText({ line, column }) {
  tabs.choose('text');
  source.go(line, column);
}

/** Nothing is typed: ways to begin. */
function welcome() {
  now.show({ state: 'empty', word: 'NEW', lines: ['Nothing is typed yet. Give the six sizes, or start from an order that is there.'], text: null });
  form.mark([]);
  source.mark([]);
  sheet.clear();
  grips.show([]);
  approval.show({});
  say(byId('drawn'), '');
  looks.show(0, 1);
  byId('stage').dataset.state = 'empty';
  byId('welcome').hidden = false;
  fill(byId('welcome'), ...guide.panel(), ...files.welcome(templates));
  findings.show({});
  explore.show({});
  tabs.rename('findings', 'Findings');
}

function changed(how, before) {
  const isTyped = how === 'edit' && !isEmpty();
  // asked first: form and title follow while the program draws
  if (isTyped) atonce.draw(true);
  const root = order.tree();
  if (root === undefined) grips.show([]);
  if (root === undefined || how === 'load') inplace.close(false);
  form.refresh(root, how === 'load' || how === 'start');
  source.refresh();
  title.show(how);
  for (const [id, can] of [['undo', store.canUndo()], ['redo', store.canRedo()]]) byId(id).setAttribute('aria-disabled', String(!can));
  if (['saved', 'copied'].includes(how)) return;
  if (how === 'load') looks.reset();
  isOther ||= how === 'load' || how === 'start';
  if (how === 'undo') showChange(before, root);
  if (isEmpty()) welcome();
  else now.wait();
  if (how === 'load') putAway();
  else passed();
  if (!isTyped) atonce.draw(false);
  lookElsewhere();
}

/** Scrolls to what undo or redo changed, and tells it. */
function showChange(before, root) {
  const at = root && order.difference(before, root);
  if (at === undefined || at === '') return;
  form.showChange(at);
  say(byId('told'), `Changed: ${placeOf(at)}`);
}

/** What is looked at besides the drawing is asked for as well. */
function lookElsewhere() {
  if (tabs.current() === 'strength') figures.ask();
  if (tabs.current() === 'solid') solid.ask();
  clearTimeout(resting);
  byId('pack').toggleAttribute('aria-busy', false);
  if (tabs.current() !== 'files') return;
  byId('pack').setAttribute('aria-busy', 'true');
  resting = setTimeout(downloads.refresh, REST);
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
    panel('panel-drawing', ...sheet.panel([...looks.panel(() => draw.ask()), ...toolpath.panel()])),
    panel('panel-solid', ...solid.panel()),
    panel('panel-strength', el('div', { id: 'explore', class: 'explore' })),
    panel('panel-findings'),
    panel('panel-files', ...downloads.panel(() => { draw.ask(); return downloads.refresh(); })),
    panel('panel-text', ...source.panel()),
  );
  looks.mark();
  const list = [['order', 'Order', 'order'], ['drawing', 'Drawing', 'panel-drawing'], ['solid', 'Solid', 'panel-solid'], ['strength', 'Strength & wear', 'panel-strength'],
    ['findings', 'Findings', 'panel-findings'], ['files', 'Files', 'panel-files'], ['text', 'Text', 'panel-text']];
  tabs.build(list, shownWith, lookElsewhere);
  tabs.choose('drawing');
  const arrange = () => tabs.leaveOut([!narrow.matches && 'order', wide.matches && 'findings'].filter(Boolean), 'drawing');
  arrange();
  for (const query of [narrow, wide]) query.addEventListener('change', arrange);
}

/** The panels seen with a tab: the order stands beside the others where there is room, the findings beside the drawing where there is much. */
function shownWith(tab) {
  const one = tab === 'order' ? 'order' : `panel-${tab}`;
  if (narrow.matches) return [one];
  return ['order', one, ...(wide.matches && tab === 'drawing' ? ['panel-findings'] : [])];
}

const revealed = () => narrow.matches && tabs.choose('order');

function buttons() {
  const act = (id, does) => byId(id).addEventListener('click', does);
  printing.start(() => (byId('panel-drawing').hidden || isEmpty() ? null : `/sheets/${looks.name()}${ofFile()}`));
  act('zoom-print', printing.print);
  act('undo', store.undo);
  act('redo', store.redo);
  document.addEventListener('keydown', keys);
  byId('form').addEventListener('focusin', () => lightUp(focused()));
  byId('form').addEventListener('focusout', () => lightUp(''));
}

async function start() {
  theme.start();
  panels();
  const get = async (address) => (await fetch(address)).json();
  const [schema, starts] = await Promise.all([get('/schema.json'), get('/templates.json')]);
  templates = starts.templates;
  const read = new Schema(schema);
  order.useSchema(read);
  findings.useSchema(read);
  useRules(starts.rules ?? {});
  form.build(read, revealed);
  files.start(starts);
  folder.start(starts.folder, repeat.show);
  repeat.start(starts.folder && folder.show, compare.against);
  now.start(() => sheet.isShown() && !isOther);
  sheet.start(lightField, inplace.open);
  solid.start(lightField, form.lead, isEmpty);
  inplace.start(read, form.lead);
  grips.start(read, inplace.open);
  compare.start();
  await machines.load();
  atonce.start(draw, () => sheet.light(focused()));
  buttons();
  keep.start({
    order: () => { revealed(); byId('order').focus(); },
    drawing: () => { tabs.choose('drawing'); byId('port').focus(); },
    findings: () => { go('findings'); byId('panel-findings').focus(); },
  });
  store.useNamer(title.described);
  store.onChange(changed);
  const { copied } = await store.restore();
  for (const how of copied ? ['start', 'copied'] : ['start']) changed(how);
  window.addEventListener('storage', title.warnOfTwo);
  document.addEventListener('visibilitychange', title.warnOfTwo);
  document.body.dataset.ready = 'yes';
}

start();

// What is wrong with the order and what the rules say: the list, the questions to copy, the line at the top.
import { byId, el, fill, say, shown } from './dom.js';
import { lead } from './form.js';
import * as hints from './hints.js';
import * as interview from './interview.js';
import { mending } from './mending.js';
import * as order from './order.js';
import { place, rule, sentence, worded } from './words.js';

export const { useSchema } = interview;

const WEIGHTS = [
  ['stop', 'Stops the order'],
  ['ask', 'Questions'],
  ['note', 'To know'],
];
const many = (n, one, more) => (n === 1 ? `1 ${one}` : `${n} ${more}`);
const of = (answer, weight) => (answer.findings ?? []).filter((f) => f.severity === weight);

/** What is put beside the fields: problems, stops and questions. */
export function faults(answer) {
  const told = ({ message, hint }) => ({ message: sentence(message), hint: worded(hint ?? '') });
  if (answer.problems) return answer.problems.map((p) => ({ ...p, ...told(p), heavy: true, offers: () => mending(p) }));
  const spoken = [...of(answer, 'stop'), ...of(answer, 'ask')];
  return spoken.map((f) => ({ field: f.feature, ...told(f), heavy: f.severity === 'stop', offers: () => hints.beside(f, answer) }));
}

/** How much there is to look at, for the tab. */
export function count(answer) {
  return answer.problems?.length ?? of(answer, 'stop').length + of(answer, 'ask').length;
}

function leading(field) {
  return el('button', { type: 'button', class: 'lead', text: 'Go to the field', onclick: () => lead(field) });
}

function card(weight, title, message, hint, facts, field, ...more) {
  const head = el('p', { class: 'what' }, el('b', { class: 'weight', text: title }), ` ${sentence(message)}`);
  const body = [head, hint && el('p', { class: 'hint', text: `→ ${sentence(hint)}` }), ...more, facts && el('p', { class: 'facts', text: facts })];
  return el('li', { class: 'finding', 'data-weight': weight }, el('div', { class: 'body' }, ...body.filter(Boolean)), field && leading(field));
}

/** Where a limit was had from, in words. */
const BASES = { read: 'read in the source', digest: 'read in a summary', memory: 'from memory', practice: 'practice', calc: 'calculation', inference: 'inference' };
const TITLES = { stop: 'STOP', ask: 'ASK', note: 'NOTE' };

/** A value with its unit; a length in the order's unit as well. */
function amount(value, unit, answer) {
  const plain = `${shown(value)}${unit ? ` ${unit}` : ''}`;
  if (unit !== 'mm' || answer.units === 'mm') return plain;
  return `${plain} (${shown(value / answer.mm_per_unit, 4)} ${answer.units})`;
}

function finding(f, answer) {
  const facts = [
    place(f.feature),
    f.measured !== null && `measured ${amount(f.measured, f.unit, answer)}`,
    f.limit !== null && `limit ${amount(f.limit, f.unit, answer)}`,
    `${f.source}${f.section ? `, ${f.section}` : ''} (${[...new Set([f.kind, BASES[f.basis] ?? f.basis])].join(', ')})`,
    `rule “${rule(f.id)}”`,
  ];
  const to = f.severity === 'ask' ? ` the ${f.to}` : '';
  const boxes = f.severity === 'ask' ? interview.answering(f, of(answer, 'ask')) : null;
  const made = card(f.severity, `${TITLES[f.severity]}${to}`, f.message, f.hint, facts.filter(Boolean).join(' · '), f.feature, ...hints.acts(f, answer), boxes);
  Object.assign(made.dataset, { rule: f.id, at: f.feature });
  return made;
}

/** The cards shown, by what they say: one that says the same stays, with what is half typed in it. */
let cards = new Map();
let kept = new Map();

function once(f, answer) {
  const key = JSON.stringify([f, answer.units]);
  const made = cards.get(key) ?? finding(f, answer);
  kept.set(key, made);
  return made;
}

/** What was answered: the question, the answer, and a way to take it back. */
function answers(answer) {
  const all = [...(answer.answered ?? []).map((a) => [worded(a.finding.message), a.answer]), ...(answer.idle_answers ?? []).map((a) => ['Nothing asks this any more', a])];
  const one = ([asked, a]) => el('li', {}, el('b', { text: a.answer }), ` ${a.by}, ${a.date} · ${asked}`);
  if (all.length === 0) return null;
  return el('details', {}, el('summary', { text: `Answered (${all.length})` }), el('ul', {}, ...all.map(one)));
}

function section(answer, [weight, heading]) {
  const found = of(answer, weight);
  if (found.length === 0) return null;
  const copy = weight === 'ask' ? copier(answer) : null;
  const head = el('div', { class: 'head' }, el('h2', { text: `${heading} (${found.length})` }), copy ?? '');
  return el('section', { 'aria-label': heading }, head, el('ul', {}, ...found.map((f) => once(f, answer))));
}

/** The questions as text, to be pasted into a letter. */
export function questions(answer) {
  const lines = of(answer, 'ask').filter((f) => f.to === 'customer').map((f, i) => `${i + 1}. ${worded(f.message)}`);
  return [`Order ${answer.name}: questions`, ...lines].join('\n');
}

function copier(answer) {
  const button = el('button', { type: 'button', id: 'copy-questions', text: 'Copy the questions' });
  button.addEventListener('click', async () => {
    try {
      await navigator.clipboard.writeText(questions(answer));
      say(button, 'Copied');
    } catch {
      const text = el('textarea', { readonly: true, rows: '6', 'aria-label': 'Questions to copy' });
      text.value = questions(answer);
      button.replaceWith(text);
      text.select();
    }
  });
  return button;
}

/** Shows the list. */
export function show(answer) {
  if (answer.offline || answer.refused) return;
  const panel = byId('panel-findings');
  kept = new Map();
  fill(panel, ...(answer.problems ? unreadable(answer.problems) : listed(answer)));
  cards = kept;
}

const hasFields = () => order.tree() !== undefined;

function unreadable(problems) {
  const one = (p) => {
    const key = JSON.stringify([p, hasFields()]);
    // a text that cannot be read has lines, no fields
    const field = hasFields() ? p.field : '';
    const made = cards.get(key) ?? card('stop', field ? place(field) : `Line ${p.line}`, p.message, p.hint, null, field || null, ...mending(p));
    kept.set(key, made);
    return made;
  };
  const head = el('h2', { text: many(problems.length, 'thing to put right', 'things to put right') });
  return [head, el('ul', {}, ...problems.map(one))];
}

function listed(answer) {
  if (!answer.findings) return [el('p', { text: answer.failure ?? 'No order is open yet: start one, and what the rules say of it is here.' })];
  const folded = (title, list) => list.length > 0 && el('details', {}, el('summary', { text: `${title} (${list.length})` }), el('ul', {}, ...list));
  const said = (list) => (list ?? []).map((n) => el('li', { text: `${rule(n.rule)}: ${worded(n.why)}` }));
  return [
    answer.findings.length === 0 && el('p', { text: 'The rules find nothing to say of this order.' }),
    ...WEIGHTS.map((w) => section(answer, w)),
    answers(answer),
    folded('Not evaluated', said(answer.not_evaluated)),
    folded('Switched off by the shop', said(answer.switched_off)),
    el('p', { class: 'caution', text: 'Altering an abrasive wheel changes its strength: for authorised, trained people only. No calculation here replaces the speed test.' }),
  ].filter(Boolean);
}

/** The line at the top: `{state, word, lines, field, tab, place}` of an answer; `isText`: the order can be read as JSON at all. */
export function verdict(answer, isText) {
  if (answer.offline) {
    const lines = ['The program does not answer. What you typed is kept in this browser; start the program again and it goes on here.'];
    return { state: 'offline', word: 'OFFLINE', lines };
  }
  if (answer.refused) return { state: 'offline', word: 'REFUSED', lines: [answer.refused] };
  if (answer.problems) return unread(answer.problems, isText);
  const [stops, asks] = [of(answer, 'stop'), of(answer, 'ask')];
  const asked = asks.length ? many(asks.length, 'question is open', 'questions are open') : 'no question open';
  const told = [answer.failure, ...(answer.remarks ?? [])].filter(Boolean).map(worded);
  if (answer.failure && !stops.length) return { state: 'undrawn', word: 'NOT DRAWN', lines: told, tab: 'findings' };
  if (stops.length) {
    const first = `${many(stops.length, 'finding stops', 'findings stop')} this order; ${asked}. Not released.`;
    return { state: answer.failure ? 'undrawn' : 'stop', word: 'STOP', lines: [first, ...told, ...stops.slice(0, 3).map((f) => worded(f.message))], tab: 'findings' };
  }
  if (asks.length) return { state: 'ask', word: 'ASK', lines: [`${asked[0].toUpperCase()}${asked.slice(1)}.`, ...told], tab: 'findings' };
  return { state: 'clear', word: 'CLEAR', lines: ['Nothing stops this order and nothing is open.', ...told], tab: 'findings' };
}

function unread(problems, isText) {
  const [first] = problems;
  const rest = problems.length > 1 ? ` (and ${problems.length - 1} more)` : '';
  const where = first.field ? `${place(first.field)}: ` : '';
  if (isText) return { state: 'open', word: 'UNFINISHED', lines: [`${where}${worded(first.message)}${rest}`], field: first.field, tab: 'findings' };
  return { state: 'open', word: 'BROKEN TEXT', lines: [`Line ${first.line}, column ${first.column}: ${worded(first.message)}${rest}`], place: first };
}

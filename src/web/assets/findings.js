// What is wrong with the order and what the rules say: the list, the questions to copy, the line at the top.
import { byId, el, fill, say, shown } from './dom.js';
import { lead } from './form.js';

const WEIGHTS = [
  ['stop', 'Stops the order'],
  ['ask', 'Questions'],
  ['note', 'To know'],
];
const many = (n, one, more) => (n === 1 ? `1 ${one}` : `${n} ${more}`);
const of = (answer, weight) => (answer.findings ?? []).filter((f) => f.severity === weight);

/** What is put beside the fields: problems, stops and questions. */
export function faults(answer) {
  if (answer.problems) return answer.problems.map((p) => ({ ...p, heavy: true }));
  const spoken = [...of(answer, 'stop'), ...of(answer, 'ask')];
  return spoken.map((f) => ({ field: f.feature, message: f.message, hint: f.hint, heavy: f.severity === 'stop' }));
}

/** How much there is to look at, for the tab. */
export function count(answer) {
  return answer.problems?.length ?? of(answer, 'stop').length + of(answer, 'ask').length;
}

function leading(field) {
  return el('button', { type: 'button', class: 'lead', text: 'Go to the field', onclick: () => lead(field) });
}

function card(weight, title, message, hint, facts, field) {
  const head = el('p', { class: 'what' }, el('b', { class: 'weight', text: title }), ` ${message}`);
  const body = [head, hint && el('p', { class: 'hint', text: `→ ${hint}` }), facts && el('p', { class: 'facts', text: facts })];
  return el('li', { class: 'finding', 'data-weight': weight }, el('div', {}, ...body.filter(Boolean)), field && leading(field));
}

/** A value with its unit; a length in the order's unit as well. */
function amount(value, unit, answer) {
  const plain = `${shown(value)}${unit ? ` ${unit}` : ''}`;
  if (unit !== 'mm' || answer.units === 'mm') return plain;
  return `${plain} (${shown(value / answer.mm_per_unit, 4)} ${answer.units})`;
}

function finding(f, answer) {
  const facts = [
    f.measured !== null && `measured ${amount(f.measured, f.unit, answer)}`,
    f.limit !== null && `limit ${amount(f.limit, f.unit, answer)}`,
    `${f.source}${f.section ? `, ${f.section}` : ''} (${f.kind}, ${f.basis})`,
    `rule ${f.id}`,
  ];
  return card(f.severity, f.severity.toUpperCase(), f.message, f.hint, facts.filter(Boolean).join(' · '), f.feature);
}

function section(answer, [weight, heading]) {
  const found = of(answer, weight);
  if (found.length === 0) return null;
  const copy = weight === 'ask' ? copier(answer) : null;
  const head = el('div', { class: 'head' }, el('h2', { text: `${heading} (${found.length})` }), copy ?? '');
  return el('section', { 'aria-label': heading }, head, el('ul', {}, ...found.map((f) => finding(f, answer))));
}

/** The questions as text, to be pasted into a letter. */
export function questions(answer) {
  const lines = of(answer, 'ask').filter((f) => f.to === 'customer').map((f, i) => `${i + 1}. ${f.message}`);
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
  if (answer.offline || answer.refused) return undefined;
  const place = byId('panel-findings');
  if (answer.problems) {
    const list = answer.problems.map((p) =>
      card('stop', `line ${p.line}, column ${p.column}`, p.message, p.hint, p.field || null, p.field || null));
    const head = el('h2', { text: many(list.length, 'thing to put right', 'things to put right') });
    return fill(place, head, el('p', { text: 'Until then the drawing is the last one that could be made.' }), el('ul', {}, ...list));
  }
  if (!answer.findings) return fill(place, el('p', { text: 'Nothing has been checked yet.' }));
  const rest = (answer.not_evaluated ?? []).map((n) => el('li', { text: `${n.rule}: ${n.why}` }));
  const off = (answer.switched_off ?? []).map((n) => el('li', { text: `${n.rule}: ${n.why}` }));
  return fill(
    place,
    ...WEIGHTS.map((w) => section(answer, w)),
    rest.length ? el('details', {}, el('summary', { text: `Not evaluated (${rest.length})` }), el('ul', {}, ...rest)) : null,
    off.length ? el('details', {}, el('summary', { text: `Switched off by the shop (${off.length})` }), el('ul', {}, ...off)) : null,
    el('p', { class: 'caution', text: 'Altering an abrasive wheel changes its strength: for authorised, trained people only. No calculation here replaces the speed test.' }),
  );
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
  const told = [answer.failure, ...(answer.remarks ?? [])].filter(Boolean);
  if (answer.failure && !stops.length) return { state: 'undrawn', word: 'NOT DRAWN', lines: told, tab: 'findings' };
  if (stops.length) {
    const first = `${many(stops.length, 'finding stops', 'findings stop')} this order; ${asked}. Not released.`;
    return { state: answer.failure ? 'undrawn' : 'stop', word: 'STOP', lines: [first, ...told, ...stops.slice(0, 3).map((f) => f.message)], tab: 'findings' };
  }
  if (asks.length) return { state: 'ask', word: 'ASK', lines: [`${asked[0].toUpperCase()}${asked.slice(1)}.`, ...told], tab: 'findings' };
  return { state: 'clear', word: 'CLEAR', lines: ['Nothing stops this order and nothing is open.', ...told], tab: 'findings' };
}

function unread(problems, isText) {
  const [first] = problems;
  const rest = problems.length > 1 ? ` (and ${problems.length - 1} more)` : '';
  if (isText) return { state: 'open', word: 'UNFINISHED', lines: [`${first.message}${rest}`], field: first.field, tab: 'findings' };
  return { state: 'open', word: 'BROKEN TEXT', lines: [`Line ${first.line}, column ${first.column}: ${first.message}${rest}`], place: first };
}

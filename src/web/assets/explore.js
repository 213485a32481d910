// The wheel as it wears, and how many grooves it should have: sliders over numbers that the program worked out.
import { byId, el, fill, say, shown } from './dom.js';
import * as offers from './offers.js';
import * as paper from './paper.js';
import { plot } from './plot.js';
import * as store from './store.js';
import { worded } from './words.js';

/** What can be drawn over the wear: label, unit, value of a stage. */
const WORN = {
  speed: ['Surface speed', 'm/s', (s) => s.speed_m_s],
  rpm: ['Rpm that keeps the speed', '1/min', (s) => s.rpm_for_new_speed],
  mass: ['Mass', 'kg', (s) => s.mass_kg],
  energy: ['Energy', 'J', (s) => s.energy_j],
  rim: ['Thickness of the rim', 'L', (s) => s.rim_mm],
  share_a: ['Land share, side A', '%', (s) => s.side_a && 100 * s.side_a.land_share],
  share_b: ['Land share, side B', '%', (s) => s.side_b && 100 * s.side_b.land_share],
  face: ['Depth of the face grooves', 'L', (s) => s.face_groove_depth_mm],
};
/** The same over the count of grooves. */
const COUNTED = {
  inner: ['Land at the inner end', 'L', (c) => c.land_inner_mm],
  outer: ['Land at the outside', 'L', (c) => c.land_outer_mm],
  share: ['Land share', '%', (c) => 100 * c.land_share],
  coolant: ['Coolant in one revolution', 'cm³', (c) => c.coolant_mm3_per_revolution === null ? null : c.coolant_mm3_per_revolution / 1000],
  frequency: ['Groove frequency', 'Hz', (c) => c.frequency_hz],
};

/** Parts of the calculation that have a view of their own, with their fields and answers. */
const ELSEWHERE = new Set(['Verdict', 'Findings', 'Not evaluated', 'Switched off by the shop']);

let answer = {};
/** Where the sliders stand: a diameter in mm, a place and its count. */
const at = { diameter: null, worn: 'speed', place: null, count: null, counted: 'inner' };

const inUnit = (value, unit) => (value === null || value === undefined || value === false ? null : unit === 'L' ? value / answer.mm_per_unit : value);
/** Digits after the point that say something. */
const digits = (v) => (Math.abs(v) >= 1000 ? 0 : Math.abs(v) >= 100 ? 1 : 3);
const unitOf = (unit) => (unit === 'L' ? answer.units : unit);

/** Shows the numbers of a new answer. */
export function show(told) {
  answer = told;
  const place = byId('explore');
  if (!told.paper) {
    const nothing = store.text().trim() === '' ? 'No order is open yet: start one, and its strength, wear and groove counts are here.' :
      'The order is not finished: put right what is named at the top, then its strength, wear and groove counts are here.';
    return fill(place, el('p', { text: told.offline ? 'The program does not answer.' : (told.failure ?? told.refused ?? nothing) }));
  }
  const parts = told.paper.parts.filter((p) => !ELSEWHERE.has(p.title));
  const first = parts.filter((p) => p.levels);
  const cards = (some) => paper.cards({ parts: some });
  return fill(place, ...cards(first), wearCard(), countCard(), recessCard(), ...cards(parts.filter((p) => !first.includes(p))));
}

function choice(table, chosen, stages, name, onPick) {
  const some = Object.entries(table).filter(([, [, , value]]) => stages.some((s) => value(s) !== null && value(s) !== undefined && value(s) !== false));
  const select = el('select', { 'aria-label': name }, ...some.map(([key, [text]]) => el('option', { value: key, text })));
  if (!some.some(([key]) => key === chosen)) chosen = some[0]?.[0] ?? chosen;
  select.value = chosen;
  select.addEventListener('change', () => onPick(select.value));
  return [select, chosen];
}

function facts(table, thing) {
  const list = el('dl', { class: 'facts' });
  for (const [text, unit, value] of Object.values(table)) {
    const v = inUnit(value(thing), unit);
    if (v !== null) list.append(el('div', {}, el('dt', { text }), el('dd', { text: `${shown(v, digits(v))} ${unitOf(unit)}` })));
  }
  return list;
}

/** A card with heading, slider, curve and the numbers at the slider's place. */
function card({ id, title, things, table, position, value, words, chosen, onPick, extra, axis, dots }) {
  const slider = el('input', { type: 'range', id: `${id}-slider`, min: 0, max: things.length - 1, step: 1 });
  const [select, key] = choice(table, chosen, things, `${title}: what is drawn`, onPick);
  const output = el('output', { for: slider.id, class: 'at' });
  const picture = el('div', { class: 'picture' });
  const rest = el('div', { class: 'rest' });
  const draw = (index) => {
    const [label, unit, of] = table[key];
    say(output, words(things[index]));
    slider.setAttribute('aria-valuetext', words(things[index]));
    const points = things.map((s) => [value(s), inUnit(of(s), unit)]);
    const marked = (dots?.(things) ?? []).map((s) => [value(s), inUnit(of(s), unit)]).filter(([, v]) => v !== null);
    const name = `${label} over ${axis}, the line at ${words(things[index])}`;
    fill(picture, plot({ x: axis, y: `${label}, ${unitOf(unit)}`, series: [points], dots: marked, cursor: value(things[index]), name }));
    fill(rest, facts(table, things[index]), extra(things[index]));
  };
  slider.value = position;
  slider.addEventListener('input', () => draw(Number(slider.value)));
  draw(position);
  const head = el('div', { class: 'head' }, el('h2', { text: title }), select);
  const line = el('p', { class: 'slide' }, el('label', { for: slider.id, text: `${axis}` }), slider, output);
  return el('section', { class: 'card', id, 'aria-label': title }, head, line, picture, rest);
}

function wearCard() {
  const wear = answer.wear;
  if (!wear) return note('Wear', 'Wear is computed once the order gives the machine’s usable travel or the flange diameter.');
  // worn out on the left, new on the right, as on the axis below
  const stages = wear.stages.toReversed();
  const near = (d) => stages.reduce((best, s, i) => (Math.abs(s.diameter_mm - d) < Math.abs(stages[best].diameter_mm - d) ? i : best), 0);
  const inFile = (mm) => shown(mm / answer.mm_per_unit, 3);
  return card({
    id: 'wear', title: 'Wear', things: stages, table: WORN, position: at.diameter === null ? stages.length - 1 : near(at.diameter),
    value: (s) => s.diameter_mm / answer.mm_per_unit, words: (s) => `Ø${inFile(s.diameter_mm)} ${answer.units}`,
    chosen: at.worn, onPick: (key) => { at.worn = key; show(answer); }, axis: `Outside diameter, ${answer.units}`,
    extra: (stage) => {
      at.diameter = stage.diameter_mm;
      const past = wear.events.filter((e) => e.diameter_mm >= stage.diameter_mm - 1e-6);
      return el('ul', { class: 'events' }, ...past.map((e) => el('li', { text: `Ø${inFile(e.diameter_mm)}: ${e.what}` })));
    },
  });
}

function countCard() {
  if (answer.counts.length === 0) return named('counts', note('Groove count', 'The order has no grooves yet.'));
  const set_ = answer.counts.find((c) => c.place === at.place) ?? answer.counts[0];
  if (set_.place !== at.place) at.count = null;
  at.place = set_.place;
  const near = (n) => set_.choices.reduce((best, c, i) => (Math.abs(c.count - n) < Math.abs(set_.choices[best].count - n) ? i : best), 0);
  const made = card({
    id: 'counts', title: `Groove count, ${set_.place}`, things: set_.choices, table: COUNTED, position: near(at.count ?? set_.now),
    value: (c) => c.count, words: (c) => `${c.count} grooves, ${shown(c.pitch_deg, 4)}° apart`,
    chosen: at.counted, onPick: (key) => { at.counted = key; show(answer); }, axis: 'Grooves',
    dots: (choices) => choices.filter((c) => c.meets_all_limits && 36000 % c.count === 0),
    extra: (c) => {
      at.count = c.count;
      const against = c.against.length ? `Against it: ${c.against.join(', ')}.` : 'Meets all limits.';
      const use = el('button', { type: 'button', text: `Use ${c.count} grooves`, disabled: c.count === set_.now });
      use.addEventListener('click', () => offers.useCount(set_.field, c.count));
      return el('div', { class: 'use' }, el('p', { class: c.against.length ? 'against' : 'meets', text: against }), use);
    },
  });
  made.append(el('p', { class: 'small', text: 'Dots: counts with a round pitch that meet all limits.' }));
  if (answer.counts.length > 1) made.querySelector('.head').append(places(set_.place));
  return made;
}

function places(now) {
  const select = el('select', { 'aria-label': 'Grooves of' }, ...answer.counts.map((c) => el('option', { value: c.place, text: c.place })));
  select.value = now;
  select.addEventListener('change', () => {
    at.place = select.value;
    at.count = null;
    show(answer);
  });
  return select;
}

function recessCard() {
  const { proposal, questions, refused } = answer.recess;
  const length = (mm) => `${shown(mm / answer.mm_per_unit, 4)} ${answer.units}`;
  if (questions.length) {
    const list = questions.map((q) => el('li', { text: worded(q.question) }));
    return el('section', { class: 'card', id: 'recess', 'aria-label': 'Recess' }, el('h2', { text: 'Recess' }), el('p', { text: 'Before one can be proposed:' }), el('ul', {}, ...list));
  }
  if (!proposal) return named('recess', note('Recess', refused ?? 'No recess is proposed.'));
  const sides = proposal.sides === 1 ? 'one side' : 'both sides alike';
  const lines = [
    `Proposed: ${sides}, Ø${length(proposal.diameter_mm)}, ${length(proposal.depth_mm)} deep; ${length(proposal.thickness_left_mm)} stay at the flange.`,
    proposal.ask_maker ? 'Less than half of the thickness stays: ask the abrasive maker first.' : null,
    proposal.saving ? `It spares ${shown(100 * proposal.saving.area_share, 1)} % of the side dressing.` : null,
  ];
  const made = named('recess', note('Recess', ...lines.filter(Boolean)));
  made.append(el('p', { class: 'offers' }, ...offers.recess(proposal, answer)));
  return made;
}

/** The same with a name by which hints lead to it. */
const named = (id, made) => Object.assign(made, { id });
const note = (title, ...lines) => el('section', { class: 'card', 'aria-label': title }, el('h2', { text: title }), ...lines.map((text) => el('p', { text: worded(text) })));

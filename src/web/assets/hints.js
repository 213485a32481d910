// What a finding's hint asks for, as buttons that do it; where there is none, why.
import { byId, el, shown } from './dom.js';
import * as interview from './interview.js';
import { find, remove, set } from './json.js';
import * as order from './order.js';
import { above, steps } from './pointer.js';
import * as store from './store.js';
import * as tabs from './tabs.js';

const BENCH = 'It is done at the bench: traveller and inspection sheet carry it, no field of the order does.';
const PAPERS = 'It is printed on the papers by itself.';

/** By rule: `acts`, of those below, or why there is `none`. A question has its boxes besides. */
export const HINTS = {
  'after-altering': { none: BENCH }, 'balance-limit': { none: BENCH }, 'balance-omitted': { acts: ['complete'] }, 'balance-tolerances': { acts: ['field'] },
  'blank-size': { acts: ['limit', 'blank'] }, 'blank-weight': { acts: ['field'] }, 'blotter-cover': { none: PAPERS }, 'bolts-reach': { acts: ['recess', 'field'] },
  'bore-share': { acts: ['limit'] }, 'bore-spindle': { acts: ['example'] }, 'burst-factor': { none: 'It is asked of the abrasive maker: an order says nothing of burst tests.' },
  bushing: { acts: ['blank'] }, 'conformity-claim': { acts: ['field'] }, 'cutter-reach': { acts: ['runout', 'field'] }, 'cutter-width': { acts: ['widen', 'field'] },
  'density-estimate': { acts: ['boxes'], fields: ['/blank/weight'] }, 'fillet-window': { acts: ['limit', 'field'] },
  'flange-bearing': { acts: ['limit'] }, 'flange-seat': { acts: ['field'] }, 'flange-third': { acts: ['limit'] }, 'flange-undercut': { acts: ['limit'] },
  'flange-worn-wheel': { acts: ['limit'] }, 'groove-bottom': { acts: ['limit'] }, 'groove-direction': { acts: ['turn', 'field'] }, 'groove-excitation': { acts: ['counts'] },
  'groove-land-share': { acts: ['counts'] }, 'groove-land': { acts: ['counts'] }, 'groove-pitch': { acts: ['limit', 'counts'] },
  'groove-starts-in-recess': { acts: ['limit'] }, 'groove-through': { acts: ['field'] }, 'groove-under-flange': { acts: ['limit', 'field'] }, 'groove-wall': { acts: ['field'] },
  'groove-worn-out': { acts: ['limit'] }, 'grooves-stated': { none: PAPERS }, guard: { none: 'It is seen to at the machine.' }, 'heavy-point': { none: BENCH },
  'index-step': { acts: ['counts'] }, label: { acts: ['boxes'], fields: ['/blank/marking', '/blank/max_operating_speed', '/blank/lot', '/blank/maker', '/blank/expires'] },
  lifting: { none: BENCH }, 'marked-rpm': { none: PAPERS }, 'nose-radius': { acts: ['given', 'field'] }, 'old-marking': { none: BENCH },
  'preferred-speed': { acts: ['field'] }, 'recess-clears-flange': { acts: ['limit'] }, 'recess-fillet': { acts: ['given'] }, 'recess-flat': { acts: ['field'] },
  'recess-one-side': { acts: ['recess'] }, 'recess-travel': { acts: ['limit'] }, 'recess-two-sides': { acts: ['recess'] }, 'restriction-carried': { acts: ['field', 'blank'] },
  'ring-bond': { none: BENCH }, 'run-in': { none: PAPERS }, 'set-mark': { none: 'It is asked once the wheels are mounted; the label has room for the mark.' },
  'shape-consent': { acts: ['field'] }, 'side-grinding': { acts: ['field'] }, 'size-open': { acts: ['proposal'] }, 'specification-mark': { acts: ['field'] },
  'speed-limit': { acts: ['slower', 'marked'] }, 'speed-stripe': { none: BENCH }, 'speed-test': { none: BENCH }, storage: { none: PAPERS },
  'stress-raise': { acts: ['field'] }, 'stress-range': { none: 'It is asked of the abrasive maker: an order does not give the strength of a mark.' },
  'taper-under-flange': { acts: ['limit'] }, 'test-hold': { none: 'It is set in the shop’s own rules.' }, 'test-record': { none: BENCH },
  'thickness-variation': { acts: ['given', 'field'] }, 'thin-rim': { acts: ['field'] }, 'thin-wheel': { acts: ['boxes'], fields: ['/work/operation'] },
  'wheel-choice': { acts: ['blank'] }, 'wide-without-recess': { acts: ['recess'] },
};

/** Digits after the point of a size that is proposed. */
const DIGITS = { in: 3, mm: 2 };
/** A measure is a field's own value within this, mm. */
const SAME = 1e-6;

const button = (text, does) => el('button', { type: 'button', class: 'offer', text, onclick: does });
const own = (finding) => find(order.tree(), steps(finding.feature));

/** Shows a part of the page and gives it the keyboard; it may come a moment after its tab. */
function go(tab, id) {
  tabs.choose(tab);
  const until = Date.now() + 3000;
  const look = () => {
    const place = byId(id);
    if (!place || place.closest('[aria-busy="true"]')) return Date.now() < until && requestAnimationFrame(look);
    place.tabIndex = -1;
    place.scrollIntoView({ block: 'start' });
    return place.focus({ preventScroll: true });
  };
  look();
}

/** A size in the order's unit, rounded so that it keeps to its side of a limit: `up` or not. */
function kept(mm, up, { units, mm_per_unit: unit }) {
  const power = 10 ** DIGITS[units];
  const size = (mm / unit) * power;
  return (up ? Math.ceil(size - SAME) : Math.floor(size + SAME)) / power;
}

function taking(finding, answer, value, up) {
  if (finding.unit === '°') return [button(`Take ${shown(value, 4)}°`, () => order.put([[steps(finding.feature), shown(value, 4)]]))];
  const size = kept(value, up, answer);
  return [button(`Take ${shown(size, 4)} ${answer.units}`, () => order.put([[steps(finding.feature), String(size)]]))];
}

const isMeasured = ({ measured, limit, unit }) => ['mm', '°'].includes(unit) && measured !== null && limit !== null;
/** A size as it is typed: whole and part, or a fraction with or without a whole before it; then its unit. */
const TYPED = /^\s*(?:(\d*\.?\d+)|(?:(\d+)\s*[- ]\s*)?(\d+)\s*\/\s*(\d+))\s*(in|"|mm|cm)?\s*$/;
const MM = { in: 25.4, '"': 25.4, mm: 1, cm: 10 };

/** What a field holds: of an angle degrees, else mm; not a number where it holds no such thing. */
function held(node, { unit }, { mm_per_unit: bare }) {
  if (node?.kind !== 'scalar') return NaN;
  if (unit !== 'mm' || typeof node.value !== 'string') return (unit === 'mm' ? bare : 1) * Number(node.raw);
  const [, plain, whole, top, bottom, own] = TYPED.exec(node.value) ?? [];
  return (plain ? Number(plain) : Number(whole ?? 0) + top / bottom) * (own ? MM[own] : bare);
}

/** Whether a field holds this value. */
const holds = (node, value, finding, answer) => Math.abs(held(node, finding, answer) - value) < SAME;

/** The limit in place of a size that a finding measures. */
function limit(finding, answer) {
  const { measured, limit: most } = finding;
  if (!isMeasured(finding) || !holds(own(finding), measured, finding, answer)) return [];
  return taking(finding, answer, most, most > measured);
}

const BUTTONS = {
  limit,
  /** The same where the size may not be in the order yet. */
  given: (f, answer) => (isMeasured(f) && own(f) === undefined && f.limit > 0 ? taking(f, answer, f.limit, f.limit > f.measured) : limit(f, answer)),
  /** What is measured in place of a size that is at its limit. */
  widen: (f, answer) => (isMeasured(f) && holds(own(f), f.limit, f, answer) ? taking(f, answer, f.measured, true) : []),
  proposal: (f, answer) => (f.measured === null ? [] : taking(f, answer, f.measured, true)),
  slower(f) {
    const [, rpm] = /at (\d+) rpm/.exec(f.hint) ?? [];
    return rpm && f.feature.endsWith('_rpm') ? [button(`Run it at ${rpm} rpm`, () => order.put([[steps(f.feature), rpm]]))] : [];
  },
  turn(f) {
    const node = own(f);
    const turned = node?.kind === 'scalar' && Number(node.raw) ? String(-Number(node.raw)) : null;
    return f.severity === 'ask' && turned ? [button(`Take a skew of ${turned}°`, () => order.put([[steps(f.feature), turned]]))] : [];
  },
  runout(f) {
    const disc = find(order.tree(), ['tooling', 'groove_cutter_diameter']);
    if (!f.feature.endsWith('/inner_end') || disc?.kind !== 'scalar') return [];
    const group = steps(above(f.feature));
    const run = () => {
      store.seal();
      store.edit(set(set(store.text(), [...group, 'inner_end'], '"runout"'), [...group, 'cutter_diameter'], disc.raw));
    };
    return [button('Let the shop’s disc run out', run)];
  },
  complete: (f) => [button('Leave no groove out', () => { store.seal(); store.edit(remove(store.text(), steps(f.feature))); })],
  counts: () => [button('Choose a groove count', () => go('strength', 'counts'))],
  // a bolt whose length is not known is asked for first
  recess: (f) => (f.id === 'bolts-reach' && f.measured === null ? [] : [button('See what recess is proposed', () => go('strength', 'recess'))]),
  blank: () => [button('Choose a blank from stock', () => go('files', 'blanks-title'))],
  // a spindle's speed is not had from a blank
  marked: (f) => (f.severity === 'ask' && !f.feature.startsWith('/blank/') ? [] : BUTTONS.blank()),
  example(f) {
    const [, said] = /such as "([^"]+)"/.exec(f.hint) ?? [];
    return said ? [interview.filling([[f.feature, said]])] : [];
  },
  boxes: (f, _, { fields }) => {
    const lacking = fields.filter((at) => !order.has(order.tree(), steps(at)));
    return lacking.length ? [interview.filling(lacking.map((at) => [at, '']))] : [];
  },
  // a size or a word that only a person can choose: the card leads to its field anyway
  field: () => [],
};

/** The buttons beside a finding's field: those that change the order at a click. */
export const beside = (finding, answer) => acts(finding, answer).filter((made) => made.matches('.offer'));

/** The buttons of a finding's hint. */
export function acts(finding, answer) {
  const hint = HINTS[finding.id];
  return (hint?.acts ?? []).flatMap((act) => BUTTONS[act](finding, answer, hint));
}

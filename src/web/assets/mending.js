// What the hint of a problem would put in, as buttons: by the forms in which the program words what would be right.
import { el, shown } from './dom.js';
import { find, remove, rename, set } from './json.js';
import * as offers from './offers.js';
import * as order from './order.js';
import { steps } from './pointer.js';
import { label } from './schema.js';
import * as store from './store.js';
import { place } from './words.js';

/** So many words to choose from are buttons; more are a list in the form. */
const MOST = 6;

const words = (text) => [...text.matchAll(/"((?:[^"\\]|\\.)*)"/g)].map(([quoted]) => quoted);
const names = (text) => [...text.matchAll(/`([\w.]+)`/g)].map(([, name]) => name);
/** A typed value that stands for JSON, as a person reads it. */
const plain = (json) => (json.startsWith('"') ? JSON.parse(json) : json);
const changing = (change) => () => { store.seal(); store.edit(change(store.text())); };
const writing = (at, json) => [`Write ${plain(json)}`, changing((text) => set(text, at, json))];
const without = (at, said = 'Take it out') => [said, () => { store.seal(); order.take(at); }];
const beside = (at, name) => [...at.slice(0, -1), name];

/** A field of another name, or in another place: its value goes along. */
function moved(at, to) {
  const said = find(order.tree(), at);
  if (!said) return null;
  const raw = store.text().slice(said.start, said.end);
  return [`Move it to ${place(to)}`, changing((text) => set(remove(text, at), to, raw))];
}

const homes = (at, places, name = at.at(-1)) => places.map((home) => moved(at, [...home.split('.'), name]));

/** The whole counts either side of a pitch that does not divide the circle. */
function counts(at) {
  const pitch = Number(order.typed(order.tree(), at));
  const below = Math.floor(360 / pitch);
  if (!(pitch > 0) || !(below >= 1) || !Number.isFinite(below) || 360 % pitch === 0) return [];
  const group = at.slice(0, -1).map((step) => `/${step}`).join('');
  return [below, below + 1].map((n) => [`Take ${n} grooves, ${shown(360 / n, 4)}° apart`, () => offers.useCount(group, n)]);
}

/** One of two fields that exclude each other stays. */
function either(at, both) {
  const group = both.includes(at.at(-1)) ? at.slice(0, -1) : at;
  return both.map((name, i) => without([...group, both[1 - i]], `Keep the ${label(name).toLowerCase()}`));
}

/** A step of a list that belongs before the one before it changes places with that. */
function swapped(at) {
  const index = at.findLastIndex((step) => /^\d+$/.test(step));
  const n = Number(at[index]);
  const [path, before] = [n, n - 1].map((i) => [...at.slice(0, index), String(i)]);
  const [here, there] = [path, before].map((p) => find(order.tree(), p));
  const by = (name) => [here, there].map((node) => Number(find(node ?? {}, [name])?.raw));
  const [[wide, narrow], [shallow, deep]] = [by('diameter'), by('depth')];
  if (!(wide > narrow && shallow < deep)) return [];
  const [a, b] = [here, there].map((node) => store.text().slice(node.start, node.end));
  return [[`Swap steps ${n} and ${n + 1}`, changing((text) => set(set(text, before, a), path, b))]];
}

/** What a choice offers: the word that was meant, or all there are. */
const choices = (at, all) => (all.length <= MOST ? all.map((json) => writing(at, json)) : []);

/** How hints are worded, and what each offers: `(place of the field, what stands in the hint)`. */
const FORMS = [
  [/^write the decimal point: (.+)$/, (at, [, number]) => [[`Write ${number}`, () => order.put([[at, number]])]]],
  [/^write (-?[\d.]+|true|false)(?: without quotes| for ±.*)?$/, (at, [, json]) => [writing(at, json)]],
  [/^write (".*)$/, (at, [, said]) => [...words(said).map((json) => writing(at, json)), ...[...said.matchAll(/or (-?[\d.]+) without quotes/g)].map(([, n]) => writing(at, n))]],
  [/^did you mean `(\w+)`\?$/, (at, [, name]) => [[`Call it ${label(name).toLowerCase()}`, changing((text) => rename(text, at, name))]]],
  [/^did you mean `(\w+)`\? It belongs in (.+)$/, (at, [, name, where]) => homes(at, names(where), name)],
  [/^it belongs in (.+)$/, (at, [, where]) => homes(at, names(where))],
  [/^did you mean ("[^"]*")\? Known are/, (at, [, word]) => [writing(at, word)]],
  [/^give ("[^"]*"(?:, "[^"]*")*(?: or "[^"]*")?)$/, (at, [, all]) => choices(at, words(all))],
  [/^give true or false$/, (at) => ['true', 'false'].map((json) => writing(at, json))],
  [/^give at most (-?[\d.]+) (in|mm)$/, (at, [, most, unit]) => [[`Take ${most} ${unit}`, () => order.put([[at, unit === order.typed(order.tree(), ['units']) ? most : `${most} ${unit}`]])]]],
  [/^let the taper end at (-?[\d.]+) (in|mm) or/, (at, [, size, unit]) => [[`Let it end at ${size} ${unit}`, () => order.put([[at, `${size} ${unit}`]])]]],
  [/^(?:the pitch makes .*; )?keep one of (?:the two|them)$/, (at) => (at.at(-1) === 'pitch_deg' ? either(at, ['count', 'pitch_deg']) : [])],
  [/^keep one of `(\w+)` and `(\w+)`$/, (at, [, one, other]) => either(at, [one, other])],
  [/(?:^remove (?:it|the field)\b|\bor remove the field$|\bor leave it out\b|^leave it out\b)/, (at) => (order.has(order.tree(), at) ? [without(at)] : [])],
  [/^remove `(\w+)`/, (at, [, name]) => [without(at.includes(name) ? at.slice(0, at.indexOf(name) + 1) : beside(at, name), `Take out ${label(name).toLowerCase()}`)]],
  [/, or set `(\w+)` to `(\w+)`$/, (at, [, name, value]) => [[`Make the ${label(name).toLowerCase()} ${value}`, changing((text) => set(text, beside(at, name), JSON.stringify(value)))]]],
  [/^known here: /, (at) => (order.has(order.tree(), at) ? [without(at)] : [])],
  [/^name each omitted groove once$/, (at) => [without(at)]],
  [/^put it in brackets/, (at) => {
    const node = find(order.tree(), at);
    return node ? [['Make it a list', changing((text) => set(text, at, `[ ${text.slice(node.start, node.end)} ]`))]] : [];
  }],
  [/^list the steps from the outermost in/, swapped],
  [/^nearest are /, counts],
];

const button = ([text, does]) => el('button', { type: 'button', class: 'offer', text, onclick: does });

/** What a problem's hint would put in, as buttons; a text that cannot be read is mended by hand, at its place. */
export function mending(problem) {
  if (!problem.field || order.tree() === undefined) return [];
  const at = steps(problem.field);
  return FORMS.flatMap(([form, offer]) => {
    const found = form.exec(problem.hint ?? '');
    return found ? offer(at, found).filter(Boolean) : [];
  }).map(button);
}

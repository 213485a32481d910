// A view alone follows every letter; the drawing with all that the rules say comes when typing rests.
import { Asker } from './ask.js';
import { byId } from './dom.js';
import * as grips from './grips.js';
import * as looks from './looks.js';
import * as sheet from './sheet.js';

/** How long typing rests before everything is asked for, ms. */
const REST = 60;
let resting = 0;
let full = null;
let told = () => {};

const view = new Asker(() => `/view/${looks.name()}`, shown, () => byId('port'));

/** `asker` asks for everything; `onShown()` is called when a view is drawn at once. */
export function start(asker, onShown) {
  [full, told] = [asker, onShown];
}

/** Asks for the drawing of the order as it is now; `isTyped`: more may follow at once. */
export function draw(isTyped) {
  clearTimeout(resting);
  if (!isTyped || !looks.isView()) return full.ask();
  byId('stage').setAttribute('aria-busy', 'true');
  view.askNow();
  resting = setTimeout(() => full.ask(), REST);
  return undefined;
}

function shown(answer) {
  // what cannot be drawn is told by the answer that follows
  if (!answer.svg || !sheet.show(answer.svg, looks.name())) return;
  grips.show(answer.grips);
  told();
}

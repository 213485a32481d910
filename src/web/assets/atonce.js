// A view alone follows every letter; the drawing with all that the rules say comes once that is painted.
import { Asker } from './ask.js';
import { byId } from './dom.js';
import * as grips from './grips.js';
import * as looks from './looks.js';
import * as sheet from './sheet.js';
import * as store from './store.js';

let full = null;
let told = () => {};

const view = new Asker(() => `/view/${looks.name()}`, shown, () => byId('port'));

/** `asker` asks for everything; `onShown()` is called when a view is drawn at once. */
export function start(asker, onShown) {
  [full, told] = [asker, onShown];
}

/** Asks for the drawing of the order as it is now; `isTyped`: more may follow at once. */
export function draw(isTyped) {
  if (!isTyped) return full.ask();
  // the program draws while the page waits for its frame
  if (!looks.isView()) return full.askNow();
  byId('stage').setAttribute('aria-busy', 'true');
  return view.askNow();
}

function shown(answer, text) {
  // what cannot be drawn is told by the answer that follows
  if (answer.svg && sheet.show(answer.svg, looks.name())) {
    grips.show(answer.grips);
    told();
  }
  if (text === store.text()) requestAnimationFrame(() => setTimeout(() => full.askNow()));
}

// What is lit: the field that is pointed at in a drawing or on the solid, and what is drawn of the field that is typed in.
import * as sheet from './sheet.js';
import * as solid from './solid.js';

/** The field that is being typed in, as a pointer; empty where none is. */
export const focused = () => document.activeElement?.closest?.('[data-path]')?.dataset.path ?? '';

/** Lights what is drawn of a field. */
export function lightUp(field) {
  sheet.light(field);
  solid.light(field);
}

/** Lights a field of the form and what is drawn of it; without one, that of the field that is typed in. */
export function lightField(at) {
  for (const lit of document.querySelectorAll('.field.lit')) lit.classList.remove('lit');
  if (at) document.querySelector(`[data-path="${CSS.escape(at)}"]`)?.classList.add('lit');
  lightUp(at ?? focused());
}

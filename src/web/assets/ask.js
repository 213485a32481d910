// Asking the program on this computer. Only the newest question counts: older ones are given up.
import * as store from './store.js';

const HEADERS = { 'content-type': 'application/json' };
/** How long an answer may take before the program is taken to be gone, ms. */
const PATIENCE = 40_000;
/** How long after the program did not answer it is asked again, ms. */
const AGAIN = 2000;

/** Posts a text; the answer's JSON, `{offline: true}` where nobody answers, `{refused}` where the program declines. */
export async function post(address, body, signal) {
  const late = AbortSignal.timeout(PATIENCE);
  try {
    const answer = await fetch(address, { method: 'POST', headers: HEADERS, body, signal: signal ? AbortSignal.any([signal, late]) : late });
    return await answer.json();
  } catch (error) {
    if (signal?.aborted) throw error;
    return { offline: true };
  }
}

/** Posts a text and gets a file; `{blob}`, or what `post` gives where there is none. */
export async function fetchFile(address, body) {
  try {
    const answer = await fetch(address, { method: 'POST', headers: HEADERS, body });
    if (answer.headers.has('content-disposition')) return { blob: await answer.blob() };
    return await answer.json();
  } catch {
    return { offline: true };
  }
}

/** Asks something about the order again and again as it changes: at most once a frame, the newest only. */
export class Asker {
  /** `address()` says where to ask, or null not to; `told(answer, text)` takes each answer and what it was asked of; `place` is busy until the newest one is there. */
  constructor(address, told, place) {
    this.address = address;
    this.told = told;
    this.place = place;
    this.frame = 0;
    this.running = null;
    this.again = 0;
  }

  /** Asks in the next frame. */
  ask() {
    clearTimeout(this.again);
    this.place().setAttribute('aria-busy', 'true');
    if (this.frame) return;
    this.frame = requestAnimationFrame(() => {
      this.frame = 0;
      this.send();
    });
  }

  async send() {
    this.running?.abort();
    const address = this.address();
    if (address === null) return this.done();
    const mine = new AbortController();
    this.running = mine;
    const text = store.text();
    try {
      const answer = await post(address, text, mine.signal);
      if (this.running !== mine) return undefined;
      this.told(answer, text);
      if (!this.frame) this.done();
      if (answer.offline) this.again = setTimeout(() => this.ask(), AGAIN);
    } catch {
      // given up for a newer question
    }
    return undefined;
  }

  done() {
    this.place().removeAttribute('aria-busy');
  }
}

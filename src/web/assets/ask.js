// Asking the program on this computer. Only the newest question counts: older ones are given up.
import * as store from './store.js';

const HEADERS = { 'content-type': 'application/json' };
/** How long an answer may take before the program is taken to be gone, ms. */
const PATIENCE = 40_000;
/** How long after the program did not answer it is asked again, ms. */
const AGAIN = 2000;

/** Posts a text; the answer's JSON, `{offline: true}` where nobody answers, `{refused}` where the program declines. */
export async function post(address, body) {
  try {
    const answer = await fetch(address, { method: 'POST', headers: HEADERS, body, signal: AbortSignal.timeout(PATIENCE) });
    return await answer.json();
  } catch {
    return { offline: true };
  }
}

/** Posts a text; `{bytes}` where the answer is of a kind, else what `post` gives. */
export async function postFor(address, body, kind) {
  try {
    const answer = await fetch(address, { method: 'POST', headers: HEADERS, body, signal: AbortSignal.timeout(PATIENCE) });
    return answer.headers.get('content-type') === kind ? { bytes: await answer.arrayBuffer() } : await answer.json();
  } catch {
    return { offline: true };
  }
}

/** Posts a text and gets a file; `{blob}`, or what `post` gives where there is none. */
export async function fetchFile(address, body) {
  try {
    const answer = await fetch(address, { method: 'POST', headers: HEADERS, body });
    const kept = answer.headers.get('content-disposition');
    if (kept) return { blob: await answer.blob(), name: /filename="([^"]+)"/.exec(kept)?.[1] ?? 'file' };
    return await answer.json();
  } catch {
    return { offline: true };
  }
}

/**
 * Asks something about the order again and again as it changes: one question at a time, and after its answer the newest one. Giving a question up
 * would spare the program nothing, and while one types quickly nothing would ever be answered.
 */
export class Asker {
  /**
   * `address()` says where to ask, or null not to; `told(answer, text)` takes each answer and what it was asked of; `place` is busy until the newest
   * one is there. `asks(address, text)` asks, as `post` does if absent.
   */
  constructor(address, told, place, asks = post) {
    this.asks = asks;
    this.address = address;
    this.told = told;
    this.place = place;
    this.frame = 0;
    this.isRunning = false;
    this.again = 0;
  }

  /** Asks now, where nothing is being asked. */
  askNow() {
    if (this.isRunning || this.frame) return;
    clearTimeout(this.again);
    this.place().setAttribute('aria-busy', 'true');
    this.send();
  }

  /** Asks in the next frame. */
  ask() {
    clearTimeout(this.again);
    this.place().setAttribute('aria-busy', 'true');
    if (this.frame) return;
    this.frame = requestAnimationFrame(() => {
      this.frame = 0;
      if (!this.isRunning) this.send();
    });
  }

  async send() {
    const [address, text] = [this.address(), store.text()];
    if (address === null) return this.done();
    this.isRunning = true;
    const answer = await this.asks(address, text);
    this.isRunning = false;
    const isNewest = address === this.address() && text === store.text();
    // of another drawing, or of a question that is asked no more: nothing
    if (address === this.address()) this.told(answer, text);
    if (answer.offline) this.again = setTimeout(() => this.ask(), AGAIN);
    if (isNewest || answer.offline) return this.frame ? undefined : this.done();
    return this.send();
  }

  done() {
    this.place().removeAttribute('aria-busy');
  }
}

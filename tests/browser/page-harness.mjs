// What the tests of the local page share: the program serving it, a browser that reaches nothing else, and the words for using it.
import { spawn } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, extname, join } from 'node:path';
import { check, run } from './harness.mjs';

/** The program under test; run.sh names it. */
export const PROGRAM = process.env.WHEELDRAFT;
/** The top of the sources. */
export const ROOT = join(import.meta.dirname, '..', '..');
/** Where the page's parts are taken from instead of the program, while they are worked on. */
const PARTS = process.env.WHEELDRAFT_ASSETS;
const PICTURES = join(process.env.WHEELDRAFT_BROWSER_FILES ?? tmpdir(), 'page');

/** Starts the page, in a folder of orders where one is named; its address and how to end it. */
async function served(orders) {
  const child = spawn(PROGRAM, ['serve', ...(orders ? [orders] : []), '--port', '0', '-q'], { stdio: ['ignore', 'pipe', 'inherit'] });
  const address = await new Promise((found, failed) => {
    child.stdout.once('data', (bytes) => found(String(bytes).trim()));
    child.once('exit', () => failed(new Error('the program ended')));
  });
  return { address, pid: child.pid, end: () => child.kill() };
}

const KINDS = { '.js': 'text/javascript', '.css': 'text/css', '.svg': 'image/svg+xml', '.html': 'text/html' };

/** Answers with a part from the sources where they are worked on, or lets the program answer. */
async function handed(route, path) {
  const name = path === '/' ? 'index.html' : path.startsWith('/page/') && !path.endsWith('.ttf') ? basename(path) : null;
  if (!PARTS || !name || !existsSync(join(PARTS, name))) return route.continue();
  const kind = KINDS[extname(name)];
  return route.fulfill({ body: readFileSync(join(PARTS, name)), headers: { 'content-type': kind, 'content-security-policy': POLICY } });
}
/** The part of the program's policy that scripts and styles can run into. */
const POLICY = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; font-src 'self'; connect-src 'self'";

/**
 * Runs a test on the page. Whatever it asks for outside itself, says on the console as an error, or blocks by its policy is a failure.
 * The test gets a `Desk`; `args` are those of `run`. `folder(place)` fills a folder at a place and names it: the page then works in it.
 */
export async function onPage(test, { complaints: expected, folder: filled, args } = {}) {
  const folder = mkdtempSync(join(tmpdir(), 'wheeldraft-page-'));
  const orders = filled?.(folder);
  const { address, pid, end } = await served(orders);
  try {
    await run(async (page) => {
      await page.unroute(/^https?:/);
      const outside = [];
      const complaints = [];
      const watched = async (one) => {
        await one.route('**/*', (route) => {
          const url = route.request().url();
          const own = url.startsWith(address) || url.startsWith('blob:');
          if (!own) outside.push(url);
          return own ? handed(route, new URL(url).pathname) : route.abort();
        });
        one.on('console', (message) => {
          if (message.type() === 'error' && !expected?.test(message.text())) complaints.push(message.text());
        });
        return Object.assign(new Desk(one, address, folder, watched), { orders, pid });
      };
      await test(await watched(page));
      check('nothing outside is asked for', outside.length === 0, outside.join());
      check('the browser has no complaint', complaints.length === 0, complaints.join('; '));
    }, args);
  } finally {
    end();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A person at the page. */
class Desk {
  constructor(page, address, folder, watched) {
    Object.assign(this, { page, address, folder, watched });
  }

  /** Another tab of the same browser. */
  async another() {
    return this.watched(await this.page.context().newPage());
  }

  /** Opens the page as one who was never here before, or again. */
  async arrive() {
    await this.page.goto(this.address);
    await this.ready();
  }

  /** Waits until the page has taken up its draft. */
  async ready() {
    await this.page.waitForSelector('#form .field', { state: 'attached' });
    await this.page.waitForFunction(() => document.body.dataset.ready === 'yes');
  }

  /** Waits for the verdict, which has to be this word. */
  async verdict(word) {
    await this.settled();
    check(`the verdict becomes ${word}`, (await this.page.textContent('#verdict-word')) === word, await this.page.textContent('#verdict'));
  }

  /** Waits until everything asked for is answered. */
  async settled() {
    await this.page.waitForFunction(() => !document.querySelector('[aria-busy="true"]'), null, { timeout: 60000 });
  }

  /** Waits for a drawing of the order as it is now. */
  async drawn() {
    await this.settled();
    const current = () => document.querySelector('#port svg') && document.body.dataset.now === 'current';
    check('the order is drawn', await this.page.evaluate(current), await this.page.textContent('#verdict'));
  }

  /** The fingerprint on the drawing, once the order is drawn. */
  async redrawn() {
    await this.drawn();
    return this.page.getAttribute('#port svg', 'data-fingerprint');
  }

  field(at) {
    return this.page.locator(`#form [data-path="${at}"]`).locator('input, select').first();
  }

  /** Opens what hides a field. */
  async reveal(at) {
    await this.page.evaluate((path) => {
      const field = document.querySelector(`#form [data-path="${CSS.escape(path)}"], #form [data-list="${CSS.escape(path)}"]`);
      for (let up = field?.closest('details'); up; up = up.parentElement.closest('details')) up.open = true;
    }, at);
  }

  /** Types into a field as a person does, letter by letter. */
  async type(at, text) {
    await this.reveal(at);
    const field = this.field(at);
    if ((await field.evaluate((e) => e.tagName)) === 'SELECT') return field.selectOption(text);
    await field.fill('');
    return field.pressSequentially(text);
  }

  async value(at) {
    return this.field(at).inputValue();
  }

  /** Opens an order file. */
  async open(path) {
    await this.page.setInputFiles('#file', path);
    await this.taken(basename(path));
  }

  /** Waits until a file of this name is the order. */
  async taken(name) {
    await this.page.waitForFunction((n) => document.getElementById('name').title.startsWith(n), name, { timeout: 30000 });
  }

  /** Opens a text as an order file. */
  async openText(text, name = 'order.json') {
    await this.page.setInputFiles('#file', { name, mimeType: 'application/json', buffer: Buffer.from(text) });
    await this.taken(name);
  }

  /** The text of the order as the page holds it. */
  async text() {
    return this.page.inputValue('#source');
  }

  async tab(name) {
    await this.page.click(`#tab-${name}`);
  }

  /** Shows a drawing of this name. */
  async look(name) {
    await this.tab('drawing');
    await this.page.click(`#look-${name}`);
  }

  /** The bytes a click downloads, and the name. */
  async downloaded(selector) {
    const [download] = await Promise.all([this.page.waitForEvent('download'), this.page.click(selector)]);
    return { name: download.suggestedFilename(), bytes: readFileSync(await download.path()) };
  }

  /** A picture of the page, to be looked at. */
  async picture(name) {
    mkdirSync(PICTURES, { recursive: true });
    await this.page.screenshot({ path: join(PICTURES, `${name}.png`) });
  }
}

// What the browser tests share: the browser, the folder of files under test, and counting.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

/** Folder with the files the Rust tests wrote; run.sh names it. */
const FOLDER = process.env.WHEELDRAFT_BROWSER_FILES;
/** Debian's browser. */
const EXECUTABLE = process.env.CHROMIUM ?? '/usr/bin/chromium';

let passed = 0;
const failures = [];

export const path = (name) => join(FOLDER, name);
export const text = (name) => readFileSync(path(name), 'utf8');
export const json = (name) => JSON.parse(text(name));
export const dataUrl = (name, type) => `data:${type};base64,${readFileSync(path(name)).toString('base64')}`;

/** One comparison; the detail is shown where it fails. */
export function check(what, ok, detail = '') {
  if (ok) passed += 1;
  else failures.push(`${what}: ${detail}`);
}

/** Solids are drawn by the processor, so that they look alike on every machine. */
const GRAPHICS = ['--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'];

/** Runs a test with a page in a browser that reaches nothing outside, then prints the counts. `args` stand in place of what switches WebGL on. */
export async function run(test, args = GRAPHICS) {
  const browser = await chromium.launch({
    executablePath: EXECUTABLE,
    args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-background-networking', ...args],
  });
  try {
    const page = await (await browser.newContext()).newPage();
    await page.route(/^https?:/, (route) => route.abort());
    page.on('pageerror', (error) => check('page runs without error', false, error.message));
    await test(page);
  } catch (error) {
    check('test runs to its end', false, error.stack);
  } finally {
    await browser.close();
  }
  for (const failure of failures.slice(0, 20)) console.log(`FAILED ${failure}`);
  if (passed + failures.length === 0) failures.push('nothing was checked');
  console.log(`${passed} passed, ${failures.length} failed`);
  process.exitCode = failures.length ? 1 : 0;
}

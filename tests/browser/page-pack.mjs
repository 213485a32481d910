// What the page downloads is what the command line writes, byte for byte.
import { execFileSync } from 'node:child_process';
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { inflateRawSync } from 'node:zlib';
import { check } from './harness.mjs';
import { PROGRAM, ROOT, onPage } from './page-harness.mjs';

/** Names and bytes of a zip, read from its central directory (APPNOTE 4.3.12 of the ZIP format). */
function unzipped(zip) {
  const end = zip.lastIndexOf(Buffer.from('PK\x05\x06'));
  const files = new Map();
  let at = zip.readUInt32LE(end + 16);
  for (let n = zip.readUInt16LE(end + 10); n > 0; n -= 1) {
    const [method, packed] = [zip.readUInt16LE(at + 10), zip.readUInt32LE(at + 20)];
    const [name, extra, comment] = [28, 30, 32].map((o) => zip.readUInt16LE(at + o));
    const local = zip.readUInt32LE(at + 42);
    const start = local + 30 + zip.readUInt16LE(local + 26) + zip.readUInt16LE(local + 28);
    const bytes = zip.subarray(start, start + packed);
    files.set(zip.toString('utf8', at + 46, at + 46 + name), method === 8 ? inflateRawSync(bytes) : bytes);
    at += 46 + name + extra + comment;
  }
  return files;
}

const packed = (desk, order, name, more = []) => {
  const to = join(desk.folder, name);
  execFileSync(PROGRAM, ['pack', order, '-o', to, '-q', ...more]);
  return new Map(readdirSync(to).map((file) => [file, readFileSync(join(to, file))]));
};

function same(what, want, got) {
  check(`${what}: the same files`, [...want.keys()].sort().join() === [...got.keys()].sort().join(), [...got.keys()].join());
  const other = [...want].filter(([name, bytes]) => !got.get(name)?.equals(bytes)).map(([name]) => name);
  check(`${what}: the same bytes`, other.length === 0 && want.size > 10, other.join());
}

await onPage(async (desk) => {
  const { page } = desk;
  const order = join(ROOT, 'demo-data', '1042.json');
  await desk.arrive();
  await desk.open(order);
  await desk.drawn();
  await desk.tab('files');
  await page.waitForSelector('#zip', { timeout: 60000 });
  const plain = packed(desk, order, 'plain');
  same('zip', plain, unzipped((await desk.downloaded('#zip')).bytes));
  const names = await page.locator('.files tbody tr td:first-child').allTextContents();
  check('every file is listed', names.sort().join() === [...plain.keys()].sort().join(), names.join());
  const kinds = await page.locator('.files tbody tr td:nth-child(2)').allTextContents();
  check('each says in words what it is', kinds.every((k) => /^[a-z’ ]{6,}$/i.test(k) && k !== 'calculation'), kinds.join());
  check('what is not made is told', (await page.textContent('.withheld')).includes('not approved'));
  for (const name of ['1042-B-approval.pdf', '1042-B-order.json', 'manifest.json']) {
    const got = await desk.downloaded(`button[aria-label="Download ${name}"]`);
    check(`${name} alone is the same`, got.name === name && got.bytes.equals(plain.get(name)), got.name);
  }
  await page.click('#without');
  await page.click('#without-dialog button[value="yes"]');
  await page.waitForFunction(() => document.querySelector('.files')?.textContent.includes('UNAPPROVED'), null, { timeout: 60000 });
  same('unapproved', packed(desk, order, 'unapproved', ['--unapproved']), unzipped((await desk.downloaded('#zip')).bytes));
  await desk.picture('files');
  await desk.type('/wheel/bore', '8.5');
  await page.waitForFunction(() => document.getElementById('without'), null, { timeout: 60000 });
  check('a change of the order ends it', !(await page.textContent('.files')).includes('UNAPPROVED'));

  await desk.type('/wheel/outside_diameter', 'wide');
  await page.waitForFunction(() => document.getElementById('pack').textContent.includes('not finished'), null, { timeout: 30000 });
  check('what was typed is still there', (await desk.value('/wheel/outside_diameter')) === 'wide');
});

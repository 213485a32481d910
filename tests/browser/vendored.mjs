// What others wrote and the program has compiled in is, byte for byte, what the lock file pins.
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { check, run } from './harness.mjs';

const HERE = import.meta.dirname;
const SOURCES = join(HERE, '..', '..', 'src', 'web', 'vendored');
const json = (...path) => JSON.parse(readFileSync(join(HERE, ...path), 'utf8'));

await run(() => {
  const [wanted, locked] = [json('package.json').dependencies, json('package-lock.json').packages];
  for (const name of readdirSync(SOURCES)) {
    const [installed, pinned] = [json('node_modules', name, 'package.json'), locked[`node_modules/${name}`]];
    check(`${name} is pinned exactly`, wanted[name] === pinned.version && /^\d+\.\d+\.\d+$/.test(wanted[name]), wanted[name]);
    check(`${name} is installed as pinned`, installed.version === pinned.version && pinned.integrity.startsWith('sha512-'), installed.version);
    check(`${name} may be given away with the program`, installed.license === 'MIT' && readFileSync(join(SOURCES, name, 'LICENSE'), 'utf8').includes('MIT License'));
    for (const file of readdirSync(join(SOURCES, name))) {
      const from = join(HERE, 'node_modules', name, file.endsWith('.js') ? 'build' : '', file);
      check(`${name}: ${file} is that of the package`, readFileSync(join(SOURCES, name, file)).equals(readFileSync(from)));
    }
  }
});

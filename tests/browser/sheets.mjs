// Sixty approval drawings in a real browser: lettering as wide as reckoned, and nothing within 0.7 mm of it but what belongs to the same dimension.
//
// Each sheet is drawn twice on a canvas: its lines, each in a colour that names the dimension it belongs to, without smoothing; and its lettering,
// each text in a colour of its own. Wherever a dark place of a text lies nearer than 0.7 mm to one of a line or of another text that is not of the
// same dimension, the sheet has a fault.
import { check, path, run, text } from './harness.mjs';

/** Pixels to a millimetre of paper. */
const SCALE = 8;
/** Least clear distance between a text and what it does not belong to, mm. */
const CLEAR = 0.7;
/** Greatest difference of a width as shown, mm. */
const WIDTH = 0.1;
/** The same as share of the width where the browser is not told the width: it rounds font sizes to steps of up to 1/8 %. */
const NATURAL = 0.0015;
/** Pages that work at a time. */
const PAGES = 2;

/** In the page: widths of all texts, mm, as reckoned (textLength), as shown, and as they would be without being told. */
function widths() {
  return [...document.querySelectorAll('text')].map((element) => {
    const want = Number(element.getAttribute('textLength'));
    const last = element.getNumberOfChars() - 1;
    const [start, end] = [element.getStartPositionOfChar(0), element.getEndPositionOfChar(last)];
    const shown = Math.hypot(end.x - start.x, end.y - start.y);
    const told = element.getAttribute('textLength');
    element.removeAttribute('textLength');
    const natural = element.getComputedTextLength();
    if (told) element.setAttribute('textLength', told);
    return { content: element.textContent, want, shown, natural };
  });
}

/** In the page: [text, what is too near, distance in mm, x, y in mm] for each pair too near to each other, the nearest place of each. */
async function crowded([scale, clear]) {
  const root = document.documentElement;
  const { width, height } = root.viewBox.baseVal;
  const size = [Math.round(width * scale), Math.round(height * scale)];
  // sixteen steps of each channel, in their middle, so that a colour is read back whatever the rounding; white stands for nothing
  const colour = (n) => `rgb(${(n & 15) * 16 + 8},${((n >> 4) & 15) * 16 + 8},${((n >> 8) & 15) * 16 + 8})`;
  const owners = [];
  const owner = (element) => {
    const group = element.closest('[data-dim]');
    if (!group) return 0;
    if (!owners.includes(group)) owners.push(group);
    return owners.indexOf(group) + 1;
  };
  const texts = [...document.querySelectorAll('text')].filter((t) => t.textContent.trim());
  const of = texts.map(owner);

  const painted = async (wanted, paint) => {
    const marked = [...document.querySelectorAll('text, path, circle, rect')];
    marked.forEach((element, i) => element.setAttribute('data-mark', i));
    const copy = new DOMParser().parseFromString(new XMLSerializer().serializeToString(root), 'image/svg+xml').documentElement;
    for (const element of copy.querySelectorAll('[data-mark]')) {
      const original = marked[element.getAttribute('data-mark')];
      if (wanted(original)) paint(element, original);
      else element.remove();
    }
    const url = URL.createObjectURL(new Blob([new XMLSerializer().serializeToString(copy)], { type: 'image/svg+xml' }));
    const image = new Image(...size);
    image.src = url;
    await image.decode();
    const canvas = new OffscreenCanvas(...size);
    const context = canvas.getContext('2d', { willReadFrequently: true });
    context.drawImage(image, 0, 0, ...size);
    URL.revokeObjectURL(url);
    return context.getImageData(0, 0, ...size).data;
  };
  const lines = await painted(
    (element) => element.localName !== 'text',
    (element, original) => {
      const style = getComputedStyle(original);
      const shade = colour(owner(original));
      element.setAttribute('shape-rendering', 'crispEdges');
      if (style.stroke !== 'none') element.setAttribute('stroke', shade);
      // a black shape is a line as well; paper and tint only hide what lies below
      if (style.fill !== 'none') element.setAttribute('fill', style.fill === 'rgb(0, 0, 0)' ? shade : '#fff');
    },
  );
  const letters = await painted(
    (element) => texts.includes(element),
    (element, original) => element.setAttribute('fill', colour(texts.indexOf(original) + 1)),
  );
  const [w, h] = size;
  const number = (data, i) => (data[4 * i] >> 4) | ((data[4 * i + 1] >> 4) << 4) | ((data[4 * i + 2] >> 4) << 8);
  const white = (data, i) => data[4 * i] === 255 && data[4 * i + 1] === 255 && data[4 * i + 2] === 255;
  // what is at each pixel: 0 nothing, else a line's owner + 1, or 100000 + the text's number
  const TEXT = 100000;
  const there = new Int32Array(w * h);
  for (let i = 0; i < w * h; i += 1) {
    if (letters[4 * i + 3] >= 128) there[i] = TEXT + number(letters, i) - 1;
  }
  const line = new Int32Array(w * h);
  for (let i = 0; i < w * h; i += 1) {
    if (lines[4 * i + 3] >= 128 && !white(lines, i)) line[i] = number(lines, i) + 1;
  }
  // centres of pixels lie inside what they show, so what is truly clear is never nearer than this
  const reach = clear * scale - 0.25;
  const around = [];
  for (let y = -Math.floor(reach); y <= reach; y += 1) {
    for (let x = -Math.floor(reach); x <= reach; x += 1) {
      const distance = Math.hypot(x, y);
      if (distance < reach) around.push([x, y, distance]);
    }
  }
  around.sort((a, b) => a[2] - b[2]);
  const found = new Map();
  let ink = 0;
  const see = (t, what, distance, x, y) => {
    const key = `${t} ${what}`;
    if (!(found.get(key)?.[2] <= distance)) found.set(key, [t, what, distance, x, y]);
  };
  for (let y = 0; y < h; y += 1) {
    for (let x = 0; x < w; x += 1) {
      const t = there[y * w + x] - TEXT;
      if (t < 0) continue;
      ink += 1;
      // the nearest thing lies nearest to the rim of a letter
      const i = y * w + x;
      if (there[i - 1] === there[i] && there[i + 1] === there[i] && there[i - w] === there[i] && there[i + w] === there[i]) continue;
      for (const [dx, dy, distance] of around) {
        const [u, v] = [x + dx, y + dy];
        if (u < 0 || v < 0 || u >= w || v >= h) continue;
        const at = v * w + u;
        if (line[at] && (line[at] - 1 !== of[t] || of[t] === 0)) see(t, line[at] - 1, distance, x, y);
        const other = there[at] - TEXT;
        if (other >= 0 && other !== t && (of[other] !== of[t] || of[t] === 0)) see(t, TEXT + other, distance, x, y);
      }
    }
  }
  const name = (what) => {
    if (what >= TEXT) return `"${texts[what - TEXT]?.textContent}"`;
    return what ? `a line of ${owners[what - 1]?.id}` : 'a line that is of no dimension';
  };
  const faults = [...found.values()].map(([t, what, distance, x, y]) => [
    texts[t]?.textContent, name(what), distance / scale, x / scale, y / scale,
  ]);
  return { faults, ink, count: texts.length };
}

const shift = (name, dy) =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="30mm" viewBox="0 0 60 30"><g stroke="#000" fill="none" font-family="sans-serif">` +
  `<g data-dim="one"><path d="M5 20L55 20" stroke-width="0.25"/><text x="6" y="${20 - dy}" font-size="5" fill="#000" stroke="none" textLength="8">HH</text></g>` +
  `<path d="M5 ${10 - dy}L55 ${10 - dy}" stroke-width="0.25" id="${name}"/></g></svg>`;

/** The test of the test: lines and letters at known distances. */
async function proved(page) {
  const faults = async (svg) => {
    await page.goto(`data:image/svg+xml;base64,${Buffer.from(svg).toString('base64')}`);
    return (await page.evaluate(crowded, [SCALE, CLEAR])).faults.length;
  };
  // capitals of 5 are about 3.6 high: they begin 16.4 - dy from above, so the strange line at 10 - dy is well clear, one moved down is not
  check('what is clear passes', (await faults(shift('a', 0.1))) === 0, 'a line of its own dimension, or one far away, is taken for a fault');
  check('a line too near is seen', (await faults(shift('a', 0.1).replace(/M5 9.9L55 9.9/, 'M5 16.1L55 16.1'))) > 0, 'nothing is found');
  check('a line through it is seen', (await faults(shift('a', 0.1).replace(/M5 9.9L55 9.9/, 'M5 18L55 18'))) > 0, 'nothing is found');
  const second = '<text x="14.3" y="19.9" font-size="5" fill="#000" stroke="none">H</text></g></svg>';
  check('a text too near is seen', (await faults(shift('a', 0.1).replace(/<\/g><\/svg>$/, second))) > 0, 'nothing is found');
}

async function look(page, { name }, worst) {
  await page.goto(`file://${path(`sheets/${name}.svg`)}`);
  await page.evaluate(() => document.fonts.ready);
  for (const got of await page.evaluate(widths)) {
    const [shown, natural] = [Math.abs(got.shown - got.want), Math.abs(got.natural - got.want)];
    worst.shown = Math.max(worst.shown, shown);
    worst.natural = Math.max(worst.natural, natural);
    const ok = shown <= WIDTH && natural <= Math.max(WIDTH, NATURAL * got.want);
    check(`${name}: width of "${got.content}"`, ok, `${got.shown} shown, ${got.natural} of itself, instead of ${got.want}`);
  }
  const { faults, ink, count } = await page.evaluate(crowded, [SCALE, CLEAR]);
  check(`${name}: there is lettering`, count > 20 && ink > 1000, `${count} texts, ${ink} pixels`);
  worst.texts += count;
  worst.sheets += faults.length > 0;
  const lines = faults.map(([t, what, distance, x, y]) => `"${t}" is ${distance.toFixed(2)} mm from ${what} at (${x.toFixed(0)}, ${y.toFixed(0)})`);
  check(`${name}: nothing touches its lettering`, faults.length === 0, `${faults.length} places: ${lines.slice(0, 6).join('; ')}`);
}

await run(async (page) => {
  const sheets = JSON.parse(text('sheets/list.json'));
  check('sixty sheets are there', sheets.length === 60, `${sheets.length}`);
  await proved(page);
  const worst = { shown: 0, natural: 0, texts: 0, sheets: 0 };
  const pages = [page];
  while (pages.length < PAGES) pages.push(await page.context().browser().newPage());
  const queue = [...sheets];
  await Promise.all(pages.map(async (one) => {
    for (let sheet = queue.shift(); sheet; sheet = queue.shift()) await look(one, sheet, worst);
  }));
  console.log(
    `${worst.texts} texts on ${sheets.length} sheets; widths differ by ${worst.shown.toFixed(4)} mm as shown, ${worst.natural.toFixed(4)} mm of themselves; ` +
      `${worst.sheets} sheets have lettering nearer than ${CLEAR} mm to something`,
  );
});

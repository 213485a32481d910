// The wheel as a solid on the page: what is seen is the wheel of the order, it can be turned, cut and asked what is what; and what stands there where
// the browser has no 3D graphics.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { check } from './harness.mjs';
import { ROOT, onPage } from './page-harness.mjs';

/** Three wide grooves on side A, the first at 40 degrees, none elsewhere; a blank that is larger. */
const ORDER = {
  order: { number: '7', revision: 'A' }, units: 'mm',
  wheel: {
    outside_diameter: 400, thickness: 50, bore: 127, side_a: { grooves: { count: 3, start_deg: 40, width: 20, depth: 8, inner_diameter: 250 } },
    side_b: { recess: [{ diameter: 200, depth: 10, fillet_radius: 2 }] },
  },
  blank: { outside_diameter: 500, thickness: 50, bore: 127 },
};
const text = (change = {}) => JSON.stringify({ ...ORDER, wheel: { ...ORDER.wheel, ...change } }, null, 2);

/** The dots of the picture of the solid that are not its ground: their number, the box about them, and a sum over all colours. */
async function seen(desk) {
  return desk.page.evaluate(async () => {
    const scene = await import('/page/scene.js');
    scene.draw();
    // in the frame of the drawing, since it is gone from the canvas after that
    await new Promise(requestAnimationFrame);
    const shown = document.getElementById('solid-canvas');
    const canvas = new OffscreenCanvas(shown.width, shown.height);
    const drawn = canvas.getContext('2d');
    drawn.drawImage(shown, 0, 0);
    const { data: dots, width } = drawn.getImageData(0, 0, shown.width, shown.height);
    const found = { dots: 0, left: Infinity, right: -1, top: Infinity, bottom: -1, hash: 0 };
    const ground = [...dots.slice(4 * (width * 4 + 4), 4 * (width * 4 + 4) + 3)];
    for (let i = 0; i < dots.length; i += 4) {
      found.hash = (found.hash * 31 + dots[i] + 7 * dots[i + 1]) % 1e9;
      if (ground.every((c, k) => Math.abs(dots[i + k] - c) < 6)) continue;
      const [x, y] = [(i / 4) % width, Math.floor(i / 4 / width)];
      found.dots += 1;
      Object.assign(found, { left: Math.min(found.left, x), right: Math.max(found.right, x), top: Math.min(found.top, y), bottom: Math.max(found.bottom, y) });
    }
    return { ...found, wide: found.right - found.left + 1, high: found.bottom - found.top + 1 };
  });
}

/** Waits until the solid of the order as it is now is drawn. */
async function built(desk) {
  await desk.settled();
  await desk.page.waitForFunction(() => Number(document.getElementById('solid-canvas').dataset.drawn) > 0);
  await still(desk);
}

/** Waits until nothing more is drawn. */
async function still(desk) {
  await desk.page.evaluate(async () => {
    const frame = () => new Promise((done) => { requestAnimationFrame(() => requestAnimationFrame(done)); });
    for (let was = -1; was !== document.getElementById('solid-canvas').dataset.drawn; await frame()) was = document.getElementById('solid-canvas').dataset.drawn;
  });
}

async function pressed(desk, id) {
  await desk.page.click(`#${id}`);
  await still(desk);
}

/** The feature named where the pointer stands, at a place of the wheel as seen from a side: mm right and up of the axis. */
async function named(desk, right, up) {
  const box = await desk.page.locator('#solid-canvas').boundingBox();
  // the whole wheel with a little room fills the narrower way
  const scale = Math.min(box.width, box.height) / (Math.hypot(400, 50) * 1.12);
  await desk.page.mouse.move(box.x + box.width / 2 + right * scale, box.y + box.height / 2 - up * scale);
  await still(desk);
  return desk.page.textContent('#solid-said');
}

const near = (a, b, share) => Math.abs(a / b - 1) < share;

await onPage(async (desk) => {
  const { page } = desk;
  const asked = [];
  page.on('request', (request) => asked.push(new URL(request.url()).pathname));
  await desk.arrive();
  await desk.tab('solid');
  check('an empty page says what to do', (await page.textContent('#solid-flat')).includes('start one'));
  await desk.tab('drawing');
  await desk.openText(text());
  await desk.drawn();
  check('what draws solids is fetched only when it is looked at', !asked.some((path) => /three|scene|solid$/.test(path)), asked.join());
  await desk.tab('solid');
  await built(desk);
  check('it is fetched then', asked.includes('/page/three.module.min.js') && asked.includes('/solid'));
  await desk.picture('solid');
  await shaped(desk);
  await grooved(desk);
  await lit(desk);
  await turned(desk);
  await touched(desk);
  await opened(desk);
  await tensed(desk);
  await typed(desk);
  await refused(desk);
  await demo(desk);
});

/** From each side it has the outline that the order's sizes give it. */
async function shaped(desk) {
  await pressed(desk, 'solid-side-a');
  const blank = await seen(desk);
  await pressed(desk, 'solid-ghost');
  const side = await seen(desk);
  check('a side is round', near(side.wide, side.high, 0.01), JSON.stringify(side));
  const ring = (outside) => (Math.PI / 4) * (1 - (127 / outside) ** 2);
  check('with its bore', near(side.dots / side.wide ** 2, ring(400), 0.01), `${side.dots / side.wide ** 2} ${ring(400)}`);
  check('the blank stands about it', near(blank.dots / blank.wide ** 2, ring(500), 0.01), `${blank.dots / blank.wide ** 2} ${ring(500)}`);
  await pressed(desk, 'solid-rim');
  const rim = await seen(desk);
  check('the rim is as thick as the wheel', near(rim.wide / rim.high, 50 / 400, 0.03), JSON.stringify(rim));
}

/** Each groove lies where the order has it: angle 0 to the right, counter-clockwise as seen from outside side A. */
async function grooved(desk) {
  const at = (radius, degrees) => [radius * Math.cos((degrees * Math.PI) / 180), radius * Math.sin((degrees * Math.PI) / 180)];
  await pressed(desk, 'solid-side-a');
  for (const degrees of [40, 160, 280]) check(`a groove at ${degrees}`, (await named(desk, ...at(160, degrees))) === 'Side A groove bottom', await named(desk, ...at(160, degrees)));
  for (const degrees of [0, 320, 200, 80]) check(`none at ${degrees}`, (await named(desk, ...at(160, degrees))) === 'Side A flat', await named(desk, ...at(160, degrees)));
  check('inside its inner end there is none', (await named(desk, ...at(118, 40))) === 'Side A flat');
  check('nothing is named in the bore', (await named(desk, 0, 0)) === '');
  await pressed(desk, 'solid-side-b');
  const [x, y] = at(160, 40);
  check('side B has none', (await named(desk, -x, y)) === 'Side B flat');
  check('it has its recess', (await named(desk, 80, 0)) === 'Side B recess floor 1', await named(desk, 80, 0));
}

/** What is pointed at lights its field, what is typed in lights its feature. */
async function lit(desk) {
  const { page } = desk;
  await pressed(desk, 'solid-side-b');
  await named(desk, 80, 0);
  const marked = () => page.evaluate(() => [...document.querySelectorAll('.field.lit')].map((f) => f.dataset.path).join());
  check('the field of what is pointed at is lit', (await marked()) === '/wheel/side_b/recess/0/depth', await marked());
  const floor = await seen(desk);
  await named(desk, 195, 195);
  check('and put out', (await marked()) === '', await marked());
  const plain = await seen(desk);
  check('the feature is seen to be lit', floor.hash !== plain.hash);
  await desk.reveal('/wheel/side_b/recess/0/depth');
  await desk.field('/wheel/side_b/recess/0/depth').focus();
  await still(desk);
  const held = await seen(desk);
  check('the feature of the field that is typed in is lit', held.hash === floor.hash, `${held.hash} ${floor.hash} ${plain.hash}`);
  await page.selectOption('#solid-feature', 'bore');
  check('a feature can be chosen by name', (await page.textContent('#solid-said')) === 'Bore');
  await page.click('#solid-go');
  check('and leads to its field', await page.evaluate(() => document.activeElement.closest('[data-path]')?.dataset.path === '/wheel/bore'));
  await page.selectOption('#solid-feature', '');
  await pressed(desk, 'solid-side-b');
  await named(desk, 80, 0);
  await page.mouse.down();
  await page.mouse.up();
  check('a click leads to the field', await page.evaluate(() => document.activeElement.closest('[data-path]')?.dataset.path === '/wheel/side_b/recess/0/depth'));
}

/** By keys and by the pointer. */
async function turned(desk) {
  const { page } = desk;
  await pressed(desk, 'solid-rim');
  await page.focus('#solid-canvas');
  for (let i = 0; i < 6; i += 1) await page.keyboard.press('ArrowRight');
  await still(desk);
  const side = await seen(desk);
  check('six arrow keys turn it a quarter', near(side.wide, side.high, 0.01), JSON.stringify(side));
  await page.keyboard.press('-');
  await still(desk);
  check('minus makes it smaller', near((await seen(desk)).wide / side.wide, 0.8, 0.02));
  await page.keyboard.press('Shift+ArrowRight');
  await still(desk);
  check('Shift moves it', (await seen(desk)).left > side.left);
  await page.keyboard.press('0');
  await still(desk);
  check('0 shows all of it', (await seen(desk)).wide === side.wide);
  const box = await page.locator('#solid-canvas').boundingBox();
  await page.mouse.move(box.x + 200, box.y + 200);
  await page.mouse.down();
  await page.mouse.move(box.x + 200 + Math.PI / 2 / 0.008, box.y + 200, { steps: 5 });
  await page.mouse.up();
  await still(desk);
  const rim = await seen(desk);
  check('the mouse turns it', near(rim.wide / rim.high, 50 / 400, 0.05) || near(rim.high / rim.wide, 50 / 400, 0.05), JSON.stringify(rim));
}

/** By one finger and by two. */
async function touched(desk) {
  const { page } = desk;
  await pressed(desk, 'solid-side-a');
  const side = await seen(desk);
  const box = await page.locator('#solid-canvas').boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const cdp = await page.context().newCDPSession(page);
  const touch = async (type, ...points) => {
    await cdp.send('Input.dispatchTouchEvent', { type, touchPoints: points.map(([right, down], id) => ({ x: x + right, y: y + down, id })) });
  };
  await touch('touchStart', [-40, 0]);
  for (let i = 1; i <= 5; i += 1) await touch('touchMove', [-40 + (i * Math.PI) / 2 / 0.008 / 5, 0]);
  await touch('touchEnd');
  await still(desk);
  const rim = await seen(desk);
  check('a finger turns it', near(rim.wide / rim.high, 50 / 400, 0.15), JSON.stringify(rim));
  await pressed(desk, 'solid-side-a');
  await touch('touchStart', [-50, 0], [50, 0]);
  for (let i = 1; i <= 5; i += 1) await touch('touchMove', [-50 + 5 * i, 0], [50 - 5 * i, 0]);
  await touch('touchEnd');
  await still(desk);
  check('two fingers make it smaller', near((await seen(desk)).wide / side.wide, 0.5, 0.05), `${(await seen(desk)).wide} ${side.wide}`);
  await pressed(desk, 'solid-fit');
  await cdp.detach();
}

/** The cutting plane shows the section. */
async function opened(desk) {
  const { page } = desk;
  await pressed(desk, 'solid-section');
  check('the section is cut through the axis', (await page.textContent('#solid-off-said')) === 'through the axis' && (await page.getAttribute('#solid-cut', 'aria-pressed')) === 'true');
  const box = await page.locator('#solid-canvas').boundingBox();
  await page.mouse.move(box.x + 5, box.y + 5);
  await desk.picture('solid-section');
  const through = await seen(desk);
  const middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  await page.mouse.move(middle.x, middle.y);
  await still(desk);
  check('what is seen through the cut is named', (await page.textContent('#solid-said')) === 'Bore', await page.textContent('#solid-said'));
  await page.mouse.move(middle.x, middle.y - (150 * Math.min(box.width, box.height)) / (Math.hypot(400, 50) * 1.12));
  await still(desk);
  check('the stone that is laid open is no feature', (await page.textContent('#solid-said')) === '', await page.textContent('#solid-said'));
  await page.mouse.move(box.x + 5, box.y + 5);
  await page.focus('#solid-off');
  for (let i = 0; i < 4; i += 1) await page.keyboard.press('ArrowLeft');
  await still(desk);
  check('arrow keys move the plane', (await page.textContent('#solid-off-said')) === '8 mm behind the axis', await page.textContent('#solid-off-said'));
  check('and what it lays open', (await seen(desk)).hash !== through.hash);
  const before = await page.inputValue('#solid-off');
  const grip = await page.locator('#solid-grip').boundingBox();
  await page.mouse.move(grip.x + 12, grip.y + 12);
  await page.mouse.down();
  await page.mouse.move(grip.x + 12, grip.y + 60, { steps: 6 });
  await page.mouse.up();
  check('it can be dragged', Number(await page.inputValue('#solid-off')) < Number(before), `${before} ${await page.inputValue('#solid-off')}`);
  await pressed(desk, 'solid-cut');
  check('and be put away', await page.isHidden('#solid-grip'));
}

/** Tension as colours: most at the bore, as in any turning ring. */
async function tensed(desk) {
  const { page } = desk;
  await desk.openText(text({ side_a: undefined, side_b: undefined }), 'ring.json');
  await built(desk);
  await pressed(desk, 'solid-side-a');
  await pressed(desk, 'solid-tension');
  await desk.settled();
  await still(desk);
  check('what the colours mean is said', /^Tension from none to 100 % of the greatest/.test(await page.textContent('#solid-key p')), await page.textContent('#solid-key'));
  const dot = (radius) => page.evaluate(async ([mm]) => {
    (await import('/page/scene.js')).draw();
    await new Promise(requestAnimationFrame);
    const shown = document.getElementById('solid-canvas');
    const drawn = new OffscreenCanvas(1, 1).getContext('2d');
    const scale = Math.min(shown.width, shown.height) / (Math.hypot(400, 50) * 1.12);
    drawn.drawImage(shown, -Math.round(shown.width / 2 + mm * scale), -Math.round(shown.height / 2));
    return [...drawn.getImageData(0, 0, 1, 1).data];
  }, [radius]);
  const [inner, outer] = [await dot(66), await dot(196)];
  check('it is greatest at the bore', inner[0] > 2 * inner[1] && outer[1] > outer[2] && outer[1] > 0.8 * outer[0], `${inner} ${outer}`);
  await desk.picture('solid-tension');
  await pressed(desk, 'solid-section');
  await desk.picture('solid-tension-section');
  await pressed(desk, 'solid-cut');
  await pressed(desk, 'solid-tension');
  check('and is put away again', await page.isHidden('#solid-key') && (await dot(66))[0] < 2 * (await dot(66))[1]);
  await desk.openText(text());
  await built(desk);
}

/** It follows what is typed; the last letter is what is shown. */
async function typed(desk) {
  await pressed(desk, 'solid-side-a');
  await desk.type('/wheel/bore', '180');
  await built(desk);
  const ring = (Math.PI / 4) * (1 - (180 / 400) ** 2);
  const box = await desk.page.locator('#solid-canvas').boundingBox();
  await desk.page.mouse.move(box.x + 5, box.y + 5);
  await desk.page.evaluate(() => document.activeElement.blur());
  await still(desk);
  const side = await seen(desk);
  check('the bore is what was typed last', near(side.dots / side.wide ** 2, ring, 0.02), `${side.dots / side.wide ** 2} ${ring}`);
  await desk.type('/wheel/bore', '3o5');
  await desk.settled();
  check('what cannot be read leaves the last one, marked as such', await desk.page.evaluate(() => document.getElementById('solid-stage').dataset.old === '' && document.body.dataset.now === 'other'));
  await desk.openText(text());
}

/** What cannot be made is told in words, with the picture in its place. */
async function refused(desk) {
  const { page } = desk;
  await desk.openText(text({ side_b: { recess: [{ diameter: 200, depth: 45, fillet_radius: 2 }] } }), 'through.json');
  await desk.settled();
  await page.waitForSelector('#solid-flat .pictures svg');
  check('it says why there is no solid', (await page.textContent('#solid-flat')).includes('the grooves of the sides cannot be made as a solid'), await page.textContent('#solid-flat'));
  check('and shows no buttons that do nothing', await page.isHidden('#solid-side-a'));
  await desk.openText(text());
  await built(desk);
  check('the next one is shown again', await page.isVisible('#solid-canvas') && await page.isHidden('#solid-flat'));
}

/** The demonstration order, 360 grooves in sides and 90 in the face, to be looked at. */
async function demo(desk) {
  const { page } = desk;
  await desk.openText(readFileSync(join(ROOT, 'demo-data', '1042.json'), 'utf8'), '1042.json');
  await desk.settled();
  await built(desk);
  await pressed(desk, 'solid-pictorial');
  await desk.picture('solid-1042');
  await page.emulateMedia({ colorScheme: 'dark' });
  await still(desk);
  await desk.picture('solid-1042-dark');
  await page.emulateMedia({ colorScheme: 'light', forcedColors: 'active' });
  await still(desk);
  await desk.picture('solid-1042-forced');
}

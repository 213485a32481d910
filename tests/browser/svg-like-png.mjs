// The browser's picture of an SVG, against the picture written as PNG from the same drawing.
import { check, dataUrl, run } from './harness.mjs';

/** Share of pixels that may differ by more than a quarter of black: edges are smoothed differently. */
const SHARE = 0.01;

await run(async (page) => {
  const [share, ink] = await page.evaluate(
    async ([svg, png]) => {
      const load = async (url) => {
        const image = new Image();
        image.src = url;
        await image.decode();
        return image;
      };
      const picture = await load(png);
      const { width, height } = picture;
      const greys = async (image) => {
        const canvas = new OffscreenCanvas(width, height);
        const context = canvas.getContext('2d');
        context.drawImage(image, 0, 0, width, height);
        const { data } = context.getImageData(0, 0, width, height);
        return Array.from({ length: width * height }, (_, i) => data[4 * i]);
      };
      const [a, b] = [await greys(await load(svg)), await greys(picture)];
      const different = a.filter((grey, i) => Math.abs(grey - b[i]) > 64).length;
      return [different / a.length, b.filter((grey) => grey < 128).length / b.length];
    },
    [dataUrl('sample.svg', 'image/svg+xml'), dataUrl('sample.png', 'image/png')],
  );
  console.log(`${(100 * share).toFixed(3)} % of the pixels differ, ${(100 * ink).toFixed(2)} % are dark`);
  check('the picture is not empty', ink > 0.02, `${ink}`);
  check('the pictures agree', share < SHARE, `${share}`);
});

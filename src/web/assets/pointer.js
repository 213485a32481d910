// JSON pointers such as /wheel/side_a/recess/0/depth, as the program names fields.

/** The steps of a pointer; numbers stay texts. */
export const steps = (pointer) =>
  pointer === '' ? [] : pointer.slice(1).split('/').map((s) => s.replaceAll('~1', '/').replaceAll('~0', '~'));

/** The pointer of steps. */
export const pointer = (path) => path.map((s) => `/${String(s).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');

/** The pointer of what surrounds a field. */
export const above = (at) => at.slice(0, Math.max(0, at.lastIndexOf('/')));

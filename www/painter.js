// The painter: a small module of the core, one instance a page, which paints for all elements.

import init, { Painter, inks, roleNames } from './wasm/painter.js';
import { compile } from './modules.js';

let ready;

/** A painter of the page's instance. The caller frees it. */
export async function createPainter() {
  ready ??= compile('painter').then((module) => init({ module_or_path: module }));
  await ready;
  return new Painter();
}

export { inks, roleNames };

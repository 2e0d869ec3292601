// The painter: a small module of the core, one instance a page, which paints for all elements.

import init, { Painter, inks, roleNames } from './wasm/painter.js';
import { compile } from './modules.js';

let ready;
let painters = 0;

/** A painter of the page's instance; `freePainter` gives it back. */
export async function createPainter() {
  ready ??= compile('painter').then((module) => init({ module_or_path: module }));
  await ready.catch((fault) => {
    ready = undefined;
    throw fault;
  });
  painters += 1;
  return new Painter();
}

export function freePainter(painter) {
  painter.free();
  painters -= 1;
}

/** Painters in use, and the bytes of the memory that all share. */
export async function heldByPainters() {
  return { painters, bytes: (await ready)?.memory.buffer.byteLength ?? 0 };
}

export { inks, roleNames };

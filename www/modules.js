// The modules of the core, each loaded and compiled once a page: the painter with the page, the engine when there is
// something to compute, the maker when a swing is tried or a story drafted.

import { load } from './resources.js';

const compiled = new Map();

/** The compiled module of a name. One that could not be loaded is tried again when it is asked for again. */
export function compile(name) {
  if (!compiled.has(name)) {
    const module = compiledFrom(new URL(`wasm/${name}_bg.wasm`, import.meta.url));
    compiled.set(name, module);
    module.catch(() => compiled.delete(name));
  }
  return compiled.get(name);
}

async function compiledFrom(url) {
  const answer = await load(url);
  // A host may not know the type; then compiling has to wait for the last byte.
  const known = answer.headers.get('content-type')?.startsWith('application/wasm');
  return known ? WebAssembly.compileStreaming(answer) : WebAssembly.compile(await answer.arrayBuffer());
}

// The worker of the shelf: references are read and searched beside the page and beside the engine, one after the other, so that it
// can be stopped between two files.

import init, { References } from './wasm/shelf.js';

let shelf;

const TASKS = {
  async start({ module }) {
    await init({ module_or_path: module });
    shelf = new References();
  },
  add: ({ label, bytes }) => shelf.add(label, bytes),
  open: ({ pack }) => shelf.open(pack),
  labels: () => shelf.labels(),
  pack: () => shelf.pack(),
  nearest: ({ bytes, still, question }) => shelf.nearest(bytes, still, question),
};

// One task after the other, also while the module is still being prepared.
let before = Promise.resolve();

addEventListener('message', ({ data: { type, ticket, ...job } }) => {
  before = before.then(async () => {
    try {
      postMessage({ ticket, value: await TASKS[type](job) });
    } catch (fault) {
      const stopped = fault instanceof WebAssembly.RuntimeError || fault instanceof RangeError;
      postMessage({ ticket, fault: String(fault?.message ?? fault), stopped });
    }
  });
});

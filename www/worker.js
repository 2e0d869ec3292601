// The worker: one instance of the engine, one session. It reads and computes; the page paints.

import init, { Session } from './wasm/engine.js';

let session;

// The engine calls it while it reads a large file: the page hears of it at once, though this worker is busy.
globalThis.handpathReading = (id, share) => postMessage({ reading: { id, share } });

let maker;

/** The maker comes when a swing is tried or a story drafted. */
const makerOf = (module) =>
  (maker ??= import('./wasm/maker.js').then(async (code) => {
    await code.default({ module_or_path: module });
    return code;
  }));
const early = [];

const TASKS = {
  put: ({ id, bytes }) => session.put(id, bytes),
  drop: ({ id }) => session.drop(id),
  compare: ({ job }) => session.compare(job),
  aim: ({ job }) => session.aim(job),
  together: ({ job }) => session.together(job),
  band: ({ job }) => session.band(job),
  measures: ({ job }) => session.measuresCsv(job),
  paths: ({ job }) => session.pathsCsv(job),
  sliders: async ({ job }) => {
    const { sliderNames, sliderRanges, reference } = await makerOf(job.module);
    return { names: sliderNames(), ranges: [...sliderRanges()], reference: reference() };
  },
  swing: async ({ job }) => (await makerOf(job.module)).swing(Float64Array.from(job.values)),
  draft: async ({ job }) => (await makerOf(job.module)).draft(job.facts),
  cloud: ({ job }) => session.cloud(job),
  openLesson: ({ job }) => session.openLesson(job),
  saveLesson: ({ job }) => session.saveLesson(job),
};

async function run(message) {
  const { type, ticket } = message;
  try {
    const value = await TASKS[type](message);
    if (ticket !== undefined) postMessage({ ticket, value });
  } catch (fault) {
    // A trap (and running out of memory) is a RuntimeError; whatever else is thrown is the session saying no.
    if (fault instanceof WebAssembly.RuntimeError || fault instanceof RangeError) postMessage({ stopped: String(fault) });
    else postMessage({ ticket, refused: String(fault?.message ?? fault) });
  }
}

addEventListener('message', async ({ data }) => {
  if (data.type === 'start') {
    try {
      await init({ module_or_path: data.module });
      session = new Session();
      postMessage({ ready: true });
    } catch (fault) {
      postMessage({ failed: String(fault?.message ?? fault) });
      return;
    }
    early.splice(0).forEach(run);
  } else if (session) run(data);
  else early.push(data);
});

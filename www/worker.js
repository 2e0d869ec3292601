// The worker: one instance of the engine, one session. It reads and computes; the page paints.

import init, { Session } from './wasm/engine.js';

let session;
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
  cloud: ({ job }) => session.cloud(job),
  openLesson: ({ job }) => session.openLesson(job),
  saveLesson: ({ job }) => session.saveLesson(job),
  anonymise: ({ job }) => session.anonymise(job),
};

function run(message) {
  const { type, ticket } = message;
  try {
    const value = TASKS[type](message);
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

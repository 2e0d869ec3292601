// The core: compiled once per page, one instance here for painting, one per element in a worker for everything else.

import init, { Painter, inks, roleNames } from './wasm/handpath.js';

let compiled;

/** The compiled module, shared by all elements and workers of the page. */
function compile() {
  compiled ??= (async () => {
    const answer = await fetch(new URL('wasm/handpath_bg.wasm', import.meta.url));
    if (!answer.ok) throw new Error(`${answer.status} ${answer.url}`);
    return WebAssembly.compile(await answer.arrayBuffer());
  })();
  return compiled;
}

let painting;

/** A painter of the page's own instance. The caller frees it. */
export async function createPainter() {
  painting ??= compile().then((module) => init({ module_or_path: module }));
  await painting;
  return new Painter();
}

export { inks, roleNames };

/** The core stopped in the middle of its work; the instance is gone, the files are kept. */
export class Stopped extends Error {}

/** One worker with its own instance. Files are kept here too, so that a new worker can go on with them. */
export class Engine {
  #worker;
  #waiting = new Map();
  #files = new Map();
  #last = 0;
  #ended = false;

  /** Settles when the worker answers; fails when it cannot be started. */
  async start() {
    const module = await compile();
    if (!this.#ended) await this.#open(module);
  }

  #open(module) {
    const worker = new Worker(new URL('worker.js', import.meta.url), { type: 'module' });
    const ready = new Promise((resolve, reject) => {
      worker.addEventListener('message', ({ data }) => {
        if (data.ready) resolve();
        else if (data.failed) reject(new Error(data.failed));
        else this.#answer(worker, data);
      });
      worker.addEventListener('error', (event) => {
        event.preventDefault();
        // Before it is ready this fails the start; a worker that never started is not started again.
        reject(new Error(event.message || 'worker.js'));
        if (this.#ready.has(worker)) this.#restart(worker, module, event.message ?? 'worker');
      });
    }).then(() => this.#ready.add(worker));
    this.#worker = worker;
    this.#module = module;
    worker.postMessage({ type: 'start', module });
    for (const [id, bytes] of this.#files) this.#send(id, bytes);
    return ready;
  }

  #module;
  #ready = new WeakSet();

  #send(id, bytes) {
    this.#worker?.postMessage({ type: 'put', id, bytes });
  }

  #answer(worker, { ticket, value, stopped, refused }) {
    if (worker !== this.#worker) return;
    if (stopped) {
      this.#restart(worker, this.#module, stopped);
      return;
    }
    const waiting = this.#waiting.get(ticket);
    this.#waiting.delete(ticket);
    if (refused) waiting?.reject(new Error(refused));
    else waiting?.resolve(value);
  }

  /** A trap leaves an instance in an unknown state: throw it away, start another, give it the files again. */
  #restart(worker, module, reason) {
    if (worker !== this.#worker) return;
    worker.terminate();
    const waiting = [...this.#waiting.values()];
    this.#waiting.clear();
    if (!this.#ended) this.#open(module).catch((fault) => this.#giveUp(fault));
    for (const { reject } of waiting) reject(new Stopped(reason));
  }

  #giveUp(fault) {
    for (const { reject } of this.#waiting.values()) reject(fault);
    this.#waiting.clear();
  }

  put(id, bytes) {
    this.#files.set(id, bytes);
    this.#send(id, bytes);
  }

  drop(id) {
    this.#files.delete(id);
    this.#worker?.postMessage({ type: 'drop', id });
  }

  /** Asks the session: `compare` with a job, `aim` with a job and its degrees, `band` with a job, or `cloud` with {id}. */
  ask(type, job) {
    this.#last += 1;
    const ticket = this.#last;
    return new Promise((resolve, reject) => {
      this.#waiting.set(ticket, { resolve, reject });
      this.#worker.postMessage({ type, ticket, job });
    });
  }

  end() {
    this.#ended = true;
    this.#worker?.terminate();
    this.#worker = undefined;
    for (const { reject } of this.#waiting.values()) reject(new DOMException('', 'AbortError'));
    this.#waiting.clear();
    this.#files.clear();
  }
}

// The engine: the module that reads and computes, one instance per element in a worker. It is loaded when it is first asked.

import { compile } from './modules.js';
import { workerAt } from './resources.js';

/** The core stopped in the middle of its work; the instance is gone, the files are kept. */
export class Stopped extends Error {}

/** The reader stopped it. */
export class Cancelled extends Stopped {}

let workers = 0;

/** Workers that run. */
export const heldByEngines = () => ({ workers });

/** One worker with its own instance. Files are kept here too, so that a new worker can go on with them. */
export class Engine {
  #worker;
  #waiting = new Map();
  #files = new Map();
  #last = 0;
  #ended = false;

  /** Begins to load the module, for a question that is likely to come. A failure shows with the question. */
  static expect() {
    compile('engine').catch(() => {});
  }

  /** Settles when the worker answers; fails when it cannot be started, and can then be tried again. */
  #start() {
    this.#started ??= compile('engine')
      .then((module) => this.#ended || this.#open(module))
      .catch((fault) => {
        this.#stop();
        this.#started = undefined;
        throw fault;
      });
    return this.#started;
  }

  #started;

  #open(module) {
    const worker = workerAt(new URL('worker.js', import.meta.url));
    workers += 1;
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
    if (bytes instanceof Uint8Array) this.#worker?.postMessage({ type: 'put', id, bytes });
  }

  /** Fetches the files that are only promised. One that cannot be fetched is no file; whoever promised it knows. */
  async #fetchAll() {
    const promised = [...this.#files].filter(([, load]) => typeof load === 'function');
    const fetched = promised.map(async ([id, load]) => {
      const bytes = await load().catch(() => this.#files.delete(id));
      if (this.#files.get(id) === load) this.put(id, bytes);
    });
    await Promise.all(fetched);
  }

  #answer(worker, { ticket, value, stopped, refused, reading }) {
    if (worker !== this.#worker) return;
    if (reading) {
      this.onreading?.(reading);
      return;
    }
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
  #restart(worker, module, reason, Fault = Stopped) {
    if (!worker || worker !== this.#worker) return;
    this.#stop();
    const waiting = [...this.#waiting.values()];
    this.#waiting.clear();
    if (!this.#ended) this.#open(module).catch((fault) => this.#giveUp(fault));
    for (const { reject } of waiting) reject(new Fault(reason));
  }

  #stop() {
    if (!this.#worker) return;
    this.#worker.terminate();
    this.#worker = undefined;
    workers -= 1;
  }

  #giveUp(fault) {
    this.#stop();
    this.#started = undefined;
    for (const { reject } of this.#waiting.values()) reject(fault);
    this.#waiting.clear();
  }

  /** Ends what is being worked on. */
  cancel() {
    this.#restart(this.#worker, this.#module, '', Cancelled);
  }

  /** Gives the session a file: its bytes, or a function that fetches them when the session is first asked. */
  put(id, bytes) {
    this.#files.set(id, bytes);
    this.#send(id, bytes);
  }

  /** The bytes of a file, fetched if it is only promised. */
  async bytes(id) {
    const bytes = this.#files.get(id);
    return typeof bytes === 'function' ? bytes() : bytes;
  }

  drop(id) {
    this.#files.delete(id);
    this.#worker?.postMessage({ type: 'drop', id });
  }

  /** Asks the session: `compare`, `band`, `together`, `measures` or `paths` with a job, `aim` with a job and its degrees, `cloud`
      with {id}, `openLesson` with bytes, `saveLesson` with a document. */
  async ask(type, job) {
    await Promise.all([this.#start(), this.#fetchAll()]);
    if (this.#ended) throw new DOMException('', 'AbortError');
    this.#last += 1;
    const ticket = this.#last;
    return new Promise((resolve, reject) => {
      this.#waiting.set(ticket, { resolve, reject });
      this.#worker.postMessage({ type, ticket, job });
    });
  }

  /** Asks the maker, a module of its own that is loaded when it is first asked: `sliders`, `swing` with their values, `draft` with
      facts. */
  async make(type, job) {
    return this.ask(type, { module: await compile('maker'), ...job });
  }

  end() {
    this.#ended = true;
    this.#stop();
    for (const { reject } of this.#waiting.values()) reject(new DOMException('', 'AbortError'));
    this.#waiting.clear();
    this.#files.clear();
  }
}

// A lesson and its log of practice: every entry is folded by the core and kept on this machine before it is acknowledged.

import { core } from '../coach.js';
import { keepEntry, keepLesson, whyOf } from './keep.js';

/** The time of an entry. */
export const now = () => new Date().toISOString();

/** Does a list begin with another? */
function beginsWith(longer, shorter) {
  return longer.length >= shorter.length && JSON.stringify(longer.slice(0, shorter.length)) === JSON.stringify(shorter);
}

export class Logbook {
  #document;
  #opened;
  #recordings;
  #log;
  #practice;
  #line = Promise.resolve();

  /** Why it is not kept on this machine: "full" or "refused"; null: it is. */
  unkept = null;

  /** `document`: the text of a lesson whose recordings are numbers; `entries`: of the log, beyond those of the document. */
  constructor({ key, document, opened, recordings, entries = [] }) {
    this.key = key;
    this.#document = JSON.parse(document);
    this.#opened = opened;
    this.#recordings = recordings;
    const { plan = null, log = null } = this.#document;
    this.#log = Array.isArray(log) ? [...log] : [];
    this.#practice = new core.Practice(plan, log);
    for (const entry of entries) this.#fold(entry);
  }

  get document() {
    return this.#document;
  }

  get code() {
    const { code } = this.#document.student ?? {};
    return typeof code === 'string' ? code : '';
  }

  get log() {
    return this.#log;
  }

  get standing() {
    return this.#practice.standing();
  }

  get progress() {
    return this.#practice.progress();
  }

  get plan() {
    return this.#practice.plan();
  }

  get warnings() {
    return this.#practice.warnings();
  }

  #fold(entry) {
    const { hit_on, standing, notes } = this.#practice.tap(entry);
    const stated = Object.fromEntries(Object.entries(hit_on ?? {}).filter(([, value]) => value !== null && value !== undefined));
    this.#log.push({ ...entry, ...stated });
    return { standing, notes };
  }

  /** The same lesson with a log that goes on where the other ends: that log is taken over. False where they are two. */
  goOn(other) {
    if (!beginsWith(other.log, this.#log)) return false;
    for (const entry of other.log.slice(this.#log.length)) this.#fold(entry);
    return true;
  }

  /** Takes an entry, one after the other: folded, then kept, then acknowledged. `{standing, notes}`. */
  tap(entry) {
    const work = this.#line.then(() => this.#take(entry));
    this.#line = work.catch(() => {});
    return work;
  }

  async #take(entry) {
    const told = this.#fold({ ...entry, at: now() });
    // After a failure the whole log is kept, so that nothing of it is missing.
    await this.#kept(() => (this.unkept ? keepLesson(this.#whole()) : keepEntry(this.key, this.#log.at(-1))));
    return told;
  }

  /** Keeps all of it on this machine. */
  keep() {
    return this.#kept(() => keepLesson(this.#whole()));
  }

  async #kept(work) {
    try {
      await work();
      this.unkept = null;
    } catch (fault) {
      this.unkept = whyOf(fault);
    }
  }

  #whole() {
    return { key: this.key, code: this.code, at: now(), document: this.#text(), opened: this.#opened, recordings: this.#recordings };
  }

  /** A log that is no list is kept beside the new one. */
  #text() {
    const { log } = this.#document;
    const odd = log !== undefined && log !== null && !Array.isArray(log) ? { log_before: log } : {};
    return JSON.stringify({ ...this.#document, ...odd, log: this.#log });
  }

  /** The lesson file: its text, or an error as message. */
  file() {
    return core.saveLesson({ document: this.#text(), opened: this.#opened }, this.#recordings);
  }

  end() {
    this.#practice.free();
  }
}

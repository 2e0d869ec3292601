// The coach's desk: its cards come when it is opened, or with a lesson that holds something of it.

import { h } from './dom.js';

export class Coaching {
  #words;
  #host;
  #part;
  #loading;

  /** `host` gives what commands may touch. */
  constructor(words, host) {
    this.#words = words;
    this.#host = host;
    this.root = h('details', { class: 'desk', part: 'desk', on: { toggle: () => this.root.open && this.#load() } }, h('summary', {}, words.text('page.coach')));
  }

  #load() {
    const host = this.#host();
    this.#loading ??= import('./desk.js')
      .then(({ Part }) => Part.open(this.#words, this.root, this.#host))
      .then((part) => {
        this.#part = part;
        host.changed();
      })
      .catch((fault) => {
        this.#loading = undefined;
        host.unmade(fault);
      });
    host.wait(this.#loading);
  }

  show({ fields }) {
    if (Object.keys(fields).length) this.root.open = true;
    this.#part?.show();
  }

  end() {
    this.#part?.end();
  }
}

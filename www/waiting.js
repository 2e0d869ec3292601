// While a large file is read: how far it is, and a button to stop.

import { h, setText } from './dom.js';

export class Part {
  #words;
  #root;
  #host;

  constructor(words, root, host) {
    [this.#words, this.#root, this.#host] = [words, root, host];
    this.text = h('p', { role: 'status' });
    this.bar = h('progress', { max: 1, 'aria-label': words.text('reading.progress') });
    root.append(this.text, this.bar, h('button', { type: 'button', class: 'cancel-reading', on: { click: () => host().cancel() } }, words.text('reading.stop')));
  }

  reading({ id, share }) {
    const { element, files } = this.#host();
    // What was told while this was loading may be over.
    if (element.dataset.state !== 'busy') return;
    this.#root.hidden = false;
    this.bar.value = share;
    setText(this.text, this.#words.text('reading.now', { name: files.get(id)?.name ?? '' }));
  }

  show() {
    if (this.#host().element.dataset.state !== 'busy') this.#root.hidden = true;
  }
}

// Try it yourself: a made-up swing of the model in place of the student's, moved by a few sliders. The model gives a file, and the
// engine reads it like any other.

import { h, setText, unique } from './dom.js';
import { length, percent } from './quantities.js';

/** The two ends of the first slider. */
const ENDS = { arms: 0, body: 1 };

export class Part {
  #words;
  #host;
  #root;
  #sliders = [];
  #starting;
  #asking = false;
  #unit;

  constructor(words, root, host) {
    this.#words = words;
    this.#host = host;
    this.#root = root;
    const button = (key, click) => h('button', { type: 'button', on: { click } }, words.text(key));
    this.fields = h('div', { class: 'trials' });
    root.append(
      h('p', { class: 'note' }, words.text('trying.note')),
      h('div', { class: 'playing' }, button('trying.arms', () => this.#all(ENDS.arms)), button('trying.body', () => this.#all(ENDS.body)), button('trying.start', () => this.#all())),
      this.fields,
    );
    root.addEventListener('toggle', () => this.#toggled());
    this.#toggled();
  }

  #toggled() {
    if (this.#root.open) this.#start();
    else this.#host().untry();
  }

  #start() {
    const { wait, unmade } = this.#host();
    this.#starting ??= this.#build().catch((fault) => {
      this.#starting = undefined;
      unmade(fault);
    });
    wait(this.#starting.then(() => this.#changed()));
  }

  async #build() {
    const { names, ranges, reference } = await this.#host().make('sliders');
    this.reference = reference;
    this.#sliders = names.map((name, i) => this.#slider(name, ranges.slice(4 * i, 4 * i + 4)));
    this.fields.replaceChildren(...this.#sliders.map(({ root }) => root));
  }

  #slider(name, [min, max, step, start]) {
    const input = h('input', { type: 'range', id: unique('trial'), min, max, step, value: start, 'data-trial': name, on: { input: () => this.#changed() } });
    input.value = start;
    const output = h('output', { htmlFor: input.id });
    return { name, input, output, start, root: h('div', { class: 'field trial' }, h('label', { htmlFor: input.id }, this.#words.text(`trying.${name}`)), input, output) };
  }

  /** All sliders as at first; the first one at an end. */
  #all(end) {
    this.#sliders.forEach(({ input, start }) => (input.value = start));
    if (end !== undefined && this.#sliders.length) this.#sliders[0].input.value = end;
    this.#changed();
  }

  #values() {
    return this.#sliders.map(({ input }) => Number(input.value));
  }

  #changed() {
    this.#tell();
    if (!this.#asking && this.#root.open && this.#sliders.length) this.#host().wait(this.#ask());
  }

  /** One swing after the other; of what was asked for in between, the last. */
  async #ask() {
    this.#asking = true;
    try {
      for (let asked; this.#root.open && JSON.stringify(asked) !== JSON.stringify(this.#values()); ) {
        asked = this.#values();
        const bytes = await this.#host().make('swing', { values: asked });
        if (this.#root.open) await this.#host().try(bytes, this.reference);
      }
    } catch (fault) {
      this.#host().unmade(fault);
    } finally {
      this.#asking = false;
    }
  }

  show({ unit }) {
    if (unit === this.#unit) return;
    this.#unit = unit;
    this.#tell();
  }

  #tell() {
    for (const { name, input, output } of this.#sliders) {
      const value = Number(input.value);
      setText(output, this.#told(name, value));
      input.setAttribute('aria-valuetext', output.textContent);
    }
  }

  #told(name, value) {
    const words = this.#words;
    const unit = this.#unit ?? 'cm';
    const size = () => length(words, value, unit);
    if (name === 'carrier') return words.text('trying.carrier_is', { percent: percent(value) });
    if (name === 'opening') return words.text('trying.opening_is', { ms: Math.round(1000 * value) });
    if (name === 'hold') return words.text('trying.hold_is', { size: size() });
    if (name === 'depth') return words.text(value < 0 ? 'trying.depth_less' : 'trying.depth_more', { size: size() });
    return words.text(value < 0 ? 'trying.drop_less' : 'trying.drop_more', { size: size() });
  }
}

// Curves over time or path, with the cursor of the picture.

import { choice, h, setText, unique } from './dom.js';

const QUANTITIES = ['speed', 'out', 'target', 'up', 'shares', 'lateness'];

export class Plots {
  #words;
  #painter;

  constructor(words, run) {
    this.#words = words;
    const repaint = { change: () => run('repaint') };
    this.quantity = choice(QUANTITIES.map((name) => [name, words.text(`plot.${name}`)]), { id: unique('quantity'), name: 'quantity', on: repaint });
    this.over = choice(['time', 'length'].map((name) => [name, words.text(`plot.over_${name}`)]), { id: unique('over'), name: 'over', on: repaint });
    this.canvas = h('canvas', { class: 'plot', role: 'img' });
    this.reading = h('output', {});
    this.note = h('p', { class: 'note', hidden: true }, words.text('plot.lateness_note'));
    const field = (key, control) => h('div', { class: 'field' }, h('label', { htmlFor: control.id }, words.text(key)), control);
    this.root = h(
      'details',
      { class: 'plots', part: 'plots', on: { toggle: () => run('repaint') } },
      h('summary', {}, words.text('plot.title')),
      h('div', { class: 'fields' }, field('plot.quantity', this.quantity), field('plot.over', this.over)),
      this.canvas,
      h('p', {}, this.reading),
      this.note,
      h('p', { class: 'note' }, words.text('plot.note')),
    );
    const scrub = (event) => event.buttons && this.#painter && run('time', this.#painter.plotTime(this.pane(), event.offsetX));
    this.canvas.addEventListener('pointerdown', (event) => {
      this.canvas.setPointerCapture(event.pointerId);
      scrub(event);
    });
    this.canvas.addEventListener('pointermove', scrub);
  }

  pane() {
    return { kind: 'plot', quantity: this.quantity.value, over: this.over.value, width: this.canvas.clientWidth, height: this.canvas.clientHeight };
  }

  /** The curves at the cursor in words. */
  show(painter, look, at) {
    this.note.hidden = this.quantity.value !== 'lateness';
    if (!this.root.open) return;
    this.#painter = painter;
    const words = this.#words;
    const unit = { speed: 'm/s', lateness: 'ms' }[this.quantity.value] ?? look.unit;
    const digits = unit === 'm/s' ? 1 : unit === 'in' ? 1 : 0;
    const read = painter.plotReading(this.pane());
    const parts = [];
    for (let i = 0; i < read.length; i += 2) parts.push(`${words.text(read[i])} ${words.number(read[i + 1], digits).replace('-', '−')} ${unit}`);
    setText(this.reading, words.text('plot.reading', { at, values: parts.join(', ') || '–' }));
    this.canvas.setAttribute('aria-label', `${words.text(`plot.${this.quantity.value}`)}. ${this.reading.textContent}`);
  }
}

// The thresholds of the findings: what each is, where it comes from, and another value of the coach's own.

import { h, setText, unique } from './dom.js';
import { METRES, Quantities } from './quantities.js';

/** What is typed, in the threshold's unit, and by how much an arrow key changes it. */
const typed = {
  m: (unit) => ({ step: unit === 'in' ? 0.25 : 0.5, metres: METRES[unit], symbol: unit }),
  deg: () => ({ step: 1, metres: 1, symbol: '°' }),
  1: () => ({ step: 0.05, metres: 1, symbol: '' }),
};

const tidy = (value) => String(Math.round(value * 1e4) / 1e4);

export class Thresholds {
  #words;
  #run;
  #quantities;
  #rows = [];
  #built;

  constructor(words, run) {
    this.#words = words;
    this.#run = run;
    this.#quantities = new Quantities(words);
    this.list = h('div', {});
    this.changed = h('p', { class: 'note', role: 'status' });
    this.all = h('button', { type: 'button', class: 'reset-all', on: { click: () => run('thresholds', {}) } }, words.text('threshold.reset_all'));
    this.root = h(
      'details',
      { class: 'thresholds', part: 'thresholds' },
      h('summary', {}, words.text('threshold.title')),
      h('p', { class: 'note' }, words.text('threshold.note')),
      h('div', { class: 'playing' }, this.all, this.changed),
      this.list,
    );
  }

  /** `limits`: the rule table; `own`: values that differ from it, by name. */
  show(limits, own, unit) {
    const built = JSON.stringify([limits, unit]);
    if (built !== this.#built) this.#build(limits, unit);
    this.#built = built;
    this.root.hidden = limits.length === 0;
    const count = this.#rows.filter((row) => row(own)).length;
    this.all.disabled = count === 0;
    setText(this.changed, count ? this.#words.text('threshold.changed', { count }) : this.#words.text('threshold.unchanged'));
  }

  #build(limits, unit) {
    this.#rows = [];
    const groups = [...new Set(limits.map(({ finding }) => finding))];
    const group = (finding) => [
      h('h3', {}, this.#words.word('finding', finding)),
      h('div', { class: 'guess-list' }, limits.filter((limit) => limit.finding === finding).map((limit) => this.#row(limit, unit))),
    ];
    this.list.replaceChildren(...groups.flatMap(group));
  }

  #row(limit, unit) {
    const words = this.#words;
    const { step, metres, symbol } = typed[limit.unit](unit);
    const change = (value) => this.#run('threshold', [limit.name, value]);
    const read = () => {
      const value = Number(input.value);
      change(input.value === '' || !Number.isFinite(value) || tidy(value) === tidy(limit.default / metres) ? undefined : value * metres);
    };
    const note = h('span', { class: 'source', id: unique('about') }, this.#about(limit, unit));
    const input = h('input', { type: 'number', id: unique('limit'), name: limit.name, step, 'aria-describedby': note.id, on: { change: read } });
    const reset = h('button', { type: 'button', class: 'reset', 'aria-label': words.text('threshold.reset_of', { name: limit.name }), on: { click: () => change(undefined) } }, words.text('threshold.reset'));
    const label = words.text(limit.beside ? 'threshold.beside' : 'threshold.alone', { measure: this.#quantities.name(limit.measure), side: words.word('side', limit.side) });
    const root = h(
      'div',
      { class: 'guess', 'data-threshold': limit.name },
      h('label', { class: 'what', htmlFor: input.id }, label),
      h('span', { class: 'found' }, h('span', { class: 'tag' }, words.word('label', limit.label)), ' ', note),
      h('span', { class: 'control' }, input, ' ', symbol, ' ', reset),
    );
    this.#rows.push((own) => {
      const changed = own[limit.name] !== undefined && own[limit.name] !== limit.default;
      const text = tidy((own[limit.name] ?? limit.default) / metres);
      if (input.value !== text && input.getRootNode().activeElement !== input) input.value = text;
      reset.disabled = !changed;
      root.classList.toggle('corrected', changed);
      return changed;
    });
    return root;
  }

  /** What it means, the value of the table, and how well the line between usual and unusual is known. */
  #about(limit, unit) {
    const words = this.#words;
    const { metres, symbol } = typed[limit.unit](unit);
    const text = (value) => `${words.local(tidy(value / metres))}${symbol === '°' ? '' : ' '}${symbol}`.replace('-', '−').trim();
    const parts = [words.text(limit.key), words.text('threshold.default', { value: text(limit.default) })];
    if (limit.sd > 0) parts.push(words.text('threshold.sd', { value: text(limit.sd) }));
    return parts.join(' ');
  }
}

// The picture in numbers: the student's hands against the reference's at each instant.

import { h } from './dom.js';
import { METRES, decimals } from './quantities.js';

const COLUMNS = ['time', 'out', 'target', 'up', 'later'];

export class DeviationTable {
  #words;
  #shown;

  constructor(words) {
    this.#words = words;
    this.caption = h('caption', {});
    this.head = h('thead', {});
    this.body = h('tbody', {});
    this.note = h('p', { class: 'note' });
    this.root = h(
      'section',
      { class: 'deviations', part: 'deviations' },
      h('div', { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': words.text('page.table_region') }, h('table', {}, this.caption, this.head, this.body)),
      this.note,
    );
  }

  show(answer, look) {
    const reference = answer?.comparison.references[look.reference];
    const now = JSON.stringify([reference, look.unit]);
    if (now === this.#shown) return;
    this.#shown = now;
    const words = this.#words;
    this.root.hidden = !reference;
    if (!reference) return this.body.replaceChildren();
    this.caption.textContent = words.text('page.table_caption', { name: reference.name, unit: look.unit });
    const head = (column) => h('th', { scope: 'col' }, words.text(`page.column_${column}`, { unit: look.unit }));
    this.head.replaceChildren(h('tr', {}, h('th', { scope: 'col' }, words.text('page.column_instant')), COLUMNS.map(head)));
    this.body.replaceChildren(...reference.at_instants.map((row) => this.#row(row, look.unit)));
    this.note.textContent = [words.text('page.table_signs'), ...(reference.notes ?? []).map((note) => words.message(note))].join(' ');
  }

  #row(row, unit) {
    const length = (metres) => this.#signed(metres, METRES[unit], decimals(unit));
    const cells = {
      time: [row.time_s, row.time_s === null ? '–' : this.#words.text('page.seconds', { time: row.time_s })],
      out: [row.out_m, length(row.out_m)],
      target: [row.target_m, length(row.target_m)],
      up: [row.up_m, length(row.up_m)],
      later: [row.lateness_s, this.#signed(row.lateness_s, 0.001, 0)],
    };
    const cell = (column) => h('td', { 'data-instant': row.name, 'data-column': column, 'data-value': String(cells[column][0] ?? '') }, cells[column][1]);
    return h('tr', { 'data-instant': row.name }, h('th', { scope: 'row' }, this.#words.word('instant', row.name)), COLUMNS.map(cell));
  }

  #signed(value, step, digits) {
    if (value === null || value === undefined || !Number.isFinite(value)) return '–';
    const size = Number((value / step).toFixed(digits));
    const text = this.#words.number(Math.abs(size), digits);
    return size === 0 ? text : `${size > 0 ? '+' : '−'}${text}`;
  }
}

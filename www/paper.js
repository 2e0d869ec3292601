// What only paper shows: when and of which files the report is, what it does not say, what to mind, and room for what is
// agreed.

import { h } from './dom.js';

/** Remarks that fit on the page; of more their number is told. */
const REMARKS = 4;

export class Paper {
  #words;

  constructor(words) {
    this.#words = words;
    this.head = h('div', { class: 'paper' });
    this.remarks = h('ul', {});
    const part = (name, ...more) => h('section', {}, h('h2', {}, words.text(`paper.${name}`)), ...more);
    this.beside = h(
      'div',
      { class: 'paper' },
      part('limits', h('p', {}, words.text('paper.limits_text'))),
      part('cautions', h('p', {}, words.text('paper.cautions_text')), this.remarks),
    );
    this.foot = h('div', { class: 'paper' }, part('plan', ...[1, 2].map(() => h('div', { class: 'line' }))));
  }

  show(answer, files, { reference, pins, spans }) {
    const against = answer?.comparison.references[reference];
    const student = answer?.files[files.student?.id]?.report;
    const date = new Intl.DateTimeFormat(this.#words.language, { dateStyle: 'long' }).format(new Date());
    const made = this.#words.text('paper.made', { date });
    const lines = [
      student ? `${made} ${this.#about(student)}` : made,
      against && this.#against(against, answer.files[against.id]?.report),
    ];
    this.head.replaceChildren(...lines.filter(Boolean).map((line) => h('p', {}, line)));
    const told = [...(student?.warnings ?? []), ...(against ? [...against.doubts, ...against.warnings] : [])];
    const more = told.length > REMARKS ? [this.#words.text('paper.more', { count: told.length - REMARKS })] : [];
    const notes = [...pins, ...spans].filter(({ swing }) => swing === files.student?.id).length;
    if (notes) more.push(this.#words.text('paper.notes', { count: notes }));
    const remarks = told.slice(0, REMARKS).map((message) => this.#words.message(message));
    this.remarks.replaceChildren(...[...remarks, ...more].map((text) => h('li', {}, text)));
  }

  /** After printing nothing of it is left: what it says may be another lesson's by then. */
  clear() {
    for (const part of [this.head, this.remarks]) part.replaceChildren();
    this.foot.querySelectorAll('.of-plan').forEach((line) => line.remove());
  }

  /** Whose swing, from which recording, and what the numbers rest on most. */
  #about({ name, file, guesses }) {
    const words = this.#words;
    const line = guesses.find(({ what }) => what === 'target line');
    const rests = line ? words.text(line.sd === null ? 'paper.line' : 'paper.line_sd', { source: words.word('source', line.source), sd: line.sd }) : '';
    return [words.text('paper.student', { name, facts: this.#facts(file) }), rests].filter(Boolean).join(' ');
  }

  #against({ name, factor }, report) {
    const scaled = factor === null || factor === 1 ? '' : this.#words.text('paper.scaled', { factor });
    return [this.#words.text('paper.reference', { name, facts: this.#facts(report?.file) }), scaled].filter(Boolean).join(' ');
  }

  #facts(file) {
    return file ? this.#words.text('page.file_facts', { format: file.format, rows: file.rows, rate: file.rate_hz ?? '?' }) : '';
  }
}

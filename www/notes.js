// A coach's notes on the student's path: texts pinned to places, and stretches that are measured. The list has all of them,
// the picture shows them, and all of it works from the keyboard.

import { h, setText, unique } from './dom.js';

const MOST_LETTERS = 400;

export class Notes {
  #words;
  #run;
  #built;
  #from;

  constructor(words, run) {
    this.#words = words;
    this.#run = run;
    const text = (key) => words.text(key);
    this.text = h('input', { type: 'text', id: unique('note'), class: 'note-text', maxLength: MOST_LETTERS });
    this.pin = h('button', { type: 'submit', class: 'pin' });
    this.measure = h('button', { type: 'button', class: 'measure', on: { click: () => run('measure') } });
    this.leave = h('button', { type: 'button', hidden: true, on: { click: () => run('measure', null) } }, text('notes.leave'));
    const form = h('form', { class: 'playing', on: { submit: (event) => this.#pin(event) } }, h('label', { htmlFor: this.text.id }, text('notes.text')), this.text, this.pin);
    this.pins = h('ol', { class: 'pins' });
    this.spans = h('ul', { class: 'spans' });
    this.none = h('p', { class: 'note' }, text('notes.none'));
    this.root = h(
      'details',
      { class: 'notes', part: 'notes' },
      h('summary', {}, text('notes.title')),
      h('p', { class: 'note' }, text('notes.note')),
      form,
      h('div', { class: 'playing' }, this.measure, this.leave),
      this.none,
      this.pins,
      this.spans,
    );
  }

  /** Opens the list at the text of a new pin. */
  open() {
    this.root.open = true;
    this.text.focus();
  }

  #pin(event) {
    event.preventDefault();
    this.#run('pin', this.text.value.trim());
    this.text.value = '';
  }

  /** `look` with the pins and spans of the student's swing `id`; `from`: where a stretch began that is not ended yet. */
  show(painter, look, id, from) {
    const words = this.#words;
    const at = (time) => words.text('page.seconds', { time });
    this.#from = from;
    setText(this.pin, words.text('notes.pin', { time: at(look.time) }));
    setText(this.measure, from === undefined ? words.text('notes.measure', { time: at(look.time) }) : words.text('notes.measure_to', { from: at(from), to: at(look.time) }));
    this.leave.hidden = from === undefined;
    for (const control of [this.pin, this.measure]) control.disabled = id === undefined;
    const own = (list) => look[list].map((note, place) => ({ ...note, place })).filter(({ swing }) => swing === id);
    const [pins, spans] = [own('pins'), own('spans')];
    const ways = spans.map((span) => painter.spanLength(span.from_s, span.to_s));
    const built = JSON.stringify([pins.map(({ time_s }) => time_s), spans.map(({ from_s, to_s }) => [from_s, to_s]), ways.map((way) => [...way]), look.unit, id]);
    if (built !== this.#built) this.#build(pins, spans, ways, look.unit, at);
    this.#built = built;
    this.#fill(pins, spans);
  }

  #build(pins, spans, ways, unit, at) {
    const words = this.#words;
    this.none.hidden = pins.length + spans.length > 0;
    const pin = (note) => this.#line('pins', note, at(note.time_s), ['time', note.time_s]);
    const span = (note, i) => {
      const way = this.#way(ways[i], unit);
      const place = words.text('notes.span', { from: at(note.from_s), to: at(note.to_s) });
      return this.#line('spans', note, place, ['light', { from: note.from_s, to: note.to_s }], h('output', {}, way));
    };
    this.pins.replaceChildren(...pins.map(pin));
    this.spans.replaceChildren(...spans.map(span));
  }

  /** Straight and along the path, in the unit of lengths. */
  #way([straight, along], unit) {
    const size = (metres) => (Number.isFinite(metres) ? `${this.#words.number(metres / (unit === 'in' ? 0.0254 : 0.01), 1)} ${unit}` : '–');
    return this.#words.text('notes.way', { straight: size(straight), along: size(along) });
  }

  #line(list, note, place, go, more) {
    const words = this.#words;
    const { place: index } = note;
    const label = (key) => words.text(key, { place });
    const input = h('input', {
      type: 'text', 'aria-label': label('notes.text_of'), maxLength: MOST_LETTERS,
      on: { change: () => this.#run('note', [list, index, input.value.trim()]) },
    });
    const to = h('button', { type: 'button', 'aria-label': label('notes.go'), on: { click: () => this.#run(...go) } }, place);
    const remove = h('button', { type: 'button', class: 'remove', 'aria-label': label('notes.remove'), on: { click: () => this.#run('note', [list, index, null]) } }, '×');
    return h('li', { 'data-place': index }, to, ' ', more, input, remove);
  }

  /** The texts, but for the one that is being typed. */
  #fill(pins, spans) {
    const inputs = [...this.root.querySelectorAll('li input')];
    [...pins, ...spans].forEach(({ text }, i) => {
      const input = inputs[i];
      if (input && input.getRootNode().activeElement !== input && input.value !== (text ?? '')) input.value = text ?? '';
    });
  }
}

// What the picture says, in two or three sentences. A coach may reword them; their words hold for these numbers only.

import { h, setText, unique } from './dom.js';
import { recallWords, rememberWords } from './remember.js';

export class Sentences {
  #words;
  #shown;
  #lines = [];

  constructor(words) {
    this.#words = words;
    this.said = h('div', { class: 'summary', part: 'summary', role: 'status' });
    this.reword = this.#button('sentence.reword', () => this.#open());
    this.form = h('form', { class: 'rewording', hidden: true, on: { submit: (event) => this.#keep(event), keydown: (event) => this.#escape(event) } });
    this.on = h('p', { class: 'note judged-on' });
    this.root = h('section', { class: 'sentences' }, this.said);
    this.more = h('section', { class: 'sentences' }, this.on, this.reword, this.form);
  }

  #button(key, click, type = 'button') {
    return h('button', { type, on: click ? { click } : {} }, this.#words.text(key));
  }

  /** `computed`: the sentences of the numbers; what was said instead of one is shown in its place. `on`: what they judge. */
  show(computed, on) {
    setText(this.on, on);
    const now = computed.join('\n');
    if (now === this.#shown) return;
    this.#shown = now;
    this.#lines = computed;
    this.#tell();
    this.#close();
  }

  #tell() {
    const line = (text) => {
      const own = recallWords(text);
      return h('p', own === null ? {} : { class: 'own', title: text }, own ?? text);
    };
    this.said.replaceChildren(...this.#lines.map(line).filter((p) => p.textContent));
    this.reword.hidden = !this.#lines.length;
  }

  /** The sentences of the numbers, each with what is said instead; null where it stands as it is. */
  pairs() {
    return this.#lines.map((text) => [text, recallWords(text)]);
  }

  #open() {
    const words = this.#words;
    const fields = this.#lines.map((text, i) => this.#field(text, i));
    const keep = this.#button('sentence.keep', null, 'submit');
    const back = this.#button('sentence.as_computed', () => fields.forEach((field, i) => (field.box.value = this.#lines[i])));
    const leave = this.#button('sentence.leave', () => this.#leave());
    this.form.replaceChildren(h('p', { class: 'note' }, words.text('sentence.note')), ...fields.map((field) => field.root), h('div', { class: 'playing' }, keep, back, leave));
    this.form.hidden = false;
    this.reword.hidden = true;
    fields[0]?.box.focus();
  }

  #field(text, i) {
    const box = h('textarea', { id: unique('sentence'), rows: 3, value: recallWords(text) ?? text });
    const label = h('label', { htmlFor: box.id }, this.#words.text('sentence.number', { number: i + 1 }));
    return { box, root: h('div', { class: 'field' }, label, box) };
  }

  #keep(event) {
    event.preventDefault();
    this.form.querySelectorAll('textarea').forEach((box, i) => {
      const own = box.value.trim().replaceAll(/\s+/g, ' ');
      rememberWords(this.#lines[i], own === this.#lines[i] ? null : own);
    });
    this.#tell();
    this.#leave();
  }

  #escape(event) {
    if (event.key === 'Escape') this.#leave();
  }

  #leave() {
    this.#close();
    this.reword.focus();
  }

  #close() {
    this.form.hidden = true;
    this.reword.hidden = !this.#lines.length;
  }
}

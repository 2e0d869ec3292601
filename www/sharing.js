// What is done with a lesson as a whole: save, open, send, take the names out, delete. Each says what it does beside it.

import { h, unique } from './dom.js';

export class Sharing {
  #words;

  constructor(words, run) {
    this.#words = words;
    const text = (key, args) => words.text(key, args);
    this.code = h('input', { type: 'text', id: unique('code'), class: 'code', maxLength: 60, on: { change: () => run('code', this.code.value.trim()) } });
    this.names = h('input', { type: 'checkbox', id: unique('names'), class: 'keep-names' });
    const input = h('input', { type: 'file', id: unique('lesson'), class: 'open-lesson', on: { change: () => { run('add', ['student', [...input.files]]); input.value = ''; } } });
    const button = (name, press) => h('button', { type: 'button', class: name.replaceAll('_', '-'), on: { click: press } }, text(`sharing.${name}`));
    const row = (control, key, args) => h('div', { class: 'act' }, control, h('p', { class: 'note' }, text(key, args)));
    this.link = h('input', { type: 'text', readOnly: true, class: 'link', 'aria-label': text('sharing.link_label'), on: { focus: () => this.link.select() } });
    this.copy = button('copy', () => this.#copy());
    this.sent = h('div', { class: 'act sent', hidden: true }, h('div', { class: 'playing' }, this.link, this.copy), h('p', { class: 'note', role: 'status' }));
    this.root = h(
      'details',
      { class: 'sharing', part: 'sharing' },
      h('summary', {}, text('sharing.title')),
      h('div', { class: 'act' },
        h('div', { class: 'field' }, h('label', { htmlFor: this.code.id }, text('sharing.code')), this.code),
        h('label', { class: 'toggle' }, this.names, text('sharing.keep_names'))),
      row(button('save', () => run('saveLesson')), 'sharing.save_note'),
      row(h('span', { class: 'pick' }, input, h('label', { class: 'pick-file', htmlFor: input.id }, text('sharing.open'))), 'sharing.open_note'),
      row(button('make_link', () => run('link')), 'sharing.link_note'),
      this.sent,
      row(button('anonymise', () => run('anonymise')), 'sharing.anonymise_note'),
      row(button('delete_all', () => run('deleteAll')), 'sharing.delete_note'),
    );
  }

  show(lesson) {
    if (this.code.getRootNode().activeElement !== this.code && this.code.value !== lesson.code) this.code.value = lesson.code;
  }

  /** A link that was made, or why there is none. */
  made(url, key, args) {
    this.sent.hidden = false;
    this.link.value = url ?? '';
    this.link.parentElement.hidden = !url;
    this.sent.lastElementChild.textContent = this.#words.text(key, args);
    if (url) this.link.focus();
  }

  async #copy() {
    this.link.select();
    try {
      await navigator.clipboard.writeText(this.link.value);
      this.sent.lastElementChild.textContent = this.#words.text('sharing.copied');
    } catch {
      // It stands selected: the keys of the system copy it.
    }
  }
}

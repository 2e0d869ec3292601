// What is done with a lesson as a whole: save, open, send, take the names out, delete. Each says what it does beside it.

import { putAway } from './coach/keep.js';
import { download, h, unique } from './dom.js';
import { LONGEST_LINK, toFragment } from './fragment.js';
import { newCode } from './lesson.js';

/** In the order of the core's slots. */
const SLOTS = ['student', 'reference', 'own', 'address', 'earlier'];

export class Part {
  #words;
  #host;

  constructor(words, root, host) {
    this.#words = words;
    this.#host = host;
    const text = (key, args) => words.text(key, args);
    const act = (work) => () => host().share(() => work());
    const typed = () => {
      const { lesson } = host();
      lesson.code = this.code.value.trim() || lesson.code;
      host().changed();
    };
    this.code = h('input', { type: 'text', id: unique('code'), class: 'code', maxLength: 60, on: { change: typed } });
    this.names = h('input', { type: 'checkbox', id: unique('names'), class: 'keep-names' });
    const input = h('input', { type: 'file', id: unique('lesson'), class: 'open-lesson', on: { change: () => { host().run('add', ['student', [...input.files]]); input.value = ''; } } });
    const button = (name, press) => h('button', { type: 'button', class: name.replaceAll('_', '-'), on: { click: press } }, text(`sharing.${name}`));
    const row = (control, key, args) => h('div', { class: 'act' }, control, h('p', { class: 'note' }, text(key, args)));
    this.link = h('input', { type: 'text', readOnly: true, class: 'link', 'aria-label': text('sharing.link_label'), on: { focus: () => this.link.select() } });
    this.copy = button('copy', () => this.#copy());
    this.sent = h('div', { class: 'act sent', hidden: true }, h('div', { class: 'playing' }, this.link, this.copy), h('p', { class: 'note', role: 'status' }));
    root.append(
      h('div', { class: 'act' },
        h('div', { class: 'field' }, h('label', { htmlFor: this.code.id }, text('sharing.code')), this.code),
        h('label', { class: 'toggle' }, this.names, text('sharing.keep_names'))),
      row(button('save', act(() => this.save())), 'sharing.save_note'),
      row(h('span', { class: 'pick' }, input, h('label', { class: 'pick-file', htmlFor: input.id }, text('sharing.open'))), 'sharing.open_note'),
      row(button('make_link', act(() => this.#send())), 'sharing.link_note'),
      this.sent,
      row(button('anonymise', act(() => this.#anonymise())), 'sharing.anonymise_note'),
      row(button('delete_all', act(() => this.#deleteAll())), 'sharing.delete_note'),
    );
  }

  show() {
    const { lesson } = this.#host();
    if (this.code.getRootNode().activeElement !== this.code && this.code.value !== lesson.code) this.code.value = lesson.code;
  }

  /** The text of the lesson, and how many tracks it leaves out: see saveLesson() of the element. `nameless`: with this code and
      these labels instead of names. */
  async make(small, nameless) {
    const { former, element, files, sentences, lesson, ask } = this.#host();
    // A swing that is tried is no part of the lesson: what was shown before is.
    const { look, shown } = former ?? { look: element.look, shown: files.shown };
    const words = former ? [] : sentences.pairs();
    const { document, opened } = lesson.make({ ...this.#saved(), shown }, look, words);
    const saved = await ask('saveLesson', { document, opened: nameless ? null : opened, small, nameless });
    if (saved.error) throw new Error(this.#words.message(saved.error));
    return saved;
  }

  /** What is saved: all but what nobody can read. The student's own files are called by the code. */
  #saved() {
    const { files, answer, lesson } = this.#host();
    const readable = ({ id, kept, error }) => kept || (!error && answer?.files[id]?.report.file !== null);
    const saved = files.all().filter(readable);
    const counts = {};
    for (const file of saved.filter(({ kept }) => !kept)) {
      counts[file.slot] = (counts[file.slot] ?? 0) + 1;
      const coded = !file.demo && file.slot !== 'reference' && !this.names.checked;
      file.label = coded ? this.#label(file.slot, lesson.code, counts[file.slot]) : file.name;
    }
    return { all: () => saved };
  }

  #label(slot, code, number) {
    return this.#words.text(`sharing.label_${slot}`, { code, number });
  }

  async save() {
    const { text } = await this.make(false);
    download(`handpath-${this.#host().lesson.code.replaceAll(/[^\w-]+/g, '-')}.json`, new Blob([text], { type: 'application/json' }));
  }

  /** A link that holds a small lesson, or why there is none. */
  async #send() {
    const { text, left_out: left } = await this.make(true);
    const fragment = await toFragment(text);
    const fits = fragment.length <= LONGEST_LINK;
    this.sent.hidden = false;
    this.link.value = fits ? location.href.split('#')[0] + fragment : '';
    this.link.parentElement.hidden = !fits;
    this.sent.lastElementChild.textContent = this.#words.text(fits ? 'sharing.link_made' : 'sharing.link_too_long', { size: fragment.length, most: LONGEST_LINK, left });
    if (fits) this.link.focus();
  }

  /** The core makes a lesson without names of this one, which takes its place; what was kept of it on this machine goes. */
  async #anonymise() {
    const { lesson, openBytes, compare, agree, notices, leave } = this.#host();
    leave();
    const code = newCode();
    const labels = SLOTS.map((slot) => this.#label(slot, code, '{number}'));
    const { text, nameless } = await this.make(false, { code, labels });
    const { codes } = lesson;
    agree((await openBytes(new TextEncoder().encode(text))) ?? []);
    // A link that was made is not one without names.
    this.sent.hidden = true;
    this.link.value = '';
    await Promise.all([...codes].map((old) => putAway(`desk:${old}`))).catch(() => {});
    await compare();
    notices.tell('lesson', 'sharing.anonymised', { ...nameless, code });
  }

  async #deleteAll() {
    await this.#host().reset();
    this.#host().notices?.tell('lesson', 'sharing.deleted', {});
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

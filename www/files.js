// The files in their slots: the student's swing, the references, and a separate recording of the student at address.

import { h, setText, unique } from './dom.js';

const SLOTS = ['student', 'reference', 'address'];

export class Files {
  #files = [];
  #last = 0;
  #words;
  #run;
  #lists = {};
  #depth = 0;
  #undo = [];
  #gone = [];

  all() {
    return this.#files;
  }

  get(id) {
    return this.#files.find((file) => file.id === Number(id));
  }

  #in(slot) {
    return this.#files.filter((file) => file.slot === slot);
  }

  get student() {
    return this.#used('student')[0];
  }

  #used(slot) {
    return this.#in(slot).filter((file) => !file.aside);
  }

  /** Adds a file. A new student takes the old one's place (and that of its address file); the user's own first
      reference takes the place of the demo's. */
  add(slot, { name, demo, corrections }) {
    const leaves = {
      student: (other) => other.slot === 'student' || (other.slot === 'address' && other.demo),
      reference: (other) => other.slot === 'reference' && other.demo && !demo,
      address: (other) => other.slot === 'address',
    }[slot];
    const left = this.#files.filter(leaves);
    const added = { id: (this.#last += 1), slot, name: this.#distinct(name), demo, corrections };
    this.#files = [...this.#files.filter((other) => !left.includes(other)), added];
    this.#gone.push(...left);
    this.#undo.push({ name: added.name, added, left, back: () => this.#setAside(added, left) });
    return added;
  }

  #setAside(added, left) {
    added.aside = true;
    this.#files.push(...left);
    this.#gone = this.#gone.filter((file) => !left.includes(file));
  }

  /** A file that cannot be read takes nobody's place: what it replaced comes back, and it stays aside with its error.
      Returns whether there was one. */
  refuse(answer) {
    const bad = this.#undo.filter(({ added, left }) => left?.length && answer.files[added.id] && !answer.files[added.id].report.file);
    for (const { added, back } of bad) {
      added.error = answer.files[added.id].report.error;
      back();
    }
    this.#undo = this.#undo.filter((change) => !bad.includes(change));
    return bad.length > 0;
  }

  /** Tries a file that was set aside once more. */
  retry(id) {
    const file = this.get(id);
    if (!file) return;
    file.aside = false;
    delete file.error;
    const left = file.slot === 'reference' ? [] : this.#used(file.slot).filter((other) => other !== file);
    this.#files = this.#files.filter((other) => !left.includes(other));
    this.#gone.push(...left);
    this.#undo.push({ name: file.name, back: () => this.#setAside(file, left) });
  }

  #distinct(name) {
    const taken = (text) => this.#files.some((file) => file.name === text);
    let text = name;
    for (let i = 2; taken(text); i += 1) text = `${name} (${i})`;
    return text;
  }

  remove(id) {
    this.#files = this.#files.filter((file) => file.id !== id);
  }

  /** New corrections for a file, which `undo` takes back. */
  change(file, corrections) {
    const before = file.corrections;
    file.corrections = corrections;
    this.#undo.push({ name: file.name, back: () => (file.corrections = before) });
  }

  /** The changes since the last time worked. Returns the files that left for good. */
  keep() {
    this.#undo = [];
    return this.#gone.splice(0);
  }

  /** Takes the changes back that were not kept; returns the names of the files they were about. */
  undo() {
    const undone = this.#undo.splice(0).reverse();
    for (const { back } of undone) back();
    return [...new Set(undone.map(({ name }) => name))];
  }

  /** What the session is asked. */
  job() {
    const used = this.#files.filter((file) => !file.aside);
    return { files: used.map(({ id, slot, name, corrections }) => ({ id, slot, label: name, corrections })) };
  }

  hasError(answer) {
    return this.#files.some((file) => file.error ?? answer.files[file.id]?.report.error);
  }

  build(words, run) {
    this.#words = words;
    this.#run = run;
    const slots = SLOTS.map((slot) => this.#slot(slot));
    this.root = h(
      'section',
      { class: 'files', part: 'files' },
      h('h2', {}, words.text('page.files')),
      h('p', { class: 'note' }, words.text('page.files_note')),
      h('div', { class: 'slots' }, slots),
    );
    const zone = (slot) => h('div', { class: 'zone', 'data-slot': slot }, words.text(`page.drop_${slot}`));
    this.overlay = h('div', { class: 'overlay', hidden: true }, SLOTS.map(zone));
  }

  #slot(slot) {
    const words = this.#words;
    const input = h('input', {
      type: 'file', id: unique(slot), multiple: slot === 'reference', 'data-slot': slot,
      on: { change: () => { this.#run('add', [slot, [...input.files]]); input.value = ''; } },
    });
    const list = h('ul', {});
    this.#lists[slot] = list;
    return h(
      'div',
      { class: 'slot', 'data-slot': slot },
      h('h3', {}, words.text(`page.slot_${slot}`)),
      list,
      h('label', { class: 'pick-file', htmlFor: input.id }, words.text(`page.pick_${slot}`)),
      input,
    );
  }

  /** Lists the files with what was found in them. */
  show(answer) {
    for (const slot of SLOTS) {
      const lines = this.#in(slot).map((file) => this.#line(file, answer.files[file.id]?.report));
      this.#lists[slot].replaceChildren(...(lines.length ? lines : [h('li', { class: 'none' }, this.#words.text(`page.none_${slot}`))]));
    }
  }

  #line(file, report) {
    const words = this.#words;
    const found = report?.file;
    const facts = found ? words.text('page.file_facts', { format: found.format, rows: found.rows, rate: found.rate_hz ?? '?' }) : '';
    const remove = h('button', { type: 'button', class: 'remove', 'aria-label': words.text('page.remove_file', { name: file.name }), on: { click: () => this.#run('remove', file.id) } }, '×');
    const again = h('button', { type: 'button', class: 'retry', on: { click: () => this.#run('retry', file.id) } }, words.text('page.retry'));
    const bad = h('span', { class: 'bad' }, words.text(file.aside ? 'page.aside' : 'page.not_used'));
    const state = file.aside ? [bad, again] : report?.error ? bad : null;
    const demo = file.demo ? h('span', { class: 'tag' }, words.text('page.demo')) : null;
    const back = file.remembered ? h('span', { class: 'tag' }, words.text('page.remembered')) : null;
    return h('li', { 'data-file': file.id }, h('span', { class: 'name' }, file.name), ' ', demo, back, ...[state].flat(), h('span', { class: 'facts' }, facts), remove);
  }

  /** Files dropped anywhere on the element: on a zone for its slot; else the first for the student, more as references. */
  listen(host, signal) {
    const on = (type, listener) => host.addEventListener(type, listener, { signal });
    const carries = (event) => host.controls === 'all' && (event.dataTransfer?.types?.includes('Files') ?? false);
    on('dragenter', (event) => {
      if (!carries(event)) return;
      this.#depth += 1;
      this.overlay.hidden = false;
    });
    on('dragleave', () => {
      this.#depth = Math.max(0, this.#depth - 1);
      if (this.#depth === 0) this.overlay.hidden = true;
    });
    on('dragover', (event) => carries(event) && event.preventDefault());
    on('drop', (event) => carries(event) && this.#dropped(event));
  }

  #dropped(event) {
    event.preventDefault();
    this.#depth = 0;
    this.overlay.hidden = true;
    const files = [...(event.dataTransfer?.files ?? [])];
    if (!files.length) return;
    const slot = event.composedPath().find((node) => node.dataset?.slot)?.dataset.slot;
    if (slot === 'reference' || files.length === 1) return this.#run('add', [slot ?? 'student', files]);
    this.#run('add', [slot ?? 'student', files.slice(0, 1)]);
    this.#run('add', ['reference', files.slice(1)]);
  }
}

// Errors and warnings in words, with the file, the place, and what to do.

import { h } from './dom.js';

export class Notices {
  #words;
  #run;
  #told = new Map();
  #shown;

  constructor(words, run) {
    this.#words = words;
    this.#run = run;
    this.errors = h('div', { class: 'errors', role: 'alert' });
    this.questions = h('div', { class: 'questions', role: 'status' });
    this.warnings = h('ul', {});
    this.count = h('summary', {});
    this.box = h('details', { class: 'warnings', hidden: true }, this.count, this.warnings);
    this.root = h('div', { class: 'notices', part: 'notices' }, this.errors, this.questions);
  }

  /** Something that does not come from a file: it stays until told again or dismissed. */
  tell(topic, key, args) {
    this.#told.set(topic, this.#words.text(key, args));
    this.#showErrors([]);
  }

  /** The same with messages of the core. */
  say(topic, messages) {
    this.#told.set(topic, messages.map((message) => this.#words.message(message)).join(' '));
    this.#showErrors([]);
  }

  forget(topic) {
    this.#told.delete(topic);
  }

  show(answer, files) {
    const aside = (file) => file.error && { error: file.error, warnings: [] };
    const known = files.all().map((file) => [file, answer.files[file.id]?.report ?? aside(file)]).filter(([, report]) => report);
    const errors = known.filter(([, report]) => report.error).map(([file, report]) => [file, report.error, report.file?.tracks.length > 0]);
    const { references } = answer.comparison;
    const unaligned = references.filter(({ error }) => error).map(({ id, error }) => [files.get(id), error]);
    this.#showErrors([...errors, ...unaligned, ...(answer.comparison.error ? [[null, answer.comparison.error]] : [])]);
    const warnings = known.flatMap(([file, report]) => report.warnings.map((warning) => [file, warning]));
    const doubts = references.flatMap(({ id, doubts: found, warnings: more }) => [...found, ...more].map((warning) => [files.get(id), warning]));
    this.#showWarnings([...warnings, ...doubts]);
    this.#ask(known);
  }

  #line(file, message) {
    return [file ? h('strong', {}, file.name) : null, file ? ': ' : '', this.#words.message(message)];
  }

  /** What can be done here about a file that could be read but holds no swing yet. */
  #help(id) {
    const button = (key, command) => h('button', { type: 'button', on: { click: () => this.#run(command, id) } }, this.#words.text(key));
    return [button('page.pick_points', 'pick'), ' ', button('page.open_guesses', 'guesses')];
  }

  #showErrors(errors) {
    const dismiss = (topic) =>
      h('button', { type: 'button', on: { click: () => { this.#told.delete(topic); this.#showErrors(errors); } } }, this.#words.text('page.dismiss'));
    const told = [...this.#told].map(([topic, text]) => h('p', { class: 'error' }, text, ' ', dismiss(topic)));
    const lines = errors.map(([file, error, readable]) =>
      h('p', { class: 'error', 'data-key': error.key }, ...this.#line(file, error), ' ', ...(readable ? this.#help(file.id) : [])));
    this.#replace(this.errors, [...told, ...lines]);
  }

  #showWarnings(warnings) {
    this.box.hidden = warnings.length === 0;
    this.count.textContent = this.#words.text('page.warnings', { count: warnings.length });
    this.warnings.replaceChildren(...warnings.map(([file, warning]) => h('li', { 'data-key': warning.key }, this.#line(file, warning))));
  }

  /** A file in left-handed axes looks like a left-hander: only the user knows which it is. */
  #ask(known) {
    const open = known.filter(([file, report]) => report.hand === 'left' && !file.corrections.hand && file.corrections.mirror === undefined && !file.demo);
    const button = (key, file, change) =>
      h('button', { type: 'button', 'data-answer': key, on: { click: () => this.#run('correct', [file.id, change]) } }, this.#words.text(`page.${key}`));
    const asked = open.map(([file]) => h(
      'p',
      { class: 'question' },
      this.#words.text('page.left_handed', { name: file.name }), ' ',
      button('is_left_handed', file, (corrections) => (corrections.hand = 'left')), ' ',
      button('mirror_file', file, (corrections) => (corrections.mirror = true)),
    ));
    this.#replace(this.questions, asked);
  }

  /** Nothing is announced again that stands there already. */
  #replace(box, children) {
    if (box.textContent !== children.map((child) => child.textContent).join('')) box.replaceChildren(...children);
  }
}

// Playing, and what is shown how.

import { choice, h, setOptions, setText, unique } from './dom.js';

export class Transport {
  #words;
  #run;

  constructor(words, run) {
    this.#words = words;
    this.#run = run;
    this.play = h('button', { type: 'button', class: 'play', part: 'play', on: { click: () => run('play') } });
    this.back = this.#button('page.previous_instant', '⇤', () => run('instant', true));
    this.on = this.#button('page.next_instant', '⇥', () => run('instant', false));
    this.time = h('output', { class: 'time' });
    this.busy = h('span', { class: 'busy', role: 'status' });
    this.speed = this.#select('speed', [['1', '1'], ['0.5', '1/2'], ['0.25', '1/4'], ['0.125', '1/8']].map(([value, part]) => [value, words.text('page.speed_of', { part })]));
    this.timing = this.#select('timing', ['matched', 'own'].map((value) => [value, words.text(`page.timing_${value}`)]));
    this.layout = this.#select('layout', ['overlaid', 'side-by-side'].map((value) => [value, words.text(`page.layout_${value.replaceAll('-', '_')}`)]));
    this.unit = this.#select('unit', ['cm', 'in'].map((value) => [value, words.text(`page.unit_${value}`)]));
    this.reference = choice([], { id: unique('reference'), on: { change: () => run('reference', Number(this.reference.value)) } });
    this.toggles = ['numbers', 'references', 'band', 'body', 'lines', 'arms', 'shaft'].map((name) => this.#toggle(name));
    this.root = h(
      'div',
      { class: 'transport', role: 'group', 'aria-label': words.text('page.controls') },
      h('div', { class: 'playing' }, this.back, this.play, this.on, this.time, this.busy),
      h('div', { class: 'fields' },
        this.#field('page.reference', this.reference),
        this.#field('page.speed', this.speed),
        this.#field('page.timing', this.timing),
        this.#field('page.layout', this.layout),
        this.#field('page.unit', this.unit)),
      h('div', { class: 'toggles' }, this.toggles.map((toggle) => toggle.root),
        h('button', { type: 'button', class: 'save', on: { click: () => run('save') } }, words.text('page.save_picture'))),
    );
  }

  #button(label, text, click) {
    return h('button', { type: 'button', class: 'square', title: this.#words.text(label), 'aria-label': this.#words.text(label), on: { click } }, text);
  }

  #select(name, options) {
    const select = choice(options, { id: unique(name), name, on: { change: () => this.#run('set', [name, select.value]) } });
    return select;
  }

  #field(label, control) {
    return h('div', { class: 'field' }, h('label', { htmlFor: control.id }, this.#words.text(label)), control);
  }

  #toggle(name) {
    const box = h('input', { type: 'checkbox', id: unique(name), on: { change: () => this.#run('toggle', name) } });
    return { name, box, root: h('label', { class: 'toggle' }, box, this.#words.text(`page.show_${name}`)) };
  }

  setBusy(busy) {
    setText(this.busy, busy ? this.#words.text('page.busy') : '');
  }

  show(look, answer, files, playing) {
    const words = this.#words;
    setText(this.play, words.text(playing ? 'page.pause' : 'page.play'));
    setText(this.time, words.text('page.seconds', { time: look.time }));
    for (const name of ['speed', 'timing', 'layout', 'unit']) this[name].value = look[name];
    const references = answer?.comparison.references ?? [];
    setOptions(this.reference, references.map(({ id }, i) => [String(i), files.get(id)?.name ?? '']));
    this.reference.value = String(look.reference);
    this.reference.disabled = references.length < 2;
    for (const { name, box } of this.toggles) box.checked = look[name];
  }
}

// Playing, and what is shown how.

import { choice, h, setOptions, setText, unique } from './dom.js';

/** Of fewer references no band is drawn, so none is asked for. */
export const LEAST_FOR_BAND = 8;

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
    this.swing = choice([], { id: unique('swing'), on: { change: () => run('swing', Number(this.swing.value)) } });
    this.swingField = this.#field('page.swing', this.swing);
    this.bandKind = this.#wish('bandKind', ['whole-curve', 'pointwise'].map((value) => [value, words.text(`page.band_${value.replace('-', '_')}`)]));
    this.bandOf = this.#wish('bandOf', ['like', 'same kind'].map((value) => [value, words.text(`page.band_of_${value.replace(' ', '_')}`)]));
    this.bandFields = [this.#field('page.band_kind', this.bandKind), this.#field('page.band_of', this.bandOf)];
    this.about = h('p', { class: 'note about-reference' });
    this.band = h('p', { class: 'note about-band' });
    this.others = h('p', { class: 'note about-others' });
    this.reference = choice([], { id: unique('reference'), on: { change: () => run('reference', Number(this.reference.value)) } });
    this.toggles = ['numbers', 'references', 'band', 'others', 'body', 'lines', 'arms', 'shaft'].map((name) => this.#toggle(name));
    this.root = h(
      'div',
      { class: 'transport', role: 'group', 'aria-label': words.text('page.controls') },
      h('div', { class: 'playing' }, this.back, this.play, this.on, this.time, this.busy),
      h('div', { class: 'fields' },
        this.swingField,
        this.#field('page.reference', this.reference),
        this.#field('page.speed', this.speed),
        this.#field('page.timing', this.timing),
        this.#field('page.layout', this.layout),
        this.#field('page.unit', this.unit),
        this.bandFields),
      h('div', { class: 'notes' }, this.about, this.band, this.others),
      h('div', { class: 'toggles' }, this.toggles.map((toggle) => toggle.root)),
    );
  }

  #button(label, text, click) {
    return h('button', { type: 'button', class: 'square', title: this.#words.text(label), 'aria-label': this.#words.text(label), on: { click } }, text);
  }

  #select(name, options) {
    const select = choice(options, { id: unique(name), name, on: { change: () => this.#run('set', [name, select.value]) } });
    return select;
  }

  /** A part of the view that the core has to be asked for. */
  #wish(name, options) {
    const select = choice(options, { id: unique(name), name, on: { change: () => this.#run('wish', [name, select.value]) } });
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

  /** `others`: how many other swings of the lesson the picture holds. */
  show(look, answer, files, playing, band, others) {
    const words = this.#words;
    setText(this.play, words.text(playing ? 'page.pause' : 'page.play'));
    setText(this.time, words.text('page.seconds', { time: look.time }));
    for (const name of ['speed', 'timing', 'layout', 'unit']) this[name].value = look[name];
    const references = answer?.comparison.references ?? [];
    const name = ({ like, name: reference }) => (like ? reference : words.text('page.unlike_name', { name: reference }));
    setOptions(this.reference, references.map((reference, i) => [String(i), name(reference)]));
    this.reference.value = String(look.reference);
    this.reference.disabled = references.length < 2;
    for (const { name: part, box, root } of this.toggles) {
      box.checked = look[part];
      if (part === 'others') root.hidden = !others;
    }
    setText(this.others, others && look.others ? words.text('page.others_note', { count: others }) : '');
    setOptions(this.swing, files.students.map((file) => [String(file.id), file.name]));
    this.swing.value = String(files.student?.id);
    this.swingField.hidden = files.students.length < 2;
    setText(this.about, this.#likeness(references[look.reference]));
    this.#showBand(look, references.length, band);
  }

  /** Is the reference like the student, and if not, why? */
  #likeness(reference) {
    if (!reference) return '';
    const words = this.#words;
    const reasons = reference.reasons.map((reason) => words.message(reason)).join(' ');
    return reference.like ? words.text('page.like_note', { name: reference.name }) : words.text('page.unlike_note', { reasons });
  }

  /** What the band is of and what it promises. */
  #showBand(look, count, band) {
    const words = this.#words;
    const needed = LEAST_FOR_BAND;
    for (const field of this.bandFields) field.hidden = count < needed || !look.band;
    this.bandKind.value = look.bandKind;
    this.bandOf.value = look.bandOf;
    const few = count > 1 && count < needed ? [words.text('page.band_note_few', { count, needed })] : [];
    const kind = band?.pointwise ? 'page.band_note_places' : 'page.band_note_paths';
    const told = band?.swings ? [words.text(kind, { count: band.swings })] : few;
    if (band?.unlike) told.push(words.text('page.band_note_unlike', { unlike: band.unlike, needed }));
    setText(this.band, look.band && look.references ? told.join(' ') : '');
  }
}

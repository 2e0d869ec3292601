// The house: presets that give every coach the same numbers, who changed what, and the fingerprint of the settings.

import { core } from '../coach.js';
import { download, h, unique } from '../dom.js';
import { field, pick } from './form.js';

export class House {
  name = 'house';
  #desk;
  #built;
  #preset;
  #setup;
  #coach = '';
  #said = '';

  constructor(desk) {
    this.#desk = desk;
  }

  show(body) {
    const { words, fields } = this.#desk;
    const now = JSON.stringify([this.#preset?.document, this.#setup, this.#said, fields.changes, this.#desk.fingerprint?.code, this.#coach]);
    if (now === this.#built) return;
    this.#built = now;
    const input = h('input', { type: 'file', id: unique('preset'), class: 'preset', on: { change: () => this.#open(input) } });
    body.replaceChildren(
      h('p', { class: 'note' }, words.text('desk.house_note')),
      h('span', { class: 'pick' }, input, h('label', { class: 'pick-file', htmlFor: input.id }, words.text('desk.open_preset'))),
      ...(this.#preset ? this.#opened(this.#preset) : []),
      this.#said && h('p', { class: 'note said', role: 'status' }, this.#said),
      h('p', { class: 'fingerprint', 'data-code': this.#desk.fingerprint?.code ?? '' }, words.text('desk.fingerprint', { code: this.#desk.fingerprint?.code ?? '–' })),
      field(words.text('desk.coach'), this.#coach, (code) => this.#sign(code), { name: 'coach' }),
      h('p', { class: 'note' }, words.text('desk.coach_note')),
      h('ul', { class: 'changes' }, (Array.isArray(fields.changes) ? fields.changes : []).map((change) => h('li', {}, words.text('desk.change', { coach: change.coach ?? '?', date: change.date ?? '?', what: change.what ?? '?' })))),
    );
  }

  get coach() {
    return this.#coach;
  }

  #sign(code) {
    this.#coach = code ?? '';
    this.#desk.refresh();
  }

  #opened({ setups, warnings, fingerprint }) {
    const { words } = this.#desk;
    this.#setup ??= setups[0];
    const run = (name, click) => h('button', { type: 'button', class: name.replaceAll('_', '-'), on: { click } }, words.text(`desk.${name}`));
    return [
      ...warnings.map((message) => h('p', { class: 'note wary' }, words.message(message))),
      h('p', { class: 'note' }, words.text('desk.preset_code', { code: fingerprint?.code ?? '–' })),
      setups.length > 0 && pick(words.text('desk.setups'), this.#setup, setups.map((name) => [name, name]), (name) => (this.#setup = name), 'setups'),
      h('div', { class: 'playing' }, run('apply_preset', () => this.#apply()), run('take_thresholds', () => this.#take())),
    ].filter(Boolean);
  }

  async #open(input) {
    const [file] = input.files;
    input.value = '';
    if (file) this.open(new Uint8Array(await file.arrayBuffer()));
  }

  /** Opens the bytes of a preset. */
  open(bytes) {
    const found = core.openPreset(bytes);
    this.#said = found.error ? this.#desk.words.message(found.error) : '';
    if (!found.error) [this.#preset, this.#setup] = [found, undefined];
    this.#desk.refresh();
  }

  /** States the capture set-up for every file of the student, and judges by the thresholds of the house. */
  #apply() {
    const preset = JSON.parse(this.#preset.document);
    const setup = preset.setups?.find?.(({ name }) => name === this.#setup);
    const thresholds = preset.thresholds ?? {};
    this.#desk.host().run('thresholds', thresholds);
    if (setup) this.#desk.state(setup.corrections ?? {});
    this.#desk.set('preset', { name: preset.name ?? '', edition: preset.edition ?? null, setup: this.#setup ?? null, fingerprint: this.#preset.fingerprint?.code ?? null });
    this.#said = this.#desk.words.text('desk.applied', { name: String(preset.name ?? '') });
    this.#desk.refresh();
  }

  /** The thresholds as they are here become those of the preset, signed, in a file of its own. */
  #take() {
    const { words, host } = this.#desk;
    const change = { coach: this.#coach, date: this.#desk.today(), what: ['thresholds'], to: host().look.thresholds };
    const { document, error } = core.changeDocument(this.#preset.document, change);
    if (error) this.#said = words.message(error);
    else {
      this.open(new TextEncoder().encode(document));
      download('handpath-preset.json', new Blob([document], { type: 'application/json' }));
      this.#said = words.text('desk.preset_saved');
    }
    this.#desk.refresh();
  }
}

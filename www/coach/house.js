// The house: presets that give every coach the same numbers, who changed what, and the fingerprint of the settings.

import { core } from '../coach.js';
import { download, h, unique } from '../dom.js';
import { recallCoach, rememberCoach } from '../remember.js';
import { field, filled, pick } from './form.js';

/** Corrections that belong to a place where captures are taken, not to a player or a swing. */
const OF_PLACE = ['roles', 'unit', 'scale', 'rate', 'up', 'mirror', 'target', 'cutoff'];

const bytesOf = async (file) => new Uint8Array(await file.arrayBuffer());
const listOf = (value) => (Array.isArray(value) ? value : []);
const isOne = (value) => value !== null && typeof value === 'object';

export class House {
  name = 'house';
  #desk;
  #built;
  #preset;
  #setup;
  #named = {};
  #coach = recallCoach();
  #said = [];

  constructor(desk) {
    this.#desk = desk;
  }

  show(body) {
    const { words, fields } = this.#desk;
    const now = JSON.stringify([this.#preset?.document, this.#setup, this.#said, fields.changes, this.#desk.fingerprint?.code, this.#coach, this.#named, this.#references().map(({ here }) => here)]);
    if (now === this.#built) return;
    this.#built = now;
    body.replaceChildren(
      h('p', { class: 'note' }, words.text('desk.house_note')),
      this.#choose('preset', 'desk.open_preset', false, ([file]) => this.#open(file)),
      ...(this.#preset ? this.#opened(this.#preset) : []),
      h('div', { class: 'said', role: 'status' }, this.#said.map((text) => h('p', { class: 'note' }, text))),
      h('p', { class: 'fingerprint', 'data-code': this.#desk.fingerprint?.code ?? '' }, words.text('desk.fingerprint', { code: this.#desk.fingerprint?.code ?? '–' })),
      field(words.text('desk.coach'), this.#coach, (code) => this.#sign(code), { name: 'coach' }),
      h('p', { class: 'note' }, words.text('desk.coach_note')),
      h('ul', { class: 'changes' }, listOf(fields.changes).map((change) => h('li', {}, words.text('desk.change', { coach: change.coach ?? '?', date: change.date ?? '?', what: change.what ?? '?' })))),
      ...this.#making(),
    );
  }

  get coach() {
    return this.#coach;
  }

  #sign(code) {
    this.#coach = code ?? '';
    rememberCoach(this.#coach);
    this.#desk.refresh();
  }

  #say(...texts) {
    this.#said = texts;
    this.#desk.refresh();
  }

  #choose(name, key, multiple, take) {
    const input = h('input', { type: 'file', multiple, id: unique(name), class: name, on: { change: () => this.#chosen(input, take) } });
    return h('span', { class: 'pick' }, input, h('label', { class: 'pick-file', htmlFor: input.id }, this.#desk.words.text(key)));
  }

  #chosen(input, take) {
    const files = [...input.files];
    input.value = '';
    // Not waited for: what takes files waits for the element itself.
    if (files.length) take(files).catch((fault) => this.#desk.host().unmade(fault));
  }

  /** The preset that is open, as an object. */
  get #document() {
    return this.#preset ? JSON.parse(this.#preset.document) : {};
  }

  #opened({ setups, warnings, fingerprint }) {
    const { words } = this.#desk;
    const { name = '', edition = '?', owner = '?', date = '?' } = this.#document;
    this.#setup ??= setups[0];
    const references = this.#references();
    return [
      h('p', { class: 'preset-open' }, words.text('desk.preset_open', { name: String(name), edition: String(edition), owner: String(owner), date: String(date) })),
      ...warnings.map((message) => h('p', { class: 'note wary' }, words.message(message))),
      h('p', { class: 'note' }, words.text('desk.preset_code', { code: fingerprint?.code ?? '–' })),
      setups.length > 0 && pick(words.text('desk.setups'), this.#setup, setups.map((setup) => [setup, setup]), (setup) => (this.#setup = setup), 'setups'),
      h('button', { type: 'button', class: 'apply-preset', on: { click: () => this.#apply() } }, words.text('desk.apply_preset')),
      ...(references.length ? this.#listed(references) : []),
    ].filter(Boolean);
  }

  /** The references that the preset names, and whether each is here. */
  #references() {
    const here = new Set(this.#desk.host().files.all().filter(({ slot }) => slot === 'reference').map(({ sha256 }) => sha256));
    return listOf(this.#document.references).filter(isOne).map((told) => ({ told, here: here.has(String(told.sha256).toLowerCase()) }));
  }

  #listed(references) {
    const { words } = this.#desk;
    const line = ({ told, here }) =>
      h(
        'li',
        { 'data-here': String(here) },
        words.text('desk.reference', { label: String(told.label ?? '?'), edition: String(told.edition ?? '?'), owner: String(told.owner ?? '?'), date: String(told.date ?? '?'), file: String(told.file ?? '?') }),
        ' ',
        h('strong', {}, words.text(here ? 'desk.reference_here' : 'desk.reference_missing')),
      );
    return [
      h('h3', {}, words.text('desk.references')),
      h('ul', { class: 'house-references' }, references.map(line)),
      this.#choose('house-reference', 'desk.take_references', true, (files) => this.take(files)),
      h('p', { class: 'note' }, words.text('desk.references_note')),
    ];
  }

  async #open(file) {
    this.open(await bytesOf(file));
  }

  /** Opens the bytes of a preset. */
  open(bytes) {
    const found = core.openPreset(bytes);
    if (!found.error) [this.#preset, this.#setup, this.#named] = [found, undefined, {}];
    this.#say(...(found.error ? [this.#desk.words.message(found.error)] : []));
  }

  /** Takes files (File objects) that the preset names as references; another file is refused, for it would give other numbers. */
  async take(files) {
    const { words, host } = this.#desk;
    const told = [];
    for (const file of files) {
      const bytes = await bytesOf(file);
      const sha256 = core.digest(bytes);
      const found = this.#references().find(({ told: { sha256: own } }) => String(own).toLowerCase() === sha256);
      if (!found) told.push(words.text('desk.reference_other', { file: file.name }));
      else if (!found.here) await host().add('reference', [{ name: file.name, label: String(found.told.label ?? file.name), bytes, sha256, corrections: isOne(found.told.corrections) ? found.told.corrections : {} }], true);
    }
    this.#say(...told);
  }

  /** States the capture set-up for every file of the student, and judges by the thresholds of the house. */
  #apply() {
    const { words, host } = this.#desk;
    const preset = this.#document;
    const name = String(preset.name ?? '');
    const { corrections = {} } = listOf(preset.setups).find((setup) => setup?.name === this.#setup) ?? {};
    host().run('thresholds', isOne(preset.thresholds) ? preset.thresholds : {});
    this.#desk.set('preset', { name, edition: preset.edition ?? null, setup: this.#setup ?? null, fingerprint: this.#preset.fingerprint?.code ?? null, corrections });
    this.#desk.state(corrections);
    const missing = this.#references().filter(({ here }) => !here).length;
    this.#say(words.text('desk.applied', { name }), ...(missing ? [words.text('desk.references_missing', { count: missing })] : []));
  }

  /** A preset of what is stated here: a new one, or the next edition of the one that is open. */
  #making() {
    const { words } = this.#desk;
    const { name = this.#document.name, setup = this.#setup } = this.#named;
    const type = (part, value, key) => field(words.text(key), value, (text) => this.#name(part, text), { name: `preset-${part}` });
    return [
      h('h3', {}, words.text('desk.make_preset')),
      h('p', { class: 'note' }, words.text('desk.make_preset_note')),
      h('div', { class: 'fields' }, type('name', name, 'desk.preset_name'), type('setup', setup, 'desk.setup_name')),
      h('button', { type: 'button', class: 'save-preset', on: { click: () => this.#desk.wait(this.#save({ name, setup })) } }, words.text('desk.save_preset')),
    ];
  }

  #name(part, text) {
    this.#named = { ...this.#named, [part]: text };
    this.#desk.refresh();
  }

  async #save({ name = 'house', setup = 'set-up' }) {
    const { words, host } = this.#desk;
    const [before, date] = [this.#document, this.#desk.today()];
    const { found, apart } = await this.#taken(listOf(before.references), date);
    const fresh = { format: 'handpath preset', version: 1, name, edition: 0, owner: this.#coach, date, setups: [], references: [], thresholds: {} };
    const now = { name, setups: this.#setups(listOf(before.setups), setup), references: found, thresholds: host().look.thresholds };
    const old = this.#preset ? before : fresh;
    const differs = ([part, to]) => JSON.stringify(old[part]) !== JSON.stringify(to);
    const changes = Object.entries(now).filter(differs).map(([part, to]) => ({ what: [part], to }));
    const opened = this.#preset?.document ?? JSON.stringify(fresh);
    const { document, error } = changes.length ? core.changeDocument(opened, { coach: this.#coach, date, changes }) : { document: opened };
    if (error) return this.#say(words.message(error));
    this.open(new TextEncoder().encode(document));
    download('handpath-preset.json', new Blob([document], { type: 'application/json' }));
    this.#setup = setup;
    return this.#say(words.text('desk.preset_saved'), ...(apart ? [words.text('desk.references_apart', { count: apart })] : []));
  }

  /** The set-ups with the one that is stated for the swing shown, in place of its namesake. */
  #setups(before, name) {
    const { corrections = {} } = this.#desk.host().files.student ?? {};
    const own = { name, corrections: filled(Object.fromEntries(OF_PLACE.map((part) => [part, corrections[part]]))) };
    return before.some((setup) => setup?.name === name) ? before.map((setup) => (setup?.name === name ? { ...setup, ...own } : setup)) : [...before, own];
  }

  /** The references of before and those that are here; one that came in a lesson file or with the page is no file that a preset could name. */
  async #taken(before, date) {
    const { files, bytes } = this.#desk.host();
    const here = files.all().filter(({ slot, aside }) => slot === 'reference' && !aside);
    const found = [...before];
    for (const file of here.filter((file) => file.file)) {
      file.sha256 ??= core.digest(await bytes(file.id));
      if (found.some((told) => String(told?.sha256).toLowerCase() === file.sha256)) continue;
      found.push({ label: file.name, edition: 1, owner: this.#coach, date, file: file.file, sha256: file.sha256, corrections: file.corrections });
    }
    return { found, apart: here.filter((file) => !file.file).length };
  }
}

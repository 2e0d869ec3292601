// Before anything is captured: what the student says of themselves, pain first, and the set-up check of ten seconds.

import { core } from '../coach.js';
import { choice, h, unique } from '../dom.js';
import { field, filled, pick, tick } from './form.js';

const AXES = ['+z', '+y', '+x', '-z', '-y', '-x'];

/** The number under which the engine holds the still capture: no file of the lesson has it. */
const STILL = 1_000_003;

export class Before {
  name = 'before';
  #desk;
  #built;
  #cloud;
  #near = '';
  #far = '';
  #ball = '';
  #up = '+z';
  #said = [];

  constructor(desk) {
    this.#desk = desk;
  }

  get intake() {
    return this.#desk.fields.intake ?? {};
  }

  #set(change) {
    this.#desk.set('intake', filled({ ...this.intake, ...change }));
  }

  show(body) {
    const { words, fields, hand } = this.#desk;
    const told = core.intakeOf(this.intake);
    this.told = told;
    const now = JSON.stringify([this.intake, fields.setup, this.#cloud?.names, this.#near, this.#far, this.#ball, this.#up, this.#said]);
    if (now === this.#built) return;
    this.#built = now;
    const missing = told.missing.map((name) => words.word('intake', name)).join(', ');
    body.replaceChildren(
      ...this.#desk.cautions('intake'),
      this.#pain(),
      told.first ? h('p', { class: 'error first', role: 'alert' }, words.message(told.first)) : '',
      this.#asked(hand),
      this.#consent(),
      ...told.notes.map((message) => h('p', { class: 'note' }, words.message(message))),
      missing ? h('p', { class: 'note missing' }, words.text('desk.missing', { missing })) : '',
      h('h3', {}, words.text('desk.setup')),
      ...this.#setup(),
    );
  }

  #pain() {
    const { words } = this.#desk;
    const pain = this.intake.pain ?? {};
    const set = (change) => this.#set({ pain: filled({ ...this.intake.pain, ...change }) });
    const asked = (name) => tick(words.text(`intake.pain_${name}`), pain[name], (value) => set({ [name]: value }), `pain-${name}`);
    const none = () => this.#set({ pain: { now: false, injury: false, surgery: false } });
    const any = pain.now || pain.injury || pain.surgery;
    return h(
      'fieldset',
      {},
      h('legend', {}, words.text('intake.pain')),
      h('div', { class: 'toggles' }, ['now', 'injury', 'surgery'].map(asked), h('button', { type: 'button', class: 'no-pain', on: { click: none } }, words.text('intake.no_pain'))),
      any && field(words.text('intake.where'), pain.where, (where) => set({ where }), { name: 'pain-where' }),
      any && asked('cleared'),
    );
  }

  #asked(hand) {
    const { words } = this.#desk;
    const { intake } = this;
    const choices = core.ballWords(hand);
    const of = (list, name) => [['', '–'], ...list.map((word) => [word, name(word)])];
    const set = (name) => (value) => this.#set({ [name]: value });
    return h(
      'div',
      { class: 'fields' },
      pick(words.text('intake.hand'), intake.hand, of(['right', 'left'], (word) => words.word('hand', word)), set('hand'), 'hand'),
      pick(words.text('intake.miss'), intake.miss, of(choices.starts.map(({ word }) => word), (word) => words.word('start', word)), set('miss'), 'miss'),
      pick(words.text('intake.curve'), intake.curve, of(choices.curves.map(({ word }) => word), (word) => words.word('curve', word)), set('curve'), 'curve'),
      pick(words.text('intake.club'), intake.club, of(['driver', 'fairway-wood', 'iron', 'wedge'], (word) => words.word('club', word)), set('club'), 'club'),
      field(words.text('intake.since'), intake.since, set('since'), { name: 'since' }),
      field(words.text('intake.hope'), intake.hope, set('hope'), { name: 'hope' }),
      field(words.text('intake.minutes_a_week'), intake.minutes_a_week, set('minutes_a_week'), { type: 'number', min: 0, name: 'minutes' }),
    );
  }

  #consent() {
    const { words } = this.#desk;
    const { consent = {}, minor, adult } = this.intake;
    const set = (change) => this.#set({ consent: filled({ ...this.intake.consent, date: this.#desk.today(), ...change }) });
    const by = [['', '–'], ['player', words.text('intake.by_player')], ['guardian', words.text('intake.by_guardian')]];
    return h(
      'fieldset',
      {},
      h('legend', {}, words.text('intake.consent')),
      h('p', { class: 'note' }, words.text('intake.code_note')),
      h(
        'div',
        { class: 'toggles' },
        tick(words.text('intake.minor'), minor, (value) => this.#set({ minor: value }), 'minor'),
        tick(words.text('intake.recording'), consent.recording, (recording) => set({ recording }), 'recording'),
        tick(words.text('intake.pooling'), consent.pooling, (pooling) => set({ pooling }), 'pooling'),
        pick(words.text('intake.by'), consent.by, by, (value) => set({ by: value }), 'by'),
      ),
      minor && field(words.text('intake.adult'), adult, (value) => this.#set({ adult: value }), { name: 'adult' }),
    );
  }

  /** A still capture with two markers on the target line. */
  #setup() {
    const { words, fields } = this.#desk;
    const file = h('input', { type: 'file', id: unique('still'), class: 'still', on: { change: () => this.#take(file) } });
    const names = this.#cloud?.names ?? [];
    const track = (key, value, change) => pick(words.text(key), value, [['', '–'], ...names.map((name) => [name, name])], change, key);
    const again = (change) => (value) => {
      change(value ?? '');
      this.#desk.refresh();
    };
    const up = choice(AXES.map((axis) => [axis, axis]), { id: unique('up'), on: { change: () => this.#look(up.value) } });
    up.value = this.#up;
    const chosen = names.length > 0 && [
      h(
        'div',
        { class: 'fields' },
        track('desk.near', this.#near, again((value) => (this.#near = value))),
        track('desk.far', this.#far, again((value) => (this.#far = value))),
        track('desk.ball_marker', this.#ball, again((value) => (this.#ball = value))),
        h('div', { class: 'field' }, h('label', { htmlFor: up.id }, words.text('desk.up')), up),
      ),
      h('button', { type: 'button', class: 'check-setup', disabled: !this.#near || !this.#far, on: { click: () => this.#check() } }, words.text('desk.check')),
    ];
    return [
      h('p', { class: 'note' }, words.text('desk.setup_note')),
      h('span', { class: 'pick' }, file, h('label', { class: 'pick-file', htmlFor: file.id }, words.text('desk.still'))),
      ...(chosen || []),
      ...this.#said.map((message) => h('p', { class: 'note wary' }, words.message(message))),
      ...(fields.setup ? this.#found(fields.setup) : []),
    ];
  }

  #found(setup) {
    const { words } = this.#desk;
    const args = { sd: setup.sd_deg, from: setup.still_s?.[0], to: setup.still_s?.[1], wander: setup.wander_deg };
    const state = () => {
      this.#desk.state(setup.corrections);
      this.#desk.set('setup', { ...setup, stated: true });
    };
    return [
      h('p', { class: 'setup-found' }, words.text('desk.setup_found', args)),
      setup.stated && h('p', { class: 'note' }, words.text('desk.setup_stated')),
      h('button', { type: 'button', class: 'state-setup', on: { click: state } }, words.text('desk.state_setup')),
    ];
  }

  async #take(input) {
    const [file] = input.files;
    input.value = '';
    if (file) await this.still(new Uint8Array(await file.arrayBuffer()));
  }

  /** Takes the bytes of a still capture. */
  async still(bytes) {
    this.#desk.host().put(STILL, bytes);
    await this.#look(this.#up);
    const names = this.#cloud?.names ?? [];
    const like = (word) => names.find((name) => name.toLowerCase().includes(word)) ?? '';
    [this.#near, this.#far, this.#ball] = [like('near'), like('far') || like('target'), like('ball')];
    this.#desk.refresh();
  }

  async #look(up) {
    this.#up = up;
    this.#cloud = await this.#desk.wait(this.#desk.host().ask('cloud', { id: STILL, up }));
    this.#said = this.#cloud ? [] : [{ key: 'desk.no_still', args: {}, place: null }];
    this.#desk.refresh();
  }

  async #check() {
    const ball = this.#ball ? { ball: this.#ball } : {};
    const { setup, error, notes } = core.setupOf(this.#cloud, { near: this.#near, far: this.#far, ...ball, up: this.#up, hand: this.#desk.hand });
    this.#said = [...(error ? [error] : []), ...notes];
    if (setup) this.#desk.set('setup', setup);
    this.#desk.refresh();
  }
}

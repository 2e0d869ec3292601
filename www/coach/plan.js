// The plan: rungs of speed, the drill, and the card to take home.

import { core } from '../coach.js';
import { h } from '../dom.js';
import { percent } from '../quantities.js';
import { DRILL, card, drillText } from './card.js';
import { field, filled, pick, tick } from './form.js';

const NUMBERS = ['climb_misses', 'cap', 'rest_after', 'rest_s', 'transfer_balls', 'tolerance_deg', 'slow_path_deg', 'full_path_deg'];

export class Plan {
  name = 'plan';
  #desk;
  #built;

  constructor(desk) {
    this.#desk = desk;
  }

  /** The plan as it is kept; before there is one, what the intake gives to begin with. */
  get plan() {
    return this.#desk.fields.plan ?? core.intakeOf(this.#desk.fields.intake ?? {}).plan;
  }

  #set(change) {
    this.#desk.set('plan', filled({ ...this.plan, ...change, picture: this.#picture() }));
  }

  /** The path to copy of the swing that is shown beside the reference that is compared; without them what was kept before. */
  #picture() {
    const { found, look } = this.#desk.host();
    const { student, references = [] } = found?.picture ?? {};
    return (student && core.copyOf(student, references[look.reference] ?? null)) ?? this.plan.picture;
  }

  show(body) {
    const { words, fields } = this.#desk;
    const refused = this.#desk.refused('plan');
    const picture = this.#picture();
    const now = JSON.stringify([this.plan, refused, fields.intake?.minor, picture]);
    if (now === this.#built) return;
    this.#built = now;
    if (refused) return body.replaceChildren(h('p', { class: 'error' }, words.message(refused)));
    const { plan, warnings } = core.planOf(this.plan);
    const run = (name, click) => h('button', { type: 'button', class: name.replaceAll('_', '-'), on: { click } }, words.text(`desk.${name}`));
    body.replaceChildren(
      ...this.#desk.cautions('plan'),
      h('h3', {}, words.text('desk.drill')),
      ...this.#desk.cautions('drill'),
      h('div', { class: 'drill' }, DRILL.map((part) => this.#part(part))),
      h('div', { class: 'playing' }, run('show_arms', () => this.#arms())),
      h('h3', {}, words.text('desk.rungs')),
      ...this.#rungs(plan),
      ...warnings.map((message) => h('p', { class: 'note wary' }, words.message(message))),
      h('div', { class: 'playing' }, run('keep_plan', () => this.#set(plan)), run('print_plan', () => this.#print()), run('for_student', () => this.#desk.host().run('saveLesson'))),
      h('p', { class: 'note' }, words.text('desk.for_student_note')),
      h('details', { class: 'take-home', open: Boolean(body.querySelector('.take-home')?.open) }, h('summary', {}, words.text('practice.card')), card(words, core, { ...this.#desk.document(), plan: { ...this.plan, picture } })),
    );
  }

  #part(part) {
    const { words } = this.#desk;
    const drill = this.plan.drill ?? {};
    const change = (text) => this.#set({ drill: filled({ ...this.plan.drill, [part]: text }) });
    return field(words.text(`drill.${part}`), drill[part], change, { rows: 2, name: `drill-${part}`, placeholder: drillText(words, null, part) });
  }

  #rungs({ rungs, step_down: down, hooks, minor, ...numbers }) {
    const { words } = this.#desk;
    const set = (i, change) => this.#set({ rungs: core.planOf(this.plan).plan.rungs.map((rung, at) => (at === i ? { ...rung, ...change } : rung)) });
    const row = ({ share, balls }, i) =>
      h(
        'li',
        { class: 'fields' },
        field(words.text('desk.share'), percent(share), (value) => set(i, { share: (value ?? 0) / 100 }), { type: 'number', min: 5, max: 100, name: `share-${i}` }),
        field(words.text('desk.rung_balls'), balls, (value) => set(i, { balls: value }), { type: 'number', min: 1, name: `balls-${i}` }),
        rungs.length > 1 && h('button', { type: 'button', class: 'remove', 'aria-label': words.text('desk.remove_rung', { rung: i + 1 }), on: { click: () => this.#set({ rungs: rungs.filter((_, at) => at !== i) }) } }, '×'),
      );
    const more = () => this.#set({ rungs: [...rungs, { ...rungs.at(-1) }] });
    const number = (name) => field(words.text(`plan.${name}`), numbers[name], (value) => this.#set({ [name]: value }), { type: 'number', min: 0, name });
    const rules = ['first pull', '2 of 5'].map((word) => [word, words.word('plan', word)]);
    return [
      h('ol', { class: 'rung-list' }, rungs.map(row)),
      h('button', { type: 'button', class: 'more-rungs', on: { click: more } }, words.text('desk.more_rungs')),
      pick(words.text('plan.step_down'), down, rules, (value) => this.#set({ step_down: value }), 'step-down'),
      h('div', { class: 'fields' }, NUMBERS.map(number)),
      h('div', { class: 'toggles' }, tick(words.text('plan.hooks'), hooks, (value) => this.#set({ hooks: value }), 'hooks'), tick(words.text('plan.minor'), minor, (value) => this.#set({ minor: value }), 'plan-minor')),
    ];
  }

  /** The path that the arms alone would draw: the picture to copy. */
  #arms() {
    const { element, look } = this.#desk.host();
    element.look = { arms: !look.arms };
  }

  /** The card alone. */
  #print() {
    const { element } = this.#desk.host();
    element.toggleAttribute('data-card', true);
    element.shadowRoot.querySelector('.take-home').open = true;
    addEventListener('afterprint', () => element.removeAttribute('data-card'), { once: true });
    print();
  }
}

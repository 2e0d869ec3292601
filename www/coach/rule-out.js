// What to rule out before the hand path: a strip of five, above the findings, which wait behind it.

import { core } from '../coach.js';
import { h } from '../dom.js';
import { pick } from './form.js';

const STATES = ['points here', 'speaks against', 'not checked', 'open'];

/** Verdicts of the finding "carrier" with which the hands are carried out. */
const CARRIED = ['arm-driven', 'both', 'body-carried'];

export class RuleOut {
  name = 'rule_out';
  #desk;
  #built;
  #looked = false;

  constructor(desk) {
    this.#desk = desk;
  }

  show(body) {
    const { words, fields, host, hand, captures } = this.#desk;
    const { report } = host().answer?.files[host().files.student?.id] ?? {};
    const entries = captures.entries();
    const club = report?.club ?? entries[0]?.club ?? null;
    const looked = fields.looked ?? {};
    const asked = { hand, club, setup: fields.setup ?? null, captures: entries, balls: this.#desk.lessonBalls(), looked, path: { judge: captures.told.judge, fits: fitsOf(report?.findings) } };
    const told = core.ruleOut(asked);
    this.told = told;
    this.#hold(told);
    const now = JSON.stringify([told, this.#looked]);
    if (now === this.#built) return;
    this.#built = now;
    const open = h('button', { type: 'button', class: 'look-anyway', on: { click: () => this.#look() } }, words.text('desk.look_anyway'));
    const held = !told.announce && !this.#looked;
    const said = told.announce ? 'desk.announced' : this.#looked ? 'desk.looked_anyway' : 'desk.held';
    body.replaceChildren(
      h('ol', { class: 'strip' }, told.rows.map((row) => this.#row(row, looked))),
      h('p', { class: 'held', role: 'status', 'data-announce': String(told.announce) }, words.text(said)),
      held ? open : '',
      ...told.notes.map((message) => h('p', { class: 'note' }, words.message(message))),
    );
  }

  #row({ cause, state, evidence, by_coach: own }, looked) {
    const { words } = this.#desk;
    const options = [['', words.text('desk.as_computed')], ...STATES.map((word) => [word, words.word('state', word)])];
    const change = (value) => this.#desk.set('looked', Object.fromEntries(Object.entries({ ...this.#desk.fields.looked, [cause]: value }).filter(([, kept]) => kept)));
    return h(
      'li',
      { 'data-cause': cause, 'data-state': state },
      h('h3', {}, words.word('cause', cause)),
      h('p', {}, h('strong', {}, words.word('state', state)), own ? ` (${words.text('desk.by_coach')})` : ''),
      evidence.map((message) => h('p', { class: 'note' }, words.message(message))),
      pick(words.text('desk.seen'), looked[cause], options, change, cause.replace(' ', '-')),
    );
  }

  #look() {
    this.#looked = true;
    this.#desk.refresh();
  }

  /** Findings, and the sentences that tell of them, wait until the strip is done. */
  #hold({ announce }) {
    this.#desk.host().element.toggleAttribute('data-hold', !announce && !this.#looked);
  }
}

/** Do the findings fit with hands that move out early? The one that tells what carries them out knows. */
function fitsOf(findings) {
  const carrier = findings?.find(({ name }) => name === 'carrier')?.verdict;
  if (CARRIED.includes(carrier)) return true;
  return carrier === 'neither' ? false : null;
}

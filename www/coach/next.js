// The next lesson: balls first, then the path; what changed, and whether to keep, change or finish the plan.

import { core } from '../coach.js';
import { h } from '../dom.js';
import { pick } from './form.js';
import { shareText } from './progress.js';

/** Measures that a plan may want less or more of; the first is the default of the core. */
const MEASURES = ['out drift, greatest', 'out drift, at lead arm level', 'made, out', 'carried, out'];

export class Next {
  name = 'next';
  #desk;
  #built;
  #found;
  #asked;

  constructor(desk) {
    this.#desk = desk;
  }

  /** The lesson before: `{at, captures, setup}`; undefined in the first one. */
  get before() {
    return this.#desk.fields.before;
  }

  show(body) {
    const { words, fields, host } = this.#desk;
    const earlier = host().files.all().filter(({ slot }) => slot === 'earlier').length;
    this.#load(earlier);
    const told = this.before && this.#told();
    const now = JSON.stringify([told, Boolean(this.before), fields.plan?.measure]);
    if (now === this.#built) return;
    this.#built = now;
    const begin = h('button', { type: 'button', class: 'begin-next', disabled: !host().files.students.length, on: { click: () => this.#begin() } }, words.text('desk.begin_next'));
    if (!told) return body.replaceChildren(h('p', { class: 'note' }, words.text('desk.next_note')), begin);
    body.replaceChildren(
      h('p', { class: 'note' }, words.text('desk.balls_first')),
      this.#table(told),
      h('p', { class: 'verdict-box', role: 'status', 'data-verdict': told.verdict, 'data-changed': told.changed }, h('strong', {}, words.word('next', told.verdict)), ' ', words.message(told.reason)),
      ...told.notes.map((message) => h('p', { class: 'note' }, words.message(message))),
      this.#measure(),
      begin,
    );
  }

  #measure() {
    const { words, pageWords, fields } = this.#desk;
    const chosen = fields.plan?.measure ?? {};
    const set = (change) => this.#desk.set('plan', { ...fields.plan, measure: { name: MEASURES[0], wish: 'less', ...fields.plan?.measure, ...change } });
    const wishes = ['less', 'more'].map((word) => [word, words.word('wish', word)]);
    return h(
      'div',
      { class: 'fields' },
      pick(words.text('desk.measure'), chosen.name ?? MEASURES[0], MEASURES.map((name) => [name, pageWords.word('number', name)]), (name) => set({ name }), 'measure'),
      pick(words.text('desk.wish'), chosen.wish ?? 'less', wishes, (wish) => set({ wish }), 'wish'),
    );
  }

  #table({ pulled_before: before, pulled_after: after, balls, path, transfer, changed }) {
    const { words } = this.#desk;
    const row = (key, ...cells) => h('tr', {}, h('th', { scope: 'row' }, words.text(key)), cells.map((cell) => h('td', {}, cell)));
    return h(
      'table',
      { class: 'next-table' },
      h(
        'tbody',
        {},
        row('desk.pulled_before', shareText(words, before)),
        row('desk.pulled_after', shareText(words, after)),
        row('desk.balls_became', words.word('became', balls)),
        row('desk.path_became', words.word('became', path)),
        row('desk.changed', words.word('changed', changed)),
        row('desk.transfer', shareText(words, transfer)),
      ),
    );
  }

  #told() {
    const { fields, hand, captures } = this.#desk;
    const since = this.before.at;
    const sessions = this.#desk.sessions();
    const lesson = (later) => sessions.filter(({ kind, began }) => kind === 'lesson' && later === (began > since)).flatMap(({ balls }) => balls);
    const of = (entries) => entries.filter(({ keep, ball }) => keep !== false && ball).map(({ ball }) => ball);
    const entries = captures.entries();
    const side = (list, line, later) => ({ club: list[0]?.club ?? null, line: line ?? null, balls: [...of(list), ...lesson(later)] });
    const practised = sessions.filter(({ kind, began }) => kind === 'practice' && began > since).reduce((sum, { balls }) => sum + balls.length, 0);
    const transfer = sessions.filter(({ kind, began }) => kind === 'transfer' && began > since).at(-1)?.balls ?? [];
    return core.nextLesson({
      hand,
      before: side(this.before.captures ?? [], this.before.line, false),
      after: side(entries, this.#line(), true),
      changes: this.#found?.lessons?.changes ?? [],
      measure: fields.plan?.measure ?? null,
      transfer,
      practised: { balls: practised },
    });
  }

  /** Where the target line of this lesson comes from. */
  #line() {
    const { fields, host } = this.#desk;
    const { answer, files } = host();
    const guesses = answer?.files[files.student?.id]?.report.guesses ?? [];
    return fields.setup?.source ?? guesses.find(({ what }) => what === 'target line')?.source ?? null;
  }

  /** What of the path changed: the engine's lesson against lesson, once for the same files. */
  #load(earlier) {
    const { host } = this.#desk;
    const { asked, ask, files, unmade } = host();
    if (!this.before || !earlier || !files.students.length) return;
    const job = this.#good(asked());
    const key = JSON.stringify(job.files);
    if (key === this.#asked) return;
    this.#asked = key;
    const found = ask('together', { ...job, shown: null }).then((told) => {
      if (key === this.#asked) this.#found = told;
      this.#desk.refresh();
    });
    this.#desk.wait(found.catch(unmade));
  }

  /** Of both lessons the good captures alone (kept, one club, one kind, full effort), where they were noted. */
  #good(job) {
    const { hand, captures } = this.#desk;
    const ids = (entries) => core.capturesOf(entries, hand).good.map((number) => this.#desk.file(number)?.id);
    const good = { student: ids(captures.entries()), earlier: ids(this.before.captures ?? []) };
    return { ...job, files: job.files.filter(({ id, slot }) => !good[slot]?.length || good[slot].includes(id)) };
  }

  /** The swings that are there become those of the lesson before. */
  #begin() {
    const { host, fields, captures } = this.#desk;
    const entries = captures.entries();
    const { files, compare } = host();
    this.#desk.set('before', { at: new Date().toISOString(), captures: entries, line: this.#line(), ...(fields.setup ? { setup: fields.setup } : {}) });
    for (const name of ['captures', 'looked', 'setup']) this.#desk.set(name, undefined);
    for (const file of files.all()) if (file.slot === 'student') file.slot = 'earlier';
    files.shown = undefined;
    compare();
  }
}

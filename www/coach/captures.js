// The captures of a session, each with the ball that went with it.

import { core } from '../coach.js';
import { h } from '../dom.js';
import { LessonTable } from '../lessons.js';
import { percent } from '../quantities.js';
import { efforts } from './efforts.js';
import { buttons, field, filled, pick, tick } from './form.js';

const CLUBS = ['driver', 'fairway-wood', 'iron', 'wedge'];
const KINDS = ['full', 'part', 'drill', 'pause', 'practice'];
const EFFORTS = [0.3, 0.6, 0.9, 1];
const LAUNCH = ['start_deg', 'face_deg', 'path_deg', 'club_speed_m_s'];

export class Captures {
  name = 'captures';
  #desk;
  #built;
  #table;
  #typical = null;
  #asked;

  constructor(desk) {
    this.#desk = desk;
    this.#table = new LessonTable(desk.pageWords);
  }

  /** Entries of the swings that are there, in their order. */
  entries() {
    const { fields, host } = this.#desk;
    const known = new Map((fields.captures ?? []).map((entry) => [entry.swing, entry]));
    const { files, lesson } = host();
    const entry = (file) => [lesson.number(file, files), file.corrections];
    return files.students.map(entry).map(([swing, corrections]) => known.get(swing) ?? filled({ swing, club: corrections.club, kind: corrections.kind ?? 'full', effort: 1, keep: true }));
  }

  show(body) {
    const { words, host, hand } = this.#desk;
    const entries = this.entries();
    const refused = this.#desk.refused('captures');
    const now = JSON.stringify([entries, hand, refused, Object.keys(host().answer?.files ?? {}), host().files.students.map(({ name }) => name)]);
    const told = core.capturesOf(entries, hand);
    this.told = told;
    if (!refused) this.#seek(told);
    const shown = now + this.#typical;
    if (shown === this.#built) return;
    this.#built = shown;
    if (refused) return body.replaceChildren(h('p', { class: 'error' }, words.message(refused)));
    const messages = told.notes.map((message) => h('p', { class: 'note' }, words.message(message)));
    const compare = h('button', { type: 'button', class: 'own-pulls', disabled: !told.compare, on: { click: () => this.#compare(told) } }, words.text('desk.own_pulls'));
    body.replaceChildren(
      ...this.#desk.cautions('capture'),
      h('p', {}, words.text('desk.captures_kept', { kept: told.kept, good: told.good.length })),
      ...messages,
      this.#typical ? h('p', { class: 'typical', 'data-typical': this.#typical }, words.text('desk.typical', { name: this.#typical })) : '',
      h('ol', { class: 'captures' }, entries.map((entry, i) => this.#row(entry, this.#desk.file(entry.swing)?.name ?? String(i + 1)))),
      h('div', { class: 'playing' }, compare),
      this.#table.root,
      this.#along(entries) ?? '',
    );
  }

  /** Which of the good captures is the most typical, by the engine, once for the same files. */
  #seek({ good, judge }) {
    const { ask, asked, unmade } = this.#desk.host();
    const ids = judge ? good.map((number) => this.#desk.file(number)?.id) : [];
    const job = asked();
    const files = job.files.filter(({ id, slot }) => slot === 'address' || ids.includes(id));
    const key = JSON.stringify(files);
    if (key === this.#asked) return;
    this.#asked = key;
    this.#typical = null;
    if (!judge) return;
    const found = ask('together', { ...job, files, shown: null }).then(({ own }) => {
      if (key === this.#asked) this.#typical = own?.most_typical ?? null;
      this.#desk.refresh();
    });
    this.#desk.wait(found.catch(unmade));
  }

  /** What the paths of the kept captures do along the shares of effort. */
  #along(entries) {
    const { words, pageWords, host } = this.#desk;
    const { answer, element } = host();
    const measures = ({ swing }) => answer?.files[this.#desk.file(swing)?.id]?.report.measures ?? [];
    const told = entries.filter(({ keep }) => keep !== false).map((entry) => ({ effort: entry.effort, measures: measures(entry) }));
    return efforts(words, pageWords, told, element.unit);
  }

  #set(entry, change) {
    const entries = this.entries().map((other) => (other.swing === entry.swing ? filled({ ...other, ...change }) : other));
    this.#desk.set('captures', entries);
  }

  #row(entry, name) {
    const { words, hand } = this.#desk;
    const ball = entry.ball ?? {};
    const choices = core.ballWords(hand);
    // As it is when something changes: the row may be older than that.
    const current = () => this.entries().find(({ swing }) => swing === entry.swing)?.ball ?? {};
    const setBall = (change) => {
      const now = filled({ ...current(), ...change });
      this.#set(entry, { ball: Object.keys(now).length ? now : undefined });
    };
    const start = ({ word, side }) => [word, `${words.word('start', word)} (${words.word('starts', side)})`];
    const curve = ({ word, side }) => [word, `${words.word('curve', word)} (${words.word('bends', side)})`];
    const options = (list, name) => [['', '–'], ...list.map((word) => [word, name(word)])];
    const launch = (key) => field(words.text(`launch.${key}`), ball.launch?.[key], (value) => setBall({ launch: filled({ ...current().launch, [key]: value }) }), { type: 'number', name: key });
    const notes = entry.ball ? core.ballOf(entry.ball, hand, 2).notes : [];
    return h(
      'li',
      { 'data-swing': entry.swing },
      h('button', { type: 'button', class: 'show', on: { click: () => this.#desk.host().show(this.#desk.file(entry.swing)?.id) } }, name),
      h(
        'div',
        { class: 'fields' },
        pick(words.text('desk.club'), entry.club, options(CLUBS, (word) => words.word('club', word)), (club) => this.#set(entry, { club }), 'club'),
        pick(words.text('desk.kind'), entry.kind, options(KINDS, (word) => words.word('kind', word)), (kind) => this.#set(entry, { kind }), 'kind'),
        pick(words.text('desk.effort'), String(entry.effort), EFFORTS.map((effort) => [String(effort), words.text('desk.percent', { percent: percent(effort) })]), (effort) => this.#set(entry, { effort: Number(effort) }), 'effort'),
        tick(words.text('desk.keep'), entry.keep, (keep) => this.#set(entry, { keep }), 'keep'),
      ),
      buttons(words.text('practice.where'), ball.start, choices.starts.map(start), (word) => setBall({ start: word }), 'start'),
      buttons(words.text('practice.how'), ball.curve, choices.curves.map(curve), (word) => setBall({ curve: word }), 'curve'),
      pick(words.text('practice.strike'), ball.strike, options(choices.strikes, (word) => words.word('strike', word)), (strike) => setBall({ strike }), 'strike'),
      h('details', { open: Boolean(ball.launch) }, h('summary', {}, words.text('desk.launch')), h('p', { class: 'note' }, words.text('desk.launch_note')), h('div', { class: 'fields' }, LAUNCH.map(launch))),
      notes.map((message) => h('p', { class: 'note wary' }, words.message(message))),
    );
  }

  /** The student's own pulls against their own good balls, as two lessons are held against each other. */
  async #compare({ pulls, good_balls: good }) {
    const { host } = this.#desk;
    const { ask, asked, element } = host();
    const job = asked();
    const ids = (numbers) => numbers.map((number) => this.#desk.file(number)?.id);
    const [pulled, flew] = [ids(pulls), ids(good)];
    const slot = ({ id, slot: is }) => (pulled.includes(id) ? 'student' : flew.includes(id) ? 'earlier' : is === 'address' ? is : null);
    const files = job.files.map((file) => ({ ...file, slot: slot(file) })).filter((file) => file.slot);
    const found = await this.#desk.wait(ask('together', { ...job, files, shown: null }));
    if (!found?.lessons) return;
    this.#table.show({ lessons: found.lessons }, element.unit);
    // Two sets of one lesson stand where two lessons stand elsewhere.
    const heads = this.#table.root.querySelectorAll('thead th');
    ['desk.own_good', 'desk.own_pulled'].forEach((key, i) => heads[i + 1] && (heads[i + 1].textContent = this.#desk.words.text(key)));
    this.#table.title.textContent = this.#desk.words.text('desk.own_pulls_title', { pulls: pulls.length, good: good.length });
  }
}

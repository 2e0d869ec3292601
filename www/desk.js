// The coach's desk: the cards of a lesson in the order of the job. It comes with the coach's module when it is opened, or with
// a lesson that holds captures, a plan or a log. Rules are the core's; here stands what is asked and shown.

import { begin, core } from './coach.js';
import { Before } from './coach/before.js';
import { Captures } from './coach/captures.js';
import { House } from './coach/house.js';
import { hold, keepLesson, kept, putAway, takeUp, whyOf } from './coach/keep.js';
import { Next } from './coach/next.js';
import { Plan } from './coach/plan.js';
import { progress } from './coach/progress.js';
import { RuleOut } from './coach/rule-out.js';
import { h, setText } from './dom.js';
import { percent } from './quantities.js';
import { sheetAt } from './resources.js';

/** How long after a change the lesson is kept on this machine. */
const SOON_MS = 700;

/** How long letters count as one word in a list. */
const TYPING_MS = 1000;

/** Progress of the student's practice, as the log in the lesson tells it. */
class Practised {
  name = 'practice';
  #desk;
  #built;

  constructor(desk) {
    this.#desk = desk;
  }

  show(body) {
    const { words, fields } = this.#desk;
    const now = JSON.stringify([fields.log, fields.plan]);
    if (now === this.#built) return;
    this.#built = now;
    const practice = new core.Practice(fields.plan ?? null, fields.log ?? null);
    const notes = (Array.isArray(fields.log) ? fields.log : []).filter(({ what, text }) => what === 'note' && text);
    body.replaceChildren(
      ...this.#desk.cautions('practice'),
      h('p', { class: 'note' }, words.text('desk.practice_note')),
      progress(words, practice.progress(), (at) => this.#desk.date(at)),
      ...notes.map(({ at, text }) => h('blockquote', {}, h('p', {}, text), h('small', {}, this.#desk.date(at)))),
      ...practice.warnings().map((message) => h('p', { class: 'note wary' }, words.message(message))),
    );
    practice.free();
  }
}

export class Part {
  #root;
  #cards = [];
  #timer;
  #listening = new AbortController();
  #unkept = false;
  #changedAt = -Infinity;
  #later;

  /** `host` gives what commands may touch. */
  static async open(pageWords, root, host) {
    const part = new Part();
    part.words = await begin(pageWords);
    part.pageWords = pageWords;
    part.host = host;
    part.#build(root);
    await part.#offers();
    return part;
  }

  #build(root) {
    this.#root = root;
    const sheet = h('link', { rel: 'stylesheet', href: sheetAt(new URL('desk.css', import.meta.url)) });
    this.before = new Before(this);
    this.captures = new Captures(this);
    this.house = new House(this);
    this.told = h('div', { class: 'desk-told', role: 'status' });
    this.offers = h('ul', { class: 'offers' });
    const all = [this.before, this.captures, new RuleOut(this), new Plan(this), new Practised(this), new Next(this), this.house];
    this.#cards = all.map((card) => this.#card(card));
    root.append(sheet, this.told, this.offers, ...this.#cards.map(({ root: box }) => box));
    addEventListener('beforeprint', () => this.#paper(), { signal: this.#listening.signal });
  }

  #card(card) {
    const body = h('div', { class: 'card-body' });
    const box = h('details', { class: 'desk-card', 'data-card': card.name, open: card.name === 'rule_out' }, h('summary', {}, h('h2', {}, this.words.text(`desk.title_${card.name}`))), body);
    return { card, body, root: box };
  }

  get fields() {
    return this.host().lesson.fields;
  }

  /** The hand that the words of balls are for: as stated, else as the shown swing has it. */
  get hand() {
    const { answer, files } = this.host();
    return this.fields.intake?.hand ?? answer?.files[files.student?.id]?.report?.hand ?? 'right';
  }

  /** A field of the lesson becomes another; undefined takes it away. */
  set(name, value) {
    const { coach } = this.house;
    const signed = name === 'plan' && coach && value;
    if (signed) this.#signed(name, value, coach);
    else if (value === undefined) delete this.fields[name];
    else this.fields[name] = value;
    this.#unkept = true;
    this.#changedAt = performance.now();
    this.refresh();
  }

  #signed(name, value, coach) {
    const { plan, changes } = this.fields;
    const { document, error } = core.changeDocument(JSON.stringify({ plan, changes }), { coach, date: this.today(), what: [name], to: value });
    Object.assign(this.fields, error ? { [name]: value } : { ...JSON.parse(document), [name]: value });
  }

  /** The file of a number within the lesson. */
  file(number) {
    const { files, lesson } = this.host();
    return files.all().find((file) => lesson.number(file, files) === number);
  }

  /** States corrections for swings of the student, all unless some are named; what a swing states itself wins. */
  state(corrections, swings = this.host().files.students) {
    const { files, compare } = this.host();
    for (const file of swings) files.change(file, { ...corrections, ...file.corrections }, 'stated by the user');
    compare();
  }

  /** What is stated for the session holds for captures that come later, too; each takes it once, so that it can be changed there. */
  #carry() {
    const { setup, preset } = this.fields;
    const stated = { ...preset?.corrections, ...(setup?.stated ? setup.corrections : {}) };
    const now = JSON.stringify(stated);
    const late = this.host().files.students.filter((file) => !file.kept && !file.demo && file.carries !== now);
    for (const file of late) file.carries = now;
    const lacks = ({ corrections }) => Object.keys(stated).some((name) => !(name in corrections));
    const wanting = late.filter(lacks);
    if (wanting.length) this.state(stated, wanting);
  }

  today() {
    return new Date().toISOString().slice(0, 10);
  }

  date(at) {
    const date = new Date(at);
    return Number.isNaN(date.getTime()) ? String(at) : new Intl.DateTimeFormat(this.words.language, { dateStyle: 'medium' }).format(date);
  }

  /** Cautions where they belong, as the core's table has them. */
  cautions(place) {
    const found = core.cautions(place, Boolean(this.fields.intake?.minor));
    return [h('ul', { class: 'cautions note', 'data-place': place }, found.map((message) => h('li', {}, this.words.message(message))))];
  }

  /** Why something is not offered; null: it is. */
  refused(what) {
    if (!this.fields.intake) return null;
    const { first, not_offered: not } = core.intakeOf(this.fields.intake);
    // Without pain it is consent that is missing.
    return not.includes(what) ? (first ?? { key: 'coach.no_consent', args: {}, place: null }) : null;
  }

  /** What the card to take home needs of the lesson. */
  document() {
    const { lesson } = this.host();
    return { student: { code: lesson.code }, plan: this.fields.plan };
  }

  /** The log by sessions, each with its balls. */
  sessions() {
    const found = [];
    for (const entry of Array.isArray(this.fields.log) ? this.fields.log : []) {
      if (entry?.what === 'begin') found.push({ kind: entry.as ?? 'practice', began: entry.at ?? '', balls: [] });
      if (entry?.what === 'ball') found.at(-1)?.balls.push(entry);
      if (entry?.what === 'undo' && found.at(-1)?.balls.length) found.at(-1).balls.pop();
    }
    return found;
  }

  /** Balls of the log that belong to this lesson. */
  lessonBalls() {
    const since = this.fields.before?.at ?? '';
    return this.sessions().filter(({ kind, began }) => kind === 'lesson' && began > since).flatMap(({ balls }) => balls);
  }

  /** Work that the element waits for; what goes wrong is told. */
  wait(work) {
    this.host().wait(work.then(() => {}));
    return work;
  }

  refresh() {
    this.#seen = undefined;
    this.host().changed();
  }

  #seen;

  /** Paints the cards where something of them may be new; cards that are folded too, because one rests on the other. */
  show() {
    const { answer, lesson, look, files, element } = this.host();
    // A made-up swing is no part of the lesson.
    if (element.hasAttribute('data-trying')) return;
    this.#carry();
    const now = [answer, lesson, JSON.stringify(look.thresholds), look.reference, files.all().map(({ id, slot }) => `${id}${slot}`).join()];
    if (this.#seen && now.every((value, i) => value === this.#seen[i])) return;
    this.#seen = now;
    for (const { card, body } of this.#cards) {
      const box = body.getRootNode().activeElement;
      const field = body.contains(box) ? box?.dataset?.field ?? box?.dataset?.word ?? box?.className : null;
      const line = box?.closest?.('[data-swing], [data-cause]');
      if (body.contains(box) && this.#typing(box)) continue;
      card.show(body);
      if (field && !body.contains(body.getRootNode().activeElement)) this.#focus(body, field, line?.dataset);
    }
    this.#soon();
  }

  /** A card that was built anew keeps the focus where it was. */
  #focus(body, field, line) {
    const within = (line?.swing && body.querySelector(`[data-swing="${line.swing}"]`)) || (line?.cause && body.querySelector(`[data-cause="${line.cause}"]`)) || body;
    const escaped = CSS.escape(field);
    within.querySelector(`[data-field="${escaped}"], [data-word="${escaped}"], [class="${escaped}"]`)?.focus({ preventScroll: true });
  }

  /** A list in which somebody may still be typing what they choose stays for a moment. */
  #typing(box) {
    const left = TYPING_MS - (performance.now() - this.#changedAt);
    if (!box?.matches?.('select') || left <= 0) return false;
    clearTimeout(this.#later);
    this.#later = setTimeout(() => this.refresh(), left);
    return true;
  }

  /** What the numbers rest on: the same settings and references have the same code on every machine. Of the text of the lesson,
      because recordings are the same there, whatever files they came in. */
  #fingerprint(text) {
    const { document, recordings, error } = core.openLesson(new TextEncoder().encode(text));
    if (error) return;
    const { swings = [], thresholds = {}, shown } = JSON.parse(document);
    const used = swings.filter(({ slot }) => ['reference', 'own'].includes(slot));
    const references = used.map(({ recording, corrections = {} }) => ({ recording: core.digest(new TextEncoder().encode(recordings[recording] ?? '')), corrections }));
    const student = swings.find(({ id }) => id === shown) ?? swings.find(({ slot }) => slot === 'student');
    const found = core.fingerprintOf({ corrections: student?.corrections ?? {}, thresholds, references });
    if (found.code === this.fingerprint?.code) return;
    this.fingerprint = found;
    this.refresh();
  }

  /** The plan and the fingerprint stand on the report. */
  #paper() {
    const { element } = this.host();
    const { words, fields } = this;
    const place = element.shadowRoot.querySelector('.root > .paper:has(.line) section');
    place?.querySelectorAll('.of-plan').forEach((line) => line.remove());
    if (!place) return;
    const { plan } = core.planOf(fields.plan ?? null);
    const rungs = plan.rungs.map(({ share, balls }) => words.text('desk.paper_rung', { percent: percent(share), balls })).join(', ');
    const feel = fields.plan?.drill?.feel;
    const lines = [fields.plan && words.text('desk.paper_plan', { rungs, cap: plan.cap }), feel && words.text('desk.paper_feel', { feel }), words.text('desk.fingerprint', { code: this.fingerprint?.code ?? '–' })];
    place.append(...lines.filter(Boolean).map((line) => h('p', { class: 'of-plan' }, line)));
  }

  /** A moment after the last change the code of the settings is made anew, and the lesson kept on this machine. */
  #soon() {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.keep(), SOON_MS);
  }

  /** Keeps all of the lesson, recordings too, where a card changed; says at once where that is refused. */
  async keep() {
    const { element, lesson, files } = this.host();
    if (!files.all().length) return;
    const { text } = await element.saveLesson().catch(() => ({}));
    // Another lesson has taken its place meanwhile: perhaps this one without names.
    if (!text || lesson !== this.host().lesson) return;
    this.#fingerprint(text);
    if (!this.#unkept) return;
    this.#unkept = false;
    try {
      await keepLesson({ key: `desk:${lesson.code}`, code: lesson.code, at: new Date().toISOString(), text });
      hold();
      this.#say('desk.kept');
    } catch (fault) {
      this.#unkept = true;
      this.#say(whyOf(fault) === 'full' ? 'desk.storage_full' : 'desk.storage_refused', { saves: true });
    }
  }

  /** Where nothing is kept the way to a file stands beside it. */
  #say(key, { saves = false } = {}) {
    this.told.dataset.key = key;
    const save = () => this.host().run('saveLesson');
    if (saves) this.told.replaceChildren(this.words.text(key), ' ', h('button', { type: 'button', class: 'save-now', on: { click: save } }, this.words.text('practice.save')));
    else setText(this.told, this.words.text(key));
  }

  /** Lessons that were not finished here. */
  async #offers() {
    const { code } = this.host().lesson;
    const found = (await kept().catch(() => [])).filter(({ key, code: other }) => key.startsWith('desk:') && other !== code);
    this.offers.replaceChildren(...found.map((lesson) => this.#offer(lesson)));
  }

  #offer({ key, code, at }) {
    const { words } = this;
    const button = (name, click) => h('button', { type: 'button', class: name.replaceAll('_', '-'), on: { click } }, words.text(`practice.${name}`));
    const open = async () => {
      const lesson = await takeUp(key);
      if (lesson) await this.host().element.openLesson({ bytes: new TextEncoder().encode(lesson.text) });
      await this.#offers();
    };
    const away = () => putAway(key).then(() => this.#offers());
    return h('li', {}, words.text('practice.kept', { code, date: this.date(at) }), ' ', button('go_on', open), ' ', button('put_away', away));
  }

  end() {
    clearTimeout(this.#timer);
    clearTimeout(this.#later);
    this.#listening.abort();
    this.host().element.removeAttribute('data-hold');
  }
}

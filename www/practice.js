// <handpath-practice>: a student at home, on a phone, logs balls and sees what to do next. It needs neither painter nor engine.
//
// Opens a lesson file, or the lesson in the address of the page. All rules are the core's; here stands what is asked and
// shown. Every tap is kept on the machine before it is acknowledged. `data-state` is "busy", "start", "lesson" or "error".

import { begin, core } from './coach.js';
import { card } from './coach/card.js';
import { hold, kept, putAway, takeUp } from './coach/keep.js';
import { Logbook } from './coach/logbook.js';
import { progress } from './coach/progress.js';
import { choice, download, h, setText, unique } from './dom.js';
import { fromFragment } from './fragment.js';
import { holdsLesson } from './lesson.js';
import { percent } from './quantities.js';
import { forgetAll } from './remember.js';
import { sheetAt } from './resources.js';
import { Words } from './words.js';

/** The languages there are, each in its own words. */
const LANGUAGES = { en: 'English', de: 'Deutsch', es: 'Español' };

const SPOKEN = 'handpath:language';

/** What was chosen on this device, else the first of the reader's that there is. */
function spoken() {
  let kept = null;
  try {
    kept = localStorage.getItem(SPOKEN);
  } catch {
    // Storage refused: the browser's own language then.
  }
  const known = (language) => language?.toLowerCase().split('-')[0] in LANGUAGES;
  return [kept, ...(navigator.languages ?? [])].find(known) ?? 'en';
}

function keepSpoken(language) {
  try {
    localStorage.setItem(SPOKEN, language);
  } catch {
    // It holds for this visit.
  }
}

export class HandpathPractice extends HTMLElement {
  static define(tag = 'handpath-practice', registry = customElements) {
    if (!registry.get(tag)) registry.define(tag, this);
  }

  #words;
  #book;
  #idle = Promise.resolve();
  #parts;

  connectedCallback() {
    if (this.shadowRoot) return;
    this.attachShadow({ mode: 'open' });
    this.dataset.state = 'busy';
    addEventListener('beforeprint', () => this.#unfold());
    this.#idle = this.#open().catch((fault) => this.#refuse(fault));
  }

  /** Settles when nothing is being opened or kept. */
  async whenIdle() {
    let seen;
    do {
      seen = this.#idle;
      await seen;
    } while (seen !== this.#idle);
  }

  #work(work) {
    this.#idle = Promise.all([this.#idle, work]).catch((fault) => this.#say('practice.failed', { why: String(fault?.message ?? fault) }));
    return this.#idle;
  }

  async #open() {
    await this.#speak(spoken());
    this.#build();
    if (holdsLesson(location.hash)) await this.#openLink();
    else await this.#begin();
  }

  async #speak(language) {
    this.#words = await begin(await Words.load(language));
    document.documentElement.lang = this.#words.language;
    for (const part of ['title', 'lead']) for (const place of document.querySelectorAll(`[data-practice=${part}]`)) setText(place, this.#words.text(`practice.${part}`));
  }

  /** Another language: what is open stays open. */
  async #speakOther(language) {
    keepSpoken(language);
    await this.#speak(language);
    this.#build();
    if (!this.#book) return this.#begin();
    this.#parts.start.hidden = true;
    this.#parts.lesson.hidden = false;
    this.#lay();
    return this.#fill([]);
  }

  /** In their own words: who looks for a language may not know this one. */
  #languages() {
    const list = choice(Object.entries(LANGUAGES), { id: unique('language'), class: 'language', on: { change: () => this.#work(this.#speakOther(list.value)) } });
    for (const option of list.options) option.lang = option.value;
    list.value = this.#words.language.split('-')[0];
    const note = this.#words.unreviewed ? h('p', { class: 'note' }, this.#words.text('language.note')) : '';
    return h('div', { class: 'field' }, h('label', { htmlFor: list.id }, this.#words.text('practice.language')), list, note);
  }

  #refuse(fault) {
    const text = this.#words?.text('practice.no_start') ?? 'This browser could not start the log. Update it, or use another one. The plan on paper works without it.';
    this.shadowRoot.replaceChildren(h('p', { role: 'alert' }, text, ' ', h('small', {}, String(fault?.message ?? fault))), h('slot'));
    this.dataset.state = 'error';
  }

  #build() {
    const text = (key, args) => this.#words.text(key, args);
    const file = h('input', { type: 'file', id: unique('lesson'), class: 'open-lesson', on: { change: () => this.#chosen(file) } });
    const parts = {
      told: h('div', { class: 'told', role: 'alert' }),
      offers: h('ul', { class: 'offers' }),
      start: h('section', { class: 'start' }),
      lesson: h('div', { class: 'of-lesson', hidden: true }),
      said: h('p', { class: 'note', role: 'status' }),
    };
    parts.start.append(
      h('h2', {}, text('practice.open_title')),
      h('p', { class: 'note' }, text('practice.open_note')),
      h('span', { class: 'pick' }, file, h('label', { class: 'pick-file', htmlFor: file.id }, text('practice.open'))),
      parts.offers,
    );
    const wipe = h('button', { type: 'button', class: 'delete-all', on: { click: () => this.#work(this.#deleteAll()) } }, text('practice.delete_all'));
    const foot = h('details', { class: 'here' }, h('summary', {}, text('practice.here')), h('p', { class: 'note' }, text('practice.here_note')), wipe);
    this.#parts = parts;
    const root = h('div', { class: 'root', lang: this.#words.language }, parts.told, parts.said, parts.start, parts.lesson, foot, this.#languages());
    root.addEventListener('dragover', (event) => event.preventDefault());
    root.addEventListener('drop', (event) => this.#dropped(event));
    const sheet = h('link', { rel: 'stylesheet', href: sheetAt(new URL('practice.css', import.meta.url)) });
    this.shadowRoot.replaceChildren(sheet, root);
  }

  /** Something went wrong, or has to be known at once. */
  #say(key, args, ...more) {
    this.#parts.told.replaceChildren(h('p', { 'data-key': key }, this.#words.text(key, args), ' ', ...more));
  }

  async #openLink() {
    try {
      await this.#take(await fromFragment(location.hash));
    } catch (fault) {
      this.#say('practice.bad_link', { why: String(fault?.message ?? fault) });
      await this.#begin();
    }
  }

  #chosen(input) {
    const [file] = input.files;
    input.value = '';
    if (file) this.#work(this.#openFile(file));
  }

  #dropped(event) {
    event.preventDefault();
    const [file] = event.dataTransfer?.files ?? [];
    if (file) this.#work(this.#openFile(file));
  }

  /** Opens a lesson file (a File object) in place of what is there. */
  async openLesson(file) {
    await this.whenIdle();
    return this.#work(this.#openFile(file));
  }

  async #openFile(file) {
    await this.#take(new Uint8Array(await file.arrayBuffer()));
  }

  async #take(bytes) {
    const { document, recordings, warnings, error } = core.openLesson(bytes);
    if (error) {
      this.#say('practice.no_lesson', { why: this.#words.message(error) });
      return this.#book ? undefined : this.#begin();
    }
    this.#parts.told.replaceChildren();
    const book = new Logbook({ key: crypto.randomUUID(), document, opened: document, recordings });
    await this.#goOn(book);
    await this.#show(book);
    if (warnings.length) this.#say('practice.warnings', { why: warnings.map((message) => this.#words.message(message)).join(' ') });
  }

  /** A log of the same student that is kept here and goes on where the file's ends goes on; another stays beside it. */
  async #goOn(book) {
    const all = await kept().catch(() => []);
    for (const { key } of all.filter(({ key, code }) => !key.startsWith('desk:') && code && code === book.code)) {
      const lesson = await takeUp(key).catch(() => undefined);
      const before = lesson && new Logbook(lesson);
      if (before && book.goOn(before)) book.key = key;
      before?.end();
      if (book.key === key) return;
    }
  }

  /** What is kept of earlier days, to go on with. */
  async #begin() {
    this.#parts.start.hidden = false;
    this.#parts.lesson.hidden = true;
    try {
      const found = (await kept()).filter(({ key }) => !key.startsWith('desk:'));
      this.#parts.offers.replaceChildren(...found.map((lesson) => this.#offer(lesson)));
    } catch {
      this.#say('practice.storage_refused');
    }
    this.dataset.state = 'start';
  }

  #offer({ key, code, at }) {
    const text = (name, args) => this.#words.text(name, args);
    const button = (name, work) => h('button', { type: 'button', class: name.replaceAll('_', '-'), on: { click: () => this.#work(work()) } }, text(`practice.${name}`));
    const away = async () => {
      await putAway(key);
      await this.#begin();
    };
    return h('li', {}, h('p', {}, text('practice.kept', { code, date: this.#date(at) })), button('go_on', () => this.#takeUp(key)), ' ', button('put_away', away));
  }

  async #takeUp(key) {
    const lesson = await takeUp(key);
    if (lesson) await this.#show(new Logbook(lesson));
  }

  #date(at) {
    const date = new Date(at);
    return Number.isNaN(date.getTime()) ? String(at) : new Intl.DateTimeFormat(this.#words.language, { dateStyle: 'medium', timeStyle: 'short' }).format(date);
  }

  /** Everything that is kept on this machine, and what is open. */
  async #deleteAll() {
    this.#book?.end();
    this.#book = undefined;
    await forgetAll();
    history.replaceState(null, '', location.pathname + location.search);
    this.#parts.lesson.replaceChildren();
    await this.#begin();
    this.#say('practice.deleted');
  }

  async #show(book) {
    this.#book?.end();
    this.#book = book;
    await book.keep();
    hold();
    this.#parts.start.hidden = true;
    this.#parts.lesson.hidden = false;
    this.#lay();
    this.#fill([]);
    this.dataset.state = 'lesson';
  }

  /** The lesson's parts, once. */
  #lay() {
    const text = (key, args) => this.#words.text(key, args);
    const book = this.#book;
    const intake = core.intakeOf(book.document.intake ?? {});
    this.refused = book.document.intake && intake.not_offered.includes('practice') ? intake.first : null;
    this.words = core.ballWords(book.plan.hand);
    this.head = h('header', { class: 'head' });
    this.advice = h('div', { class: 'advice', role: 'status' });
    this.box = h('div', { class: 'balls' });
    this.others = h('div', { class: 'others' });
    this.session = h('section', { class: 'session' }, this.head, this.advice, this.box, this.others);
    this.progressBox = h('div', {});
    const note = h('textarea', { id: unique('note'), class: 'message', rows: 3, maxLength: 2000 });
    const add = () => note.value.trim() && this.#tap({ what: 'note', text: note.value.trim() }).then(() => (note.value = ''));
    this.#parts.lesson.replaceChildren(
      this.session,
      h('details', { class: 'progress' }, h('summary', {}, text('practice.progress')), this.progressBox),
      h('details', { class: 'card-box' }, h('summary', {}, text('practice.card')), card(this.#words, core, book.document), this.#button('print_card', () => print())),
      h(
        'section',
        { class: 'send' },
        h('h2', {}, text('practice.send')),
        h('p', { class: 'note' }, text('practice.send_note')),
        h('div', { class: 'field' }, h('label', { htmlFor: note.id }, text('practice.message')), note),
        h('div', { class: 'row' }, this.#button('add_note', add), this.#button('save', () => this.#save())),
        h('p', { class: 'note saved', role: 'status' }),
      ),
    );
    const odd = book.warnings;
    if (odd.length) setText(this.#parts.said, odd.map((message) => this.#words.message(message)).join(' '));
  }

  #button(name, click, args) {
    return h('button', { type: 'button', class: name.replaceAll('_', '-'), on: { click } }, this.#words.text(`practice.${name}`, args));
  }

  /** One entry: it is kept before what follows from it is shown. */
  async #tap(entry) {
    const work = this.#book.tap(entry).then(({ notes }) => this.#fill(notes, entry));
    await this.#work(work);
  }

  #fill(notes, entry) {
    const { unkept } = this.#book;
    if (unkept) this.#say(unkept === 'full' ? 'practice.storage_full' : 'practice.storage_refused', {}, this.#button('save', () => this.#save()));
    else if (this.#parts.told.querySelector('[data-key^="practice.storage"]')) this.#parts.told.replaceChildren();
    const { standing } = this.#book;
    const running = standing.session > 0 && !standing.ended;
    if (running) this.#running(standing, notes);
    else this.#before(standing);
    this.session.dataset.balls = String(standing.tally.balls);
    this.session.dataset.entries = String(this.#book.log.length);
    this.progressBox.replaceChildren(progress(this.#words, this.#book.progress, (at) => this.#date(at)));
    if (entry && entry.what !== 'note') (this.box.querySelector('.good') ?? this.session.querySelector('button'))?.focus({ preventScroll: true });
    if (entry?.what === 'note') setText(this.shadowRoot.querySelector('.saved'), this.#words.text('practice.noted'));
  }

  /** Cautions first; then a session begins. */
  #before({ session, ended, advice }) {
    const words = this.#words;
    const { plan } = this.#book;
    const told = session > 0 ? [advice.reason, ...advice.also] : [];
    const start = (as) => this.#button(`begin_${as}`, () => this.#tap({ what: 'begin', as }));
    const first = this.refused ? [h('p', { class: 'stop' }, words.message(this.refused))] : [start('practice'), start('transfer')];
    this.head.replaceChildren(h('h2', {}, words.text('practice.before')));
    this.#advise(told.length ? advice.kind : '', told);
    this.box.replaceChildren(
      h('ul', { class: 'cautions' }, core.cautions('practice', plan.minor).map((message) => h('li', {}, words.message(message)))),
      h('p', { class: 'note' }, words.text('practice.amount', { cap: plan.cap, rest: plan.rest_after })),
    );
    this.others.replaceChildren(h('div', { class: 'row' }, first), ended === 'pain' ? this.#button('undo', () => this.#tap({ what: 'undo' })) : '');
  }

  /** What to do next, in a place that stays, so that it is read out. */
  #advise(kind, [reason, ...also], notes = []) {
    const words = this.#words;
    const strong = h('strong', { class: 'kind' }, kind && words.word('advice', kind));
    this.advice.dataset.advice = kind;
    this.advice.hidden = !reason;
    if (!reason) return;
    this.advice.replaceChildren(h('p', {}, strong, ' ', words.message(reason)), ...[...also, ...notes].map((message) => h('p', { class: 'note' }, words.message(message))));
  }

  #running(standing, notes) {
    const { advice } = standing;
    const stopped = advice.kind === 'stop';
    this.head.replaceChildren(...this.#heading(standing));
    this.#advise(advice.kind, [advice.reason, ...advice.also], notes);
    if (stopped) this.box.replaceChildren(this.#button('end', () => this.#tap({ what: 'end' })));
    else this.#balls();
    this.others.replaceChildren(...this.#more(standing, stopped));
  }

  /** The share of full speed in big words, the rung, and how many balls. */
  #heading({ rung, share, on_rung: on, asked, tally, left, kind }) {
    const words = this.#words;
    const rungs = this.#book.plan.rungs.length;
    const climbs = rung !== null && rung !== undefined;
    const place = climbs ? words.text('practice.rung', { rung: rung + 1, rungs, on, asked }) : words.word('session', kind);
    return [
      h('h2', { class: 'speed' }, words.text('practice.speed', { percent: percent(share) })),
      h('p', {}, place),
      h('p', { class: 'note' }, words.text('practice.balls', { balls: tally.balls, left, good: tally.good, seen: tally.seen })),
    ];
  }

  /** A good ball in one tap; any other in two. The places of the buttons are those that the player sees. */
  #balls() {
    const words = this.#words;
    const { starts, strikes } = this.words;
    const options = [['', words.text('practice.no_strike')], ...strikes.map((word) => [word, words.word('strike', word)])];
    this.strike = choice(options, { class: 'strike', id: unique('strike') });
    const side = ({ word, side: place }) =>
      h('button', { type: 'button', 'data-start': word, on: { click: () => this.#choose(word) } }, words.word('start', word), h('small', {}, words.word('starts', place)));
    this.box.replaceChildren(
      h('button', { type: 'button', class: 'good', on: { click: () => this.#ball({ start: 'straight' }) } }, words.text('practice.good')),
      h('div', { class: 'starts', dir: 'ltr', role: 'group', 'aria-label': words.text('practice.where') }, starts.map(side)),
      h('div', { class: 'row' }, this.#button('not_seen', () => this.#ball({}))),
      h('div', { class: 'field' }, h('label', { htmlFor: this.strike.id }, words.text('practice.strike')), this.strike),
    );
  }

  /** The start is chosen: how did it bend? */
  #choose(start) {
    const words = this.#words;
    const bend = ({ word, side }) =>
      h('button', { type: 'button', 'data-curve': word, on: { click: () => this.#ball({ start, curve: word }) } }, words.word('curve', word), h('small', {}, words.word('bends', side)));
    const group = h('div', { class: 'curves', dir: 'ltr', role: 'group', 'aria-label': words.text('practice.how') }, this.words.curves.map(bend));
    const back = () => {
      this.#balls();
      this.box.querySelector(`[data-start=${start}]`)?.focus();
    };
    this.box.replaceChildren(
      h('p', {}, words.text('practice.started', { start: words.word('start', start) })),
      group,
      h('div', { class: 'row' }, this.#button('no_curve', () => this.#ball({ start })), this.#button('back', back)),
    );
    group.querySelector('[data-curve=none]')?.focus({ preventScroll: true });
  }

  #ball(ball) {
    const strike = this.strike.value;
    return this.#tap({ what: 'ball', ...ball, ...(strike ? { strike } : {}) });
  }

  #more({ rung, tally, since_rest: since }, stopped) {
    const button = (name, entry) => this.#button(name, () => this.#tap(entry));
    const rest = this.#button('rest', () => this.#tap({ what: 'rest' }).then(() => this.#rested()));
    const climbs = rung !== null && rung !== undefined && !stopped;
    return [
      h('div', { class: 'row' }, button('pain', { what: 'pain' })),
      h('div', { class: 'row' }, tally.balls > 0 && button('undo', { what: 'undo' }), since > 0 && !stopped && rest, !stopped && button('end', { what: 'end' })),
      ...(climbs ? [this.#otherRung(rung)] : []),
    ];
  }

  /** Another rung, by the student's or the coach's own choice. */
  #otherRung(rung) {
    const words = this.#words;
    const name = ({ share }, i) => [String(i), words.text('practice.rung_option', { rung: i + 1, percent: percent(share) })];
    const other = choice(this.#book.plan.rungs.map(name), { class: 'rung', id: unique('rung') });
    other.value = String(rung);
    const go = this.#button('go', () => this.#tap({ what: 'go', rung: Number(other.value) }));
    return h('div', { class: 'field' }, h('label', { htmlFor: other.id }, words.text('practice.other_rung')), h('div', { class: 'row' }, other, go));
  }

  /** Until when the rest lasts. */
  #rested() {
    const until = new Date(Date.now() + 1000 * this.#book.plan.rest_s);
    const time = new Intl.DateTimeFormat(this.#words.language, { timeStyle: 'short' }).format(until);
    setText(this.#parts.said, this.#words.text('practice.rest_until', { time }));
  }

  /** Paper holds the card, which may be folded. */
  #unfold() {
    const box = this.shadowRoot.querySelector('.card-box');
    if (box) box.open = true;
  }

  /** The lesson with its log, to be sent to the coach by whatever way the student likes. */
  #save() {
    const { text, error } = this.#book.file();
    if (error) return this.#say('practice.failed', { why: this.#words.message(error) });
    const name = `handpath-${this.#book.code.replaceAll(/[^\w-]+/g, '-') || 'lesson'}.json`;
    download(name, new Blob([text], { type: 'application/json' }));
    setText(this.shadowRoot.querySelector('.saved'), this.#words.text('practice.saved', { file: name }));
  }

  /** The text of the lesson file, as it is saved. */
  lessonText() {
    return this.#book?.file().text ?? null;
  }
}

HandpathPractice.define();

// <handpath-compare>: a student's swing against reference swings.
//
// Attributes: see attributes.js. Children: <a data-slot="student|earlier|reference|address" href="FILE">label</a> name the files shown
//   first, as the attributes `student` and `references` do; data-corrections holds what is known of one, as JSON. What is
//   inside the element stays readable where it cannot start.
// Properties: those of the attributes, look (the whole view state, a plain object), report (what was found).
// Methods: add(slot, files, joins), openLesson(file), saveLesson(small), prepare(), whenIdle().
// Events, bubbling and composed: handpath-ready (words and painter are there), handpath-report (detail: report),
//   handpath-refused (a file cannot be used; detail: its name, slot, error as data and as text), handpath-look (detail: look).
// `data-state` is "busy", "ready" or "error".

import { ADDRESSES, ATTRIBUTES, CHOICES, reflect } from './attributes.js';
import { COMMANDS } from './commands.js';
import { Coaching } from './coaching.js';
import { Corrections } from './corrections.js';
import { DeviationTable } from './deviations.js';
import { breathe, download, h, setText } from './dom.js';
import { Cancelled, Engine, Stopped, heldByEngines } from './engine.js';
import { Files } from './files.js';
import { Findings } from './findings.js';
import { coloursOf, onColours } from './inks.js';
import { commandOf } from './keys.js';
import { Later } from './later.js';
import { LONGEST_LINK, Lesson, fromFragment, holdsLesson, isLesson, renumber, toFragment } from './lesson.js';
import { LessonTable } from './lessons.js';
import { isSound } from './look.js';
import { Notes } from './notes.js';
import { Notices } from './notices.js';
import { Numbers } from './numbers.js';
import { bytesOf, named, prepared, preparing, storyOf } from './opening.js';
import { createPainter, freePainter, heldByPainters, inks, roleNames } from './painter.js';
import { Paper } from './paper.js';
import { Plots } from './plots.js';
import { forgetAll, lendWords, numbersOf, recall, recallShown, recallThresholds, remember } from './remember.js';
import { sheetAt } from './resources.js';
import { Sentences } from './sentences.js';
import { Sharing } from './sharing.js';
import { Stage } from './stage.js';
import { TakeAway } from './takeaway.js';
import { Thresholds } from './thresholds.js';
import { LEAST_FOR_BAND, Transport } from './transport.js';
import { Words } from './words.js';

/** The choices that are part of the view: what one looks at, not how the element is set into its page. */
const VIEW = ['view', 'layout', 'timing', 'unit', 'speed'];

/** Parts whose use needs the engine: it is loaded when one is reached. */
const COMPUTES = '.files, .making, .trying, .corrections, .thresholds, .aim, .sharing, [data-save=measures], [data-save=paths]';

/** How far below the visible part an element begins to load. */
const NEAR = '800px';

/** Which band is drawn: what it promises, and of which references it is; the first is the default. */
const BANDS = { bandKind: ['whole-curve', 'pointwise'], bandOf: ['like', 'same kind'] };

/** The answer to no files at all. */
const NOTHING = { files: [], shown: null, comparison: { references: [] }, readings: {}, picture: null };

/** The element that a lesson in the address of the page belongs to: the first one. */
let addressed;

const FREE_START = { yaw: 40, pitch: 18 };

export class HandpathCompare extends HTMLElement {
  static observedAttributes = ATTRIBUTES;

  /** Defines the tag, unless it is taken. */
  static define(tag = 'handpath-compare', registry = customElements) {
    if (!registry.get(tag)) registry.define(tag, this);
    return registry.get(tag);
  }

  /** What all elements of the page hold: `{painters, workers, bytes}`, bytes of the painters' memory. */
  static async held() {
    return { ...(await heldByPainters()), ...heldByEngines() };
  }

  #engine;
  #painter;
  #words;
  #parts;
  #files = new Files();
  #answer;
  #found;
  #look = { time: 0, orbit: { ...FREE_START }, zoom: 1, reference: 0, body: true, lines: true, numbers: true, references: true, band: true, others: true, arms: false, shaft: false, lit: null, aim: 0, bandKind: 'whole-curve', bandOf: 'like', thresholds: recallThresholds(), pins: [], spans: [], story: [], step: null, ...recallShown().parts };
  #frame = 0;
  #playing = 0;
  #job = 0;
  #idle = Promise.resolve();
  #placed = false;
  #picking;
  #turned;
  #kept = new Lesson();
  #view;
  #from;

  connectedCallback() {
    if (!this.shadowRoot) this.attachShadow({ mode: 'open' });
    if (this.#engine) return;
    const { unit } = recallShown();
    if (unit && !this.hasAttribute('unit')) this.unit = unit;
    this.#clear();
    this.#near = new IntersectionObserver((seen) => seen.some((entry) => entry.isIntersecting) && this.#begin(), { rootMargin: NEAR });
    if (this.loading === 'eager') this.#begin();
    else this.#near.observe(this);
  }

  #near;
  #opened;
  #sheet = h('link', { rel: 'stylesheet', href: sheetAt(new URL('element.css', import.meta.url)) });

  /** What the author put inside, in the room that the comparison will take. */
  #clear() {
    this.shadowRoot.replaceChildren(this.#sheet, h('div', { class: 'room' }, h('slot')));
  }

  /** Opens once: what the page is scrolled to, or asks for, is loaded. */
  #begin() {
    this.#near?.disconnect();
    if (this.#engine) return;
    this.#opened = this.#open();
    this.#idle = this.#opened;
  }

  /** Other files are named: all anew, once for all changes of the moment. */
  #reopen() {
    if (!this.#engine || this.#reopening) return;
    this.#reopening = true;
    queueMicrotask(() => {
      this.#reopening = false;
      if (!this.#engine) return;
      this.#close();
      if (this.isConnected) this.#begin();
    });
  }

  #reopening = false;

  /** A moved element keeps its files: only one that stays away is taken down. */
  disconnectedCallback() {
    queueMicrotask(() => {
      if (this.isConnected) return;
      this.#near.disconnect();
      this.#close();
    });
  }

  attributeChangedCallback(name, before, now) {
    if (ADDRESSES.includes(name) && before !== now) this.#reopen();
    if (name === 'language' && this.#words) this.#idle = Promise.all([this.#idle, this.#speak()]);
    this.#changed();
  }

  /** Everything about the view, as one plain object; any part of it can be set. */
  get look() {
    const chosen = Object.fromEntries(VIEW.map((name) => [name, this[name]]));
    return { ...structuredClone(this.#look), ...chosen };
  }

  set look(look) {
    for (const [name, value] of Object.entries(look)) {
      if (VIEW.includes(name)) {
        if (CHOICES[name].includes(value)) this[name] = value;
      } else if (name in BANDS) {
        if (BANDS[name].includes(value)) this.#wish(name, value);
      } else if (!(name in this.#look) || !isSound(name, value)) continue;
      else if (name === 'aim') this.#aim(value);
      else if (name === 'thresholds') this.#judgeBy(value);
      else this.#look[name] = structuredClone(value);
    }
    this.#changed();
  }

  /** What the core found: a report per file by its number, and the comparison. Null before the first one. */
  get report() {
    return this.#answer ?? null;
  }

  /** The answer that is shown, as the text of a file for the attribute `prepared`; null once other files are shown than those
      of the links, or the thresholds are not those of the rule table. */
  async prepare() {
    await this.whenIdle();
    const { files } = this.#files.job();
    if (!this.#found || Object.keys(this.#look.thresholds).length || files.some(({ id }, i) => id !== i + 1)) return null;
    return preparing(files, this.#look.story, { ...this.#found, picture: { ...this.#found.picture, band: this.#band.found ?? this.#found.picture.band } });
  }

  /** Settles when nothing is being read or computed. */
  async whenIdle() {
    let seen;
    do {
      seen = this.#idle;
      await seen;
    } while (seen !== this.#idle);
  }

  /** Adds files (File objects, or {name, bytes}) to a slot: student, earlier, reference or address. Several swings of the
      student are one lesson; `joins`: they are added to the one that is there. */
  async add(slot, files, joins = false) {
    this.#begin();
    await this.#opened;
    const work = (async () => {
      this.#parts?.notices.forget('core');
      this.#parts?.later.leave();
      await this.#take(slot, files, joins);
      await this.#compare();
    })();
    this.#idle = Promise.all([this.#idle, work]);
    await this.whenIdle();
  }

  /** Opens a lesson file (a File object, or {bytes}) in place of what is there, as `add` does of itself. */
  openLesson(file) {
    return this.add('student', [file]);
  }

  /** The text of a lesson file of everything that is there, and how many tracks it leaves out: `{text, left_out}`. `small`: only
      tracks with roles. */
  async saveLesson(small = false) {
    await this.whenIdle();
    return this.#make(small);
  }

  async #make(small) {
    // A swing that is tried is no part of the lesson: what was shown before is.
    const { look, shown } = this.#former ?? { look: this.look, shown: this.#files.shown };
    const words = this.#former ? [] : this.#parts.sentences.pairs();
    const { document, opened } = this.#kept.make({ ...this.#saved(), shown }, look, words);
    const saved = await this.#engine.ask('saveLesson', { document, opened, small });
    if (saved.error) throw new Error(this.#words.message(saved.error));
    return saved;
  }

  async #open() {
    this.dataset.state = 'busy';
    const engine = new Engine();
    this.#engine = engine;
    engine.onreading = (reading) => this.#parts?.later.reading(reading);
    try {
      const files = named(this);
      const [words, painter, found, story] = await Promise.all([Words.load(this.#language()), createPainter(), prepared(this, files), storyOf(this)]);
      // Taken down, or opened anew, in the meantime.
      if (engine !== this.#engine) return freePainter(painter);
      this.#words = words;
      painter.setWords(words.forPicture());
      await breathe();
      if (engine !== this.#engine) return freePainter(painter);
      this.#painter = painter;
      this.#look.story = story ?? found?.story ?? [];
      this.#build();
      this.#tell('handpath-ready');
      if ((await this.#openAddress()) || (await this.#openNamed())) return await this.#compare();
      files.forEach((file) => this.#adopt(file));
      await breathe();
      if (engine !== this.#engine) return;
      // It was prepared with the thresholds of the rule table.
      if (found && !Object.keys(this.#look.thresholds).length) this.#apply(found);
      else if (!files.length) this.#apply(NOTHING);
      else await this.#compare();
    } catch (fault) {
      if (engine === this.#engine) this.#refuse(fault);
    }
  }

  #language() {
    if (this.language !== 'auto') return this.language;
    return this.closest('[lang]')?.lang || document.documentElement.lang || 'en';
  }

  /** Another language: everything that has words is made anew; files, view and answer stay. */
  async #speak() {
    const words = await Words.load(this.#language());
    if (!this.#painter || !this.#found || words.language === this.#words.language) return;
    this.#words = words;
    this.#painter.setWords(words.forPicture());
    this.#listening.abort();
    this.#parts.later.end();
    this.#parts.stage.end();
    this.shadowRoot.querySelector('.root').remove();
    this.#build();
    this.#apply(this.#found);
  }

  /** Without the core there is no picture: the markup inside the element stays readable, under the reason. */
  #refuse(fault) {
    const key = fault instanceof WebAssembly.CompileError || typeof WebAssembly === 'undefined' ? 'page.no_wasm' : 'page.no_start';
    const fallback = 'This browser could not start the comparison. Update it, or use another one. The files below can still be opened.';
    const text = this.#words?.text(key) ?? fallback;
    this.shadowRoot.replaceChildren(
      this.#sheet,
      h('p', { class: 'refusal', role: 'alert' }, text, ' ', h('small', {}, String(fault?.message ?? fault))),
      h('slot'),
    );
    this.dataset.state = 'error';
  }

  #build() {
    const words = this.#words;
    const run = (command, value) => this.#run(command, value);
    const parts = {
      sentences: new Sentences(words),
      findings: new Findings(words),
      notices: new Notices(words, run),
      stage: new Stage(words, run),
      transport: new Transport(words, run),
      numbers: new Numbers(words, run),
      plots: new Plots(words, run),
      table: new DeviationTable(words),
      lesson: new LessonTable(words),
      takeAway: new TakeAway(words, run),
      paper: new Paper(words),
      notes: new Notes(words, run),
      sharing: new Sharing(words, run),
      later: new Later(words, () => this.#inside),
      coaching: new Coaching(words, () => this.#inside),
      thresholds: new Thresholds(words, run),
      corrections: new Corrections(words, run),
    };
    this.#parts = parts;
    this.#files.build(words, run);
    const roles = roleNames();
    parts.stage.setRoles(roles);
    parts.corrections.roleNames = roles;
    const root = h(
      'div',
      { class: 'root', part: 'root', role: 'group', lang: words.language, 'aria-label': words.text('page.name') },
      parts.paper.head,
      parts.later.madeUp,
      parts.sentences.root,
      parts.notices.root,
      words.unreviewed && h('p', { class: 'note unreviewed' }, words.text('language.note')),
      parts.later.story,
      parts.coaching.root,
      parts.stage.root,
      parts.transport.root,
      parts.later.waiting,
      parts.later.trying,
      h('div', { class: 'below' }, parts.numbers.root, h('div', { class: 'beside' }, parts.findings.root, parts.table.root, parts.paper.beside, this.#files.root, parts.takeAway.root)),
      parts.lesson.root,
      parts.paper.foot,
      parts.notes.root,
      parts.later.making,
      parts.later.shelf,
      parts.plots.root,
      parts.thresholds.root,
      parts.corrections.root,
      parts.sharing.root,
      this.#keyTable(),
      this.#files.overlay,
    );
    root.addEventListener('keydown', (event) => this.#key(event));
    for (const type of ['pointerdown', 'focusin']) root.addEventListener(type, (event) => event.target.closest(COMPUTES) && Engine.expect());
    root.addEventListener('dragenter', () => Engine.expect());
    this.#listening = new AbortController();
    this.#files.listen(this, this.#listening.signal);
    for (const type of ['beforeprint', 'afterprint']) addEventListener(type, this.#printing, { signal: this.#listening.signal });
    addEventListener('hashchange', () => this.#addressChanged(), { signal: this.#listening.signal });
    this.#sheet.addEventListener('load', () => this.#changed(), { signal: this.#listening.signal });
    // It takes its room at once, filled: nothing in it moves when the numbers come.
    root.hidden = true;
    this.#sheet.after(root);
    onColours(() => this.#changed(), this.#listening.signal);
    parts.stage.observe(() => this.#changed());
    this.#palette();
  }

  /** Until all of it is there it lies, unseen, over the room that is kept for it: then nothing moves in sight. */
  #arrive() {
    const root = this.shadowRoot.querySelector('.root');
    root.classList.toggle('arriving', this.shadowRoot.querySelector('.room') !== null);
    root.hidden = false;
  }

  #reveal() {
    this.#arrive();
    this.shadowRoot.querySelector('.room')?.remove();
    this.shadowRoot.querySelector('.root').classList.remove('arriving');
  }

  #listening;

  /** The browser takes the page as it is when the event ends. */
  #printing = ({ type }) => {
    this.toggleAttribute('data-printing', type === 'beforeprint');
    if (type === 'beforeprint') this.#parts.paper.show(this.#answer, this.#files, this.look);
    this.#paint();
  };

  #keyTable() {
    const words = this.#words;
    const rows = words.text('page.keys').split('|').map((row) => row.split('='));
    const line = ([keys, what]) => h('tr', {}, h('th', { scope: 'row' }, h('kbd', {}, keys.trim())), h('td', {}, what.trim()));
    return h(
      'details',
      { class: 'keys' },
      h('summary', {}, words.text('page.keys_title')),
      h('p', {}, words.text('page.keys_note')),
      h('table', {}, h('tbody', {}, rows.map(line))),
    );
  }

  #close() {
    this.#stop();
    cancelAnimationFrame(this.#frame);
    this.#frame = 0;
    this.#listening?.abort();
    this.#parts?.stage.end();
    this.#parts?.later.end();
    this.#parts?.coaching.end();
    this.#engine?.end();
    if (this.#painter) freePainter(this.#painter);
    this.#engine = this.#painter = this.#parts = this.#answer = this.#found = this.#painted = undefined;
    this.#stepping = false;
    this.#files = new Files();
    this.#kept = new Lesson();
    Object.assign(this.#look, { pins: [], spans: [], story: [], step: null });
    this.#from = this.#view = this.#former = undefined;
    this.removeAttribute('data-trying');
    if (addressed === this) addressed = undefined;
    this.#placed = false;
    this.#clear();
    delete this.dataset.state;
  }

  /** Takes a file that a link names. It is fetched when something has to be computed. */
  #adopt({ slot, name, corrections, fault, load }) {
    if (fault) this.#parts.notices.tell('load', 'page.bad_corrections', { name, why: fault });
    const [added] = this.#files.add(slot, [{ name, demo: true, corrections }], true);
    added.sources = Object.fromEntries(Object.keys(corrections).map((name) => [name, 'stated by the page']));
    this.#engine.put(added.id, async () => {
      try {
        return await load();
      } catch (fault) {
        this.#parts?.notices.tell('load', 'page.not_loaded', { name, why: String(fault?.message ?? fault) });
        this.#files.remove(added.id);
        throw fault;
      }
    });
  }

  async #take(slot, files, joins) {
    const bytesOf = async (file) => (file.bytes instanceof Uint8Array ? file.bytes : new Uint8Array(await file.arrayBuffer()));
    const bytes = await Promise.all(files.map(bytesOf));
    const lesson = bytes.findIndex(isLesson);
    if (lesson >= 0) {
      await this.#openLesson(bytes[lesson]);
      const others = files.map((file, i) => ({ ...file, name: file.name, bytes: bytes[i] })).filter((_, i) => i !== lesson);
      return others.length ? this.#take(slot, others, true) : undefined;
    }
    const given = files.map(({ name = '', label, sha256, corrections }) => ({ name: label ?? name.replace(/\.[^.]+$/, ''), file: name, sha256, demo: false, corrections: corrections ?? {} }));
    const added = this.#files.add(slot, given, joins);
    if (slot === 'student') this.#placed = false;
    added.forEach(({ id }, i) => this.#engine.put(id, bytes[i]));
  }

  /** The swings, notes, words and view of a lesson take the place of what is there. Nothing of that changes where it cannot be
      opened. */
  async #openLesson(bytes) {
    this.#parts.notices.forget('lesson');
    const opened = await this.#engine.ask('openLesson', bytes);
    if (opened.error) return this.#parts.notices.say('lesson', [opened.error]);
    const [kept, { pins, spans, story }] = [this.#kept, this.#look];
    this.#kept = new Lesson();
    const found = this.#kept.take(opened);
    const added = this.#files.openAll(found.swings, () => Object.assign(this.#look, { pins, spans, story, step: null }) && (this.#kept = kept));
    added.forEach(({ id }, i) => this.#engine.put(id, new TextEncoder().encode(found.swings[i].text)));
    const ids = new Map(added.map((file) => [file.kept.entry.id, file.id]));
    const own = (notes) => notes.map((note) => ({ ...note, swing: ids.get(note.swing) }));
    Object.assign(this.#look, { pins: own(found.pins), spans: own(found.spans), thresholds: found.thresholds, lit: null, story: found.story.map((step) => renumber(step, (id) => ids.get(id))), step: null });
    this.#files.shown = ids.get(found.shown);
    this.#from = undefined;
    lendWords(found.words);
    this.#view = found.view;
    if (opened.warnings.length) this.#parts.notices.say('lesson', opened.warnings);
  }

  /** A lesson in the address of the page. Returns whether there was one that could be opened. */
  async #openAddress() {
    addressed ??= this;
    if (addressed !== this || !holdsLesson(location.hash)) return false;
    try {
      await this.#openLesson(await fromFragment(location.hash));
    } catch (fault) {
      if (fault?.name === 'AbortError') throw fault;
      this.#parts.notices.tell('lesson', 'sharing.bad_link', { why: String(fault?.message ?? fault) });
    }
    return this.#files.all().length > 0;
  }

  /** A lesson that the author names. Returns whether there is one that could be opened. */
  async #openNamed() {
    if (!this.lesson) return false;
    try {
      await this.#openLesson(await bytesOf(new URL(this.lesson, this.baseURI)));
    } catch (fault) {
      if (fault?.name === 'AbortError') throw fault;
      this.#parts.notices.tell('load', 'page.not_loaded', { name: this.lesson, why: String(fault?.message ?? fault) });
    }
    return this.#files.all().length > 0;
  }

  /** A made-up swing, the bytes of a file, in place of the student's; where there is no reference, with one. */
  #try(bytes, reference) {
    if (!this.#former) {
      this.#former = { found: this.#found, look: this.look, shown: this.#files.shown };
      this.#placed = false;
      this.toggleAttribute('data-trying', true);
    }
    const named = ['trying.name', 'trying.reference'].map((key) => this.#words.text(key));
    const lent = this.#files.lend(...named, { club: 'iron' });
    this.#engine.put(lent.student.id, bytes);
    if (lent.reference) this.#engine.put(lent.reference.id, reference);
    // The cursor stays at the instant it stands at.
    this.#placed &&= this.#painter.instantAt(this.#look.time) !== 'lead arm level';
    return this.#compare();
  }

  #former;

  /** What was shown before a swing was tried, untouched. */
  #untry() {
    const former = this.#former;
    if (!former) return;
    this.#former = undefined;
    this.#job += 1;
    for (const id of this.#files.giveBack()) this.#engine.drop(id);
    this.removeAttribute('data-trying');
    if (!former.found) return this.#compare();
    this.#placed = true;
    this.#apply(former.found);
    this.look = former.look;
  }

  #addressChanged() {
    const work = this.#openAddress().then((opened) => opened && this.#compare());
    this.#idle = Promise.all([this.#idle, work]);
  }

  /** What is saved: all but what nobody can read. The student's own files are called by the code. */
  #saved() {
    const { names } = this.#parts.sharing;
    const readable = ({ id, kept, error }) => kept || (!error && this.#answer?.files[id]?.report.file !== null);
    const files = this.#files.all().filter(readable);
    const counts = {};
    for (const file of files.filter(({ kept }) => !kept)) {
      counts[file.slot] = (counts[file.slot] ?? 0) + 1;
      const coded = !file.demo && file.slot !== 'reference' && !names.checked;
      file.label = coded ? this.#words.text(`sharing.label_${file.slot}`, { code: this.#kept.code, number: counts[file.slot] }) : file.name;
    }
    return { all: () => files };
  }

  async #download() {
    const { text } = await this.#make(false);
    download(`handpath-${this.#kept.code.replaceAll(/[^\w-]+/g, '-')}.json`, new Blob([text], { type: 'application/json' }));
  }

  /** A link that holds a small lesson. */
  async #link() {
    const { text, left_out: left } = await this.#make(true);
    const fragment = await toFragment(text);
    const size = fragment.length;
    const [fits, said] = [size <= LONGEST_LINK, { size, most: LONGEST_LINK, left }];
    this.#parts.sharing.made(fits ? location.href.split('#')[0] + fragment : null, fits ? 'sharing.link_made' : 'sharing.link_too_long', said);
  }

  /** Files, subjects and the student lose their names. */
  async #anonymise() {
    this.#kept.forget();
    const counts = {};
    let tracks = 0;
    for (const file of this.#files.all().filter(({ demo }) => !demo)) {
      const found = await this.#engine.ask('anonymise', file.id);
      counts[file.slot] = (counts[file.slot] ?? 0) + 1;
      const name = this.#words.text(`sharing.label_${file.slot}`, { code: this.#kept.code, number: counts[file.slot] });
      tracks += this.#files.rename(file, name, found?.renamed);
      if (found) this.#engine.put(file.id, new TextEncoder().encode(found.text));
      else this.#engine.drop(file.id);
    }
    await this.#compare();
    this.#parts.notices.tell('lesson', 'sharing.anonymised', { files: Object.values(counts).reduce((sum, count) => sum + count, 0), tracks, code: this.#kept.code });
  }

  /** Everything is as on a first visit: files, notes, the lesson in the address, and what was kept on this machine. */
  async #deleteAll() {
    await forgetAll();
    if (holdsLesson(location.hash)) history.replaceState(null, '', location.pathname + location.search);
    this.#close();
    Object.assign(this.#look, { thresholds: {}, aim: 0, lit: null, time: 0 });
    this.#begin();
    await this.#opened;
    this.#parts?.notices.tell('lesson', 'sharing.deleted', {});
  }

  /** Work on the lesson as a whole: one thing after the other, and what goes wrong is told. */
  #share(work) {
    const done = this.#idle.then(work).catch((fault) => fault?.name !== 'AbortError' && this.#parts?.notices.tell('lesson', fault instanceof Stopped ? 'page.stopped' : 'page.failed', { names: '', why: String(fault?.message ?? fault) }));
    this.#idle = Promise.all([this.#idle, done]);
  }

  /** The notes on the student's swing that is shown. */
  #noted(look) {
    const id = this.#files.student?.id;
    const own = (notes) => notes.filter(({ swing }) => swing === id);
    return { ...look, pins: own(look.pins), spans: own(look.spans) };
  }

  /** One comparison at a time counts: the last one asked for. */
  #compare() {
    this.#job += 1;
    const job = this.#job;
    const work = this.#ask(job);
    this.#idle = Promise.all([this.#idle, work]);
    return work;
  }

  async #ask(job) {
    this.dataset.state = 'busy';
    this.#parts.transport.setBusy(true);
    try {
      const found = await this.#engine.ask('compare', this.#asked());
      if (job !== this.#job || !this.#painter) return;
      const answer = byNumber(found);
      if (this.#files.refuse(answer) || this.#recallFor(answer)) return await this.#compare();
      this.#apply(found);
    } catch (fault) {
      if (fault?.name === 'AbortError') return;
      if (job === this.#job) await this.#failed(fault);
    }
  }

  /** The files, and what the answer depends on beside them. */
  #asked() {
    const { thresholds, bandKind: kind, bandOf: of } = this.#look;
    return { ...this.#files.job(), thresholds, band: { kind, of } };
  }

  /** Other thresholds of the findings, by name; those that are left out are as the rule table has them. */
  #judgeBy(thresholds) {
    const now = numbersOf(thresholds);
    if (JSON.stringify(now) === JSON.stringify(this.#look.thresholds)) return;
    this.#look.thresholds = now;
    if (this.#answer) this.#compare();
  }

  /** What several swings of the student say together comes after the comparison. */
  #loadLesson() {
    const job = this.#files.job();
    const swings = (slot) => job.files.filter((file) => file.slot === slot).length;
    const key = JSON.stringify({ ...job, shown: null });
    if (key !== this.#lesson?.key) this.#lesson = { key, found: null };
    const lesson = this.#lesson;
    if (lesson.found || swings('student') + Math.min(1, swings('earlier')) < 2) return;
    const work = this.#engine.ask('together', job).then((found) => {
      lesson.found = found;
      this.#changed();
    });
    this.#idle = Promise.all([this.#idle, work.catch((fault) => this.#unmade(fault))]);
  }

  #lesson;

  /** Something beside the comparison could not be made: what is there stays. */
  #unmade(fault) {
    if (fault?.name !== 'AbortError') this.#parts?.notices.tell('core', 'page.failed', { names: '', why: fault.message });
  }

  /** Another swing of the lesson, with the cursor where a new one has it. */
  #show(id) {
    this.#files.shown = id;
    this.#placed = false;
    this.#compare();
  }

  /** A swing of the student's own becomes the reference that is compared. */
  #own(id) {
    this.#parts.notices.forget('core');
    this.#files.asOwn(id);
    this.#wanted = id;
    this.#compare();
  }

  #wanted;

  /** Which reference is compared: the one just asked for; the one before, if it suits or the user chose it for this
      student; else the first that is like the student. */
  #choose(references) {
    const before = this.#answer?.comparison.references[this.#look.reference]?.id;
    const at = (id) => references.findIndex((reference) => reference.id === id);
    const kept = this.#answer ? at(before) : this.#look.reference;
    const suits = references[kept]?.like || this.#placed || (!this.#answer && kept > 0 && kept < references.length);
    const wanted = at(this.#wanted);
    const like = references.findIndex((reference) => reference.like);
    this.#look.reference = Math.max(0, wanted >= 0 ? wanted : suits && kept >= 0 ? kept : like);
    this.#wanted = undefined;
  }

  /** The band of many references takes longer than all the rest: it comes after it, once for the same files. */
  #loadBand(prepared) {
    const job = this.#asked();
    const key = JSON.stringify([job.files, job.shown, job.band]);
    if (key !== this.#band?.key) this.#band = { key, found: prepared?.swings ? prepared : null };
    const band = this.#band;
    this.#painter.loadBand(band.found);
    if (job.files.filter(({ slot }) => ['reference', 'own'].includes(slot)).length < LEAST_FOR_BAND || band.found) return;
    const work = this.#engine.ask('band', job).then((found) => {
      band.found = found;
      if (band !== this.#band || !this.#painter) return;
      this.#painter.loadBand(found);
      this.#changed();
    });
    // Without it the single references are drawn.
    this.#idle = Promise.all([this.#idle, work.catch(() => {})]);
  }

  #band;

  #wish(name, value) {
    this.#look[name] = BANDS[name].includes(value) ? value : BANDS[name][0];
    if (this.#answer) this.#loadBand();
  }

  /** What if the target line were off: numbers and findings there, for the line asked for last. */
  #aim(degrees) {
    this.#look.aim = degrees;
    if (this.#aiming || !this.#answer) return;
    const job = this.#job;
    const ask = async () => {
      const asked = this.#look.aim;
      const turned = asked === 0 ? undefined : await this.#engine.ask('aim', { ...this.#asked(), degrees: asked });
      if (job !== this.#job) return;
      this.#turned = turned ?? undefined;
      this.#changed();
      if (this.#look.aim !== asked) await ask();
    };
    this.#aiming = true;
    const work = ask()
      .catch((fault) => fault?.name !== 'AbortError' && this.#parts?.notices.tell('core', 'page.failed', { names: '', why: fault.message }))
      .finally(() => (this.#aiming = false));
    this.#idle = Promise.all([this.#idle, work]);
  }

  #aiming = false;

  /** A trap, or an answer that could not be made: what is on screen stays, what was changed last is taken back. */
  #failed(fault) {
    this.#reveal();
    const undone = this.#files.undo();
    const key = fault instanceof Cancelled ? 'reading.stopped' : fault instanceof Stopped ? 'page.stopped' : 'page.failed';
    this.#parts.notices.tell('core', key, { names: undone.join(', '), why: fault.message });
    this.#parts.transport.setBusy(false);
    this.dataset.state = 'error';
    return undone.length ? this.#compare() : undefined;
  }

  /** Corrections remembered for files with the same track names are taken over once per file. */
  #recallFor(answer) {
    let again = false;
    for (const file of this.#files.all()) {
      const key = answer.files[file.id]?.names_key;
      if (!key || file.recalled) continue;
      file.recalled = true;
      const kept = file.demo ? null : recall(key);
      if (kept && !Object.keys(file.corrections).length) {
        file.corrections = kept;
        file.sources = Object.fromEntries(Object.keys(kept).map((name) => [name, 'remembered']));
        file.remembered = true;
        again = true;
      }
    }
    return again;
  }

  #apply(found) {
    const { picture } = found;
    const answer = byNumber(found);
    this.#found = found;
    this.#choose(answer.comparison.references);
    this.#answer = answer;
    this.#files.shown = answer.shown ?? undefined;
    this.#turned = undefined;
    this.#look.aim = 0;
    for (const gone of this.#files.keep()) this.#engine.drop(gone.id);
    this.#keepStory();
    this.#painter.load(picture, answer.files[this.#files.student?.id]?.report.measures);
    const parts = this.#parts;
    this.#arrive();
    this.#placeCursor(answer);
    if (this.#view) [this.look, this.#view] = [this.#view, undefined];
    this.#loadBand(picture?.band);
    this.#loadLesson();
    this.#files.show(answer);
    parts.notices.show(answer, this.#files);
    parts.corrections.show(answer, this.#files);
    parts.transport.setBusy(false);
    this.#changed();
    this.dataset.state = this.#files.hasError(answer) ? 'error' : 'ready';
    this.#tellRefused(answer);
    this.#tell('handpath-report', this.report);
  }

  /** Steps of the story that tell of a swing which has left go with it. */
  #keepStory() {
    const there = (id) => (id ?? null) === null || this.#files.get(id);
    const story = this.#look.story.filter(({ swing, against }) => there(swing) && there(against));
    if (story.length < this.#look.story.length) Object.assign(this.#look, { story, step: null });
  }

  /** A new student opens where the hands may have gone out: at lead arm level, else at the top. */
  #placeCursor(answer) {
    const instants = answer.files[this.#files.student?.id]?.report.instants ?? [];
    const find = (name) => instants.find((instant) => instant.name === name)?.time_s;
    if (!this.#placed) this.#look.time = find('lead arm level') ?? find('top') ?? instants[0]?.time_s ?? 0;
    this.#placed ||= instants.length > 0;
  }

  /** Each file that cannot be used, once. */
  #tellRefused(answer) {
    for (const file of this.#files.all()) {
      const error = file.error ?? answer.files[file.id]?.report.error;
      if (error && error.key !== file.told) this.#tell('handpath-refused', { name: file.name, slot: file.slot, error, text: this.#words.message(error) });
      file.told = error?.key;
    }
  }

  #tell(type, detail) {
    this.dispatchEvent(new CustomEvent(type, { detail, bubbles: true, composed: true }));
  }

  /** Something about the view changed: paint in the next frame, and tell. What an answer brings is shown step by step. */
  #changed() {
    if (!this.#painter || this.#frame || this.#stepping) return;
    this.#frame = requestAnimationFrame(() => {
      this.#frame = 0;
      if (this.#answer === this.#painted) this.#paint();
      else this.#idle = Promise.all([this.#idle, this.#paintInSteps(this.#painter)]);
    });
  }

  #painted;
  #stepping = false;

  /** Between the steps the page may answer its reader; what has changed meanwhile is painted after them. */
  async #paintInSteps(painter) {
    this.#painted = this.#answer;
    this.#stepping = true;
    try {
      for (const step of this.#steps()) {
        this.#attempt(step);
        await breathe();
        if (painter !== this.#painter) return;
      }
    } finally {
      if (painter === this.#painter) this.#stepping = false;
    }
    this.#paint();
    this.#reveal();
  }

  #paint() {
    if (!this.#painter) return;
    this.#attempt(() => this.#steps().forEach((step) => this.#painter && step()));
    const { look } = this;
    const said = JSON.stringify(look);
    if (said !== this.#said) this.#tell('handpath-look', look);
    this.#said = said;
  }

  #attempt(work) {
    try {
      work();
    } catch (fault) {
      if (fault instanceof WebAssembly.RuntimeError) this.#repaint(fault);
      else throw fault;
    }
  }

  /** Everything that shows the view as it is now, in pieces. */
  #steps() {
    const painter = this.#painter;
    const parts = this.#parts;
    const look = this.look;
    const reading = () => this.#reading(painter, look);
    const seen = parts.later.seen(look);
    return [
      () => painter.setState(this.#noted(seen)),
      () => painter.setPalette(this.#palette()),
      () => parts.stage.paint(painter, look, this.#picking, [[parts.plots.canvas, parts.plots.pane()]], this.hasAttribute('data-printing'), seen.view),
      () => this.#summarise(painter),
      () => parts.stage.describe(look, painter, reading(), this.#picking),
      () => parts.plots.show(painter, look, reading()),
      () => parts.transport.show(look, this.#answer, this.#files, this.#playing !== 0, this.#band?.found, this.#found?.picture?.others?.length ?? 0),
      () => parts.table.show(this.#answer, look),
      () => parts.takeAway.show(this.#answer, this.#files),
      () => parts.numbers.show(this.#answer, look, this.#files, this.#turned),
      () => parts.lesson.show(this.#lesson?.found, look.unit),
      () => parts.notes.show(painter, look, this.#files.student?.id, this.#from),
      () => parts.sharing.show(this.#kept),
      () => parts.later.show(look, this.#answer, this.#files),
      () => parts.coaching.show(this.#kept),
      () => parts.thresholds.show(this.#answer?.comparison.limits ?? [], look.thresholds, look.unit),
    ];
  }

  #said;

  /** The painting instance trapped: it is shared by the page, so painting ends here, with the numbers still shown. */
  #repaint(fault) {
    this.#stop();
    this.#painter = undefined;
    this.#reveal();
    this.#parts.notices.tell('core', 'page.paint_stopped', { why: fault.message });
    this.dataset.state = 'error';
  }

  /** Colours in the painter's order. */
  #palette() {
    return coloursOf(this.shadowRoot.querySelector('.root'), inks(), this.theme, this.hasAttribute('data-printing'));
  }

  /** The reading of the findings; without one, where the hands went. */
  #summarise(painter) {
    const student = this.#answer?.files[this.#files.student?.id]?.report;
    const reading = this.#answer?.readings[this.unit] ?? [];
    const messages = reading.length ? reading : painter.summary();
    this.#parts.sentences.show(messages.map((message) => this.#words.message(message)), this.#judgedOn(student));
    this.#parts.findings.show(student?.findings, this.#turned?.findings, Object.keys(this.#look.thresholds).length);
  }

  /** One swing is judged: of how many? */
  #judgedOn(report) {
    const count = this.#files.students.length;
    if (!report?.findings.length) return '';
    if (count > 1) return this.#words.text('lessons.shown_of', { count, name: report.name });
    const one = this.#words.text('lessons.one_swing');
    return this.controls === 'all' ? `${one} ${this.#words.text('lessons.one_swing_more')}` : one;
  }

  /** The cursor in words: "top, 0.84 s". */
  #reading(painter, look) {
    const name = painter.instantAt(look.time);
    const seconds = this.#words.text('page.seconds', { time: look.time });
    return name ? `${this.#words.word('instant', name)}, ${seconds}` : seconds;
  }

  #play() {
    if (this.#playing) return this.#stop();
    const [from, to] = this.#painter.span();
    if (!(to > from)) return;
    if (this.#look.time >= to - 1e-6) this.#look.time = from;
    let before;
    const tick = (now) => {
      const passed = before === undefined ? 0 : (now - before) / 1000;
      before = now;
      this.#look.time += passed * Number(this.speed);
      if (this.#look.time >= to) {
        this.#look.time = to;
        this.#stop();
      }
      this.#paint();
      if (this.#playing) this.#playing = requestAnimationFrame(tick);
    };
    this.#playing = requestAnimationFrame(tick);
  }

  #stop() {
    cancelAnimationFrame(this.#playing);
    this.#playing = 0;
    this.#changed();
  }

  #key(event) {
    const command = commandOf(event, this.view, this.#picking !== undefined);
    if (!command) return;
    event.preventDefault();
    this.#run(...command);
  }

  #run(command, value) {
    if (!this.#painter) return;
    COMMANDS[command].call(this.#inside, value);
    this.#changed();
  }

  /** What commands may touch. */
  get #inside() {
    const self = this;
    return {
      element: this,
      look: this.#look,
      painter: this.#painter,
      files: this.#files,
      notices: this.#parts.notices,
      corrections: this.#parts.corrections,
      answer: this.#answer,
      found: this.#found,
      run: (command, value) => this.#run(command, value),
      tell: (what) => this.#parts.later.tell(what),
      play: () => {
        this.#parts.later.rest();
        this.#play();
      },
      stop: () => {
        this.#parts.later.rest();
        this.#stop();
      },
      halt: () => this.#stop(),
      changed: () => this.#changed(),
      wait: (work) => (this.#idle = Promise.all([this.#idle, work])),
      unmade: (fault) => this.#unmade(fault),
      waits: () => this.whenIdle(),
      make: (type, job) => this.#engine.make(type, job),
      try: (bytes, reference) => this.#try(bytes, reference),
      untry: () => this.#untry(),
      sentences: this.#parts.sentences,
      places: () => this.#parts.numbers.places(),
      lesson: this.#kept,
      ask: (type, job) => this.#engine.ask(type, job),
      asked: () => this.#asked(),
      put: (id, bytes) => this.#engine.put(id, bytes),
      bytes: (id) => this.#engine.bytes(id),
      cancel: () => this.#engine.cancel(),
      shelve: (entries) => this.#parts.later.shelve(entries),
      add: (slot, files, joins) => this.add(slot, files, joins),
      show: (id) => this.#show(id),
      own: (id) => this.#own(id),
      compare: () => this.#compare(),
      drop: (id) => this.#engine.drop(id),
      count: () => this.#answer?.comparison.references.length ?? 0,
      correct: (id, change) => this.#correct(id, change),
      aim: (degrees) => this.#aim(degrees),
      wish: (name, value) => this.#wish(name, value),
      judgeBy: (thresholds) => this.#judgeBy(thresholds),
      pick: (id) => this.#pick(id),
      timeOf: (id) => this.#timeOf(id),
      save: (what) => this.#save(what),
      notes: this.#parts.notes,
      measure: (from) => ([this.#from, from] = [from, this.#from])[1],
      code: (code) => (this.#kept.code = code || this.#kept.code),
      share: (name) => this.#share({ saveLesson: () => this.#download(), link: () => this.#link(), anonymise: () => this.#anonymise(), deleteAll: () => this.#deleteAll() }[name]),
      get picking() {
        return self.#picking;
      },
    };
  }

  /** Corrects a file, or several alike. */
  #correct(ids, change) {
    const files = [ids].flat().map((id) => this.#files.get(id)).filter(Boolean);
    for (const file of files) {
      const corrections = structuredClone(file.corrections);
      change(corrections);
      this.#files.change(file, corrections, 'stated by the user');
      const key = this.#answer?.files[file.id]?.names_key;
      if (key && !file.demo) remember(key, corrections);
    }
    if (!files.length) return;
    this.#parts.notices.forget('core');
    this.#compare();
  }

  /** Where a file's figure stands, in its own time: the student at the cursor, the compared reference at its match. */
  #timeOf(id) {
    if (id === this.#files.student?.id) return this.#look.time;
    const shown = this.#answer?.comparison.references[this.#look.reference];
    return shown?.id === id ? this.#painter.referenceTime() : undefined;
  }

  /** Shows every point of a file, to be clicked; without an id, the swings again. */
  async #pick(id) {
    if (id === undefined) {
      this.#picking = undefined;
      this.#parts.stage.pickDone();
      return this.#changed();
    }
    const guesses = this.#answer?.files[id]?.report.guesses ?? [];
    const up = guesses.find((guess) => guess.what === 'up')?.value ?? this.#files.get(id)?.corrections.up;
    const cloud = await this.#engine.ask('cloud', { id, up });
    if (!cloud || !this.#painter) return;
    const roles = this.#answer.files[id].roles;
    cloud.roles = cloud.names.map((name) => Object.keys(roles).find((role) => roles[role].includes(name)) ?? '');
    this.#painter.loadCloud(cloud);
    this.#picking = { id, track: undefined, names: cloud.names, roles: cloud.roles, time: this.#look.time };
    this.#parts.stage.pickOpen(this.#picking, this.#painter.cloudSpan());
    this.#changed();
  }

  #save(what) {
    const words = this.#words;
    this.#parts.takeAway.save(what, {
      painter: this.#painter,
      pane: this.#parts.stage.largePane(this.look),
      colours: this.#palette(),
      title: `${words.text('page.name')}: ${words.text(`page.view_${this.view.replaceAll('-', '_')}`)}`,
      ask: (type) => this.#engine.ask(type, this.#asked()),
    });
  }
}

/** The session's answer, its files by their number. */
function byNumber({ files, shown, comparison, readings }) {
  return { files: Object.fromEntries(files.map((file) => [file.id, file])), shown, comparison, readings };
}

reflect(HandpathCompare.prototype);

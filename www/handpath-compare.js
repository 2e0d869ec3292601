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
import { BANDS, NOTHING } from './comparing.js';
import { breathe, h } from './dom.js';
import { Engine, heldByEngines } from './engine.js';
import { Files } from './files.js';
import { onColours } from './inks.js';
import { Inner } from './inner.js';
import { commandOf } from './keys.js';
import { Lesson, holdsLesson } from './lesson.js';
import { isSound } from './look.js';
import { named, prepared, preparing, storyOf } from './opening.js';
import { createPainter, freePainter, heldByPainters } from './painter.js';
import { forgetAll, recallShown } from './remember.js';
import { sheetAt } from './resources.js';
import { arrange, partsOf, treeOf } from './tree.js';
import { Words } from './words.js';

/** The choices that are part of the view: what one looks at, not how the element is set into its page. */
const VIEW = ['view', 'layout', 'timing', 'unit', 'speed'];

/** Parts whose use needs the engine: it is loaded when one is reached. */
const COMPUTES = '.files, .making, .trying, .corrections, .thresholds, .aim, .sharing, [data-save=measures], [data-save=paths]';

/** How far below the visible part an element begins to load. */
const NEAR = '800px';

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

  #at = new Inner(this, () => this.#reset());

  connectedCallback() {
    if (!this.shadowRoot) this.attachShadow({ mode: 'open' });
    if (this.#at.engine) return;
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
    if (this.#at.engine) return;
    this.#opened = this.#open();
    this.#at.idle = this.#opened;
  }

  /** Other files are named: all anew, once for all changes of the moment. */
  #reopen() {
    if (!this.#at.engine || this.#reopening) return;
    this.#reopening = true;
    queueMicrotask(() => {
      this.#reopening = false;
      if (!this.#at.engine) return;
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
    if (name === 'language' && this.#at.words) this.#at.idle = Promise.all([this.#at.idle, this.#speak()]);
    this.#at.painting.changed();
  }

  /** Everything about the view, as one plain object; any part of it can be set. */
  get look() {
    const chosen = Object.fromEntries(VIEW.map((name) => [name, this[name]]));
    return { ...structuredClone(this.#at.look), ...chosen };
  }

  set look(look) {
    for (const [name, value] of Object.entries(look)) {
      if (VIEW.includes(name)) {
        if (CHOICES[name].includes(value)) this[name] = value;
      } else if (name in BANDS) {
        if (BANDS[name].includes(value)) this.#at.comparing.wish(name, value);
      } else if (!(name in this.#at.look) || !isSound(name, value)) continue;
      else if (name === 'aim') this.#at.comparing.aim(value);
      else if (name === 'thresholds') this.#at.comparing.judgeBy(value);
      else this.#at.look[name] = structuredClone(value);
    }
    this.#at.painting.changed();
  }

  /** What the core found: a report per file by its number, and the comparison. Null before the first one. */
  get report() {
    return this.#at.answer ?? null;
  }

  /** The answer that is shown, as the text of a file for the attribute `prepared`; null once other files are shown than those
      of the links, or the thresholds are not those of the rule table. */
  async prepare() {
    await this.whenIdle();
    const { files } = this.#at.files.job();
    if (!this.#at.found || Object.keys(this.#at.look.thresholds).length || files.some(({ id }, i) => id !== i + 1)) return null;
    return preparing(files, this.#at.look.story, { ...this.#at.found, picture: { ...this.#at.found.picture, band: this.#at.band.found ?? this.#at.found.picture.band } });
  }

  /** Settles when nothing is being read or computed. */
  async whenIdle() {
    let seen;
    do {
      seen = this.#at.idle;
      await seen;
    } while (seen !== this.#at.idle);
  }

  /** Adds files (File objects, or {name, bytes}) to a slot: student, earlier, reference or address. Several swings of the
      student are one lesson; `joins`: they are added to the one that is there. */
  async add(slot, files, joins = false) {
    this.#begin();
    await this.#opened;
    const work = (async () => {
      this.#at.parts?.notices.forget('core');
      this.#at.parts?.later.leave();
      await this.#at.arriving.take(slot, files, joins);
      await this.#at.comparing.compare();
    })();
    this.#at.idle = Promise.all([this.#at.idle, work]);
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
    return (await this.#at.parts.later.part('sharing')).make(small);
  }

  async #open() {
    this.dataset.state = 'busy';
    const engine = new Engine();
    this.#at.engine = engine;
    engine.onreading = (reading) => this.#at.parts?.later.reading(reading);
    try {
      const files = named(this);
      const [words, painter, found, story] = await Promise.all([Words.load(this.#language()), createPainter(), prepared(this, files), storyOf(this)]);
      // Taken down, or opened anew, in the meantime.
      if (engine !== this.#at.engine) return freePainter(painter);
      this.#at.words = words;
      // A prepared answer may say what only the engine says.
      if (found?.keys.some((key) => !words.has(key))) await words.add('engine');
      painter.setWords(words.forPicture());
      await breathe();
      if (engine !== this.#at.engine) return freePainter(painter);
      this.#at.painter = painter;
      this.#at.look.story = story ?? found?.story ?? [];
      this.#build();
      this.#at.tell('handpath-ready');
      if ((await this.#at.arriving.openAddress()) || (await this.#at.arriving.openNamed())) return await this.#at.comparing.compare();
      files.forEach((file) => this.#at.arriving.adopt(file));
      await breathe();
      if (engine !== this.#at.engine) return;
      // It was prepared with the thresholds of the rule table.
      if (found && !Object.keys(this.#at.look.thresholds).length) this.#at.comparing.apply(found.answer);
      else if (!files.length) this.#at.comparing.apply(NOTHING);
      else await this.#at.comparing.compare();
    } catch (fault) {
      if (engine === this.#at.engine) this.#refuse(fault);
    }
  }

  #language() {
    if (this.language !== 'auto') return this.language;
    return this.closest('[lang]')?.lang || document.documentElement.lang || 'en';
  }

  /** Another language: everything that has words is made anew; files, view and answer stay. */
  async #speak() {
    const words = await Words.load(this.#language());
    if (!this.#at.painter || !this.#at.found || words.language === this.#at.words.language) return;
    await words.addAll(this.#at.words);
    if (!this.#at.painter) return;
    this.#at.words = words;
    this.#at.painter.setWords(words.forPicture());
    this.#listening.abort();
    this.#at.parts.later.end();
    this.#at.parts.stage.end();
    this.shadowRoot.querySelector('.root').remove();
    this.#build();
    this.#at.comparing.apply(this.#at.found);
  }

  /** Without the core there is no picture: the markup inside the element stays readable, under the reason. */
  #refuse(fault) {
    const key = fault instanceof WebAssembly.CompileError || typeof WebAssembly === 'undefined' ? 'page.no_wasm' : 'page.no_start';
    const fallback = 'This browser could not start the comparison. Update it, or use another one. The files below can still be opened.';
    const text = this.#at.words?.text(key) ?? fallback;
    this.shadowRoot.replaceChildren(
      this.#sheet,
      h('p', { class: 'refusal', role: 'alert' }, text, ' ', h('small', {}, String(fault?.message ?? fault))),
      h('slot'),
    );
    this.dataset.state = 'error';
  }

  #build() {
    const { words, files } = this.#at;
    const parts = partsOf(this.#at);
    this.#at.parts = parts;
    files.build(words, parts.run);
    const root = treeOf(words, parts, files);
    root.addEventListener('keydown', (event) => this.#key(event));
    for (const type of ['pointerdown', 'focusin']) root.addEventListener(type, (event) => event.target.closest(COMPUTES) && Engine.expect());
    root.addEventListener('dragenter', () => Engine.expect());
    this.#listening = new AbortController();
    this.#at.files.listen(this, this.#listening.signal);
    for (const type of ['beforeprint', 'afterprint']) addEventListener(type, this.#printing, { signal: this.#listening.signal });
    addEventListener('hashchange', () => this.#at.arriving.addressChanged(), { signal: this.#listening.signal });
    this.#sheet.addEventListener('load', () => this.#at.painting.changed(), { signal: this.#listening.signal });
    // It takes its room at once, filled: nothing in it moves when the numbers come.
    root.hidden = true;
    this.#sheet.after(root);
    arrange(parts, root);
    onColours(() => this.#at.painting.changed(), this.#listening.signal);
    parts.stage.observe(() => {
      arrange(parts, root);
      this.#at.painting.changed();
    });
    this.#at.painting.palette();
  }

  #listening;

  /** The browser takes the page as it is when the event ends. */
  #printing = ({ type }) => {
    this.toggleAttribute('data-printing', type === 'beforeprint');
    const { parts, answer, files } = this.#at;
    if (type === 'beforeprint') parts.paper.show(answer, files, this.look);
    else parts.paper.clear();
    this.#at.painting.paint();
  };

  #close() {
    this.#at.painting.stop();
    cancelAnimationFrame(this.#at.frame);
    this.#at.frame = 0;
    this.#listening?.abort();
    this.#at.parts?.stage.end();
    this.#at.parts?.later.end();
    this.#at.parts?.coaching.end();
    this.#at.engine?.end();
    if (this.#at.painter) freePainter(this.#at.painter);
    this.#at.engine = this.#at.painter = this.#at.parts = this.#at.answer = this.#at.found = this.#at.painted = undefined;
    this.#at.stepping = false;
    this.#at.files = new Files();
    this.#at.kept = new Lesson();
    Object.assign(this.#at.look, { pins: [], spans: [], story: [], step: null });
    this.#at.from = this.#at.view = this.#at.former = undefined;
    this.removeAttribute('data-trying');
    this.#at.arriving.end();
    this.#at.placed = false;
    this.#clear();
    delete this.dataset.state;
  }

  /** Everything is as on a first visit: files, notes, the lesson in the address, and what was kept on this machine. */
  async #reset() {
    await forgetAll();
    if (holdsLesson(location.hash)) history.replaceState(null, '', location.pathname + location.search);
    this.#close();
    Object.assign(this.#at.look, { thresholds: {}, aim: 0, lit: null, time: 0 });
    this.#begin();
    await this.#opened;
  }

  #key(event) {
    const command = commandOf(event, this.view, this.#at.picking !== undefined);
    if (!command) return;
    event.preventDefault();
    this.#at.acting.run(...command);
  }
}

reflect(HandpathCompare.prototype);

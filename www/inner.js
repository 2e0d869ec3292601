// What an open element holds, for the modules that share its work.

import { Acting } from './acting.js';
import { Arriving } from './arriving.js';
import { Comparing } from './comparing.js';
import { Stopped } from './engine.js';
import { Files } from './files.js';
import { Lesson } from './lesson.js';
import { Painting } from './painting.js';
import { recallShown, recallThresholds } from './remember.js';

const FREE_START = { yaw: 40, pitch: 18 };

export class Inner {
  engine;
  painter;
  words;
  /** The parts of the tree, by name. */
  parts;
  files = new Files();
  /** What was found, as the session gave it, and with its files by number. */
  found;
  answer;
  /** The view, but for what attributes say of it. */
  look = { time: 0, orbit: { ...FREE_START }, zoom: 1, reference: 0, body: true, lines: true, numbers: true, references: true, band: true, others: true, arms: false, shaft: false, lit: null, aim: 0, bandKind: 'whole-curve', bandOf: 'like', thresholds: recallThresholds(), pins: [], spans: [], story: [], step: null, ...recallShown().parts };
  /** The lesson: its code, and what the page does not show of it. */
  kept = new Lesson();
  /** What several swings say together. */
  lesson;
  band;
  /** Numbers and findings for another target line, and whether they are being asked for. */
  turned;
  aiming = false;
  /** The number of the comparison that counts. */
  job = 0;
  /** The reference that was just asked for. */
  wanted;
  /** Settles with all work so far. */
  idle = Promise.resolve();
  /** Has the cursor been placed? */
  placed = false;
  /** The view of a lesson that is being opened; where a stretch that is being measured begins; points that are picked. */
  view;
  from;
  picking;
  /** What was shown before a swing was tried. */
  former;
  /** Frames asked for: of a change, of playing. */
  frame = 0;
  playing = 0;
  /** The answer that is painted, whether that is going on, and the view that was told last. */
  painted;
  stepping = false;
  said;

  /** `reset` makes the element as on a first visit. */
  constructor(element, reset) {
    this.element = element;
    this.reset = reset;
    this.arriving = new Arriving(this);
    this.comparing = new Comparing(this);
    this.painting = new Painting(this);
    this.acting = new Acting(this);
  }

  /** Asks the engine, or the maker: see engine.js. What they say has sentences that come with the engine. */
  ask(type, job) {
    return this.#told(this.engine.ask(type, job));
  }

  make(type, job) {
    return this.#told(this.engine.make(type, job));
  }

  async #told(work) {
    const [found] = await Promise.all([work, this.words.add('engine')]);
    return found;
  }

  tell(type, detail) {
    this.element.dispatchEvent(new CustomEvent(type, { detail, bubbles: true, composed: true }));
  }

  /** Until all of it is there it lies, unseen, over the room that is kept for it: then nothing moves in sight. */
  arrive() {
    const root = this.element.shadowRoot.querySelector('.root');
    root.classList.toggle('arriving', this.element.shadowRoot.querySelector('.room') !== null);
    root.hidden = false;
  }

  reveal() {
    this.arrive();
    this.element.shadowRoot.querySelector('.room')?.remove();
    this.element.shadowRoot.querySelector('.root').classList.remove('arriving');
  }

  /** Work on the lesson as a whole: one thing after the other, and what goes wrong is told. */
  share(work) {
    const done = this.idle.then(work).catch((fault) => fault?.name !== 'AbortError' && this.parts?.notices.tell('lesson', fault instanceof Stopped ? 'page.stopped' : 'page.failed', { names: '', why: String(fault?.message ?? fault) }));
    this.idle = Promise.all([this.idle, done]);
  }
}

// The picture and everything that shows the view, once a frame; and playing.

import { breathe } from './dom.js';
import { coloursOf } from './inks.js';
import { inks } from './painter.js';

export class Painting {
  constructor(at) {
    this.at = at;
  }

  /** The notes on the student's swing that is shown. */
  noted(look) {
    const id = this.at.files.student?.id;
    const own = (notes) => notes.filter(({ swing }) => swing === id);
    return { ...look, pins: own(look.pins), spans: own(look.spans) };
  }

  /** Something about the view changed: paint in the next frame, and tell. What an answer brings is shown step by step. */
  changed() {
    if (!this.at.painter || this.at.frame || this.at.stepping) return;
    this.at.frame = requestAnimationFrame(() => {
      this.at.frame = 0;
      if (this.at.answer === this.at.painted) this.paint();
      else this.at.idle = Promise.all([this.at.idle, this.paintInSteps(this.at.painter)]);
    });
  }

  /** Between the steps the page may answer its reader; what has changed meanwhile is painted after them. */
  async paintInSteps(painter) {
    this.at.painted = this.at.answer;
    this.at.stepping = true;
    try {
      for (const step of this.steps()) {
        this.attempt(step);
        await breathe();
        if (painter !== this.at.painter) return;
      }
    } finally {
      if (painter === this.at.painter) this.at.stepping = false;
    }
    this.paint();
    this.at.reveal();
  }

  paint() {
    if (!this.at.painter) return;
    this.attempt(() => this.steps().forEach((step) => this.at.painter && step()));
    const { look } = this.at.element;
    const said = JSON.stringify(look);
    if (said !== this.at.said) this.at.tell('handpath-look', look);
    this.at.said = said;
  }

  attempt(work) {
    try {
      work();
    } catch (fault) {
      if (fault instanceof WebAssembly.RuntimeError) this.repaint(fault);
      else throw fault;
    }
  }

  /** Everything that shows the view as it is now, in pieces. */
  steps() {
    const painter = this.at.painter;
    const parts = this.at.parts;
    const look = this.at.element.look;
    const reading = () => this.reading(painter, look);
    const seen = parts.later.seen(look);
    return [
      () => painter.setState(this.noted(seen)),
      () => painter.setPalette(this.palette()),
      () => parts.stage.paint(painter, look, this.at.picking, [[parts.plots.canvas, parts.plots.pane()]], this.at.element.hasAttribute('data-printing'), seen.view),
      () => this.summarise(painter),
      () => parts.stage.describe(look, painter, reading(), this.at.picking),
      () => parts.plots.show(painter, look, reading()),
      () => parts.transport.show(look, this.at.answer, this.at.files, this.at.playing !== 0, this.at.band?.found, this.at.found?.picture?.others?.length ?? 0),
      () => parts.table.show(this.at.answer, look),
      () => parts.takeAway.show(this.at.answer, this.at.files),
      () => parts.numbers.show(this.at.answer, look, this.at.files, this.at.turned),
      () => parts.lesson.show(this.at.lesson?.found, look.unit),
      () => parts.notes.show(painter, look, this.at.files.student?.id, this.at.from),
      () => parts.later.show(look, this.at.answer, this.at.files),
      () => parts.coaching.show(this.at.kept),
      () => parts.thresholds.show(this.at.answer?.comparison.limits ?? [], look.thresholds, look.unit),
    ];
  }

  /** The painting instance trapped: it is shared by the page, so painting ends here, with the numbers still shown. */
  repaint(fault) {
    this.stop();
    this.at.painter = undefined;
    this.at.reveal();
    this.at.parts.notices.tell('core', 'page.paint_stopped', { why: fault.message });
    this.at.element.dataset.state = 'error';
  }

  /** Colours in the painter's order. */
  palette() {
    return coloursOf(this.at.element.shadowRoot.querySelector('.root'), inks(), this.at.element.theme, this.at.element.hasAttribute('data-printing'));
  }

  /** The reading of the findings; without one, where the hands went. */
  summarise(painter) {
    const student = this.at.answer?.files[this.at.files.student?.id]?.report;
    const reading = this.at.answer?.readings[this.at.element.unit] ?? [];
    const messages = reading.length ? reading : painter.summary();
    this.at.parts.sentences.show(messages.map((message) => this.at.words.message(message)), this.judgedOn(student));
    this.at.parts.findings.show(student?.findings, this.at.turned?.findings, Object.keys(this.at.look.thresholds).length);
  }

  /** One swing is judged: of how many? */
  judgedOn(report) {
    const count = this.at.files.students.length;
    if (!report?.findings.length) return '';
    if (count > 1) return this.at.words.text('lessons.shown_of', { count, name: report.name });
    const one = this.at.words.text('lessons.one_swing');
    return this.at.element.controls === 'all' ? `${one} ${this.at.words.text('lessons.one_swing_more')}` : one;
  }

  /** The cursor in words: "top, 0.84 s". */
  reading(painter, look) {
    const name = painter.instantAt(look.time);
    const seconds = this.at.words.text('page.seconds', { time: look.time });
    return name ? `${this.at.words.word('instant', name)}, ${seconds}` : seconds;
  }

  play() {
    if (this.at.playing) return this.stop();
    const [from, to] = this.at.painter.span();
    if (!(to > from)) return;
    if (this.at.look.time >= to - 1e-6) this.at.look.time = from;
    let before;
    const tick = (now) => {
      const passed = before === undefined ? 0 : (now - before) / 1000;
      before = now;
      this.at.look.time += passed * Number(this.at.element.speed);
      if (this.at.look.time >= to) {
        this.at.look.time = to;
        this.stop();
      }
      this.paint();
      if (this.at.playing) this.at.playing = requestAnimationFrame(tick);
    };
    this.at.playing = requestAnimationFrame(tick);
  }

  stop() {
    cancelAnimationFrame(this.at.playing);
    this.at.playing = 0;
    this.changed();
  }
}

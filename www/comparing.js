// What is asked of the engine, and what becomes of its answers: the comparison, and what comes after it (the lesson as a whole,
// the band, the turned target line).

import { Cancelled, Stopped } from './engine.js';
import { numbersOf, recall } from './remember.js';
import { LEAST_FOR_BAND } from './transport.js';

/** Which band is drawn: what it promises, and of which references it is; the first is the default. */
export const BANDS = { bandKind: ['whole-curve', 'pointwise'], bandOf: ['like', 'same kind'] };

/** The answer to no files at all. */
export const NOTHING = { files: [], shown: null, comparison: { references: [] }, readings: {}, picture: null };

export class Comparing {
  constructor(at) {
    this.at = at;
  }

  /** One comparison at a time counts: the last one asked for. */
  compare() {
    this.at.job += 1;
    const job = this.at.job;
    const work = this.ask(job);
    this.at.idle = Promise.all([this.at.idle, work]);
    return work;
  }

  async ask(job) {
    this.at.element.dataset.state = 'busy';
    this.at.parts.transport.setBusy(true);
    try {
      const found = await this.at.ask('compare', this.asked());
      if (job !== this.at.job || !this.at.painter) return;
      const answer = byNumber(found);
      if (this.at.files.refuse(answer) || this.recallFor(answer)) return await this.compare();
      this.apply(found);
    } catch (fault) {
      if (fault?.name === 'AbortError') return;
      if (job === this.at.job) await this.failed(fault);
    }
  }

  /** The files, and what the answer depends on beside them. */
  asked() {
    const { thresholds, bandKind: kind, bandOf: of } = this.at.look;
    return { ...this.at.files.job(), thresholds, band: { kind, of } };
  }

  /** Other thresholds of the findings, by name; those that are left out are as the rule table has them. */
  judgeBy(thresholds) {
    const now = numbersOf(thresholds);
    if (JSON.stringify(now) === JSON.stringify(this.at.look.thresholds)) return;
    this.at.look.thresholds = now;
    if (this.at.answer) this.compare();
  }

  /** What several swings of the student say together comes after the comparison. */
  loadLesson() {
    const job = this.at.files.job();
    const swings = (slot) => job.files.filter((file) => file.slot === slot).length;
    const key = JSON.stringify({ ...job, shown: null });
    if (key !== this.at.lesson?.key) this.at.lesson = { key, found: null };
    const lesson = this.at.lesson;
    if (lesson.found || swings('student') + Math.min(1, swings('earlier')) < 2) return;
    const work = this.at.ask('together', job).then((found) => {
      lesson.found = found;
      this.at.painting.changed();
    });
    this.at.idle = Promise.all([this.at.idle, work.catch((fault) => this.unmade(fault))]);
  }

  /** Something beside the comparison could not be made: what is there stays. */
  unmade(fault) {
    if (fault?.name !== 'AbortError') this.at.parts?.notices.tell('core', 'page.failed', { names: '', why: fault.message });
  }

  /** Another swing of the lesson, with the cursor where a new one has it. */
  show(id) {
    this.at.files.shown = id;
    this.at.placed = false;
    this.compare();
  }

  /** A swing of the student's own becomes the reference that is compared. */
  own(id) {
    this.at.parts.notices.forget('core');
    this.at.files.asOwn(id);
    this.at.wanted = id;
    this.compare();
  }

  /** Which reference is compared: the one just asked for; the one before, if it suits or the user chose it for this
      student; else the first that is like the student. */
  choose(references) {
    const before = this.at.answer?.comparison.references[this.at.look.reference]?.id;
    const at = (id) => references.findIndex((reference) => reference.id === id);
    const kept = this.at.answer ? at(before) : this.at.look.reference;
    const suits = references[kept]?.like || this.at.placed || (!this.at.answer && kept > 0 && kept < references.length);
    const wanted = at(this.at.wanted);
    const like = references.findIndex((reference) => reference.like);
    this.at.look.reference = Math.max(0, wanted >= 0 ? wanted : suits && kept >= 0 ? kept : like);
    this.at.wanted = undefined;
  }

  /** The band of many references takes longer than all the rest: it comes after it, once for the same files. */
  loadBand(prepared) {
    const job = this.asked();
    const key = JSON.stringify([job.files, job.shown, job.band]);
    if (key !== this.at.band?.key) this.at.band = { key, found: prepared?.swings ? prepared : null };
    const band = this.at.band;
    this.at.painter.loadBand(band.found);
    if (job.files.filter(({ slot }) => ['reference', 'own'].includes(slot)).length < LEAST_FOR_BAND || band.found) return;
    const work = this.at.ask('band', job).then((found) => {
      band.found = found;
      if (band !== this.at.band || !this.at.painter) return;
      this.at.painter.loadBand(found);
      this.at.painting.changed();
    });
    // Without it the single references are drawn.
    this.at.idle = Promise.all([this.at.idle, work.catch(() => {})]);
  }

  wish(name, value) {
    this.at.look[name] = BANDS[name].includes(value) ? value : BANDS[name][0];
    if (this.at.answer) this.loadBand();
  }

  /** What if the target line were off: numbers and findings there, for the line asked for last. */
  aim(degrees) {
    this.at.look.aim = degrees;
    if (this.at.aiming || !this.at.answer) return;
    const job = this.at.job;
    const ask = async () => {
      const asked = this.at.look.aim;
      const turned = asked === 0 ? undefined : await this.at.ask('aim', { ...this.asked(), degrees: asked });
      if (job !== this.at.job) return;
      this.at.turned = turned ?? undefined;
      this.at.painting.changed();
      if (this.at.look.aim !== asked) await ask();
    };
    this.at.aiming = true;
    const work = ask()
      .catch((fault) => fault?.name !== 'AbortError' && this.at.parts?.notices.tell('core', 'page.failed', { names: '', why: fault.message }))
      .finally(() => (this.at.aiming = false));
    this.at.idle = Promise.all([this.at.idle, work]);
  }

  /** A trap, or an answer that could not be made: what is on screen stays, what was changed last is taken back. */
  failed(fault) {
    this.at.reveal();
    const undone = this.at.files.undo();
    const key = fault instanceof Cancelled ? 'reading.stopped' : fault instanceof Stopped ? 'page.stopped' : 'page.failed';
    this.at.parts.notices.tell('core', key, { names: undone.join(', '), why: fault.message });
    this.at.parts.transport.setBusy(false);
    this.at.element.dataset.state = 'error';
    return undone.length ? this.compare() : undefined;
  }

  /** Corrections remembered for files with the same track names are taken over once per file. */
  recallFor(answer) {
    let again = false;
    for (const file of this.at.files.all()) {
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

  apply(found) {
    const { picture } = found;
    const answer = byNumber(found);
    this.at.found = found;
    this.choose(answer.comparison.references);
    this.at.answer = answer;
    this.at.files.shown = answer.shown ?? undefined;
    this.at.turned = undefined;
    this.at.look.aim = 0;
    for (const gone of this.at.files.keep()) this.at.engine.drop(gone.id);
    this.keepStory();
    this.at.painter.load(picture, answer.files[this.at.files.student?.id]?.report.measures);
    const parts = this.at.parts;
    this.at.arrive();
    this.placeCursor(answer);
    if (this.at.view) [this.at.element.look, this.at.view] = [this.at.view, undefined];
    this.loadBand(picture?.band);
    this.loadLesson();
    this.at.files.show(answer);
    parts.notices.show(answer, this.at.files);
    parts.corrections.show(answer, this.at.files);
    parts.transport.setBusy(false);
    this.at.painting.changed();
    this.at.element.dataset.state = this.at.files.hasError(answer) ? 'error' : 'ready';
    this.tellRefused(answer);
    this.at.tell('handpath-report', this.at.element.report);
  }

  /** Steps of the story that tell of a swing which has left go with it. */
  keepStory() {
    const there = (id) => (id ?? null) === null || this.at.files.get(id);
    const story = this.at.look.story.filter(({ swing, against }) => there(swing) && there(against));
    if (story.length < this.at.look.story.length) Object.assign(this.at.look, { story, step: null });
  }

  /** A new student opens where the hands may have gone out: at lead arm level, else at the top. */
  placeCursor(answer) {
    const instants = answer.files[this.at.files.student?.id]?.report.instants ?? [];
    const find = (name) => instants.find((instant) => instant.name === name)?.time_s;
    if (!this.at.placed) this.at.look.time = find('lead arm level') ?? find('top') ?? instants[0]?.time_s ?? 0;
    this.at.placed ||= instants.length > 0;
  }

  /** Each file that cannot be used, once. */
  tellRefused(answer) {
    for (const file of this.at.files.all()) {
      const error = file.error ?? answer.files[file.id]?.report.error;
      if (error && error.key !== file.told) this.at.tell('handpath-refused', { name: file.name, slot: file.slot, error, text: this.at.words.message(error) });
      file.told = error?.key;
    }
  }
}

/** The session's answer, its files by their number. */
function byNumber({ files, shown, comparison, readings }) {
  return { files: Object.fromEntries(files.map((file) => [file.id, file])), shown, comparison, readings };
}

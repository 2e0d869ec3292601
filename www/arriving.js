// Files and lessons as they come: named by the page, dropped, in the address, or made up to be tried.

import { Lesson, holdsLesson, isLesson, renumber } from './lesson.js';
import { bytesOf } from './opening.js';
import { lendWords } from './remember.js';

/** The element that a lesson in the address of the page belongs to: the first one. */
let addressed;

export class Arriving {
  constructor(at) {
    this.at = at;
  }

  /** Takes a file that a link names. It is fetched when something has to be computed. */
  adopt({ slot, name, corrections, fault, load }) {
    if (fault) this.at.parts.notices.tell('load', 'page.bad_corrections', { name, why: fault });
    const [added] = this.at.files.add(slot, [{ name, demo: true, corrections }], true);
    added.sources = Object.fromEntries(Object.keys(corrections).map((name) => [name, 'stated by the page']));
    this.at.engine.put(added.id, async () => {
      try {
        return await load();
      } catch (fault) {
        this.at.parts?.notices.tell('load', 'page.not_loaded', { name, why: String(fault?.message ?? fault) });
        this.at.files.remove(added.id);
        throw fault;
      }
    });
  }

  async take(slot, files, joins) {
    const bytesOf = async (file) => (file.bytes instanceof Uint8Array ? file.bytes : new Uint8Array(await file.arrayBuffer()));
    const bytes = await Promise.all(files.map(bytesOf));
    const lesson = bytes.findIndex(isLesson);
    if (lesson >= 0) {
      await this.openLesson(bytes[lesson]);
      const others = files.map((file, i) => ({ ...file, name: file.name, bytes: bytes[i] })).filter((_, i) => i !== lesson);
      return others.length ? this.take(slot, others, true) : undefined;
    }
    const given = files.map(({ name = '', label, sha256, corrections }) => ({ name: label ?? name.replace(/\.[^.]+$/, ''), file: name, sha256, demo: false, corrections: corrections ?? {} }));
    const added = this.at.files.add(slot, given, joins);
    if (slot === 'student') this.at.placed = false;
    added.forEach(({ id }, i) => this.at.engine.put(id, bytes[i]));
  }

  /** The swings, notes, words and view of a lesson take the place of what is there. Nothing of that changes where it cannot be
      opened; else gives its words. */
  async openLesson(bytes) {
    this.at.parts.notices.forget('lesson');
    const opened = await this.at.ask('openLesson', bytes);
    if (opened.error) return this.at.parts.notices.say('lesson', [opened.error]);
    const [kept, { pins, spans, story }] = [this.at.kept, this.at.look];
    this.at.kept = new Lesson();
    const found = this.at.kept.take(opened);
    const added = this.at.files.openAll(found.swings, () => Object.assign(this.at.look, { pins, spans, story, step: null }) && (this.at.kept = kept));
    added.forEach(({ id }, i) => this.at.engine.put(id, new TextEncoder().encode(found.swings[i].text)));
    const ids = new Map(added.map((file) => [file.kept.entry.id, file.id]));
    const own = (notes) => notes.map((note) => ({ ...note, swing: ids.get(note.swing) }));
    Object.assign(this.at.look, { pins: own(found.pins), spans: own(found.spans), thresholds: found.thresholds, lit: null, story: found.story.map((step) => renumber(step, (id) => ids.get(id))), step: null });
    this.at.files.shown = ids.get(found.shown);
    this.at.from = undefined;
    lendWords(found.words);
    this.at.view = found.view;
    if (opened.warnings.length) this.at.parts.notices.say('lesson', opened.warnings);
    return found.words;
  }

  /** A lesson in the address of the page. Returns whether there was one that could be opened. */
  async openAddress() {
    addressed ??= this.at;
    if (addressed !== this.at || !holdsLesson(location.hash)) return false;
    try {
      const { fromFragment } = await import('./fragment.js');
      await this.openLesson(await fromFragment(location.hash));
    } catch (fault) {
      if (fault?.name === 'AbortError') throw fault;
      this.at.parts.notices.tell('lesson', 'sharing.bad_link', { why: String(fault?.message ?? fault) });
    }
    return this.at.files.all().length > 0;
  }

  /** A lesson that the author names. Returns whether there is one that could be opened. */
  async openNamed() {
    if (!this.at.element.lesson) return false;
    try {
      await this.openLesson(await bytesOf(new URL(this.at.element.lesson, this.at.element.baseURI)));
    } catch (fault) {
      if (fault?.name === 'AbortError') throw fault;
      this.at.parts.notices.tell('load', 'page.not_loaded', { name: this.at.element.lesson, why: String(fault?.message ?? fault) });
    }
    return this.at.files.all().length > 0;
  }

  /** A made-up swing, the bytes of a file, in place of the student's; where there is no reference, with one. */
  try(bytes, reference) {
    if (!this.at.former) {
      this.at.former = { found: this.at.found, look: this.at.element.look, shown: this.at.files.shown };
      this.at.placed = false;
      this.at.element.toggleAttribute('data-trying', true);
    }
    const named = ['trying.name', 'trying.reference'].map((key) => this.at.words.text(key));
    const lent = this.at.files.lend(...named, { club: 'iron' });
    this.at.engine.put(lent.student.id, bytes);
    if (lent.reference) this.at.engine.put(lent.reference.id, reference);
    // The cursor stays at the instant it stands at.
    this.at.placed &&= this.at.painter.instantAt(this.at.look.time) !== 'lead arm level';
    return this.at.comparing.compare();
  }

  /** What was shown before a swing was tried, untouched. */
  untry() {
    const former = this.at.former;
    if (!former) return;
    this.at.former = undefined;
    this.at.job += 1;
    for (const id of this.at.files.giveBack()) this.at.engine.drop(id);
    this.at.element.removeAttribute('data-trying');
    if (!former.found) return this.at.comparing.compare();
    this.at.placed = true;
    this.at.comparing.apply(former.found);
    this.at.element.look = former.look;
  }

  addressChanged() {
    const work = this.openAddress().then((opened) => opened && this.at.comparing.compare());
    this.at.idle = Promise.all([this.at.idle, work]);
  }

  /** The element is taken down: another one may have the lesson in the address. */
  end() {
    if (addressed === this.at) addressed = undefined;
  }
}

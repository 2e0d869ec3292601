// The lesson file: a document that holds everything of a lesson, made and opened. Rust reads and writes it; here stands
// what of it the page does not show but keeps.

import { isStep } from './look.js';

const HEAD = 4096;

/** Is this a lesson file, whole or damaged? What it is exactly the core finds out. */
export function isLesson(bytes) {
  const head = new TextDecoder('latin1').decode(bytes.subarray(0, HEAD));
  return /^(\u00ef\u00bb\u00bf)?\s*["{]/.test(head) && /"handpath lesson"|"swings"/.test(head);
}

const SLOTS = ['student', 'earlier', 'reference', 'own', 'address'];

/** Letters of a code that nobody takes for another one. */
const LETTERS = 'ACDEFHJKLMNPRTUVWXY34679';

/** A code for a student, instead of a name. */
export function newCode() {
  const drawn = crypto.getRandomValues(new Uint8Array(4));
  return `S-${Array.from(drawn, (byte) => LETTERS[byte % LETTERS.length]).join('')}`;
}

const isNumber = Number.isFinite;
const isText = (text) => typeof text === 'string';
const CHECKS = {
  pins: ({ swing, time_s, text = '' }) => isNumber(swing) && isNumber(time_s) && isText(text),
  spans: ({ swing, from_s, to_s, text = '' }) => isNumber(swing) && isNumber(from_s) && isNumber(to_s) && isText(text),
  words: ({ computed, own }) => isText(computed) && isText(own),
  story: isStep,
};

/** The entries of a list of the document that can be used, and the others. */
function sorted(document, list) {
  const entries = Array.isArray(document[list]) ? document[list] : [];
  const usable = (entry) => entry !== null && typeof entry === 'object' && CHECKS[list](entry);
  return [entries.filter(usable), entries.filter((entry) => !usable(entry))];
}

/** Fields that the page makes anew of what it shows; the view is all else of the look. */
const NOT_VIEW = ['pins', 'spans', 'thresholds', 'lit', 'story', 'step'];

/** A step of a story with other numbers for its swings; one that is gone is left out. */
export function renumber(step, numberOf) {
  const told = { ...step };
  for (const name of ['swing', 'against']) {
    if ((step[name] ?? null) === null) continue;
    told[name] = numberOf(step[name]);
    if (told[name] === undefined) delete told[name];
  }
  return told;
}

/** Fields of the coach's desk: kept as they are, changed by its cards. */
const DESK = ['intake', 'setup', 'captures', 'looked', 'plan', 'log', 'before', 'preset', 'changes'];

export class Lesson {
  #document = {};
  #opened = null;
  #odd = { pins: [], spans: [], story: [] };

  #code;

  /** All that the student was called while this lesson was open: what is kept on the machine goes by it. */
  codes = new Set();

  constructor() {
    this.code = newCode();
  }

  /** What the student is called. */
  get code() {
    return this.#code;
  }

  set code(code) {
    this.#code = code;
    this.codes.add(code);
  }

  /** What the coach's desk holds. */
  fields = {};

  /** Takes a lesson that the core opened: `{swings, look, words}`, swings as files, each with its text. */
  take({ document: text, recordings, unusable }) {
    const document = JSON.parse(text);
    this.#document = document;
    this.#opened = text;
    this.code = isText(document.student?.code) ? document.student.code : newCode();
    this.fields = Object.fromEntries(DESK.filter((name) => name in document).map((name) => [name, document[name]]));
    const wrong = new Map(unusable.map(({ id, names }) => [id, names]));
    const entries = Array.isArray(document.swings) ? document.swings : [];
    const swings = entries.filter((entry) => isText(recordings[entry?.recording])).map((entry) => this.#swing(entry, recordings, wrong.get(entry.id) ?? []));
    const ids = new Set(swings.map(({ kept }) => kept.entry.id));
    const [pins, spans, story] = ['pins', 'spans', 'story'].map((list) => this.#own(list, ids));
    const view = document.view !== null && typeof document.view === 'object' ? document.view : {};
    const thresholds = Object.fromEntries(Object.entries(document.thresholds ?? {}).filter(([, value]) => isNumber(value)));
    return { swings, pins, spans, story, thresholds, view, shown: document.shown, words: sorted(document, 'words')[0] };
  }

  /** Notes on swings that are there; the others are kept aside. */
  #own(list, ids) {
    const [notes, odd] = sorted(this.#document, list);
    // A step of the story may leave open which swings it is about.
    const known = ({ swing, against }) => (list === 'story' ? [swing, against].every((id) => (id ?? null) === null || ids.has(id)) : ids.has(swing));
    this.#odd[list] = [...notes.filter((note) => !known(note)), ...odd];
    return notes.filter(known);
  }

  #swing(entry, recordings, unusable) {
    const usable = Object.entries(entry.corrections ?? {}).filter(([name]) => !unusable.includes(name));
    const known = SLOTS.includes(entry.slot);
    return {
      slot: known ? entry.slot : 'earlier',
      aside: !known,
      name: isText(entry.label) ? entry.label : '',
      corrections: Object.fromEntries(usable),
      kept: { entry, unusable },
      text: recordings[entry.recording],
    };
  }

  /** The document of what is shown, with the numbers of files for recordings. `said`: pairs of a computed sentence and what is
      said instead, null where nothing is. */
  make(files, look, said) {
    const numbers = this.#numbers(files);
    const named = (notes) => notes.filter(({ swing }) => numbers.has(swing)).map((note) => ({ ...note, swing: numbers.get(note.swing) }));
    const step = (told) => renumber(told, (id) => numbers.get(id));
    const view = Object.fromEntries(Object.entries(look).filter(([name]) => !NOT_VIEW.includes(name)));
    const old = this.#document;
    const shown = numbers.get(files.shown);
    const document = {
      format: 'handpath lesson',
      version: 1,
      ...old,
      student: { ...old.student, code: this.code },
      swings: this.#swings(files, numbers),
      thresholds: { ...this.#others('thresholds', isNumber), ...look.thresholds },
      words: [...this.#said(said), ...sorted(old, 'words')[1]],
      pins: [...named(look.pins), ...this.#odd.pins],
      spans: [...named(look.spans), ...this.#odd.spans],
      ...(look.story.length || this.#odd.story.length || old.story ? { story: [...look.story.map(step), ...this.#odd.story] } : {}),
      view: { ...old.view, ...view },
      shown,
      ...this.fields,
    };
    for (const name of DESK) if (!(name in this.fields)) delete document[name];
    return { document: JSON.stringify(document), opened: this.#opened };
  }

  /** The number of a file within the lesson: the one it had, or a new one, which stays its own. */
  number(file, files) {
    const entries = Array.isArray(this.#document.swings) ? this.#document.swings : [];
    const taken = [...files.all().map(({ kept, number }) => number ?? kept?.entry.id), ...entries.map((entry) => entry?.id)];
    return (file.number ??= file.kept?.entry.id ?? Math.max(0, ...taken.filter(isNumber)) + 1);
  }

  #numbers(files) {
    return new Map(files.all().map((file) => [file.id, this.number(file, files)]));
  }

  /** Entries in their old places, those of new files behind them. What is no swing stays. */
  #swings(files, numbers) {
    const of = new Map(files.all().filter(({ kept }) => kept).map((file) => [file.kept.entry, file]));
    const old = Array.isArray(this.#document.swings) ? this.#document.swings : [];
    const stays = old.filter((entry) => of.has(entry) || !isNumber(entry?.recording));
    const kept = stays.map((entry) => (of.has(entry) ? this.#entry(of.get(entry), numbers) : entry));
    const added = files.all().filter((file) => !file.kept).map((file) => this.#entry(file, numbers));
    return [...kept, ...added];
  }

  #entry(file, numbers) {
    const { entry = {}, unusable = [] } = file.kept ?? {};
    const before = Object.entries(entry.corrections ?? {}).filter(([name]) => unusable.includes(name) || name in file.corrections);
    const corrections = { ...Object.fromEntries(before), ...file.corrections };
    const known = SLOTS.includes(entry.slot) || entry.slot === undefined;
    const sources = { ...entry.sources };
    for (const name of Object.keys(file.corrections)) sources[name] = file.sources?.[name] ?? sources[name] ?? 'stated by the user';
    for (const name of Object.keys(sources)) if (!(name in corrections)) delete sources[name];
    return { ...entry, id: numbers.get(file.id), slot: known ? file.slot : entry.slot, label: file.label ?? file.name, corrections, sources, recording: file.id };
  }

  #others(field, known) {
    return Object.fromEntries(Object.entries(this.#document[field] ?? {}).filter(([, value]) => !known(value)));
  }

  /** Sentences of the lesson as they are now, then those said here. */
  #said(said) {
    const now = new Map(said);
    const old = sorted(this.#document, 'words')[0].filter(({ computed }) => now.get(computed) !== null);
    const words = old.map((entry) => ({ ...entry, own: now.get(entry.computed) ?? entry.own }));
    const known = new Set(old.map(({ computed }) => computed));
    const more = said.filter(([computed, own]) => own !== null && !known.has(computed)).map(([computed, own]) => ({ computed, own }));
    return [...words, ...more];
  }
}

/** What stands before a lesson in the address of a page. */
export const PREFIX = '#lesson=';

export const holdsLesson = (fragment) => fragment.startsWith(PREFIX);

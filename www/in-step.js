// Keeps elements on several pages in step: what one looks at, all look at. The host supplies the channel; it may deliver
// late, twice, and in another order, to any number of pages, and may echo.
//
// Every part of the view (`look`) is a register that the last writer wins: a part carries a stamp, a counter that only rises and
// the name of the page that wrote it, and the greater stamp stays. So all pages end with the same view, whatever the order.
// A page that joins says so, and each of the others answers with all it has.
//
// Parts that name swings by the page's own numbers (notes, the story, the reference that is compared) name them on the way by
// what was recorded: pages may hold the same swings in another order, or not all of them. What is about a swing that a page
// does not have is not shown there, is passed on with its next change, and is told by the event `handpath-apart`.

/** How long changes are collected before they are sent, milliseconds: a drag is many. */
const COLLECT_MS = 50;

/** A BroadcastChannel (pages of one browser) as a channel. Others are as simple: see README.md. */
export function broadcast(name) {
  const channel = new BroadcastChannel(name);
  return {
    post: (message) => channel.postMessage(message),
    listen: (hear) => {
      channel.onmessage = ({ data }) => hear(data);
      return () => channel.close();
    },
  };
}

/**
 * Joins an element to a channel `{post(message), listen(hear)}`, whose messages are plain objects; `listen` gives a function
 * that ends it. `site` names this page, differently from all others. Gives a function that leaves again.
 */
export function keepInStep(element, channel, site = crypto.randomUUID()) {
  const step = new Step(element, channel, site);
  return () => step.leave();
}

/** The swings of an element: number, key of what was recorded, label and rows. */
function swingsOf(element) {
  const files = Object.values(element.report?.files ?? {});
  return files.map(({ id, content_key: key = null, report }) => ({ id, key, label: report.name, rows: report.file?.rows ?? null }));
}

/** A swing as all pages know it; `nth` of those with the same recording. Undefined: it is not there. */
function nameOf(swings, id) {
  const own = swings.find((swing) => swing.id === id);
  if (!own) return undefined;
  const alike = swings.filter(({ key }) => key !== null && key === own.key);
  return { key: own.key, label: own.label, rows: own.rows, nth: Math.max(0, alike.indexOf(own)) };
}

/** The number of a swing that another page named: the same recording; else the one of this label and length (a link leaves
    tracks out). Undefined: it is not there. */
function numberOf(swings, name) {
  if (name === null || typeof name !== 'object') return undefined;
  const alike = swings.filter(({ key }) => key !== null && key === name.key);
  if (alike.length) return alike[Math.min(Number(name.nth) || 0, alike.length - 1)]?.id;
  const called = swings.filter(({ label, rows }) => label === name.label && rows === name.rows);
  return called.length === 1 ? called[0].id : undefined;
}

const given = (value) => value !== undefined && value !== null;

/** An entry with other names for its swings; undefined where one has none. */
function named(entry, fields, other) {
  const out = { ...entry };
  for (const field of fields.filter((field) => given(entry?.[field]))) {
    out[field] = other(entry[field]);
    if (out[field] === undefined) return undefined;
  }
  return out;
}

/** How parts that name swings are put for all pages, and for this one: what can be shown, and what cannot. */
const notes = {
  shared: (list, { swings }) => list.map((note) => named(note, ['swing'], (id) => nameOf(swings, id))).filter(given),
  own: (list, { swings }) => {
    const all = (Array.isArray(list) ? list : []).map((note) => [note, named(note, ['swing'], (name) => numberOf(swings, name))]);
    return { value: all.map(([, note]) => note).filter(given), apart: all.filter(([, note]) => !given(note)).map(([note]) => note) };
  },
};
const NAMING = {
  pins: notes,
  spans: notes,
  // A story is told whole or not at all: a step without its swing would show another one.
  story: {
    shared: (list, { swings }) => list.map((step) => named(step, ['swing', 'against'], (id) => nameOf(swings, id))).filter(given),
    own: (list, { swings }) => {
      const all = (Array.isArray(list) ? list : []).map((step) => named(step, ['swing', 'against'], (name) => numberOf(swings, name)));
      return all.every(given) ? { value: all, apart: [] } : { value: [], apart: list };
    },
  },
  reference: {
    shared: (place, { swings, references }) => nameOf(swings, references[place]) ?? place,
    own: (name, { swings, references }) => {
      if (typeof name === 'number') return { value: name, apart: [] };
      const place = references.indexOf(numberOf(swings, name));
      return place < 0 ? { apart: [name] } : { value: place, apart: [] };
    },
  },
};

class Step {
  #element;
  #channel;
  #site;
  #clock = 0;
  /** By part: what it is here, as JSON; for all pages, and what of that is not shown here; and its stamp, null where this page
      has it from its own opening. */
  #parts = new Map();
  #waiting = new Set();
  #timer = 0;
  #end;

  constructor(element, channel, site) {
    this.#element = element;
    this.#channel = channel;
    this.#site = site;
    for (const [name, value] of Object.entries(element.look)) this.#parts.set(name, { value: JSON.stringify(value), apart: [], stamp: null });
    element.addEventListener('handpath-look', this.#seen);
    element.addEventListener('handpath-report', this.#settle);
    this.#end = channel.listen((message) => this.#heard(message));
    channel.post({ handpath: 'join' });
  }

  leave() {
    this.#send();
    this.#element.removeEventListener('handpath-look', this.#seen);
    this.#element.removeEventListener('handpath-report', this.#settle);
    this.#end?.();
  }

  /** The view changed here: what differs from what is known is written by this page. */
  #seen = ({ detail }) => {
    for (const [name, value] of Object.entries(detail)) {
      const now = JSON.stringify(value);
      const { value: before, apart = [] } = this.#parts.get(name) ?? {};
      if (now === before) continue;
      this.#clock += 1;
      // What is not shown here was not taken away here; another story, or another reference, is all there is.
      const left = NAMING[name] === notes ? apart : [];
      const shared = NAMING[name] && this.#shared(name, value);
      this.#parts.set(name, { value: now, shared: left.length ? [...shared, ...left] : shared, apart: left, stamp: [this.#clock, this.#site] });
      this.#waiting.add(name);
    }
    if (this.#waiting.size && !this.#timer) this.#timer = setTimeout(() => this.#send(), COLLECT_MS);
  };

  #send() {
    clearTimeout(this.#timer);
    this.#timer = 0;
    if (this.#waiting.size) this.#post(this.#waiting);
    this.#waiting.clear();
  }

  #post(names) {
    const part = (name) => {
      const { value, shared, stamp } = this.#parts.get(name);
      return [name, shared ?? JSON.parse(value), stamp];
    };
    this.#channel.post({ handpath: 'look', parts: [...names].map(part) });
  }

  /** What the element has now. */
  #here() {
    return { swings: swingsOf(this.#element), references: (this.#element.report?.comparison.references ?? []).map(({ id }) => id) };
  }

  #shared(name, value) {
    return NAMING[name].shared(value, this.#here());
  }

  #heard(message) {
    if (message?.handpath === 'join') this.#answer();
    else if (message?.handpath === 'look' && Array.isArray(message.parts)) message.parts.forEach((part) => this.#take(part));
  }

  /** All there is, for one who joins. What nobody has changed yet counts as written by this page before anything else. */
  #answer() {
    for (const [name, part] of this.#parts) {
      if (part.stamp) continue;
      part.stamp = [0, this.#site];
      if (NAMING[name]) part.shared = this.#shared(name, JSON.parse(part.value));
    }
    this.#post(this.#parts.keys());
  }

  #take(part) {
    const [name, value, stamp] = Array.isArray(part) ? part : [];
    if (!this.#parts.has(name) || !isStamp(stamp)) return;
    this.#clock = Math.max(this.#clock, stamp[0]);
    if (!isLater(stamp, this.#parts.get(name).stamp)) return;
    this.#waiting.delete(name);
    if (NAMING[name]) return this.#takeNamed(name, value, stamp);
    this.#element.look = { [name]: value };
    // As the element took it: a value that it does not know stays outside, here and on every other page.
    this.#parts.set(name, { value: JSON.stringify(this.#element.look[name]), apart: [], stamp });
  }

  #takeNamed(name, shared, stamp) {
    const { value, apart } = NAMING[name].own(shared, this.#here());
    if (value !== undefined) this.#element.look = { [name]: value };
    this.#parts.set(name, { value: JSON.stringify(this.#element.look[name]), shared, apart, stamp });
    this.#tell();
  }

  /** Other swings are here: what was apart may have its swing now, and the numbers may be others. */
  #settle = () => {
    this.#seen({ detail: this.#element.look });
    for (const [name, { shared, stamp }] of this.#parts) if (stamp && shared !== undefined && NAMING[name]) this.#takeNamed(name, shared, stamp);
  };

  #told = '';

  /** How much of each part is about swings that are not here. */
  #tell() {
    const counts = Object.keys(NAMING).map((name) => [name, this.#parts.get(name)?.apart.length ?? 0]);
    const detail = Object.fromEntries(counts);
    const told = JSON.stringify(detail);
    if (told === this.#told || (!this.#told && counts.every(([, count]) => count === 0))) return;
    this.#told = told;
    this.#element.dispatchEvent(new CustomEvent('handpath-apart', { detail, bubbles: true, composed: true }));
  }
}

const isStamp = (stamp) => Array.isArray(stamp) && Number.isSafeInteger(stamp[0]) && stamp[0] >= 0 && typeof stamp[1] === 'string';

const isLater = ([count, site], before) => before === null || count > before[0] || (count === before[0] && site > before[1]);

// Keeps elements on several pages in step: what one looks at, all look at. The host supplies the channel; it may deliver
// late, twice, and in another order, to any number of pages, and may echo.
//
// Every part of the view (`look`) is a register that the last writer wins: a part carries a stamp, a counter that only rises and
// the name of the page that wrote it, and the greater stamp stays. So all pages end with the same view, whatever the order.
// A page that joins says so, and each of the others answers with all it has.

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

class Step {
  #element;
  #channel;
  #site;
  #clock = 0;
  /** By part: what it is, as JSON, and its stamp; null where this page has it from its own opening. */
  #parts = new Map();
  #waiting = new Set();
  #timer = 0;
  #end;

  constructor(element, channel, site) {
    this.#element = element;
    this.#channel = channel;
    this.#site = site;
    for (const [name, value] of Object.entries(element.look)) this.#parts.set(name, { value: JSON.stringify(value), stamp: null });
    element.addEventListener('handpath-look', this.#seen);
    this.#end = channel.listen((message) => this.#heard(message));
    channel.post({ handpath: 'join' });
  }

  leave() {
    this.#send();
    this.#element.removeEventListener('handpath-look', this.#seen);
    this.#end?.();
  }

  /** The view changed here: what differs from what is known is written by this page. */
  #seen = ({ detail }) => {
    for (const [name, value] of Object.entries(detail)) {
      const now = JSON.stringify(value);
      if (now === this.#parts.get(name)?.value) continue;
      this.#clock += 1;
      this.#parts.set(name, { value: now, stamp: [this.#clock, this.#site] });
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
    const parts = [...names].map((name) => [name, this.#parts.get(name)]);
    this.#channel.post({ handpath: 'look', parts: parts.map(([name, { value, stamp }]) => [name, JSON.parse(value), stamp]) });
  }

  #heard(message) {
    if (message?.handpath === 'join') this.#answer();
    else if (message?.handpath === 'look' && Array.isArray(message.parts)) message.parts.forEach((part) => this.#take(part));
  }

  /** All there is, for one who joins. What nobody has changed yet counts as written by this page before anything else. */
  #answer() {
    for (const part of this.#parts.values()) part.stamp ??= [0, this.#site];
    this.#post(this.#parts.keys());
  }

  #take(part) {
    const [name, value, stamp] = Array.isArray(part) ? part : [];
    if (!this.#parts.has(name) || !isStamp(stamp)) return;
    this.#clock = Math.max(this.#clock, stamp[0]);
    if (!isLater(stamp, this.#parts.get(name).stamp)) return;
    this.#waiting.delete(name);
    this.#element.look = { [name]: value };
    // As the element took it: a value that it does not know stays outside, here and on every other page.
    this.#parts.set(name, { value: JSON.stringify(this.#element.look[name]), stamp });
  }
}

const isStamp = (stamp) => Array.isArray(stamp) && Number.isSafeInteger(stamp[0]) && stamp[0] >= 0 && typeof stamp[1] === 'string';

const isLater = ([count, site], before) => before === null || count > before[0] || (count === before[0] && site > before[1]);

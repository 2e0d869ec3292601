// The shelf of references: a folder of swings is read beside the page and kept on this machine as one small pack; the nearest to
// the student's swing are found among thousands, and one of them can be compared with.

import { choice, download, h, setText, unique } from './dom.js';
import { compile } from './modules.js';
import { decimals, METRES } from './quantities.js';
import { workerAt } from './resources.js';
import { dropShelf, keepShelf, keptLabels, keptRecording, keptShelf } from './shelf-keep.js';

const CLUBS = ['driver', 'fairway-wood', 'iron', 'wedge'];
const HANDS = ['right', 'left'];
const KINDS = ['full', 'part', 'drill', 'pause', 'practice'];

/** How far the depth at the top may be from the student's, metres. */
const WITHIN = [0.03, 0.06, 0.12];

/** Hits that are shown. */
const COUNT = 10;

/** Files left out that are named. */
const MOST_NAMED = 50;

/** Files between two times that what was read is kept: a browser that ends loses no more. */
const KEEP_EVERY = 200;

/** The worker, started when it is first asked. A trap ends it; the next question starts another one with what was kept. */
class Desk {
  #worker;
  #waiting = new Map();
  #last = 0;

  async ask(type, job) {
    this.#started ??= this.#start().catch((fault) => {
      this.end();
      throw fault;
    });
    await this.#started;
    return this.#send(type, job);
  }

  #started;

  async #start() {
    const [module, pack] = await Promise.all([compile('shelf'), keptShelf().catch(() => undefined)]);
    this.#worker = workerAt(new URL('shelf-worker.js', import.meta.url));
    this.#worker.addEventListener('message', ({ data }) => this.#answer(data));
    this.#worker.addEventListener('error', (event) => {
      event.preventDefault();
      this.end(new Error(event.message || 'shelf-worker.js'));
    });
    await this.#send('start', { module });
    if (pack) await this.#send('open', { pack });
  }

  #send(type, job) {
    this.#last += 1;
    const ticket = this.#last;
    return new Promise((resolve, reject) => {
      this.#waiting.set(ticket, { resolve, reject });
      this.#worker.postMessage({ type, ticket, ...job });
    });
  }

  #answer({ ticket, value, fault, stopped }) {
    const waiting = this.#waiting.get(ticket);
    this.#waiting.delete(ticket);
    if (fault === undefined) return waiting?.resolve(value);
    waiting?.reject(new Error(fault));
    if (stopped) this.end(new Error(fault));
  }

  end(fault = new DOMException('', 'AbortError')) {
    this.#worker?.terminate();
    this.#worker = this.#started = undefined;
    for (const { reject } of this.#waiting.values()) reject(fault);
    this.#waiting.clear();
  }
}

export class Part {
  #words;
  #host;
  #root;
  #desk = new Desk();
  #labels = [];
  #recordings = new Set();
  #reading;
  #unit = 'cm';
  #student;
  #found;

  constructor(words, root, host) {
    [this.#words, this.#root, this.#host] = [words, root, host];
    const button = (key, click) => h('button', { type: 'button', class: key.replace('.', '-'), on: { click } }, words.text(key));
    const input = (key, properties, take) => {
      const node = h('input', { type: 'file', hidden: true, ...properties, on: { change: () => node.files.length && take([...node.files]).finally(() => (node.value = '')) } });
      return [button(key, () => node.click()), node];
    };
    this.keep = h('input', { type: 'checkbox', id: unique('shelf'), checked: true });
    this.progress = h('progress', { 'aria-label': words.text('shelf.progress'), hidden: true });
    this.stop = button('shelf.stop', () => this.#stop());
    this.said = h('p', { class: 'note', role: 'status' });
    this.left = h('details', { class: 'left-out', hidden: true }, h('summary', {}, words.text('shelf.left_out')), h('ul', {}));
    this.holds = h('p', { class: 'holds' });
    this.save = button('shelf.save', () => this.#work(() => this.#save()));
    this.forget = button('shelf.delete', () => this.#work(() => this.#delete()));
    this.find = button('shelf.find', () => this.#work(() => this.#search()));
    this.hits = h('ol', { class: 'hits' });
    this.among = h('p', { class: 'note', role: 'status' });
    const folder = input('shelf.folder', { multiple: true, webkitdirectory: true, class: 'shelf-folder-input' }, (files) => this.take(files));
    const files = input('shelf.files', { multiple: true, class: 'shelf-files-input' }, (list) => this.take(list));
    const open = input('shelf.open', { class: 'shelf-open-input' }, ([file]) => this.#work(() => this.#open(file)));
    root.append(
      h('p', { class: 'note' }, words.text('shelf.note')),
      h('div', { class: 'playing' }, folder, files, this.stop),
      h('p', { class: 'checked' }, this.keep, ' ', h('label', { htmlFor: this.keep.id }, words.text('shelf.keep'))),
      this.progress,
      this.said,
      this.left,
      this.holds,
      h('div', { class: 'playing' }, open, this.save, this.forget),
      this.#filters(),
      h('div', { class: 'playing' }, this.find),
      this.among,
      this.hits,
    );
    this.#enable();
    this.#work(() => this.#recall());
  }

  #filters() {
    const words = this.#words;
    const field = (name, options) => {
      const control = choice([['', words.text('shelf.any')], ...options], { id: unique('shelf'), 'data-filter': name });
      this.#chosen[name] = control;
      return h('div', { class: 'field' }, h('label', { htmlFor: control.id }, words.text(name === 'depth' ? 'shelf.depth' : `correction.${name}`)), control);
    };
    const named = (list) => list.map((word) => [word, words.word('value', word)]);
    return h('div', { class: 'fields' }, field('club', named(CLUBS)), field('hand', named(HANDS)), field('kind', named(KINDS)), field('depth', this.#depths()));
  }

  #chosen = {};

  #depths() {
    return WITHIN.map((metres) => [metres, this.#words.text('shelf.within', { size: this.#size(metres) })]);
  }

  #size(metres, digits = decimals(this.#unit)) {
    return `${this.#words.number(metres / METRES[this.#unit], digits)} ${this.#unit}`;
  }

  show({ unit }, answer, files) {
    const student = answer?.files[files.student?.id]?.report.error === null ? files.student : undefined;
    if (unit !== this.#unit) {
      this.#unit = unit;
      const depth = this.#chosen.depth;
      [...depth.options].slice(1).forEach((option, i) => (option.textContent = this.#depths()[i][1]));
      this.#showHits();
    }
    this.#student = student;
    this.#enable();
  }

  #enable() {
    const [busy, empty] = [this.#reading !== undefined, !this.#labels.length];
    for (const node of this.#root.querySelectorAll('button, input[type=file]')) if (!this.hits.contains(node)) node.disabled = busy;
    this.stop.disabled = !busy;
    this.stop.hidden = this.progress.hidden = !busy;
    this.save.disabled = this.forget.disabled = busy || empty;
    this.find.disabled = busy || empty || !this.#student;
    setText(this.holds, this.#words.text('shelf.holds', { count: this.#labels.length }));
  }

  /** Work that may fail, told where it does. */
  #work(work) {
    const done = this.#beside(work);
    this.#host().wait(done);
    return done;
  }

  /** Work that nothing else of the page waits for. */
  #beside(work) {
    return work()
      .catch((fault) => this.#host().unmade(fault))
      .finally(() => this.#enable());
  }

  async #recall() {
    if (!(await keptShelf().catch(() => undefined))) return;
    await this.#refresh();
  }

  async #refresh() {
    this.#labels = await this.#desk.ask('labels');
    this.#recordings = new Set(await keptLabels().catch(() => []));
  }

  /** Files (File objects) are read one after the other; what is there already is passed over. */
  take(files) {
    return this.#beside(() => this.#read(files.filter(({ name }) => !name.startsWith('.'))));
  }

  /** What was dropped: files, and folders with all that is in them. */
  drop(entries) {
    return this.#beside(async () => this.#read((await Promise.all(entries.map(filesOf))).flat().filter(({ name }) => !name.startsWith('.'))));
  }

  #stop() {
    this.#reading?.abort();
  }

  async #read(files) {
    if (this.#reading) return;
    const reading = (this.#reading = new AbortController());
    const counts = { taken: 0, known: 0, refused: 0 };
    const known = new Set(this.#labels);
    const left = [];
    let kept = [];
    this.progress.max = files.length;
    this.progress.value = 0;
    this.#enable();
    this.stop.focus();
    try {
      for (const [i, file] of files.entries()) {
        if (reading.signal.aborted) break;
        const label = file.webkitRelativePath || file.handpathPath || file.name;
        this.progress.value = i;
        setText(this.said, this.#words.text('shelf.reading', { number: i + 1, count: files.length, name: label }));
        if (known.has(label)) {
          counts.known += 1;
          continue;
        }
        const bytes = new Uint8Array(await file.arrayBuffer());
        const { error } = await this.#desk.ask('add', { label, bytes });
        if (error) {
          counts.refused += 1;
          left.push(`${label}: ${this.#words.message(error)}`);
          continue;
        }
        counts.taken += 1;
        known.add(label);
        if (this.keep.checked) kept.push([label, bytes]);
        if (counts.taken % KEEP_EVERY === 0) kept = await this.#keepAll(kept);
      }
      await this.#keepAll(kept);
    } finally {
      this.#reading = undefined;
      this.#tellLeft(left);
      await this.#refresh();
      setText(this.said, this.#words.text(reading.signal.aborted ? 'shelf.stopped' : 'shelf.done', counts));
      this.#enable();
      if (!this.#root.contains(this.#root.getRootNode().activeElement)) this.find.focus();
    }
  }

  /** Where storage is refused or full the shelf holds for this visit, and that is said. */
  async #keepAll(recordings) {
    const pack = await this.#desk.ask('pack');
    try {
      await keepShelf(pack, recordings);
    } catch (fault) {
      this.#host().notices.tell('shelf', 'shelf.not_kept', { why: String(fault?.message ?? fault) });
    }
    return [];
  }

  #tellLeft(left) {
    this.left.hidden = !left.length;
    this.left.lastChild.replaceChildren(...left.slice(0, MOST_NAMED).map((text) => h('li', {}, text)));
  }

  async #save() {
    download('references.handpath-shelf', new Blob([await this.#desk.ask('pack')], { type: 'application/octet-stream' }));
  }

  async #open(file) {
    const pack = new Uint8Array(await file.arrayBuffer());
    const { error } = await this.#desk.ask('open', { pack });
    if (error) return setText(this.said, this.#words.message(error));
    await this.#keepAll([]);
    await this.#refresh();
    this.#forgetHits();
    setText(this.said, this.#words.text('shelf.opened', { count: this.#labels.length }));
  }

  async #delete() {
    await dropShelf();
    this.#desk.end();
    [this.#labels, this.#recordings] = [[], new Set()];
    this.#forgetHits();
    this.#tellLeft([]);
    setText(this.said, this.#words.text('shelf.deleted'));
    this.#enable();
    this.said.tabIndex = -1;
    this.said.focus();
  }

  async #search() {
    const { bytes, files } = this.#host();
    const still = files.all().find(({ slot }) => slot === 'address');
    const { club, hand, kind, depth } = Object.fromEntries(Object.entries(this.#chosen).map(([name, { value }]) => [name, value || null]));
    const question = { corrections: this.#student.corrections, wish: { club, hand, kind, within_m: depth && Number(depth), count: COUNT } };
    const found = await this.#desk.ask('nearest', { bytes: await bytes(this.#student.id), still: still && (await bytes(still.id)), question });
    if (found.error) {
      this.#forgetHits();
      return setText(this.among, this.#words.message(found.error));
    }
    this.#found = found;
    this.#showHits();
  }

  #forgetHits() {
    this.#found = undefined;
    setText(this.among, '');
    this.hits.replaceChildren();
  }

  #showHits() {
    const [words, found] = [this.#words, this.#found];
    if (!found) return;
    setText(this.among, words.text(found.near.length ? 'shelf.among' : 'shelf.nothing', { count: found.among }));
    this.hits.replaceChildren(...found.near.map((hit) => this.#hit(hit)));
  }

  #hit({ label, club, hand, kind, apart_m: apart }) {
    const words = this.#words;
    const there = this.#recordings.has(label);
    const what = [club, hand, kind].map((word) => words.word('value', word)).join(', ');
    const compare = h('button', { type: 'button', disabled: !there, 'aria-label': words.text('shelf.compare_with', { name: label }), on: { click: () => this.#work(() => this.#compare(label)) } }, words.text('shelf.compare'));
    return h(
      'li',
      { 'data-label': label, 'data-apart': apart },
      h('strong', {}, label), ' ',
      h('span', {}, words.text('shelf.apart', { size: this.#size(apart, 1) })), ' ',
      h('span', { class: 'note' }, what), ' ',
      compare,
      !there && h('span', { class: 'note' }, ' ', words.text('shelf.unkept')),
    );
  }

  /** A hit becomes a reference of the comparison, and the one that is looked at. */
  async #compare(label) {
    const bytes = await keptRecording(label);
    if (!bytes) return setText(this.said, this.#words.text('shelf.unkept'));
    const { add, run, unmade } = this.#host();
    // What waits for this work is not waited for.
    add('reference', [{ name: label.split('/').at(-1), bytes }], true).then(() => {
      const { answer, files } = this.#host();
      const added = files.all().filter(({ slot }) => slot === 'reference').at(-1);
      const at = answer?.comparison.references.findIndex(({ id }) => id === added?.id) ?? -1;
      if (at >= 0) run('reference', at);
    }, unmade);
  }

  end() {
    this.#stop();
    this.#desk.end();
  }
}

/** The files below what was dropped, each with its path. */
async function filesOf(entry) {
  if (entry.isFile) {
    const file = await new Promise((resolve, reject) => entry.file(resolve, reject));
    file.handpathPath = entry.fullPath.replace(/^\//, '');
    return [file];
  }
  const reader = entry.createReader();
  const inside = [];
  // A reader gives some at a time, and none at the end.
  for (let some; (some = await new Promise((resolve, reject) => reader.readEntries(resolve, reject))).length; ) inside.push(...some);
  return (await Promise.all(inside.map(filesOf))).flat();
}

// The files in their slots: the student's swings of this lesson and of an earlier one, the references (others' swings, or the
// student's own), and a separate recording of the student at address.

import { h, setText, unique } from './dom.js';

const SLOTS = ['student', 'earlier', 'reference', 'address'];

/** Where a file is listed: the student's own swings are references too. */
const listOf = (slot) => (slot === 'own' ? 'reference' : slot);

export class Files {
  #files = [];
  #last = 0;
  #words;
  #run;
  #lists = {};
  #depth = 0;
  #undo = [];
  #gone = [];

  all() {
    return this.#files;
  }

  get(id) {
    return this.#files.find((file) => file.id === Number(id));
  }

  #in(slot) {
    return this.#files.filter((file) => listOf(file.slot) === slot);
  }

  /** The student's swing that is shown: the one chosen, by the user or by the core. */
  get student() {
    const swings = this.students;
    return swings.find((file) => file.id === this.shown) ?? swings[0];
  }

  /** The student's swings of this lesson; a swing that is tried, alone. */
  get students() {
    return this.#tried ? [this.#tried.student] : this.#used('student');
  }

  #tried = null;

  /** A swing that is tried stands in for the student's until it is given back: it is no file of the lesson. Where there is no
      reference one of its own comes with it. */
  lend(name, reference, corrections) {
    if (this.#tried) return this.#tried;
    const file = (slot, name) => ({ id: (this.#last += 1), slot, name, demo: true, corrections, recalled: true });
    const alone = !this.#used('reference').some(({ slot }) => slot === 'reference');
    this.#tried = { student: file('student', name), reference: alone ? file('reference', reference) : null };
    return this.#tried;
  }

  /** Returns the numbers of what was lent. */
  giveBack() {
    const lent = Object.values(this.#tried ?? {}).filter(Boolean);
    this.#tried = null;
    return lent.map(({ id }) => id);
  }

  /** Number of the student's swing that is shown; none: the core chooses the most typical. */
  shown;

  #used(slot) {
    return this.#in(slot).filter((file) => !file.aside);
  }

  /** Adds files together. Swings of a student take the place of the old ones (and of the demo's address file) unless they
      join them; the user's own first reference takes the place of the demo's. */
  add(slot, given, joins = false) {
    const mine = given.some(({ demo }) => !demo);
    const leaves = {
      student: (other) => other.slot === 'student' || (other.slot === 'address' && other.demo),
      earlier: (other) => other.slot === 'earlier' && other.demo && mine,
      reference: (other) => other.slot === 'reference' && other.demo && mine,
      address: (other) => other.slot === 'address',
    }[slot];
    const demos = (other) => other.slot === slot && other.demo && mine;
    const left = this.#files.filter(joins ? demos : leaves);
    this.#files = this.#files.filter((other) => !left.includes(other));
    const added = given.map(({ name, ...more }) => this.#push({ ...more, id: (this.#last += 1), slot, name: this.#distinct(name) }));
    if (slot === 'student') this.shown = undefined;
    this.#gone.push(...left);
    this.#undo.push({ names: added.map(({ name }) => name), added, left, back: () => this.#setAside(added, left) });
    return added;
  }

  #push(file) {
    this.#files.push(file);
    return file;
  }

  #setAside(added, left) {
    for (const file of added) file.aside = true;
    this.#files.push(...left);
    this.#gone = this.#gone.filter((file) => !left.includes(file));
  }

  /** Files none of which can be read take nobody's place: what they replaced comes back, and they stay aside with their
      errors. Returns whether there were some. */
  refuse(answer) {
    const broken = ({ id }) => answer.files[id] && !answer.files[id].report.file;
    const bad = this.#undo.filter(({ added, left }) => left?.length && added.every(broken));
    for (const { added, back } of bad) {
      for (const file of added) file.error = answer.files[file.id].report.error;
      back();
    }
    this.#undo = this.#undo.filter((change) => !bad.includes(change));
    return bad.length > 0;
  }

  /** Tries a file that was set aside once more. */
  retry(id) {
    const file = this.get(id);
    if (!file) return;
    file.aside = false;
    delete file.error;
    const left = ['student', 'address'].includes(file.slot) ? this.#used(file.slot).filter((other) => other !== file) : [];
    this.#files = this.#files.filter((other) => !left.includes(other));
    this.#gone.push(...left);
    this.#undo.push({ names: [file.name], back: () => this.#setAside([file], left) });
  }

  /** Makes a swing of the student a reference; the demo's leave. */
  asOwn(id) {
    const file = this.get(id);
    if (!file) return;
    const left = this.#files.filter((other) => other.slot === 'reference' && other.demo && !file.demo);
    const { slot } = file;
    file.slot = 'own';
    this.#files = [...this.#files.filter((other) => other !== file && !left.includes(other)), file];
    this.#gone.push(...left);
    this.#undo.push({
      names: [file.name],
      back: () => {
        file.slot = slot;
        this.#files.push(...left);
        this.#gone = this.#gone.filter((other) => !left.includes(other));
      },
    });
  }

  #distinct(name) {
    const taken = (text) => this.#files.some((file) => file.name === text);
    let text = name;
    for (let i = 2; taken(text); i += 1) text = `${name} (${i})`;
    return text;
  }

  remove(id) {
    this.#files = this.#files.filter((file) => file.id !== id);
  }

  /** New corrections for a file, which `undo` takes back; where those come from that are new. */
  change(file, corrections, source) {
    const { corrections: before, sources } = file;
    const changed = (name) => JSON.stringify(corrections[name]) !== JSON.stringify(before[name]);
    const named = Object.keys(corrections).map((name) => [name, changed(name) ? source : sources?.[name]]);
    file.corrections = corrections;
    file.sources = Object.fromEntries(named.filter(([, from]) => from));
    this.#undo.push({ names: [file.name], back: () => Object.assign(file, { corrections: before, sources }) });
  }

  /** The swings of a lesson in place of all files; `back` is what else has to be undone. Of recordings at address one is used. */
  openAll(swings, back) {
    const [left, shown] = [this.#files, this.shown];
    this.#files = [];
    this.shown = undefined;
    const second = ({ slot }) => slot === 'address' && this.#used('address').length > 0;
    const file = (swing) => ({ id: (this.#last += 1), slot: swing.slot, label: swing.name, name: this.#distinct(swing.name || swing.slot), corrections: swing.corrections, kept: swing.kept, aside: swing.aside || second(swing), recalled: true });
    const added = swings.map((swing) => this.#push(file(swing)));
    this.#gone.push(...left);
    this.#undo.push({
      names: added.map(({ name }) => name),
      back: () => {
        [this.#files, this.shown] = [left, shown];
        this.#gone = this.#gone.filter((other) => !left.includes(other));
        back();
      },
    });
    return added;
  }

  /** The changes since the last time worked. Returns the files that left for good. */
  keep() {
    this.#undo = [];
    return this.#gone.splice(0);
  }

  /** Takes the changes back that were not kept; returns the names of the files they were about. */
  undo() {
    const undone = this.#undo.splice(0).reverse();
    for (const { back } of undone) back();
    return [...new Set(undone.flatMap(({ names }) => names))];
  }

  /** What the session is asked. */
  job() {
    const { student, reference } = this.#tried ?? {};
    const own = this.#files.filter((file) => !file.aside);
    const used = student ? [student, ...(reference ? [reference] : own.filter(({ slot }) => slot === 'reference'))] : own;
    const shown = this.students.some(({ id }) => id === this.shown) ? this.shown : null;
    return { files: used.map(({ id, slot, name, corrections }) => ({ id, slot, label: name, corrections })), shown };
  }

  hasError(answer) {
    return this.#files.some((file) => file.error ?? answer.files[file.id]?.report.error);
  }

  build(words, run) {
    this.#words = words;
    this.#run = run;
    const slots = SLOTS.map((slot) => this.#slot(slot));
    this.root = h(
      'section',
      { class: 'files', part: 'files' },
      h('h2', {}, words.text('page.files')),
      h('p', { class: 'note' }, words.text('page.files_note')),
      h('div', { class: 'slots' }, slots),
    );
    const zone = (slot) => h('div', { class: 'zone', 'data-slot': slot }, words.text(`page.drop_${slot}`));
    this.overlay = h('div', { class: 'overlay', hidden: true }, SLOTS.map(zone));
  }

  #slot(slot) {
    const words = this.#words;
    const list = h('ul', {});
    this.#lists[slot] = list;
    const picks = [this.#pick(slot, `page.pick_${slot}`, slot !== 'address', false)];
    if (slot === 'student') picks.push(this.#pick(slot, 'page.join_student', true, true));
    return h('div', { class: 'slot', 'data-slot': slot }, h('h3', {}, words.text(`page.slot_${slot}`)), list, picks);
  }

  #pick(slot, key, multiple, joins) {
    const input = h('input', {
      type: 'file', id: unique(slot), multiple, 'data-slot': slot,
      on: { change: () => { this.#run('add', [slot, [...input.files], joins]); input.value = ''; } },
    });
    return h('span', { class: 'pick' }, input, h('label', { class: 'pick-file', htmlFor: input.id }, this.#words.text(key)));
  }

  /** Lists the files with what was found in them. */
  show(answer) {
    const unlike = new Set(answer.comparison.references.filter(({ like }) => !like).map(({ id }) => id));
    for (const slot of SLOTS) {
      const lines = this.#in(slot).map((file) => this.#line(file, answer.files[file.id]?.report, unlike));
      this.#lists[slot].replaceChildren(...(lines.length ? lines : [h('li', { class: 'none' }, this.#words.text(`page.none_${slot}`))]));
    }
  }

  #line(file, report, unlike) {
    const words = this.#words;
    const found = report?.file;
    const facts = found ? words.text('page.file_facts', { format: found.format, rows: found.rows, rate: found.rate_hz ?? '?' }) : '';
    const button = (of, command, text, label) => h('button', { type: 'button', class: of, 'aria-label': label, on: { click: () => this.#run(command, file.id) } }, text);
    const remove = button('remove', 'remove', '×', words.text('page.remove_file', { name: file.name }));
    const bad = h('span', { class: 'bad' }, words.text(file.aside ? 'page.aside' : 'page.not_used'));
    const state = file.aside ? [bad, button('retry', 'retry', words.text('page.retry'))] : report?.error ? [bad] : [];
    const several = this.students.length > 1;
    const tags = [
      ['demo', file.demo],
      ['remembered', file.remembered],
      ['own', file.slot === 'own'],
      ['shown', several && file === this.student],
      ['unlike', unlike.has(file.id)],
    ];
    const tag = ([name, holds]) => holds && h('span', { class: `tag ${name}` }, words.text(`page.tag_${name}`));
    const movable = report && !report.error && (file.slot === 'earlier' || (file.slot === 'student' && several));
    const own = movable && button('as-own', 'asOwn', words.text('page.as_own'), words.text('page.as_own_label', { name: file.name }));
    return h('li', { 'data-file': file.id }, h('span', { class: 'name' }, file.name), ' ', tags.map(tag), state, h('span', { class: 'facts' }, facts), own, remove);
  }

  /** Files dropped anywhere on the element: on a zone for its slot; else one is a swing of the student, and of more the
      first is, the others are references. */
  listen(host, signal) {
    const on = (type, listener) => host.addEventListener(type, listener, { signal });
    const carries = (event) => host.controls === 'all' && (event.dataTransfer?.types?.includes('Files') ?? false);
    on('dragenter', (event) => {
      if (!carries(event)) return;
      this.#depth += 1;
      this.overlay.hidden = false;
    });
    on('dragleave', () => {
      this.#depth = Math.max(0, this.#depth - 1);
      if (this.#depth === 0) this.overlay.hidden = true;
    });
    on('dragover', (event) => carries(event) && event.preventDefault());
    on('drop', (event) => carries(event) && this.#dropped(event));
  }

  #dropped(event) {
    event.preventDefault();
    this.#depth = 0;
    this.overlay.hidden = true;
    const files = [...(event.dataTransfer?.files ?? [])];
    const entries = [...(event.dataTransfer?.items ?? [])].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
    if (entries.some(({ isDirectory }) => isDirectory)) return this.#run('shelve', entries);
    if (!files.length) return;
    const slot = event.composedPath().find((node) => node.dataset?.slot)?.dataset.slot;
    const [first, ...more] = files;
    if (slot) return this.#run('add', [slot, slot === 'address' ? [first] : files]);
    this.#run('add', ['student', [first]]);
    if (more.length) this.#run('add', ['reference', more]);
  }
}

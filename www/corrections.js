// One place for everything that was guessed about a file, each guess with its source, its 1 SD and its correction.

import { choice, h, setOptions, setText, unique } from './dom.js';

const AXES = ['+x', '-x', '+y', '-y', '+z', '-z'];

/** How a correction is entered: words to choose from, or a number with the factor from what is typed to what is kept. */
const FIELDS = {
  unit: { words: ['m', 'cm', 'mm', 'in', 'ft'] },
  scale: { unit: 'm', step: 'any', min: 0 },
  stature: { unit: 'cm', factor: 0.01, step: 1, min: 0 },
  rate: { unit: 'Hz', step: 'any', min: 0 },
  up: { words: AXES },
  mirror: { words: ['false', 'true'], keep: (word) => word === 'true' },
  hand: { words: ['right', 'left'] },
  'ball-out': { unit: 'cm', factor: 0.01, step: 1 },
  'ball-target': { unit: 'cm', factor: 0.01, step: 1 },
  club: { words: ['driver', 'fairway-wood', 'iron', 'wedge'] },
  kind: { words: ['full', 'part', 'drill', 'pause', 'practice'] },
  swing: { unit: '', step: 1, min: 1 },
  cutoff: { unit: 'Hz', step: 'any', min: 0 },
};

const ORDER = ['hand', 'mirror', 'target', 'aim', 'club', 'kind', 'ball-out', 'ball-target', 'stature', 'unit', 'scale', 'up', 'rate', 'swing', 'cutoff'];

/** What belongs to one swing alone. */
const ONE_SWING = ['kind', 'swing'];

const BODY_LINES = ['ankles', 'toes', 'hips', 'shoulders'];

const INSTANTS = ['address', 'takeaway', 'top', 'lead arm level', 'hip height', 'shaft level', 'impact', 'finish'];

export class Corrections {
  #words;
  #run;
  #answer;
  #student;
  #files;
  #rows = [];
  #built;

  constructor(words, run) {
    this.#words = words;
    this.#run = run;
    this.file = choice([], { id: unique('file'), class: 'of-file', on: { change: () => this.#update() } });
    this.together = h('input', { id: unique('together'), type: 'checkbox', name: 'together' });
    this.lesson = h('p', { class: 'field', hidden: true }, h('label', { class: 'check', htmlFor: this.together.id }, this.together, ' ', words.text('page.for_lesson')));
    this.body = h('div', { class: 'guess-body' });
    this.root = h(
      'details',
      { class: 'corrections', part: 'corrections' },
      h('summary', {}, words.text('page.guesses')),
      h('p', { class: 'note' }, words.text('page.guesses_note')),
      h('div', { class: 'field' }, h('label', { htmlFor: this.file.id }, words.text('page.of_file')), this.file),
      this.lesson,
      this.body,
    );
    this.root.addEventListener('toggle', () => this.#update());
  }

  /** Opens the list at a file. */
  open(id) {
    this.file.value = String(id);
    this.root.open = true;
    this.#update();
    this.file.focus();
    this.root.scrollIntoView({ block: 'start' });
  }

  show(answer, files) {
    this.#answer = answer;
    this.#files = files;
    const shown = files.all().filter((file) => answer.files[file.id] && file.slot !== 'address');
    setOptions(this.file, shown.map((file) => [String(file.id), file.name]));
    // A new student is what the list is opened for next.
    const student = files.student?.id;
    if (student !== this.#student && answer.files[student]) this.file.value = String(student);
    this.#student = student;
    this.#update();
  }

  #update() {
    const file = this.#files?.get(this.file.value);
    const answer = file && this.#answer.files[file.id];
    if (!answer || !this.root.open) return;
    const tracks = answer.report.file?.tracks.map((track) => track.name) ?? [];
    this.lesson.hidden = this.#ofLesson(file.id).length < 2;
    const built = JSON.stringify([file.id, tracks]);
    if (built !== this.#built) this.#build(file.id, tracks);
    this.#built = built;
    for (const row of this.#rows) row(answer, file.corrections);
  }

  #correct(ids, change) {
    this.#run('correct', [ids, change]);
  }

  /** The swings of a file's lesson, this one or the earlier; a reference stands alone. */
  #ofLesson(id) {
    const { slot } = this.#files.get(id);
    if (slot !== 'student' && slot !== 'earlier') return [id];
    return this.#files.all().filter((file) => file.slot === slot && !file.aside).map((file) => file.id);
  }

  #build(id, tracks) {
    const words = this.#words;
    this.#rows = [];
    const rows = ORDER.map((name) => this.#row(id, name, tracks));
    this.body.replaceChildren(
      h('div', { class: 'guess-list' }, rows),
      h('h3', {}, words.text('page.instants')),
      h('p', { class: 'note' }, words.text('page.instants_note')),
      h('div', { class: 'guess-list' }, INSTANTS.map((name) => this.#instant(id, name))),
      h('h3', {}, words.text('page.roles')),
      h('p', { class: 'note' }, words.text('page.roles_note')),
      this.#others(),
      h('button', { type: 'button', class: 'pick-points', on: { click: () => this.#run('pick', id) } }, words.text('page.pick_points')),
      h(
        'details',
        { class: 'role-list' },
        h('summary', {}, words.text('page.roles_list')),
        h('div', { class: 'guess-list' }, this.roleNames.map((role) => this.#role(id, role, tracks))),
      ),
    );
  }

  /** Guesses that follow from roles and instants, and are corrected there. */
  #others() {
    const list = h('ul', { class: 'others' });
    const elsewhere = ({ what, correction }) => !ORDER.includes(correction) && !what.startsWith('role ');
    this.#rows.push(({ report }) => {
      const lines = report.guesses.filter(elsewhere).map((guess) => `${this.#words.word('guess', guess.what)}: ${this.#value(guess)} ${this.#source(guess)}`);
      if (list.handpathText !== lines.join()) list.replaceChildren(...lines.map((line) => h('li', {}, line)));
      list.handpathText = lines.join();
    });
    return list;
  }

  /** Name, what was found and where it comes from, and the control. */
  #line(name, label, control, controlId) {
    const value = h('span', { class: 'value' });
    const source = h('span', { class: 'source' });
    const root = h('div', { class: 'guess', 'data-correction': name }, h('label', { class: 'what', htmlFor: controlId }, label), h('span', { class: 'found' }, value, ' ', source), h('span', { class: 'control' }, control));
    return { root, value, source };
  }

  #row(id, name, tracks) {
    const { control, focus, update } = this.#control(id, name, tracks);
    const line = this.#line(name, this.#words.text(`correction.${name.replaceAll('-', '_')}`), control, focus);
    this.#rows.push((answer, corrections) => {
      const { guesses, file } = answer.report;
      const rate = name === 'rate' && file?.rate_hz ? { value: file.rate_hz, unit: 'Hz', source: file.rate_source } : undefined;
      const guess = guesses.find((found) => found.correction === name) ?? rate;
      setText(line.value, guess ? this.#value(guess) : '');
      setText(line.source, guess ? this.#source(guess) : '');
      line.root.classList.toggle('corrected', corrections[name] !== undefined && corrections[name] !== null && corrections[name] !== 0);
      update(corrections[name]);
    });
    return line.root;
  }

  #value({ what, value, unit, sd }) {
    const words = this.#words;
    if (what === 'mid-hands') return words.text('{value:role}', { value });
    if (typeof value !== 'number') return words.word('value', value);
    const factor = unit === 'm' ? 100 : 1;
    const digits = unit === 'm per file unit' ? 4 : unit === 'deg' || unit === 'm' ? 1 : unit === 'Hz' ? 1 : 0;
    const shown = words.number(value * factor, digits);
    const spread = sd ? ` ± ${words.number(sd * factor, digits)}` : '';
    return `${shown}${spread} ${unit === 'm' ? 'cm' : words.word('unit', unit ?? '')}`.trim();
  }

  #source({ source }) {
    return this.#words.text('page.source', { source: this.#words.word('source', source) });
  }

  #control(id, name, tracks) {
    if (name === 'target') return this.#target(id, tracks);
    if (name === 'aim') return this.#aim(id);
    const field = FIELDS[name];
    return field.words ? this.#wordControl(id, name, field) : this.#numberControl(id, name, field);
  }

  #set(id, name, value) {
    const together = this.together.checked && !ONE_SWING.includes(name);
    this.#correct(together ? this.#ofLesson(id) : [id], (corrections) => {
      if (value === undefined) delete corrections[name];
      else corrections[name] = structuredClone(value);
    });
  }

  #wordControl(id, name, { words: list, keep = (word) => word }) {
    const words = this.#words;
    const options = [['', words.text('page.as_found')], ...list.map((word) => [word, words.word('value', name === 'mirror' ? `mirror ${word}` : word)])];
    const select = choice(options, { id: unique(name), name, on: { change: () => this.#set(id, name, select.value === '' ? undefined : keep(select.value)) } });
    return { control: select, focus: select.id, update: (value) => (select.value = value === undefined || value === null ? '' : String(value)) };
  }

  #numberControl(id, name, { unit, factor = 1, step, min }) {
    const typed = () => {
      const value = Number(input.value);
      this.#set(id, name, input.value === '' || !Number.isFinite(value) ? undefined : value * factor);
    };
    const input = h('input', { id: unique(name), name, type: 'number', step, placeholder: this.#words.text('page.as_found'), on: { change: typed } });
    if (min !== undefined) input.min = min;
    const update = (value) => {
      const text = value === undefined || value === null ? '' : String(Math.round((value / factor) * 1e6) / 1e6);
      if (input.value !== text && input.getRootNode().activeElement !== input) input.value = text;
    };
    return { control: h('span', {}, input, ' ', unit), focus: input.id, update };
  }

  #target(id, tracks) {
    const words = this.#words;
    const kinds = [['', words.text('page.as_found')], ...BODY_LINES.map((word) => [word, words.word('value', word)]), ['markers', words.text('page.target_markers')], ['direction', words.text('page.target_direction')]];
    const kind = choice(kinds, { id: unique('target'), name: 'target', on: { change: () => this.#retarget(id, kind, near, far, axes) } });
    const names = [['', '–'], ...tracks.map((track) => [track, track])];
    const again = { on: { change: () => this.#retarget(id, kind, near, far, axes) } };
    const near = choice(names, { 'aria-label': words.text('page.target_near'), ...again });
    const far = choice(names, { 'aria-label': words.text('page.target_far'), ...again });
    const axes = ['x', 'y', 'z'].map((axis) => h('input', { type: 'number', step: 'any', value: 0, 'aria-label': axis, ...again }));
    const marks = h('span', { hidden: true }, near, ' → ', far);
    const arrow = h('span', { hidden: true }, axes);
    const update = (target) => {
      const now = typeof target === 'string' ? target : Object.keys(target ?? {})[0] ?? '';
      if (now || !['markers', 'direction'].includes(kind.value)) kind.value = now;
      if (target?.markers) [near.value, far.value] = [target.markers.near, target.markers.far];
      if (target?.direction) axes.forEach((axis, i) => (axis.value = target.direction[i]));
      marks.hidden = kind.value !== 'markers';
      arrow.hidden = kind.value !== 'direction';
    };
    return { control: h('span', {}, kind, marks, arrow), focus: kind.id, update };
  }

  /** Half a statement (one marker, no direction yet) waits for its other half. */
  #retarget(id, kind, near, far, axes) {
    const direction = axes.map((axis) => Number(axis.value) || 0);
    if (kind.value === 'markers' && !(near.value && far.value && near.value !== far.value)) return this.#update();
    if (kind.value === 'direction' && direction.every((x) => x === 0)) return this.#update();
    const value = { '': undefined, markers: { markers: { near: near.value, far: far.value } }, direction: { direction } };
    this.#set(id, 'target', kind.value in value ? value[kind.value] : kind.value);
  }

  #aim(id) {
    const output = h('output', {});
    const show = () => {
      setText(output, this.#words.text('page.degrees', { angle: Number(slider.value) }));
      slider.setAttribute('aria-valuetext', output.textContent);
    };
    const slider = h('input', {
      id: unique('aim'), name: 'aim', type: 'range', min: -15, max: 15, step: 0.5, value: 0,
      on: { input: show, change: () => this.#set(id, 'aim', Number(slider.value) || undefined) },
    });
    const update = (value) => {
      slider.value = value ?? 0;
      show();
    };
    return { control: h('span', { class: 'slider' }, slider, output), focus: slider.id, update };
  }

  #instant(id, name) {
    const words = this.#words;
    const put = (time) => this.#correct(id, (corrections) => {
      corrections.instants ??= {};
      if (time === undefined) delete corrections.instants[name];
      else corrections.instants[name] = time;
    });
    const input = h('input', { id: unique('instant'), type: 'number', step: 'any', name, placeholder: words.text('page.as_found'), on: { change: () => put(input.value === '' ? undefined : Number(input.value)) } });
    const here = h('button', { type: 'button', class: 'here', on: { click: () => this.#run('here', [id, put]) } }, words.text('page.put_here'));
    const line = this.#line(`instant ${name}`, words.word('instant', name), [input, ' s ', here], input.id);
    this.#rows.push((answer, corrections) => {
      const { report } = answer;
      const found = report.instants.find((instant) => instant.name === name);
      const absent = report.absent.find((instant) => instant.name === name);
      setText(line.value, found ? words.text('page.time_sd', { time: found.time_s, ms: found.sd_s * 1000 }) : absent ? words.message(absent.why) : '');
      setText(line.source, found ? this.#source(found) : '');
      const own = corrections.instants?.[name];
      line.root.classList.toggle('corrected', own !== undefined);
      if (input.getRootNode().activeElement !== input) input.value = own === undefined ? '' : String(Math.round(own * 1e4) / 1e4);
    });
    return line.root;
  }

  #role(id, role, tracks) {
    const words = this.#words;
    const options = [['', words.text('page.as_found')], ['-', words.text('page.role_none')], ...tracks.map((track) => [`=${track}`, track])];
    const chosen = () => this.#correct(id, (corrections) => {
      corrections.roles ??= {};
      if (select.value === '') delete corrections.roles[role];
      else corrections.roles[role] = select.value === '-' ? [] : [select.value.slice(1)];
    });
    const select = choice(options, { id: unique('role'), name: role, on: { change: chosen } });
    const line = this.#line(`role ${role}`, words.word('role', role), select, select.id);
    this.#rows.push((answer, corrections) => {
      const found = answer.roles[role] ?? [];
      const own = corrections.roles?.[role];
      setText(line.value, found.length ? found.join(' + ') : words.text('page.role_open'));
      setText(line.source, found.length ? words.text('page.source', { source: words.word('source', own ? 'stated by the user' : 'track name') }) : '');
      line.root.classList.toggle('corrected', own !== undefined);
      select.value = own === undefined ? '' : own.length ? `=${own[0]}` : '-';
    });
    return line.root;
  }
}

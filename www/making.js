// Making a story: steps of views as they are shown, each with a sentence. What is lit proposes one; the findings propose a
// whole story.

import { choice, download, h, setText, unique } from './dom.js';

/** What of the view belongs to a step: not the unit, which is the reader's, nor what would be computed anew. */
const VIEW = ['view', 'layout', 'timing', 'time', 'orbit', 'zoom', 'body', 'lines', 'numbers', 'references', 'band', 'arms', 'shaft', 'lit'];

const MOST_LETTERS = 400;

export class Part {
  #words;
  #run;
  #host;
  #look;
  #answer;
  #files;
  #built;
  #rows = [];

  constructor(words, root, host) {
    this.#words = words;
    this.#host = host;
    this.#run = (...command) => host().run(...command);
    const button = (name, click) => h('button', { type: 'button', class: name.replaceAll('_', '-'), on: { click } }, words.text(`story.${name}`));
    this.draft = button('draft', () => this.#draft());
    this.take = button('take', () => this.#set([...this.#steps, this.#taken()]));
    this.preview = button('preview', () => this.#run('tell', 0));
    this.save = button('save_story', () => this.#save());
    this.clear = button('clear', () => this.#set([]));
    this.said = h('p', { class: 'note', role: 'status' });
    this.list = h('ol', { class: 'told' });
    root.append(
      h('p', { class: 'note' }, words.text('story.making_note')),
      h('div', { class: 'playing' }, this.draft, this.take, this.preview, this.save, this.clear),
      this.said,
      this.list,
      h('p', { class: 'note' }, words.text('story.save_note')),
    );
  }

  show(look, answer, files) {
    const words = this.#words;
    [this.#look, this.#answer, this.#files] = [look, answer, files];
    const { story: steps } = look;
    const student = answer?.files[files.student?.id]?.report;
    this.draft.disabled = steps.length > 0 || !student?.measures.length;
    this.take.disabled = !student;
    this.preview.disabled = this.save.disabled = this.clear.disabled = !steps.length;
    const places = this.#host().places();
    const stretches = steps.map(({ swing }) => this.#stretches(swing ?? files.student?.id));
    const built = JSON.stringify([places.map(({ row }) => row), stretches]);
    if (built !== this.#built) this.#build(stretches, places);
    this.#built = built;
    this.#rows.forEach((row, n) => row(steps[n]));
    setText(this.said, steps.length ? words.text('story.count', { count: steps.length }) : words.text('story.none'));
  }

  #set(steps) {
    this.#run('story', steps);
  }

  #change(n, part) {
    this.#set(this.#steps.map((step, i) => (i === n ? { ...step, ...part } : step)));
  }

  /** As they are now: a change may come before the frame that shows the last one. */
  get #steps() {
    return this.#host().look.story;
  }

  /** The view as it stands; the sentence is proposed of what is lit. */
  #taken() {
    const look = Object.fromEntries(VIEW.map((name) => [name, this.#look[name]]));
    const against = this.#answer.comparison.references[this.#look.reference]?.id;
    const say = this.#proposed(look.lit?.row) ?? this.#host().sentences.pairs().map(([text, own]) => own ?? text)[0] ?? '';
    return { say: say.slice(0, MOST_LETTERS), swing: this.#files.student.id, ...(against === undefined ? {} : { against }), look: structuredClone(look) };
  }

  #proposed(row) {
    return this.#host().places().find((place) => place.row === row)?.told();
  }

  async #draft() {
    const { make, element, wait } = this.#host();
    const readings = this.#answer.readings[element.unit];
    const work = make('draft', { facts: this.#facts() }).then((steps) => {
      const told = (messages) => messages.map((message) => this.#words.message(message)).join(' ');
      const { body, lines, numbers, references, band } = this.#look;
      const step = ({ say, reading, swing, against, play, view, time, lit, arms }) => ({
        say: told([...readings.slice(...reading), ...say[element.unit]]), swing, ...(against === null ? {} : { against }), ...(play ? { play } : {}),
        look: { view, time, lit, arms, body, lines, numbers, references, band, shaft: false, zoom: 1 },
      });
      this.#set(steps.map(step));
    });
    wait(work.catch((fault) => this.#host().unmade(fault)));
  }

  /** What the draft goes by: all of it stands in the answer. */
  #facts() {
    const { readings, comparison, files } = this.#answer;
    const { id: swing } = this.#files.student;
    const { name, instants, measures } = files[swing].report;
    const { id: against = null, name: reference = null } = comparison.references[this.#look.reference] ?? {};
    return {
      swing, student: name, against, reference,
      instants: instants.map(({ name: instant, time_s }) => ({ name: instant, time_s })),
      side: measures.find(({ name: measure }) => measure === 'side of the direct line, at hip height')?.value ?? null,
      reading: readings.cm.map(({ key }) => key),
    };
  }

  #save() {
    const number = new Map(this.#files.all().map(({ id }, i) => [id, i + 1]));
    const numbered = ({ swing, against, ...step }) => ({ ...step, ...(number.has(swing) ? { swing: number.get(swing) } : {}), ...(number.has(against) ? { against: number.get(against) } : {}) });
    const text = JSON.stringify({ story: this.#steps.map(numbered) }, null, 1);
    download('handpath-story.json', new Blob([text], { type: 'application/json' }));
  }

  #build(stretches, places) {
    this.#rows = [];
    this.list.replaceChildren(...stretches.map((own, n) => this.#line(n, stretches.length, places, own)));
  }

  #line(n, count, places, stretches) {
    const words = this.#words;
    const label = (key) => words.text(key, { number: n + 1 });
    const press = (key, text, click, disabled = false) => h('button', { type: 'button', class: 'square', disabled, title: label(key), 'aria-label': label(key), on: { click } }, text);
    const say = h('textarea', { rows: 2, maxLength: MOST_LETTERS, 'aria-label': label('story.say'), on: { change: () => this.#change(n, { say: say.value.trim().replaceAll(/\s+/g, ' ') }) } });
    const lit = this.#field('story.lit', choice([['', words.text('story.nothing')], ...places.map(({ row }) => [row, words.word('number', row)])], { on: { change: () => this.#light(n, lit.control.value) } }));
    const played = this.#field('story.played', choice([['', words.text('story.nothing')], ...stretches.map(({ name, text }) => [name, text])], { on: { change: () => this.#play(n, stretches) } }));
    const facts = h('p', { class: 'note' });
    this.#rows.push((step) => this.#fill(step, { say, facts, lit: lit.control, played: played.control }, stretches));
    return h(
      'li',
      { 'data-step': n },
      h('div', { class: 'playing' },
        press('story.go', String(n + 1), () => this.#run('tell', n)), facts,
        press('story.earlier', '↑', () => this.#swap(n, n - 1), n === 0),
        press('story.later', '↓', () => this.#swap(n, n + 1), n === count - 1),
        press('story.again', '⟳', () => this.#again(n)),
        press('story.remove', '×', () => this.#set(this.#steps.filter((_, i) => i !== n)))),
      say,
      h('div', { class: 'fields' }, lit.root, played.root),
    );
  }

  #field(key, control) {
    control.id = unique('making');
    control.className = key.split('.')[1];
    return { control, root: h('div', { class: 'field' }, h('label', { htmlFor: control.id }, this.#words.text(key)), control) };
  }

  /** What a step holds; not the text that is being typed. */
  #fill(step, { say, facts, lit, played }, stretches) {
    const words = this.#words;
    if (say.getRootNode().activeElement !== say && say.value !== step.say) say.value = step.say;
    const nameOf = (id) => this.#files.get(id)?.name;
    const { view = this.#look.view, time, lit: light } = step.look ?? {};
    const parts = [nameOf(step.swing), nameOf(step.against), words.text(`page.view_${view.replaceAll('-', '_')}`), Number.isFinite(time) && words.text('page.seconds', { time })];
    setText(facts, parts.filter(Boolean).join(', '));
    select(lit, light ? (light.row ?? OWN) : '', words);
    select(played, step.play ? (stretches.find((stretch) => same(stretch, step.play))?.name ?? OWN) : '', words);
  }

  /** Stretches that can be played, between instants of a swing. */
  #stretches(id) {
    const instants = this.#answer?.files[id]?.report.instants ?? [];
    const time = (name) => instants.find((instant) => instant.name === name)?.time_s;
    const named = STRETCHES.map(([from, to]) => ({ name: `${from} ${to}`, from: time(from), to: time(to), text: this.#words.text('story.stretch', { from: this.#words.word('instant', from), to: this.#words.word('instant', to) }) }));
    return named.filter(({ from, to }) => from < to);
  }

  #swap(a, b) {
    const steps = [...this.#steps];
    [steps[a], steps[b]] = [steps[b], steps[a]];
    this.#set(steps);
    this.list.children[b]?.querySelector('textarea').focus();
  }

  /** The view of a step anew, with the words that it has. */
  #again(n) {
    const { say: _, ...taken } = this.#taken();
    this.#change(n, taken);
  }

  /** Lights a row's place; a sentence that was proposed before, or none, gives way to that of the row. */
  #light(n, row) {
    const { say, look } = this.#steps[n];
    if (row === ' ') return;
    const place = this.#host().places().find((other) => other.row === row);
    const proposed = say === '' || this.#host().places().some((other) => other.told() === say);
    this.#change(n, { look: { ...look, lit: place ? { from: place.from, to: place.to, row } : null }, ...(proposed && place ? { say: place.told() } : {}) });
  }

  #play(n, stretches) {
    const { value } = this.list.children[n].querySelector('.played');
    const found = stretches.find(({ name }) => name === value);
    if (value !== OWN) this.#change(n, { play: found && { from: found.from, to: found.to } });
  }
}

/** A stretch that the list does not name. */
const OWN = ' ';

const STRETCHES = [['takeaway', 'top'], ['top', 'lead arm level'], ['top', 'hip height'], ['top', 'impact'], ['takeaway', 'impact'], ['takeaway', 'finish']];

/** How near a time has to be to an instant to be called by it, seconds. */
const NEAR_S = 0.002;

const same = (a, b) => Math.abs(a.from - b.from) < NEAR_S && Math.abs(a.to - b.to) < NEAR_S;

/** Chooses a value, which is added where it is a stretch without a name. */
function select(control, value, words) {
  if (value === OWN && ![...control.options].some((option) => option.value === OWN)) control.add(new Option(words.text('story.own_stretch'), OWN));
  control.value = value;
}

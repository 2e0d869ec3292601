// The measures of the student beside those of the reference; a row lights its place on the path, and the cursor its rows.

import { h, setText, unique } from './dom.js';
import { Quantities, percent, split } from './quantities.js';

/** How close the cursor has to be to a row's place, seconds. */
const NEAR_S = 0.006;

const SPAN = ['top', 'lead arm level'];

/** Where a row belongs if its name and what it rests on do not say. */
const PLACES = { 'arm start against turn': SPAN, 'carried': SPAN, 'made': SPAN };

export class Numbers {
  #words;
  #run;
  #quantities;
  #rows = [];
  #shown = [];
  #sd;

  constructor(words, run) {
    this.#words = words;
    this.#run = run;
    this.#quantities = new Quantities(words);
    this.note = h('p', { class: 'note lit-note', id: unique('note') });
    this.first = h('table', {});
    this.second = h('table', {});
    this.aim = h('input', { type: 'range', step: 0.5, id: unique('aim'), on: { input: () => run('aim', Number(this.aim.value)) } });
    this.aimed = h('output', {});
    this.take = h('button', { type: 'button', on: { click: () => run('takeAim') } }, words.text('number.take_aim'));
    this.back = h('button', { type: 'button', on: { click: () => run('aim', 0) } }, words.text('number.aim_back'));
    this.if = h('p', { class: 'what-if', role: 'status', hidden: true });
    this.more = h('details', { class: 'more' }, h('summary', {}, words.text('number.more')), h('div', { class: 'scroll' }, this.second));
    this.root = h(
      'section',
      { class: 'numbers', part: 'numbers', on: { pointerleave: () => this.#light(), focusout: (event) => this.#left(event) } },
      h('h2', {}, words.text('number.title')),
      h('div', { class: 'aim' }, h('label', { htmlFor: this.aim.id }, words.text('number.aim')), this.aim, this.aimed, this.take, this.back),
      this.if,
      this.note,
      h('div', { class: 'scroll' }, this.first),
      this.more,
    );
  }

  /** `turned`: measures and findings at another target line. */
  show(answer, look, files, turned) {
    const student = answer?.files[files.student?.id]?.report;
    const against = answer?.comparison.references[look.reference];
    const now = [student, against, look.unit, turned];
    if (now.some((part, i) => part !== this.#shown[i])) {
      this.#shown = now;
      this.root.hidden = !student?.measures.length;
      if (!this.root.hidden) this.#build(student, against, answer.files[against?.id]?.report, look.unit, turned);
    }
    this.#showAim(student, look.aim, turned);
    this.#mark(look);
  }

  #build(student, against, reference, unit, turned) {
    const byName = (list) => new Map((list ?? []).map((item) => [item.name, item]));
    // The reference's values are at the student's size; what it lacks says why in its own report.
    const other = { against, theirs: byName(against?.at_size), lacking: byName(reference?.measures), differences: byName(against?.measures), usual: byName(student.usual), ifs: byName(turned?.measures), unit };
    this.#rows = [];
    for (const [table, drawer] of [[this.first, 'first'], [this.second, 'second']]) {
      const rows = new Map();
      for (const measure of student.measures.filter((m) => m.drawer === drawer)) {
        const [row] = split(measure.name);
        rows.set(row, [...(rows.get(row) ?? []), measure]);
      }
      const bodies = [...rows].map(([row, measures]) => this.#row(row, measures, student, other));
      table.replaceChildren(this.#head(against?.name), ...bodies);
    }
  }

  /** Rows that have a place: the row, from and to in the student's seconds, and what is said of it in one sentence. */
  places() {
    return this.#rows.filter(({ place }) => place).map((row) => ({ row: row.name, ...row.place, told: () => this.#told(row) }));
  }

  /** The student's values of a row, beside the reference's. */
  #told({ name, measures, other }) {
    const words = this.#words;
    const told = (measure) => {
      const text = ({ value }) => this.#quantities.text(measure, value, other.unit);
      const part = split(measure.name)[1];
      const [own, theirs] = [text(measure), other.theirs.get(measure.name)];
      const both = theirs ? words.text('number.beside', { own, theirs: text(theirs), reference: other.against.name }) : own;
      return part ? `${words.word('number', part)} ${both}` : both;
    };
    return words.text('number.told', { what: words.word('number', name), values: measures.filter(({ value }) => value !== null).map(told).join('; ') });
  }

  #head(reference) {
    const head = (text) => h('th', { scope: 'col' }, text);
    const words = this.#words;
    const columns = [head(words.text('number.measure')), h('td', {}), head(words.text('number.student'))];
    return h('thead', {}, h('tr', {}, columns, reference ? head(reference) : null));
  }

  #row(name, measures, student, other) {
    const words = this.#words;
    const row = { name, measures, other, usual: measures.map((m) => other.usual.get(m.name)).filter(Boolean), unit: other.unit, place: placeOf(name, measures, student.instants) };
    const go = { pointerenter: () => this.#light(row), focusin: () => this.#light(row), click: () => this.#go(row) };
    row.button = h('button', { type: 'button', class: 'place', 'aria-describedby': this.note.id }, words.word('number', name));
    const lines = measures.map((measure, i) => this.#line(measure, other, i === 0 ? h('th', { scope: 'rowgroup', rowSpan: measures.length }, row.button) : null));
    row.root = h('tbody', { on: go }, lines);
    this.#rows.push(row);
    return row.root;
  }

  #line(measure, other, head) {
    const part = split(measure.name)[1];
    const { unit } = other;
    const student = h('td', { 'data-measure': measure.name, 'data-value': String(measure.value ?? '') }, this.#value(measure, unit), ' ', this.#range(measure, unit), this.#among(other.usual.get(measure.name)), this.#instead(measure, other.ifs.get(measure.name), unit));
    const reference = other.against ? h('td', { class: 'theirs' }, this.#theirs(measure, other)) : null;
    return h('tr', {}, head, part ? h('th', { scope: 'row' }, this.#words.word('number', part)) : h('td', {}), student, reference);
  }

  /** The reference's value, and student minus reference with what may be true in 9 of 10 cases. */
  #theirs(measure, { theirs, lacking, differences, unit }) {
    const [own, without, difference] = [theirs, lacking, differences].map((list) => list.get(measure.name));
    if (!own) return without ? this.#value(without, unit) : '–';
    const { value = null, low_90: low, high_90: high } = difference ?? {};
    const known = value !== null && h('small', { class: 'difference', 'data-difference': String(value), 'data-low': String(low ?? ''), 'data-high': String(high ?? '') }, this.#quantities.difference(measure, value, unit), ' ', low === null ? '' : this.#quantities.differenceRange(measure, low, high, unit));
    return [h('span', { 'data-theirs': String(own.value) }, this.#quantities.text(measure, own.value, unit)), ' ', known];
  }

  /** Does the student do what the references do? */
  #among(usual) {
    if (!usual?.among) return null;
    const inside = usual.among === 'inside' ? 'inside' : 'outside';
    // Outside a few references is no rare thing, and is not stressed.
    const rare = inside === 'outside' && usual.sure && usual.reach === 'nine of ten';
    return h('small', { class: rare ? 'among rare' : 'among', 'data-among': usual.among }, this.#words.text(`number.${usual.sure ? '' : 'perhaps_'}${inside}`, { count: usual.count }));
  }

  /** The number at the turned target line, where it is another one. */
  #instead(measure, turned, unit) {
    const [now, then] = [measure, turned ?? measure].map((m) => (m.value === null ? '–' : this.#value(m, unit)));
    return now === then ? null : h('div', { class: 'turned', 'data-turned': String(turned.value ?? '') }, `→ ${then}`);
  }

  /** The slider spans how far players stand from where they aim, and twice the uncertainty of the line. */
  #showAim(student, degrees, turned) {
    const words = this.#words;
    const sd = student?.guesses.find((guess) => guess.what === 'target line')?.sd ?? 0;
    if (sd !== this.#sd) {
      this.#sd = sd;
      this.aim.max = Math.min(45, Math.max(10, Math.ceil(2 * sd)));
      this.aim.min = -this.aim.max;
    }
    this.aim.value = degrees;
    const side = degrees === 0 ? 'number.aim_as_is' : degrees > 0 ? 'number.aim_out' : 'number.aim_in';
    setText(this.aimed, words.text(side, { degrees: Math.abs(degrees) }));
    this.aim.setAttribute('aria-valuetext', this.aimed.textContent);
    this.take.hidden = this.back.hidden = this.if.hidden = degrees === 0;
    const flips = turned ? turned.findings.filter(({ name, verdict }) => student.findings.find((now) => now.name === name)?.verdict !== verdict) : [];
    const names = flips.map(({ name, verdict }) => `${words.word('finding', name)} → ${words.word('verdict', verdict)}`).join('; ');
    if (degrees !== 0 && turned) setText(this.if, words.text(flips.length ? 'number.if_flips' : 'number.if_same', { names }));
  }

  #value(measure, unit) {
    if (measure.value === null) return h('span', { class: 'absent' }, this.#words.message(measure.absent));
    return this.#quantities.text(measure, measure.value, unit);
  }

  #range(measure, unit) {
    return measure.low_90 === null ? null : h('small', {}, this.#quantities.range(measure, unit));
  }

  #light(row) {
    this.#run('light', row?.place ? { ...row.place, row: row.name } : null);
    setText(this.note, row ? this.#about(row) : this.#words.text('number.hint'));
  }

  /** The focus goes elsewhere: nothing is lit any more. */
  #left({ relatedTarget }) {
    if (!relatedTarget?.closest?.('tbody')) this.#light();
  }

  #go(row) {
    this.#light(row);
    if (row.place) this.#run('time', row.place.to);
  }

  /** What a row is, what it rests on, and what the references do in it. */
  #about({ measures, usual, unit }) {
    const words = this.#words;
    const [first] = measures;
    const rests = first.rests_on.map((what) => words.word('instant', what)).join(', ');
    const told = [words.text(first.key), words.text('number.rests_on', { what: rests })];
    if (usual.length) {
      const reach = ({ name, low, high }) => `${[split(name)[1]].filter(Boolean).map((part) => `${words.word('number', part)}: `)}${[low, high].map((end) => this.#quantities.text({ name, unit: usual[0].unit }, end, unit)).join(' – ')}`;
      told.push(words.text(usual[0].reach === 'nine of ten' ? 'number.usual_nine' : 'number.usual_few', { count: usual[0].count, reach: usual.map(reach).join('; '), percent: percent(usual[0].outside_by_chance) }));
    }
    return told.join(' ');
  }

  /** The rows whose place is lit, or where the cursor stands. */
  #mark({ lit, time }) {
    const at = lit?.to ?? time;
    if (!this.note.textContent) setText(this.note, this.#words.text('number.hint'));
    for (const row of this.#rows) {
      const here = lit?.row ? lit.row === row.name : row.place && Math.abs(row.place.to - at) < NEAR_S;
      row.root.classList.toggle('here', Boolean(here));
      if (here) row.button.setAttribute('aria-current', 'location');
      else row.button.removeAttribute('aria-current');
    }
  }
}

/** From which instant to which a row's stretch goes, in the student's time: an instant in its name, else what it rests on. */
function placeOf(name, measures, instants) {
  const named = instants.filter((instant) => name.endsWith(` ${instant.name}`) || measures.every((m) => m.name.endsWith(`at ${instant.name}`)));
  const wanted = PLACES[name] ?? measures.flatMap((measure) => measure.rests_on);
  const found = named.length ? named : instants.filter((instant) => wanted.includes(instant.name));
  const times = found.map((instant) => instant.time_s);
  return times.length ? { from: Math.min(...times), to: Math.max(...times) } : null;
}

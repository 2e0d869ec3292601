// Several swings of the student: how far they vary, and whether this lesson differs from an earlier one.

import { h } from './dom.js';
import { Quantities, percent, split } from './quantities.js';

export class LessonTable {
  #words;
  #quantities;
  #shown;

  constructor(words) {
    this.#words = words;
    this.#quantities = new Quantities(words);
    this.title = h('h2', {});
    this.swings = h('p', { class: 'note' });
    this.table = h('table', {});
    this.notes = h('ul', { class: 'others note' });
    this.root = h(
      'section',
      { class: 'lesson', part: 'lesson', hidden: true },
      this.title,
      this.swings,
      h('div', { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': words.text('lessons.region') }, this.table),
      this.notes,
    );
  }

  /** `lesson`: {own, lessons} of the core; nothing of one swing alone. */
  show(lesson, unit) {
    const now = JSON.stringify([lesson, unit]);
    if (now === this.#shown) return;
    this.#shown = now;
    const { own, lessons } = lesson ?? {};
    this.root.hidden = !own && !lessons;
    if (this.root.hidden) return;
    const words = this.#words;
    this.title.textContent = words.text(lessons ? 'lessons.title_two' : 'lessons.title');
    const typical = own?.most_typical ? words.text('lessons.typical', { name: own.most_typical }) : '';
    this.swings.textContent = [own?.swings.length ? this.#names(own.swings) : '', typical].join(' ').trim();
    if (lessons) this.#two(lessons, unit);
    else this.#one(own, unit);
    const notes = (lessons ?? own).notes.map((note) => words.message(note));
    if (own?.error) notes.push(words.message(own.error));
    if (lessons) notes.unshift(words.text('lessons.note', { percent: percent(lessons.confidence) }));
    this.notes.replaceChildren(...notes.map((note) => h('li', {}, note)));
  }

  #names(swings) {
    return this.#words.text('lessons.of', { count: swings.length, names: swings.join(', ') });
  }

  /** Mean and spread of the swings. */
  #one({ measures, swings }, unit) {
    const cells = (measure) => {
      const { spread } = measure;
      if (!spread) return [h('td', {}, '–'), h('td', {}, '')];
      const sd = spread.sd === null ? '–' : this.#quantities.spread(measure, spread.sd, unit);
      return [
        h('td', { 'data-mean': String(spread.mean) }, this.#quantities.text(measure, spread.mean, unit), this.#few(spread, swings.length)),
        h('td', { 'data-sd': String(spread.sd ?? '') }, sd),
      ];
    };
    this.#fill(measures, [this.#words.text('lessons.mean', { count: swings.length }), this.#words.text('lessons.sd')], cells);
  }

  /** How many swings have the measure, where it is not all. */
  #few({ count }, all) {
    return count === all ? null : h('small', {}, ` (${count})`);
  }

  /** Both lessons, and the change with its verdict. */
  #two({ changes, before, after }, unit) {
    const side = (measure, spread, all) => h('td', {}, spread ? [this.#quantities.text(measure, spread.mean, unit), this.#few(spread, all)] : '–');
    const cells = (measure) => [side(measure, measure.before, before.length), side(measure, measure.after, after.length), this.#change(measure, unit)];
    const words = this.#words;
    const head = (key, swings) => `${words.text(key)}, ${words.text('lessons.mean', { count: swings.length })}`;
    this.#fill(changes, [head('lessons.before', before), head('lessons.after', after), words.text('lessons.change')], cells);
  }

  #change(measure, unit) {
    const words = this.#words;
    const verdict = h('strong', {}, words.word('verdict', measure.verdict));
    const found = measure.difference;
    const data = { 'data-change': measure.name, 'data-verdict': measure.verdict };
    if (!found) return h('td', data, verdict);
    const { value, low, high, smallest_shown: least } = found;
    const finer = this.#quantities.isNothing(measure, value, unit) ? 1 : 0;
    return h(
      'td',
      { ...data, 'data-value': String(value), 'data-low': String(low), 'data-high': String(high), 'data-least': String(least) },
      verdict,
      h('div', {}, this.#quantities.difference(measure, value, unit, finer), ' ', h('small', {}, this.#quantities.differenceRange(measure, low, high, unit, finer))),
      h('small', {}, words.text('lessons.smallest', { size: this.#quantities.spread(measure, least, unit) })),
    );
  }

  #fill(measures, heads, cells) {
    const head = (text) => h('th', { scope: 'col' }, text);
    const name = (measure) => h('th', { scope: 'row' }, split(measure.name)[1] ? `${this.#quantities.name(measure.name)}` : this.#words.word('number', measure.name));
    const rows = measures.map((measure) => h('tr', { 'data-measure': measure.name, class: measure.verdict === 'change shown' ? 'rare' : '' }, name(measure), cells(measure)));
    this.table.replaceChildren(h('thead', {}, h('tr', {}, head(this.#words.text('number.measure')), heads.map(head))), h('tbody', {}, rows));
  }
}

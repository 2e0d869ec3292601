// How the core's numbers are written: whole centimetres (or tenths of an inch), degrees and milliseconds, with words for
// their direction where they have one.

/** Metres of each unit of length. */
export const METRES = { cm: 0.01, in: 0.0254 };

/** Decimals of a length. */
export const decimals = (unit) => (unit === 'in' ? 1 : 0);

/** A share as whole per cent. */
export const percent = (share) => Math.round(100 * share);

/** A length without a direction: "12 cm". */
export const length = (words, metres, unit) => `${words.number(Math.abs(metres) / METRES[unit], decimals(unit))} ${unit}`;

/** Words for more and for less; a measure without them shows a sign. */
const WORDS = {
  out: ['out', 'in'],
  target: ['ahead', 'behind'],
  up: ['up', 'down'],
  depth: ['behind_ball', 'beyond_ball'],
  side: ['players_side', 'ball_side'],
  start: ['after_turn', 'before_turn'],
  before: ['before_impact', 'after_impact'],
  shaft: ['rises', 'lowers'],
};

/** "hands at top, out" is the part "out" of the row "hands at top". */
export const split = (name) => name.split(', ');

function wordsOf(name) {
  const [row, part] = split(name);
  if (WORDS[part]) return WORDS[part];
  if (row === 'out drift') return WORDS.out;
  if (row.startsWith('depth')) return WORDS.depth;
  if (row.startsWith('side')) return WORDS.side;
  if (row === 'arm start against turn') return WORDS.start;
  if (name.endsWith('before impact')) return WORDS.before;
  return part?.startsWith('change') ? WORDS.shaft : undefined;
}

const inMilliseconds = ({ name }) => !name.endsWith('duration');

/** What a shown number counts, in the measure's unit, and its decimals. */
function stepOf(measure, unit) {
  if (measure.unit === 'm') return [METRES[unit], decimals(unit)];
  if (measure.unit === 's') return inMilliseconds(measure) ? [0.001, 0] : [1, 2];
  return [1, measure.unit === 'deg' ? 0 : 1];
}

const minus = (text) => text.replace('-', '−');

export class Quantities {
  #words;

  constructor(words) {
    this.#words = words;
  }

  /** "out drift, greatest" in the page's words. */
  name(measure) {
    return split(measure).map((part) => this.#words.word('number', part)).join(', ');
  }

  /** A value of a measure with its unit and word: "12 cm out". */
  text(measure, value, unit) {
    const [size, word] = this.#sized(measure, value, unit);
    return [this.#unit(measure, size, unit), word].filter(Boolean).join(' ');
  }

  /** A difference between two values of a measure, signed: "+3 cm"; `finer` by so many decimals. */
  difference(measure, value, unit, finer = 0) {
    return this.#unit(measure, this.#signed(measure, value, unit, finer), unit);
  }

  /** Does a difference round to nothing? */
  isNothing(measure, value, unit) {
    const [step, digits] = stepOf(measure, unit);
    return Number((value / step).toFixed(digits)) === 0;
  }

  #signed(measure, value, unit, finer) {
    const [step, digits] = stepOf(measure, unit);
    const size = Number((value / step).toFixed(digits + finer));
    return `${size > 0 ? '+' : ''}${minus(this.#words.number(size, digits + finer))}`;
  }

  /** A size without a direction: "1.2 cm". One decimal more than a value, for a spread is a small number. */
  spread(measure, value, unit) {
    const [step, digits] = stepOf(measure, unit);
    return this.#unit(measure, this.#words.number(value / step, digits + 1), unit);
  }

  /** What may be true in 90 of 100 cases: "11 to 16", or "1 in to 2 out" where it may be either. */
  range(measure, unit) {
    const ends = [measure.low_90, measure.high_90].map((end) => this.#sized(measure, end, unit));
    const either = ends[0][1] !== ends[1][1];
    const shown = ends.map(([size, word]) => (either ? [size, word].filter(Boolean).join(' ') : size));
    if (measure.value < 0 && !either && wordsOf(measure.name)) shown.reverse();
    return this.#between(shown);
  }

  /** The same of a difference. */
  differenceRange(measure, low, high, unit, finer = 0) {
    return this.#between([low, high].map((end) => this.#signed(measure, end, unit, finer)));
  }

  #between([low, high]) {
    return low === high ? '' : this.#words.text('number.range', { low, high });
  }

  /** A number as text with its word, or its sign where it has no words. */
  #sized(measure, value, unit) {
    const [step, digits] = stepOf(measure, unit);
    const size = Number((value / step).toFixed(digits));
    const found = wordsOf(measure.name);
    const text = this.#words.number(Math.abs(size), digits);
    if (found) return [text, size === 0 ? '' : this.#words.text(`number.${found[size < 0 ? 1 : 0]}`)];
    return [size < 0 ? `−${text}` : text, ''];
  }

  #unit(measure, size, unit) {
    if (measure.unit === 'm') return `${size} ${unit}`;
    if (measure.unit === 's') return inMilliseconds(measure) ? `${size} ms` : `${size} s`;
    if (measure.unit === 'deg') return `${size}°`;
    return measure.unit === '1' ? size : `${size} ${this.#words.word('unit', measure.unit)}`;
  }
}

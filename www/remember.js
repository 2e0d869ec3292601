// What is kept on this machine between visits: corrections that belong to a kind of file (its roles, unit, axes) under the
// key that the core makes of its track names, a coach's words, a coach's thresholds, and what is shown.

/** What was kept under a key; null where there is nothing, storage is refused, or what it holds is damaged. */
function load(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? 'null');
  } catch {
    return null;
  }
}

/** Keeps a value; null keeps nothing. Where storage is refused or full it holds for this visit. */
function keep(key, value) {
  try {
    if (value === null) localStorage.removeItem(key);
    else localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // Storage refused or full.
  }
}

const PREFIX = 'handpath:tracks:';

/** Settings that describe how a laboratory exports, not one swing. */
const KEPT = ['roles', 'unit', 'scale', 'up', 'mirror'];

/** What was remembered for files with these track names; nothing where storage is refused or damaged. */
export function recall(namesKey) {
  const kept = load(PREFIX + namesKey);
  return kept && typeof kept === 'object' ? pick(kept) : null;
}

/** Remembers, or forgets where nothing is left to remember. */
export function remember(namesKey, corrections) {
  const kept = pick(corrections);
  keep(PREFIX + namesKey, Object.keys(kept).length ? kept : null);
}

function pick(corrections) {
  const filled = KEPT.filter((name) => {
    const value = corrections[name];
    return value !== undefined && value !== null && (name !== 'roles' || Object.keys(value).length);
  });
  return Object.fromEntries(filled.map((name) => [name, corrections[name]]));
}

const WORDS = 'handpath:words';

/** More than this many reworded sentences are not kept: the oldest go. */
const MOST_WORDS = 200;

/** What a coach says instead of a computed sentence; null where nothing was kept. Kept by the sentence itself, so that it
    never stands beside other numbers. */
export function recallWords(sentence) {
  return [...keptWords(), ...lent].find(([computed]) => computed === sentence)?.[1] ?? null;
}

/** Words of a lesson that is open: they are not kept on this machine. */
let lent = [];

/** Takes the words of a lesson, in place of those of another. */
export function lendWords(words) {
  lent = words.map(({ computed, own }) => [computed, own]);
}

/** Remembers, or forgets with null. */
export function rememberWords(sentence, own) {
  const others = keptWords().filter(([computed]) => computed !== sentence);
  lent = lent.filter(([computed]) => computed !== sentence);
  if (own !== null) others.push([sentence, own]);
  ownWords = others.slice(-MOST_WORDS);
  keep(WORDS, ownWords);
}

/** Words that are kept for the same sentences say now what a lesson says: it lost the names in them. */
export function agreeWith(words) {
  for (const { computed, own } of words) if ((recallWords(computed) ?? own) !== own) rememberWords(computed, own);
}

let ownWords;

function keptWords() {
  if (ownWords) return ownWords;
  const kept = load(WORDS);
  ownWords = Array.isArray(kept) ? kept.filter((pair) => Array.isArray(pair) && pair.every((text) => typeof text === 'string')) : [];
  return ownWords;
}

const SHOWN = 'handpath:shown';

/** What of the view is kept between visits. */
const PARTS = ['references', 'band', 'others', 'arms', 'shaft', 'body', 'lines', 'numbers'];

/** What was shown and hidden at the last visit, and the unit of lengths. */
export function recallShown() {
  const kept = load(SHOWN) ?? {};
  const parts = PARTS.filter((name) => typeof kept[name] === 'boolean').map((name) => [name, kept[name]]);
  return { parts: Object.fromEntries(parts), unit: typeof kept.unit === 'string' ? kept.unit : null };
}

export function rememberShown(look) {
  keep(SHOWN, Object.fromEntries([...PARTS, 'unit'].map((name) => [name, look[name]])));
}

const THRESHOLDS = 'handpath:thresholds';

/** A coach's thresholds, by name: they hold for all lessons on this machine until they are taken back. */
export const recallThresholds = () => numbersOf(load(THRESHOLDS));

/** Remembers them; an empty object is the rule table as it stands. */
export function rememberThresholds(thresholds) {
  keep(THRESHOLDS, Object.keys(thresholds).length ? thresholds : null);
}

const COACH = 'handpath:coach';

/** The code that a coach signs with on this machine. */
export function recallCoach() {
  const kept = load(COACH);
  return typeof kept === 'string' ? kept : '';
}

export const rememberCoach = (code) => keep(COACH, code || null);

/** The finite numbers of an object from outside, by name. */
export function numbersOf(object) {
  return Object.fromEntries(Object.entries(object ?? {}).filter(([, value]) => Number.isFinite(value)));
}

/** Forgets everything that is kept on this machine, lessons and logs of practice (coach/keep.js) and the shelf of references
    (shelf-keep.js) among it; settles when it is gone. */
export function forgetAll() {
  ownWords = undefined;
  lent = [];
  try {
    for (const key of Object.keys(localStorage)) if (key.startsWith('handpath:')) localStorage.removeItem(key);
  } catch {
    // Storage refused: there is nothing.
  }
  return Promise.all(['handpath', 'handpath-shelf'].map(dropDatabase));
}

function dropDatabase(name) {
  return new Promise((resolve) => {
    try {
      const gone = indexedDB.deleteDatabase(name);
      gone.onsuccess = gone.onerror = gone.onblocked = resolve;
    } catch {
      resolve();
    }
  });
}

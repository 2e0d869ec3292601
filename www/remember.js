// Corrections that belong to a kind of file (its roles, unit, axes) are remembered under the key that the core makes of its track names.

const PREFIX = 'handpath:tracks:';

/** Settings that describe how a laboratory exports, not one swing. */
const KEPT = ['roles', 'unit', 'scale', 'up', 'mirror'];

/** What was remembered for files with these track names; nothing where storage is refused or damaged. */
export function recall(namesKey) {
  try {
    const kept = JSON.parse(localStorage.getItem(PREFIX + namesKey) ?? 'null');
    return kept && typeof kept === 'object' ? pick(kept) : null;
  } catch {
    return null;
  }
}

/** Remembers, or forgets where nothing is left to remember. */
export function remember(namesKey, corrections) {
  const kept = pick(corrections);
  try {
    if (Object.keys(kept).length) localStorage.setItem(PREFIX + namesKey, JSON.stringify(kept));
    else localStorage.removeItem(PREFIX + namesKey);
  } catch {
    // Storage refused or full: the correction holds for this visit.
  }
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
  return keptWords().find(([computed]) => computed === sentence)?.[1] ?? null;
}

/** Remembers, or forgets with null. */
export function rememberWords(sentence, own) {
  const others = keptWords().filter(([computed]) => computed !== sentence);
  if (own !== null) others.push([sentence, own]);
  ownWords = others.slice(-MOST_WORDS);
  try {
    localStorage.setItem(WORDS, JSON.stringify(ownWords));
  } catch {
    // Storage refused or full: the words hold for this visit.
  }
}

let ownWords;

function keptWords() {
  if (ownWords) return ownWords;
  try {
    const kept = JSON.parse(localStorage.getItem(WORDS) ?? '[]');
    ownWords = Array.isArray(kept) ? kept.filter((pair) => Array.isArray(pair) && pair.every((text) => typeof text === 'string')) : [];
  } catch {
    ownWords = [];
  }
  return ownWords;
}

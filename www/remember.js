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

// Corrections that belong to a kind of file (its roles, unit, axes) are remembered under a hash of its track names.

const PREFIX = 'handpath:tracks:';

/** Settings that describe how a laboratory exports, not one swing. */
const KEPT = ['roles', 'unit', 'scale', 'up', 'mirror'];

/** FNV-1a, 32 bits, from a given start. */
function fnv(text, start) {
  let hash = start;
  for (let i = 0; i < text.length; i += 1) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193) >>> 0;
  return hash.toString(16).padStart(8, '0');
}

function key(tracks) {
  const names = [...tracks].sort().join('\n');
  return PREFIX + fnv(names, 0x811c9dc5) + fnv(names, 0x9e3779b9) + tracks.length;
}

/** What was remembered for files with these track names; nothing where storage is refused or damaged. */
export function recall(tracks) {
  try {
    const kept = JSON.parse(localStorage.getItem(key(tracks)) ?? 'null');
    return kept && typeof kept === 'object' ? pick(kept) : null;
  } catch {
    return null;
  }
}

/** Remembers, or forgets where nothing is left to remember. */
export function remember(tracks, corrections) {
  const kept = pick(corrections);
  try {
    if (Object.keys(kept).length) localStorage.setItem(key(tracks), JSON.stringify(kept));
    else localStorage.removeItem(key(tracks));
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

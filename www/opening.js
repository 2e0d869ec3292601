// What an element opens with: the files that its links name, and, where its attribute `prepared` names one, the answer that
// was computed for just these files before. With it nothing has to be computed to see them.

import { load } from './resources.js';

/** The files of the links inside an element; `load` fetches one. */
export function named(element) {
  return [...element.querySelectorAll('a[data-slot][href]')].map((link) => ({
    slot: link.dataset.slot,
    name: link.textContent.trim(),
    corrections: JSON.parse(link.dataset.corrections ?? '{}'),
    load: () => bytesOf(link.href),
  }));
}

async function bytesOf(url) {
  const answer = await load(url);
  return new Uint8Array(await answer.arrayBuffer());
}

/** The prepared answer, its files numbered from 1 in the order of the links, if it is one to these files; null where there is none, or another, and all has to be computed. */
export async function prepared(element, files) {
  const href = element.getAttribute('prepared');
  if (!href) return null;
  try {
    const answer = await load(new URL(href, element.baseURI));
    const { of, ...found } = await answer.json();
    return same(of, files) ? found : null;
  } catch {
    return null;
  }
}

function same(of, files) {
  const told = (list) => JSON.stringify(list.map(({ slot, name, corrections }) => [slot, name, corrections]));
  return Array.isArray(of) && told(of) === told(files);
}

/** Decimals kept of a picture's series: tenths of a millimetre. */
const DECIMALS = 4;

/** An answer to the files of a job as a document for the attribute `prepared`. */
export function preparing(files, found) {
  const of = files.map(({ slot, label: name, corrections }) => ({ slot, name, corrections }));
  const plain = (series) => Array.from(series, (x) => (Number.isFinite(x) ? Number(x.toFixed(DECIMALS)) : null));
  return JSON.stringify({ of, ...found }, (_, value) => (value instanceof Float64Array ? plain(value) : value));
}

// What an element opens with: the files that its attributes and links name, and, where its attribute `prepared` names one, the answer that
// was computed for just these files before. With it nothing has to be computed to see them.

import { isStep } from './look.js';
import { load } from './resources.js';

/** The files that an element names, by its attributes and by the links inside it; `load` fetches one. */
export function named(element) {
  const links = [...element.querySelectorAll('a[data-slot][href]')].map((link) => ({
    slot: link.dataset.slot,
    name: link.textContent.trim(),
    ...correctionsOf(link),
    load: () => bytesOf(link.href),
  }));
  const urls = (name) => element.getAttribute(name)?.split(/\s+/).filter(Boolean) ?? [];
  return [...urls('student').map((url) => file(element, 'student', url)), ...urls('references').map((url) => file(element, 'reference', url)), ...links];
}

function correctionsOf({ dataset }) {
  try {
    return { corrections: JSON.parse(dataset.corrections ?? '{}') };
  } catch (fault) {
    return { corrections: {}, fault: fault.message };
  }
}

/** A file by its address alone: its name is the label. */
function file(element, slot, address) {
  const url = new URL(address, element.baseURI);
  const name = decodeURIComponent(url.pathname.split('/').at(-1)).replace(/\.[^.]+$/, '');
  return { slot, name, corrections: {}, load: () => bytesOf(url) };
}

export async function bytesOf(url) {
  const answer = await load(url);
  return new Uint8Array(await answer.arrayBuffer());
}

/** The prepared answer, its files numbered from 1 in the order of the links, if it is one to these files:
    `{answer, story, keys}`, keys of its sentences; null where there is none, or another, and all has to be computed. */
export async function prepared(element, files) {
  const href = element.getAttribute('prepared');
  if (!href) return null;
  try {
    const answer = await load(new URL(href, element.baseURI));
    const text = await answer.text();
    const { of, ...found } = JSON.parse(text);
    if (!same(of, files)) return null;
    const keys = Array.from(text.matchAll(/"key":\s*"([\w.]+)"/g), ([, key]) => key);
    return { keys, story: stepsOf(found), answer: { ...found, picture: typed(found.picture) } };
  } catch {
    return null;
  }
}

/** The story that an author names: its steps; null where none is named, or it is none. */
export async function storyOf(element) {
  const href = element.getAttribute('story');
  if (!href) return null;
  try {
    const answer = await load(new URL(href, element.baseURI));
    return stepsOf(await answer.json());
  } catch {
    return null;
  }
}

const stepsOf = ({ story }) => (Array.isArray(story) ? story.filter(isStep) : []);

/** Lists of numbers as the engine gives them: typed, a gap NaN. */
function typed(value) {
  if (Array.isArray(value)) {
    const numbers = value.every((x) => x === null || typeof x === 'number');
    return numbers ? Float64Array.from(value, (x) => x ?? NaN) : value.map(typed);
  }
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(Object.entries(value).map(([name, part]) => [name, typed(part)]));
}

function same(of, files) {
  const told = (list) => JSON.stringify(list.map(({ slot, name, corrections }) => [slot, name, corrections]));
  return Array.isArray(of) && told(of) === told(files);
}

/** Decimals kept of a picture's series: tenths of a millimetre. */
const DECIMALS = 4;

/** An answer to the files of a job, and a story, as a document for the attribute `prepared`. */
export function preparing(files, story, found) {
  const of = files.map(({ slot, label: name, corrections }) => ({ slot, name, corrections }));
  const plain = (series) => Array.from(series, (x) => (Number.isFinite(x) ? Number(x.toFixed(DECIMALS)) : null));
  return JSON.stringify({ of, ...found, story: story.length ? story : undefined }, (_, value) => (value instanceof Float64Array ? plain(value) : value));
}

// A lesson in the fragment of an address: its text by raw DEFLATE (RFC 1951) and base64 for addresses (RFC 4648, 5).

import { PREFIX } from './lesson.js';

/** A link longer than this is refused: browsers take a million letters or more, but hardly a program that passes links on does. */
export const LONGEST_LINK = 200_000;

/** A lesson in a link is no larger than this, whatever its bytes claim. */
const LARGEST = 1 << 24;

/** So many bytes become letters at once. */
const PIECE = 4096;

/** Everything of a stream; `most` bytes, and no more. */
async function all(stream, most) {
  const parts = [];
  let size = 0;
  for (const reader = stream.getReader(); ; ) {
    const { done, value } = await reader.read();
    if (done) break;
    parts.push(value);
    size += value.length;
    if (size > most) {
      await reader.cancel();
      throw new RangeError(`${size}`);
    }
  }
  return new Uint8Array(await new Blob(parts).arrayBuffer());
}

/** The part of an address that holds a lesson. */
export async function toFragment(text) {
  const bytes = await all(new Blob([text]).stream().pipeThrough(new CompressionStream('deflate-raw')), LARGEST);
  let letters = '';
  for (let at = 0; at < bytes.length; at += PIECE) letters += String.fromCharCode(...bytes.subarray(at, at + PIECE));
  return PREFIX + btoa(letters).replaceAll('+', '-').replaceAll('/', '_').replace(/=+$/, '');
}

/** The bytes of the lesson in a fragment; fails where it is damaged. */
export async function fromFragment(fragment) {
  const letters = atob(fragment.slice(PREFIX.length).replaceAll('-', '+').replaceAll('_', '/'));
  const bytes = Uint8Array.from(letters, (letter) => letter.charCodeAt(0));
  return all(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate-raw')), LARGEST);
}

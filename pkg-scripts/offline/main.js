// The script of the page in one file: it hands the files that lie in the page to the element, then defines it.

import { HandpathCompare } from '../../www/handpath-compare.js';
import { bring } from '../../www/resources.js';

const at = (path) => String(new URL(path, import.meta.url));
const within = (selector) => [...document.querySelectorAll(selector)];

function bytes(base64) {
  const letters = atob(base64);
  const found = new Uint8Array(letters.length);
  for (let i = 0; i < letters.length; i += 1) found[i] = letters.charCodeAt(i);
  return found;
}

/** A file that was packed with deflate (RFC 1950). */
const packed = (script) => () => new Response(new Blob([bytes(script.textContent)]).stream().pipeThrough(new DecompressionStream('deflate')));

/** A recording lies in its link, so that it can be saved without this script. */
const linked = (link) => () => new Response(bytes(link.href.split(',')[1]));

const text = (script) => URL.createObjectURL(new Blob([script.textContent], { type: script.dataset.type }));

bring({
  answers: Object.fromEntries([
    ...within('script[data-packed]').map((script) => [at(script.dataset.packed), packed(script)]),
    ...within('a[href^="data:"]').map((link) => [link.href, linked(link)]),
  ]),
  addresses: Object.fromEntries(within('script[data-text]').map((script) => [at(script.dataset.text), text(script)])),
});

HandpathCompare.define();

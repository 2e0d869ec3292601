// The path to copy, drawn as SVG: what the core gives as lines and places, in the colours of the style sheet.

import { h } from '../dom.js';

const SVG = 'http://www.w3.org/2000/svg';

function s(name, attributes, ...children) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  node.append(...children);
  return node;
}

/** Words that stand in the picture; of the two ends of the path one is a ring, the other a disc. */
const WORDS = { out: 'copy.out', target: 'copy.target', scale: 'copy.scale' };
const ANCHORS = { out: 'middle', target: 'end', scale: 'start' };

function view(words, { name, width, height, lines, spots }, told) {
  const spot = ({ what, x, y }) => (WORDS[what] ? s('text', { x, y, 'text-anchor': ANCHORS[what] }, words.text(WORDS[what])) : s('circle', { class: what, cx: x, cy: y, r: 4 }));
  const label = `${words.text(`page.view_${name.replaceAll('-', '_')}`)}. ${told}`;
  const drawn = s('svg', { viewBox: `0 0 ${width} ${height}`, role: 'img', 'aria-label': label, direction: 'ltr' }, ...lines.map(({ what, points }) => s('polyline', { class: what, points })), ...spots.map(spot));
  return h('div', { class: 'view', 'data-view': name }, drawn, h('small', { 'aria-hidden': 'true' }, words.text(`page.view_${name.replaceAll('-', '_')}`)));
}

/** The picture of a plan; null where it holds none. */
export function copyPicture(words, core, kept) {
  const { views, told } = core.copyPicture(kept ?? null);
  if (!views.length) return null;
  const text = told.map((message) => words.message(message)).join(' ');
  return h('figure', { class: 'copy' }, h('div', { class: 'views' }, views.map((one) => view(words, one, text))), h('figcaption', {}, text, ' ', h('small', {}, words.text('copy.legend'))));
}

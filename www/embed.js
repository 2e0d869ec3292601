// The page for an iframe: the address says what it shows, "embed.html?student=a.c3d&references=b.trc&view=overhead", in its
// query or its fragment. Without a file it helps to write that address.

import { ADDRESSES, ATTRIBUTES, CHOICES } from './attributes.js';
import { choice, h, unique } from './dom.js';
import { HandpathCompare } from './handpath-compare.js';
import { holdsLesson } from './lesson.js';
import { Words } from './words.js';

// A lesson in the fragment is the element's own.
const fragment = holdsLesson(location.hash) ? '' : location.hash.slice(1);
const given = new URLSearchParams([...new URLSearchParams(location.search), ...new URLSearchParams(fragment)]);
if (given.has('lang')) document.documentElement.lang = given.get('lang');

/** The element, in a frame that the embedding page is told the height of. */
function show() {
  HandpathCompare.define();
  const element = document.createElement('handpath-compare');
  const chosen = new Map([['controls', 'view'], ['loading', 'eager']]);
  for (const name of ATTRIBUTES) if (given.has(name)) chosen.set(name, given.get(name));
  for (const [name, value] of chosen) element.setAttribute(name, value);
  document.body.append(h('main', {}, h('h1', { class: 'unseen' }, document.title), element));
  if (parent !== window && document.referrer) tellHeight(element, new URL(document.referrer).origin);
}

/** Only the page that embeds this one is told. */
function tellHeight(element, origin) {
  const tell = () => parent.postMessage({ handpath: 'height', height: Math.ceil(document.documentElement.offsetHeight) }, origin);
  new ResizeObserver(tell).observe(element);
}

/** The words of the choices. */
const KEYS = {
  view: (value) => `page.view_${value}`,
  unit: (value) => `page.unit_${value}`,
  theme: (value) => `embed.theme_${value}`,
  controls: (value) => `embed.controls_${value}`,
};

/** Fields for the address, and the lines to copy. */
function build(words) {
  const fields = new Map();
  const shown = ['student', 'references', 'prepared', 'lesson', 'story', 'view', 'unit', 'theme', 'controls'];
  const rows = shown.map((name) => {
    const id = unique(name);
    const control = KEYS[name]
      ? choice(CHOICES[name].map((value) => [value, words.text(KEYS[name](value.replaceAll('-', '_')))]), { id })
      : h('input', { id, type: 'text', spellcheck: false });
    if (name === 'controls') control.value = 'view';
    fields.set(name, control);
    return h('p', {}, h('label', { htmlFor: id }, words.text(`embed.${name}`)), ' ', control);
  });
  const lines = h('textarea', { readOnly: true, rows: 6, 'aria-label': words.text('embed.lines') });
  const said = h('span', { role: 'status' });
  const write = () => {
    lines.value = snippet(fields, words);
    said.textContent = '';
  };
  const copy = async () => {
    lines.select();
    await navigator.clipboard?.writeText(lines.value).catch(() => {});
    said.textContent = words.text('embed.copied');
  };
  const form = h('form', { on: { input: write, submit: (event) => event.preventDefault() } }, rows);
  document.title = words.text('embed.title');
  const main = h('main', {},
    h('h1', {}, words.text('embed.title')),
    h('p', {}, words.text('embed.note')),
    form,
    h('h2', {}, words.text('embed.lines')),
    h('p', {}, words.text('embed.lines_note')),
    lines,
    h('p', {}, h('button', { type: 'button', on: { click: copy } }, words.text('embed.copy')), ' ', said),
  );
  document.body.append(main);
  write();
}

/** The lines: a frame, and a script that fits its height, for pages that allow one. */
function snippet(fields, words) {
  const url = new URL('embed.html', location.href);
  for (const [name, control] of fields) {
    const value = control.value.trim();
    const standard = name === 'controls' ? 'view' : CHOICES[name]?.[0];
    if (value && value !== standard) url.searchParams.set(name, value);
  }
  const attribute = (text) => text.replaceAll('&', '&amp;').replaceAll('"', '&quot;');
  const frame = `<iframe data-handpath src="${attribute(url.href)}" title="${attribute(words.text('page.name'))}" loading="lazy" width="100%" height="900" style="border:0"></iframe>`;
  return `${frame}\n<script async src="${attribute(new URL('frame.js', location.href).href)}"></script>`;
}

if (holdsLesson(location.hash) || ADDRESSES.some((name) => given.has(name))) show();
else {
  const words = await Words.load(document.documentElement.lang);
  await words.add('later');
  build(words);
}

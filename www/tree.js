// The parts of an element and where each stands.

import { Coaching } from './coaching.js';
import { Corrections } from './corrections.js';
import { DeviationTable } from './deviations.js';
import { h } from './dom.js';
import { Findings } from './findings.js';
import { Later } from './later.js';
import { LessonTable } from './lessons.js';
import { Notes } from './notes.js';
import { Notices } from './notices.js';
import { Numbers } from './numbers.js';
import { roleNames } from './painter.js';
import { Paper } from './paper.js';
import { Plots } from './plots.js';
import { Sentences } from './sentences.js';
import { Stage } from './stage.js';
import { TakeAway } from './takeaway.js';
import { Thresholds } from './thresholds.js';
import { Transport } from './transport.js';

/** All parts, by name; `run` is what they give their commands to. */
export function partsOf({ words, acting }) {
  const run = (command, value) => acting.run(command, value);
  const inside = () => acting.inside;
  const parts = {
    run,
    sentences: new Sentences(words),
    findings: new Findings(words),
    notices: new Notices(words, run),
    stage: new Stage(words, run),
    transport: new Transport(words, run),
    numbers: new Numbers(words, run),
    plots: new Plots(words, run),
    table: new DeviationTable(words),
    lesson: new LessonTable(words),
    takeAway: new TakeAway(words, run),
    paper: new Paper(words),
    notes: new Notes(words, run),
    later: new Later(words, inside),
    coaching: new Coaching(words, inside),
    thresholds: new Thresholds(words, run),
    corrections: new Corrections(words, run),
  };
  const roles = roleNames();
  parts.stage.setRoles(roles);
  parts.corrections.roleNames = roles;
  return parts;
}

/** The tree, in the order of reading. */
export function treeOf(words, parts, files) {
  return h(
    'div',
    { class: 'root', part: 'root', role: 'group', lang: words.language, 'aria-label': words.text('page.name') },
    parts.paper.head,
    parts.later.madeUp,
    parts.sentences.root,
    parts.notices.root,
    words.unreviewed && h('p', { class: 'note unreviewed' }, words.text('language.note')),
    parts.sentences.more,
    parts.later.story,
    parts.coaching.root,
    parts.stage.root,
    parts.transport.root,
    parts.notices.box,
    parts.later.waiting,
    parts.later.trying,
    h('div', { class: 'below' }, parts.numbers.root, h('div', { class: 'beside' }, parts.findings.root, parts.table.root, parts.paper.beside, files.root, parts.takeAway.root)),
    parts.lesson.root,
    parts.paper.foot,
    parts.notes.root,
    parts.later.making,
    parts.later.shelf,
    parts.plots.root,
    parts.thresholds.root,
    parts.corrections.root,
    parts.later.sharing,
    keyTable(words),
    files.overlay,
  );
}

/** Narrower than this a window is a phone's, rem. */
const PHONE_REM = 30;

/** On a phone the picture comes before what takes time to read or to do, so that it stands on the first screen; the story is
    told right under it. Moved are the parts themselves: who goes by keys or listens meets them in the order that is seen. */
export function arrange({ stage, transport, later, sentences, coaching, notices }, root) {
  const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
  const phone = root.getRootNode().host.clientWidth < PHONE_REM * rem;
  if (root.classList.contains('phone') === phone) return;
  root.classList.toggle('phone', phone);
  const { activeElement } = root.getRootNode();
  if (phone) {
    sentences.more.before(stage.root, later.story, transport.root);
  } else {
    notices.box.before(stage.root, transport.root);
    coaching.root.before(later.story);
  }
  if (activeElement !== root.getRootNode().activeElement) activeElement.focus({ preventScroll: true });
}

function keyTable(words) {
  const rows = words.text('page.keys').split('|').map((row) => row.split('='));
  const line = ([keys, what]) => h('tr', {}, h('th', { scope: 'row' }, h('kbd', {}, keys.trim())), h('td', {}, what.trim()));
  return h(
    'details',
    { class: 'keys' },
    h('summary', {}, words.text('page.keys_title')),
    h('p', {}, words.text('page.keys_note')),
    h('table', {}, h('tbody', {}, rows.map(line))),
  );
}

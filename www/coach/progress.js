// How practice goes, session by session: shares of balls with intervals that hold for small numbers.

import { h } from '../dom.js';
import { percent } from '../quantities.js';

/** A share of balls with its interval, in words. */
export function shareText(words, share) {
  return share ? words.text('progress.share', { hits: share.hits, of: share.of, low: percent(share.low_90), high: percent(share.high_90) }) : '–';
}

/** `found`: what the core says of a log; `date` writes the time of an entry. */
export function progress(words, { sessions, at_full_speed: full }, date) {
  if (!sessions.length) return h('p', { class: 'note' }, words.text('progress.none'));
  const head = (key) => h('th', { scope: 'col' }, words.text(key));
  const rung = ({ share, good }) => h('li', {}, words.text('progress.rung', { percent: percent(share), good: shareText(words, good) }));
  const row = ({ number, began, kind, ended, tally, good, pulled, rungs }) =>
    h(
      'tr',
      { 'data-session': number, 'data-balls': tally.balls },
      h('th', { scope: 'row' }, date(began), h('small', {}, words.word('session', kind), ended === 'pain' ? `, ${words.word('ended', ended)}` : '')),
      h('td', {}, String(tally.balls)),
      h('td', {}, shareText(words, good), h('ul', {}, rungs.map(rung))),
      h('td', {}, shareText(words, pulled)),
    );
  return h(
    'div',
    { class: 'progress-table' },
    h('table', {}, h('thead', {}, h('tr', {}, ['progress.session', 'progress.balls', 'progress.good', 'progress.pulled'].map(head))), h('tbody', {}, sessions.map(row))),
    h('p', {}, change(words, full)),
    h('p', { class: 'note' }, words.text('progress.note')),
  );
}

/** What changed at full speed since the first session that got there. */
function change(words, full) {
  if (!full) return words.text('progress.no_change_yet');
  const args = { value: percent(full.value), low: percent(full.low_90), high: percent(full.high_90) };
  return full.shown ? words.text('progress.change', args) : words.text('progress.change_not_shown', args);
}

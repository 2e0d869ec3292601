// Does the path hold as speed returns? Captures at several shares of full effort, held against the slow ones.

import { core } from '../coach.js';
import { h } from '../dom.js';
import { Quantities, percent } from '../quantities.js';

/** What is looked at along the rungs: where the hands went. */
const SHOWN = ['out drift, greatest', 'out drift, at lead arm level', 'made, out', 'carried, out', 'hands at lead arm level, out', 'hands at hip height, out'];

/** `captures`: `[{effort, measures}]`, measures as the report has them; nothing where all are of one effort. */
export function efforts(words, pageWords, captures, unit) {
  const found = core.alongEfforts(captures).filter(({ name, efforts: all }) => SHOWN.includes(name) && all.length > 1);
  if (!found.length) return null;
  const quantities = new Quantities(pageWords);
  const head = ({ effort }) => h('th', { scope: 'col' }, words.text('desk.percent', { percent: percent(effort) }));
  const cell = (measure, { spread, verdict }) =>
    h('td', { 'data-verdict': verdict }, spread ? `${quantities.text(measure, spread.mean, unit)} (${spread.count})` : '–', h('div', {}, h('small', {}, words.word('effort', verdict))));
  const row = (measure) => h('tr', { 'data-along': measure.name }, h('th', { scope: 'row' }, quantities.name(measure.name)), measure.efforts.map((effort) => cell(measure, effort)));
  return h(
    'div',
    { class: 'scroll along', tabIndex: 0, role: 'region', 'aria-label': words.text('desk.along') },
    h('h3', {}, words.text('desk.along')),
    h('table', {}, h('thead', {}, h('tr', {}, h('td', {}), found[0].efforts.map(head))), h('tbody', {}, found.map(row))),
    h('p', { class: 'note' }, words.text('desk.along_note')),
  );
}

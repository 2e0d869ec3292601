// The card to take home: the plan on one page of paper, which works without any device.

import { h } from '../dom.js';
import { percent } from '../quantities.js';
import { copyPicture } from './copy.js';

/** What a drill says; the coach's own words where they stand in the plan. */
export const DRILL = ['setup', 'picture', 'feel', 'check', 'mistake'];

/** The text of a part of the drill: the coach's, else the usual one; none of the feel, which is the student's. */
export function drillText(words, plan, part) {
  const own = plan?.drill?.[part];
  if (typeof own === 'string' && own.trim()) return own.trim();
  return part === 'feel' ? '' : words.text(`drill.usual_${part}`);
}

/** `document`: the lesson's. Rungs have as many boxes as balls that they ask for. */
export function card(words, core, document) {
  const given = document.plan ?? {};
  const { plan } = core.planOf(given);
  const { code = '' } = document.student ?? {};
  const part = (name) => {
    const text = drillText(words, given, name);
    return h('div', { class: 'part' }, h('h3', {}, words.text(`drill.${name}`)), text ? h('p', {}, text) : h('p', { class: 'write' }));
  };
  const rung = ({ share, balls }, i) =>
    h(
      'li',
      {},
      h('strong', {}, words.text('practice.rung_option', { rung: i + 1, percent: percent(share) })),
      ...[1, 2, 3, 4].map(() => h('span', { class: 'boxes', 'aria-hidden': 'true' }, Array.from({ length: balls }, () => h('i', {})))),
    );
  const rule = (key, args) => h('li', {}, words.text(key, args));
  const down = plan.step_down === '2 of 5' ? 'card.down_two' : 'card.down_first';
  return h(
    'article',
    { class: 'card' },
    h('h2', {}, words.text('card.title'), ' ', h('small', {}, String(code))),
    copyPicture(words, core, given.picture) ?? '',
    h('div', { class: 'parts' }, DRILL.map(part)),
    h('h3', {}, words.text('card.rungs')),
    h('ol', { class: 'rungs' }, plan.rungs.map(rung)),
    h(
      'ul',
      { class: 'rules' },
      rule('card.climb', { misses: plan.climb_misses }),
      rule(down),
      rule('card.face'),
      rule('card.cap', { cap: plan.cap, rest: plan.rest_after, minutes: plan.rest_s / 60 }),
      plan.hooks && rule('coach.hooks_in_to_out', { degrees: plan.full_path_deg }),
    ),
    h('h3', {}, words.text('card.cautions')),
    h('ul', { class: 'cautions' }, core.cautions('drill', plan.minor).map((message) => h('li', {}, words.message(message)))),
    h('p', { class: 'note' }, words.text('card.note')),
  );
}

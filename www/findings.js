// What the numbers fit with, how sure that is, and the measures it rests on.

import { h } from './dom.js';
import { percent } from './quantities.js';

export class Findings {
  #words;
  #shown;

  constructor(words) {
    this.#words = words;
    this.list = h('ul', {});
    this.changed = h('p', { class: 'note changed' });
    this.root = h('section', { class: 'findings', part: 'findings' }, h('h2', {}, words.text('page.findings')), this.list, this.changed, h('p', { class: 'note' }, words.text('page.findings_note')));
  }

  /** `turned`: the findings at another target line, to be told where they differ; `changed`: how many thresholds are the
      coach's own. */
  show(findings, turned, changed) {
    const now = JSON.stringify([findings, turned, changed]);
    if (now === this.#shown) return;
    this.#shown = now;
    this.root.hidden = !findings?.length;
    this.changed.textContent = changed ? this.#words.text('threshold.changed', { count: changed }) : '';
    this.list.replaceChildren(...(findings ?? []).map((finding) => this.#line(finding, turned?.find(({ name }) => name === finding.name))));
  }

  #line(finding, turned) {
    const words = this.#words;
    const flips = turned && turned.verdict !== finding.verdict;
    const sure = finding.certainty === null ? '' : words.text('page.certainty', { percent: Math.min(99, percent(finding.certainty)) });
    const told = [h('strong', {}, this.#verdict(finding.verdict)), ' ', h('small', {}, sure)];
    const instead = flips ? h('p', { class: 'flip' }, words.text('page.flips_to', { verdict: this.#verdict(turned.verdict) })) : null;
    return h(
      'li',
      { 'data-finding': finding.name, 'data-verdict': finding.verdict, 'data-turned': turned?.verdict ?? '', class: flips ? 'flips' : '' },
      h('span', { class: 'what' }, words.word('finding', finding.name)), ' ', told,
      h('p', { class: finding.why ? 'note' : 'note asks' }, finding.why ? words.message(finding.why) : words.text(finding.key)),
      this.#wary(finding), instead,
    );
  }

  /** A verdict that another target line within reach would change. */
  #wary({ flips_deg: degrees, flips_to: verdict }) {
    if (degrees === undefined || degrees === null) return null;
    const args = { degrees: Math.abs(degrees), verdict: this.#verdict(verdict) };
    return h('p', { class: 'note wary' }, this.#words.text(degrees > 0 ? 'page.flips_out' : 'page.flips_in', args));
  }

  #verdict(verdict) {
    return this.#words.word('verdict', verdict);
  }
}

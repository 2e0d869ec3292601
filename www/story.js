// The story of a lesson: a short sequence of captioned views, played with one button or stepped through at one's own pace.
//
// A step is `{say, look, swing, against, play}`: what is said; a part of the view; the numbers of the student's swing and of the
// reference; a stretch of the path that is played, `{from, to}` in the student's seconds. All but what is said may be missing.

import { h, setText } from './dom.js';
import { orbitOf } from './wasm/painter.js';

/** A caption stays until it can be read: letters a second, seconds at least. */
const READ_PER_S = 15;
const LEAST_S = 3;

/** How long the camera moves from one view to another, seconds. */
const MOVE_S = 0.6;

/** Views that a reader can turn to at any step. */
const VIEWS = ['down-the-line', 'overhead'];

const still = () => matchMedia('(prefers-reduced-motion: reduce)').matches;

/** Where the camera stands: yaw and pitch in degrees, zoom. */
const cameraOf = ({ view, orbit, zoom }) => [...(view === 'free' ? [orbit.yaw, orbit.pitch] : orbitOf(view)), zoom];

export class Part {
  #words;
  #host;
  #root;
  #frame = 0;
  #before;
  #playing = false;
  #left = 0;
  #move = null;
  #stretch = null;
  #turn = 0;
  #over = false;
  #built;

  constructor(words, root, host) {
    this.#words = words;
    this.#root = root;
    this.#host = host;
    const button = (of, click, text = '', label) => h('button', { type: 'button', class: of, title: label, 'aria-label': label, on: { click } }, text);
    this.play = button('tell', () => this.tell('play'));
    this.back = button('square tell-back', () => this.tell('back'), '‹', words.text('story.back'));
    this.next = button('square tell-next', () => this.tell('next'), '›', words.text('story.next'));
    this.dots = h('ol', { class: 'dots', 'aria-label': words.text('story.steps') });
    this.views = VIEWS.map((view) => [view, button('tell-view', () => this.#view(view), words.text(`page.view_${view.replaceAll('-', '_')}`))]);
    this.caption = h('p', { class: 'caption', 'aria-live': 'polite' });
    this.captions = h('ol', { class: 'captions' });
    root.setAttribute('aria-label', words.text('story.title'));
    root.append(
      h('div', { class: 'playing' }, this.play, h('span', { class: 'playing' }, this.back, this.dots, this.next), h('span', { class: 'playing', role: 'group', 'aria-label': words.text('story.views') }, this.views.map(([, node]) => node))),
      this.caption,
      this.captions,
    );
  }

  get #steps() {
    return this.#host().look.story;
  }

  show(look) {
    const words = this.#words;
    const steps = look.story;
    const built = JSON.stringify(steps.map(({ say }) => say));
    if (built !== this.#built) this.#build(steps);
    this.#built = built;
    const step = steps[look.step];
    if (!steps.length) this.rest();
    setText(this.play, words.text(this.#playing ? 'story.pause' : step ? 'story.on' : 'story.play'));
    setText(this.caption, step?.say ?? words.text(this.#over ? 'story.over' : 'story.invite', { count: steps.length }));
    this.back.disabled = !step || look.step === 0;
    for (const [view, node] of this.views) node.setAttribute('aria-pressed', String(look.view === view));
    [...this.dots.children].forEach(({ firstChild: dot }, n) => {
      if (n === look.step) dot.setAttribute('aria-current', 'step');
      else dot.removeAttribute('aria-current');
    });
  }

  #build(steps) {
    const label = (n) => this.#words.text('story.step', { number: n + 1, count: steps.length });
    const dot = (_, n) => h('li', {}, h('button', { type: 'button', class: 'dot', 'aria-label': label(n), on: { click: () => this.tell(n) } }, n + 1));
    this.dots.replaceChildren(...steps.map(dot));
    this.captions.replaceChildren(...steps.map(({ say }) => h('li', {}, say)));
  }

  /** `play` plays on or pauses; `next` and `back` lead from step to step; a number leads to that step. */
  tell(what) {
    const { step } = this.#host().look;
    const at = this.#steps[step] ? step : -1;
    if (what === 'play' && this.#playing) this.rest();
    else if (what === 'play') this.#go(Math.max(0, at), true);
    else if (what === 'next') this.#go(at + 1, false);
    else if (what === 'back') this.#go(Math.max(0, at - 1), false);
    else this.#go(what, false);
  }

  /** To a step, or past the last one. */
  async #go(n, playing) {
    const step = this.#steps[n];
    const host = this.#host();
    host.halt();
    this.rest();
    this.#over = n >= this.#steps.length;
    if (!step) return this.#end();
    this.#turn += 1;
    const turn = this.#turn;
    await this.#swing(step.swing);
    if (turn !== this.#turn) return;
    const before = cameraOf(host.element.look);
    const reference = host.answer?.comparison.references.findIndex(({ id }) => id === step.against) ?? -1;
    const cut = still();
    const play = step.play ?? null;
    const time = play && (cut ? play.to : play.from);
    host.element.look = { ...(cut && play && !step.look?.lit ? { lit: play } : { lit: null }), ...step.look, ...(play ? { time } : {}), ...(reference >= 0 ? { reference } : {}), step: n };
    this.#playing = playing;
    this.#left = Math.max(LEAST_S, step.say.length / READ_PER_S);
    this.#stretch = cut ? null : play;
    this.#moveFrom(before);
    this.#run();
  }

  /** Another swing of the student takes its time. */
  async #swing(id) {
    const { files, show, waits } = this.#host();
    if (id === undefined || id === files.student?.id || !files.students.some((file) => file.id === id)) return;
    show(id);
    await waits();
  }

  /** The reader has the picture for themselves. */
  #end() {
    const { element } = this.#host();
    const before = cameraOf(element.look);
    element.look = { view: 'free', lit: null, step: null };
    this.#moveFrom(before);
    this.#run();
  }

  #view(view) {
    const { element } = this.#host();
    const before = cameraOf(element.look);
    element.view = view;
    this.#moveFrom(before);
    this.#run();
  }

  #moveFrom(from) {
    const to = cameraOf(this.#host().element.look);
    const same = to.every((x, i) => Math.abs(x - from[i]) < 1e-6);
    this.#move = same || still() ? null : { from, to, done: 0 };
  }

  /** The camera on its way, slow at both ends. */
  seen(look) {
    if (!this.#move) return look;
    const { from, to, done } = this.#move;
    const part = done * done * (3 - 2 * done);
    const [yaw, pitch, zoom] = from.map((x, i) => x + (to[i] - x) * part);
    return { ...look, view: 'free', orbit: { yaw, pitch }, zoom };
  }

  #run() {
    this.#before = undefined;
    this.#frame ||= requestAnimationFrame(this.#tick);
    this.#host().changed();
  }

  #tick = (now) => {
    const passed = this.#before === undefined ? 0 : (now - this.#before) / 1000;
    this.#before = now;
    this.#frame = 0;
    const host = this.#host();
    if (!host.painter) return;
    if (this.#move) this.#moveOn(passed);
    else if (this.#stretch) this.#playOn(passed, host);
    this.#left -= passed;
    if (this.#playing && this.#left <= 0 && !this.#move && !this.#stretch) return this.#go(host.look.step + 1, true);
    if (this.#move || this.#stretch || this.#playing) this.#frame = requestAnimationFrame(this.#tick);
    host.changed();
  };

  #moveOn(passed) {
    this.#move.done += passed / MOVE_S;
    if (this.#move.done >= 1) this.#move = null;
  }

  #playOn(passed, { look, element }) {
    const { to } = this.#stretch;
    look.time = Math.min(to, look.time + passed * Number(element.speed));
    if (look.time >= to) this.#stretch = null;
  }

  rest() {
    this.#playing = false;
    this.#stretch = null;
    this.#turn += 1;
  }

  end() {
    cancelAnimationFrame(this.#frame);
  }
}

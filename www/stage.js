// One large view, three small ones that swap with it, and the scrubber under them.

import { choice, h, setOptions, setText, unique } from './dom.js';
import { back } from './takeaway.js';

const VIEWS = ['down-the-line', 'face-on', 'overhead', 'free'];

/** How near a pointer has to come to a mark, CSS pixels; coarse pointers get more. */
const REACH = { mouse: 8, pen: 12, touch: 20 };

const key = (view) => `page.view_${view.replaceAll('-', '_')}`;

export class Stage {
  #words;
  #run;
  #observer;
  #contexts = new Map();
  #picking;
  #drag;

  constructor(words, run) {
    this.#words = words;
    this.#run = run;
    this.large = h('canvas', { class: 'large', part: 'large', tabIndex: 0, role: 'img' });
    this.caption = h('h2', { class: 'view-name' });
    this.companions = VIEWS.slice(1).map((view) => this.#companion(view));
    this.ribbon = h('canvas', { class: 'ribbon', part: 'scrubber', 'aria-hidden': 'true' });
    this.scrub = h('input', {
      class: 'scrub', type: 'range', min: 0, max: 1, step: 'any', value: 0, 'aria-label': words.text('page.scrub'),
      on: { input: () => this.#scrubbed() },
    });
    this.scrubber = h('div', { class: 'scrubber' }, this.ribbon, this.scrub);
    this.picker = this.#pickerBar();
    this.root = h(
      'div',
      { class: 'stage' },
      h('div', { class: 'large-box' }, this.caption, this.large, this.#zoomButtons()),
      this.picker.root,
      h('div', { class: 'companions', role: 'group', 'aria-label': words.text('page.other_views') }, this.companions.map((c) => c.root)),
      this.scrubber,
    );
    this.#listen();
  }

  #companion(view) {
    const canvas = h('canvas', { class: 'small', 'aria-hidden': 'true' });
    const name = h('span', {});
    const companion = { view, canvas, name };
    companion.root = h('button', { type: 'button', class: 'companion', on: { click: () => this.#run('view', companion.view) } }, canvas, name);
    return companion;
  }

  #zoomButtons() {
    const button = (text, label, factor) =>
      h('button', { type: 'button', class: 'square', title: this.#words.text(label), 'aria-label': this.#words.text(label), on: { click: () => this.#run('zoom', factor) } }, text);
    return h('div', { class: 'zoom' }, button('+', 'page.zoom_in', 1.25), button('−', 'page.zoom_out', 0.8), button('1:1', 'page.zoom_reset', 0));
  }

  /** Shown while the points of a file are picked: which point, which role, done. */
  #pickerBar() {
    const words = this.#words;
    const track = choice([], { id: unique('track'), class: 'pick-track', on: { change: () => this.#picked(track.value === '' ? undefined : Number(track.value)) } });
    const role = choice([], { id: unique('role'), class: 'pick-role', on: { change: () => this.#assign(role.value) } });
    const done = h('button', { type: 'button', class: 'pick-done', on: { click: () => this.#run('pick', undefined) } }, words.text('page.pick_done'));
    const root = h(
      'div',
      { class: 'picker', hidden: true },
      h('p', {}, words.text('page.pick_note')),
      h('label', { htmlFor: track.id }, words.text('page.pick_track')), track,
      h('label', { htmlFor: role.id }, words.text('page.pick_role')), role,
      done,
    );
    return { root, track, role, done };
  }

  pickOpen(picking, [from, to]) {
    const words = this.#words;
    this.#picking = picking;
    picking.span = [from, to];
    picking.time = Math.min(to, Math.max(from, picking.time));
    this.picker.root.hidden = false;
    setOptions(this.picker.track, [['', words.text('page.pick_none')], ...picking.names.map((name, i) => [String(i), name])]);
    this.picker.track.value = '';
    this.picker.role.value = '';
    this.picker.done.focus();
  }

  pickDone() {
    this.#picking = undefined;
    this.picker.root.hidden = true;
    this.large.focus();
  }

  setRoles(roles) {
    setOptions(this.picker.role, [['', this.#words.text('page.role_none')], ...roles.map((role) => [role, this.#words.word('role', role)])]);
  }

  #picked(track) {
    this.#picking.track = track;
    this.picker.track.value = track === undefined ? '' : String(track);
    this.picker.role.value = this.#picking.roles[track] ?? '';
    this.#run('repaint');
  }

  #assign(role) {
    const { id, track, names, roles } = this.#picking;
    if (track === undefined) return;
    const before = roles[track];
    roles[track] = role;
    this.#run('correct', [id, (corrections) => {
      corrections.roles ??= {};
      if (before && before !== role) corrections.roles[before] = [];
      if (role) corrections.roles[role] = [names[track]];
    }]);
    this.#run('pick', id);
  }

  #scrubbed() {
    const value = Number(this.scrub.value);
    if (!this.#picking) return this.#run('place', value);
    const [from, to] = this.#picking.span;
    this.#picking.time = from + value * (to - from);
    this.#run('repaint');
  }

  #listen() {
    const { large } = this;
    large.addEventListener('pointerdown', (event) => {
      this.#drag = { x: event.clientX, y: event.clientY, moved: false };
      large.setPointerCapture(event.pointerId);
    });
    large.addEventListener('pointermove', (event) => this.#moved(event));
    large.addEventListener('pointerup', (event) => this.#released(event));
    large.addEventListener('pointercancel', () => (this.#drag = undefined));
    large.addEventListener('pointerleave', () => this.#hover(undefined));
  }

  #moved(event) {
    const drag = this.#drag;
    if (!drag) return this.#hovered(event);
    const [dx, dy] = [event.clientX - drag.x, event.clientY - drag.y];
    if (!drag.moved && Math.hypot(dx, dy) < 4) return;
    drag.moved = true;
    if (this.large.dataset.view !== 'free' && !this.#picking) return;
    [drag.x, drag.y] = [event.clientX, event.clientY];
    this.#run('turn', [-dx * 0.5, dy * 0.5]);
  }

  #hovered(event) {
    if (!this.painter || this.#picking) return;
    const box = this.large.getBoundingClientRect();
    this.#hover(this.painter.hitInstant(event.clientX - box.left, event.clientY - box.top, REACH.mouse));
  }

  /** An instant under the pointer lights its rows. */
  #hover(found) {
    const now = found?.join(' ');
    if (now !== this.#over) this.#run('near', found);
    this.#over = now;
  }

  #over;

  #released(event) {
    const drag = this.#drag;
    this.#drag = undefined;
    if (!drag || drag.moved || !this.painter) return;
    const box = this.large.getBoundingClientRect();
    const [x, y, reach] = [event.clientX - box.left, event.clientY - box.top, REACH[event.pointerType] ?? 8];
    if (this.#picking) return this.#picked(this.painter.hitTrack(x, y, reach));
    const hit = this.painter.hitInstant(x, y, reach);
    if (hit) this.#run('mark', hit);
  }

  observe(changed) {
    this.#observer = new ResizeObserver(changed);
    for (const canvas of [this.large, this.ribbon, ...this.companions.map((c) => c.canvas)]) this.#observer.observe(canvas);
  }

  end() {
    this.#observer?.disconnect();
    this.painter = undefined;
  }

  largePane({ view }) {
    return { kind: 'large', view, width: this.large.clientWidth, height: this.large.clientHeight };
  }

  /** One call to the painter for all canvases, `more` among them; `view` is that of the large one. On paper everything may be finer. */
  paint(painter, look, picking, more, printing, view = look.view) {
    this.painter = painter;
    this.large.dataset.view = look.view;
    const others = VIEWS.filter((view) => view !== look.view);
    this.companions.forEach((companion, i) => (companion.view = others[i]));
    const large = picking ? { kind: 'cloud', view: 'free', picked: picking.track, time: picking.time } : { kind: 'large', view };
    const wanted = [
      [this.large, large],
      ...this.companions.map(({ canvas, view }) => [canvas, { kind: 'small', view }]),
      ...(picking ? [] : [[this.ribbon, { kind: 'ribbon', view: look.view }]]),
      ...more,
    ].filter(([canvas]) => canvas.clientWidth > 0 && canvas.clientHeight > 0);
    const scale = printing ? 4 : Math.min(devicePixelRatio || 1, 3);
    const finer = printing ? 1.5 : 1;
    const contexts = wanted.map(([canvas]) => this.#context(canvas, scale));
    const panes = wanted.map(([canvas, pane]) => ({ ...pane, width: canvas.clientWidth * finer, height: canvas.clientHeight * finer }));
    painter.paint(panes, contexts, scale / finer);
    // Some printers smooth the edges of what is left open with black.
    if (printing) contexts.forEach((context) => back(context, 'white'));
  }

  #context(canvas, scale) {
    const [width, height] = [Math.round(canvas.clientWidth * scale), Math.round(canvas.clientHeight * scale)];
    if (canvas.width !== width) canvas.width = width;
    if (canvas.height !== height) canvas.height = height;
    if (!this.#contexts.has(canvas)) this.#contexts.set(canvas, canvas.getContext('2d'));
    return this.#contexts.get(canvas);
  }

  /** Names, labels and the scrubber's value. */
  describe(look, painter, reading, picking) {
    const words = this.#words;
    const name = words.text(key(look.view));
    this.root.classList.toggle('picking', Boolean(picking));
    setText(this.caption, picking ? words.text('page.pick_title') : name);
    this.large.setAttribute('aria-label', words.text('page.picture_label', { view: name, time: reading }));
    for (const companion of this.companions) {
      setText(companion.name, words.text(key(companion.view)));
      companion.root.dataset.view = companion.view;
      companion.root.setAttribute('aria-label', words.text('page.show_view', { view: words.text(key(companion.view)) }));
    }
    const place = picking ? (picking.time - picking.span[0]) / (picking.span[1] - picking.span[0] || 1) : painter.place(look.time);
    if (Math.abs(Number(this.scrub.value) - place) > 1e-6) this.scrub.value = place;
    const text = picking ? words.text('page.seconds', { time: picking.time }) : reading;
    if (this.scrub.getAttribute('aria-valuetext') !== text) this.scrub.setAttribute('aria-valuetext', text);
  }
}

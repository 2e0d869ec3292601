// What buttons, keys and pointers do: a command each, called on what a command may touch (`#inside` of the element).

import { CHOICES } from './attributes.js';
import { rememberShown, rememberThresholds } from './remember.js';

export const COMMANDS = {
  time(time) {
    this.stop();
    this.look.time = time;
  },
  place(place) {
    COMMANDS.time.call(this, this.painter.timeAt(place));
  },
  step(steps) {
    COMMANDS.time.call(this, this.painter.step(this.look.time, steps));
  },
  instant(back) {
    COMMANDS.time.call(this, this.painter.nextInstant(this.look.time, back));
  },
  end(last) {
    COMMANDS.time.call(this, this.painter.span()[last ? 1 : 0]);
  },
  mark(found) {
    const time = this.painter.markTime(...found);
    if (time !== undefined) COMMANDS.time.call(this, time);
  },
  /** Puts an instant of a file where its figure stands now. */
  here([id, put]) {
    const time = this.timeOf(id);
    if (time !== undefined) put(time);
  },
  /** Lights a stretch of the path, {from, to} in the student's time, and the row it belongs to. */
  light(lit) {
    this.look.lit = lit;
  },
  near(found) {
    const time = found && this.painter.markTime(...found);
    this.look.lit = time === undefined ? null : { from: time, to: time };
  },
  aim(degrees) {
    this.aim(degrees);
  },
  /** The what-if becomes a correction of the target line. */
  takeAim() {
    const { aim } = this.look;
    this.correct(this.files.student?.id, (corrections) => (corrections.aim = (corrections.aim ?? 0) + aim));
  },
  /** A coach's own value of a threshold; none: that of the rule table. */
  threshold([name, value]) {
    const { [name]: _, ...others } = this.look.thresholds;
    COMMANDS.thresholds.call(this, value === undefined ? others : { ...others, [name]: value });
  },
  thresholds(thresholds) {
    rememberThresholds(thresholds);
    this.judgeBy(thresholds);
  },
  /** Which band is drawn. */
  wish([name, value]) {
    this.wish(name, value);
  },
  repaint() {},
  play() {
    this.play();
  },
  view(view) {
    this.element.view = view;
  },
  set([name, value]) {
    this.element[name] = value;
    rememberShown(this.element.look);
  },
  toggle(name) {
    if (name in CHOICES) this.element[name] = CHOICES[name].find((value) => value !== this.element[name]);
    else this.look[name] = !this.look[name];
    rememberShown(this.element.look);
  },
  shelve(entries) {
    this.shelve(entries);
  },
  reference(index) {
    this.look.reference = index;
  },
  next() {
    this.look.reference = (this.look.reference + 1) % Math.max(1, this.count());
  },
  zoom(factor) {
    this.look.zoom = factor === 0 ? 1 : Math.min(8, Math.max(0.5, this.look.zoom * factor));
  },
  turn([yaw, pitch]) {
    const { orbit } = this.look;
    this.look.orbit = { yaw: (((orbit.yaw + yaw + 180) % 360) + 360) % 360 - 180, pitch: Math.min(90, Math.max(-90, orbit.pitch + pitch)) };
  },
  add([slot, files, joins]) {
    this.add(slot, files, joins);
  },
  /** Another swing of the lesson. */
  swing(id) {
    this.show(id);
  },
  asOwn(id) {
    this.own(id);
  },
  retry(id) {
    this.notices.forget('core');
    this.files.retry(id);
    this.compare();
  },
  remove(id) {
    this.notices.forget('core');
    this.files.remove(id);
    this.drop(id);
    this.compare();
  },
  correct([id, change]) {
    this.correct(id, change);
  },
  pick(id) {
    this.pick(id);
  },
  guesses(id) {
    this.corrections.open(id);
  },
  save(what) {
    this.save(what);
  },
  /** A text at the cursor. Without one the field for it is reached. */
  pin(text) {
    if (text === undefined) return this.notes.open();
    this.look.pins = [...this.look.pins, { swing: this.files.student?.id, time_s: this.look.time, text }];
  },
  /** Begins a stretch at the cursor, or ends it there; null gives it up. */
  measure(given) {
    const to = this.look.time;
    const from = this.measure(undefined);
    if (given === null) return;
    if (from === undefined) this.measure(to);
    else this.look.spans = [...this.look.spans, { swing: this.files.student?.id, from_s: Math.min(from, to), to_s: Math.max(from, to), text: '' }];
  },
  /** Another text of a pin or span; null takes it away. */
  note([list, place, text]) {
    this.look[list] = this.look[list].flatMap((note, i) => (i !== place ? [note] : text === null ? [] : [{ ...note, text }]));
  },
  /** The story: play or pause, the step before or the next one, or a step by its number. */
  tell(what) {
    this.tell(what);
  },
  /** Other steps of the story. */
  story(steps) {
    Object.assign(this.look, { story: steps, step: null });
  },
  saveLesson() {
    this.share(async () => (await this.sharing()).save());
  },
};

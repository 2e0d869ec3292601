// The view as one plain object comes from anywhere: a program, another page, a file. What is not sound is left aside.

const number = (value) => typeof value === 'number' && Number.isFinite(value);
const flag = (value) => typeof value === 'boolean';
const parts = (names) => (value) => value !== null && typeof value === 'object' && names.every((name) => number(value[name]));

const text = (value) => typeof value === 'string';
const notes = (names) => (value) => Array.isArray(value) && value.every((note) => parts(['swing', ...names])(note) && text(note.text ?? ''));

const maybe = (sound) => (value) => value === undefined || value === null || sound(value);
const whole = (value) => Number.isSafeInteger(value) && value >= 0;
const record = (value) => value !== null && typeof value === 'object' && !Array.isArray(value);

/** Is this a step of a story? See story.js. */
export const isStep = (step) => record(step) && text(step.say) && maybe(record)(step.look) && maybe(parts(['from', 'to']))(step.play) && maybe(whole)(step.swing) && maybe(whole)(step.against);

const SOUND = {
  time: number,
  orbit: parts(['yaw', 'pitch']),
  zoom: (value) => number(value) && value >= 0.5 && value <= 8,
  reference: whole,
  lit: (value) => value === null || parts(['from', 'to'])(value),
  aim: (value) => number(value) && Math.abs(value) <= 45,
  pins: notes(['time_s']),
  spans: notes(['from_s', 'to_s']),
  story: (value) => Array.isArray(value) && value.every(isStep),
  step: maybe(whole),
  thresholds: (value) => value !== null && typeof value === 'object' && Object.values(value).every(number),
};

/** Is this a value of a part of the view? Parts without a rule of their own are shown or not. */
export function isSound(name, value) {
  return (SOUND[name] ?? flag)(value);
}

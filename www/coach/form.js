// Small fields of the coach's cards: each shows a value of a plain object and says what it becomes.

import { choice, h, unique } from '../dom.js';

const labelled = (label, control) => h('div', { class: 'field' }, h('label', { htmlFor: control.id }, label), control);

/** A field of text, a number (empty: undefined) or a longer text. */
export function field(label, value, change, { type = 'text', rows, name, ...more } = {}) {
  const read = () => {
    const text = control.value.trim();
    if (type === 'number') return text === '' ? undefined : Number(text);
    return text || undefined;
  };
  const shared = { id: unique('field'), value: value ?? '', 'data-field': name, on: { change: () => change(read()) }, ...more };
  const control = rows ? h('textarea', { rows, ...shared }) : h('input', { type, step: type === 'number' ? 'any' : undefined, ...shared });
  return labelled(label, control);
}

/** A choice of `[word, text]`; the empty word is undefined. */
export function pick(label, value, options, change, name) {
  const control = choice(options, { id: unique('field'), 'data-field': name, on: { change: () => change(control.value || undefined) } });
  control.value = value ?? '';
  return labelled(label, control);
}

export function tick(label, value, change, name) {
  const control = h('input', { type: 'checkbox', checked: Boolean(value), 'data-field': name, on: { change: () => change(control.checked) } });
  return h('label', { class: 'toggle' }, control, label);
}

/** Buttons of which one or none is pressed. */
export function buttons(label, value, options, change, name) {
  const button = ([word, text]) =>
    h('button', { type: 'button', 'data-word': word, 'aria-pressed': String(word === value), on: { click: () => change(word === value ? undefined : word) } }, text);
  return h('div', { class: 'words', dir: 'ltr', role: 'group', 'aria-label': label, 'data-field': name }, options.map(button));
}

/** The object without what is undefined. */
export const filled = (object) => Object.fromEntries(Object.entries(object).filter(([, value]) => value !== undefined));

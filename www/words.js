// Messages come as {key, args, place}; the catalogue of a language holds a template per key.

import { load } from './resources.js';

/** `{name}`, `{name.2}` with decimals, `{name:room}` for a documented word (or several), `{name:length}` for a length, and
    `{name, one: swing, other: swings}` for what a count asks for, by the categories of Intl.PluralRules. */
const TEMPLATE = /\{(\w+)(?:\.(\d))?(?::(\w+))?(?:, ([^{}]*))?\}/g;

/** The catalogue of one language. */
export class Words {
  #templates;
  #formats = new Map();

  constructor(templates, language) {
    this.#templates = templates;
    this.language = language;
  }

  /** Loads `text/<language>.json` next to this module; a language without a file falls back to English. */
  static async load(language = 'en') {
    const known = language.toLowerCase().split('-')[0];
    const name = Words.languages.includes(known) ? known : 'en';
    const answer = await load(new URL(`text/${name}.json`, import.meta.url));
    return new Words(await answer.json(), name === known ? language : 'en');
  }

  /** Was it translated by a machine, and not reviewed since? */
  get unreviewed() {
    return this.text('language.made_by') === 'machine';
  }

  /** Adds the words of a part that is loaded later, once: `text/<part>.<language>.json`, in English where there is no such file. */
  add(part) {
    const file = (language) => load(new URL(`text/${part}.${language}.json`, import.meta.url));
    const name = this.language.toLowerCase().split('-')[0];
    this.#added[part] ??= file(name)
      .catch((fault) => (name === 'en' ? Promise.reject(fault) : file('en')))
      .then((answer) => answer.json())
      .then((templates) => (this.#templates = { ...templates, ...this.#templates }))
      .catch((fault) => {
        this.#added[part] = undefined;
        throw fault;
      });
    return this.#added[part];
  }

  #added = {};

  /** Adds what another catalogue has had added. */
  addAll({ parts }) {
    return Promise.all(parts.map((part) => this.add(part)));
  }

  get parts() {
    return Object.keys(this.#added).filter((part) => this.#added[part]);
  }

  static languages = ['en', 'de', 'es'];

  has(key) {
    return key in this.#templates;
  }

  /** The sentence of a key with its parameters. An unknown key shows itself, an unknown parameter stays as written. */
  text(key, args = {}) {
    const template = this.#templates[key] ?? key;
    return template.replace(TEMPLATE, (braced, name, digits, room, forms) => {
      const value = args[name];
      if (value === undefined) return braced;
      if (forms) return this.#form(Number(value), forms);
      if (room) return room === 'length' ? this.local(value) : String(value).split(/( \+ |, )/).map((part, i) => (i % 2 ? part : this.word(room, part))).join('');
      return typeof value === 'number' ? this.number(value, digits ?? (Number.isInteger(value) ? 0 : 2)) : String(value);
    });
  }

  #form(count, forms) {
    this.#rules ??= new Intl.PluralRules(this.language);
    const of = (category) => forms.split(', ').find((form) => form.startsWith(`${category}: `))?.slice(category.length + 2);
    return of(this.#rules.select(count)) ?? of('other') ?? '';
  }

  #rules;

  /** A message with its place. */
  message({ key, args, place }) {
    const text = this.text(key, args);
    const where = place ? this.place(place) : '';
    return where ? `${where}: ${text}` : text;
  }

  place(place) {
    const parts = ['line', 'column', 'byte', 'track', 'row'].filter((part) => place[part] !== undefined && place[part] !== null);
    return parts.map((part) => this.text(`page.place_${part}`, { value: String(place[part]) })).join(', ');
  }

  /** A documented word of the core ("track name"): its translation, else itself. */
  word(room, word) {
    const key = `${room}.${String(word).replaceAll(/[^a-z0-9]+/gi, '_').toLowerCase()}`;
    return this.has(key) ? this.text(key) : String(word).replaceAll('-', ' ').replace(/^ (?=\w$)/, '-');
  }

  /** A number with fixed decimals in the language's own form. */
  number(value, digits) {
    const count = Number(digits);
    if (!this.#formats.has(count)) {
      const options = { minimumFractionDigits: count, maximumFractionDigits: count, useGrouping: false };
      this.#formats.set(count, new Intl.NumberFormat(this.language, options));
    }
    return this.#formats.get(count).format(Object.is(value, -0) ? 0 : value);
  }

  /** A length that the core wrote with a decimal point. */
  local(text) {
    return String(text).replace('.', this.#mark);
  }

  get #mark() {
    return this.number(0.5, 1).replaceAll(/\d/g, '');
  }

  /** What the painter needs: the words of the picture. */
  forPicture() {
    const wanted = Object.entries(this.#templates).filter(([key]) => /^(picture|instant|summary)\./.test(key));
    return { ...Object.fromEntries(wanted), 'picture.decimal': this.#mark };
  }
}

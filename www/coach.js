// The coach's module of the core and its sentences: loaded with the first card of the coaching loop.

import { compile } from './modules.js';
import { load } from './resources.js';
import { initSync } from './wasm/coach.js';
import { Words } from './words.js';

export * as core from './wasm/coach.js';

/** The coach's sentences, with those of the page behind them. */
class CoachWords extends Words {
  #page;

  constructor(templates, page) {
    super(templates, page.language);
    this.#page = page;
  }

  has(key) {
    return super.has(key) || this.#page.has(key);
  }

  text(key, args) {
    return super.has(key) ? super.text(key, args) : this.#page.text(key, args);
  }
}

/** Starts the module; gives the sentences. `page`: those of the page, to which those of opened lessons are added. */
export async function begin(page) {
  const known = page.language.toLowerCase().split('-')[0];
  const name = Words.languages.includes(known) ? known : 'en';
  const [module, answer] = await Promise.all([compile('coach'), load(new URL(`text/coach.${name}.json`, import.meta.url)), page.add('engine')]);
  initSync({ module });
  return new CoachWords(await answer.json(), page);
}

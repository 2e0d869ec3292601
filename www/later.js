// What most readers do not need at once, or ever: each is a module of its own, loaded with its words when there is something
// for it to show, or when it is opened.

import { h } from './dom.js';
import { brings } from './resources.js';

const MODULES = {
  story: () => import('./story.js'),
  making: () => import('./making.js'),
  sharing: () => import('./sharing.js'),
  trying: () => import('./trying.js'),
  shelf: () => import('./shelf.js'),
  waiting: () => import('./waiting.js'),
};

export class Later {
  #words;
  #host;
  #parts = {};
  #loading = {};
  #ended = false;
  #offered = false;

  /** `host` gives what commands may touch. */
  constructor(words, host) {
    this.#words = words;
    this.#host = host;
    this.story = h('section', { class: 'story', part: 'story', hidden: true });
    this.making = this.#details('making', words.text('page.making'));
    this.trying = this.#details('trying', words.text('page.trying'));
    this.shelf = this.#details('shelf', words.text('page.shelf'));
    // A page in one file does not bring the reader of many files along.
    if (brings()) this.shelf.hidden = true;
    this.waiting = h('div', { class: 'waiting', hidden: true });
    this.sharing = this.#details('sharing', words.text('page.sharing'));
    const back = h('button', { type: 'button', on: { click: () => this.leave() } }, words.text('page.made_up_back'));
    this.madeUp = h('p', { class: 'made-up', role: 'status', hidden: true }, h('strong', {}, words.text('page.made_up')), ' ', back);
  }

  #details(name, title) {
    const root = h('details', { class: name, part: name }, h('summary', {}, title));
    root.addEventListener('toggle', () => root.open && this.load(name));
    return root;
  }

  /** A part, loaded once; one that could not be is tried again. */
  load(name) {
    const host = this.#host();
    this.#loading[name] ??= Promise.all([MODULES[name](), this.#words.add('later'), name === 'shelf' && this.#words.add('engine')])
      .then(([{ Part }]) => {
        if (this.#ended) return;
        this.#parts[name] = new Part(this.#words, this[name], this.#host);
        host.changed();
      })
      .catch((fault) => {
        this.#loading[name] = undefined;
        host.unmade(fault);
      });
    host.wait(this.#loading[name]);
    return this.#loading[name];
  }

  /** The part itself, loaded. */
  async part(name) {
    await this.load(name);
    return this.#parts[name];
  }

  /** What is seen while the camera moves from one view to another. */
  seen(look) {
    return this.#parts.story?.seen(look) ?? look;
  }

  /** The made-up swing leaves, and what was shown before comes back. */
  leave() {
    this.trying.open = false;
    this.#host().untry();
  }

  show(look, answer, files) {
    const { element } = this.#host();
    this.madeUp.hidden = !element.hasAttribute('data-trying');
    if (answer && !this.#offered && element.trial === 'open') this.trying.open = true;
    this.#offered ||= Boolean(answer);
    this.story.hidden = !look.story.length;
    if (look.story.length) this.load('story');
    for (const part of Object.values(this.#parts)) part.show(look, answer, files);
  }

  /** Plays the story, or goes to a step of it: see story.js. */
  async tell(what) {
    if (!this.#host().look.story.length) return;
    await this.load('story');
    this.#parts.story?.tell(what);
  }

  /** A large file is being read: `{id, share}`. */
  async reading(reading) {
    await this.load('waiting');
    this.#parts.waiting?.reading(reading);
  }

  /** A folder was dropped: it is put on the shelf. */
  async shelve(entries) {
    await this.load('shelf');
    this.shelf.open = true;
    this.#parts.shelf?.drop(entries);
  }

  /** The reader does something of their own: the story waits. */
  rest() {
    this.#parts.story?.rest();
  }

  end() {
    this.#ended = true;
    for (const part of Object.values(this.#parts)) part.end?.();
  }
}

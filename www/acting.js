// What a reader does, and what the commands and the parts that are loaded later may touch for it.

import { COMMANDS } from './commands.js';
import { agreeWith, remember } from './remember.js';

export class Acting {
  constructor(at) {
    this.at = at;
  }

  /** What commands may touch. */
  get inside() {
    const { at } = this;
    return {
      element: at.element,
      look: at.look,
      painter: at.painter,
      files: at.files,
      notices: at.parts.notices,
      corrections: at.parts.corrections,
      answer: at.answer,
      found: at.found,
      run: (command, value) => this.run(command, value),
      tell: (what) => at.parts.later.tell(what),
      play: () => {
        at.parts.later.rest();
        at.painting.play();
      },
      stop: () => {
        at.parts.later.rest();
        at.painting.stop();
      },
      halt: () => at.painting.stop(),
      changed: () => at.painting.changed(),
      wait: (work) => (at.idle = Promise.all([at.idle, work])),
      unmade: (fault) => at.comparing.unmade(fault),
      waits: () => at.element.whenIdle(),
      make: (type, job) => at.make(type, job),
      try: (bytes, reference) => at.arriving.try(bytes, reference),
      untry: () => at.arriving.untry(),
      sentences: at.parts.sentences,
      places: () => at.parts.numbers.places(),
      lesson: at.kept,
      ask: (type, job) => at.ask(type, job),
      asked: () => at.comparing.asked(),
      put: (id, bytes) => at.engine.put(id, bytes),
      bytes: (id) => at.engine.bytes(id),
      cancel: () => at.engine.cancel(),
      shelve: (entries) => at.parts.later.shelve(entries),
      add: (slot, files, joins) => at.element.add(slot, files, joins),
      show: (id) => at.comparing.show(id),
      own: (id) => at.comparing.own(id),
      compare: () => at.comparing.compare(),
      drop: (id) => at.engine.drop(id),
      count: () => at.answer?.comparison.references.length ?? 0,
      correct: (id, change) => this.correct(id, change),
      aim: (degrees) => at.comparing.aim(degrees),
      wish: (name, value) => at.comparing.wish(name, value),
      judgeBy: (thresholds) => at.comparing.judgeBy(thresholds),
      pick: (id) => this.pick(id),
      timeOf: (id) => this.timeOf(id),
      save: (what) => this.save(what),
      notes: at.parts.notes,
      measure: (from) => ([at.from, from] = [from, at.from])[1],
      former: at.former,
      leave: () => at.parts.later.leave(),
      share: (work) => at.share(work),
      sharing: () => at.parts.later.part('sharing'),
      openBytes: (bytes) => at.arriving.openLesson(bytes),
      agree: agreeWith,
      reset: () => at.reset(),
      get picking() {
        return at.picking;
      },
    };
  }

  /** Corrects a file, or several alike. */
  correct(ids, change) {
    const files = [ids].flat().map((id) => this.at.files.get(id)).filter(Boolean);
    for (const file of files) {
      const corrections = structuredClone(file.corrections);
      change(corrections);
      this.at.files.change(file, corrections, 'stated by the user');
      const key = this.at.answer?.files[file.id]?.names_key;
      if (key && !file.demo) remember(key, corrections);
    }
    if (!files.length) return;
    this.at.parts.notices.forget('core');
    this.at.comparing.compare();
  }

  /** Where a file's figure stands, in its own time: the student at the cursor, the compared reference at its match. */
  timeOf(id) {
    if (id === this.at.files.student?.id) return this.at.look.time;
    const shown = this.at.answer?.comparison.references[this.at.look.reference];
    return shown?.id === id ? this.at.painter.referenceTime() : undefined;
  }

  /** Shows every point of a file, to be clicked; without an id, the swings again. */
  async pick(id) {
    if (id === undefined) {
      this.at.picking = undefined;
      this.at.parts.stage.pickDone();
      return this.at.painting.changed();
    }
    const guesses = this.at.answer?.files[id]?.report.guesses ?? [];
    const up = guesses.find((guess) => guess.what === 'up')?.value ?? this.at.files.get(id)?.corrections.up;
    const cloud = await this.at.ask('cloud', { id, up });
    if (!cloud || !this.at.painter) return;
    const roles = this.at.answer.files[id].roles;
    cloud.roles = cloud.names.map((name) => Object.keys(roles).find((role) => roles[role].includes(name)) ?? '');
    this.at.painter.loadCloud(cloud);
    this.at.picking = { id, track: undefined, names: cloud.names, roles: cloud.roles, time: this.at.look.time };
    this.at.parts.stage.pickOpen(this.at.picking, this.at.painter.cloudSpan());
    this.at.painting.changed();
  }

  save(what) {
    const words = this.at.words;
    this.at.parts.takeAway.save(what, {
      painter: this.at.painter,
      pane: this.at.parts.stage.largePane(this.at.element.look),
      colours: this.at.painting.palette(),
      title: `${words.text('page.name')}: ${words.text(`page.view_${this.at.element.view.replaceAll('-', '_')}`)}`,
      ask: (type) => this.at.ask(type, this.at.comparing.asked()),
    });
  }

  run(command, value) {
    if (!this.at.painter) return;
    COMMANDS[command].call(this.inside, value);
    this.at.painting.changed();
  }
}

// What can be taken along: the large view as a picture, the numbers and paths as tables, a report on paper. All of it is
// made on this machine.

import { download, h, setText } from './dom.js';
import { inks } from './painter.js';

const FILES = {
  png: { name: ({ view }) => `handpath-${view}.png`, make: png },
  svg: { name: ({ view }) => `handpath-${view}.svg`, make: svg },
  measures: { name: () => 'handpath-measures.csv', make: table },
  paths: { name: () => 'handpath-paths.csv', make: table },
};

/** Pixels of an image for each pixel of the picture: fine enough for paper and slides. */
const SCALE = 2;

export class TakeAway {
  #words;
  #status;

  constructor(words, run) {
    this.#words = words;
    this.#status = h('p', { class: 'note', role: 'status' });
    const button = (what) => h('button', { type: 'button', 'data-save': what, on: { click: () => run('save', what) } }, words.text(`save.${what}`));
    this.root = h(
      'section',
      { class: 'take-away', part: 'take-away' },
      h('h2', {}, words.text('save.title')),
      h('p', { class: 'note' }, words.text('save.note')),
      h('div', { class: 'playing' }, [...Object.keys(FILES), 'print'].map(button)),
      this.#status,
    );
  }

  show(answer, files) {
    this.root.hidden = !answer?.files[files.student?.id]?.report.measures.length;
  }

  /** Makes a file and hands it to the browser. `from`: painter, pane, colours in the order of `inks()`, title, and `ask` for tables. */
  async save(what, from) {
    if (what === 'print') return print();
    const { name, make } = FILES[what];
    const file = name(from.pane);
    try {
      download(file, await make(from, what));
      setText(this.#status, this.#words.text('save.done', { file }));
    } catch (fault) {
      setText(this.#status, this.#words.text('save.failed', { file, why: String(fault?.message ?? fault) }));
    }
  }
}

/** Puts a colour behind what is painted, which leaves open what it does not cover. */
export function back(context, colour) {
  context.save();
  context.globalAlpha = 1;
  context.globalCompositeOperation = 'destination-over';
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.fillStyle = colour;
  context.fillRect(0, 0, context.canvas.width, context.canvas.height);
  context.restore();
}

function png({ painter, pane, colours }) {
  const canvas = h('canvas', { width: Math.round(pane.width * SCALE), height: Math.round(pane.height * SCALE) });
  const context = canvas.getContext('2d');
  painter.paint([pane], [context], SCALE);
  back(context, colours[inks().indexOf('page')]);
  return new Promise((resolve, reject) => {
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error(`${canvas.width} × ${canvas.height}`))), 'image/png');
  });
}

/** In the colours of the screen as numbers, for a file has no style sheet and no system colours. */
function svg({ painter, pane, colours, title }) {
  const context = h('canvas').getContext('2d');
  const plain = (colour) => {
    context.fillStyle = colour;
    return context.fillStyle;
  };
  painter.setPalette(colours.map(plain));
  return new Blob([painter.svg(pane, title)], { type: 'image/svg+xml' });
}

async function table({ ask }, what) {
  return new Blob([await ask(what)], { type: 'text/csv;charset=utf-8' });
}

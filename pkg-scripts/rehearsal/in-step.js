// Three elements in step over a network that delivers late, twice and in another order; both of the first two act at once,
// the third joins half-way. The result is written into the page: the last view of each.

import { HandpathCompare } from './handpath/handpath-compare.js';
import { keepInStep } from './handpath/in-step.js';

const ACTIONS = 1000;
const ACTIONS_A_FRAME = 4;

// A small generator of the usual kind (mulberry32, from memory), so that every run is the same.
let seed = 20261125;
function random() {
  seed = (seed + 0x6d2b79f5) | 0;
  let t = Math.imul(seed ^ (seed >>> 15), 1 | seed);
  t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}

const listeners = [];
const onTheWay = [];

/** One of the pages' ends of the network. Everything said reaches all, the speaker too. */
function channel() {
  return {
    post: (message) => {
      const text = JSON.stringify(message);
      for (const hear of listeners) {
        const times = random() < 0.2 ? 2 : 1;
        for (let i = 0; i < times; i += 1) onTheWay.push({ hear, text });
      }
    },
    listen: (hear) => {
      listeners.push(hear);
      return () => listeners.splice(listeners.indexOf(hear), 1);
    },
  };
}

/** Delivers some of what is on the way, in any order. */
function deliver(share) {
  const count = Math.ceil(onTheWay.length * share);
  for (let i = 0; i < count; i += 1) {
    const [{ hear, text }] = onTheWay.splice(Math.floor(random() * onTheWay.length), 1);
    hear(JSON.parse(text));
  }
}

const pick = (list) => list[Math.floor(random() * list.length)];

const CHANGES = [
  () => ({ view: pick(['down-the-line', 'face-on', 'overhead', 'free']) }),
  () => ({ layout: pick(['overlaid', 'side-by-side']), timing: pick(['own', 'matched']) }),
  () => ({ unit: pick(['cm', 'in']) }),
  () => ({ time: random() * 2 }),
  () => ({ zoom: 0.5 + random() * 4, orbit: { yaw: random() * 90, pitch: random() * 45 } }),
  () => ({ [pick(['body', 'lines', 'arms', 'shaft', 'references'])]: random() < 0.5 }),
  () => ({ lit: random() < 0.3 ? null : { from: random(), to: 1 + random() } }),
];

const frame = () => new Promise((resolve) => requestAnimationFrame(resolve));

async function made(view) {
  const element = document.createElement('handpath-compare');
  element.setAttribute('loading', 'eager');
  element.setAttribute('view', view);
  document.body.append(element);
  await element.whenIdle();
  return element;
}

async function run() {
  HandpathCompare.define();
  const elements = [await made('overhead'), await made('face-on')];
  elements.forEach((element, i) => keepInStep(element, channel(), `page ${i}`));
  for (let done = 0; done < ACTIONS; done += ACTIONS_A_FRAME) {
    if (done === ACTIONS / 2) {
      elements.push(await made('free'));
      keepInStep(elements[2], channel(), 'a page that joins');
    }
    for (let i = 0; i < ACTIONS_A_FRAME; i += 1) elements[i % 2].look = pick(CHANGES)();
    await frame();
    deliver(random() * 0.4);
  }
  const before = elements.map((element) => JSON.stringify(element.look));
  let still = 0;
  while (still < 30) {
    still = onTheWay.length ? 0 : still + 1;
    deliver(0.5);
    await frame();
  }
  const apart = new Set(before).size;
  const looks = elements.map((element) => JSON.stringify(element.look));
  document.body.dataset.done = JSON.stringify({ apart, looks });
}

run().catch((fault) => (document.body.dataset.done = JSON.stringify({ fault: String(fault?.stack ?? fault) })));

// Elements in step that hold the same swings in another order, and one that does not hold all of them: notes, story and
// reference have to stand at the same swing everywhere. What each shows is written into the page.

import { HandpathCompare } from './handpath/handpath-compare.js';
import { keepInStep } from './handpath/in-step.js';

const listeners = [];
const channel = () => ({
  post: (message) => {
    const text = JSON.stringify(message);
    setTimeout(() => listeners.forEach((hear) => hear(JSON.parse(text))), 5);
  },
  listen: (hear) => {
    listeners.push(hear);
    return () => listeners.splice(listeners.indexOf(hear), 1);
  },
});

async function file(name) {
  const answer = await fetch(`handpath/demo/${name}`);
  return { name, bytes: new Uint8Array(await answer.arrayBuffer()) };
}

/** An element with these swings and references, and what it tells to be apart. */
async function made(students, references) {
  const element = document.createElement('handpath-compare');
  element.setAttribute('loading', 'eager');
  document.body.append(element);
  element.apart = {};
  element.addEventListener('handpath-apart', ({ detail }) => (element.apart = detail));
  await element.add('student', await Promise.all(students.map(file)));
  await element.add('reference', await Promise.all(references.map(file)));
  return element;
}

const idOf = (element, name) => Object.values(element.report.files).find(({ report }) => report.name === name)?.id;
const nameIn = (element, id) => element.report.files[id]?.report.name ?? null;

/** What an element shows of the parts that name swings, with names for numbers. */
const shown = (element) => {
  const { pins, story, reference } = element.look;
  return {
    pins: pins.map(({ swing, text }) => `${text} at ${nameIn(element, swing)}`).sort(),
    story: story.map(({ swing }) => nameIn(element, swing)),
    reference: nameIn(element, element.report.comparison.references[reference]?.id),
    apart: element.apart,
  };
};

const quiet = () => new Promise((resolve) => setTimeout(resolve, 600));

async function run() {
  HandpathCompare.define();
  const [one, two] = ['student-1-1.c3d', 'student-2-1.csv'];
  const [a, b] = ['reference-a.c3d', 'reference-b.trc'];
  const first = await made([one, two], [a, b]);
  const turned = await made([two, one], [b, a]);
  const lacks = await made([one], [b]);
  const all = [first, turned, lacks];
  all.forEach((element, i) => keepInStep(element, channel(), `page ${i}`));
  await quiet();
  const pin = (element, name, text) => (element.look = { pins: [...element.look.pins, { swing: idOf(element, name), time_s: 0.5, text }] });
  const found = {};
  pin(first, 'student-2-1', 'first');
  first.look = { story: [{ say: 'One.', swing: idOf(first, 'student-2-1') }], reference: 1 };
  await quiet();
  found.before = all.map(shown);
  // One who does not see a note does not take it away.
  pin(lacks, 'student-1-1', 'second');
  await quiet();
  found.after = all.map(shown);
  await lacks.add('student', [await file(two)], true);
  await quiet();
  found.whole = all.map(shown);
  document.body.dataset.done = JSON.stringify(found);
}

run().catch((fault) => (document.body.dataset.done = JSON.stringify({ fault: String(fault?.stack ?? fault) })));

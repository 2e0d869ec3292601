// What cargo measure asks a browser: ours in WebAssembly, and the packages that are written in JavaScript, on the same data.

import init, { Bench } from './measure.js';

await init({ module_or_path: new URL('measure_bg.wasm', import.meta.url) });
const bench = new Bench();
const load = async (name) => (await fetch(`data/${name}`)).arrayBuffer();
const bytes = async (name) => new Uint8Array(await load(name));
const pairs = {};
for (const kind of ['smooth', 'noisy', 'like']) {
  for (const n of [250, 1000]) {
    const numbers = new Float64Array(await load(`pair-${kind}-${n}.f64`));
    const [a, b] = [numbers.slice(0, 3 * n), numbers.slice(3 * n)];
    const points = (flat) => Array.from({ length: n }, (_, k) => [...flat.subarray(3 * k, 3 * k + 3)]);
    pairs[`${kind} ${n}`] = { a, b, points: [points(a), points(b)] };
  }
}
const shelves = {};
for (const kind of ['similar', 'unrelated']) {
  const numbers = new Float32Array(await load(`shelf-${kind}.f32`));
  shelves[kind] = { query: Float64Array.from(numbers.subarray(0, 384)), paths: numbers.subarray(384) };
}
const table = await bytes('table.csv');
const text = new TextDecoder().decode(table);
const points = await bytes('points.c3d');
bench.keep(new Float64Array(await load('curves.f64')), 200);

const apart = (p, q) => (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2;

/** Splits and converts, without any care: what a script of a few lines does. */
function split() {
  const lines = text.split('\n');
  const columns = lines[0].split(',').length;
  const numbers = new Float64Array((lines.length - 1) * columns);
  let at = 0;
  for (let row = 1; row < lines.length; row += 1) for (const cell of lines[row].split(',')) numbers[at++] = Number(cell);
  return at;
}

function npm({ points: [a, b] }) {
  const warping = new globalThis.DynamicTimeWarping(a, b, apart);
  return [Math.sqrt(warping.getDistance()), warping.getPath().length];
}

/** How long work is done before it is timed: engines compile what is called often anew, beside the work. */
const WARM_MS = 200;

/** Milliseconds of one call: the median of several batches, each long enough for the clock. */
function time(work, rounds = 9) {
  for (const start = performance.now(); performance.now() - start < WARM_MS; ) work();
  let repeat = 1;
  for (; repeat < 4096; repeat *= 2) {
    const start = performance.now();
    for (let k = 0; k < repeat; k += 1) work();
    if (performance.now() - start > 4) break;
  }
  const found = Array.from({ length: rounds }, () => {
    const start = performance.now();
    for (let k = 0; k < repeat; k += 1) work();
    return (performance.now() - start) / repeat;
  });
  return found.sort((p, q) => p - q)[rounds >> 1];
}

const PARTS = {
  warping(ms, found) {
    for (const [name, pair] of Object.entries(pairs)) {
      ms[`distance ${name}`] = time(() => bench.distance(pair.a, pair.b, false));
      ms[`pruned ${name}`] = time(() => bench.distance(pair.a, pair.b, true));
      ms[`path ${name}`] = time(() => bench.path(pair.a, pair.b));
      ms[`npm ${name}`] = time(() => npm(pair), 3);
      found[name] = [bench.distance(pair.a, pair.b, true), npm(pair)[0]];
    }
  },
  nearest(ms, found) {
    for (const [kind, { query, paths }] of Object.entries(shelves)) {
      bench.fill(paths);
      ms[`nearest ${kind}`] = time(() => bench.nearest(query));
      found[kind] = bench.nearest(query);
    }
  },
  average(ms, found) {
    ms.average = time(() => bench.average(10));
    found.average = bench.average(10);
  },
  c3d(ms, found) {
    ms.c3d = time(() => bench.read(points));
    found.c3d = bench.read(points);
  },
  csv(ms, found) {
    ms.csv = time(() => bench.read(table), 5);
    found.csv = bench.read(table);
    ms.papaparse = time(() => globalThis.Papa.parse(text, { dynamicTyping: true }), 3);
    ms.split = time(split, 5);
  },
};

/** One round: milliseconds by name, and what was found. */
window.round = (parts) => {
  const ms = {};
  const found = {};
  for (const part of parts) PARTS[part](ms, found);
  return { ms, found };
};
window.ready = true;

// Milliseconds of scripting per frame while the demo plays, at two device pixels per CSS pixel.
const [count] = arguments;
const element = document.querySelector('handpath-compare');
const ms = [];
const queue = [];
const frame = window.requestAnimationFrame.bind(window);
Object.defineProperty(window, 'devicePixelRatio', { configurable: true, value: 2 });
const bytes = async () => ({ heap: performance.memory?.usedJSHeapSize ?? 0, painter: (await element.constructor.held()).bytes });
(async () => {
  await element.whenIdle();
  element.look = { band: true, references: true, speed: '0.125' };
  await new Promise((resolve) => frame(() => frame(resolve)));
  const before = await bytes();
  window.requestAnimationFrame = (work) => queue.push(work);
  window.cancelAnimationFrame = (id) => queue.splice(id - 1, 1);
  for (let now = 0; ms.length < count; now += 1000 / 60) {
    // At the end of the swing it is played again.
    if (!queue.length) element.shadowRoot.querySelector('.play').click();
    for (const work of queue.splice(0)) {
      const start = performance.now();
      work(now);
      ms.push(performance.now() - start);
    }
    // Every so often what was painted is shown, as it would be.
    if (ms.length % 4 === 0) await new Promise(frame);
  }
  const after = await bytes();
  const median = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];
  const tenth = Math.floor(ms.length / 10);
  const mean = (list) => list.reduce((sum, x) => sum + x, 0) / list.length;
  window.frames_ms = {
    median: median(ms), mean: mean(ms), p99: [...ms].sort((a, b) => a - b)[Math.floor(0.99 * ms.length)],
    growth: mean(ms.slice(-tenth)) / mean(ms.slice(0, tenth)), painter: after.painter - before.painter,
  };
})();

globalThis.handpathReading = () => {};
// Bytes of WebAssembly that the demo takes: what its worker is told is told to an engine of our own, and its memory looked at.
const element = document.querySelector('handpath-compare');
const told = [];
const post = Worker.prototype.postMessage;
Worker.prototype.postMessage = function (message, ...more) {
  told.push(message);
  return post.call(this, message, ...more);
};
(async () => {
  await element.whenIdle();
  // The answer that was prepared does not count: all is computed.
  element.prepared = null;
  element.student = element.student ?? '';
  await element.whenIdle();
  element.look = { aim: 1 };
  await element.whenIdle();
  const { default: init, Session } = await import(new URL('wasm/engine.js', element.constructor.base ?? document.baseURI));
  const { memory } = await init({ module_or_path: told.find(({ type }) => type === 'start').module });
  const session = new Session();
  for (const { type, id, bytes, job } of told) if (type === 'put') session.put(id, bytes);
  const { job } = told.find(({ type }) => type === 'aim' || type === 'compare');
  session.compare(job);
  session.together(job);
  session.band(job);
  window.memory_bytes = { engine: memory.buffer.byteLength, painter: (await element.constructor.held()).bytes, told: told.map(({ type }) => type) };
})().catch((fault) => (window.memory_bytes = { fault: String(fault) }));

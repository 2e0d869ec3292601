// Milliseconds from the drop of a file until its comparison is painted.
const element = document.querySelector('handpath-compare');
addEventListener('drop', () => {
  const start = performance.now();
  performance.mark('the drop');
  const shown = () => element.report?.shown && element.whenIdle().then(() => requestAnimationFrame(() => (window.dropped = performance.now() - start)));
  element.addEventListener('handpath-report', shown, { once: true });
}, { capture: true, once: true });

// What moves on the blog page that cargo measure opens: the browser's own count, from the beginning; and a mark by which
// its thread is known in a trace.

performance.mark('the blog page');
window.moved = 0;
const count = (list) => list.getEntries().forEach((entry) => (window.moved += entry.value));
new PerformanceObserver(count).observe({ type: 'layout-shift', buffered: true });

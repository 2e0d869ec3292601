// Small helpers for building the element's tree.

/** Creates an element. Properties that the element does not have become attributes; `on` holds listeners. */
export function h(tag, properties = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value === undefined || value === null) continue;
    if (name === 'on') for (const [type, listener] of Object.entries(value)) node.addEventListener(type, listener);
    else if (name in node && !name.includes('-')) node[name] = value;
    else if (value !== false) node.setAttribute(name, value === true ? '' : value);
  }
  node.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

/** Sets the text only when it differs, so that nothing is announced twice. */
export function setText(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

/** A select with `[value, text]` options. */
export function choice(options, properties = {}) {
  const select = h('select', properties);
  setOptions(select, options);
  return select;
}

/** Replaces a select's options, keeping what is chosen, only where they differ. */
export function setOptions(select, options) {
  const now = JSON.stringify(options);
  if (select.handpathOptions === now) return;
  select.handpathOptions = now;
  const chosen = select.value;
  select.replaceChildren(...options.map(([value, text]) => new Option(text, value)));
  if (options.some(([value]) => value === chosen)) select.value = chosen;
}

let last = 0;

/** A document-wide unique id, for labels. */
export function unique(prefix) {
  last += 1;
  return `${prefix}-${last}`;
}

/** Lets the browser answer its reader before work goes on. */
export function breathe() {
  return globalThis.scheduler?.yield ? scheduler.yield() : new Promise((resolve) => setTimeout(resolve));
}

/** Hands a file to the browser, to be saved. */
export function download(file, blob) {
  const url = URL.createObjectURL(blob);
  h('a', { href: url, download: file }).click();
  setTimeout(() => URL.revokeObjectURL(url), 1000);
}

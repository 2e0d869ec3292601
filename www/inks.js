// Colours for the painter, as CSS gives them: a canvas has no style sheet, and does not know which colours a system forces.

/** The medium in which the reader's system gives every page its few colours. */
export const FORCED = matchMedia('(forced-colors: active)');

const DARK = matchMedia('(prefers-color-scheme: dark)');

/** Calls when the colours of the system change, until the signal ends it. */
export function onColours(changed, signal) {
  for (const medium of [FORCED, DARK]) medium.addEventListener('change', changed, { signal });
}

/** The colours of the root's style sheet by the names of inks; `theme` as the attribute has it. Paper is white: what is
    printed is light. */
export function coloursOf(root, names, theme, printing) {
  const dark = !printing && (theme === 'dark' || (theme === 'auto' && DARK.matches));
  root.dataset.scheme = dark ? 'dark' : 'light';
  root.toggleAttribute('data-forced', FORCED.matches && !printing);
  const style = getComputedStyle(root);
  const colours = names.map((name) => style.getPropertyValue(`--hp-${name}`).trim());
  return FORCED.matches && !printing ? resolved(root, colours) : colours;
}

/** Names of system colours as numbers: only an element knows what they stand for. */
function resolved(root, colours) {
  const probe = document.createElement('span');
  probe.hidden = true;
  root.append(probe);
  const numbers = colours.map((colour) => {
    probe.style.color = colour;
    return getComputedStyle(probe).color;
  });
  probe.remove();
  return numbers;
}

// Keys, while the focus is inside the element. Fields keep the keys they need themselves.

const PLAIN = {
  ArrowLeft: ['step', -1],
  ArrowRight: ['step', 1],
  PageUp: ['instant', true],
  PageDown: ['instant', false],
  Home: ['end', false],
  End: ['end', true],
  ' ': ['play'],
  1: ['view', 'down-the-line'],
  2: ['view', 'face-on'],
  3: ['view', 'overhead'],
  4: ['view', 'free'],
  o: ['toggle', 'layout'],
  m: ['toggle', 'timing'],
  u: ['toggle', 'unit'],
  b: ['toggle', 'body'],
  l: ['toggle', 'lines'],
  n: ['toggle', 'numbers'],
  f: ['toggle', 'references'],
  v: ['toggle', 'band'],
  p: ['toggle', 'arms'],
  c: ['toggle', 'shaft'],
  r: ['next'],
  k: ['pin'],
  j: ['measure'],
  t: ['tell', 'play'],
  ',': ['tell', 'back'],
  '.': ['tell', 'next'],
  '+': ['zoom', 1.25],
  '-': ['zoom', 0.8],
  0: ['zoom', 0],
};

const TURN = { a: [-5, 0], d: [5, 0], w: [0, 5], s: [0, -5] };

/** What a field does with its keys itself. */
function ownKeys(target) {
  if (target.matches('input[type=range].scrub')) return /^$/;
  if (target.matches('input[type=range]')) return /^(Arrow|Page|Home|End)/;
  if (target.matches('input:not([type=checkbox], [type=radio], [type=file]), textarea')) return /./;
  if (target.matches('select')) return /^(Arrow|Page|Home|End| |.$)/;
  if (target.matches('input[type=radio]')) return /^(Arrow| )/;
  if (target.matches('button, summary, a, input')) return /^( |Enter)$/;
  return /^$/;
}

/** The command of a key press, as [name, value]; nothing where the key is not ours. */
export function commandOf(event, view, picking) {
  if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return null;
  const target = event.composedPath()[0];
  if (!(target instanceof Element) || ownKeys(target).test(event.key)) return null;
  if (picking && event.key === 'Escape') return ['pick', undefined];
  if ((view === 'free' || picking) && TURN[event.key]) return ['turn', TURN[event.key]];
  const command = PLAIN[event.key.length === 1 ? event.key.toLowerCase() : event.key];
  if (!command) return null;
  return command[0] === 'step' && event.shiftKey ? ['step', command[1] * 10] : command;
}

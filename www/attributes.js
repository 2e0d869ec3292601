// What an author writes on the element. Each attribute has a property of the same name, which reads and writes it.

/** Attributes of a few words each; the first is the default, and what a word that is not listed counts as. */
export const CHOICES = {
  view: ['down-the-line', 'face-on', 'overhead', 'free'],
  layout: ['overlaid', 'side-by-side'],
  timing: ['matched', 'own'],
  unit: ['cm', 'in'],
  speed: ['0.25', '1', '0.5', '0.125'],
  theme: ['auto', 'light', 'dark'],
  language: ['auto', 'en', 'de', 'es'],
  controls: ['all', 'view', 'none'],
  loading: ['lazy', 'eager'],
  trial: ['offered', 'open', 'none'],
};

/** Attributes that name files: their properties are empty where they are missing. */
export const ADDRESSES = ['student', 'references', 'prepared', 'lesson', 'story'];

export const ATTRIBUTES = [...Object.keys(CHOICES), ...ADDRESSES];

/** Gives a class of elements the properties. */
export function reflect(prototype) {
  for (const name of ATTRIBUTES) {
    const allowed = CHOICES[name];
    Object.defineProperty(prototype, name, {
      configurable: true,
      enumerable: true,
      get() {
        const value = this.getAttribute(name);
        return allowed && !allowed.includes(value) ? allowed[0] : (value ?? '');
      },
      set(value) {
        if (value === null || value === undefined) this.removeAttribute(name);
        else if (this.getAttribute(name) !== String(value)) this.setAttribute(name, String(value));
      },
    });
  }
}

// The example of two pages in step: all windows of this browser that show it.

import { broadcast, keepInStep } from './in-step.js';

const element = document.querySelector('handpath-compare');
await customElements.whenDefined('handpath-compare');
keepInStep(element, broadcast('handpath-together'));

const apart = document.querySelector('#apart');
element.addEventListener('handpath-apart', ({ detail }) => (apart.hidden = Object.values(detail).every((count) => count === 0)));

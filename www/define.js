// Defines the tag. Import handpath-compare.js instead to choose another name.
import { HandpathCompare } from './handpath-compare.js';

HandpathCompare.define();
